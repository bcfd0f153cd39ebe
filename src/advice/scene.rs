//! Where advice is asked: what is in force and measured there, and what the machine allows.

use jiff::civil::Date;

use crate::book::{Book, Day, EndedBy, Notebook};
use crate::checks::{Due, schedule};
use crate::figures::tape::Tape;
use crate::figures::{Absent, Bench, Figure, Here};
use crate::quantity::{
    Interval, Kind, Quantity, Units, show, show_interval, show_value, show_with_uncertainty,
};
use crate::season::{Changed, Charge, DayReplay, Event, HeldValue, How, Place, Season, Seen, State};
use crate::speech::Message;
use crate::vocabulary::blocks::Chamber;
use crate::vocabulary::name::Open;
use crate::vocabulary::values::{Band, Bounds};
use crate::vocabulary::{FigureName, Named, Setting};

use super::clearance::{Crash, Mark, crash_of_machine};
use super::parts::Advice;

const MAKERS_LIMIT: &str = "the maker's limit";
const PRELOAD_RANGE: &str = "the preload's range";
const CHAMBERS_LIMIT: &str = "the chamber's limit";
const ANY_MACHINE: &str = "what holds on any machine";

/// The names of limits, by where they come from; no step passes one.
pub const LIMITS: [&str; 4] = [MAKERS_LIMIT, PRELOAD_RANGE, CHAMBERS_LIMIT, ANY_MACHINE];

/// A place where advice is asked, with everything that matters for it.
pub(super) struct Scene<'a> {
    pub book: &'a Book,
    pub season: &'a Season,
    pub advice: &'a Advice,
    pub day: usize,
    pub about: &'a Day,
    pub replay: &'a DayReplay,
    /// How many of the day's points are above the place.
    pub points: usize,
    pub machine: Option<&'a Notebook>,
    pub units: Units,
    /// The same with the numbers and words of notebooks.
    pub plain: Units,
    /// The date of asking.
    pub on: Date,
    pub state: &'a State,
    pub due: Vec<Due>,
    /// The last crash with the machine.
    pub crash: Option<Crash>,
}

/// A setting as it is now.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Base {
    /// For a pressure, the aim.
    pub quantity: Quantity,
    /// What the gauge showed of what is inside today, where that differs: a step adds to both.
    pub inside: Option<Quantity>,
}

impl<'a> Scene<'a> {
    pub fn new(
        book: &'a Book,
        season: &'a Season,
        advice: &'a Advice,
        day: usize,
        points: usize,
        on: Option<Date>,
    ) -> Option<Self> {
        let about = book.days.get(day)?;
        let replay = season.days.get(day)?;
        let points = points.min(replay.points.len());
        let state = points
            .checked_sub(1)
            .and_then(|last| replay.points.get(last))
            .map_or(&replay.start, |point| &point.state);
        let on = on.unwrap_or(about.date);
        let machine = book.machine(about);
        let due = machine.map(|machine| schedule(machine, state, on)).unwrap_or_default();
        let units = book.units_for(about.rider.as_deref());
        let mut scene = Self {
            book,
            season,
            advice,
            day,
            about,
            replay,
            points,
            machine,
            plain: units.plain(),
            units,
            on,
            state,
            due,
            crash: None,
        };
        scene.crash = crash_of_machine(book, advice, scene.until());
        Some(scene)
    }

    /// How far down the diary is read.
    pub fn until(&self) -> Mark {
        match self.replay.points.get(self.points) {
            None => Mark::end_of(self.day),
            Some(next) => {
                let next = Mark::of(self.book, Place { day: self.day, block: next.block });
                Mark { offset: next.offset.saturating_sub(1), ..next }
            }
        }
    }

    /// Whether something was looked at before the machine's last crash.
    pub fn is_before_crash(&self, seen: &Seen) -> bool {
        self.crash.as_ref().is_some_and(|crash| Mark::of(self.book, seen.place) < crash.mark)
    }

    /// Figures at a state of the day, each with its error sources.
    pub fn figures(&self, state: &State, names: &[FigureName]) -> Vec<Figure> {
        let Some(here) = Here::of_day(self.book, self.season, self.day, state) else { return Vec::new() };
        let tape = Tape::new();
        let bench = Bench::new(here, &tape);
        names.iter().map(|name| bench.figure(*name)).collect()
    }

    /// The plain value of a figure at a state of the day, in the SI base unit.
    pub fn value(&self, state: &State, name: FigureName) -> Option<f64> {
        let here = Here::of_day(self.book, self.season, self.day, state)?;
        Bench::new(here, crate::figures::Plain).value(name)
    }

    /// Why a figure cannot be had at a state of the day; `None` where it can.
    pub fn why_absent(&self, state: &State, name: FigureName) -> Option<Message> {
        Some(self.absent(state, name)?.reason())
    }

    /// The same, with what kind of reason it is.
    pub fn absent(&self, state: &State, name: FigureName) -> Option<Absent> {
        let here = Here::of_day(self.book, self.season, self.day, state)?;
        Bench::new(here, crate::figures::Plain).why_absent(name)
    }

    /// The expanded uncertainty of a figure; `None` where it is unknown.
    pub fn expanded(&self, name: FigureName) -> Option<f64> {
        self.figures(self.state, &[name]).first().and_then(Figure::expanded)
    }

    /// A value in the reader's units.
    pub fn shown(&self, kind: Kind, value: f64) -> String {
        show_value(kind, value, &self.units).to_string()
    }

