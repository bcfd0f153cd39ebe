//! What works on this machine, and what is outside it.

use std::collections::{BTreeMap, BTreeSet};

use super::scatter;
use jiff::civil::Date;

use crate::book::Book;
use crate::checks::judged::{self, Judged, What};
use crate::checks::place::{self, OfDay};
use crate::checks::{code, shown};
use crate::figures::{Absent, Expanded, Recording, Standing, standing_of};
use crate::finding::{Code, Finding, Severity};
use crate::quantity::{Kind, Units, show_measured_change, shown_alike};
use crate::source::{FileId, Span};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{AnyBlock, COIL, FALLS};
use crate::vocabulary::values::{Band, Bounds};
use crate::vocabulary::{End, FigureName, Named, ReadingName, Setting};

pub(super) static CODE: Code = code(
    "band/outside",
    Severity::Warning,
    r#"A reading, a setting or a figure outside the machine's band for it.

A `band` is what works on this machine, in the rider's own experience. It is
judged by how the day ends: what was put right the same day is not reported.
Where the uncertainty reaches back into the band the finding is a note, since
nobody can tell.

````
```band
sag.rear.rider = { aim = "105 mm", within = "100..110 mm" }
```
````

````
```sag rear
hanging = "612 mm"
aboard  = "496 mm"
```
````

Better: bring it back inside, here to a reading such as `aboard = "507 mm"`.
Where the new value works, move the band and say why. `accepted = "why"`, in the
band's entry or beside the value in the day, silences the finding. Where several
days are checked, only the last one of each machine and rider is reported.
"#,
);

pub(in crate::checks) static TOO_CLOSE: Code = code(
    "band/too-close-to-tell",
    Severity::Note,
    r#"A value inside its band that may really be outside: its uncertainty reaches over
the edge.

Nothing is wrong with it. Where many days are checked the finding stands on the
latest of them, with the number of the others. The sheet says it of its own day,
beside the value.

````
```band
sag.rear.rider = { aim = "105 mm", within = "95..115 mm" }
```
````

````
```sag rear
tape    = "steel"
hanging = "612 mm"
aboard  = "498 mm"
```
````

Better: aim for the middle of the band, read more often, or use a finer
instrument. `loambook why sag.rear.rider PATH` shows which reading is worth the
effort.
"#,
);

pub(super) static TOO_NARROW: Code = code(
    "band/too-narrow-to-tell",
    Severity::Note,
    r#"A band that is narrower than the uncertainty of what it judges.

With readings this uncertain no value can be shown to be inside, however good it
is. The finding comes once for the band, with the latest value.

````
```band
sag.rear.rider = { within = "104..106 mm" }
```
````

Better: measure with less uncertainty (repeat the reading, use a tape with less
bias), or widen the band: `within = "100..110 mm"`.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(machine) = place.machine else { return };
    for band in place::bands(machine) {
        if band.within.is_none() && band.want.is_none() {
            continue;
        }
        let Ok(judged) = judged::at_end(place, band.name) else { continue };
        if judged.is_todays && band.accepted.is_none() && !is_accepted(place, judged.span) {
            findings.extend(check_band(place, band, &judged));
        }
    }
}

/// Whether the block of a value says why it may be outside.
fn is_accepted(place: &OfDay<'_, '_, impl Recording>, span: Span) -> bool {
    let accepted = |block: &AnyBlock| match block {
        AnyBlock::Sag(block) => block.accepted.is_some(),
        AnyBlock::Pressures(block) => block.accepted.is_some(),
        AnyBlock::Scales(block) => block.accepted.is_some(),
        AnyBlock::Steering(block) => block.accepted.is_some(),
        AnyBlock::Settings(block) => block.accepted.is_some(),
        AnyBlock::Change(block) => block.accepted.is_some(),
        _ => false,
    };
    place.blocks().iter().any(|block| block.header().span.contains(span) && accepted(block))
}

