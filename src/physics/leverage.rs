//! How far the shock moves for a wheel travel: the leverage of a linkage.

use super::Number;
use super::curve::{Curve, CurveFault};

/// Leverage: vertical wheel travel over shock stroke, along the travel.
///
/// **Units** m. **Domain** leverages and travel above zero.
#[derive(Clone, Debug, PartialEq)]
pub enum Leverage {
    /// The same all the way.
    Constant(f64),
    /// Changing evenly with wheel travel.
    Linear { extended: f64, bottomed: f64, travel: f64 },
    /// Measured: shock stroke against vertical wheel travel, see [`Leverage::table`].
    Table(Curve),
}

/// Why rows of wheel travel and stroke make no table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableFault {
    /// Fewer than two rows.
    TooFewRows,
    /// The first row is not full extension, 0 and 0.
    NotFromZero,
    /// The row with this number, from zero, does not go on from the one before.
    NotRising { row: usize },
}

impl Leverage {
    /// From rows of wheel travel and stroke, the first of them 0 and 0.
    ///
    /// **Units** m. **Errors** [`TableFault`].
    pub fn table(rows: &[(f64, f64)]) -> Result<Leverage, TableFault> {
        if rows.first().is_some_and(|&row| row != (0.0, 0.0)) {
            return Err(TableFault::NotFromZero);
        }
        match Curve::through(rows) {
            Ok(curve) => Ok(Leverage::Table(curve)),
            Err(CurveFault::TooFew) => Err(TableFault::TooFewRows),
            Err(CurveFault::NotRising { point }) => Err(TableFault::NotRising { row: point }),
        }
    }

    /// Wheel travel up to which it was measured, `None` where a formula holds throughout.
    pub fn measured_to(&self) -> Option<f64> {
        match self {
            Leverage::Table(curve) => Some(curve.end()),
            Leverage::Constant(_) | Leverage::Linear { .. } => None,
        }
    }

    /// Shock stroke at a wheel travel.
    ///
    /// **Units** m. **Source** definition of leverage, `ds/dz = 1/ℓ(z)`, integrated exactly.
    pub fn stroke<N: Number>(&self, wheel: N) -> N {
        let [stroke, ratio, ..] = self.derivatives(wheel.value());
        wheel.chain(stroke, ratio)
    }

    /// Motion ratio `ds/dz`, the inverse of the leverage.
    pub fn motion_ratio<N: Number>(&self, wheel: N) -> N {
        let [_, ratio, curvature, _] = self.derivatives(wheel.value());
        wheel.chain(ratio, curvature)
    }

    /// How the motion ratio changes, `d²s/dz²`.
    ///
    /// **Units** 1/m.
    pub fn curvature<N: Number>(&self, wheel: N) -> N {
        let [_, _, curvature, change] = self.derivatives(wheel.value());
        wheel.chain(curvature, change)
    }

    /// Stroke and its first three derivatives with wheel travel.
    pub(super) fn derivatives(&self, wheel: f64) -> [f64; 4] {
        match self {
            Leverage::Constant(leverage) => [wheel / leverage, 1.0 / leverage, 0.0, 0.0],
            Leverage::Linear { extended, bottomed, travel } => {
                let change = (bottomed - extended) / travel;
                let here = extended + change * wheel;
                let grown = change * wheel / extended;
                // ln(1 + y)/y, which is 1 at 0: the leverage may be constant.
                let mean = if grown == 0.0 { 1.0 } else { libm::log1p(grown) / grown };
                let ratio = 1.0 / here;
                let curvature = -change * ratio * ratio;
                [wheel / extended * mean, ratio, curvature, -2.0 * change * ratio * curvature]
            }
            Leverage::Table(curve) => curve.derivatives(wheel),
        }
    }
}
