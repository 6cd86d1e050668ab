//! Days as people write them, for pages and mails.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::units::words::visible;

/// Formats an ISO date, or the day of a moment in RFC 3339 by this machine's clock: `30 November 2026`. Other text
/// stays as it is; foreign text is escaped.
pub fn in_words(text: &str) -> String {
    day(text).map_or_else(|| visible(text).into_owned(), |day| day.strftime("%-d %B %Y").to_string())
}

/// True if two texts are of the same day.
pub fn are_one(one: &str, other: &str) -> bool {
    day(one).is_some_and(|one| day(other) == Some(one))
}

/// True if the first text is of an earlier day than the second; false where one of them is no day.
pub fn is_before(one: &str, other: &str) -> bool {
    day(one).zip(day(other)).is_some_and(|(one, other)| one < other)
}

/// Returns the day of an ISO date, or of a moment in RFC 3339 by this machine's clock.
fn day(text: &str) -> Option<Date> {
    let of_moment = text.parse::<Timestamp>().map(|moment| moment.to_zoned(TimeZone::system()).date());
    of_moment.or_else(|_| text.parse::<Date>()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_written_as_people_write_it() {
        assert_eq!(in_words("2026-12-08"), "8 December 2026");
        // The middle of a month is in it everywhere.
        assert_eq!(in_words("2026-11-15T12:00:00Z").split(' ').skip(1).collect::<Vec<_>>(), ["November", "2026"]);
        assert!(in_words("soon\u{1b}").starts_with("soon") && !in_words("soon\u{1b}").contains('\u{1b}'));
        assert_eq!(in_words(""), "");
        assert!(is_before("2026-12-07", "2026-12-08") && !is_before("2026-12-08", "2026-12-08") && !is_before("", "x"));
        assert!(are_one("2026-12-08", "2026-12-08") && !are_one("2026-12-08", "2026-12-09") && !are_one("", ""));
    }
}
