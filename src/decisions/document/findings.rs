//! Accepted findings, in their tables.

use toml_edit::{Array, Item, Table, Value};

use crate::brief::PrintId;
use crate::brief::requirements::Level;
use crate::judge::acceptance::{Acceptance, AcceptedValues};
use crate::judge::subject::Area;
use crate::picture::PictureKey;

use super::reader::DocumentReader;
use super::values::{put, quoted};
use crate::decisions::index::DecisionIndex;

/// Writes an acceptance into its table; other content is kept.
pub(super) fn fill(table: &mut Table, acceptance: &Acceptance) {
    let bound = &acceptance.bound;
    let text = |text: &str| Some(quoted(text));
    put(table, "reason", text(&acceptance.reason));
    put(table, "by", text(&acceptance.by));
    put(table, "allowed_by", acceptance.allowed_by.as_deref().map(quoted));
    put(table, "when", text(&acceptance.when));
    put(table, "on_note", acceptance.is_on_note.then(|| Value::from(true)));
    put(table, "level", bound.level.map(|level| Value::from(level.word())));
    put(table, "value", bound.measured.map(Value::from));
    put(table, "limit", bound.required.map(Value::from));
    put(table, "limits", bound.limits.as_deref().map(quoted));
    put(table, "unit", Some(bound.unit.as_str()).filter(|unit| !unit.is_empty()).map(Value::from));
    put(table, "bytes", text(&bound.sha256));
    put(table, "pixels", text(&bound.pixel_digest));
    put(table, "box", bound.subject.map(|sides| Value::Array(sides.into_iter().collect::<Array>())));
    put(table, "profile", bound.profile.as_deref().map(quoted));
}

impl DocumentReader<'_> {
    /// Reads one accepted finding.
    pub(super) fn finding(&mut self, table: &Table, decided: &mut DecisionIndex) {
        let start = table.span().map_or(0, |span| span.start);
        let before = self.problems.len();
        let mut needed = |key: &str, fix: &str| {
            let found = self.text_at(table, key).filter(|text| !text.trim().is_empty()).map(str::to_owned);
            if found.is_none() && self.problems.len() == before {
                self.wrong(start, &format!("an accepted finding without its {key}"), fix);
            }
            found.unwrap_or_default()
        };
        let picture = needed("picture", "write picture = \"NAME.jpg\" below [[accepted]]");
        let rule = needed("rule", "write for example rule = \"tone.shadows\" below [[accepted]]");
        let reason = needed("reason", "write reason = \"...\": why it is accepted");
        let by = needed("by", "write by = \"...\": who accepted it");
        let bytes = needed("bytes", "restore the file from version control, or accept the finding again");
        let mut text = |key: &str| self.text_at(table, key).map(str::to_owned);
        let (print, about) = (text("print"), text("about"));
        let (allowed_by, when, unit) = (text("allowed_by"), text("when"), text("unit"));
        let (pixels, profile) = (text("pixels"), text("profile"));
        let limits = text("limits");
        let level = self.level(table);
        let is_on_note =
            self.flag_at(table, "on_note", false, "write on_note = true if the note is to name it, or delete the line");
        let subject = table.get("box").and_then(|_| self.area(table, start)).map(|area: Area| area.sides());
        let number = |key: &str| {
            let item = table.get(key)?;
            item.as_float().or_else(|| item.as_integer().map(|whole| whole as f64))
        };
        let bound = AcceptedValues {
            level,
            measured: number("value"),
            required: number("limit"),
            limits,
            unit: unit.unwrap_or_default(),
            sha256: bytes,
            pixel_digest: pixels.unwrap_or_default(),
            subject,
            profile,
        };
        if self.problems.len() > before {
            return;
        }
        let acceptance = Acceptance {
            print: print.map(|print| PrintId(print.into())),
            rule,
            about: about.unwrap_or_default(),
            reason,
            by,
            allowed_by,
            when: when.unwrap_or_default(),
            is_on_note,
            bound,
        };
        if !decided.accept(PictureKey::from_text(&picture), acceptance) {
            let fix = "keep one of the two [[accepted]] and delete the other";
            self.wrong(start, "this finding is accepted twice", fix);
        }
    }

    fn level(&mut self, table: &Table) -> Option<Level> {
        let word = self.text_at(table, "level")?;
        let level = [Level::Note, Level::Should, Level::Must].into_iter().find(|level| level.word() == word);
        if level.is_none() {
            let at = table.get("level").and_then(Item::span).map_or(0, |span| span.start);
            self.wrong(at, "this is not a level", "write level = \"note\", \"should\" or \"must\"");
        }
        level
    }
}
