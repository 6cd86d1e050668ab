//! Test prints: which pictures deserve one and why, where on them to look, and what somebody saw on one.
//!
//! Pure, as all judging. A test print is judged by eye; it is no contract proof.

use std::sync::Arc;

use crate::brief::{Print, PrintId};
use crate::judge::model::acceptance::day;
use crate::units::words::visible;

/// What somebody saw on a picture's test print.
#[derive(Clone, Debug, PartialEq)]
pub struct TestPrintRemark {
    /// The print it was made for; every print of the picture where none is named.
    pub print: Option<PrintId>,
    /// What was seen; what the person wrote.
    pub saw: String,
    /// Whether it may go out as it was seen.
    pub good: bool,
    /// Who looked.
    pub by: String,
    /// When: RFC 3339.
    pub when: String,
    /// SHA-256 of the picture's bytes then.
    pub sha256: String,
    /// What its pixels were known by (`Evidence::pixels`).
    pub pixels: String,
}

impl TestPrintRemark {
    /// What was seen, by whom and when, in words; holds foreign text.
    pub fn words(&self) -> String {
        format!("\"{}\" ({}, {})", self.saw, self.by, day(&self.when))
    }

    /// Whether what was printed then is an export of these bytes, or of these pixels.
    pub fn is_of(&self, sha256: Option<&str>, pixels: Option<&str>) -> bool {
        sha256 == Some(&self.sha256) || pixels == Some(&self.pixels)
    }
}

/// What counts of all that was seen of a picture, for a print: of this export before what was seen of another, and then
/// what was said last.
pub fn best_of<'a>(
    seen: &'a [Arc<TestPrintRemark>],
    print: &PrintId,
    (sha256, pixels): (Option<&str>, Option<&str>),
) -> Option<&'a Arc<TestPrintRemark>> {
    let is_for = |one: &&Arc<TestPrintRemark>| one.print.as_ref().is_none_or(|of| of == print);
    seen.iter().filter(is_for).max_by_key(|one| (one.is_of(sha256, pixels), one.when.as_str(), one.print.is_some()))
}

/// How far a row's test print is.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum TestPrint {
    /// The brief asks for none, and nobody has seen one.
    #[default]
    NotAsked,
    /// The brief asks for one, and nobody has seen it.
    Wanted,
    /// Seen.
    Seen {
        /// What, by whom and when.
        seen: Arc<TestPrintRemark>,
        /// Whether it was another export that was printed.
        earlier: bool,
        /// Whether the brief asks for one.
        asked: bool,
    },
}

impl TestPrint {
    /// Of a picture for a print, by what was seen of it. The picture is known by the digests of its bytes and of its
    /// pixels, once they are read.
    pub fn of(
        print: &Print,
        seen: &[Arc<TestPrintRemark>],
        (sha256, pixels): (Option<&str>, Option<&str>),
    ) -> TestPrint {
        match best_of(seen, &print.id, (sha256, pixels)) {
            Some(seen) => TestPrint::Seen {
                seen: seen.clone(),
                // Until its pixels are read nobody knows.
                earlier: sha256.is_some() && !seen.is_of(sha256, pixels),
                asked: print.testprint,
            },
            None if print.testprint => TestPrint::Wanted,
            None => TestPrint::NotAsked,
        }
    }

    /// In words, for a line of its own; `None` where there is nothing to say. What a person wrote is made visible.
    pub fn words(&self) -> Option<String> {
        match self {
            TestPrint::NotAsked => None,
            TestPrint::Wanted => Some("asked for, and nobody has seen one yet".to_owned()),
            TestPrint::Seen { seen, earlier, .. } => {
                let of = if *earlier { " of an earlier export, whose pixels were others" } else { "" };
                let found = if seen.good { "" } else { ", not good enough" };
                Some(format!("seen{of}{found}: {}", visible(&seen.words())))
            }
        }
    }

    /// Whether somebody saw one of this very export.
    pub fn is_seen(&self) -> bool {
        matches!(self, TestPrint::Seen { earlier: false, .. })
    }

    /// Whether the brief asks for one that nobody has seen of this export.
    pub fn is_open(&self) -> bool {
        matches!(self, TestPrint::Wanted | TestPrint::Seen { earlier: true, asked: true, .. })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, delivered, with_sha256};

    fn seen(print: Option<&str>, sha256: &str) -> Arc<TestPrintRemark> {
        Arc::new(TestPrintRemark {
            print: print.map(|print| PrintId(print.into())),
            saw: "shadows hold".to_owned(),
            good: true,
            by: "Maren".to_owned(),
            when: "2026-11-26T10:00:00Z".to_owned(),
            sha256: sha256.to_owned(),
            pixels: "others".to_owned(),
        })
    }

    fn of(asked: &str, seen: &[Arc<TestPrintRemark>]) -> TestPrint {
        let brief = brief(&format!("[[print]]\nid = \"wall\"\nsize = \"8 x 10 in\"\n{asked}"));
        let mut file = with_sha256(delivered("a.jpg", 2400, 3000), "abc");
        file.seen = seen.into();
        crate::judge::judge(&brief, &[file]).rows.remove(0).test_print
    }

    #[test]
    fn a_test_print_is_wanted_until_somebody_saw_it() {
        assert_eq!(of("", &[]), TestPrint::NotAsked);
        assert_eq!(of("testprint = true", &[]), TestPrint::Wanted);
        let found = of("testprint = true", &[seen(None, "abc")]);
        assert!(!found.is_open());
        assert_eq!(found.words().unwrap(), "seen: \"shadows hold\" (Maren, 2026-11-26)");
    }

    #[test]
    fn what_was_seen_of_other_pixels_is_to_be_seen_again() {
        let found = of("testprint = true", &[seen(None, "older")]);
        assert!(found.is_open() && found.words().unwrap().contains("earlier export"));
    }

    #[test]
    fn one_that_is_not_good_enough_says_so_of_an_earlier_export_too() {
        let bad = |sha256| Arc::new(TestPrintRemark { good: false, ..TestPrintRemark::clone(&seen(None, sha256)) });
        let words = |found: TestPrint| found.words().unwrap();
        assert_eq!(words(of("", &[bad("abc")])), "seen, not good enough: \"shadows hold\" (Maren, 2026-11-26)");
        assert!(words(of("", &[bad("older")])).contains("earlier export, whose pixels were others, not good enough"));
    }

    #[test]
    fn what_was_seen_of_this_export_counts_before_what_was_seen_of_an_earlier_one() {
        let both = [seen(Some("wall"), "older"), seen(None, "abc")];
        assert!(!of("testprint = true", &both).is_open());
        assert!(!of("", &[seen(None, "older")]).is_open(), "nobody asked for one");
    }

    #[test]
    fn before_its_pixels_are_read_nobody_says_that_they_are_others() {
        let brief = brief("[[print]]\nsize = \"8 x 10 in\"\ntestprint = true");
        let mut file = delivered("a.jpg", 2400, 3000);
        (file.pixels, file.seen) = (crate::judge::Pixels::Waiting, [seen(None, "abc")].into());
        let found = crate::judge::judge(&brief, &[file]).rows.remove(0).test_print;
        assert!(found.words().unwrap().starts_with("seen: "), "{found:?}");
    }

    #[test]
    fn what_was_seen_for_one_print_says_nothing_of_another() {
        assert_eq!(of("testprint = true", &[seen(Some("page"), "abc")]), TestPrint::Wanted);
        assert!(!of("testprint = true", &[seen(Some("wall"), "abc"), seen(None, "older")]).is_open());
    }
}
