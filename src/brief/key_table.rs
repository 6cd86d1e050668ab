//! Every key of a brief, one row each. The parser, its suggestions, `brief show`, `brief ask` and the key reference all
//! read these rows.

mod file;
mod margins;
mod order;
mod paper;
mod print;
mod version;
mod wording;

use super::key::BriefKey;

pub use wording::NOT_SAID;

/// One table of a brief.
#[derive(Debug)]
pub struct Table {
    /// Its name; empty for the keys above the first table.
    pub name: &'static str,
    /// Its keys, in the order in which they are shown.
    pub keys: &'static [BriefKey],
    /// True if a print may have its keys too.
    pub is_in_print: bool,
}

/// Every table, in the order in which a brief is written.
pub static TABLES: &[Table] = &[
    Table { name: "", keys: order::TOP, is_in_print: false },
    Table { name: "sizes", keys: order::SIZES, is_in_print: false },
    Table { name: "paper", keys: paper::PAPER, is_in_print: true },
    Table { name: "papers", keys: paper::PAPERS, is_in_print: false },
    Table { name: "file", keys: file::FILE, is_in_print: true },
    Table { name: "colour", keys: file::COLOUR, is_in_print: true },
    Table { name: "density", keys: margins::DENSITY, is_in_print: true },
    Table { name: "margins", keys: margins::MARGINS, is_in_print: true },
    Table { name: "tone", keys: file::TONE, is_in_print: true },
    Table { name: "detail", keys: file::DETAIL, is_in_print: true },
    Table { name: "rules", keys: order::RULES, is_in_print: true },
    Table { name: "delivery", keys: order::DELIVERY, is_in_print: true },
    Table { name: "answered", keys: order::ANSWERED, is_in_print: false },
    Table { name: "version", keys: version::VERSION, is_in_print: false },
    Table { name: "print", keys: print::PRINT, is_in_print: true },
];

/// Returns every key.
pub fn all() -> impl Iterator<Item = &'static BriefKey> {
    TABLES.iter().flat_map(|table| table.keys)
}

/// Returns the table of a name.
pub fn table(name: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.name == name)
}

/// Keys that are said once for the whole order, though a print may have others of their table.
const OF_ORDER: &[&str] = &["delivery.transfer"];

/// True if a print may say a key too: the print's own keys, and those of every table but `[sizes]`, `[papers]` and
/// `[answered]`; how the order reaches the printer is said once.
pub fn is_in_print(key: &BriefKey) -> bool {
    !OF_ORDER.contains(&key.path) && table(key.table()).is_some_and(|table| table.is_in_print)
}

/// Whether a version may say a key: whatever a print may say, but for the print's own keys.
pub fn is_in_version(key: &BriefKey) -> bool {
    is_in_print(key) && key.table() != "print"
}

/// Returns the key of a path such as `density.minimum`; any path under `rules.`, `sizes.`, `papers.` and `answered.`
/// has their row.
pub fn find(path: &str) -> Option<&'static BriefKey> {
    match path.split_once('.') {
        Some(("rules", _)) => order::RULES.first(),
        Some(("sizes", _)) => order::SIZES.first(),
        Some(("papers", _)) => paper::PAPERS.first(),
        Some(("answered", _)) => order::ANSWERED.first(),
        _ => all().find(|key| key.path == path),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_key_is_there_once_and_in_its_own_table() {
        let mut seen = BTreeSet::new();
        for table in TABLES {
            for key in table.keys {
                assert_eq!(key.table(), table.name, "{}", key.path);
                assert!(seen.insert(key.path), "{} is there twice", key.path);
                assert_eq!(find(key.path).map(|found| found.path), Some(key.path));
                let texts = [key.default, key.source, key.about, key.example];
                assert!(texts.iter().all(|text| !text.is_empty() && !text.ends_with('.')), "{}", key.path);
                assert!(key.question.is_none_or(|question| question.ends_with('?')), "{}", key.path);
            }
        }
    }
}
