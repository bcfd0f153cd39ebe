//! From files to a book.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::{Date, Time};

use crate::finding::{self, Finding, meant};
use crate::notebook::{self, BlockWord};
use crate::quantity::UnitDefaults;
use crate::source::side_by_side::*;
use crate::source::{FileId, Listing, Patience, ReadError, Sources, Span, Store, limits, read_again};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{self, BLOCKS, Stint};
use crate::vocabulary::values::Laps;
use crate::vocabulary::{self, NotebookKind};

use super::head::{read_about, read_head};
use super::kept::{Kept, Read};
use super::lap_file::{LapFiles, LapReader, places};
use super::tongues::Tongues;
use super::{About, Book, Day, Notebook, codes, links};

/// Reads, types and links all notebooks of a store, going on from the last reading. `None` once nobody waits for it;
/// the notebooks read by then are kept.
pub fn load(
    listing: &Listing,
    store: &dyn Store,
    kept: &mut Kept,
    patience: Patience<'_>,
) -> Option<(Book, Vec<Finding>)> {
    if kept.sources.is_crowded() {
        *kept = kept.emptied();
    }
    let mut files = read_again(listing, store, &kept.sources, |path| kept.has_stayed(path));
    let mut findings: Vec<Finding> = files.faults.iter().map(notebook::fault_finding).collect();
    let tongues =
        Tongues::of_book(listing, store, &mut files.sources, &mut findings).silent(kept.is_for_programs());
    let mut about = About::default();
    if let Some(file) = files.book {
        let (table, reported) = notebook::parse_table(file, files.sources.whole(file));
        findings.extend(reported);
        about = read_about(file, &table, &tongues, &mut findings);
    }

    // Notebooks do not depend on each other: they are read in parallel, and gathered in the order of the book.
    let defaults = UnitDefaults::from(&about.units);
    let mut before = std::mem::take(&mut kept.notebooks);
    if kept.units != about.units || kept.tongues != tongues {
        before.clear();
    }
    let known = |file: FileId| before.get(&file).filter(|_| files.sources.has_as_in(&kept.sources, file));
    let blocks = |file: &FileId| match known(*file) {
        Some(read) => read.blocks,
        None => notebook::count_blocks(files.sources.whole(*file)),
    };
    let blocks: Vec<usize> = files.notebooks.iter().map(blocks).collect();
    let (within, past) = notebook::within_limits(&files.notebooks, &blocks);
    findings.extend(past);
    let read: Vec<Option<(FileId, Read)>> = within
        .par_iter()
        .zip(&blocks)
        .map(|(&file, &blocks)| {
            if let Some(known) = known(file) {
                return Some((file, known.clone()));
            }
            patience().then(|| {
                let mut reported = Vec::new();
                let notebook = read_notebook(file, &files.sources, (&defaults, &tongues), &mut reported);
                finding::keep(&mut reported, 0, limits::FILE_FINDINGS);
                let (notebook, findings) = (notebook.map(Arc::new), reported.into());
                (file, Read { notebook, findings, blocks })
            })
        })
        .collect();
    if read.iter().any(Option::is_none) {
        kept.notebooks = read.into_iter().flatten().collect();
        kept.is_broken_off(files.sources, about.units, tongues);
        return None;
    }

    let mut book = Book {
        sources: files.sources,
        tongues,
        about,
        machines: BTreeMap::new(),
        riders: BTreeMap::new(),
        tracks: BTreeMap::new(),
        days: Vec::new(),
        day_of: BTreeMap::new(),
        lap_files: LapFiles::new(),
        photos: BTreeMap::new(),
    };
    let mut days = Vec::new();
    for (file, read) in read.into_iter().flatten() {
        kept.notebooks.insert(file, read.clone());
        let Read { notebook, findings: reported, .. } = read;
        findings.extend(reported.iter().cloned());
        let Some(notebook) = notebook else { continue };
        let among = match notebook.kind {
            NotebookKind::Machine => &mut book.machines,
            NotebookKind::Rider => &mut book.riders,
            NotebookKind::Track => &mut book.tracks,
            NotebookKind::Day => {
                days.push(notebook);
                continue;
            }
        };
        if let Some(first) = among.get(&notebook.name) {
            findings.push(
                Finding::new(
                    &codes::SAME_NAME,
                    Span::top(notebook.document.file),
                    two_of_one_name(notebook.kind, &notebook.name),
                )
                .see(Span::top(first.document.file), say!("the first"))
                .help(say!("rename one of the files")),
            );
            continue;
        }
        among.insert(notebook.name.clone(), notebook);
    }
    link_days(&mut book, days, &mut findings);
    read_lap_files(&mut book, store, kept, &mut findings);
    find_photos(&mut book, listing, store, &mut findings);
    let days = book.days.iter().map(|day| (&*day.notebook, Some(day)));
    for (notebook, day) in book.standing().map(|notebook| (notebook, None)).chain(days) {
        let before = findings.len();
        links::check(&book, notebook, day, &mut findings);
        finding::keep(&mut findings, before, limits::FILE_FINDINGS);
    }
    links::check_defaults(&book, &mut findings);
    kept.is_read(book.sources.clone(), book.about.units.clone(), book.tongues.clone());
    Some((book, findings))
}

