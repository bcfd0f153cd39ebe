//! Where advice is asked: what is in force and measured there, and what the machine allows.

use jiff::civil::Date;

use crate::book::{Book, Day, EndedBy, Notebook};
use crate::checks::{Due, schedule};
use crate::figures::tape::Tape;
use crate::figures::{Bench, Figure, Here};
use crate::quantity::{
    Interval, Kind, Quantity, Units, show, show_interval, show_value, show_with_uncertainty,
};
use crate::season::{
    Changed, Charge, DayReplay, Event, HeldValue, How, LastWord, Place, Season, Seen, State,
};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Chamber, FALLS};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::Open;
use crate::vocabulary::values::{Band, Bounds};
use crate::vocabulary::{Care, End, FigureName, Named, NamedRow, ReadingName, Setting};

use super::answer::ReadingState;
use super::clearance::{Crash, Mark, crash_of_machine};
use super::data::{ReadingRule, Work};
use super::parts::Advice;
use super::rides::Ride;

const MAKERS_LIMIT: &str = "the maker's limit";
const PRELOAD_RANGE: &str = "the preload's range";
const CHAMBERS_LIMIT: &str = "the chamber's limit";
const ANY_MACHINE: &str = "what holds on any machine";

/// The drop test, which is a word and no number.
pub(super) const DROP: Named = Named::Reading(ReadingName::SteeringDrop);

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

/// Whether a reading can be used.
pub(super) enum Freshness {
    Fresh,
    /// It must be taken first, and why.
    Due(String),
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
        let here = Here::of_day(self.book, self.season, self.day, state)?;
        Some(Bench::new(here, crate::figures::Plain).why_absent(name)?.reason())
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

    /// The rule for a reading.
    fn rule(&self, name: Named) -> Option<&'a ReadingRule> {
        self.advice.practice().readings.iter().find(|rule| rule.of.contain(name))
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
    fn with_open(&self, text: &str, open: Open) -> String {
        let said = self.units.say(&open.said());
        // What is to be written stays as notebooks have it.
        let text = self.word(text).replace("`travel_used.END`", &format!("`travel_used.{open}`"));
        let is_open = |word: &&str| matches!(*word, "END" | "NAME");
        let words = text.split(' ').map(|word| if is_open(&word) { said.as_str() } else { word });
        words.collect::<Vec<_>>().join(" ")
    }

    /// How a reading is taken.
    pub fn how_to(&self, name: Named) -> String {
        match self.rule(name) {
            Some(rule) => self.with_open(&rule.say, rule.of.open_in(name)),
            None => self.say(&say!("measure `{name}` and write it down", name)),
        }
    }

    /// Whether a reading is good enough to rest a change on.
    pub fn freshness(&self, name: Named, ride: Option<&Ride<'_>>) -> Freshness {
        if let Some(end) = name.figure().and_then(|name| FigureName::TRAVEL_USED_SHARE.end_of(name)) {
            return match ride.and_then(|ride| ride.state.travel_used(end)) {
                Some(_) => Freshness::Fresh,
                None => Freshness::Due(
                    self.say(&say!("the ring was not read on the ride that the complaint is from")),
                ),
            };
        }
        let seen = self.state.seen(name.as_str());
        // A pressure set today is known as well as one that was read.
        let set_today = name
            .setting()
            .and_then(|name| self.state.setting(name))
            .is_some_and(|held| held.place.is_some_and(|place| place.day == self.day));
        let Some(seen) = seen else {
            return if set_today {
                Freshness::Fresh
            } else {
                Freshness::Due(self.say(&say!("it was never measured")))
            };
        };
        let is_of_steering = name.care() == Some(Care::Steering);
        if let Some(crash) = self.crash.as_ref().filter(|_| is_of_steering && self.is_before_crash(&seen)) {
            return Freshness::Due(
                self.say(&say!("there was a crash on {date} since it was measured", date = crash.date)),
            );
        }
        let rule = self.rule(name);
        if let Some(setting) = self.worked_on(name) {
            return Freshness::Due(self.say(&say!(
                "{label} was changed since it was measured on {date}",
                label = setting.label(),
                date = seen.date
            )));
        }
        if let Some(due) = self.due.iter().find(|due| due.named == Some(name)) {
            return if due.is_wanted(self.about.date) && !set_today {
                Freshness::Due(self.units.say(&due.why()))
            } else {
                Freshness::Fresh
            };
        }
        let age = seen.date.until(self.on).map_or(0, |age| age.get_days());
        let is_old = rule
            .and_then(|rule| rule.every_days)
            .is_some_and(|every| age > i32::try_from(every).unwrap_or(i32::MAX));
        match is_old && !set_today {
            true => Freshness::Due(self.say(&say!("it was last measured on {date}", date = seen.date))),
            false => Freshness::Fresh,
        }
    }

    /// The setting whose later change has outdated a reading.
    pub fn worked_on(&self, name: Named) -> Option<Setting> {
        let work = self.rule(name).into_iter().flat_map(|rule| self.work(rule, name));
        work.into_iter().find(|setting| self.was_changed_since(name, *setting))
    }

