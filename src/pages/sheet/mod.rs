//! The set-up sheet: what one rider sets on one machine for one day, what follows from it, and what to look at
//! before riding.
//!
//! It shows the end of the day's notebook. Whether all of it fits on a page, and what gives way first, is
//! decided elsewhere.

pub(super) mod cautions;
mod curves;
pub(in crate::pages) mod diary;
mod head;
mod last_ride;
mod looks;
mod makes;
mod next;
mod plans;
mod settings;
mod stands;

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Advice, Unfit};
use crate::book::{Book, Day, Notebook};
use crate::figures::tape::Tape;
use crate::figures::{Bench, Here};
use crate::season::{DayReplay, Season, State};
use crate::source::Span;
use crate::speech::{Tongue, say};
use crate::vocabulary::blocks::{AnyBlock, Checklist, Torques};

use super::blob_id;
use super::gauge::Pump;
use super::say::Say;

pub(super) use cautions::cautions_of_changes;
pub use curves::{Curve, ForceChart, LeverageChart, Sort, Zone};
pub use head::{Head, Named};
pub use last_ride::LastRide;
pub use looks::Look;
pub(super) use looks::looks_of;
pub use makes::{AfterRide, BandMark, PressureLine, Reading, Tile};
pub use next::NextChange;
pub use plans::{Plan, PlanLine};
pub use settings::{SettingLine, ToSet};
pub use stands::HowItStands;

/// What a set-up sheet says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// For bookmarks and windows.
    pub title: String,
    pub head: Head,
    /// The rider is not to ride: nothing else is on the sheet.
    pub stop: Option<Stop>,
    pub to_set: ToSet,
    /// Sags on their bands.
    pub sags: Vec<Tile>,
    pub balance: Vec<Tile>,
    /// Each with its difference from the standard setting.
    pub geometry: Vec<Tile>,
    pub pressures: Vec<PressureLine>,
    /// The temperature of the legs at the track, cold.
    pub track_at: Option<String>,
    /// Whether the bench needs other numbers than the track.
    pub is_for_bench: bool,
    /// The temperature at which pressures on the bench hold: that of their last reading there.
    pub bench_at: Option<String>,
    /// Why something cannot be set on the bench, each reason once.
    pub not_on_bench: Vec<String>,
    /// What the last ride was like.
    pub last_ride: Option<LastRide>,
    /// Straight off the track, as read.
    pub after_ride: Vec<AfterRide>,
    pub force: Option<ForceChart>,
    /// For the page behind the sheet.
    pub stands: Option<HowItStands>,
    /// The figures' assumptions, each once.
    pub assumed: Vec<String>,
    /// The places of errors for which something here is empty.
    pub in_the_way: Vec<String>,
    /// What to read three times, so that the figures are surer, each once.
    pub read_once: Vec<String>,
    /// Checks that are due, in the order of the machine's notebook.
    pub due: Vec<Look>,
    /// What to look at before riding, without what the day's notebook shows as done.
    pub looks: Vec<String>,
    /// The one next change to try for the complaint on file.
    pub next: Option<NextChange>,
    /// Named settings that the notebooks keep ready.
    pub plans: Vec<Plan>,
    /// The machine's own boxes.
    pub checklist: Vec<String>,
    /// From the manual; empty unless asked for.
    pub torques: Vec<Tile>,
    pub cautions: Vec<String>,
    pub photos: Vec<Photo>,
    /// The day in the rider's own words, with its figures; `None` unless asked for.
    pub diary: Option<String>,
    pub foot: Foot,
}

/// Why a sheet is empty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stop {
    pub say: String,
    /// The rider's words that are the reason, and their place.
    pub why: String,
}

/// A photo of the day's notebook, for the page behind the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Photo {
    /// Relative to the book.
    pub path: String,
    pub caption: String,
}

/// What the sheet was compiled from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Foot {
    /// The day's notebook, relative to the book.
    pub notebook: String,
    /// The notebook's git blob id.
    pub blob: String,
    /// Both, and the date, in one line.
    pub line: String,
}