    pub fn shown_figure(&self, figure: &Figure) -> Option<String> {
        let number = figure.number()?;
        Some(match figure.expanded() {
            Some(expanded) => {
                show_with_uncertainty(number.kind, number.value, expanded, &self.units).to_string()
            }
            None => self.shown(number.kind, number.value),
        })
    }

    pub fn shown_held(&self, name: Changed, value: &HeldValue) -> String {
        match value {
            HeldValue::Quantity(quantity) => show(quantity, &self.units).to_string(),
            HeldValue::Word(word) => match name.setting() {
                Some(name) => self.say(&name.info().say_word(word)),
                None => word.clone(),
            },
        }
    }

    pub fn shown_bounds(&self, bounds: &Bounds) -> String {
        show_interval(&Interval { low: bounds.low, high: bounds.high }, &self.units)
    }

    /// The machine's band for a name.
    pub fn band(&self, name: impl Into<Named>) -> Option<&'a Band> {
        self.machine?.band(name)
    }

    /// All limits of the maker's and of the advice file's for a setting, each with its name.
    pub fn limits(&self, name: Setting) -> Vec<(Bounds, &'static str)> {
        let Some(machine) = self.machine else { return Vec::new() };
        let called = |by| match by {
            EndedBy::MakersLimit => MAKERS_LIMIT,
            EndedBy::ChambersLimit => CHAMBERS_LIMIT,
            EndedBy::PreloadRange => PRELOAD_RANGE,
        };
        let mut all: Vec<_> = machine.ends(name).into_iter().map(|(end, by)| (end, called(by))).collect();
        for range in self.advice.practice().ranges.iter().filter(|range| range.of.contain(name.into())) {
            let top = crate::source::Span::top(self.about.notebook.document.file);
            let bounds = Bounds { low: range.within.low, high: range.within.high, span: top };
            all.push((bounds, ANY_MACHINE));
        }
        all
    }

    /// The limit that a value of a setting would pass, with its name.
    pub fn past(&self, name: Setting, value: f64) -> Option<(Bounds, &'static str)> {
        self.limits(name).into_iter().find(|(bounds, _)| !bounds.contain(value))
    }

    /// Whether it is a pressure without an upper limit on file.
    pub fn has_no_top(&self, name: Setting) -> bool {
        name.is_pressure() && !self.limits(name).iter().any(|(bounds, _)| bounds.high.is_some())
    }

    /// Whether the machine's notebook has the maker's limit on a name.
    pub fn has_limit(&self, name: Named) -> bool {
        self.machine.is_some_and(|machine| machine.has_limit(name))
    }

    /// How many clicks or turns an adjuster has.
    pub fn adjuster(&self, name: Setting) -> Option<Quantity> {
        self.machine?.adjuster(name).map(|range| range.quantity)
    }

    /// A setting at a state; for a pressure the aim, or what was inside where there is no aim.
    pub fn base_at(&self, state: &State, name: Setting) -> Option<Base> {
        let quantity = *state.start_of(name)?.value.quantity()?;
        let inside =
            state.pressure(name).of_today().filter(|_| name.is_pressure()).and_then(Charge::quantity);
        let is_other = |inside: &Quantity| {
            (inside.value - quantity.value).abs() > 0.5 * quantity.last_digit.min(inside.last_digit)
        };
        Some(Base { quantity, inside: inside.filter(is_other) })
    }

    pub fn base(&self, name: Setting) -> Option<Base> {
        self.base_at(self.state, name)
    }

    /// The state before the day's first change on purpose of one of these settings; the present one where there was none.
    pub fn before_changes(&self, names: &[Setting]) -> &'a State {
        let moved = |how: How| matches!(how, How::Change | How::Back | How::Plan);
        let is_of_these = |event: &&Event| event.name.setting().is_some_and(|name| names.contains(&name));
        let first = self.replay.events.iter().filter(is_of_these).find(|event| moved(event.how));
        let Some(first) = first.filter(|first| first.block < self.points) else { return self.state };
        let before = first.block.checked_sub(1).and_then(|before| self.replay.points.get(before));
        before.map_or(&self.replay.start, |point| &point.state)
    }

    /// A message in the rider's language.
    pub fn say(&self, said: &Message) -> String {
        self.units.say(said)
    }

    /// Words of the advice in the rider's language; a book's own as they are.
    pub fn word(&self, words: &str) -> String {
        self.units.word(words)
    }

    /// A complaint in the rider's language; an unknown word is the rider's own.
    pub fn complaint_said(&self, word: &str) -> String {
        let known = self.advice.complaint(word, None);
        known.map_or_else(|| word.to_owned(), |complaint| self.word(&complaint.say))
    }

    /// Words of the advice with END or NAME filled in.
    pub fn with_open(&self, text: &str, open: Open) -> String {
        let said = self.units.say(&open.said());
        // What is to be written stays as notebooks have it.
        let text = self.word(text).replace("`travel_used.END`", &format!("`travel_used.{open}`"));
        let is_open = |word: &&str| matches!(*word, "END" | "NAME");
        let words = text.split(' ').map(|word| if is_open(&word) { said.as_str() } else { word });
        words.collect::<Vec<_>>().join(" ")
    }

    /// The air chambers that are set by themselves.
    pub fn chambers(&self, side: &'a str) -> impl Iterator<Item = (&'a str, &'a Chamber)> {
        let chambers = self.machine.into_iter().flat_map(|machine| machine.chambers());
        let of_side = move |chamber: &Chamber| chamber.side.as_ref().is_some_and(|own| own.text == side);
        chambers.filter(move |(_, chamber)| of_side(chamber) && chamber.charged_from.is_none())
    }
}