    /// The settings whose change asks for a new reading.
    fn work(&self, rule: &ReadingRule, name: Named) -> Vec<Setting> {
        let ends = match rule.of.open_in(name) {
            Open::End(end) => vec![end],
            _ => End::BOTH.to_vec(),
        };
        let of_group = |group: &str| {
            let names: Vec<String> = ends.iter().map(|end| Work::of_end(group, *end)).collect();
            let groups = self.advice.practice().work.iter().filter(|known| names.contains(&known.name));
            groups.flat_map(|group| &group.settings).copied().collect()
        };
        let settings = |work: &Work| match work {
            Work::Setting(setting) => vec![*setting],
            Work::Group(group) => of_group(group),
        };
        rule.after.iter().flat_map(settings).collect()
    }

    pub fn was_changed_since(&self, reading: Named, setting: Setting) -> bool {
        let (Some(seen), Some(held)) = (self.state.seen(reading.as_str()), self.state.setting(setting))
        else {
            return false;
        };
        if held.place.is_none_or(|place| place <= seen.place) {
            return false;
        }
        // Written again without a change is no work.
        let end = reading.figure().and_then(|name| FigureName::SAG_RIDER.end_of(name));
        match end.and_then(|end| self.state.setting_at_sag(end, setting)) {
            Some(then) => !then.value.same_as(&held.value),
            None => matches!(held.how, How::Change | How::Back | How::Plan),
        }
    }

    /// The state of a reading, for people.
    pub fn reading(&self, name: Named, ride: Option<&Ride<'_>>) -> ReadingState {
        let label = self.say(&name.label());
        let is_of_ride = |_: &&Ride<'_>| name.row() == NamedRow::Figure(FigureId::TRAVEL_USED_SHARE);
        let state = ride.filter(is_of_ride).map_or(self.state, |ride| ride.state);
        let band = self.band(name);
        let (shown, value) = self.shown_reading(state, name);
        let within = band.and_then(|band| band.within);
        let want = band.and_then(|band| band.want.as_ref());
        let expanded = || self.expanded(name.figure()?);
        let is_in_band = match (value, within, want, &shown) {
            // Outside only where the reading can tell.
            (Some(value), Some(within), _, _) => match within.past(value) {
                None => Some(true),
                Some(off) if expanded().is_some_and(|expanded| off <= expanded) => None,
                Some(_) => Some(false),
            },
            (_, _, Some(want), Some(shown)) => Some(want.text == *shown),
            _ => None,
        };
        let (is_due, due_note) = match self.freshness(name, ride) {
            Freshness::Fresh => (false, None),
            Freshness::Due(why) => (true, Some(why)),
        };
        let meaning = match (value, within, is_in_band, self.rule(name)) {
            (Some(value), Some(within), Some(false), Some(rule)) => {
                let is_low = within.low.is_some_and(|low| value < low.value);
                let words = if is_low { &rule.low } else { &rule.high };
                words.as_ref().map(|words| self.units.word(words))
            }
            _ => None,
        };
        ReadingState {
            name,
            label,
            shown,
            band: within
                .map(|within| self.shown_bounds(&within))
                .or_else(|| want.map(|want| want.text.clone())),
            is_in_band,
            is_due,
            note: due_note.or(meaning),
        }
    }

    /// Whether a reading is not as it should be: outside the machine's band, or a drop test that falls. `None` where
    /// nobody can tell.
    pub fn is_amiss(&self, name: Named) -> Option<bool> {
        let drop = || {
            let steering = self.state.steering().filter(|_| name == DROP)?;
            Some(steering.drop.as_ref()?.text == FALLS)
        };
        self.reading(name, None).is_in_band.map(|is_in| !is_in).or_else(drop)
    }

    /// A figure, reading or setting as shown, and its value in the SI base unit where it has one.
    fn shown_reading(&self, state: &State, name: Named) -> (Option<String>, Option<f64>) {
        if name == DROP {
            return (
                state.steering().and_then(|steering| steering.drop.as_ref()).map(|drop| drop.text.clone()),
                None,
            );
        }
        if let Some(name) = name.figure() {
            let figure = self.figures(state, &[name]).into_iter().next();
            let shown = figure.as_ref().and_then(|figure| self.shown_figure(figure));
            return (shown, figure.and_then(|figure| figure.value()));
        }
        let quantity = name.setting().and_then(|name| match state.last_word(name) {
            Some(LastWord::Reading(mark)) => mark.quantity(),
            _ => self.base_at(state, name).map(|base| base.quantity),
        });
        (
            quantity.map(|quantity| show(&quantity, &self.units).to_string()),
            quantity.map(|quantity| quantity.value),
        )
    }

    /// The air chambers that are set by themselves.
    pub fn chambers(&self, side: &'a str) -> impl Iterator<Item = (&'a str, &'a Chamber)> {
        let chambers = self.machine.into_iter().flat_map(|machine| machine.chambers());
        let of_side = move |chamber: &Chamber| chamber.side.as_ref().is_some_and(|own| own.text == side);
        chambers.filter(move |(_, chamber)| of_side(chamber) && chamber.charged_from.is_none())
    }
}
