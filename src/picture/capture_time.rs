//! When a picture was taken.

use std::fmt;

use jiff::civil::{DateTime, date};

/// The moment from which minutes are counted; any would do.
const EPOCH: DateTime = date(1970, 1, 1).at(0, 0, 0, 0);
/// Characters of the shortest text that names a day and a time: `2026-11-02T10:21`.
const SHORTEST: usize = 16;

/// When a picture was taken, by the camera's clock, as its metadata state it.
///
/// A text that names no day and time is kept as it is, since people read it; it is only compared as a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CaptureTime {
    stated: String,
    /// The camera's own day and time, whatever its zone; `None` where the text names none.
    local: Option<DateTime>,
    /// Whether the text has parts of a second.
    has_fraction: bool,
}

impl CaptureTime {
    /// Of a text as XMP writes it, and Exif once its colons are hyphens: `2026-11-02T10:21:07.25+01:00`.
    pub fn of(stated: String) -> CaptureTime {
        // The zone does not move the camera's clock.
        let named = stated.trim_end_matches(['Z', 'z']);
        let local = named.parse::<DateTime>().ok().filter(|_| named.len() >= SHORTEST);
        let has_fraction = local.is_some() && named.contains('.');
        CaptureTime { stated, local, has_fraction }
    }

    /// The text of the metadata; foreign text.
    pub fn stated(&self) -> &str {
        &self.stated
    }

    /// Whole minutes since 1970 by the camera's clock; `None` where the text names no time.
    pub fn minutes(&self) -> Option<i64> {
        self.local.map(|local| local.duration_since(EPOCH).as_secs().div_euclid(60))
    }

    /// Whether two pictures were taken at one moment: to the second, and to its fraction where both have one.
    pub fn is_moment_of(&self, other: &CaptureTime) -> bool {
        match (self.local, other.local) {
            (Some(one), Some(other_time)) if self.has_fraction && other.has_fraction => one == other_time,
            (Some(one), Some(other)) => one.duration_since(EPOCH).as_secs() == other.duration_since(EPOCH).as_secs(),
            _ => self.stated == other.stated,
        }
    }
}

/// As a person reads it: a blank between day and time. Foreign text.
impl fmt::Display for CaptureTime {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.stated.replace('T', " "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn time(stated: &str) -> CaptureTime {
        CaptureTime::of(stated.to_owned())
    }

    #[test]
    fn a_moment_is_told_to_the_second_and_its_fraction_where_both_have_one() {
        let is_one = |one: &str, other: &str| time(one).is_moment_of(&time(other));
        assert!(is_one("2026-11-02T10:21:07", "2026-11-02T10:21:07.25+01:00"));
        assert!(is_one("2026-11-02T10:21:07.25", "2026-11-02T10:21:07.25+01:00"));
        assert!(is_one("2026-11-02T10:21:07.250", "2026-11-02T10:21:07.25Z"));
        assert!(!is_one("2026-11-02T10:21:07.25", "2026-11-02T10:21:07.5"));
        assert!(!is_one("2026-11-02T10:21:07", "2026-11-02T10:21:08"));
        assert!(is_one("in autumn", "in autumn") && !is_one("in autumn", "2026-11-02T10:21:07"));
    }

    #[test]
    fn minutes_are_those_of_the_cameras_clock() {
        let apart = |one: &str, other: &str| time(other).minutes().unwrap() - time(one).minutes().unwrap();
        assert_eq!(apart("2026-11-02T10:20:59", "2026-11-02T10:50:00"), 30);
        assert_eq!(apart("2026-11-30T23:59:00", "2026-12-01T00:01:00+01:00"), 2);
        assert_eq!(apart("2026-11-02T10:20", "2026-11-02T10:21:07Z"), 1);
        for none in ["", "in autumn", "2026-11-02", "2026-13-40T10:20:00"] {
            assert_eq!(time(none).minutes(), None, "{none}");
        }
    }

    #[test]
    fn it_is_read_as_it_was_written() {
        assert_eq!(time("2026-11-02T10:21:07+01:00").to_string(), "2026-11-02 10:21:07+01:00");
        assert_eq!(time("2026-11-02T10:21:07+01:00").stated(), "2026-11-02T10:21:07+01:00");
    }
}
