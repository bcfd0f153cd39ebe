//! Dates and times of day as people write them.

use jiff::civil::{Date, Time};

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
        // Day and month may have changed places.
        all.extend(date(first, second, third).or_else(|| date(first, third, second)));
    } else if third.len() == 4 {
        all.extend(date(third, second, first));
        if !text.contains('.') {
            all.extend(date(third, first, second));
        }
    }
    all.dedup();
    all
}

/// Whether a text is three numbers as in a date, though there may be no such day: `2026-02-30`.
pub(crate) fn is_like_one(text: &str) -> bool {
    let parts: Vec<&str> = text.trim().split(['.', '/', '-']).collect();
    let is_number =
        |part: &&str| (1..=4).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
    let has_year = [parts.first(), parts.last()].into_iter().flatten().any(|part| part.len() == 4);
    parts.len() == 3 && has_year && parts.iter().all(is_number)
}

/// The time of day of `9:30`, `9.30`, `9h30`, `09:30:00` or `2:15 pm`.
pub(crate) fn time_of_day(text: &str) -> Option<Time> {
    let text = text.trim();
    let (clock, half) = match text.len().checked_sub(2).and_then(|at| text.split_at_checked(at)) {
        Some((clock, word)) if word.eq_ignore_ascii_case("am") => (clock, Some(0)),
        Some((clock, word)) if word.eq_ignore_ascii_case("pm") => (clock, Some(12)),
        _ => (text, None),
    };
    let mut parts = clock.trim().split([':', '.', 'h', 'H']).map(|part| part.parse::<i8>().ok());
    let (hour, minute) = (parts.next()??, parts.next()??);
    let second = parts.next().unwrap_or(Some(0))?;
    if parts.next().is_some() {
        return None;
    }
    // Twelve is the first hour of a half, and there is no thirteenth.
    let hour = match half {
        Some(half) => (1..=12).contains(&hour).then_some(hour % 12 + half)?,
        None => hour,
    };
    Time::new(hour, minute, second, 0).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_of_day_is_hours_and_minutes() {
        let shown = |text| time_of_day(text).map(|time| time.to_string());
        for (text, time) in [
            ("9:30", "09:30:00"),
            ("09.30", "09:30:00"),
            ("9h30", "09:30:00"),
            ("23:59:59", "23:59:59"),
            ("2:15 pm", "14:15:00"),
            ("12:05 AM", "00:05:00"),
            ("12:05pm", "12:05:00"),
        ] {
            assert_eq!(shown(text).as_deref(), Some(time), "{text}");
        }
        for text in ["24:00", "9:60", "half nine", "9", "13:00 pm", "0:10 pm", "9:3O", "1:2:3:4", "-1:30", ""]
        {
            assert_eq!(shown(text), None, "{text}");
        }
    }

    #[test]
    fn days_and_months_are_told_apart_where_they_can_be() {
        let shown = |text| meant(text).iter().map(Date::to_string).collect::<Vec<_>>();
        assert_eq!(shown("15.08.2026"), ["2026-08-15"]);
        assert_eq!(shown("8/15/2026"), ["2026-08-15"]);
        assert_eq!(shown("2026/8/5"), ["2026-08-05"]);
        assert_eq!(shown("2026-21-11"), ["2026-11-21"]);
        assert_eq!(shown("5/8/2026"), ["2026-08-05", "2026-05-08"]);
        assert_eq!(shown("5.8.2026"), ["2026-08-05"]);
        assert!(
            is_like_one("2026-02-30")
                && is_like_one("31.02.2026")
                && !is_like_one("1.5")
                && !is_like_one("2:04.1")
        );
        assert!(shown("31.02.2026").is_empty() && shown("17 C").is_empty() && shown("1.5").is_empty());
    }
}
