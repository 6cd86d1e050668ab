//! What to export for the selected row: shown with its details, and copied to the clipboard part by part.

use std::sync::Arc;

use crate::brief::Brief;
use crate::judge::export_spec::ExportSpec;
use crate::judge::export_spec::file_name::FileNames;
use crate::judge::export_spec::lines::of_spec;
use crate::judge::{Row, RowKey};

/// What to export for one row, kept while the row stays selected: a brief of thousands of prints must not be searched
/// for every frame.
#[derive(Debug, Default)]
pub struct RowSpec {
    last: Option<(Arc<Brief>, RowKey, Option<ExportSpec>)>,
}

impl RowSpec {
    /// Returns what to export for a row's print; `None` where no print takes its picture.
    pub fn of(&mut self, row: &Row, brief: &Arc<Brief>) -> Option<&ExportSpec> {
        let is_known = self.last.as_ref().is_some_and(|(of, key, _)| Arc::ptr_eq(of, brief) && *key == row.key);
        if !is_known {
            let print = row.key.print.as_ref().and_then(|id| brief.prints.iter().find(|print| print.id == *id));
            let spec = print.map(|print| ExportSpec::of(print, &FileNames::of(brief)));
            self.last = Some((Arc::clone(brief), row.key.clone(), spec));
        }
        self.last.as_ref().and_then(|(_, _, spec)| spec.as_ref())
    }
}

/// A part of what to export that is copied by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CopiedPart {
    /// The pixels.
    Size,
    /// The name to give the file.
    FileName,
    /// All settings.
    Whole,
}

impl CopiedPart {
    /// Returns the part that the same key copies next.
    const fn next(self) -> CopiedPart {
        match self {
            CopiedPart::Size => CopiedPart::FileName,
            CopiedPart::FileName => CopiedPart::Whole,
            CopiedPart::Whole => CopiedPart::Size,
        }
    }

    const fn words(self) -> &'static str {
        match self {
            CopiedPart::Size => "the size",
            CopiedPart::FileName => "the file name",
            CopiedPart::Whole => "all settings",
        }
    }

    /// Returns the text of the part; `None` where the print takes several pictures and so gives no name.
    fn text(self, row: &Row, spec: &ExportSpec) -> Option<String> {
        match self {
            CopiedPart::Size => Some(spec.size.typed()),
            CopiedPart::FileName => spec.file_name.suggested.clone(),
            CopiedPart::Whole => {
                let lines = of_spec(spec, 0).into_iter().map(|line| line.text());
                Some(std::iter::once(row.print_name.clone()).chain(lines).collect::<Vec<String>>().join("\n"))
            }
        }
    }
}

/// Which part of which row was copied last: the same key copies the next one.
#[derive(Debug, Default)]
pub struct CopyTurn {
    last: Option<(RowKey, CopiedPart)>,
}

impl CopyTurn {
    /// Returns the part to copy now, its text, and the part that comes next.
    pub fn take(&mut self, row: &Row, spec: &ExportSpec) -> Option<(CopiedPart, String, CopiedPart)> {
        let last = self.last.as_ref().filter(|(key, _)| *key == row.key);
        let first = last.map_or(CopiedPart::Size, |(_, part)| part.next());
        let part = [first, first.next()].into_iter().find(|part| part.text(row, spec).is_some())?;
        let following = [part.next(), part.next().next()].into_iter().find(|part| part.text(row, spec).is_some())?;
        self.last = Some((row.key.clone(), part));
        Some((part, part.text(row, spec)?, following))
    }
}

/// Returns what is said of a copied part: `sent` is what became of it.
pub fn copied_words(part: CopiedPart, text: &str, sent: &str, key: &str, next: CopiedPart) -> String {
    let what = if part == CopiedPart::Whole { part.words() } else { text };
    format!("{what} {sent}; {key}: {}", next.words())
}
