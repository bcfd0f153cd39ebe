//! Which of a machine's bands a change enters or leaves.

use serde::Serialize;

use crate::figures::tape::Tape;
use crate::figures::{Bench, Here};
use crate::season::State;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::BandBlock;
use crate::vocabulary::values::Bounds;
use crate::vocabulary::{Named, Setting};

use super::super::say::Say;

/// A band whose figure or setting moves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BandLine {
    /// The figure or setting, by its name in notebooks.
    pub id: Named,
    pub label: String,
    pub band: String,
    pub before: String,
    pub after: String,
    pub was: Place,
    pub is: Place,
    pub told: String,
}

/// Where a value is on its band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Place {
    Inside,
    /// Outside by less than its uncertainty.
    Edge,
    Outside,
}

impl Place {
    fn of(within: &Bounds, value: f64, expanded: Option<f64>) -> Self {
        match within.past(value) {
            None => Self::Inside,
            Some(off) if expanded.is_some_and(|expanded| off <= expanded) => Self::Edge,
            Some(_) => Self::Outside,
        }
    }

    fn of_band(self, band: &str) -> Message {
        match self {
            Self::Inside => say!("inside its band of {band}", band),
            Self::Edge => say!("outside its band of {band} by less than the readings can show", band),
            Self::Outside => say!("outside its band of {band}", band),
        }
    }

    fn words(self) -> Message {
        match self {
            Self::Inside => say!("inside"),
            Self::Edge => say!("outside by less than the readings can show"),
            Self::Outside => say!("outside"),
        }
    }
}

/// A value with its uncertainty.
struct Value {
    value: f64,
    expanded: Option<f64>,
    told: String,
}

/// The machine's bands whose figure or setting changed; a sag by the expected one.
pub(super) fn bands(now: Here<'_>, then: Here<'_>, say: Say<'_>) -> Vec<BandLine> {
    let blocks = now.machine.into_iter().flat_map(|machine| machine.all::<BandBlock>());
    let lines = blocks.flat_map(|block| &block.others.bands).filter_map(|band| {
        let within = band.within?;
        let id = band.name.figure().map_or(band.name, |figure| figure.answering().into());
        let (before, after) = (value(now, id, say)?, value(then, id, say)?);
        if (before.value - after.value).abs() <= 1e-9 * before.value.abs().max(after.value.abs()) {
            return None;
        }
        let was = Place::of(&within, before.value, before.expanded);
        let is = Place::of(&within, after.value, after.expanded);
        let label = say.text(&id.label());
        let band = say.range(within.low, within.high);
        let told = say.text(&say!(
            "{label} {after}: {place}; it was {before}",
            label,
            after = after.told,
            place = is.of_band(&band),
            before = was.words(),
        ));
        Some(BandLine { id, label, band, before: before.told, after: after.told, was, is, told })
    });
    lines.collect()
}

/// `None` also for a reading, which settings do not move.
fn value(here: Here<'_>, id: Named, say: Say<'_>) -> Option<Value> {
    let name = match id {
        Named::Setting(name) => return of_setting(here.state, name, say),
        Named::Figure(name) => name,
        Named::Reading(_) => return None,
    };
    let tape = Tape::new();
    let figure = Bench::new(here, &tape).figure(name);
    Some(Value {
        value: figure.value()?,
        expanded: figure.expanded(),
        told: say.figure(&figure)?.to_string(),
    })
}

fn of_setting(state: &State, id: Setting, say: Say<'_>) -> Option<Value> {
    let held = state.setting(id)?;
    Some(Value {
        value: held.value.number()?,
        expanded: None,
        told: say.setting(id.info(), &held.value).told,
    })
}
