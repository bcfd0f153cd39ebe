//! The clock, which no other room asks.

use jiff::ZonedDateTime;
use jiff::civil::Date;

/// Today, where the program runs.
pub(super) fn today() -> Date {
    ZonedDateTime::now().date()
}