fn check_band(place: &OfDay<'_, '_, impl Recording>, band: &Band, judged: &Judged) -> Option<Finding> {
    let label = band.name.label();
    match (&judged.what, &band.want, &band.within) {
        (What::Word(found), Some(want), _) if *found != want.text => {
            let finding = Finding::new(
                &CODE,
                judged.span,
                say!("{label}: `{found}`, and `{want}` is wanted", label, found, want = want.text),
            )
            .see(want.span, say!("the band"));
            let is_drop = band.name == Named::Reading(ReadingName::SteeringDrop);
            Some(if is_drop { finding.help(drop_help(found)) } else { finding })
        }
        (What::Number { kind, value, expanded, .. }, _, Some(within)) if judged::is_of(within, *kind) => {
            let standing = standing_of(within, *value, expanded.as_ref());
            let is_inside = within.contain(*value);
            // Repeats that scatter are reported; what follows from them is not reported again.
            if standing == Standing::Inside
                || standing == Standing::InsideUnclear && scatter::is_scattered(place, judged.span)
            {
                return None;
            }
            let is_too_narrow = is_inside && is_too_narrow(within, expanded.as_ref());
            let shown = judged.shown(judged::unit_of(within));
            if is_too_narrow {
                return Some(too_narrow(within, judged, &label, &shown, expanded.as_ref()));
            }
            let range = shown::range(within);
            match standing {
                Standing::Inside => None,
                Standing::InsideUnclear => {
                    let headline = say!(
                        "{label} is {shown}, inside its band of {range} by less than the measurement can tell",
                        label,
                        shown,
                        range
                    );
                    Some(Finding::new(&TOO_CLOSE, judged.span, headline).see(within.span, say!("the band")))
                }
                standing => {
                    let is_unclear = standing == Standing::OutsideUnclear;
                    let headline = match (judged::is_below(within, *value), is_unclear) {
                        (true, false) => {
                            say!("{label} is {shown}, below its band of {range}", label, shown, range)
                        }
                        (false, false) => {
                            say!("{label} is {shown}, above its band of {range}", label, shown, range)
                        }
                        (true, true) => say!(
                            "{label} is {shown}, below its band of {range}, by less than the measurement can tell",
                            label,
                            shown,
                            range
                        ),
                        (false, true) => say!(
                            "{label} is {shown}, above its band of {range}, by less than the measurement can tell",
                            label,
                            shown,
                            range
                        ),
                    };
                    let mut finding =
                        Finding::new(&CODE, judged.span, headline).see(within.span, say!("the band"));
                    if is_unclear {
                        finding.severity = Severity::Note;
                    }
                    Some(finding.help(way_back(place, band, *kind, *value, within)))
                }
            }
        }
        _ => None,
    }
}

/// Whether no value could be shown to be inside.
fn is_too_narrow(within: &Bounds, expanded: Option<&Expanded>) -> bool {
    match (within.low, within.high, expanded) {
        (Some(low), Some(high), Some(expanded)) => {
            let half = 0.5 * (high.value - low.value);
            half < expanded.against([half])
        }
        _ => false,
    }
}

/// Placed on the band, with the day's value; [`keep_latest`] keeps one.
fn too_narrow(
    within: &Bounds,
    judged: &Judged,
    label: &Message,
    shown: &Message,
    expanded: Option<&Expanded>,
) -> Finding {
    let range = shown::range(within);
    let least = within.low.zip(expanded).map(|(low, expanded)| {
        let shown = |expanded| shown::computed(low.kind.difference(), 2.0 * expanded, None, Some(low.unit));
        expanded.in_steps(shown)
    });
    Finding::new(
        &TOO_NARROW,
        within.span,
        say!("the band of {label}, {range}, is narrower than the measurement can tell", label, range),
    )
    .see(judged.span, say!("{shown}, inside as far as the readings show", shown))
    .help(say!("such readings cannot judge a band narrower than {least}", least = least.unwrap_or_default()))
}

/// Of findings about one band on several days, keeps the last.
pub(in crate::checks) fn keep_latest(findings: &mut Vec<Finding>) {
    let mut said: BTreeSet<Span> = BTreeSet::new();
    let mut kept: Vec<Finding> = Vec::with_capacity(findings.len());
    for finding in findings.drain(..).rev() {
        if *finding.code != TOO_NARROW || said.insert(finding.span) {
            kept.push(finding);
        }
    }
    kept.reverse();
    *findings = kept;
}

/// Of what days left outside a band, keeps only the last day of each machine and rider. `is_kept` says of which files
/// all is kept.
pub(in crate::checks) fn tell_of_last_day(
    book: &Book,
    asked: &[usize],
    is_kept: impl Fn(FileId) -> bool,
    on: Date,
    findings: &mut Vec<Finding>,
) {
    let mut last: BTreeMap<(&str, Option<&str>), usize> = BTreeMap::new();
    for index in asked {
        let Some(day) = book.days.get(*index).filter(|day| day.date <= on) else { continue };
        let Some(machine) = day.machine.as_deref() else { continue };
        let of_pair = last.entry((machine, day.rider.as_deref())).or_insert(*index);
        *of_pair = (*of_pair).max(*index);
    }
    findings.retain(|finding| {
        let told = *finding.code == CODE;
        let Some(index) = book.day_of(finding.span.file).filter(|_| told) else { return true };
        let Some(day) = book.days.get(index).filter(|day| day.date <= on) else { return true };
        let Some(machine) = day.machine.as_deref() else { return true };
        is_kept(finding.span.file) || last.get(&(machine, day.rider.as_deref())) == Some(&index)
    });
}

