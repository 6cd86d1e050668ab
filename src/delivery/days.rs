//! Days as people write them, for the documents of a delivery.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::units::words::visible;

/// Formats an ISO date, or the day of a moment in RFC 3339 by this machine's clock: `30 November 2026`. Other text
/// stays as it is; foreign text is escaped.
pub(super) fn in_words(text: &str) -> String {
    let of_moment = text.parse::<Timestamp>().map(|moment| moment.to_zoned(TimeZone::system()).date());
    let day = of_moment.or_else(|_| text.parse::<Date>());
    day.map_or_else(|_| visible(text).into_owned(), |day| day.strftime("%-d %B %Y").to_string())
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
    }
}
