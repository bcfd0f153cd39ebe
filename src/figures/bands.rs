//! What the machine's bands give: an aim for figures that need one, and where a value is within its range.

use crate::vocabulary::values::{Band, Bounds};
use crate::vocabulary::{FigureName, Named};

use super::bench::Bench;
use super::margin::Expanded;
use super::recorder::Recorder;

/// Where a number is within a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    Inside,
    /// Inside, with an uncertainty that reaches outside.
    InsideUnclear,
    /// Outside, with an uncertainty that reaches inside.
    OutsideUnclear,
    Outside,
}

/// Where a value with its expanded uncertainty is within a range.
pub fn standing(bounds: &Bounds, value: f64, expanded: Option<f64>) -> Standing {
    let expanded = expanded.unwrap_or(0.0);
    let (below, above) = (bounds.contain(value - expanded), bounds.contain(value + expanded));
    match (bounds.contain(value), below && above, below || above) {
        (true, true, _) => Standing::Inside,
        (true, false, _) => Standing::InsideUnclear,
        (false, _, true) => Standing::OutsideUnclear,
        (false, ..) => Standing::Outside,
    }
}

/// The same for an interval, which notes at what size the answer changes.
pub fn standing_of(bounds: &Bounds, value: f64, expanded: Option<&Expanded>) -> Standing {
    let ends = bounds.edges().into_iter().flatten().map(|end| (value - end).abs());
    standing(bounds, value, expanded.map(|expanded| expanded.against(ends)))
}

impl<'a, R: Recorder> Bench<'a, R> {
    /// The machine's band for a name.
    pub fn band(&self, name: impl Into<Named>) -> Option<&'a Band> {
        self.here.machine?.band(name.into())
    }

    /// The aim of a band, in the SI base unit: as written, or the middle of `within`.
    pub(super) fn aim(&self, name: FigureName) -> Option<f64> {
        let band = self.band(name)?;
        match (&band.aim, self.within(name)) {
            (Some(aim), _) => {
                self.rests_on(aim.span);
                Some(aim.value())
            }
            (None, within) => within.map(|(low, high)| 0.5 * (low + high)),
        }
    }

    /// Both ends of a band, in the SI base unit; `None` where one is open.
    pub(super) fn within(&self, name: FigureName) -> Option<(f64, f64)> {
        let within = self.band(name)?.within?;
        self.rests_on(within.span);
        Some((within.low?.value, within.high?.value))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Kind, UnitDefaults, interval};
    use crate::source::{FileId, Span};

    #[test]
    fn a_value_is_told_from_an_edge_by_its_uncertainty() {
        let parsed = interval("104..106 mm", &[Kind::Length], &UnitDefaults::default()).unwrap();
        let bounds = Bounds { low: parsed.low, high: parsed.high, span: Span::top(FileId(0)) };
        let at = |value, expanded| standing(&bounds, value, expanded);
        assert_eq!(at(0.105, Some(0.0005)), Standing::Inside);
        assert_eq!(at(0.106, None), Standing::Inside);
        assert_eq!(at(0.105, Some(0.0019)), Standing::InsideUnclear);
        assert_eq!(at(0.107, Some(0.0019)), Standing::OutsideUnclear);
        assert_eq!(at(0.112, Some(0.0019)), Standing::Outside);
        assert_eq!(at(0.112, None), Standing::Outside);
    }
}
