//! Rounding: the one place where digits are dropped.

use super::numeral::ten_to;

/// More decimals than anything here is known to.
pub(super) const MOST_DECIMALS: i32 = 12;

/// A number rounded to decimals (negative: to tens, hundreds), halves away from zero.
///
/// A half in decimal that lies a few parts in 10¹⁶ lower in binary counts as a half.
pub(super) fn rounded(number: f64, decimals: i32) -> f64 {
    let scale = ten_to(decimals.unsigned_abs() as usize);
    let scaled = if decimals >= 0 { number * scale } else { number / scale };
    let whole = (scaled * (1.0 + 4.0 * f64::EPSILON)).round();
    // Never minus zero.
    let whole = if whole == 0.0 { 0.0 } else { whole };
    if decimals >= 0 { whole / scale } else { whole * scale }
}

/// The decimals to show an uncertainty with: one significant digit where the first is 3 or more, else two.
/// Rounding then moves it by a sixth at most: 1.234 → 1, 0.0996 → 2 (0.10), 0.92 → 1, 33 → −1.
///
/// `None` for zero and for what is not finite.
///
/// **Source** JCGM 100:2008, 7.2.6: two digits at most. That one is enough from 3 on: common practice, no source.
pub(super) fn decimals_of_uncertainty(number: f64) -> Option<i32> {
    if !number.is_finite() || number == 0.0 {
        return None;
    }
    // The formatter moves the exponent when rounding carries: 0.0996 is 1.0e-1.
    let scientific = format!("{:.1e}", number.abs() * (1.0 + 4.0 * f64::EPSILON));
    let (mantissa, exponent) = scientific.split_once('e')?;
    let exponent: i32 = exponent.parse().ok()?;
    let is_coarse = mantissa.starts_with(|digit: char| ('3'..='9').contains(&digit));
    Some((i32::from(!is_coarse) - exponent).min(MOST_DECIMALS))
}

/// The decimals at which a place value is a whole number: 0.1 → 1, 1 → 0, 1.5 → 1. For one that never is, such
/// as a third, the decimals that reach below it.
pub(super) fn decimals_of_digit(digit: f64) -> i32 {
    if !digit.is_finite() || digit <= 0.0 {
        return MOST_DECIMALS;
    }
    let is_whole = |scaled: f64| scaled >= 0.5 && (scaled - scaled.round()).abs() < 1e-6;
    let exact = (0..=MOST_DECIMALS).find(|&decimals| is_whole(digit * ten_to(decimals as usize)));
    exact.unwrap_or_else(|| decimals_that_reach(digit))
}

/// The fewest decimals whose place value is no larger than this one; 0 for 1 and above.
pub(super) fn decimals_that_reach(digit: f64) -> i32 {
    let reaches = |decimals: &i32| digit * ten_to(*decimals as usize) >= 1.0 - 1e-9;
    (0..=MOST_DECIMALS).find(reaches).unwrap_or(MOST_DECIMALS)
}

/// The digits of a number already rounded to these decimals, with a typographic minus sign.
pub(super) fn digits(number: f64, decimals: i32) -> String {
    let places = decimals.clamp(0, MOST_DECIMALS) as usize;
    let plain = format!("{:.places$}", rounded(number, decimals));
    match plain.strip_prefix('-') {
        Some(size) => format!("\u{2212}{size}"),
        None => plain,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_go_away_from_zero() {
        assert_eq!(digits(2.5, 0), "3");
        assert_eq!(digits(-2.5, 0), "−3");
        assert_eq!(digits(1.005, 2), "1.01");
        assert_eq!(digits(0.125, 2), "0.13");
        assert_eq!(digits(-0.04, 1), "0.0");
        assert_eq!(digits(1235.0, -1), "1240");
        assert_eq!(digits(1234.0, -2), "1200");
    }

    #[test]
    fn an_uncertainty_has_one_digit_from_three_on_and_two_below() {
        assert_eq!(decimals_of_uncertainty(0.0996), Some(2));
        assert_eq!(decimals_of_uncertainty(0.0951), Some(2));
        assert_eq!(decimals_of_uncertainty(0.997), Some(1));
        assert_eq!(decimals_of_uncertainty(2.94), Some(1));
        assert_eq!(decimals_of_uncertainty(2.96), Some(0));
        assert_eq!(decimals_of_uncertainty(12.4), Some(0));
        assert_eq!(decimals_of_uncertainty(33.0), Some(-1));
        assert_eq!(decimals_of_uncertainty(123.0), Some(-1));
        assert_eq!(decimals_of_uncertainty(0.0), None);
        assert_eq!(decimals_of_uncertainty(f64::NAN), None);
    }

    #[test]
    fn a_place_value_has_its_decimals() {
        assert_eq!(decimals_of_digit(1.0), 0);
        assert_eq!(decimals_of_digit(0.1), 1);
        assert_eq!(decimals_of_digit(0.1 / 1000.0 * 1000.0), 1);
        assert_eq!(decimals_of_digit(0.125), 3);
        assert_eq!(decimals_of_digit(1.5), 1);
        assert_eq!(decimals_of_digit(1.0 / 3.0), 1);
        assert_eq!(decimals_that_reach(0.069), 2);
        assert_eq!(decimals_that_reach(14.5), 0);
    }
}
