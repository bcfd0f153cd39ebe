//! What differs between two places of a diary, and into how many changes that falls.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::vocabulary::settings::{self, Together};

use super::settings::{Held, HeldMap, How};
use super::state::State;

/// A setting that is not the same at two places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference<'a> {
    pub name: &'a str,
    /// `None` where nobody had written it.
    pub before: Option<&'a Held>,
    /// `None` where a step back took it away.
    pub after: Option<&'a Held>,
}

/// What counts as one change: a setting, or settings that belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Single<'a> {
    Together(Together),
    Alone(&'a str),
}

impl<'a> Difference<'a> {
    /// What the difference counts as.
    pub fn single(&self) -> Single<'a> {
        match settings::row(self.name).and_then(|row| row.together) {
            Some(together) => Single::Together(together),
            None => Single::Alone(self.name),
        }
    }
}

/// How many changes differences are. Settings that belong together, such as a spring and its preload, count
/// as one.
pub fn count_changes(differences: &[Difference<'_>]) -> usize {
    let mut singles: Vec<Single<'_>> = differences.iter().map(Difference::single).collect();
    singles.sort_unstable();
    singles.dedup();
    singles.len()
}

impl State {
    /// Settings that are not the same at a later place, in the order of the sheet.
    ///
    /// A setting that is first written down as found is no difference: most likely it was so before.
    pub fn differences<'a>(&'a self, later: &'a Self) -> Vec<Difference<'a>> {
        let mut all = differing(&self.machine_settings, &later.machine_settings);
        all.extend(differing(&self.rider_settings, &later.rider_settings));
        all.sort_by_key(|difference| (settings::order(difference.name), difference.name));
        all
    }

    /// Settings that are not those of a machine's standard setting; what that leaves open is left out.
    pub fn against<'a>(&'a self, standard: &'a BTreeMap<String, Held>) -> Vec<Difference<'a>> {
        let all = self.settings().into_iter().filter_map(|(name, after)| {
            let before = standard.get(name)?;
            let is_same = before.value.same_as(&after.value);
            (!is_same).then_some(Difference { name, before: Some(before), after: Some(after) })
        });
        all.collect()
    }
}

fn differing<'a>(before: &'a Arc<HeldMap>, after: &'a Arc<HeldMap>) -> Vec<Difference<'a>> {
    // Most places share their settings with the one before.
    if Arc::ptr_eq(before, after) {
        return Vec::new();
    }
    let gone = before.iter().filter(|(name, _)| !after.contains_key(*name));
    let gone = gone.map(|(name, held)| Difference { name, before: Some(held), after: None });
    let others = after.iter().filter_map(|(name, held)| {
        let was = before.get(name);
        let is_same = match was {
            Some(was) => was.value.same_as(&held.value),
            None => !matches!(held.how, How::Change | How::Plan | How::Back),
        };
        (!is_same).then_some(Difference { name, before: was, after: Some(held) })
    });
    others.chain(gone).collect()
}
