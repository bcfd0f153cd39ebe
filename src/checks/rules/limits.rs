//! The maker's limits.

use crate::book::{EndedBy, Notebook};
use crate::checks::judged::{self, Judged, What};
use crate::checks::place::{self, OfDay};
use crate::checks::written::WrittenSetting;
use crate::checks::{code, shown};
use crate::figures::{Expanded, Recording, Standing, standing_of};
use crate::finding::{Code, Finding, Severity};
use crate::quantity::Quantity;
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{AnyBlock, Steering};
use crate::vocabulary::values::{Bounds, Given, Limit, LimitBounds};
use crate::vocabulary::{Named, ReadingName, Setting};

pub(super) static CODE: Code = code(
    "limit/passed",
    Severity::Error,
    r#"A setting, a reading or a figure past the maker's limit.

Limits stand in the machine's `limits`, and as `limit` in a `chamber`. They come
from the machine's own manual. They judge what was set and what was read,
wherever it is written, and never what a model predicts. A limit on pressure is
no aim: with more in it a fork can fail.

````
```settings
chamber.main = "225 psi"
```
````

Better: bring it back within the limit before anybody rides the machine. Where
the limit itself is a slip, correct it from the manual.
"#,
);

/// A value written for a setting.
pub(super) fn check_setting(written: &WrittenSetting<'_>, findings: &mut Vec<Finding>) {
    let found = if written.is_step {
        written
            .quantity()
            .map(|quantity| say!("it comes to {quantity}", quantity = shown::written(quantity)))
            .unwrap_or_default()
    } else {
        Message::default()
    };
    for limit in place::limits(written.machine).filter(|limit| limit.name == written.name.into()) {
        let what = match written.quantity() {
            Some(quantity) => of_quantity(quantity),
            None => What::Word(written.value.word().unwrap_or_default().to_owned()),
        };
        let judged = Judged { what, span: written.span, is_todays: true, is_predicted: false };
        findings.extend(check(limit, &judged).map(|finding| finding.found(found.clone())));
    }
    let limits = written.quantity().map(|quantity| (quantity, of_chambers(written.machine, written.name)));
    for (quantity, limit) in
        limits.into_iter().flat_map(|(quantity, all)| all.map(move |one| (quantity, one)))
    {
        let over = over_chamber(written.name, quantity, written.span, &limit);
        findings.extend(over.map(|finding| finding.found(found.clone())));
    }
}

/// Readings and figures of a day.
pub(super) fn check_day(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(machine) = place.machine else { return };
    for block in place.blocks() {
        match block {
            AnyBlock::Pressures(pressures) => {
                let others = &pressures.others;
                let all = others.pressures.iter().chain(&others.found);
                for reading in all {
                    for limit in place::limits(machine).filter(|limit| limit.name == reading.name.into()) {
                        for given in &reading.readings.values {
                            findings.extend(check(limit, &of_given(given)));
                        }
                    }
                    for limit in of_chambers(machine, reading.name) {
                        for given in &reading.readings.values {
                            findings.extend(over_chamber(reading.name, &given.quantity, given.span, &limit));
                        }
                    }
                }
            }
            AnyBlock::Steering(steering) => {
                for limit in place::limits(machine) {
                    findings.extend(
                        of_steering(place, steering, limit.name).and_then(|judged| check(limit, &judged)),
                    );
                }
            }
            _ => {}
        }
    }
    for limit in place::limits(machine) {
        if !matches!(limit.name, Named::Figure(_)) {
            continue;
        }
        let Ok(judged) = judged::at_end(place, limit.name) else { continue };
        if judged.is_todays && !judged.is_predicted {
            findings.extend(check(limit, &judged));
        }
    }
}

fn of_quantity(quantity: &Quantity) -> What {
    What::Number {
        kind: quantity.kind,
        value: quantity.value,
        expanded: quantity.plus_minus.map(Expanded::fixed),
        written: Some(*quantity),
    }
}

fn of_given(given: &Given) -> Judged {
    Judged { what: of_quantity(&given.quantity), span: given.span, is_todays: true, is_predicted: false }
}

fn of_steering(place: &OfDay<'_, '_, impl Recording>, steering: &Steering, name: Named) -> Option<Judged> {
    match name {
        Named::Reading(ReadingName::SteeringDrop) => {
            let drop = steering.drop.as_ref()?;
            let what = What::Word(drop.text.clone());
            Some(Judged { what, span: drop.span, is_todays: true, is_predicted: false })
        }
        Named::Reading(ReadingName::SteeringPull) => judged::pull(place, steering),
        Named::Figure(_) | Named::Setting(_) => None,
    }
}

fn check(limit: &Limit, judged: &Judged) -> Option<Finding> {
    let label = limit.name.label();
    let headline = match (&limit.bounds, &judged.what) {
        (LimitBounds::Word(word), What::Word(found)) if *found != word.text => {
            say!("{label} is `{found}`, and must be `{text}`", label, found, text = word.text)
        }
        (LimitBounds::Range(bounds), What::Number { kind, value, expanded, .. })
            if judged::is_of(bounds, *kind) =>
        {
            let standing = standing_of(bounds, *value, expanded.as_ref());
            if matches!(standing, Standing::Inside | Standing::InsideUnclear) {
                return None;
            }
            let shown = judged.shown(judged::unit_of(bounds));
            let is_below = judged::is_below(bounds, *value);
            let bounds = shown::end_past(bounds, *value);
            match is_below {
                true => say!("{label} is {shown}, below the limit of {bounds}", label, shown, bounds),
                false => say!("{label} is {shown}, above the limit of {bounds}", label, shown, bounds),
            }
        }
        (LimitBounds::Exactly(given), What::Number { kind, value, expanded, .. })
            if *kind == given.quantity.kind =>
        {
            let own = shown::doubt(&given.quantity);
            let off = (value - given.value()).abs();
            if off <= own.max(expanded.as_ref().map_or(0.0, |expanded| expanded.against([off]))) {
                return None;
            }
            let shown = judged.shown(Some(given.quantity.unit));
            say!(
                "{label} is {shown}, and must be {given}",
                label,
                shown,
                given = shown::written(&given.quantity)
            )
        }
        _ => return None,
    };
    Some(
        Finding::new(&CODE, judged.span, headline)
            .see(limit.span, say!("the maker's limit"))
            .help(say!("bring it back inside before the machine is ridden; the limit is the manual's")),
    )
}

/// The chamber's own `limit`, and those of chambers filled together with it.
fn of_chambers(machine: &Notebook, name: Setting) -> impl Iterator<Item = Bounds> {
    machine.ends(name).into_iter().filter(|(_, by)| *by == EndedBy::ChambersLimit).map(|(bounds, _)| bounds)
}

fn over_chamber(name: Setting, pressure: &Quantity, span: Span, limit: &Bounds) -> Option<Finding> {
    let is_over = limit.high.is_some_and(|high| pressure.value > high.value * (1.0 + 1e-9));
    let end = if is_over { limit.high } else { limit.low.filter(|low| pressure.value < low.value) }?;
    let (shown, end) = (shown::written(pressure), shown::written(&end));
    let label = name.label();
    let (headline, help) = match is_over {
        true => (
            say!("{label} is {shown}, above the limit of {bounds}", label, shown, bounds = end),
            say!("let air out before the machine is ridden; the limit is the manual's"),
        ),
        false => (
            say!("{label} is {shown}, below the limit of {bounds}", label, shown, bounds = end),
            say!("put air in before the machine is ridden; the limit is the manual's"),
        ),
    };
    Some(Finding::new(&CODE, span, headline).see(limit.span, say!("the maker's limit")).help(help))
}
