//! The middle of a list and how far the list is spread about it.

/// The middle value, or the mean of the two middle ones; `None` for none.
///
/// **Units** any. **Domain** numbers. **Source** textbook.
pub fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    median_of_sorted(&sorted)
}

/// The median distance from the median, not scaled to a standard deviation; `None` for no values.
///
/// **Units** as the values. **Domain** numbers. **Source** F. R. Hampel, *J. Am. Stat. Assoc.* 69 (1974) 383.
pub fn median_absolute_deviation(values: &[f64]) -> Option<f64> {
    let middle = median(values)?;
    let distances: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    median(&distances)
}

/// The median of values in rising order.
pub(super) fn median_of_sorted(sorted: &[f64]) -> Option<f64> {
    let upper = sorted.get(sorted.len() / 2)?;
    let lower = sorted.get(sorted.len().saturating_sub(1) / 2)?;
    Some(0.5 * (lower + upper))
}

/// How often each value occurs in a sorted list, for values that occur more than once.
pub(super) fn ties(sorted: &[f64]) -> impl Iterator<Item = usize> {
    sorted.chunk_by(|one, next| one == next).map(<[f64]>::len).filter(|count| *count > 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians_of_even_odd_and_nothing() {
        assert_eq!(median(&[]), None);
        assert_eq!(median_absolute_deviation(&[]), None);
        assert_eq!(median(&[7.0]), Some(7.0));
        assert_eq!(median(&[9.0, 1.0, 4.0]), Some(4.0));
        assert_eq!(median(&[9.0, 1.0, 4.0, 3.0]), Some(3.5));
        // By hand: median 2, distances 1 1 0 0 2 4 7.
        assert_eq!(median_absolute_deviation(&[1.0, 1.0, 2.0, 2.0, 4.0, 6.0, 9.0]), Some(1.0));
    }

    #[test]
    fn ties_are_counted() {
        assert_eq!(ties(&[1.0, 1.0, 2.0, 3.0, 3.0, 3.0]).collect::<Vec<_>>(), [2, 3]);
        assert_eq!(ties(&[1.0, 2.0]).count(), 0);
    }
}
