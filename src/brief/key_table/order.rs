//! Keys of the order as a whole: above the first table, `[sizes]`, `[rules]`, `[delivery]`.

use super::wording::{listed, or_none, yes_no};
use crate::brief::key::{BriefKey, Shown, ValueKind};
use crate::brief::model::VersionPolicy;
use crate::brief::picture_patterns::Pattern;
use crate::brief::requirements::Level;
use crate::units::show;

/// Names that a template of delivered names may hold.
const TEMPLATE_NAMES: &[&str] = &["page", "name", "id", "picture", "batch", "copies"];

pub(super) static TOP: &[BriefKey] = &[
    BriefKey {
        path: "title",
        kind: ValueKind::Text,
        default: "none",
        source: "only the brief can know it",
        about: "what the job is called; stands in the header and on the note",
        example: "\"Low Water Suppers: plates, first batch\"",
        question: None,
        shown: Shown::Order(|brief| or_none(brief.title.as_deref())),
    },
    BriefKey {
        path: "printer",
        kind: ValueKind::Text,
        default: "none",
        source: "only the brief can know it",
        about: "who prints",
        example: "\"Corrow Lane Press\"",
        question: None,
        shown: Shown::Order(|brief| or_none(brief.printer.as_deref())),
    },
    BriefKey {
        path: "from",
        kind: ValueKind::Text,
        default: "none",
        source: "only the brief can know it",
        about: "who sends the pictures, and how the printer reaches her; said on the note",
        example: "\"Maren Olde, maren@low-water.example\"",
        question: None,
        shown: Shown::Order(|brief| or_none(brief.from.as_deref())),
    },
    BriefKey {
        path: "due",
        kind: ValueKind::Date,
        default: "none",
        source: "only the brief can know it",
        about: "the day on which the pictures are due",
        example: "2026-12-18",
        question: Some("On which day must the pictures be with you?"),
        shown: Shown::Order(|brief| or_none(brief.due.as_deref())),
    },
    BriefKey {
        path: "colour_correction",
        kind: ValueKind::Text,
        default: "none said",
        source: "only the printer can know it",
        about: "what the printer shall do to the colours; said on the note",
        example: "\"none, convert only\"",
        question: Some("Will you correct colours yourselves, or only convert what we send?"),
        shown: Shown::Order(|brief| or_none(brief.colour_correction.as_deref())),
    },
    BriefKey {
        path: "prints",
        kind: ValueKind::File,
        default: "none: the prints stand in the brief",
        source: "a choice of this brief",
        about: "a picture list in CSV: page, name, picture, size, caption, copies, batch",
        example: "\"pictures.csv\"",
        question: None,
        shown: Shown::Order(|brief| show::count(brief.prints.len(), "print", "prints")),
    },
    BriefKey {
        path: "ignore",
        kind: ValueKind::Patterns,
        default: "none",
        source: "a choice of this brief",
        about: "files in the folder that are not of this order",
        example: "[\"web/*\"]",
        question: None,
        shown: Shown::Order(|brief| listed(brief.ignore.iter().map(Pattern::as_str))),
    },
    BriefKey {
        path: "subfolders",
        kind: ValueKind::YesNo,
        default: "false",
        source: "a choice of this brief",
        about: "whether folders inside the folder belong to the order",
        example: "true",
        question: None,
        shown: Shown::Order(|brief| yes_no(brief.subfolders)),
    },
    BriefKey {
        path: "versions",
        kind: ValueKind::Choice(VersionPolicy::WORDS),
        default: "ask",
        source: "a choice of this brief",
        about: "two pictures for one print: ask, or take the newest by itself",
        example: "\"newest\"",
        question: None,
        shown: Shown::Order(|brief| brief.versions.word().to_owned()),
    },
];

pub(super) static SIZES: &[BriefKey] = &[BriefKey {
    path: "sizes.*",
    kind: ValueKind::Size,
    default: "none",
    source: "a choice of this brief",
    about: "a name of your own for a size, so that a late page change is one edit",
    example: "\"210 x 260 mm\"",
    question: None,
    shown: Shown::AnyNames,
}];

pub(super) static RULES: &[BriefKey] = &[BriefKey {
    path: "rules.*",
    kind: ValueKind::Choice(Level::WORDS),
    default: "the rule's own level",
    source: "a choice of this brief",
    about: "how much a rule counts: must is FIX, should is WARN, note is only shown, off is not asked",
    example: "\"note\"",
    question: None,
    shown: Shown::AnyNames,
}];

pub(super) static DELIVERY: &[BriefKey] = &[
    BriefKey {
        path: "delivery.transfer",
        kind: ValueKind::Text,
        default: "none said",
        source: "only the printer can know it",
        about: "how the files travel; said on the note",
        example: "\"upload\"",
        question: Some("How do you want to receive the files?"),
        shown: Shown::Requirements(|required| or_none(required.delivery.transfer.as_deref())),
    },
    BriefKey {
        path: "delivery.rename",
        kind: ValueKind::Template(TEMPLATE_NAMES),
        default: "none: files keep their names",
        source: "a choice of this brief",
        about: "how delivered files are called",
        example: "\"{page}-{name}\"",
        question: None,
        shown: Shown::Requirements(|required| or_none(required.delivery.rename.as_deref())),
    },
];
