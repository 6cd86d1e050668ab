//! When a picture was taken, as its file says.

use std::fmt;

use jiff::civil::{Date, Time};
use jiff::fmt::strtime;
use jiff::fmt::temporal::Pieces;

/// A capture time by the camera's own clock. Source of the forms: ISO 8601 as XMP uses it (ISO 16684-1), Exif 2.3.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CaptureTime {
    date: Date,
    /// `None` where the file has only a day.
    time: Option<Time>,
    /// As ISO 8601 writes it, with the digits and the zone that the file has.
    text: Box<str>,
}

impl CaptureTime {
    /// Reads a text as XMP has it, `2026-11-02T10:21:07.25+01:00`; `None` where it is no day of the calendar.
    pub fn from_iso(text: &str) -> Option<CaptureTime> {
        let text = text.trim();
        let pieces = Pieces::parse(text).ok()?;
        Some(CaptureTime { date: pieces.date(), time: pieces.time(), text: text.into() })
    }

    /// Reads the two texts of Exif, `2026:11:02 10:21:07` and `+01:00`; `None` where the first is no time. A second
    /// that is no offset is left out.
    pub fn from_exif(time: &str, offset: Option<&str>) -> Option<CaptureTime> {
        let when = strtime::parse("%Y:%m:%d %H:%M:%S", time.trim()).ok()?.to_datetime().ok()?;
        // Cameras without a clock write zeros.
        if when.year() == 0 {
            return None;
        }
        let offset = offset.map(str::trim).filter(|offset| strtime::parse("%:z", offset).is_ok()).unwrap_or_default();
        let text = format!("{when}{offset}").into();
        Some(CaptureTime { date: when.date(), time: Some(when.time()), text })
    }

    /// Returns the time in ISO 8601: `2026-11-02T10:21:07`, with a zone only where the file has one.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// Returns the minutes since the beginning of 1970 by the camera's clock; `None` where the file has only a day.
    pub fn minutes(&self) -> Option<i64> {
        const SECONDS_A_MINUTE: i64 = 60;
        let clock = self.date.to_datetime(self.time?);
        let epoch = Date::constant(1970, 1, 1).to_datetime(Time::midnight());
        Some(clock.duration_since(epoch).as_secs().div_euclid(SECONDS_A_MINUTE))
    }

    /// True if two times are the same to the second, and to its fraction where both have one. Zones are not compared:
    /// two exports of one picture may differ in whether they have one.
    pub fn is_same_moment(&self, other: &CaptureTime) -> bool {
        let second = |time: &CaptureTime| time.time.map(|time| (time.hour(), time.minute(), time.second()));
        let fraction = |time: &CaptureTime| time.time.map_or(0, Time::subsec_nanosecond);
        let (one_part, other_part) = (fraction(self), fraction(other));
        self.date == other.date
            && second(self) == second(other)
            && (one_part == 0 || other_part == 0 || one_part == other_part)
    }
}

impl fmt::Display for CaptureTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iso(text: &str) -> CaptureTime {
        CaptureTime::from_iso(text).unwrap_or_else(|| panic!("{text}"))
    }

    #[test]
    fn times_of_xmp_keep_their_digits_and_their_zone() {
        for text in ["2026-11-02T10:21:07.25+01:00", "2026-11-02T10:21:07Z", "2026-11-02T10:21", "2026-11-02"] {
            assert_eq!(iso(text).as_str(), text);
        }
        for text in ["", "yesterday", "2026-13-02", "2026-11-02T25:00", "0000:00:00 00:00:00"] {
            assert_eq!(CaptureTime::from_iso(text), None, "{text}");
        }
    }

    #[test]
    fn times_of_exif_are_written_as_those_of_xmp() {
        let exif = |time, offset| CaptureTime::from_exif(time, offset).map(|time| time.to_string());
        assert_eq!(exif("2026:11:02 10:21:07", None).as_deref(), Some("2026-11-02T10:21:07"));
        assert_eq!(exif("2026:11:02 10:21:07", Some("+01:00")).as_deref(), Some("2026-11-02T10:21:07+01:00"));
        assert_eq!(exif("2026:11:02 10:21:07", Some("noon")).as_deref(), Some("2026-11-02T10:21:07"));
        for time in ["0000:00:00 00:00:00", "yesterday", "2026:13:02 10:21:07", "    :  :     :  :  "] {
            assert_eq!(exif(time, None), None, "{time}");
        }
    }

    #[test]
    fn a_moment_is_compared_to_the_second_and_to_its_fraction_where_both_have_one() {
        let same = |one: &str, other: &str| iso(one).is_same_moment(&iso(other));
        assert!(same("2026-11-02T10:21:07", "2026-11-02T10:21:07.25+01:00"));
        assert!(same("2026-11-02T10:21:07.25", "2026-11-02T10:21:07.25+01:00"));
        assert!(!same("2026-11-02T10:21:07.25", "2026-11-02T10:21:07.5"));
        assert!(!same("2026-11-02T10:21:07", "2026-11-02T10:21:08"));
        assert!(!same("2026-11-02T00:00:00", "2026-11-02"));
    }

    #[test]
    fn minutes_go_on_over_the_end_of_a_month() {
        let minutes = |text: &str| iso(text).minutes();
        assert_eq!(minutes("1970-01-01T00:01:59"), Some(1));
        let (before, after) = (minutes("2026-02-28T23:50:00").unwrap(), minutes("2026-03-01T00:10:30").unwrap());
        assert_eq!(after - before, 20);
        assert_eq!(minutes("2026-11-02"), None);
    }
}
