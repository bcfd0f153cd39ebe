//! What must hold at the end of a notebook.

use crate::checks::judged::{self, What};
use crate::checks::place::{OfDay, OfMachine};
use crate::checks::{code, shown};
use crate::figures::{Absent, Measure, Recording, Standing, standing_of};
use crate::finding::{Code, Finding, Severity};
use crate::speech::{Message, say};
use crate::vocabulary::Named;
use crate::vocabulary::blocks::Expect;
use crate::vocabulary::values::Band;

pub(super) static CODE: Code = code(
    "expect/not-held",
    Severity::Error,
    r#"An `expect` of this notebook that does not hold, or whose value is missing.

`expect` is a test of the notebook. What was decided here must still come out
so, after every later edit of the machine's or the rider's notebook. It is
judged by how the notebook ends.

````
```expect
geometry.trail = { within = "114..118 mm" }
```
````

Better: find what moved the value (`loambook why geometry.trail`), and correct
that, or the expectation.
"#,
);

pub(super) fn check_day(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    // A day without its machine was reported, and nothing can be expected of it.
    if place.machine.is_none() {
        return;
    }
    for band in place.day.notebook.all::<Expect>().flat_map(|block| &block.others.bands) {
        match judged::at_end(place, band.name) {
            Ok(judged) => findings.extend(check(band, &judged.what, Some(judged.span))),
            Err(reasons) if reasons.is_empty() => {}
            Err(reasons) => findings.push(nothing(band, &reasons)),
        }
    }
}

/// A machine is judged by its standard setting.
pub(super) fn check_machine(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for band in place.machine.all::<Expect>().flat_map(|block| &block.others.bands) {
        match band.name {
            Named::Figure(name) => {
                let figure = place.bench.measure(name);
                match &figure.outcome {
                    Ok(Measure { kind, value, expanded }) => {
                        let (kind, value, expanded) = (*kind, *value, expanded.clone());
                        let what = What::Number { kind, value, expanded, written: None };
                        findings.extend(check(band, &what, figure.from.last().copied()));
                    }
                    Err(Absent::Rejected(_)) => {}
                    Err(absent) => findings.push(nothing(band, &judged::reasons(absent))),
                }
            }
            name => match name.setting().and_then(|name| place.state.setting(name)) {
                Some(held) => {
                    findings.extend(check(band, &What::of_setting(&held.value), Some(held.span)));
                }
                None => findings.push(nothing(band, &[say!("the machine has no standard for it")])),
            },
        }
    }
}

fn nothing(band: &Band, reasons: &[Message]) -> Finding {
    let headline = say!("there is no {label} to compare this with", label = band.name.label());
    reasons
        .iter()
        .fold(Finding::new(&CODE, band.span, headline), |finding, reason| finding.help(reason.clone()))
}

fn check(band: &Band, what: &What, from: Option<crate::source::Span>) -> Option<Finding> {
    let label = band.name.label();
    let (span, headline) = match (what, &band.want, &band.within, &band.aim) {
        (What::Word(found), Some(want), ..) if *found != want.text => {
            (want.span, say!("{label} comes to `{found}`, not to `{want}`", label, found, want = want.text))
        }
        (What::Number { kind, value, expanded, written }, _, Some(within), _)
            if judged::is_of(within, *kind) =>
        {
            if matches!(
                standing_of(within, *value, expanded.as_ref()),
                Standing::Inside | Standing::InsideUnclear
            ) {
                return None;
            }
            let shown = match written {
                Some(quantity) => shown::written(quantity),
                None => judged::computed(*kind, *value, expanded.as_ref(), judged::unit_of(within)),
            };
            let is_below = judged::is_below(within, *value);
            let (span, within) = (within.span, shown::end_past(within, *value));
            (
                span,
                match is_below {
                    true => say!("{label} comes to {shown}, below {within}", label, shown, within),
                    false => say!("{label} comes to {shown}, above {within}", label, shown, within),
                },
            )
        }
        (What::Number { kind, value, expanded, written }, _, None, Some(aim))
            if aim.quantity.kind == *kind =>
        {
            // An aim alone is met where the two cannot be distinguished.
            let off = (value - aim.value()).abs();
            let doubt = expanded.as_ref().map_or(0.0, |expanded| expanded.against([off]));
            if off <= shown::doubt(&aim.quantity).max(doubt) {
                return None;
            }
            let shown = match written {
                Some(quantity) => shown::written(quantity),
                None => judged::computed(*kind, *value, expanded.as_ref(), Some(aim.quantity.unit)),
            };
            (
                aim.span,
                say!(
                    "{label} comes to {shown}, not to {aim}",
                    label,
                    shown,
                    aim = shown::written(&aim.quantity)
                ),
            )
        }
        _ => return None,
    };
    let finding = Finding::new(&CODE, span, headline);
    let finding = match from {
        Some(from) => finding.see(from, say!("the last that it rests on")),
        None => finding,
    };
    Some(finding.help(say!("mend what moved it, or the expectation")))
}
