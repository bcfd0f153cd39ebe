//! Tyre sizes and radii.

use std::f64::consts::PI;
use std::ops::RangeInclusive;

use super::Number;

/// Rim codes in use on two wheels. Common practice, no source.
const RIMS: RangeInclusive<u32> = 8..=23;
/// Nominal section widths in use on two wheels, mm. Common practice, no source.
const WIDTHS: RangeInclusive<u32> = 40..=400;
/// Aspect ratios in use on two wheels. Common practice, no source.
const ASPECTS: RangeInclusive<u32> = 20..=120;

/// A size such as `110/90-19`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TyreCode {
    /// Nominal section width, mm.
    pub width: u32,
    /// Height of the section as a percentage of its width.
    pub aspect: u32,
    /// Nominal rim diameter, in.
    pub rim: u32,
}

impl TyreCode {
    /// Reads a size; a service description behind it (`51M`) may stand. `None` for anything else.
    ///
    /// **Source** ISO 4249: width / aspect ratio, construction, rim. The letters of the construction (`-`
    /// diagonal, `B` belted, `R` radial) are from memory.
    pub fn parse(text: &str) -> Option<TyreCode> {
        let (width, rest) = text.trim().split_once('/')?;
        let (aspect, rest) = rest.split_once(['-', 'B', 'R'])?;
        let rest = rest.trim_start();
        let rim = rest.split(char::is_whitespace).next()?;
        let code = TyreCode { width: count(width)?, aspect: count(aspect)?, rim: count(rim)? };
        let sensible =
            WIDTHS.contains(&code.width) && ASPECTS.contains(&code.aspect) && RIMS.contains(&code.rim);
        sensible.then_some(code)
    }

    /// Radius without load.
    ///
    /// **Units** m. **Source** ISO 4249: `12.7 · rim + width · aspect / 100` mm.
    pub fn free_radius(&self) -> f64 {
        let section = f64::from(self.width) * f64::from(self.aspect) / 100.0;
        (12.7 * f64::from(self.rim) + section) / 1000.0
    }
}

/// A whole number written with digits only.
fn count(text: &str) -> Option<u32> {
    let digits = text.trim();
    let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    if plain { digits.parse().ok() } else { None }
}

/// Radius of the wheel that covers `rollout` in one turn.
///
/// **Units** m. **Source** definition: `C / 2π`.
pub fn radius_of_rollout<N: Number>(rollout: N) -> N {
    rollout / (2.0 * PI)
}
