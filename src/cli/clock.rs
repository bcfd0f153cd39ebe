//! The clock: no other room asks it.

#![expect(clippy::disallowed_methods, reason = "the one place that asks the clock")]

use std::time::{Duration, Instant};

use jiff::ZonedDateTime;
use jiff::civil::Date;

/// Today, where the program runs.
pub(super) fn today() -> Date {
    ZonedDateTime::now().date()
}

/// A moment by which something must be done.
#[derive(Debug, Clone, Copy)]
pub(super) struct Deadline(Instant);

impl Deadline {
    pub fn in_(time: Duration) -> Self {
        Self(Instant::now() + time)
    }

    /// The time left; `None` once it is over.
    pub fn left(self) -> Option<Duration> {
        self.0.checked_duration_since(Instant::now()).filter(|left| !left.is_zero())
    }
}
