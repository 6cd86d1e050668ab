//! Values in the tables of the text.

use toml_edit::{Item, Table, Value};

use crate::units::words;

/// Writes a value in place of the existing one, keeping its comments; removes it for `None`.
pub(super) fn put(table: &mut Table, key: &str, value: Option<Value>) {
    let Some(mut value) = value else {
        table.remove(key);
        return;
    };
    match table.get_mut(key) {
        Some(Item::Value(there)) => {
            *value.decor_mut() = there.decor().clone();
            *there = value;
        }
        _ => drop(table.insert(key, Item::Value(value))),
    }
}

/// Quotes a text; characters that act on a line are escaped, so that the file is safe to display.
pub(super) fn quoted(text: &str) -> Value {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if words::acts_on_line(c) => quoted.push_str(&format!("\\U{:08x}", u32::from(c))),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted.parse().unwrap_or_else(|_| Value::from(text))
}