fn two_of_one_name(kind: NotebookKind, name: &str) -> Message {
    match kind {
        NotebookKind::Machine => say!("there are two machines named `{name}`", name),
        NotebookKind::Rider => say!("there are two riders named `{name}`", name),
        NotebookKind::Track => say!("there are two tracks named `{name}`", name),
        NotebookKind::Day => say!("there are two days named `{name}`", name),
    }
}

/// Whether the word of a fence is a block's, nearly one, or prose.
pub(super) fn block_word(word: &str) -> BlockWord {
    if let Some(spec) = blocks::spec(word) {
        return BlockWord::Known(spec.word);
    }
    let near = crate::finding::closest(word, BLOCKS.iter().map(|spec| spec.word));
    if near.is_empty() { BlockWord::Prose } else { BlockWord::Near(near) }
}

/// A finding about a key with a space, with the names that were most likely meant.
fn with_name(finding: Finding, sources: &Sources) -> Finding {
    if *finding.code != notebook::SPACED_KEY {
        return finding;
    }
    let names = vocabulary::every_name();
    let keys = BLOCKS.iter().flat_map(|spec| spec.keys).map(|key| key.name);
    let (written, place) = (sources.text(finding.span).to_owned(), finding.span);
    let meant = meant(&written, names.iter().map(String::as_str).chain(keys));
    if meant.is_empty() {
        let joined = written.split_whitespace().collect::<Vec<_>>().join("_");
        return finding.help(say!("a key is one word: `{joined} = …`", joined));
    }
    meant.into_iter().take(2).fold(finding, |finding, name| {
        finding.fix(say!("did you mean `{name}`?", name), place, name.to_owned())
    })
}

fn read_notebook(
    file: FileId,
    sources: &Sources,
    (defaults, tongues): (&UnitDefaults, &Tongues),
    findings: &mut Vec<Finding>,
) -> Option<Notebook> {
    let (document, reported) = notebook::parse(file, sources.whole(file), block_word);
    findings.extend(reported.into_iter().map(|finding| with_name(finding, sources)));
    let table = document.head.as_ref()?;
    let (head, units) = read_head(table, tongues, findings);
    let kind = head.kind.as_ref().and_then(|kind| NotebookKind::from_word(&kind.text));
    let Some(kind) = kind else {
        // A kind that is written and wrong was reported when it was read.
        if head.kind.is_none()
            && !table.broken
            && !table.entries.iter().any(|entry| entry.key == blocks::Head::kind)
        {
            findings.push(
                Finding::new(
                    &codes::NO_KIND,
                    head.header.fence,
                    say!("the notebook does not say what it is about"),
                )
                .help(say!("add `kind = \"day\"` to the head, or `machine`, `rider` or `track`")),
            );
        }
        return None;
    };
    // A rider's own units are for showing; they never change what a number means.
    Some(Notebook::new(sources.path(file).to_owned(), kind, head, units, document, defaults, findings))
}

