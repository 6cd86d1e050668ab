//! This machine's clock, in the years that a date can name.

use std::time::SystemTime;

use jiff::tz::TimeZone;
use jiff::{Timestamp, Zoned};

/// Returns the time; of a clock beyond the years -9999 to 9999 the first or the last moment of these.
pub fn now() -> Timestamp {
    within_calendar(SystemTime::now())
}

/// Returns the same in the machine's time zone.
pub fn local() -> Zoned {
    now().to_zoned(TimeZone::system())
}

fn within_calendar(time: SystemTime) -> Timestamp {
    let nearest = if time < SystemTime::UNIX_EPOCH { Timestamp::MIN } else { Timestamp::MAX };
    Timestamp::try_from(time).unwrap_or(nearest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_clock_beyond_the_calendar_stands_at_its_end() {
        let of = |seconds| within_calendar(SystemTime::UNIX_EPOCH + Duration::from_secs(seconds));
        assert_eq!(of(1_000_000_000), Timestamp::from_second(1_000_000_000).unwrap());
        // 1 January 10000, 00:00 UTC.
        assert_eq!(of(253_402_300_800), Timestamp::MAX);
        assert!(!Timestamp::MAX.to_zoned(TimeZone::system()).to_string().is_empty());
    }
}
