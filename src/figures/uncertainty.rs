//! Standard and expanded uncertainty of figures, and of results from several of them.

use std::collections::BTreeMap;

use crate::book::SourceId;
use crate::physics::uncertainty::{Component, combine, of_one_pool, shares};
use crate::quantity::Kind;

use super::figure::{Number, Scatter, Source};

/// The uncertainty from a source alone; how well that is known does not count here.
fn alone(source: &Source) -> Component {
    Component::known(source.sensitivity * source.u)
}

/// What an error source adds to a number's uncertainty.
#[derive(Clone, Copy)]
pub(super) struct Contribution<'a> {
    pub sensitivity: f64,
    pub u: f64,
    pub scatter: Option<&'a Scatter>,
}

impl Contribution<'_> {
    /// The part of the uncertainty that counts as known exactly.
    pub fn steady(&self) -> f64 {
        let scatter = self.scatter.map_or(0.0, |scatter| scatter.u);
        // Rounding can give a little below zero where scatter is all there is.
        (self.u * self.u - scatter * scatter).max(0.0).sqrt()
    }
}

fn components<'a>(parts: impl Iterator<Item = Contribution<'a>> + Clone) -> Vec<Component> {
    let mut steady: Vec<Component> =
        parts.clone().map(|part| Component::known(part.sensitivity * part.steady())).collect();
    // All readings of one instrument scatter by one estimate.
    let mut pools: BTreeMap<(&str, Kind), (Vec<f64>, f64)> = BTreeMap::new();
    for part in parts {
        let Some(Scatter { u, pool, .. }) = part.scatter else { continue };
        let (contributions, freedom) =
            pools.entry((&pool.id, pool.kind)).or_insert((Vec::new(), pool.freedom));
        contributions.push(part.sensitivity * u);
        // Where two days meet in one number, the better known of the two counts.
        *freedom = freedom.max(pool.freedom);
    }
    steady.extend(pools.values().map(|(contributions, freedom)| of_one_pool(contributions, *freedom)));
    steady.retain(|component| component.u != 0.0);
    steady
}

/// Expanded uncertainty for 95.45 % of a number with these contributions; `None` where no uncertainty is known.
pub(super) fn expanded<'a>(parts: impl Iterator<Item = Contribution<'a>> + Clone) -> Option<f64> {
    let components = components(parts);
    (!components.is_empty()).then(|| combine(&components).expanded())
}

impl Source {
    pub(super) fn contribution(&self) -> Contribution<'_> {
        Contribution { sensitivity: self.sensitivity, u: self.u, scatter: self.scatter.as_ref() }
    }

    /// The part of the uncertainty that counts as known exactly.
    pub fn steady(&self) -> f64 {
        self.contribution().steady()
    }
}

impl Number {
    fn components(&self) -> Vec<Component> {
        components(self.sources.iter().map(Source::contribution))
    }

    /// Combined standard uncertainty, in the SI base unit; `None` where no uncertainty is known.
    pub fn standard(&self) -> Option<f64> {
        let components = self.components();
        (!components.is_empty()).then(|| combine(&components).u)
    }

    /// Effective degrees of freedom (Welch–Satterthwaite); infinite where nothing was repeated.
    pub fn freedom(&self) -> f64 {
        combine(&self.components()).freedom
    }

    /// Expanded uncertainty for 95.45 %, in the SI base unit; `None` where no uncertainty is known.
    pub fn expanded(&self) -> Option<f64> {
        expanded(self.sources.iter().map(Source::contribution))
    }

    /// This less another number, source by source, so that a shared error cancels.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        let mut sources: BTreeMap<&SourceId, Source> =
            self.sources.iter().map(|source| (&source.id, source.clone())).collect();
        for source in &other.sources {
            let entry =
                sources.entry(&source.id).or_insert_with(|| Source { sensitivity: 0.0, ..source.clone() });
            entry.sensitivity -= source.sensitivity;
        }
        let sources = sources.into_values().filter(|source| source.sensitivity != 0.0).collect();
        Self { kind: self.kind, value: self.value - other.value, sources }
    }

    /// Whether the number exceeds its own uncertainty. A change smaller than its `U` is within the measurement.
    pub fn is_beyond_measurement(&self) -> bool {
        self.value != 0.0 && self.expanded().is_none_or(|expanded| self.value.abs() > expanded)
    }

    /// The readings behind the number that were taken once, where three would be better.
    pub fn read_once(&self) -> impl Iterator<Item = &Source> {
        self.sources.iter().filter(|source| source.scatter.as_ref().is_some_and(Scatter::wants_more))
    }

    /// Each source with its share of the variance, largest first.
    pub fn budget(&self) -> Vec<(&Source, f64)> {
        let parts: Vec<Component> = self.sources.iter().map(alone).collect();
        let mut shares: Vec<(&Source, f64)> = self.sources.iter().zip(shares(&parts)).collect();
        shares.sort_by(|(a, x), (b, y)| y.total_cmp(x).then_with(|| a.id.cmp(&b.id)));
        shares
    }
}
