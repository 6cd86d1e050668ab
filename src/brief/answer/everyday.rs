//! An answer in everyday words, put into the words of a brief: a number whose unit is sure, "3 mm on all sides",
//! "sRGB, yes", "you", and the words in which a question names its choices.

use crate::brief::key::{BriefKey, ValueKind};
use crate::brief::questions::{edge_words, sides_words, space_name};
use crate::brief::requirements::{Edge, Space, WrapSides};
use crate::units::length::number;

use super::typed;

/// Words behind a length that is the same on every side.
const ON_ALL_SIDES: [&str; 8] = [
    "on all sides",
    "on all four sides",
    "on every side",
    "on each side",
    "all round",
    "all around",
    "each side",
    "all sides",
];
/// Words of a list that only agree.
const AGREEING: [&str; 5] = ["yes", "yes please", "please", "both", "only"];
/// Further words for a choice: the key, what is said, and the brief's word. A printer who answers says "we" of the
/// printer and "you" of the photographer.
const PHRASES: [(&str, &str, &str); 16] = [
    ("detail.sharpened", "you", "by the photographer"),
    ("detail.sharpened", "you do", "by the photographer"),
    ("detail.sharpened", "you should", "by the photographer"),
    ("detail.sharpened", "by you", "by the photographer"),
    ("detail.sharpened", "the photographer", "by the photographer"),
    ("detail.sharpened", "we", "by the printer"),
    ("detail.sharpened", "we do", "by the printer"),
    ("detail.sharpened", "us", "by the printer"),
    ("detail.sharpened", "by us", "by the printer"),
    ("detail.sharpened", "the printer", "by the printer"),
    ("margins.edge", "with a border", "border"),
    ("margins.sides", "the picture", "picture"),
    ("margins.sides", "the picture itself", "picture"),
    ("margins.sides", "its edge mirrored", "mirrored"),
    ("margins.sides", "one colour", "plain"),
    ("colour.space", "your profile", "paper"),
];

/// Returns an answer in the words of a brief where it is not typed in them and its meaning is sure.
pub(super) fn in_brief_words(key: &BriefKey, said: &str) -> Option<String> {
    let said = said.trim().trim_end_matches(['.', '!']).trim();
    if typed::value(key, said).is_ok() {
        return None;
    }
    let words = match key.kind {
        // No printer counts them in any other unit.
        ValueKind::Density | ValueKind::Ruling | ValueKind::Share(..) if number(said).is_some() => {
            typed::value(key, said).err()?.instead?
        }
        ValueKind::Length | ValueKind::Sides => one_length(said)?,
        ValueKind::Choice(_) => choice(key, said)?.to_owned(),
        ValueKind::Choices(_) | ValueKind::Counts(_) => choices(key, said)?,
        _ => return None,
    };
    typed::value(key, &words).is_ok().then_some(words)
}

/// The length of which only the words behind it are too many.
fn one_length(said: &str) -> Option<String> {
    let lower = said.to_lowercase();
    let length = ON_ALL_SIDES.iter().find_map(|words| lower.strip_suffix(words))?;
    Some(length.trim_end_matches([' ', ',']).to_owned())
}

/// The brief's word for a choice that is named in other words.
fn choice(key: &BriefKey, said: &str) -> Option<&'static str> {
    let said = said.to_lowercase();
    let printed: Vec<(&str, &str)> = match key.path {
        "margins.edge" => Edge::ALL.iter().map(|one| (edge_words(*one), one.word())).collect(),
        "margins.sides" => WrapSides::ALL.iter().map(|one| (sides_words(*one), one.word())).collect(),
        "colour.space" => Space::ALL.iter().map(|one| (space_name(*one), one.word())).collect(),
        _ => Vec::new(),
    };
    let phrases = PHRASES.iter().filter(|(path, ..)| *path == key.path).map(|(_, words, word)| (*words, *word));
    let mut all = printed.into_iter().chain(phrases);
    all.find(|(words, _)| words.to_lowercase() == said).map(|(_, word)| word)
}

/// A list without the words in it that only agree, each member in the brief's words.
fn choices(key: &BriefKey, said: &str) -> Option<String> {
    let members = typed::members(said).into_iter().filter_map(|one| {
        let lower = one.to_lowercase();
        let bare = AGREEING.iter().find_map(|word| lower.strip_prefix(word)).filter(|rest| rest.starts_with(' '));
        match bare {
            _ if AGREEING.contains(&lower.as_str()) => None,
            Some(rest) => Some(rest.trim().to_owned()),
            None => Some(one),
        }
    });
    let members: Vec<String> = members.map(|one| choice(key, &one).map_or(one, str::to_owned)).collect();
    (!members.is_empty()).then(|| members.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::key_table;

    #[test]
    fn everyday_words_are_understood_where_their_meaning_is_sure() {
        for (key, said, words) in [
            ("density.minimum", "300", Some("300 ppi")),
            ("density.ruling", "150", Some("150 lpi")),
            ("paper.ink_limit", "300", Some("300 %")),
            ("margins.bleed", "3 mm on all sides", Some("3 mm")),
            ("margins.safe", "5 mm all round.", Some("5 mm")),
            ("colour.space", "sRGB, yes", Some("srgb")),
            ("colour.space", "your own profile", Some("paper")),
            ("colour.space", "your own profile, yes please", Some("paper")),
            ("detail.sharpened", "You", Some("by the photographer")),
            ("detail.sharpened", "we do", Some("by the printer")),
            ("margins.edge", "Trimmed with bleed", Some("bleed")),
            ("margins.edge", "with a white border", Some("border")),
            ("margins.sides", "the picture itself", Some("picture")),
            ("file.depth", "only 8", Some("8")),
            ("file.depth", "yes, both 8 and 16", Some("8, 16")),
            // A length may be in millimetres or inches: that is asked.
            ("margins.bleed", "3", None),
            ("margins.bleed", "3 on all sides", None),
            ("file.largest", "120", None),
            ("colour.space", "yes", None),
            ("detail.sharpened", "perhaps", None),
            // What a brief takes as it is typed is not put into other words.
            ("margins.bleed", "3 mm", None),
            ("colour.space", "sRGB", None),
            ("colour.space", "greyscale or CMYK", None),
        ] {
            let key = key_table::find(key).unwrap();
            assert_eq!(in_brief_words(key, said).as_deref(), words, "{}: {said}", key.path);
        }
    }

    #[test]
    fn every_further_word_leads_to_a_choice_of_its_key() {
        for (path, said, word) in PHRASES {
            let key = key_table::find(path).unwrap();
            assert!(typed::value(key, word).is_ok(), "{path}: {said} -> {word}");
            assert!(typed::value(key, said).is_err(), "{path}: {said} is a word of a brief");
        }
    }
}
