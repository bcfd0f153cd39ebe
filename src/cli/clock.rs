//! The clock, which no other room asks.

#![expect(clippy::disallowed_methods, reason = "the one place that asks the clock")]

use jiff::ZonedDateTime;
use jiff::civil::Date;

/// Today, where the program runs.
pub(super) fn today() -> Date {
    ZonedDateTime::now().date()
}
