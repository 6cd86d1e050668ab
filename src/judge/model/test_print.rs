//! Test prints: which pictures need one and why, where to look on them, and remarks on one.
//!
//! Pure, like all judging. A test print is judged by eye; it is not a contract proof.

use std::sync::Arc;

use crate::brief::{Print, PrintId};
use crate::judge::model::acceptance::day;
use crate::units::words::visible;

/// A person's remark on a picture's test print.
#[derive(Clone, Debug, PartialEq)]
pub struct TestPrintRemark {
    /// The print it was made for; every print of the picture if `None`.
    pub print: Option<PrintId>,
    /// The remark, as the person wrote it.
    pub saw: String,
    /// True if the picture may go out as it was seen.
    pub is_approved: bool,
    /// The person's name.
    pub by: String,
    /// The time, RFC 3339.
    pub when: String,
    /// SHA-256 of the picture's bytes at the time.
    pub sha256: String,
    /// The digest of its pixels at the time (`Evidence::pixels`).
    pub pixel_digest: String,
}

impl TestPrintRemark {
    /// Returns the remark, by whom and when, in words; holds foreign text.
    pub fn words(&self) -> String {
        format!("\"{}\" ({}, {})", self.saw, self.by, day(&self.when))
    }

    /// True if the test print was of an export with these bytes, or with these pixels.
    pub fn is_of(&self, sha256: Option<&str>, pixels: Option<&str>) -> bool {
        sha256 == Some(&self.sha256) || pixels == Some(&self.pixel_digest)
    }
}

/// Returns the remark on a picture that counts for a print: one on this export before one on another, then the latest.
pub fn best_of<'a>(
    seen: &'a [Arc<TestPrintRemark>],
    print: &PrintId,
    (sha256, pixels): (Option<&str>, Option<&str>),
) -> Option<&'a Arc<TestPrintRemark>> {
    let is_for = |one: &&Arc<TestPrintRemark>| one.print.as_ref().is_none_or(|of| of == print);
    seen.iter().filter(is_for).max_by_key(|one| (one.is_of(sha256, pixels), one.when.as_str(), one.print.is_some()))
}

/// The state of a row's test print.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum TestPrint {
    /// The brief requires none, and there is no remark.
    #[default]
    NotRequired,
    /// The brief requires one, and there is no remark.
    Required,
    /// Seen by a person.
    Seen {
        /// The remark.
        remark: Arc<TestPrintRemark>,
        /// True if another export was printed.
        is_of_earlier_export: bool,
        /// True if the brief requires one.
        is_required: bool,
    },
}

impl TestPrint {
    /// Returns the state of a picture's test print for a print, from its remarks. The picture is identified by the
    /// digests of its bytes and of its pixels, once they are read.
    pub fn of(
        print: &Print,
        seen: &[Arc<TestPrintRemark>],
        (sha256, pixels): (Option<&str>, Option<&str>),
    ) -> TestPrint {
        match best_of(seen, &print.id, (sha256, pixels)) {
            Some(remark) => TestPrint::Seen {
                remark: remark.clone(),
                // Unknown until its pixels are read.
                is_of_earlier_export: sha256.is_some() && !remark.is_of(sha256, pixels),
                is_required: print.requires_test_print,
            },
            None if print.requires_test_print => TestPrint::Required,
            None => TestPrint::NotRequired,
        }
    }

    /// Describes it for a line of its own; `None` where there is nothing to say. Foreign text is escaped.
    pub fn words(&self) -> Option<String> {
        match self {
            TestPrint::NotRequired => None,
            TestPrint::Required => Some("required, not seen yet".to_owned()),
            TestPrint::Seen { remark: seen, is_of_earlier_export, .. } => {
                let of = if *is_of_earlier_export { " for an earlier export with other pixels" } else { "" };
                let found = if seen.is_approved { "" } else { ", not good enough" };
                Some(format!("seen{of}{found}: {}", visible(&seen.words())))
            }
        }
    }

