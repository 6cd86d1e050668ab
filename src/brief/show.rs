//! The effective brief as rows of key, value and origin. Geometry in mm and px is added where placement is known.

use super::key::Shown;
use super::key_table;
use super::model::{Brief, Print};
use super::origin::{Origin, Origins};
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
    /// The day on which the printer answered, if that is written down; foreign text.
    pub answered: Option<String>,
}

/// Returns the order as a whole: every key but those of the prints, in the order of the key table, then rules with
/// levels.
pub fn order(brief: &Brief) -> Vec<ShownValue> {
    let mut rows = Vec::new();
    for key in key_table::all() {
        let value = match key.shown {
            Shown::Order(value) => value(brief),
            Shown::Requirements(value) => value(&brief.requirements),
            Shown::Print(_) | Shown::AnyNames => continue,
        };
        rows.push(row(brief, key.path, value, brief.origins.of(key.path)));
    }
    rows.extend(levels(brief, &brief.requirements, &brief.origins));
    rows
}

/// Returns one print: its own keys, and whatever differs from the order, in its value or in whether somebody requires
/// it.
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
        rows.push(row(brief, key.path, value, print.origins.of(key.path)));
    }
    let differing = levels(brief, &print.requirements, &print.origins);
    rows.extend(differing.into_iter().filter(|row| {
        let id = row.key.trim_start_matches("rules.");
        brief.requirements.levels.get(id).copied().map(Level::word) != Some(row.value.as_str())
    }));
    rows
}

fn levels(brief: &Brief, required: &Requirements, origins: &Origins) -> Vec<ShownValue> {
    let of_rule = |(id, level): (&String, &Level)| {
        let key = format!("rules.{id}");
        row(brief, &key, level.word().to_owned(), origins.of(&key))
    };
    required.levels.iter().map(of_rule).collect()
}

fn row(brief: &Brief, key: &str, value: String, origin: Origin) -> ShownValue {
    let answered = brief.answered_on(key, &origin).map(str::to_owned);
    ShownValue { key: key.to_owned(), value, origin, answered }
}
