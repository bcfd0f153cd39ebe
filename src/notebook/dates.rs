//! Dates as people write them.

use jiff::civil::Date;

/// The dates that a date in another order may mean: `15.08.2026`, `8/15/2026`, `2026/8/15`. Where day and month
/// cannot be told apart, both are given; between points the day comes first.
pub(crate) fn meant(text: &str) -> Vec<Date> {
    let parts: Vec<&str> = text.trim().split(['.', '/', '-', ' ']).filter(|part| !part.is_empty()).collect();
    let [first, second, third] = parts.as_slice() else { return Vec::new() };
    let date = |year: &str, month: &str, day: &str| {
        let small = |part: &str| part.parse::<i8>().ok().filter(|_| part.len() <= 2);
        Date::new(year.parse().ok()?, small(month)?, small(day)?).ok()
    };
    let mut all = Vec::new();
    if first.len() == 4 {
        all.extend(date(first, second, third));
    } else if third.len() == 4 {
        all.extend(date(third, second, first));
        if !text.contains('.') {
            all.extend(date(third, first, second));
        }
    }
    all.dedup();
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_and_months_are_told_apart_where_they_can_be() {
        let shown = |text| meant(text).iter().map(Date::to_string).collect::<Vec<_>>();
        assert_eq!(shown("15.08.2026"), ["2026-08-15"]);
        assert_eq!(shown("8/15/2026"), ["2026-08-15"]);
        assert_eq!(shown("2026/8/5"), ["2026-08-05"]);
        assert_eq!(shown("5/8/2026"), ["2026-08-05", "2026-05-08"]);
        assert_eq!(shown("5.8.2026"), ["2026-08-05"]);
        assert!(shown("31.02.2026").is_empty() && shown("17 C").is_empty() && shown("1.5").is_empty());
    }
}
