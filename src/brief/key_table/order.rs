//! Keys of the order as a whole: above the first table, `[sizes]`, `[rules]`, `[delivery]`, `[answered]`.

use super::wording::{NOT_SAID, list_values, or_none, or_not_said, yes_no};
use crate::brief::key::{BriefKey, Shown, ValueKind};
use crate::brief::model::VersionPolicy;
use crate::brief::picture_patterns::Pattern;
use crate::brief::requirements::Level;
use crate::brief::starter;
use crate::units::show;

/// Names that a template of delivered names may use.
const TEMPLATE_NAMES: &[&str] = &["page", "name", "id", "picture", "batch", "copies"];

pub(super) static TOP: &[BriefKey] = &[
    BriefKey {
        path: "like",
        kind: ValueKind::Choice(starter::NAMES),
        default: "none",
        source: "your own choice",
        about: "a starter whose values are taken as usual ones; they stay open questions until the printer has \
                answered",
        example: "\"cookbook-coated\"",
        question: None,
        shown: Shown::Order(|brief| or_none(brief.like)),
    },
    BriefKey {
        path: "sheet",
        kind: ValueKind::File,
        default: "none",
        source: "your own choice",
        about: "the printer's sheet: what this printer answered once, for all your orders with them. It is looked for \
                beside the brief, then in plateside/printers of your configuration folder",
        example: "\"corrow-lane.toml\"",
        question: None,
        shown: Shown::Order(|brief| {
            let names = brief.sheets.iter().filter_map(|path| path.file_name());
            list_values(names.map(|name| name.to_string_lossy()))
        }),
    },
    BriefKey {
        path: "title",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "only you know it",
        about: "name of the job; shown in the header and on the printer's note",
        example: "\"Low Water Suppers: plates, first batch\"",
        question: None,
        shown: Shown::Order(|brief| or_not_said(brief.title.as_deref())),
    },
    BriefKey {
        path: "printer",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "only you know it",
        about: "who prints",
        example: "\"Corrow Lane Press\"",
        question: None,
        shown: Shown::Order(|brief| or_not_said(brief.printer.as_deref())),
    },
    BriefKey {
        path: "contact",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "only the printer knows it",
        about: "who answers at the printer's, and how to reach them",
        example: "\"Ines Falk, prepress@corrow-lane.example\"",
        question: Some("Who answers questions about my files, and how do I reach them?"),
        shown: Shown::Order(|brief| or_not_said(brief.contact.as_deref())),
    },
    BriefKey {
        path: "from",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "only you know it",
        about: "who sends the pictures, and how the printer can reach you; shown on the note",
        example: "\"Maren Olde, maren@low-water.example\"",
        question: None,
        shown: Shown::Order(|brief| or_not_said(brief.from.as_deref())),
    },
    BriefKey {
        path: "due",
        kind: ValueKind::Date,
        default: NOT_SAID,
        source: "only the printer knows it",
        about: "the date on which the pictures are due",
        example: "2026-12-18",
        question: Some("By what date do you need the pictures?"),
        shown: Shown::Order(|brief| or_not_said(brief.due.as_deref())),
    },
    BriefKey {
        path: "colour_correction",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "only the printer knows it",
        about: "what you and the printer have agreed about colour correction; shown on the note as written",
        example: "\"none, convert only\"",
        question: Some("Do you correct colours, or only convert what I send?"),
        shown: Shown::Order(|brief| or_not_said(brief.colour_correction.as_deref())),
    },
    BriefKey {
        path: "paper",
        kind: ValueKind::Text,
        default: "none",
        source: "your own choice",
        about: "the named paper of every print that names no other: body for [papers.body]",
        example: "\"body\"",
        question: None,
        shown: Shown::Order(|brief| or_none(brief.paper.as_deref())),
    },
    BriefKey {
        path: "prints",
        kind: ValueKind::File,
        default: "none: the prints are in the brief itself",
        source: "your own choice",
        about: "picture list as the designer sends it, in XLSX, ODS or CSV: one print a row below the headings page, \
                name, picture, size, paper, caption, credit, copies, batch",
        example: "\"pictures.csv\"",
        question: None,
        shown: Shown::Order(|brief| show::count(brief.prints.len(), "print", "prints")),
    },
    BriefKey {
        path: "prints_sheet",
        kind: ValueKind::Text,
        default: "the one sheet that has the headings of a picture list",
        source: "your own choice",
        about: "name of the sheet that lists the prints, where a workbook has several",
        example: "\"Plates\"",
        question: None,
        shown: Shown::Order(|brief| or_none(brief.list_sheet.as_deref())),
    },
    BriefKey {
        path: "ignore",
        kind: ValueKind::Patterns,
        default: "none",
        source: "your own choice",
        about: "files in the folder that do not belong to this order",
        example: "[\"web/*\"]",
        question: None,
        shown: Shown::Order(|brief| list_values(brief.ignore.iter().map(Pattern::as_str))),
    },
    BriefKey {
        path: "subfolders",
        kind: ValueKind::YesNo,
        default: "false",
        source: "your own choice",
        about: "whether sub-folders belong to the order",
        example: "true",
        question: None,
        shown: Shown::Order(|brief| yes_no(brief.includes_subfolders)),
    },
    BriefKey {
        path: "versions",
        kind: ValueKind::Choice(VersionPolicy::WORDS),
        default: "ask",
        source: "your own choice",
        about: "where two pictures fit one print: ask you, or take the newest",
        example: "\"newest\"",
        question: None,
        shown: Shown::Order(|brief| brief.versions.word().to_owned()),
    },
];

