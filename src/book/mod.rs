//! Typed notebooks, found and linked to each other.
//!
//! What each notebook says by itself, and which machine, rider and track a day is about. Which settings hold on
//! a day, carried from earlier ones, is the business of `season`.

mod codes;
mod head;
mod kept;
mod lap_file;
mod limits;
mod links;
mod load;
mod notebook;
mod places;
pub mod readings;
mod source_id;
mod tongues;
mod written;

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use crate::finding::Finding;
use crate::notebook::Image;
use crate::quantity::Units;
use crate::source::{FileId, Sources, Span, limits as bounds};
use crate::speech::{ENGLISH_TAG, say};
use crate::vocabulary::blocks::{
    AIR, Carburettor, Chamber, Drive, Fenced, Fork, Frame, Link, NEGATIVE, RiderBlock, Settings, Shock,
    Springs, Stint, TrackBlock, Wheel,
};
use crate::vocabulary::values::{Given, Instrument, Laps, Written};
use crate::vocabulary::{End, NotebookKind, Setting};

use lap_file::LapFiles;

pub use codes::{CODES, NO_LINK};
pub(crate) use kept::Kept;
pub use lap_file::Lap;
pub use limits::EndedBy;
pub(crate) use links::{Asked, asked};
pub(crate) use load::load;
pub use notebook::Notebook;
pub use places::PlaceName;
pub use source_id::SourceId;
pub use tongues::Tongues;
pub(crate) use written::document;

/// A folder of notebooks, read, typed and linked.
#[derive(Debug, Default)]
pub struct Book {
    pub sources: Sources,
    pub tongues: Tongues,
    pub about: About,
    pub machines: BTreeMap<String, Arc<Notebook>>,
    pub riders: BTreeMap<String, Arc<Notebook>>,
    pub tracks: BTreeMap<String, Arc<Notebook>>,
    /// By date; on one date by `order`, then by the first `start`, then by file.
    pub days: Vec<Day>,
    /// The day of a file: figures ask this for each of their readings.
    day_of: BTreeMap<FileId, usize>,
    /// The lap files that stints point to.
    lap_files: LapFiles,
    /// The path of each photo in the book, by the place that shows it.
    photos: BTreeMap<Span, String>,
}

/// What `book.toml` says; everything has a default.
#[derive(Debug, Default)]
pub struct About {
    pub file: Option<FileId>,
    pub title: Option<String>,
    pub paper: Option<Written>,
    pub units: Units,
    /// The language of whoever has none of their own.
    pub language: Option<Written>,
    pub instruments: BTreeMap<String, Instrument>,
    pub tape: Option<Written>,
    pub gauge: Option<Written>,
    pub scale: Option<Written>,
    pub thermometer: Option<Written>,
    pub barometer: Option<Written>,
    pub hygrometer: Option<Written>,
    pub altimeter: Option<Written>,
    pub machine: Option<Written>,
    pub rider: Option<Written>,
    pub folder: Option<Written>,
}

/// A day's notebook, and what it is about.
#[derive(Debug)]
pub struct Day {
    pub notebook: Arc<Notebook>,
    pub date: Date,
    /// The date's own place; the top of the file where no date could be read.
    pub date_span: Span,
    /// Whether `date` was written; a day without one comes first in the book.
    pub is_dated: bool,
    /// Names of notebooks that exist.
    pub machine: Option<String>,
    pub rider: Option<String>,
    pub track: Option<String>,
}

impl Book {
    /// Whether `book.toml` is the same as in another reading of the book.
    pub fn is_about_the_same(&self, then: &Self) -> bool {
        match (then.about.file, self.about.file) {
            (None, None) => true,
            (Some(one), Some(other)) => one == other && self.sources.has_as_in(&then.sources, other),
            _ => false,
        }
    }

    pub fn machine(&self, day: &Day) -> Option<&Notebook> {
        self.machines.get(day.machine.as_deref()?).map(|notebook| &**notebook)
    }

    pub fn rider(&self, day: &Day) -> Option<&Notebook> {
        self.riders.get(day.rider.as_deref()?).map(|notebook| &**notebook)
    }

    pub fn track(&self, day: &Day) -> Option<&Notebook> {
        self.tracks.get(day.track.as_deref()?).map(|notebook| &**notebook)
    }

