//! What to set, and how it differs from the last time out.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::figures::{Bench, Recorder};
use crate::quantity::Kind;
use crate::season::{Held, Standard, State};
use crate::speech::{Part as _, say};
use crate::vocabulary::blocks::Adjusters;
use crate::vocabulary::settings::{MOUSSE, Together};
use crate::vocabulary::{End, Setting};

use super::super::say::Said;
use super::super::season::order_of_work;
use super::Desk;

/// The settings of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ToSet {
    /// What the changes are compared with: the last time out, or the standard setting; `None` where there is
    /// neither.
    pub against: Option<String>,
    /// In the order of the work; chambers that push before those that pull.
    pub lines: Vec<SettingLine>,
}

/// One setting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SettingLine {
    pub id: Setting,
    pub label: String,
    /// A pressure: what to pump has a part of its own.
    pub is_air: bool,
    /// The sheet never leaves it out.
    pub is_kept: bool,
    /// `None` where nobody wrote it: an empty box.
    pub value: Option<String>,
    pub unit: Option<String>,
    /// The name to write it under, where nobody did.
    pub wanted: Option<String>,
    /// The change from before, in the trade's words; `None` where it is the same.
    pub change: Option<String>,
    /// A small remark beside it.
    pub note: Option<String>,
    /// Whether it must be set: whatever changed, whatever nobody has written yet, and every pressure, since air
    /// leaks. The others stay as they were.
    pub is_to_set: bool,
}

impl ToSet {
    /// The lines of settings that changed.
    pub fn changed(&self) -> impl Iterator<Item = &SettingLine> {
        self.lines.iter().filter(|line| line.change.is_some())
    }
}

pub(super) fn to_set<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> ToSet {
    let before = Before::of(desk);
    let state = desk.state();
    let mut settings: BTreeMap<Setting, Option<&Held>> =
        state.settings().into_iter().map(|(name, held)| (name, Some(held))).collect();
    settings.extend(unwritten(desk, state).into_iter().map(|name| (name, None)));
    settings.extend(state.rejected_settings().map(|(name, _)| (name, None)));
    let mut names: Vec<(Setting, Option<&Held>)> = settings.into_iter().collect();
    names.sort_by_key(|(name, _)| order_of_work(desk.machine, Some(*name)));
    let lines = names.into_iter().map(|(name, held)| line(desk, bench, name, held, before.as_ref()));
    let against = before.as_ref().map(|before| before.name.clone());
    ToSet { lines: lines.collect(), against }
}

fn line<R: Recorder>(
    desk: &Desk<'_>,
    bench: &Bench<'_, R>,
    name: Setting,
    held: Option<&Held>,
    before: Option<&Before<'_>>,
) -> SettingLine {
    let row = name.info();
    let change = held.zip(before).and_then(|(held, before)| match before.setting(name) {
        // Clicks before and after a rebuild mean different things.
        Some(_) if before.is_rebuilt_since(name, desk.state()) => Some(desk.say.text(&say!("rebuilt since"))),
        Some(was) if was.value.same_as(&held.value) => None,
        Some(was) => {
            let written = as_written(desk, name, was);
            let is_in_turns = matches!(&written, Some((_, Kind::Turns)));
            let change =
                written.map(|(told, _)| told).or_else(|| desk.say.change(row, &was.value, &held.value));
            match (change, turned(desk, name, was, held)) {
                (Some(change), Some(turns)) if !is_in_turns => Some(format!("{change}, {turns}")),
                (change, _) => change,
            }
        }
        None => Some(desk.say.text(&say!("setting|new"))),
    });
    let is_air = name.is_pressure();
    let to_pump = if is_air { desk.pump().at_track(name) } else { None };
    let said = match (to_pump, held) {
        (Some(Ok(set)), _) => Some(set.shown.into()),
        (Some(Err(instead)), _) => Some(Said::words(&instead)),
        (None, held) => held.map(|held| desk.say.setting(name.info(), &held.value)),
    };
    SettingLine {
        id: name,
        label: desk.say.text(&name.label()),
        is_air,
        is_kept: row.is_kept(),
        is_to_set: is_air || change.is_some() || held.is_none() || before.is_none(),
        wanted: held.is_none().then(|| match desk.state().rejected_setting(name) {
            Some(rejected) => desk.say.text(&bench.faulty(rejected).reason().part()),
            None => name.to_string(),
        }),
        note: held.and_then(|held| in_turns(desk, name, held).or_else(|| air_of_jet(desk, name))),
        unit: said.as_ref().and_then(|said| said.unit.clone()).map(|unit| match room(desk, name) {
            Some(most) => desk.say.text(&say!("{unit} of {most}", unit, most)),
            None => unit,
        }),
        value: said.map(|said| said.value),
        change,
    }
}