pub(super) static SIZES: &[BriefKey] = &[BriefKey {
    path: "sizes.*",
    kind: ValueKind::Size,
    default: "none",
    source: "your own choice",
    about: "a name of your own for a size, so that a late change of page size is one edit",
    example: "\"210 x 260 mm\"",
    question: None,
    shown: Shown::AnyNames,
}];

pub(super) static RULES: &[BriefKey] = &[BriefKey {
    path: "rules.*",
    kind: ValueKind::Choice(Level::WORDS),
    default: "the rule's own level",
    source: "your own choice",
    about: "level of a rule: a must that fails makes the row FIX, a should makes it WARN, a note is only shown; off is \
            not checked",
    example: "\"note\"",
    question: None,
    shown: Shown::AnyNames,
}];

pub(super) static ANSWERED: &[BriefKey] = &[BriefKey {
    path: "answered.*",
    kind: ValueKind::Date,
    default: "none",
    source: "the day on which you wrote the answer down",
    about: "the day on which the printer answered, key by key; plateside brief answer writes it",
    example: "2026-11-30",
    question: None,
    shown: Shown::AnyNames,
}];

pub(super) static DELIVERY: &[BriefKey] = &[
    BriefKey {
        path: "delivery.transfer",
        kind: ValueKind::Text,
        default: NOT_SAID,
        source: "only the printer knows it",
        about: "how the files reach the printer; shown on the note",
        example: "\"upload\"",
        question: Some("How do you want to receive the files?"),
        shown: Shown::Requirements(|required| or_not_said(required.delivery.transfer.as_deref())),
    },
    BriefKey {
        path: "delivery.rename",
        kind: ValueKind::Template(TEMPLATE_NAMES),
        default: "none: files keep their names",
        source: "your own choice",
        about: "how delivered files are named",
        example: "\"{page}-{name}\"",
        question: None,
        shown: Shown::Requirements(|required| or_none(required.delivery.rename.as_deref())),
    },
    BriefKey {
        path: "delivery.tell",
        kind: ValueKind::Rules,
        default: "none: warnings that you leave are your own business",
        source: "your own choice",
        about: "warnings that the note names, by rule or by group of rules; findings accepted with --allowed-by or \
                --on-note are always named",
        example: "[\"tone.shadows\", \"density\"]",
        question: None,
        shown: Shown::Requirements(|required| list_values(&required.delivery.tell)),
    },
];
