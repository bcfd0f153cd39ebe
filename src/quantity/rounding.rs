//! Rounding: the one place where digits are dropped.

use super::numeral::ten_to;

/// More decimals than anything here is known to.
pub(super) const MOST_DECIMALS: i32 = 12;

/// A number rounded to decimals (negative: to tens, hundreds), halves away from zero.
///
/// A half in decimal that lies a few parts in 10¹⁶ lower in binary counts as a half.
pub(super) fn rounded(number: f64, decimals: i32) -> f64 {
    let scale = ten_to(decimals.unsigned_abs() as usize);
    let whole = in_last_digits(number, decimals);
    if decimals >= 0 { whole / scale } else { whole * scale }
}

/// A number rounded to these decimals, counted in units of its last digit.
fn in_last_digits(number: f64, decimals: i32) -> f64 {
    let scale = ten_to(decimals.unsigned_abs() as usize);
    let scaled = if decimals >= 0 { number * scale } else { number / scale };
    let whole = (scaled * AS_MEANT).round();
    // Never minus zero.
    if whole == 0.0 { 0.0 } else { whole }
}

/// Lifts a number that was meant as a decimal half, and is a few parts in 10¹⁶ lower in binary.
const AS_MEANT: f64 = 1.0 + 4.0 * f64::EPSILON;

/// Below this a count of the last digit is exact, and so is each of its digits.
const EXACT: f64 = 1e15;

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
    let exponent = libm::log10(number.abs()).floor() as i32;
    if exponent < -MOST_DECIMALS {
        return Some(MOST_DECIMALS);
    }
    // In tenths of the first digit, from 10 up. Where rounding carries, the first digit is one place higher: 0.0996 is 0.10.
    let tenths = in_last_digits(number.abs(), 1 - exponent);
    let (tenths, exponent) = if tenths >= 100.0 { (10.0, exponent + 1) } else { (tenths, exponent) };
    let is_coarse = tenths >= f64::from(COARSE);
    Some((i32::from(!is_coarse) - exponent).min(MOST_DECIMALS))
}

/// From this many tenths of its first digit up, an uncertainty is shown with one digit.
const COARSE: u8 = 30;

/// The numbers between which an uncertainty, shown with these decimals, is shown as this one is. Either end may be shown
/// differently.
pub(super) fn told_alike(number: f64, decimals: i32) -> (f64, f64) {
    let half = if decimals >= 0 {
        0.5 / ten_to(decimals.unsigned_abs() as usize)
    } else {
        0.5 * ten_to(decimals.unsigned_abs() as usize)
    };
    let told = rounded(number, decimals);
    let (mut low, mut high) = (told - half, told + half);
    // The decimals change at other numbers with this first digit, or with the next.
    if let Some(own) = decimals_of_uncertainty(number).filter(|own| *own < MOST_DECIMALS) {
        for edge in [0.995, 2.95, 9.95] {
            for exponent in [-own, 1 - own] {
                let scale = ten_to(exponent.unsigned_abs() as usize);
                let edge = if exponent >= 0 { edge * scale } else { edge / scale };
                if edge <= number {
                    low = low.max(edge);
                } else {
                    high = high.min(edge);
                }
            }
        }
    }
    (low.max(0.0), high)
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
    let whole = in_last_digits(number, decimals);
    let sign = if whole < 0.0 { "\u{2212}" } else { "" };
    let whole = if decimals < 0 { rounded(number, decimals) } else { whole };
    if whole.abs() >= EXACT || whole.is_nan() {
        return format!("{sign}{:.places$}", rounded(number, decimals).abs());
    }
    // As whole numbers, which are written in a tenth of the time.
    let (whole, scale) = (whole.abs() as u64, 10_u64.pow(places as u32));
    let before = whole / scale;
    if places == 0 { format!("{sign}{before}") } else { format!("{sign}{before}.{:0places$}", whole % scale) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

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

    proptest! {
        /// The standard library's formatter is the judge: it rounds what is exact in decimal.
        #[test]
        fn digits_are_those_that_the_standard_library_writes(number in -1e9..1e9_f64, decimals in -3..=12_i32) {
            let places = decimals.clamp(0, MOST_DECIMALS) as usize;
            let plain = format!("{:.places$}", rounded(number, decimals)).replace('-', "\u{2212}");
            prop_assert_eq!(digits(number, decimals), plain);
        }

        #[test]
        fn an_uncertainty_has_the_decimals_of_its_first_digits(
            first in 1.0..10.0_f64, power in -11..9_i32, places in 0..4_u32
        ) {
            // Halves as well, which are meant in decimal.
            let number = format!("{first:.0$}e{power}", places as usize).parse::<f64>().unwrap();
            let scientific = format!("{:.1e}", number * AS_MEANT);
            let (mantissa, exponent) = scientific.split_once('e').unwrap();
            let is_coarse = mantissa.starts_with(|digit: char| ('3'..='9').contains(&digit));
            let decimals = i32::from(!is_coarse) - exponent.parse::<i32>().unwrap();
            prop_assert_eq!(decimals_of_uncertainty(number), Some(decimals.min(MOST_DECIMALS)));
        }

        #[test]
        fn what_lies_between_is_told_alike(number in 0.0..200.0_f64, finest in 0..4_i32, share in 0.001..0.999_f64) {
            let told = |number: f64| {
                let decimals = decimals_of_uncertainty(number).map_or(finest, |own| own.min(finest));
                (digits(number, decimals), decimals)
            };
            let (low, high) = told_alike(number, told(number).1);
            prop_assert!(low <= number && number <= high && low < high);
            let between = low + share * (high - low);
            // A number that rounds to zero shows nothing, whatever its decimals.
            let is_nothing = |(digits, _): &(String, i32)| !digits.contains(|c: char| ('1'..='9').contains(&c));
            let (one, other) = (told(number), told(between));
            prop_assert!(one == other || is_nothing(&one) && is_nothing(&other), "{} {}", number, between);
        }
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
