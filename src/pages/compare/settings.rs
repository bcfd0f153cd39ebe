//! Settings side by side.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::season::{HeldValue, State};
use crate::vocabulary::settings::{self, SettingRow};

use super::super::say::{Said, Say};
use super::Side;

/// A setting on both sides.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingChange {
    /// Its name in notebooks.
    pub id: String,
    pub label: String,
    pub a: Option<Said>,
    pub b: Option<Said>,
    /// From the first to the second in the trade's words: `2 mm down`; `None` where it is the same.
    pub change: Option<String>,
    /// The second less the first in `si_unit`; `None` where either is a word or not there.
    pub by: Option<f64>,
    pub si_unit: Option<&'static str>,
}

pub(super) fn settings(a: &Side<'_>, b: &Side<'_>, say: Say<'_>, complete: bool) -> Vec<SettingChange> {
    let (Some(first), Some(second)) = (a.state(), b.state()) else { return Vec::new() };
    let names =
        |state: &State| state.settings().into_iter().map(|(name, _)| name.to_owned()).collect::<Vec<_>>();
    let all: BTreeSet<String> = names(first).into_iter().chain(names(second)).collect();
    let mut all: Vec<String> = all.into_iter().collect();
    all.sort_by_key(|name| settings::order(name));
    let lines = all.iter().filter_map(|name| {
        let held = |state: &State| state.setting(name).map(|held| held.value.clone());
        Some(line(settings::row(name)?, name, held(first).as_ref(), held(second).as_ref(), say))
    });
    lines.filter(|line| complete || line.change.is_some()).collect()
}

fn line(
    row: &SettingRow,
    name: &str,
    a: Option<&HeldValue>,
    b: Option<&HeldValue>,
    say: Say<'_>,
) -> SettingChange {
    let (mut by, mut si_unit) = (None, None);
    let change = match (a, b) {
        (Some(HeldValue::Quantity(was)), Some(HeldValue::Quantity(is))) if was.kind == is.kind => {
            by = Some(is.value - was.value);
            si_unit = Some(is.kind.si_unit());
            a.zip(b).and_then(|(a, b)| say.change(row, a, b))
        }
        (Some(a), Some(b)) => (!a.same_as(b)).then(|| "another".to_owned()),
        (Some(_), None) => Some("gone".to_owned()),
        (None, Some(_)) => Some("new".to_owned()),
        (None, None) => None,
    };
    if change.is_none() {
        by = by.map(|_| 0.0);
    }
    let said = |value: Option<&HeldValue>| value.map(|value| say.setting(value));
    SettingChange {
        id: name.to_owned(),
        label: row.label_for(name),
        a: said(a),
        b: said(b),
        change,
        by,
        si_unit,
    }
}
