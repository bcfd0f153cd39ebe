//! A notebook as it reads: its prose with the figures filled in, its blocks as written, and each finding behind the
//! line that it is about.

mod cut;

use std::ops::Range;

use serde::Serialize;

use crate::advice;
use crate::book::{Notebook, asked};
use crate::figures::Here;
use crate::finding::{Finding, tally};
use crate::session::Compiled;
use crate::source::{FileId, Span};
use crate::vocabulary::FigureName;

use super::made;
use super::sheet::diary::{plain, shown, with_marks};
use super::why::{Why, why};

/// The page.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Proof {
    pub title: String,
    /// Relative to the book.
    pub path: String,
    /// How many findings it has.
    pub tally: String,
    /// Who is not cleared to ride.
    pub not_cleared: Vec<String>,
    pub parts: Vec<Part>,
    /// Other notebooks that the day rests on and that have findings.
    pub elsewhere: Vec<Elsewhere>,
}

/// A part of the notebook, and what belongs behind it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Part {
    /// The rider's own Markdown, which nothing can leave.
    pub text: String,
    /// The figures from the block's readings.
    pub makes: Vec<Made>,
    pub found: Vec<Found>,
}

/// A figure from a block's readings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Made {
    pub label: String,
    pub shown: String,
    /// The address of its working.
    pub link: String,
}

/// A finding at its place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Found {
    /// Its severity, as a sign and as a word.
    pub sign: &'static str,
    pub word: &'static str,
    pub line: u32,
    pub headline: String,
    /// What was found there, and the related places.
    pub more: Vec<String>,
    pub remedies: Vec<String>,
    pub code: &'static str,
}

/// Another notebook with findings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Elsewhere {
    pub path: String,
    pub link: String,
    pub tally: String,
}

/// The addresses that a page links to.
pub trait Addresses {
    /// The page of a notebook.
    fn notebook(&self, path: &str) -> String;
    /// The working of a figure, as of a line of a notebook or of its end.
    fn working(&self, figure: FigureName, path: &str, line: Option<u32>) -> String;
}

/// The page of a file of a book; `None` where the book does not have the file. `findings` are those of the whole
/// book.
pub fn proof(
    compiled: &Compiled,
    findings: &[Finding],
    path: &str,
    addresses: &dyn Addresses,
) -> Option<Proof> {
    let book = &*compiled.book;
    let file = book.sources.find(path)?;
    let notebook = book.notebook(file);
    let day = book.day_of(file);
    let own = findings.iter().filter(|finding| finding.span.file == file);
    let reader = Reader { compiled, file, path, notebook, day, addresses };
    let mut places = match notebook {
        Some(notebook) => reader.places(notebook),
        None => vec![Place { range: 0..book.sources.whole(file).len(), kind: Kind::Table }],
    };
    places.sort_by_key(|place| place.range.start);
    Some(Proof {
        title: notebook.map_or_else(|| path.to_owned(), |notebook| notebook.title.clone()),
        path: path.to_owned(),
        tally: book.about.units.say(&tally(own.clone())),
        not_cleared: advice::not_cleared(book, &compiled.advice, day),
        parts: reader.parts(&places, &own.collect::<Vec<_>>()),
        elsewhere: reader.elsewhere(findings),
    })
}

/// A part of a file.
struct Place {
    range: Range<usize>,
    kind: Kind,
}

/// What kind of part it is.
enum Kind {
    /// The head, or a file that is all TOML: shown where it has findings.
    Table,
    Block,
    Prose,
}

struct Reader<'a> {
    compiled: &'a Compiled,
    file: FileId,
    path: &'a str,
    notebook: Option<&'a Notebook>,
    /// By its place in the book.
    day: Option<usize>,
    addresses: &'a dyn Addresses,
}

