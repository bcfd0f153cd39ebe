//! Pressures that nobody can mean: found, and reported, where they would enter.

use crate::book::Notebook;
use crate::finding::Finding;
use crate::quantity::{Quantity, Shown, Unit, Units, show};
use crate::source::Span;
use crate::speech::say;
use crate::vocabulary::Setting;
use crate::vocabulary::values::{Assignment, Given, PressureReading};

use super::codes;
use super::settings::{Held, HeldValue};
use super::state::State;

/// A pressure left below this share of its aim, or above [`MOST`], has a wrong unit or digit: common practice, no
/// source.
const LEAST: f64 = 0.5;
const MOST: f64 = 2.0;
/// What gauges show.
const PRESSURES: [Unit; 3] = [Unit::Bar, Unit::Psi, Unit::Kilopascal];

impl State {
    /// Whether a pressure reading counts, or why not.
    pub(super) fn judged(
        &self,
        machine: Option<&Notebook>,
        reading: &PressureReading,
        is_found: bool,
    ) -> Result<(), Box<Finding>> {
        let name = reading.name;
        if let Some(source) = self.filled.get(&name) {
            return Err(Box::new(set_elsewhere(name, *source, reading.name_span, machine)));
        }
        let Some((aim, held)) = self.setting(name).and_then(|held| Some((held.value.quantity()?, held)))
        else {
            return Ok(());
        };
        // A chamber aimed at zero gives no measure for readings.
        if aim.value <= 0.0 {
            return Ok(());
        }
        let is_off = |given: &&Given| {
            let share = given.value() / aim.value;
            share > MOST || (!is_found && share < LEAST)
        };
        match reading.readings.values.iter().find(is_off) {
            Some(given) => Err(Box::new(implausible(name, given, aim, held.span, is_found))),
            None => Ok(()),
        }
    }
}

/// Whether a pressure that is written for an aim is one that somebody can mean who had another before. A step says outright how
/// far it goes.
pub(super) fn meant(assignment: &Assignment, before: &Held, value: &HeldValue) -> Result<(), Box<Finding>> {
    let (Some(aim), Some(was)) = (value.quantity(), before.value.quantity()) else { return Ok(()) };
    let is_near = |value: f64| (LEAST..=MOST).contains(&(value / was.value));
    let is_judged = assignment.name.is_pressure() && assignment.by().is_none() && was.value > 0.0;
    // Nobody writes nothing by a slip: it is let out.
    if !is_judged || aim.value == 0.0 || is_near(aim.value) {
        return Ok(());
    }
    let (label, now, wanted) = (assignment.name.label(), shown(aim), shown(was));
    let headline = match aim.value < was.value {
        true => say!("{label} set to {now} is less than half of {wanted} before", label, now, wanted),
        false => say!("{label} set to {now} is more than twice {wanted} before", label, now, wanted),
    };
    let mut finding = Finding::new(&codes::FAR_FROM_AIM, assignment.span, headline)
        .found(say!("not counted"))
        .see(before.span, say!("the aim before"));
    // A step has few digits.
    let is_short = aim.last_digit >= aim.unit.width_to_si(1.0);
    if is_short && is_near(was.value + aim.value) && is_near(was.value - aim.value) {
        finding = finding.help(say!("for a step write `+{now}` or `-{now}`", now));
    }
    for other in PRESSURES.map(|unit| aim.misread_as(unit)) {
        if is_near(other.value) {
            let other = shown(&other).to_string();
            let written = format!("\"{other}\"");
            finding = finding.fix(say!("did you mean `{other}`?", other), assignment.span, written);
        }
    }
    Err(Box::new(finding.help(say!("where it is meant, write `accepted = \"why\"` beside it"))))
}

fn shown(quantity: &Quantity) -> Shown {
    show(quantity, &Units::default())
}

fn implausible(name: Setting, given: &Given, aim: &Quantity, aimed: Span, is_found: bool) -> Finding {
    let (read, wanted) = (shown(&given.quantity), shown(aim));
    let is_more = given.value() > aim.value;
    let label = name.label();
    let headline = match (is_found, is_more) {
        (true, true) => {
            say!("{label} found at {read} is more than twice its aim of {wanted}", label, read, wanted)
        }
        (true, false) => {
            say!("{label} found at {read} is less than half its aim of {wanted}", label, read, wanted)
        }
        (false, true) => {
            say!("{label} left at {read} is more than twice its aim of {wanted}", label, read, wanted)
        }
        (false, false) => {
            say!("{label} left at {read} is less than half its aim of {wanted}", label, read, wanted)
        }
    };
    Finding::new(&codes::IMPLAUSIBLE, given.span, headline)
        .found(say!("not counted"))
        .see(aimed, say!("the aim"))
        .help(say!(
            "look at the unit and the digits; where it is right, write the new aim in a `change` above it"
        ))
}

/// The finding about a value for a chamber that another one fills.
pub(super) fn set_elsewhere(
    name: Setting,
    source: Setting,
    span: Span,
    machine: Option<&Notebook>,
) -> Finding {
    let open = |name| Setting::CHAMBER.word_of(name).unwrap_or_default();
    let (this, other) = (open(name), open(source));
    let finding = Finding::new(
        &codes::SET_ELSEWHERE,
        span,
        say!("`{this}` is filled from `{other}` and is not set by itself", this, other),
    );
    let from =
        machine.and_then(|machine| machine.chamber(this)).and_then(|chamber| chamber.charged_from.as_ref());
    let finding = match from {
        Some(from) => finding.see(from.span, say!("filled from it")),
        None => finding,
    };
    finding.help(say!("write `{other}` alone: both have its pressure", other))
}

/// The finding about a reading after a ride without the leg's temperature.
pub(super) fn hot_or_cold(reading: &PressureReading) -> Finding {
    let headline = say!("{label} was read after a ride: hot or cold?", label = reading.name.label());
    Finding::new(&codes::HOT_OR_COLD, reading.readings.span, headline)
        .found(say!("not counted"))
        .help(say!("write how warm the leg was: `at = \"…\"`, once it has stood in the shade"))
        .help(say!("or write what it showed straight off the track under `after_ride`"))
}