    /// Every notebook: machines, riders, tracks, then days.
    pub fn notebooks(&self) -> impl Iterator<Item = &Notebook> {
        self.standing().chain(self.days.iter().map(|day| &*day.notebook))
    }

    /// The notebooks that are not days: machines, riders, tracks.
    pub(super) fn standing(&self) -> impl Iterator<Item = &Notebook> {
        let all = self.machines.values().chain(self.riders.values()).chain(self.tracks.values());
        all.map(|notebook| &**notebook)
    }

    /// The notebook in a file.
    pub fn notebook(&self, file: FileId) -> Option<&Notebook> {
        match self.day_of(file).and_then(|day| self.days.get(day)) {
            Some(day) => Some(&day.notebook),
            None => self.standing().find(|notebook| notebook.document.file == file),
        }
    }

    /// The day in a file, by its place in the book.
    pub fn day_of(&self, file: FileId) -> Option<usize> {
        self.day_of.get(&file).copied()
    }

    /// Whether the book or one of its riders has a language other than English.
    pub fn is_translated(&self) -> bool {
        let riders = self.riders.values().map(|rider| &rider.units);
        riders.chain([&self.about.units]).any(|units| !units.tongue().is_english())
    }

    /// The units to print in: the rider's own where the rider chose them, else the book's.
    pub fn units_for(&self, rider: Option<&str>) -> Units {
        let own = rider.and_then(|name| self.riders.get(name)).map(|rider| &rider.units);
        own.map_or_else(|| self.about.units.clone(), |own| self.about.units.overlaid(own))
    }

    /// The language that a rider writes in, as a tag without a region (BCP 47): their own, else the book's, else English.
    /// Programs get everything in English, and riders keep writing as they do.
    pub fn language_of(&self, rider: Option<&str>) -> &str {
        let own = rider.and_then(|name| self.riders.get(name)).and_then(|rider| rider.head.language.as_ref());
        let tag = own.or(self.about.language.as_ref()).map_or(ENGLISH_TAG, |language| &language.text);
        tag.split('-').next().unwrap_or(tag)
    }

    /// The lap times of a stint that count, in s: as written, or from its file, without those it skips.
    pub fn laps(&self, stint: &Stint) -> Vec<f64> {
        self.counted_laps(stint).map(|lap| lap.time).collect()
    }

    /// All laps of a stint, each with its place.
    pub fn all_laps(&self, stint: &Stint) -> Vec<Lap> {
        match &stint.laps {
            Some(Laps::Times(times)) => {
                let numbered = times.values.iter().zip(1_u32..);
                numbered
                    .map(|(given, number)| Lap { time: given.value(), number, span: given.span })
                    .collect()
            }
            Some(Laps::File(_)) => self.in_lap_file(stint).map_or(Vec::new(), |(_, laps)| laps.to_vec()),
            None => Vec::new(),
        }
    }

    /// The laps of a stint that count.
    pub fn counted_laps(&self, stint: &Stint) -> impl Iterator<Item = Lap> {
        let all = self.all_laps(stint);
        let skipped: Vec<f64> = stint.skip.iter().flat_map(|skip| &skip.values).map(Given::value).collect();
        all.into_iter().filter(move |lap| !skipped.contains(&f64::from(lap.number)))
    }

    /// The lap files that the stints of a notebook read.
    pub fn lap_files_of(&self, notebook: &Notebook) -> impl Iterator<Item = FileId> {
        let read = notebook.all::<Stint>().filter_map(|stint| self.in_lap_file(stint));
        read.filter_map(|(path, _)| self.sources.find(path))
    }

    /// The lap file of a stint, by its path in the book, and all its laps.
    fn in_lap_file(&self, stint: &Stint) -> Option<(&str, &[Lap])> {
        let Some(Laps::File(path)) = &stint.laps else { return None };
        let notebook = self.sources.path(path.span.file);
        lap_file::find(&self.lap_files, notebook, path, stint.column.as_ref())
    }

    /// Whether all lap files are those of another book.
    pub fn has_laps_as(&self, other: &Self) -> bool {
        let mut pairs = self.lap_files.iter().zip(&other.lap_files);
        self.lap_files.len() == other.lap_files.len()
            && pairs.all(|((one, laps), (other, others))| one == other && Arc::ptr_eq(laps, others))
    }

