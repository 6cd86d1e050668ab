//! An answer as it is typed: read like a value of its key, and written as a brief writes it.

use crate::brief::key::{BriefKey, ValueKind};
use crate::brief::toml_value::quote;
use crate::brief::value_error::ValueError;
use crate::brief::values::{SizeNames, Value, read_for_key};

/// What may part the members of a list.
const SEPARATORS: [&str; 4] = [",", ";", " or ", " and "];
/// Words beside a number, as questions show it: before a density of black, and behind bits.
const BESIDE: [&str; 4] = ["dmax", "d", "bits", "bit"];

/// Returns the value of a key as a brief writes it, from what was typed.
///
/// # Errors
/// It is no value of the key.
pub(super) fn value(key: &BriefKey, typed: &str) -> Result<String, ValueError> {
    let typed = typed.trim().trim_matches('"').trim();
    let takes_table = key.kind == ValueKind::Sides && typed.starts_with('{');
    if takes_table && typed.parse::<toml_edit::Value>().is_ok() {
        return Ok(typed.to_owned());
    }
    match key.kind {
        ValueKind::Choices(_) | ValueKind::Counts(_) | ValueKind::Lengths => {
            let typed = typed.trim_start_matches('[').trim_end_matches(']');
            let members = members(typed);
            if members.is_empty() {
                return member(key, typed);
            }
            let mut read = members.iter().map(|one| member(key, one)).collect::<Result<Vec<String>, _>>()?;
            let is_list = read.len() != 1 || key.kind == ValueKind::Lengths;
            Ok(if is_list { format!("[{}]", read.join(", ")) } else { read.swap_remove(0) })
        }
        _ => member(key, typed),
    }
}

/// The members of a list as people write it.
pub(super) fn members(typed: &str) -> Vec<String> {
    let mut members = vec![typed.to_owned()];
    for separator in SEPARATORS {
        members = members.iter().flat_map(|one| one.split(separator)).map(|one| one.trim().to_owned()).collect();
    }
    members.retain(|one| !one.is_empty());
    members
}

/// Returns one value that is no list.
fn member(key: &BriefKey, typed: &str) -> Result<String, ValueError> {
    let typed = typed.trim_matches('"');
    let bare = match key.kind {
        ValueKind::Count(..) | ValueKind::Counts(_) | ValueKind::Black => without_words(typed),
        _ => typed,
    };
    Ok(match read_for_key(key, bare, &SizeNames::new())? {
        Value::Word(word) => quote(word),
        Value::Words(words) => words.first().map(|word| quote(word)).unwrap_or_default(),
        Value::YesNo(yes) => yes.to_string(),
        Value::Count(count) => count.to_string(),
        Value::Counts(counts) => counts.first().map(u32::to_string).unwrap_or_default(),
        Value::Number(number) if key.kind == ValueKind::Black => number.to_string(),
        Value::Text(day) if key.kind == ValueKind::Date => day,
        _ => quote(bare),
    })
}

/// Returns a number without the words that questions show beside it: `Dmax 1.9`, `16 bits`.
fn without_words(typed: &str) -> &str {
    let is_word = |word: &&str| !BESIDE.contains(&word.to_lowercase().as_str());
    let mut numbers = typed.split_whitespace().filter(is_word);
    match (numbers.next(), numbers.next()) {
        (Some(number), None) => number,
        _ => typed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::key_table;

    #[test]
    fn an_answer_is_read_as_people_type_it_and_written_as_a_brief_writes_it() {
        for (key, typed, written) in [
            ("paper.surface", "Glossy", "\"gloss\""),
            ("paper.dmax", "Dmax 1.9", "1.9"),
            ("paper.dmax", "2", "2"),
            ("file.depth", "8 or 16 bits", "[8, 16]"),
            ("file.depth", "16 bits", "16"),
            ("file.formats", "TIFF, jpeg", "[\"tiff\", \"jpeg\"]"),
            ("file.formats", "[\"tiff\"]", "\"tiff\""),
            ("margins.bleed", " 3 mm ", "\"3 mm\""),
            ("margins.bleed", "{ top = \"3 mm\" }", "{ top = \"3 mm\" }"),
            ("density.minimum", "\"240 ppi\"", "\"240 ppi\""),
            ("due", "2026-12-18", "2026-12-18"),
            ("file.name", "lower case, digits and hyphen", "\"lower case, digits and hyphen\""),
        ] {
            assert_eq!(value(key_table::find(key).unwrap(), typed).as_deref(), Ok(written), "{key}: {typed}");
        }
        let instead = |key: &str, typed: &str| value(key_table::find(key).unwrap(), typed).unwrap_err().instead;
        assert_eq!(instead("margins.bleed", "3").as_deref(), Some("3 mm"));
        assert_eq!(instead("margins.bleed", "3,5 mm").as_deref(), Some("3.5 mm"));
        assert_eq!(instead("paper.dmax", "1,9").as_deref(), Some("1.9"));
        assert_eq!(instead("paper.stock", "coatet").as_deref(), Some("coated"));
        assert_eq!(instead("file.formats", ""), None);
    }

    #[test]
    fn the_usual_value_that_a_question_shows_can_be_typed() {
        for key in key_table::all().filter(|key| key.question.is_some()) {
            let example = key.example.trim_matches('"');
            let written = value(key, example).unwrap_or_else(|fault| panic!("{}: {fault:?}", key.path));
            let line = format!("a = {written}");
            assert!(line.parse::<toml::Table>().is_ok(), "{line}");
        }
    }
}
