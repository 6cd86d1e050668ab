//! Keys of the order as a whole: above the first table, `[sizes]`, `[rules]`, `[handover]`.

use super::{Key, Kind};
use crate::brief::asked::{Level, Versions};

/// Names that a template of delivered names may hold.
const TEMPLATE_NAMES: &[&str] = &["page", "name", "id", "picture", "batch", "copies"];

pub(super) static TOP: &[Key] = &[
    Key {
        path: "title",
        kind: Kind::Text,
        default: "none",
        source: "only the brief can know it",
        about: "what the job is called; stands in the header and on the note",
        example: "\"Low Water Suppers: plates, first batch\"",
        question: None,
    },
    Key {
        path: "printer",
        kind: Kind::Text,
        default: "none",
        source: "only the brief can know it",
        about: "who prints",
        example: "\"Corrow Lane Press\"",
        question: None,
    },
    Key {
        path: "from",
        kind: Kind::Text,
        default: "none",
        source: "only the brief can know it",
        about: "who sends the pictures, and how the printer reaches her; said on the note",
        example: "\"Maren Olde, maren@low-water.example\"",
        question: None,
    },
    Key {
        path: "due",
        kind: Kind::Date,
        default: "none",
        source: "only the brief can know it",
        about: "the day on which the pictures are due",
        example: "2026-12-18",
        question: Some("On which day must the pictures be with you?"),
    },
    Key {
        path: "colour_correction",
        kind: Kind::Text,
        default: "none said",
        source: "only the printer can know it",
        about: "what the printer shall do to the colours; said on the note",
        example: "\"none, convert only\"",
        question: Some("Will you correct colours yourselves, or only convert what we send?"),
    },
    Key {
        path: "prints",
        kind: Kind::File,
        default: "none: the prints stand in the brief",
        source: "a choice of this brief",
        about: "a picture list in CSV: page, name, picture, size, caption, copies, batch",
        example: "\"pictures.csv\"",
        question: None,
    },
    Key {
        path: "ignore",
        kind: Kind::Patterns,
        default: "none",
        source: "a choice of this brief",
        about: "files in the folder that are not of this order",
        example: "[\"web/*\"]",
        question: None,
    },
    Key {
        path: "subfolders",
        kind: Kind::YesNo,
        default: "false",
        source: "a choice of this brief",
        about: "whether folders inside the folder belong to the order",
        example: "true",
        question: None,
    },
    Key {
        path: "versions",
        kind: Kind::Choice(Versions::WORDS),
        default: "ask",
        source: "a choice of this brief",
        about: "two pictures for one print: ask, or take the newest by itself",
        example: "\"newest\"",
        question: None,
    },
];

pub(super) static SIZES: &[Key] = &[Key {
    path: "sizes.*",
    kind: Kind::Size,
    default: "none",
    source: "a choice of this brief",
    about: "a name of your own for a size, so that a late page change is one edit",
    example: "\"210 x 260 mm\"",
    question: None,
}];

pub(super) static RULES: &[Key] = &[Key {
    path: "rules.*",
    kind: Kind::Choice(Level::WORDS),
    default: "the rule's own level",
    source: "a choice of this brief",
    about: "how much a rule counts: must is FIX, should is WARN, note is only shown, off is not asked",
    example: "\"note\"",
    question: None,
}];

pub(super) static HANDOVER: &[Key] = &[
    Key {
        path: "handover.transfer",
        kind: Kind::Text,
        default: "none said",
        source: "only the printer can know it",
        about: "how the files travel; said on the note",
        example: "\"upload\"",
        question: Some("How do you want to receive the files?"),
    },
    Key {
        path: "handover.rename",
        kind: Kind::Template(TEMPLATE_NAMES),
        default: "none: files keep their names",
        source: "a choice of this brief",
        about: "how delivered files are called",
        example: "\"{page}-{name}\"",
        question: None,
    },
];
