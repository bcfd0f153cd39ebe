//! Dates as people say them.

use jiff::civil::{Date, Weekday};

use crate::speech::{Message, say};

/// `Saturday 11 April 2026`.
pub(super) fn whole(date: Date) -> Message {
    say!(
        "{weekday} {day} {month} {year}",
        weekday = weekday(date),
        day = date.day(),
        month = month(date),
        year = date.year(),
    )
}

/// `11 Apr`.
pub(super) fn short(date: Date) -> Message {
    say!("{day} {month}" in "date", day = date.day(), month = short_month(date))
}

/// `11 Apr 2026`.
pub(super) fn short_with_year(date: Date) -> Message {
    say!("{day} {month} {year}", day = date.day(), month = short_month(date), year = date.year())
}

/// `Apr 2026`.
pub(super) fn month_and_year(date: Date) -> Message {
    say!("{month} {year}", month = short_month(date), year = date.year())
}

fn weekday(date: Date) -> Message {
    match date.weekday() {
        Weekday::Monday => say!("Monday"),
        Weekday::Tuesday => say!("Tuesday"),
        Weekday::Wednesday => say!("Wednesday"),
        Weekday::Thursday => say!("Thursday"),
        Weekday::Friday => say!("Friday"),
        Weekday::Saturday => say!("Saturday"),
        Weekday::Sunday => say!("Sunday"),
    }
}

fn month(date: Date) -> Message {
    match date.month() {
        1 => say!("January"),
        2 => say!("February"),
        3 => say!("March"),
        4 => say!("April"),
        5 => say!("May"),
        6 => say!("June"),
        7 => say!("July"),
        8 => say!("August"),
        9 => say!("September"),
        10 => say!("October"),
        11 => say!("November"),
        _ => say!("December"),
    }
}

/// Three letters in English.
pub(super) fn short_month(date: Date) -> Message {
    match date.month() {
        1 => say!("Jan"),
        2 => say!("Feb"),
        3 => say!("Mar"),
        4 => say!("Apr"),
        5 => say!("May" in "short"),
        6 => say!("Jun"),
        7 => say!("Jul"),
        8 => say!("Aug"),
        9 => say!("Sep"),
        10 => say!("Oct"),
        11 => say!("Nov"),
        _ => say!("Dec"),
    }
}