    /// Whether the stints of a notebook read the same lap files as in another book.
    pub fn reads_laps_as(&self, other: &Self, notebook: &Notebook) -> bool {
        let file = |book: &Self, stint: &Stint| -> Option<*const Lap> {
            let (_, laps) = book.in_lap_file(stint)?;
            laps.first().map(std::ptr::from_ref)
        };
        notebook.all::<Stint>().all(|stint| file(self, stint) == file(other, stint))
    }

    /// The path in the book of a notebook's photo; `None` where it is missing.
    pub fn photo(&self, image: &Image) -> Option<&str> {
        self.photos.get(&image.span).map(String::as_str)
    }

    /// The finding about a photo that could not be printed, at the first place that shows it; `None` where no
    /// notebook does.
    pub fn unprinted(&self, photo: &str, why: &str) -> Option<Finding> {
        let (span, _) = self.photos.iter().find(|(_, path)| *path == photo)?;
        let headline = say!("`{photo}` cannot be printed: {why}", photo, why);
        Some(Finding::new(&codes::UNPRINTED_PHOTO, *span, headline).help(say!("save it smaller, or as JPEG")))
    }

    pub fn instrument(&self, name: &str) -> Option<&Instrument> {
        self.about.instruments.get(name)
    }
}

/// What a machine's notebook says of the machine.
impl Notebook {
    pub fn frame(&self) -> Option<&Frame> {
        self.last::<Frame>()
    }
    pub fn fork(&self) -> Option<&Fork> {
        self.last::<Fork>()
    }
    /// Whether the fork has bleed screws. An air fork never has, whatever is written: somebody would press the air
    /// valve.
    pub fn has_bleeders(&self) -> bool {
        self.fork().is_some_and(|fork| {
            let is_air = fork.kind.as_ref().is_some_and(|kind| kind.text == AIR);
            !is_air && fork.bleeders.is_some_and(|bleeders| bleeders.value)
        })
    }
    pub fn shock(&self) -> Option<&Shock> {
        self.last::<Shock>()
    }
    pub fn drive(&self) -> Option<&Drive> {
        self.last::<Drive>()
    }
    pub fn carburettor(&self) -> Option<&Carburettor> {
        self.last::<Carburettor>()
    }
    pub fn wheel(&self, end: End) -> Option<&Wheel> {
        self.at_end(end)
    }
    pub fn springs(&self, end: End) -> Option<&Springs> {
        self.at_end(end)
    }
    /// The air chambers with their names, in the order of the notebook, up to the limit.
    pub fn chambers(&self) -> impl Iterator<Item = (&str, &Chamber)> {
        self.all::<Chamber>()
            .filter_map(|chamber| Some((chamber.header.argument.as_ref()?.text.as_str(), chamber)))
            .take(bounds::CHAMBERS)
    }
    /// The place of a chamber's setting among the chambers: those that push, then those that pull, each in the order
    /// of the machine's notebook. `None` where this machine has no such chamber.
    pub fn chamber_order(&self, setting: Setting) -> Option<(bool, usize)> {
        let name = Setting::CHAMBER.word_of(setting)?;
        let (at, (_, chamber)) = self.chambers().enumerate().find(|(_, (known, _))| *known == name)?;
        Some((chamber.side.as_ref().is_some_and(|side| side.text == NEGATIVE), at))
    }
    pub fn chamber(&self, name: &str) -> Option<&Chamber> {
        self.chambers().find(|(known, _)| *known == name).map(|(_, chamber)| chamber)
    }
    pub fn link(&self, name: &str) -> Option<&Link> {
        self.all::<Link>().find(|link| link.header.argument() == name)
    }
    pub fn rider_block(&self) -> Option<&RiderBlock> {
        self.last::<RiderBlock>()
    }
    pub fn track_block(&self) -> Option<&TrackBlock> {
        self.last::<TrackBlock>()
    }

    /// The `settings` blocks without a name (a machine's standard setting), or with this one.
    pub fn settings_named<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Settings> {
        self.all::<Settings>().filter(move |settings| settings.header.argument() == name)
    }

    fn at_end<T: Fenced + 'static>(&self, end: End) -> Option<&T> {
        self.all::<T>().rfind(|block| block.header().end() == Some(end))
    }

    pub fn is(&self, kind: NotebookKind) -> bool {
        self.kind == kind
    }
}