/// What a sheet may have besides what the notebook says.
#[derive(Debug, Clone, Copy, Default)]
pub struct Options {
    /// The date that due checks are judged by; the notebook's own where none is given.
    pub on: Option<Date>,
    /// Whether the manual's torques are printed.
    pub torques: bool,
    /// Whether the day's own words are on a page behind the sheet.
    pub diary: bool,
    /// Whether others see it: then nobody's mass is on it.
    pub is_shared: bool,
    /// Whether it is in the book's language rather than the rider's.
    pub is_of_book: bool,
}

/// What all parts of a sheet need.
struct Desk<'a> {
    book: &'a Book,
    season: &'a Season,
    index: usize,
    day: &'a Day,
    replay: &'a DayReplay,
    machine: Option<&'a Notebook>,
    say: Say<'a>,
    options: Options,
}

impl<'a> Desk<'a> {
    /// The state at the day's end.
    fn state(&self) -> &'a State {
        self.replay.end()
    }

    /// What is said of pressures to pump.
    fn pump(&self) -> Pump<'_> {
        Pump { say: self.say, book: self.book, machine: self.machine, state: self.state() }
    }

    /// The last time out of machine and rider; `None` on their first day.
    fn last_time(&self) -> Option<(&'a Day, &'a State)> {
        let previous = self.replay.previous?;
        Some((self.book.days.get(previous)?, self.season.days.get(previous)?.end()))
    }
}

/// The sheet of a day, by the day's place in the book; `None` where there is no such day.
pub fn sheet(book: &Book, season: &Season, advice: &Advice, index: usize, options: Options) -> Option<Sheet> {
    let (day, replay) = (book.days.get(index)?, season.days.get(index)?);
    let mut units = book.units_for(day.rider.as_deref());
    if options.is_of_book {
        units.speak(book.about.units.tongue().clone());
    }
    let machine = book.machine(day);
    let desk = Desk { book, season, index, day, replay, machine, say: Say::new(&units), options };
    let tape = Tape::new();
    let bench = Bench::new(Here::of_day(book, season, index, desk.state())?, &tape);

    let to_set = settings::to_set(&desk, &bench);
    let due = looks::due(&desk, options.on.unwrap_or(day.date));
    let looks = looks::looks(&desk);
    let next = next::next(&desk, advice, options.on);
    let moves = next.as_ref().map(|next| next.moves.as_slice()).unwrap_or_default();
    let cautions = cautions::cautions(&desk, &to_set, moves, &due);
    let tiles = makes::Tiles::of(&desk, &bench);
    let pressures = makes::pressures(&desk, &bench, &to_set);
    let head = head::head(&desk);
    let force = curves::force(&desk, &bench);
    if let Some(unfit) = advice::unfit(book, advice, index) {
        return Some(stopped(&desk, head, &unfit));
    }
    Some(Sheet {
        tongue: units.tongue().clone(),
        title: head.title(),
        head,
        stop: None,
        assumed: makes::assumed(&desk, &tiles, &pressures, &bench),
        in_the_way: in_the_way(&desk),
        read_once: makes::read_once(&tiles),
        sags: tiles.sags,
        balance: tiles.balance,
        geometry: tiles.geometry,
        track_at: makes::track_at(&desk),
        is_for_bench: makes::is_for_bench(&desk, &pressures),
        not_on_bench: makes::not_on_bench(&pressures),
        last_ride: last_ride::last_ride(&desk),
        pressures,
        bench_at: makes::bench_at(&desk),
        after_ride: makes::after_ride(&desk),
        stands: stands::how_it_stands(&desk, &bench, force.as_ref()),
        force,
        due,
        looks,
        next,
        plans: plans::plans(&desk),
        checklist: checklist(&desk),
        torques: if options.torques { torques(&desk) } else { Vec::new() },
        cautions,
        photos: photos(&desk),
        diary: if options.diary { diary::diary(&desk) } else { None },
        foot: foot(&desk),
        to_set,
    })
}

