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
    zone_of(std::env::var_os("TZ").is_some(), || std::fs::read(OWN_ZONE).ok())
}

/// The zone of a system that has this file, unless it is told another by a variable.
fn zone_of(is_told: bool, file: impl FnOnce() -> Option<Vec<u8>>) -> TimeZone {
    let own = || TimeZone::tzif("", &file()?).ok();
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
    use jiff::tz::Offset;

    use super::*;

    /// An hour in the middle of a winter, and one in the middle of a summer.
    const HALVES: [i64; 2] = [1_767_222_000, 1_782_856_800];

    /// A zone's file without moments of its own: only the rule in its last line (RFC 8536, version 2).
    fn file(rule: &str) -> Vec<u8> {
        let mut bytes = Vec::new();
        for _ in 0..2 {
            bytes.extend(b"TZif2");
            bytes.extend([0; 15]);
            // Of the six counts only a kind of time and the letters of its name are not zero.
            for count in [0_u32, 0, 0, 0, 1, 4] {
                bytes.extend(count.to_be_bytes());
            }
            bytes.extend([0; 6]);
            bytes.extend(b"UTC\0");
        }
        bytes.extend(format!("\n{rule}\n").bytes());
        bytes
    }

    fn hours_from_utc(zone: &TimeZone) -> [Offset; 2] {
        HALVES.map(|seconds| zone.to_offset(Timestamp::from_second(seconds).unwrap()))
    }

    #[test]
    fn the_zone_is_the_one_that_the_system_names() {
        assert_eq!(hours_from_utc(&zone()), hours_from_utc(&TimeZone::system()));
    }

    /// Wherever the test runs: a machine in UTC has no zone to mistake.
    #[test]
    fn the_zone_is_the_one_in_the_systems_file_where_nobody_names_another() {
        let hours = |rule: &str| hours_from_utc(&zone_of(false, || Some(file(rule))));
        assert_eq!(hours("CET-1CEST,M3.5.0,M10.5.0/3"), [1, 2].map(jiff::tz::offset));
        assert_eq!(hours("NZST-12NZDT,M9.5.0,M4.1.0/3"), [13, 12].map(jiff::tz::offset));
        let told = zone_of(true, || Some(file("<+14>-14")));
        assert_eq!(hours_from_utc(&told), hours_from_utc(&TimeZone::system()));
        let broken = [None, Some(b"no zone".to_vec())].map(|file| zone_of(false, || file));
        assert!(broken.iter().all(|zone| hours_from_utc(zone) == hours_from_utc(&TimeZone::system())));
    }
}