/// Sorts the days, and finds what each is about.
fn link_days(book: &mut Book, notebooks: Vec<Arc<Notebook>>, findings: &mut Vec<Finding>) {
    let mut days: Vec<Day> = Vec::with_capacity(notebooks.len());
    for notebook in notebooks {
        let head = &notebook.head;
        let date = head.date;
        // One that cannot be read was reported at its place.
        if date.is_none() && head.header.rejected(blocks::Head::date).is_none() {
            findings.push(
                Finding::new(&codes::NO_DATE, head.header.fence, say!("the day has no date"))
                    .help(say!("add `date = 2026-04-11` (its own) to the head")),
            );
        }
        let about = &book.about;
        let machine = head.machine.as_ref().or(about.machine.as_ref());
        let rider = head.rider.as_ref().or(about.rider.as_ref());
        let machine = links::resolve(NotebookKind::Machine, machine, &book.machines, &notebook, findings);
        let rider = links::resolve(NotebookKind::Rider, rider, &book.riders, &notebook, findings);
        let track =
            links::resolve(NotebookKind::Track, head.track.as_ref(), &book.tracks, &notebook, findings);
        days.push(Day {
            date: date.map_or(Date::ZERO, |dated| dated.date),
            date_span: date.map_or(head.header.fence, |dated| dated.span),
            is_dated: date.is_some(),
            machine,
            rider,
            track,
            notebook,
        });
    }
    days.sort_by_cached_key(|day| (day.date, place_in_day(&day.notebook), day.notebook.path.clone()));
    book.day_of = days.iter().enumerate().map(|(at, day)| (day.notebook.document.file, at)).collect();
    book.days = days;
}

/// The place of a notebook among those of its date: by its `order`, then by the minute of its first `start`. One with
/// neither comes last.
fn place_in_day(notebook: &Notebook) -> (u64, Time) {
    let order = notebook.head.order.map_or(u64::MAX, |order| order.value() as u64);
    let start = notebook.all::<Stint>().find_map(|stint| Some(stint.start?.time));
    // Nobody starts at the last second of the day.
    (order, start.unwrap_or(Time::MAX))
}

fn read_lap_files(book: &mut Book, store: &dyn Store, kept: &mut Kept, findings: &mut Vec<Finding>) {
    let before = std::mem::take(&mut kept.laps);
    let sources = &mut book.sources;
    let mut reader = LapReader::new(store, sources, before, kept, findings);
    for stint in book.days.iter().flat_map(|day| day.notebook.all::<Stint>()) {
        if let Some(Laps::File(path)) = &stint.laps {
            reader.read(path, stint.column.as_ref());
        }
    }
    book.lap_files = reader.files;
}

/// Finds each notebook's photos; missing ones, and files that are not photos, are reported.
fn find_photos(book: &mut Book, listing: &Listing, store: &dyn Store, findings: &mut Vec<Finding>) {
    let mut photos = BTreeMap::new();
    for notebook in book.notebooks() {
        let before = findings.len();
        for image in &notebook.document.images {
            let lower = image.target.to_lowercase();
            let is_photo = [".png", ".jpg", ".jpeg"].iter().any(|ending| lower.ends_with(ending));
            let fault = match photo(store, listing, &notebook.path, &image.target) {
                Ok(path) => {
                    photos.insert(image.span, path);
                    None
                }
                Err(fault) => Some(fault),
            };
            let other = || {
                (
                    say!("`{target}` is neither PNG nor JPEG", target = image.target),
                    say!("only those two are printed"),
                )
            };
            let Some((headline, help)) = fault.or_else(|| (!is_photo).then(other)) else { continue };
            findings.push(Finding::new(&codes::NO_PHOTO, image.span, headline).help(help));
        }
        finding::keep(findings, before, limits::FILE_FINDINGS);
    }
    book.photos = photos;
}

/// The path of a photo that a notebook shows, or what is wrong and what to do.
fn photo(
    store: &dyn Store,
    listing: &Listing,
    notebook: &str,
    target: &str,
) -> Result<String, (Message, Message)> {
    let mut fault = None;
    for path in places(notebook, target) {
        if listing.has(&path) {
            return Ok(path);
        }
        // It may be a link within the book, which is not listed.
        match store.read(&path, 0) {
            // If it is too large, it exists.
            Ok(_) | Err(ReadError::TooLarge { .. }) => return Ok(path),
            Err(ReadError::LeadsOut) => {
                let help = say!("put the photo itself into the book");
                return Err((say!("`{path}` is a link that leads out of the book", path), help));
            }
            Err(_) => {
                fault.get_or_insert_with(|| {
                    let help = say!(
                        "put the photo there, or mend the path: it is seen from the notebook, then from the book"
                    );
                    (say!("there is no photo `{path}` in the book", path), help)
                });
            }
        }
    }
    Err(fault.unwrap_or_else(|| {
        let help = say!("put the photo into the book and write its path, seen from this notebook");
        (say!("`{target}` is not a file of the book", target), help)
    }))
}
