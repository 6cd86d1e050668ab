//! Keys of the picture itself: `[file]`, `[colour]`, `[tone]`, `[detail]`.

use super::wording::{list_values, or_none};
use crate::brief::key::{BriefKey, Shown, ValueKind};
use crate::brief::requirements::{LocationRequirement, Sharpened, Space};
use crate::units::show;

/// Formats that a brief may allow.
const FORMATS: &[&str] = &["jpeg", "tiff", "png"];
/// Metadata that a brief may require.
const CREDITS: &[&str] = &["creator", "copyright", "caption", "credit line"];
/// Bits per channel that a brief may allow.
const DEPTHS: &[u32] = &[8, 16];

pub(super) static FILE: &[BriefKey] = &[
    BriefKey {
        path: "file.formats",
        kind: ValueKind::Choices(FORMATS),
        default: "jpeg and tiff; png too, except on a press",
        source: "common practice; nothing published",
        about: "file formats that the printer takes",
        example: "[\"tiff\"]",
        question: Some("Which file formats do you take: JPEG, TIFF, PNG?"),
        shown: Shown::Requirements(|required| list_values(&required.file.formats)),
    },
    BriefKey {
        path: "file.depth",
        kind: ValueKind::Counts(DEPTHS),
        default: "8 and 16",
        source: "common practice, nothing published: 16 bits matter for editing, yet printers rarely refuse them",
        about: "bits per channel that the printer takes",
        example: "8",
        question: Some("Do you take 16 bits per channel, or only 8?"),
        shown: Shown::Requirements(|required| list_values(&required.file.depth)),
    },
    BriefKey {
        path: "file.jpeg_quality",
        kind: ValueKind::Count(1, 100),
        default: "90",
        source: "common practice; nothing published",
        about: "lowest JPEG quality, estimated from the file's quantisation tables",
        example: "95",
        question: None,
        shown: Shown::Requirements(|required| required.file.jpeg_quality.to_string()),
    },
    BriefKey {
        path: "file.largest",
        kind: ValueKind::Bytes,
        default: "no limit",
        source: "only the printer knows it",
        about: "largest file size",
        example: "\"120 MB\"",
        question: Some("What is the largest file that you take?"),
        shown: Shown::Requirements(|required| required.file.largest.map_or("no limit".to_owned(), show::bytes)),
    },
    BriefKey {
        path: "file.name",
        kind: ValueKind::Spelling,
        default: "any name",
        source: "only the printer knows it",
        about: "characters that a file name may use, leaving out its extension",
        example: "\"lower case, digits, hyphen\"",
        question: Some("Which characters may file names use, and must the names follow a pattern?"),
        shown: Shown::Requirements(|required| {
            let name = &required.file.name;
            let no_words = if name.pattern.is_some() { "see name_pattern" } else { "any name" };
            name.words.clone().unwrap_or_else(|| no_words.to_owned())
        }),
    },
    BriefKey {
        path: "file.name_pattern",
        kind: ValueKind::Regex,
        default: "any name",
        source: "only the printer knows it",
        about: "regular expression that the whole name must match, leaving out its extension; instead of name",
        example: "'p\\d{3}-[a-z-]+'",
        question: None,
        shown: Shown::Requirements(|required| or_none(required.file.name.pattern.as_deref())),
    },
    BriefKey {
        path: "file.credit",
        kind: ValueKind::Choices(CREDITS),
        default: "none",
        source: "your own choice",
        about: "metadata that every file must carry",
        example: "[\"creator\", \"copyright\"]",
        question: None,
        shown: Shown::Requirements(|required| list_values(&required.file.credit)),
    },
    BriefKey {
        path: "file.location",
        kind: ValueKind::Choice(LocationRequirement::WORDS),
        default: "allowed",
        source: "your own choice",
        about: "whether files may carry GPS coordinates; a client's kitchen is a private address",
        example: "\"none\"",
        question: None,
        shown: Shown::Requirements(|required| required.file.location.word().to_owned()),
    },
];

pub(super) static COLOUR: &[BriefKey] = &[BriefKey {
    path: "colour.space",
    kind: ValueKind::Choices(Space::WORDS),
    default: "srgb",
    source: "common practice, nothing published: what most photo labs require",
    about: "colour space to export in; a list allows several, and \"paper\" means the profile of [paper]",
    example: "\"adobe rgb\"",
    question: Some("Which colour space should the files be in, and do you honour embedded profiles?"),
    shown: Shown::Requirements(|required| list_values(required.colour.spaces.iter().map(|space| space.word()))),
}];

pub(super) static TONE: &[BriefKey] = &[
    BriefKey {
        path: "tone.lost_highlights",
        kind: ValueKind::Share(0, 100),
        default: "1 %",
        source: "common practice; nothing published",
        about: "largest share of the picture that may be blown out to plain white",
        example: "\"0.5 %\"",
        question: None,
        shown: Shown::Requirements(|required| show::share(required.tone.lost_highlights)),
    },
    BriefKey {
        path: "tone.lost_shadows",
        kind: ValueKind::Share(0, 100),
        default: "15 %",
        source: "common practice; nothing published",
        about: "largest share of the detail that may block up in the paper's black",
        example: "\"10 %\"",
        question: None,
        shown: Shown::Requirements(|required| show::share(required.tone.lost_shadows)),
    },
];

pub(super) static DETAIL: &[BriefKey] = &[
    BriefKey {
        path: "detail.halo",
        kind: ValueKind::Share(0, 100),
        default: "25 %",
        source: "common practice, nothing published: above it a halo is plain to see",
        about: "strongest halo allowed at an edge, as a share of the edge's own contrast",
        example: "\"20 %\"",
        question: None,
        shown: Shown::Requirements(|required| show::share(required.detail.halo)),
    },
    BriefKey {
        path: "detail.enlarged",
        kind: ValueKind::Factor,
        default: "1.2 x",
        source: "common practice; nothing published",
        about: "largest factor by which a picture may have been enlarged by interpolation",
        example: "\"1 x\"",
        question: None,
        shown: Shown::Requirements(|required| format!("{} x", required.detail.enlarged)),
    },
    BriefKey {
        path: "detail.noise",
        kind: ValueKind::Count(1, 50),
        default: "4",
        source: "no published source: measured on 24 photographs and set above their noise",
        about: "strongest grain that the print may show, in levels of 255",
        example: "8",
        question: None,
        shown: Shown::Requirements(|required| required.detail.noise.to_string()),
    },
    BriefKey {
        path: "detail.sharpened",
        kind: ValueKind::Choice(Sharpened::WORDS),
        default: "by the photographer",
        source: "common practice; nothing published",
        about: "who sharpens for print",
        example: "\"by the printer\"",
        question: Some("Do you sharpen for print, or should I?"),
        shown: Shown::Requirements(|required| required.detail.sharpened.word().to_owned()),
    },
];
