//! The clock: no other room asks it.

#![expect(clippy::disallowed_methods, reason = "the one place that asks the clock, and where it stands")]

use std::time::{Duration, Instant};

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// The file in which most systems keep their own time zone, used where `TZ` is not set.
const OWN_ZONE: &str = "/etc/localtime";

/// Today, where the program runs.
pub(super) fn today() -> Date {
    Timestamp::now().to_zoned_datetime(zone()).date()
}

/// The zone that the program runs in. `jiff` goes through all zones to find the name of this one, which takes as long as
/// checking a notebook; the name is not needed.
fn zone() -> TimeZone {
    let is_told = std::env::var_os("TZ").is_some();
    let own = || TimeZone::tzif("", &std::fs::read(OWN_ZONE).ok()?).ok();
    let own = if is_told { None } else { own() };
    own.unwrap_or_else(TimeZone::system)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_zone_is_the_one_that_the_system_names() {
        let (own, named) = (zone(), TimeZone::system());
        // In winter and in summer.
        for seconds in [1_767_222_000, 1_782_856_800] {
            let at = Timestamp::from_second(seconds).unwrap();
            assert_eq!(own.to_datetime(at), named.to_datetime(at));
        }
    }
}
