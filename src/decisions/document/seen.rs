//! Remarks on test prints, in their tables.

use toml_edit::{Table, Value};

use crate::brief::PrintId;
use crate::judge::model::test_print::TestPrintRemark;
use crate::picture::PictureKey;

use super::reader::DocumentReader;
use super::values::{put, quoted};
use crate::decisions::index::DecisionIndex;

/// Writes a remark into its table; other content is kept.
pub(super) fn fill(table: &mut Table, seen: &TestPrintRemark) {
    let text = |text: &str| Some(quoted(text));
    put(table, "saw", text(&seen.saw));
    put(table, "good", (!seen.is_approved).then(|| Value::from(false)));
    put(table, "by", text(&seen.by));
    put(table, "when", text(&seen.when));
    put(table, "bytes", text(&seen.sha256));
    put(table, "pixels", text(&seen.pixel_digest));
}

impl DocumentReader<'_> {
    /// Reads one remark on a test print.
    pub(super) fn seen(&mut self, table: &Table, decided: &mut DecisionIndex) {
        let start = table.span().map_or(0, |span| span.start);
        let before = self.problems.len();
        let mut needed = |key: &str, fix: &str| {
            let found = self.text_at(table, key).filter(|text| !text.trim().is_empty()).map(str::to_owned);
            if found.is_none() && self.problems.len() == before {
                self.wrong(start, &format!("a test print without its {key}"), fix);
            }
            found.unwrap_or_default()
        };
        let picture = needed("picture", "write picture = \"NAME.jpg\" below [[seen]]");
        let saw = needed("saw", "write saw = \"...\": what you saw on it");
        let by = needed("by", "write by = \"...\": who looked");
        let sha256 = needed("bytes", "restore the file from version control, or note again what you saw");
        let mut text = |key: &str| self.text_at(table, key).map(str::to_owned);
        let (print, when, pixels) = (text("print"), text("when"), text("pixels"));
        let is_approved =
            self.flag_at(table, "good", true, "write good = false if it was not good enough, or delete the line");
        if self.problems.len() > before {
            return;
        }
        let seen = TestPrintRemark {
            print: print.map(|print| PrintId(print.into())),
            saw,
            is_approved,
            by,
            when: when.unwrap_or_default(),
            sha256,
            pixel_digest: pixels.unwrap_or_default(),
        };
        if !decided.see(PictureKey::from_text(&picture), seen) {
            let fix = "keep one of the two [[seen]] and delete the other";
            self.wrong(start, "this test print is listed twice", fix);
        }
    }
}
