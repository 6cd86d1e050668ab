//! Page numbers as people write them: a page, or the two facing pages of a spread.

use super::model::Pages;
use super::value_error::ValueError;

/// Words that may stand before a page number, without their point.
const PAGE_WORDS: [&str; 5] = ["pages", "page", "plate", "pp", "p"];
/// What may stand between the pages of a spread.
const SPREAD_SIGNS: [char; 6] = ['-', '\u{2010}', '\u{2011}', '–', '—', '/'];

/// Returns a page number, or two of facing pages: an even page is a left-hand page.
pub(super) fn parse(text: &str, least: u32, most: u32) -> Result<Pages, ValueError> {
    let lower = text.to_lowercase();
    let bare = PAGE_WORDS.iter().find_map(|word| lower.strip_prefix(word)).unwrap_or(&lower);
    let bare = bare.trim_start_matches(['.', ' ']);
    let page = |text: &str| text.trim().parse::<u32>().ok().filter(|page| (least..=most).contains(page));
    let Some((first, last)) = bare.split_once(SPREAD_SIGNS) else {
        let what = || format!("{text} is not a whole number from {least} to {most}");
        return page(bare).map(Pages::one).ok_or_else(|| ValueError::new(what()));
    };
    let (Some(first), Some(last)) = (page(first), page(last)) else {
        return Err(ValueError::new(format!("\"{text}\" is not a page or a spread such as 12-13")));
    };
    match last.checked_sub(first) {
        Some(0) => Ok(Pages::one(first)),
        Some(1) if first % 2 == 0 => Ok(Pages { first, last }),
        Some(1) => Err(ValueError::fix(
            format!("pages {first} and {last} do not face each other: a spread begins on an even page"),
            "write one print for each page",
        )),
        _ => {
            let what = format!("\"{text}\" is more than a spread of two facing pages");
            Err(ValueError::fix(what, "write one print for each page or spread"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_or_two_facing_pages_in_any_of_the_usual_ways() {
        let read = |text: &str| parse(text, 1, 99_999).map(|pages| pages.to_string());
        for text in ["12-13", "12\u{2013}13", "12 / 13", "pp. 12-13", "Pages 12\u{2014}13", "p12-13"] {
            assert_eq!(read(text).as_deref(), Ok("12-13"), "{text}");
        }
        assert_eq!((read("p. 7").unwrap(), read("12-12").unwrap()), ("7".to_owned(), "12".to_owned()));
        for text in
            ["", "cover", "0", "12.5", "-12", "12-", "12-13-14", "13-14", "12-14", "13-12", "4000000000-4000000001"]
        {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
