//! Errors of TOML syntax, in words for a photographer who writes no programs.

use std::ops::Range;

use super::dates;
use super::key_table;
use super::layers::BriefPart;
use super::problem::Problem;
use super::source::SourceText;
use super::toml_value::quote;
use super::unknown_keys;

/// Returns one problem for each line that is no TOML.
pub(super) fn problems(source: &SourceText<'_>, errors: &[toml::de::Error]) -> Vec<Problem> {
    let mut found: Vec<Problem> = Vec::new();
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let (what, fix) = explain(source, error.message(), span.clone());
        found.push(source.problem(span.start, what, fix));
    }
    found.sort_by_key(|problem| (problem.line, problem.column));
    found.dedup_by_key(|problem| problem.line);
    found
}

fn explain(source: &SourceText<'_>, message: &str, span: Range<usize>) -> (String, String) {
    let (line, _) = source.line_column(span.start);
    let text = source.line(line).trim();
    if text.contains(['\u{201c}', '\u{201d}', '\u{201e}']) {
        let straight = text.replace(['\u{201c}', '\u{201d}', '\u{201e}'], "\"");
        return ("the quotes are curly; a brief takes straight ones".to_owned(), straight);
    }
    if message.starts_with("duplicate key") {
        let name = source.slice(span).unwrap_or("this").to_owned();
        let fix = match text.starts_with('[') {
            true => format!("write all that belongs to {name} below one [{name}]"),
            false => "keep one of the two".to_owned(),
        };
        return (format!("{name} is there twice"), fix);
    }
    if let Some(day) = day_of(text) {
        return ("a date is written year-month-day".to_owned(), day);
    }
    if message.starts_with("string values must be quoted") {
        return explain_unquoted(source, span, text);
    }
    if let Some((name, value)) = colon(text) {
        return ("a key and its value are joined by =".to_owned(), format!("{name} = {}", as_toml(value)));
    }
    if text.starts_with('[') && !text.contains('=') && message.contains("table") {
        let name = text.trim_matches(['[', ']', ' ']);
        let whole = if text.starts_with("[[") { format!("[[{name}]]") } else { format!("[{name}]") };
        return ("the table's brackets do not match".to_owned(), whole);
    }
    if text.matches('"').count() % 2 == 1 {
        return ("a quotation mark is missing".to_owned(), close_quote(text));
    }
    if message.starts_with("invalid") && message.contains("date") {
        return ("there is no such date".to_owned(), "write it year-month-day: 2026-12-18".to_owned());
    }
    if message.starts_with("key with no value") {
        let above = line.checked_sub(1).map_or("", |above| source.line(above)).trim();
        let name = above.trim_matches(['[', ']']);
        let (part, path) = match name.strip_prefix("print.").filter(|path| path.contains('.')) {
            Some(path) => (BriefPart::Print, path),
            None => (BriefPart::Order, name),
        };
        if let Some(key) = key_table::find(path).filter(|_| text.starts_with(['"', '\''])) {
            let fix = unknown_keys::line_in_its_place(part, key, text);
            return ("a value needs its key before it".to_owned(), fix);
        }
        return ("this is neither a table nor a key with a value".to_owned(), format!("{text} = \"...\""));
    }
    let fix = match text.split_once('=') {
        Some((name, value)) if !value.trim().is_empty() && !value.contains(['"', '\'', '[', '{']) => {
            format!("{} = {}", name.trim(), quote(value.split('#').next().unwrap_or(value).trim()))
        }
        _ => "each line is a [table], a key = value or a # comment".to_owned(),
    };
    (format!("this line cannot be read: {message}"), fix)
}

fn explain_unquoted(source: &SourceText<'_>, span: Range<usize>, text: &str) -> (String, String) {
    let value = source.slice(span.clone()).unwrap_or("").trim();
    let yes_no = match value.to_lowercase().as_str() {
        "yes" | "true" | "on" => Some("true"),
        "no" | "false" | "off" => Some("false"),
        _ => None,
    };
    if let Some(plain) = yes_no {
        return (format!("{value} is written {plain}"), source.line_with(span, plain).unwrap_or_default());
    }
    let fix = source.line_with(span, &quote(value)).unwrap_or_else(|| text.to_owned());
    (format!("{value} needs quotes"), fix)
}

/// Returns a line whose value is a day written otherwise, with the day as TOML writes it.
fn day_of(text: &str) -> Option<String> {
    let (name, value) = text.split_once('=')?;
    let days = dates::candidates(value.split('#').next().unwrap_or(value).trim());
    let days: Vec<String> = days.iter().map(|day| format!("{} = {day}", name.trim())).collect();
    (!days.is_empty()).then(|| days.join(", or "))
}

/// `name: value` instead of `name = value`.
fn colon(text: &str) -> Option<(&str, &str)> {
    let (name, value) = text.split_once(':')?;
    let name = name.trim();
    let plain = !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '.');
    (plain && !text.contains('=')).then(|| (name, value.trim()))
}

/// Returns a value as TOML wants it: in quotes unless it is TOML already.
fn as_toml(value: &str) -> String {
    if toml::de::DeValue::parse(value).is_ok() { value.to_owned() } else { quote(value) }
}

/// Returns the line with its open quote closed: before a comment, else at its end.
fn close_quote(text: &str) -> String {
    match text.split_once('=') {
        Some((name, value)) => {
            let value = value.trim().trim_matches('"');
            format!("{} = {}", name.trim(), quote(value.split(" #").next().unwrap_or(value).trim().trim_matches('"')))
        }
        None => "text begins and ends with a quotation mark".to_owned(),
    }
}
