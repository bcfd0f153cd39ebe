//! A fork that its negative chamber keeps from extending.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::Number;
use crate::quantity::Kind;
use crate::season::Charge;
use crate::source::Span;
use crate::speech::say;
use crate::vocabulary::blocks::{AnyBlock, Chamber, NEGATIVE, Sag};
use crate::vocabulary::{End, Setting};

pub(super) static CODE: Code = code(
    "fork/held-down",
    Severity::Warning,
    r#"A fork that does not extend fully with the wheel off the ground. Its negative
chamber pulls harder than its positive chambers and the wheel's weight push.

The travel above that place is lost. Sags read too small, since they count from
where the fork hangs. Often the negative chamber was filled with the fork pushed
in, or only the positive one was let down.

````
```pressures
main    = "90 psi"
counter = "152 psi"
```
````

Better: fill the positive chambers first and the negative one last, with the
fork fully out.

````
```pressures
main    = "152 psi"
counter = "152 psi"
```
````
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some((span, key)) = place_of(place) else { return };
    let Ok(Some(down)) = place.bench.held_down() else { return };
    let unit = place.machine.and_then(|machine| machine.fork()?.travel).map(|travel| travel.quantity.unit);
    let down = shown::computed(Kind::Length, down.value(), None, unit);
    findings.push(
        Finding::new(&CODE, span, say!("the negative chamber holds the fork {down} down with the wheel off the ground", down))
            .help(say!("with the fork fully out, less pressure in `{key}` or more in the positive chamber; sag counts from where it hangs", key)),
    );
}

/// Where the finding goes: to the last pressure written on the day, first of a negative chamber. Without one it goes
/// to the sag that counts from there, and else to the pressure that still holds.
fn place_of(place: &OfDay<'_, '_, impl Recording>) -> Option<(Span, Setting)> {
    let is_negative = |chamber: &Chamber| chamber.side.as_ref().is_some_and(|side| side.text == NEGATIVE);
    let (name, _) = place.machine?.chambers().find(|(_, chamber)| is_negative(chamber))?;
    let name = Setting::CHAMBER.named(name);
    let sag = || {
        let sags = place.day.notebook.all::<Sag>();
        let mut front = sags.filter(|sag| sag.header.end() == Some(End::Front));
        front.next_back().map(|sag| sag.header.fence)
    };
    let state = place.replay.end();
    let held = || {
        let pressure = state.pressure(name);
        pressure.charge.map(Charge::span).or(pressure.aim.map(|held| held.span))
    };
    let span = written_today(place).or_else(sag).or_else(held)?;
    Some((span, name))
}

/// The last pressure of a negative chamber written on the day, else of any chamber.
fn written_today(place: &OfDay<'_, '_, impl Recording>) -> Option<Span> {
    let machine = place.machine?;
    let mut last: Option<(bool, Span)> = None;
    let mut note = |name: Option<Setting>, span: Span| {
        let Some(chamber) = name.and_then(|name| Setting::CHAMBER.word_of(name)) else { return };
        let side = machine.chamber(chamber).and_then(|chamber| chamber.side.as_ref());
        let is_negative = side.is_some_and(|side| side.text == NEGATIVE);
        if is_negative || !last.as_ref().is_some_and(|(negative, ..)| *negative) {
            last = Some((is_negative, span));
        }
    };
    for event in &place.replay.events {
        note(event.name.setting(), event.span);
    }
    for block in place.blocks() {
        if let AnyBlock::Pressures(pressures) = block {
            pressures
                .others
                .pressures
                .iter()
                .for_each(|reading| note(Some(reading.name), reading.readings.span));
        }
    }
    last.map(|(_, span)| span)
}
