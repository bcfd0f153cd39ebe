//! Standard and expanded uncertainty of figures, and of what is made from several of them.

use std::collections::BTreeMap;

use crate::physics::uncertainty::{Component, combine, shares};

use super::figure::{Number, Source};

/// What a source alone makes a number uncertain by.
fn component(source: &Source) -> Component {
    Component { u: source.sensitivity * source.u, freedom: source.freedom }
}

impl Number {
    fn components(&self) -> Vec<Component> {
        self.sources.iter().map(component).filter(|component| component.u != 0.0).collect()
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
        let components = self.components();
        (!components.is_empty()).then(|| combine(&components).expanded())
    }

    /// This less another, source by source, so that an error that both share cancels.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        let mut sources: BTreeMap<&str, Source> =
            self.sources.iter().map(|source| (source.id.as_str(), source.clone())).collect();
        for source in &other.sources {
            let entry = sources
                .entry(source.id.as_str())
                .or_insert_with(|| Source { sensitivity: 0.0, ..source.clone() });
            entry.sensitivity -= source.sensitivity;
        }
        let sources = sources.into_values().filter(|source| source.sensitivity != 0.0).collect();
        Self { kind: self.kind, value: self.value - other.value, sources }
    }

    /// Whether the number is told from nothing by its uncertainty: a change smaller than its own `U` is within
    /// the measurement.
    pub fn is_beyond_measurement(&self) -> bool {
        self.value != 0.0 && self.expanded().is_none_or(|expanded| self.value.abs() > expanded)
    }

    /// Each source with its share of the variance, largest first.
    pub fn budget(&self) -> Vec<(&Source, f64)> {
        let parts: Vec<Component> = self.sources.iter().map(component).collect();
        let mut shares: Vec<(&Source, f64)> = self.sources.iter().zip(shares(&parts)).collect();
        shares.sort_by(|(a, x), (b, y)| y.total_cmp(x).then_with(|| a.id.cmp(&b.id)));
        shares
    }
}