/// Of one rider's values too close to an edge of one band on several days, keeps the latest day's, with the number
/// of the others.
pub(in crate::checks) fn tell_once(book: &Book, findings: &mut Vec<Finding>) {
    let told = |finding: &Finding| {
        let band = finding.labels.first().filter(|_| *finding.code == TOO_CLOSE)?;
        let day = book.day_of(finding.span.file)?;
        Some(((band.span, book.days.get(day)?.rider.as_deref()), day))
    };
    // The days on which each band was too close.
    let mut said: BTreeMap<_, BTreeSet<usize>> = BTreeMap::new();
    for (what, day) in findings.iter().filter_map(told) {
        said.entry(what).or_default().insert(day);
    }
    findings.retain_mut(|finding| {
        let Some((what, day)) = told(finding) else { return true };
        let Some(all) = said.get(&what) else { return true };
        let before = match all.len() - 1 {
            0 => None,
            1 => Some(say!("so it was on one day before")),
            before => Some(say!("so it was on {before} days before", before)),
        };
        if let Some(before) = before {
            finding.label = before;
        }
        all.last() == Some(&day)
    });
}

fn drop_help(found: &str) -> Message {
    if found == FALLS {
        say!("the head bearing is loose or the front is off balance: set the nut to the manual's torque")
    } else {
        say!("the head bearing is tight or dry: set the nut to the manual's torque, and grease it")
    }
}

/// What to do about it: turns of the collar for a rear rider sag, a step for a setting or a pressure.
fn way_back(
    place: &OfDay<'_, '_, impl Recording>,
    band: &Band,
    kind: Kind,
    value: f64,
    within: &Bounds,
) -> Message {
    if band.name == FigureName::SAG_RIDER.of(End::Rear).into() {
        let turns = place.bench.measure(FigureName::SPRING_COLLAR_TURNS.of(End::Rear));
        // Past the collar's range there is nothing to turn.
        if let Err(Absent::Instead(why)) = turns.outcome {
            return say!("{why}; or move the band if this is what works now", why);
        }
        if let Ok(number) = turns.outcome {
            let more = Setting::SHOCK_PRELOAD.info().way(true);
            let units = Units::default();
            let size = number.value.abs();
            let alike = |expanded| shown_alike(Kind::Turns.difference(), size, expanded, &units);
            let expanded = number.expanded.as_ref().map(|expanded| {
                expanded.against([size]);
                expanded.between(alike)
            });
            let step = show_measured_change(Kind::Turns, number.value, expanded, &units, more);
            if !step.is_within_measurement {
                return say!("turn the collar {step}, or move the band if this is what works now", step);
            }
        }
    }
    let target = band
        .aim
        .as_ref()
        .map(|aim| aim.value())
        .filter(|_| band.aim.is_some_and(|aim| aim.quantity.kind == kind));
    if let Some(end) = End::BOTH.into_iter().find(|end| band.name == FigureName::SAG_STATIC.of(*end).into())
        && let Some(spring) = by_static_sag(place, end, judged::is_below(within, value))
    {
        return spring;
    }
    let edge = match (within.low, within.high) {
        (Some(low), _) if value < low.value => Some(low),
        (_, high) => high,
    };
    let is_setting = matches!(band.name, Named::Setting(_));
    match edge.filter(|_| is_setting) {
        Some(edge) => {
            let target = target.map_or_else(|| shown::written(&edge), |target| shown::like(&edge, target));
            say!("set it to {target}, or move the band if this is what works now", target)
        }
        None => say!("bring it back inside, or move the band if this is what works now"),
    }
}

/// What a static sag outside its band says of a coil spring, once the rider sag is right; `None` for an air fork.
fn by_static_sag(place: &OfDay<'_, '_, impl Recording>, end: End, is_below: bool) -> Option<Message> {
    let kind = place.machine?.fork().and_then(|fork| fork.kind.as_ref());
    if end == End::Front && kind.is_none_or(|kind| kind.text != COIL) {
        return None;
    }
    let rider = FigureName::SAG_RIDER.of(end);
    let within = place.bench.band(rider)?.within?;
    let measure = place.bench.measure(rider).outcome.ok()?;
    let is_right = standing_of(&within, measure.value, measure.expanded.as_ref()) != Standing::Outside;
    Some(match (is_right, is_below) {
        (false, _) => say!("bring the rider sag into its band first, then read this one again"),
        (true, true) => say!(
            "at the right rider sag that is a spring too soft, wound up: fit a stiffer one, with less preload"
        ),
        (true, false) => {
            say!("at the right rider sag that is a spring too stiff: fit a softer one, with more preload")
        }
    })
}
