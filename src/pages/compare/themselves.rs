//! What the written changes do by themselves: the first place with the second's settings, compared with itself.
//!
//! Sags, air and everything else that was read are the first place's on both sides, so that no reading's error is in the
//! difference.

use serde::Serialize;

use crate::figures::tape::Tape;
use crate::figures::{Bench, Here};
use crate::quantity::{Kind, Units};
use crate::vocabulary::FigureName;
use crate::vocabulary::figures::FigureId;

use super::super::say::{Said, Say};
use super::super::what_if::TOLD;
use super::figures::{figures, line};
use super::{FigureChange, SettingChange, Side, Verdict};

/// What changes do by themselves.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ByThemselves {
    pub lines: Vec<Moved>,
    /// Settings without a model, in one line.
    pub unmodelled: Option<String>,
}

/// A figure that moves.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Moved {
    /// Its name in notebooks.
    pub id: FigureName,
    pub label: String,
    pub from: Option<Said>,
    pub to: Option<Said>,
    /// Rounded to what a person can see.
    pub change: String,
    /// In `si_unit`.
    pub by: f64,
    pub si_unit: &'static str,
}

/// `None` between two machines, and where no setting of both sides differs.
pub(super) fn by_themselves(
    a: &Side<'_>,
    b: &Side<'_>,
    changes: &[SettingChange],
    units: &Units,
    complete: bool,
) -> Option<ByThemselves> {
    let (first, second) = (a.state()?, b.state()?);
    if a.machine()? != b.machine()? {
        return None;
    }
    let changed: Vec<&SettingChange> =
        changes.iter().filter(|line| line.change.is_some() && line.a.is_some() && line.b.is_some()).collect();
    if changed.is_empty() {
        return None;
    }
    let then = changed.iter().fold(first.clone(), |state, line| match second.setting(line.id) {
        Some(held) => state.with_setting(line.id, held.value.clone()),
        None => state,
    });
    let tapes = (Tape::new(), Tape::new());
    let (here, there): (Here<'_>, Here<'_>) = (a.here()?, a.here_as(&then)?);
    let benches = (Bench::new(here, &tapes.0), Bench::new(there, &tapes.1));
    let (mut moved, _) = figures((a, a), (&benches.0, &benches.1), units, false);
    // Pressures have a part of their own; here they follow from a chamber's new aim.
    let own = benches.0.names();
    for name in own.into_iter().filter(|name| name.row == FigureId::FULL_CHAMBER) {
        let (was, is) = (benches.0.figure(name), benches.1.figure(name));
        moved.extend(line(name, [was.number(), is.number()], [None, None], units));
    }
    let say = Say::new(units);
    let is_told = |line: &FigureChange| {
        !line.is_of_air
            && !matches!(line.verdict, Verdict::Same)
            && !line.id.info().is_of_laps()
            && (complete || TOLD.contains(&line.id.row))
            && (complete || !line.id.info().is_along_fork())
    };
    let lines = moved.into_iter().filter(is_told).filter_map(|line| {
        let by = line.by?;
        let kind = line.id.info().kind().unwrap_or(Kind::Number);
        let change = say.by(kind, by)?;
        let FigureChange { id, label, a: from, b: to, si_unit, .. } = line;
        Some(Moved { id, label, from, to, change, by, si_unit })
    });
    let is_clicked = |line: &&&SettingChange| line.id.info().is_adjuster();
    let clicked: Vec<&str> = changed.iter().filter(is_clicked).map(|line| line.label.as_str()).collect();
    let found = ByThemselves {
        lines: lines.collect(),
        unmodelled: (!clicked.is_empty()).then(|| clicked.join(", ")),
    };
    (!found.lines.is_empty() || found.unmodelled.is_some()).then_some(found)
}
