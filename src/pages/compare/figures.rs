//! Figures that differ.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::figures::{Bench, Figure, Number, Recorder};
use crate::quantity::{Kind, Units};
use crate::speech::{Message, say};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::Open;
use crate::vocabulary::{End, FigureName};

use super::super::say::{Said, Say};
use super::{Difference, Side, Verdict};

/// A figure on both sides.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FigureChange {
    /// Its name in notebooks.
    pub id: FigureName,
    pub label: String,
    pub a: Option<Said>,
    pub b: Option<Said>,
    /// From the first to the second, with the uncertainty of the change; `None` where they are the same.
    pub change: Option<String>,
    pub verdict: Verdict,
    /// The second less the first in `si_unit`; `None` where either has no value.
    pub by: Option<f64>,
    /// Expanded uncertainty of `by` (95.45 %) in `si_unit`: an error that both sides share has cancelled.
    pub expanded: Option<f64>,
    pub si_unit: &'static str,
    /// Whether it is about the day's air, which nobody sets.
    pub is_of_air: bool,
    /// Whether the page has a line for it; a complete one has them all.
    pub is_shown: bool,
}

/// The figures, with the assumptions of those that differ.
pub(super) fn figures<R: Recorder, S: Recorder>(
    sides: (&Side<'_>, &Side<'_>),
    benches: (&Bench<'_, R>, &Bench<'_, S>),
    units: &Units,
    complete: bool,
) -> (Vec<FigureChange>, Vec<String>) {
    let all = names_of(benches.0.names(), benches.1.names());
    let (mut lines, mut assumed) = (Vec::new(), Vec::new());
    let is_apart = sides.0.track() != sides.1.track();
    for name in all {
        // Pressures have a part of their own, and what the last change did is about one side only.
        if name.info().says_again() {
            continue;
        }
        let figures = (benches.0.figure(name), benches.1.figure(name));
        let numbers =
            (figures.0.number().map(|number| sides.0.named_as_there(number)), figures.1.number().cloned());
        let days = [figures.0.days, figures.1.days];
        let mut line = line(name, [numbers.0.as_ref(), numbers.1.as_ref()], days, units);
        if is_apart && name.info().is_of_laps() {
            // The ground is different: the difference means nothing.
            line = line.filter(|_| complete).map(|line| FigureChange {
                change: None,
                verdict: Verdict::Apart,
                by: None,
                expanded: None,
                ..line
            });
        }
        if are_postures_apart(sides, name) {
            line = line.map(|line| FigureChange {
                change: Some(units.say(&say!("one standing, one seated: not compared"))),
                verdict: Verdict::Apart,
                by: None,
                expanded: None,
                ..line
            });
        }
        let Some(line) = line.filter(|line| complete || line.verdict != Verdict::Same) else { continue };
        if line.verdict != Verdict::Same {
            assume(&mut assumed, [&figures.0, &figures.1], units);
        }
        // The curve's largest difference says more than the places along the fork.
        let is_along_fork = name.info().is_along_fork();
        let is_shown = complete || line.verdict != Verdict::Within && !is_along_fork;
        lines.push(FigureChange { is_shown, ..line });
    }
    (lines, assumed)
}

/// Whether a figure is of rider sags that were read standing on one side and seated on the other.
fn are_postures_apart(sides: (&Side<'_>, &Side<'_>), name: FigureName) -> bool {
    let is_of = |end: &End| match name.row {
        FigureId::SAG_RIDER | FigureId::SAG_RIDER_SHARE | FigureId::SAG_RIDER_EXPECTED => {
            name.end() == Some(*end)
        }
        row => row == FigureId::BALANCE_SAG,
    };
    let is_seated = |side: &Side<'_>, end: End| Some(side.state()?.rider_sag(end)?.block.is_seated());
    End::BOTH.iter().filter(|end| is_of(end)).any(|end| {
        let both = is_seated(sides.0, *end).zip(is_seated(sides.1, *end));
        both.is_some_and(|(one, other)| one != other)
    })
}

/// Labels of the figures whose difference is within the measurement, with one label for those of one row of the
/// vocabulary; `None` where there are none.
pub(super) fn within<'l>(lines: impl IntoIterator<Item = &'l FigureChange>, units: &Units) -> Option<String> {
    let mut rows: Vec<(FigureId, Vec<Open>)> = Vec::new();
    for line in lines.into_iter().filter(|line| line.verdict == Verdict::Within) {
        let FigureName { row, open } = line.id;
        match rows.iter_mut().find(|(known, _)| *known == row) {
            Some((_, all)) => all.push(open),
            None => rows.push((row, vec![open])),
        }
    }
    let all_of = |open: Vec<Open>| Message::both(open.into_iter().map(Open::said));
    let labels = rows.into_iter().map(|(row, open)| units.say(&row.info().label_with(all_of(open))));
    let all = labels.collect::<Vec<_>>().join("; ");
    (!all.is_empty()).then_some(all)
}

/// All names of both sides, each once, in the order of the vocabulary.
fn names_of(mut first: Vec<FigureName>, second: Vec<FigureName>) -> Vec<FigureName> {
    // Machines of one kind have the same figures, and most comparisons are of one machine.
    if first != second {
        let known: BTreeSet<FigureName> = first.iter().copied().collect();
        first.extend(second.into_iter().filter(|name| !known.contains(name)));
        first.sort_by_key(|name| name.row);
    }
    first
}

/// Adds the assumptions of some figures, each once.
pub(super) fn assume(assumed: &mut Vec<String>, figures: [&Figure; 2], units: &Units) {
    for text in figures.into_iter().flat_map(|figure| &figure.assumed).map(|text| units.say(text)) {
        if !assumed.contains(&text) {
            assumed.push(text);
        }
    }
}

/// A line of two numbers, each with the days that a loss took; `None` where neither side has one.
pub(super) fn line(
    name: FigureName,
    [a, b]: [Option<&Number>; 2],
    days: [Option<f64>; 2],
    units: &Units,
) -> Option<FigureChange> {
    let row = name.info();
    let kind = row.kind().unwrap_or(Kind::Number);
    let say = Say::new(units);
    let said = |number: Option<&Number>, days: Option<f64>| {
        number.map(|number| match row.is_change() || days.is_some() {
            // A change says in words which way it goes, or that nothing was measured.
            true => Said::words(&say.told_of(row, number, days)),
            false => say.of(row, number).into(),
        })
    };
    let difference = match (a, b) {
        (Some(a), Some(b)) => Difference::of(a, b, kind, units).between_parts(row, a, b, units),
        (Some(_), None) => Difference { by: 0.0, expanded: None, change: None, verdict: Verdict::Gone },
        (None, Some(_)) => Difference { by: 0.0, expanded: None, change: None, verdict: Verdict::New },
        (None, None) => return None,
    };
    Some(FigureChange {
        id: name,
        label: units.say(&name.label()),
        a: said(a, days[0]),
        b: said(b, days[1]),
        change: difference.change,
        verdict: difference.verdict,
        by: a.and(b).map(|_| difference.by),
        expanded: difference.expanded,
        si_unit: kind.si_unit(),
        is_of_air: row.is_of_air(),
        is_shown: true,
    })
}