    /// True if somebody saw one of exactly this export.
    pub fn is_seen(&self) -> bool {
        matches!(self, TestPrint::Seen { is_of_earlier_export: false, .. })
    }

    /// True if somebody saw one of an earlier export, and the brief requires none of this.
    pub fn is_of_earlier_export(&self) -> bool {
        matches!(self, TestPrint::Seen { is_of_earlier_export: true, is_required: false, .. })
    }

    /// True if the brief requires one and nobody has seen one of this export.
    pub fn is_open(&self) -> bool {
        matches!(self, TestPrint::Required | TestPrint::Seen { is_of_earlier_export: true, is_required: true, .. })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, sound_submission, with_sha256};

    fn seen(print: Option<&str>, sha256: &str) -> Arc<TestPrintRemark> {
        Arc::new(TestPrintRemark {
            print: print.map(|print| PrintId(print.into())),
            saw: "shadows hold".to_owned(),
            is_approved: true,
            by: "Maren".to_owned(),
            when: "2026-11-26T10:00:00Z".to_owned(),
            sha256: sha256.to_owned(),
            pixel_digest: "others".to_owned(),
        })
    }

    fn of(required: &str, seen: &[Arc<TestPrintRemark>]) -> TestPrint {
        let brief = brief(&format!("[[print]]\nid = \"wall\"\nsize = \"8 x 10 in\"\n{required}"));
        let mut file = with_sha256(sound_submission("a.jpg", 2400, 3000), "abc");
        file.test_print_remarks = seen.into();
        crate::judge::judge(&brief, &[file]).rows.remove(0).test_print
    }

    #[test]
    fn a_test_print_is_wanted_until_somebody_saw_it() {
        assert_eq!(of("", &[]), TestPrint::NotRequired);
        assert_eq!(of("testprint = true", &[]), TestPrint::Required);
        let found = of("testprint = true", &[seen(None, "abc")]);
        assert!(!found.is_open());
        assert_eq!(found.words().unwrap(), "seen: \"shadows hold\" (Maren, 2026-11-26)");
    }

    #[test]
    fn a_remark_on_other_pixels_does_not_count() {
        let found = of("testprint = true", &[seen(None, "older")]);
        assert!(found.is_open() && found.words().unwrap().contains("earlier export"));
    }

    #[test]
    fn a_bad_test_print_of_an_earlier_export_is_reported_too() {
        let bad =
            |sha256| Arc::new(TestPrintRemark { is_approved: false, ..TestPrintRemark::clone(&seen(None, sha256)) });
        let words = |found: TestPrint| found.words().unwrap();
        assert_eq!(words(of("", &[bad("abc")])), "seen, not good enough: \"shadows hold\" (Maren, 2026-11-26)");
        assert!(words(of("", &[bad("older")])).contains("earlier export with other pixels, not good enough"));
    }

    #[test]
    fn a_remark_on_this_export_counts_before_one_on_an_earlier() {
        let both = [seen(Some("wall"), "older"), seen(None, "abc")];
        assert!(!of("testprint = true", &both).is_open());
        assert!(!of("", &[seen(None, "older")]).is_open(), "nobody asked for one");
    }

    #[test]
    fn unread_pixels_are_not_called_different() {
        let brief = brief("[[print]]\nsize = \"8 x 10 in\"\ntestprint = true");
        let mut file = sound_submission("a.jpg", 2400, 3000);
        (file.pixels, file.test_print_remarks) = (crate::judge::Pixels::Waiting, [seen(None, "abc")].into());
        let found = crate::judge::judge(&brief, &[file]).rows.remove(0).test_print;
        assert!(found.words().unwrap().starts_with("seen: "), "{found:?}");
    }

    #[test]
    fn a_remark_for_one_print_does_not_count_for_another() {
        assert_eq!(of("testprint = true", &[seen(Some("page"), "abc")]), TestPrint::Required);
        assert!(!of("testprint = true", &[seen(Some("wall"), "abc"), seen(None, "older")]).is_open());
    }
}
