//! A date as people write it, for the line to write instead: a brief itself writes year-month-day.

use jiff::civil::Date;

/// Beginnings of the months' English names.
const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// Returns the days that a text may mean: one where it is plain, two where day and month may be either way round.
pub(super) fn candidates(text: &str) -> Vec<Date> {
    let parts: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|part| !part.is_empty()).collect();
    let [first, second, third] = parts[..] else { return Vec::new() };
    let number = |part: &str| part.parse::<i16>().ok().filter(|_| part.bytes().all(|byte| byte.is_ascii_digit()));
    // 18th, 1st, 2nd, 3rd
    let day = |part: &str| number(part.trim_end_matches(['s', 't', 'n', 'd', 'r', 'h']));
    let year = |part: &str| number(part).filter(|_| part.len() == 4);
    let date = |year: Option<i16>, month: Option<i16>, day: Option<i16>| {
        let small = |number: Option<i16>| i8::try_from(number?).ok();
        Date::new(year?, small(month)?, small(day)?).ok()
    };
    let orders = if year(first).is_some() {
        vec![date(year(first), number(second), number(third))]
    } else if let Some(month) = month_number(first) {
        vec![date(year(third), Some(month), day(second))]
    } else if let Some(month) = month_number(second) {
        vec![date(year(third), Some(month), day(first))]
    } else {
        let by_day = date(year(third), number(second), number(first));
        // Points part day and month in this order only; other signs do either way.
        let by_month = date(year(third), number(first), number(second)).filter(|_| !text.contains('.'));
        vec![by_day, by_month]
    };
    let mut days: Vec<Date> = orders.into_iter().flatten().collect();
    days.dedup();
    days
}

/// Returns the number of a month that is named in English, in full or shortened.
fn month_number(part: &str) -> Option<i16> {
    let part = part.to_lowercase();
    let at = MONTHS.iter().position(|month| part.starts_with(month))?;
    i16::try_from(at + 1).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_known_however_it_is_written() {
        for text in [
            "18.12.2026",
            "18. 12. 2026",
            "18/12/2026",
            "12/18/2026",
            "18-12-2026",
            "2026/12/18",
            "2026.12.18",
            "18 December 2026",
            "18 Dec 2026",
            "Dec 18, 2026",
            "December 18th, 2026",
        ] {
            let days: Vec<String> = candidates(text).iter().map(Date::to_string).collect();
            assert_eq!(days, ["2026-12-18"], "{text}");
        }
        let either: Vec<String> = candidates("5/6/2026").iter().map(Date::to_string).collect();
        assert_eq!(either, ["2026-06-05", "2026-05-06"]);
        assert_eq!(candidates("5.6.2026").len(), 1);
        for text in ["", "Friday", "18.12.26", "40.12.2026", "18.13.2026", "12 2026", "300 ppi", "210 x 260 mm"] {
            assert_eq!(candidates(text), [], "{text}");
        }
    }
}