impl<'a> Reader<'a> {
    fn text(&self) -> &'a str {
        self.compiled.book.sources.whole(self.file)
    }

    fn places(&self, notebook: &Notebook) -> Vec<Place> {
        let document = &notebook.document;
        let head = document.head.iter().map(|head| Place { range: head.span.range(), kind: Kind::Table });
        let blocks =
            document.blocks.iter().map(|block| Place { range: block.span.range(), kind: Kind::Block });
        let prose = document.prose.iter().map(|span| Place { range: span.range(), kind: Kind::Prose });
        head.chain(blocks).chain(prose).collect()
    }

    /// Each finding goes to the part that it is in; one that is in none comes before everything.
    fn parts(&self, places: &[Place], findings: &[&Finding]) -> Vec<Part> {
        let lies_in = |finding: &Finding, place: &Place| {
            let start = finding.span.start as usize;
            place.range.start <= start
                && (start < place.range.end || finding.span.end as usize <= place.range.end)
        };
        let mut of_place: Vec<Vec<&Finding>> = places.iter().map(|_| Vec::new()).collect();
        let mut in_front = Part::default();
        for finding in findings {
            let at = places.iter().position(|place| lies_in(finding, place));
            match at.and_then(|at| of_place.get_mut(at)) {
                Some(of_place) if finding.span.end > 0 => of_place.push(finding),
                _ => in_front.found.push(self.found(finding)),
            }
        }
        let mut parts = Vec::new();
        if !in_front.found.is_empty() {
            parts.push(in_front);
        }
        for (place, findings) in places.iter().zip(&of_place) {
            match place.kind {
                Kind::Table if findings.is_empty() && self.notebook.is_some() => {}
                Kind::Table | Kind::Block => parts.extend(self.block(place, findings)),
                Kind::Prose => parts.extend(self.prose(place, findings)),
            }
        }
        parts
    }

    /// A block as it was written, cut behind each line with a finding.
    fn block(&self, place: &Place, findings: &[&Finding]) -> Vec<Part> {
        let text = self.text();
        let pieces = cut::lines(text, place.range.clone(), findings);
        let last = pieces.len().saturating_sub(1);
        let parts = pieces.into_iter().enumerate().map(|(at, (code, found))| Part {
            text: cut::fenced(&code),
            makes: if at == last { self.makes(place.range.start) } else { Vec::new() },
            found: found.into_iter().map(|finding| self.found(finding)).collect(),
        });
        parts.collect()
    }

    /// The figures from the block that begins at a byte.
    fn makes(&self, start: usize) -> Vec<Made> {
        let (book, season) = (&*self.compiled.book, &*self.compiled.season);
        let of_day = self.day.and_then(|day| Some((day, book.days.get(day)?, season.days.get(day)?)));
        let Some((day, about, replay)) = of_day else { return Vec::new() };
        let point = replay.points.iter().find_map(|point| {
            let block = about.notebook.blocks.get(point.block)?;
            (block.header().fence.start as usize == start).then_some((block, point))
        });
        let Some((block, point)) = point else { return Vec::new() };
        let mut units = book.units_for(about.rider.as_deref());
        // One language for a page.
        units.speak(book.about.units.tongue().clone());
        let here = Here::of_day(book, season, day, &point.state);
        let whys = made::names(block).into_iter().filter_map(|name| Some(why(book, here?, name, &units)));
        let line = book.sources.position(self.file, point.span.end).line;
        let made = whys.filter_map(|why| {
            Some(Made {
                link: self.addresses.working(why.id, self.path, Some(line)),
                label: made::label(why.id).map_or(why.label, |label| why.tongue.say(&label)),
                shown: why.shown?,
            })
        });
        made.collect()
    }

    /// Prose with its figures filled in, cut behind each paragraph with a finding.
    fn prose(&self, place: &Place, findings: &[&Finding]) -> Vec<Part> {
        let text = self.text();
        let replaced = self.replaced();
        let parts = cut::paragraphs(text, place.range.clone(), findings).into_iter().map(|(range, found)| {
            let mut prose = String::new();
            let mut from = range.start;
            let within =
                replaced.iter().filter(|(part, _)| range.start <= part.start && part.end <= range.end);
            for (part, instead) in within {
                prose.push_str(text.get(from..part.start).unwrap_or_default());
                prose.push_str(instead);
                from = part.end;
            }
            prose.push_str(text.get(from..range.end).unwrap_or_default());
            let found = found.into_iter().map(|finding| self.found(finding)).collect();
            Part { text: self.without_title(&prose), makes: Vec::new(), found }
        });
        parts.filter(|part| !part.text.trim().is_empty() || !part.found.is_empty()).collect()
    }

    /// Without the notebook's first heading, which is above the page already.
    fn without_title(&self, prose: &str) -> String {
        let title = self.notebook.and_then(|notebook| notebook.document.title.as_deref());
        let (line, rest) = prose.trim_start().split_once('\n').unwrap_or((prose.trim_start(), ""));
        let is_title = line.strip_prefix("# ").map(str::trim).is_some_and(|line| Some(line) == title);
        if is_title { rest.to_owned() } else { prose.to_owned() }
    }

    /// What replaces figure spans and photos, in the order of the file.
    fn replaced(&self) -> Vec<(Range<usize>, String)> {
        let Some(notebook) = self.notebook else { return Vec::new() };
        let book = &*self.compiled.book;
        let mut all: Vec<(Range<usize>, String)> = match self.day {
            Some(day) => shown(book, &self.compiled.season, day)
                .into_iter()
                .map(|shown| {
                    let link =
                        self.link(asked(shown.mention).name, asked(shown.mention).day, shown.mention.span);
                    (shown.range, linked(&shown.told, link))
                })
                .collect(),
            None => notebook
                .document
                .mentions
                .iter()
                .map(|mention| {
                    let (start, end) = with_marks(self.text(), mention.span);
                    let asked = asked(mention);
                    (start..end, linked(&plain(asked.name), self.link(asked.name, asked.day, mention.span)))
                })
                .collect(),
        };
        all.extend(notebook.document.images.iter().map(|image| {
            let is_plain = |path: &&str| !path.contains(['<', '>', '\\', '\n']);
            let photo = book.photo(image).filter(is_plain);
            let instead = photo.map(|path| format!("![{}](<{path}>)", plain(&image.alt)));
            (image.span.range(), instead.unwrap_or_default())
        }));
        all.sort_by_key(|(range, _)| range.start);
        all
    }

    /// The address of a span's working; `None` where it is not about a figure, or about a day that does not exist.
    fn link(&self, name: &str, other: Option<&str>, span: Span) -> Option<String> {
        let book = &*self.compiled.book;
        let name = FigureName::parse(name)?;
        match other {
            None => {
                let line = self.day.map(|_| book.sources.start(span).line);
                Some(self.addresses.working(name, self.path, line))
            }
            Some(other) => {
                let own = self.day.and_then(|day| book.days.get(day));
                let other = book.other_day(own, other)?;
                Some(self.addresses.working(name, &other.notebook.path, None))
            }
        }
    }

    fn found(&self, finding: &Finding) -> Found {
        let book = &*self.compiled.book;
        let tongue = book.about.units.tongue();
        let own = Some(tongue.say(&finding.label)).filter(|label| !label.is_empty());
        let others = finding
            .labels
            .iter()
            .map(|label| format!("{}: {}", book.place(label.span), tongue.say(&label.text)));
        Found {
            sign: finding.severity.sign(),
            word: finding.severity.word(),
            line: book.sources.start(finding.span).line,
            headline: tongue.say(&finding.headline),
            more: own.into_iter().chain(others.take(cut::MOST)).collect(),
            remedies: finding.remedies.iter().map(|remedy| tongue.say(&remedy.text)).collect(),
            code: finding.code.name,
        }
    }

    /// What else the day rests on, where it has findings.
    fn elsewhere(&self, findings: &[Finding]) -> Vec<Elsewhere> {
        let Some(day) = self.day else { return Vec::new() };
        let files = self.compiled.rests_on(day).files.into_iter().filter(|file| *file != self.file);
        let all = files.filter_map(|file| {
            let found = || findings.iter().filter(move |finding| finding.span.file == file);
            found().next()?;
            let path = self.compiled.book.sources.path(file).to_owned();
            let found: Vec<&Finding> = found().collect();
            Some(Elsewhere {
                link: self.addresses.notebook(&path),
                tally: self.compiled.book.about.units.say(&tally(found)),
                path,
            })
        });
        all.collect()
    }
}

/// A figure's working at a line of a notebook, or at its end; `None` where there is no such line or notebook.
pub fn working(compiled: &Compiled, figure: FigureName, path: &str, line: Option<u32>) -> Option<Why> {
    let (book, season) = (&*compiled.book, &*compiled.season);
    let file = book.sources.find(path)?;
    if let Some(day) = book.day_of(file) {
        let (about, replay) = (book.days.get(day)?, season.days.get(day)?);
        let state = match line {
            Some(line) => replay.at(book.sources.line(file, line)?.end),
            None => replay.end(),
        };
        let units = book.units_for(about.rider.as_deref());
        return Some(why(book, Here::of_day(book, season, day, state)?, figure, &units));
    }
    let machine = book.machines.values().find(|machine| machine.document.file == file)?;
    let state = season.as_standard(&machine.name)?;
    Some(why(book, Here::of_machine(book, season, machine, &state), figure, &book.units_for(None)))
}

/// Markdown with a link to a figure's working.
fn linked(told: &str, link: Option<String>) -> String {
    match link {
        Some(link) => format!("[**{told}**](<{link}>)"),
        None => format!("**{told}**"),
    }
}