/// Errors in what is carried here, and in the notebooks of the day, its machine, rider and track.
fn in_the_way(desk: &Desk<'_>) -> Vec<String> {
    let notebooks =
        [Some(&*desk.day.notebook), desk.machine, desk.book.rider(desk.day), desk.book.track(desk.day)];
    let headers = notebooks.into_iter().flatten().flat_map(|notebook| &notebook.blocks).map(AnyBlock::header);
    let unread = headers.flat_map(|header| header.unread.rejections());
    let mut spans: Vec<Span> =
        desk.state().rejections().into_iter().chain(unread).map(|rejected| rejected.span).collect();
    spans.sort_unstable();
    let sources = &desk.book.sources;
    let mut places: Vec<String> = spans
        .into_iter()
        .map(|span| {
            let (path, line) = (sources.path(span.file), sources.start(span).line);
            desk.say.text(&say!("{path} line {line}", path, line))
        })
        .collect();
    places.dedup();
    places
}

/// The sheet of a rider who is not to ride: only whose it is, and that.
fn stopped(desk: &Desk<'_>, head: Head, unfit: &Unfit) -> Sheet {
    let why = unfit.text().replacen(&unfit.say, "", 1).trim().to_owned();
    Sheet {
        tongue: desk.say.units().tongue().clone(),
        title: head.title(),
        head: Head { conditions: Vec::new(), about: Vec::new(), ..head },
        stop: Some(Stop { say: unfit.say.clone(), why }),
        to_set: ToSet { lines: Vec::new(), against: None },
        sags: Vec::new(),
        balance: Vec::new(),
        geometry: Vec::new(),
        pressures: Vec::new(),
        after_ride: Vec::new(),
        track_at: None,
        is_for_bench: false,
        not_on_bench: Vec::new(),
        last_ride: None,
        bench_at: None,
        force: None,
        stands: None,
        in_the_way: Vec::new(),
        read_once: Vec::new(),
        assumed: Vec::new(),
        due: Vec::new(),
        looks: Vec::new(),
        next: None,
        plans: Vec::new(),
        checklist: Vec::new(),
        torques: Vec::new(),
        cautions: Vec::new(),
        photos: Vec::new(),
        diary: None,
        foot: foot(desk),
    }
}

fn checklist(desk: &Desk<'_>) -> Vec<String> {
    let lists = desk.machine.into_iter().flat_map(|machine| machine.all::<Checklist>());
    lists
        .filter_map(|list| list.items.as_ref())
        .flat_map(|items| &items.values)
        .map(|item| item.text.clone())
        .collect()
}

fn torques(desk: &Desk<'_>) -> Vec<Tile> {
    let blocks = desk.machine.into_iter().flat_map(|machine| machine.all::<Torques>());
    blocks
        .flat_map(|block| &block.others.torques)
        .map(|fastener| Tile {
            figure: None,
            label: fastener.name.clone(),
            reading: Reading::known(desk.say.quantity(&fastener.torque.quantity)),
            change: None,
            band: None,
            verdict: None,
            note: None,
        })
        .collect()
}

fn photos(desk: &Desk<'_>) -> Vec<Photo> {
    let images = &desk.day.notebook.document.images;
    let found = images.iter().filter_map(|image| {
        let path = desk.book.photo(image)?.to_owned();
        Some(Photo { path, caption: image.alt.clone() })
    });
    found.collect()
}

fn foot(desk: &Desk<'_>) -> Foot {
    let text = desk.book.sources.whole(desk.day.notebook.document.file);
    let (notebook, blob) = (desk.day.notebook.path.clone(), blob_id(text.as_bytes()));
    let date = if desk.day.is_dated { format!(" · {}", desk.day.date) } else { String::new() };
    Foot { line: format!("{notebook} · {blob}{date}"), notebook, blob }
}
