//! Settings side by side.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::season::{HeldValue, State};
use crate::speech::{Message, say};
use crate::vocabulary::Setting;

use super::super::gauge::Pump;
use super::super::say::{Said, Say};
use super::Side;

/// A setting on both sides.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingChange {
    /// Its name in notebooks.
    pub id: Setting,
    pub label: String,
    pub a: Option<Said>,
    pub b: Option<Said>,
    /// From the first to the second in the trade's words: `2 mm down`; `None` where they are the same.
    pub change: Option<String>,
    /// The second less the first in `si_unit`; `None` where either is a word or missing.
    pub by: Option<f64>,
    pub si_unit: Option<&'static str>,
}

pub(super) fn settings(a: &Side<'_>, b: &Side<'_>, say: Say<'_>, complete: bool) -> Vec<SettingChange> {
    let (Some(first), Some(second)) = (a.state(), b.state()) else { return Vec::new() };
    let both = first.settings().into_iter().chain(second.settings());
    let all: BTreeSet<Setting> = both.map(|(name, _)| name).collect();
    let lines = all.into_iter().map(|name| {
        let told = |side: &Side<'_>, state: &State| {
            let value = &state.setting(name)?.value;
            let machine = side.here().and_then(|here| here.machine);
            let pump = Pump { say, book: side.book(), machine, state };
            Some((value.clone(), pump.setting(name, value)))
        };
        let both = (told(a, first), told(b, second));
        // Nothing was added to a machine, or taken off it, by looking at another one.
        let is_on_both = both.0.is_some() && both.1.is_some();
        let is_apart = name.info().is_adjuster() || !is_on_both;
        let apart = is_apart.then(|| apart(a, b, name, is_on_both)).flatten();
        line(name, both, say, apart)
    });
    lines.filter(|line| complete || line.change.is_some()).collect()
}

/// Why a setting of the two sides means different things, if it does: it is another machine's, or clicks of another valving.
fn apart(a: &Side<'_>, b: &Side<'_>, name: Setting, is_on_both: bool) -> Option<Message> {
    if a.machine() != b.machine() {
        return Some(say!("another machine"));
    }
    let damper = name.info().damper.filter(|_| is_on_both)?;
    let rebuild = |side: &Side<'_>| {
        let held = side.state()?.valving(damper)?;
        Some((held.value.clone(), held.date))
    };
    (rebuild(a) != rebuild(b)).then(|| say!("rebuilt since"))
}

/// A setting of one side, and as shown.
type Written = Option<(HeldValue, Said)>;

fn line(name: Setting, (a, b): (Written, Written), say: Say<'_>, apart: Option<Message>) -> SettingChange {
    let (a, a_told) = a.unzip();
    let (b, b_told) = b.unzip();
    let (mut by, mut si_unit) = (None, None);
    let change = match (&a, &b) {
        (Some(_), _) | (_, Some(_)) if apart.is_some() => apart.map(|apart| say.text(&apart)),
        (Some(HeldValue::Quantity(was)), Some(HeldValue::Quantity(is))) if was.kind == is.kind => {
            by = Some(is.value - was.value);
            si_unit = Some(is.kind.si_unit());
            a.as_ref().zip(b.as_ref()).and_then(|(a, b)| say.change(name.info(), a, b))
        }
        (Some(a), Some(b)) => (!a.same_as(b)).then(|| say.text(&say!("setting|another"))),
        (Some(_), None) => Some(say.text(&say!("not written"))),
        (None, Some(_)) => Some(say.text(&say!("added"))),
        (None, None) => None,
    };
    if change.is_none() {
        by = by.map(|_| 0.0);
    }
    SettingChange { id: name, label: say.text(&name.label()), a: a_told, b: b_told, change, by, si_unit }
}
