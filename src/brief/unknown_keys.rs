//! The error for a name that is no key of its table: the table it belongs to, or the key that was meant.

use super::key::BriefKey;
use super::key_table;
use super::layers::BriefPart;
use super::renamed;
use super::trade_terms;
use crate::units::spelling::nearest;

/// Returns what is wrong with a name in a table, and what to write instead. `raw` is its value as written, `is_table`
/// whether it heads a table, `line_with` gives the line with another name.
pub(super) fn explain(
    part: BriefPart,
    table: &str,
    name: &str,
    (raw, is_table): (Option<&str>, bool),
    line_with: impl Fn(&str) -> Option<String>,
) -> (String, String) {
    let here = place(part, table);
    if is_table {
        return explain_unknown_table(part, name, &here);
    }
    if let Some(now) = renamed::key(table, name) {
        let line = || format!("{now} = {}", raw.unwrap_or("..."));
        return (format!("{name} is now called {now}"), line_with(now).unwrap_or_else(line));
    }
    let own = key_table::table(table).map_or(&[][..], |table| table.keys);
    let is_here = |key: &&BriefKey| part.holds(key);
    if let Some(key) = own.iter().find(|key| key.name() == name && !is_here(key)) {
        let what = format!("{name} is a key of the whole brief, but is written below {here}");
        return (what, format!("write it below [{table}]: {}", key.line(raw.unwrap_or(key.example))));
    }
    let own: Vec<&BriefKey> = own.iter().filter(is_here).collect();
    let what = format!("{here} has no key \"{name}\"");
    if part == BriefPart::Print && ["width", "height"].contains(&name) {
        return (what, "write both together: size = \"210 x 260 mm\"".to_owned());
    }
    let meant = trade_terms::key(table, name);
    if let Some(key) = meant.filter(|key| key.table() == table) {
        let line = || format!("{} = {}", spelt(key.name()), raw.unwrap_or(key.example));
        return (what, line_with(key.name()).unwrap_or_else(line));
    }
    if let Some(key) = elsewhere(part, table, name) {
        return explain_misplaced(part, table, key, raw, &here);
    }
    if let Some(key) = meant.filter(|key| part.holds(key)) {
        let line = key.line(raw.unwrap_or(key.example));
        return (what, format!("it is called {} and belongs below {}: {line}", key.name(), place(part, key.table())));
    }
    if let Some(near) = nearest(name, own.iter().map(|key| key.name())) {
        let value = raw.or(own.iter().find(|key| key.name() == near).map(|key| key.example)).unwrap_or("");
        return (what, line_with(near).unwrap_or_else(|| format!("{} = {value}", spelt(near))));
    }
    let everywhere = key_table::all().filter(|key| key.name() != "*" && part.holds(key));
    if let Some(near) = nearest(name, everywhere.map(BriefKey::name))
        && let Some(key) = elsewhere(part, table, near)
    {
        return (what, format!("{} is a key of {}", key.name(), place(part, key.table())));
    }
    let own: Vec<&str> = own.iter().map(|key| key.name()).collect();
    (what, format!("its keys are {}", own.join(", ")))
}

/// Returns where a key's line belongs, and the line with a value.
pub(super) fn line_in_its_place(part: BriefPart, key: &BriefKey, value: &str) -> String {
    match key.table() {
        "" => format!("write it above the first table: {}", key.line(value)),
        table => format!("write it below {}: {}", place(part, table), key.line(value)),
    }
}

/// Returns a table in words, as the brief writes it.
fn place(part: BriefPart, table: &str) -> String {
    match (part, table) {
        (_, "") => "the top of the brief".to_owned(),
        (_, "print" | "version") => format!("[[{table}]]"),
        (BriefPart::Order, table) => format!("[{table}]"),
        (part, table) => format!("[{}.{table}]", part.own_table()),
    }
}

/// Returns a name with quotes if TOML wants them.
pub(super) fn spelt(name: &str) -> String {
    if name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-') {
        name.to_owned()
    } else {
        format!("\"{name}\"")
    }
}

/// Returns the key of this name in another table: inside a print or a version its own first, else in the tables' order.
fn elsewhere(part: BriefPart, table: &str, name: &str) -> Option<&'static BriefKey> {
    let named = || key_table::all().filter(|key| key.name() == name && key.table() != table && key.name() != "*");
    match part {
        BriefPart::Order => named().next(),
        part => named()
            .find(|key| key.table() == part.own_table())
            .or_else(|| named().find(|key| part.holds(key)))
            .or_else(|| named().next()),
    }
}

fn explain_misplaced(part: BriefPart, table: &str, key: &BriefKey, raw: Option<&str>, here: &str) -> (String, String) {
    let line = key.line(raw.unwrap_or(key.example));
    let name = key.name();
    match (part, key.table()) {
        (_, "") => (
            format!("{name} is a key of the whole brief, but is written below {here}"),
            format!("move the line to the top of the brief, above the first table: {line}"),
        ),
        (part, own) if own == part.own_table() => (
            format!("{name} is a key of the {own}, but is written below {here}"),
            format!("move the line up, above {here}: {line}"),
        ),
        (_, belongs) => {
            let part = if part.holds(key) { part } else { BriefPart::Order };
            let there = place(part, belongs);
            let what = match table {
                "" => format!("{name} is written above the first table, but is a key of {there}"),
                _ => format!("{name} is a key of {there}, not of {here}"),
            };
            (what, format!("write it below {there}: {line}"))
        }
    }
}

fn explain_unknown_table(part: BriefPart, name: &str, here: &str) -> (String, String) {
    if let Some(now) = renamed::table(name) {
        return (format!("[{name}] is now called {now}"), place(part, now));
    }
    let is_other_table = trade_terms::table(name).is_some();
    if let Some(key) = key_table::all().find(|key| key.name() == name && !is_other_table) {
        let there = place(part, key.table());
        return (format!("{name} is a key of {there}, not a table"), key.line(key.example));
    }
    let is_own = |table: &str| ["print", "version"].contains(&table);
    let meant = trade_terms::table(name).filter(|table| part == BriefPart::Order || !is_own(table));
    let tables = key_table::TABLES
        .iter()
        .filter(|table| !table.name.is_empty() && (part == BriefPart::Order || table.is_in_print));
    let names: Vec<&str> =
        tables.map(|table| table.name).filter(|name| part == BriefPart::Order || !is_own(name)).collect();
    let what = match part {
        BriefPart::Order => format!("a brief has no table \"{name}\""),
        part if key_table::table(name).is_some() => {
            format!("a {} has no table \"{name}\" of its own", part.own_table())
        }
        _ => format!("{here} has no table \"{name}\""),
    };
    let fix = match meant.or_else(|| nearest(name, names.iter().copied())) {
        Some(near) if is_own(near) => format!("[[{near}]]"),
        Some(near) => place(part, near),
        None => format!("the tables are {}", names.join(", ")),
    };
    (what, fix)
}