/// The change in the words of the notebook, and its kind. Only where a single change was made on this day and
/// began from what was before: a collar is turned, whatever length that is.
fn as_written(desk: &Desk<'_>, name: Setting, was: &Held) -> Option<(String, Kind)> {
    let mut events = desk.replay.events.iter().filter(|event| event.name.setting() == Some(name));
    let event = events.next()?;
    if events.next().is_some() {
        return None;
    }
    let (before, (size, way)) = (event.step.before()?, event.by.as_ref()?);
    let row = name.info();
    let change = row.direction(*way)? * size.value;
    before.value.same_as(&was.value).then(|| (desk.say.moved(row, size.kind, change), size.kind))
}

/// A collar's preload in turns, where the thread's pitch is known: it is turned, whatever length that is.
fn in_turns(desk: &Desk<'_>, name: Setting, held: &Held) -> Option<String> {
    let turns = held.value.number()? / collar_pitch(desk, name)?;
    Some(desk.say.turns(turns))
}

/// How far the collar was turned.
fn turned(desk: &Desk<'_>, name: Setting, was: &Held, is: &Held) -> Option<String> {
    let pitch = collar_pitch(desk, name)?;
    let turns = (is.value.number()? - was.value.number()?) / pitch;
    let told = desk.say.turns(turns.abs());
    Some(desk.say.text(&match turns > 0.0 {
        true => say!("{turns} in", turns = told),
        false => say!("{turns} out", turns = told),
    }))
}

fn collar_pitch(desk: &Desk<'_>, name: Setting) -> Option<f64> {
    if name != Setting::SHOCK_PRELOAD {
        return None;
    }
    let pitch = desk.machine?.shock()?.thread_pitch.as_ref()?.value();
    (pitch > 0.0).then_some(pitch)
}

/// How many clicks or turns an adjuster has in all, in its own unit.
fn room(desk: &Desk<'_>, name: Setting) -> Option<String> {
    let held = desk.state().setting(name)?.value.quantity()?.kind;
    let range = desk.machine?.adjuster(name)?.quantity;
    (range.kind == held).then(|| desk.say.quantity(&range).number)
}

/// The air for which a jet was fitted, where that differs from the sheet's: jets and air belong to one moment.
fn air_of_jet(desk: &Desk<'_>, name: Setting) -> Option<String> {
    name.info().together.filter(|together| *together == Together::Jetting)?;
    let place = desk.state().setting(name)?.place?;
    let replay = desk.season.days.get(place.day)?;
    let then = &replay.points.iter().rfind(|point| point.block <= place.block)?.state;
    let air = |state: &State| Some(state.conditions()?.air?.quantity);
    let (fitted, now) = (air(then)?, air(desk.state())?);
    let is_other = (fitted.value - now.value).abs() > 0.5 * fitted.last_digit.max(now.last_digit);
    is_other.then(|| desk.say.text(&say!("fitted in {air}", air = desk.say.quantity(&fitted).to_string())))
}

/// Settings that the machine has and nobody wrote: clickers in its list, chambers that are set by themselves,
/// tyres with air.
fn unwritten(desk: &Desk<'_>, state: &State) -> BTreeSet<Setting> {
    let Some(machine) = desk.machine else { return BTreeSet::new() };
    let clickers =
        machine.all::<Adjusters>().flat_map(|block| &block.others.adjusters).map(|adjuster| adjuster.name);
    let chambers = machine
        .chambers()
        .filter(|(_, chamber)| chamber.charged_from.is_none())
        .map(|(name, _)| Setting::CHAMBER.named(name));
    let holds_air = |end: &End| {
        let insert = state.setting(Setting::INSERT.of(*end));
        insert.and_then(|held| held.value.word()) != Some(MOUSSE)
    };
    let tyres = End::BOTH.into_iter().filter(holds_air).map(|end| Setting::TYRE.of(end));
    clickers.chain(chambers).chain(tyres).filter(|name| state.setting(*name).is_none()).collect()
}

/// What a sheet's settings are compared with.
struct Before<'a> {
    name: String,
    settings: Settings<'a>,
}

enum Settings<'a> {
    LastTime(&'a State),
    Standard(&'a Standard),
}

impl<'a> Before<'a> {
    fn of(desk: &Desk<'a>) -> Option<Self> {
        if let Some((day, state)) = desk.last_time() {
            let track = desk.book.track(day).map(|track| format!(", {}", track.title)).unwrap_or_default();
            return Some(Self { name: format!("{}{track}", day.date), settings: Settings::LastTime(state) });
        }
        let standard = desk.season.standard.get(&desk.machine?.name)?;
        standard.iter().next().is_some().then(|| Self {
            name: desk.say.text(&say!("the standard setting")),
            settings: Settings::Standard(standard),
        })
    }

    /// Whether a clicker's damper was rebuilt between the state compared with and now.
    fn is_rebuilt_since(&self, name: Setting, now: &State) -> bool {
        let (Settings::LastTime(then), Some(damper)) = (&self.settings, name.info().damper) else {
            return false;
        };
        let rebuild = |state: &State| state.valving(damper).map(|held| held.span);
        rebuild(then) != rebuild(now)
    }

    fn setting(&self, name: Setting) -> Option<&Held> {
        match self.settings {
            Settings::LastTime(state) => state.setting(name),
            Settings::Standard(standard) => standard.get(name),
        }
    }
}
