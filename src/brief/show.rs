//! The effective brief as rows of key, value and origin. Geometry in mm and px is added where placement is known.

use super::key::Shown;
use super::key_table;
use super::model::{Brief, Print};
use super::origin::Origin;
use super::requirements::{Level, Requirements};

/// One key of the effective brief, ready to be printed; texts may be foreign.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownValue {
    /// The key's path: `density.minimum`.
    pub key: String,
    /// Its value in words.
    pub value: String,
    /// Where it comes from.
    pub origin: Origin,
}

/// The order as a whole: every key but those of the prints, in the order of the key table, then rules with levels.
pub fn order(brief: &Brief) -> Vec<ShownValue> {
    let mut rows = Vec::new();
    for key in key_table::all() {
        let value = match key.shown {
            Shown::Order(value) => value(brief),
            Shown::Requirements(value) => value(&brief.requirements),
            Shown::Print(_) | Shown::AnyNames => continue,
        };
        rows.push(ShownValue { key: key.path.to_owned(), value, origin: brief.origins.of(key.path) });
    }
    rows.extend(levels(&brief.requirements, |path| brief.origins.of(path)));
    rows
}

/// One print: its own keys, and whatever differs from the order, in its value or in whether somebody requires it.
pub fn print(brief: &Brief, print: &Print) -> Vec<ShownValue> {
    let mut rows = Vec::new();
    for key in key_table::all() {
        let value = match key.shown {
            Shown::Print(value) => value(print),
            Shown::Requirements(value) => {
                let is_as_open = print.origins.of(key.path).is_open() == brief.origins.of(key.path).is_open();
                Some(value(&print.requirements)).filter(|own| !is_as_open || *own != value(&brief.requirements))
            }
            Shown::Order(_) | Shown::AnyNames => None,
        };
        let Some(value) = value else { continue };
        rows.push(ShownValue { key: key.path.to_owned(), value, origin: print.origins.of(key.path) });
    }
    let differing = levels(&print.requirements, |path| print.origins.of(path));
    rows.extend(differing.into_iter().filter(|row| {
        let id = row.key.trim_start_matches("rules.");
        brief.requirements.levels.get(id).copied().map(Level::word) != Some(row.value.as_str())
    }));
    rows
}

fn levels(required: &Requirements, origin: impl Fn(&str) -> Origin) -> Vec<ShownValue> {
    let row = |(id, level): (&String, &Level)| {
        let key = format!("rules.{id}");
        ShownValue { origin: origin(&key), value: level.word().to_owned(), key }
    };
    required.levels.iter().map(row).collect()
}
