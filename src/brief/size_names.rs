//! `[sizes]`: names for sizes. It is read first, since every other size may be one of its names.

use toml::de::{DeTable, DeValue};

use super::key_table;
use super::source::{SourceFile, TextPosition};
use super::sources::BriefSources;
use super::toml_value::ValueReader;
use super::values::{SizeNames, Value};

/// Returns the names for sizes of a brief; what is wrong with one is reported.
pub(super) fn read(sources: &mut BriefSources<'_>, brief: &DeTable<'_>) -> SizeNames {
    let (mut sizes, none) = (SizeNames::new(), SizeNames::new());
    let Some((_, table)) = brief.iter().find(|(name, _)| name.get_ref() == "sizes") else { return sizes };
    let (DeValue::Table(names), Some(key)) = (table.get_ref(), key_table::find("sizes.*")) else {
        sources.report(place(table.span().start), "sizes must be a table of names", "[sizes]");
        return sizes;
    };
    for (name, value) in names {
        if name.get_ref().parse::<crate::units::Size>().is_ok() {
            let what = format!("\"{}\" is already a size and cannot be the name of another", name.get_ref());
            sources.report(place(name.span().start), what, "choose another name");
            continue;
        }
        let mut pen = ValueReader { sources, sizes: &none, key, name: name.get_ref(), whole: value.span() };
        let read = pen.read(value).and_then(|value| if let Value::Size(size) = value { Some(size) } else { None });
        // One mistake is said once: what has that name does not repeat it, and the brief is refused anyway.
        if let Some(size) = read.or_else(|| "A4".parse().ok()) {
            sizes.insert(name.get_ref().trim().to_owned(), size);
        }
    }
    sizes
}

fn place(at: usize) -> TextPosition {
    TextPosition { which: SourceFile::Brief, at }
}
