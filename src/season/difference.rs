//! What differs between two places of a diary, and how many changes that makes.

use std::sync::Arc;

use crate::vocabulary::Damper;
use crate::vocabulary::settings::Together;

use super::settings::{Changed, Held, HeldMap, How, Standard};
use super::state::{State, Valved};

/// A setting, or a damper's valving, that differs between two places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference<'a> {
    pub name: Changed,
    /// `None` where nobody had written it.
    pub before: Option<&'a Held>,
    /// `None` where an undone change removed it.
    pub after: Option<&'a Held>,
}

/// What counts as one change: a setting, settings that belong together, or a rebuilt damper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Single {
    Together(Together),
    /// With its clickers, whose clicks before and after mean different things.
    Rebuilt(Damper),
    Alone(Changed),
}

/// The change that each difference belongs to, in the order of the differences.
pub fn singles(differences: &[Difference<'_>]) -> Vec<Single> {
    let is_rebuilt =
        |damper: &Damper| differences.iter().any(|other| other.name == Changed::Valving(*damper));
    let single = |difference: &Difference<'_>| {
        let row = difference.name.setting().map(|name| name.info());
        let damper = difference.name.valving().or(row.and_then(|row| row.damper));
        match (damper.filter(is_rebuilt), row.and_then(|row| row.together)) {
            (Some(damper), _) => Single::Rebuilt(damper),
            (None, Some(together)) => Single::Together(together),
            (None, None) => Single::Alone(difference.name),
        }
    };
    differences.iter().map(single).collect()
}

/// How many changes some differences make. Settings that belong together, such as a spring and its preload,
/// count as one.
pub fn count_changes(differences: &[Difference<'_>]) -> usize {
    let mut singles = singles(differences);
    singles.sort_unstable();
    singles.dedup();
    singles.len()
}

impl State {
    /// The settings that differ at a later place, in the order of the sheet, then rebuilt dampers.
    ///
    /// A setting that is first written down as found is no difference: most likely it was like that before.
    pub fn differences<'a>(&'a self, later: &'a Self) -> Vec<Difference<'a>> {
        let mut all = differing(&self.machine_settings, &later.machine_settings);
        all.extend(differing(&self.rider_settings, &later.rider_settings));
        all.extend(rebuilt(&self.valving, &later.valving));
        all.sort_by_key(|difference| difference.name);
        all
    }

    /// The settings that differ from a machine's standard setting; those without a standard are left out.
    pub fn against<'a>(&'a self, standard: &'a Standard) -> Vec<Difference<'a>> {
        let all = self.settings().into_iter().filter_map(|(name, after)| {
            let before = standard.get(name)?;
            let is_same = before.value.same_as(&after.value);
            let name = Changed::Setting(name);
            (!is_same).then_some(Difference { name, before: Some(before), after: Some(after) })
        });
        all.collect()
    }
}

fn differing<'a>(before: &'a HeldMap, after: &'a HeldMap) -> Vec<Difference<'a>> {
    // Most places share their settings with the place before.
    if before.is_one_with(after) {
        return Vec::new();
    }
    let gone = before.iter().filter(|(name, _)| !after.contains_key(name));
    let gone = gone.filter_map(|(name, entry)| {
        let before = Some((**entry).as_ref().ok()?);
        Some(Difference { name: Changed::Setting(*name), before, after: None })
    });
    // An unknown setting differs from nothing.
    let others = after.iter().filter_map(|(name, entry)| {
        let was = before.get(name);
        if was.is_some_and(|was| Arc::ptr_eq(was, entry)) {
            return None;
        }
        let held = (**entry).as_ref().ok()?;
        let was = match was.map(|was| &**was) {
            Some(Err(_)) => return None,
            was => was.and_then(|was| was.as_ref().ok()),
        };
        let is_same = match was {
            Some(was) => was.value.same_as(&held.value),
            None => !matches!(held.how, How::Change | How::Plan | How::Back),
        };
        (!is_same).then_some(Difference { name: Changed::Setting(*name), before: was, after: Some(held) })
    });
    others.chain(gone).collect()
}

/// Dampers on different rebuilds: no two rebuilds are the same, whatever is written about them.
fn rebuilt<'a>(before: &'a Valved, after: &'a Valved) -> impl Iterator<Item = Difference<'a>> {
    Damper::BOTH.into_iter().filter_map(|damper| {
        let (before, after) = (before.get(&damper), after.get(&damper));
        let is_same = before.map(|held| held.span) == after.map(|held| held.span);
        (!is_same).then_some(Difference { name: Changed::Valving(damper), before, after })
    })
}
