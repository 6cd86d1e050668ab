//! Keys of the geometry: `[density]` and `[margins]`.

use super::wording::{listed, or_none, yes_no};
use crate::brief::key::{BriefKey, Shown, ValueKind};
use crate::brief::requirements::{BorderFit, Edge, WrapSides};
use crate::units::{LengthUnit, show};

pub(super) static DENSITY: &[BriefKey] = &[
    BriefKey {
        path: "density.target",
        kind: ValueKind::Density,
        default: "from ruling or distance, else 300 ppi",
        source: "photographers' delivery guidelines: 300 ppi at final size",
        about: "density wanted at the printed size; wins over ruling and distance",
        example: "\"250 ppi\"",
        question: Some("How many pixels per inch do you want at the printed size?"),
        shown: Shown::Requirements(|required| show::ppi(required.density.target)),
    },
    BriefKey {
        path: "density.minimum",
        kind: ValueKind::Density,
        default: "of 300 ppi wanted 180 on photo paper, cotton and panels, 150 on canvas, 240 on coated, 200 on \
                  uncoated; of less in the same share, down to 100 ppi",
        source: "labs and guides name 180 to 240 ppi for photographic prints; the halftone rule for a press; common \
                 practice, no source for canvas and the floor",
        about: "the minimum density; a print that says what it wants starts from its paper's share of that",
        example: "\"200 ppi\"",
        question: Some("Below how many pixels per inch do you refuse a picture?"),
        shown: Shown::Requirements(|required| show::ppi(required.density.minimum)),
    },
    BriefKey {
        path: "density.ruling",
        kind: ValueKind::Ruling,
        default: "none",
        source: "only the printer can know it",
        about: "halftone ruling; wanted is then the smaller of 2 x ruling and 300 ppi",
        example: "\"120 lpi\"",
        question: Some("Which screen ruling do you print with?"),
        shown: Shown::Requirements(|required| or_none(required.density.ruling_lpi.map(|lpi| format!("{lpi} lpi")))),
    },
    BriefKey {
        path: "density.distance",
        kind: ValueKind::Length,
        default: "none: seen in the hand",
        source: "a choice of this brief",
        about: "seen from; wanted is then 8732 / cm, kept within 150 and 300 ppi",
        example: "\"50 cm\"",
        question: None,
        shown: Shown::Requirements(|required| {
            or_none(required.density.distance.map(|length| show::length(length, LengthUnit::Centimetre)))
        }),
    },
];

pub(super) static MARGINS: &[BriefKey] = &[
    BriefKey {
        path: "margins.edge",
        kind: ValueKind::Choice(Edge::WORDS),
        default: "the one that bleed, border or depth belongs to, if the brief says one of them; else bleed for offset \
                  and toner, borderless elsewhere",
        source: "common practice, no source",
        about: "bleed is cut after printing; borderless is enlarged a little to cover the sheet; border leaves white \
                around; wrap is carried round a bar",
        example: "\"border\"",
        question: Some("What becomes of the edge: is it cut with bleed, borderless, with a white border, or wrapped?"),
        shown: Shown::Requirements(|required| required.margins.edge.word().to_owned()),
    },
    BriefKey {
        path: "margins.bleed",
        kind: ValueKind::Sides,
        default: "with edge = \"bleed\" 3 mm, or 1/8 in where the size is in inches; else none",
        source: "printers' guides agree",
        about: "the picture beyond the finished size; sides that a table does not name have none",
        example: "\"5 mm\"",
        question: Some("How much bleed do you need, and on which sides?"),
        shown: Shown::Requirements(|required| required.margins.bleed.show(required.margins.unit)),
    },
    BriefKey {
        path: "margins.safe",
        kind: ValueKind::Sides,
        default: "5 mm for offset and toner, else 6 mm; 1/4 in where the size is in inches",
        source: "printers' guides",
        about: "the inner margin that nothing important may enter; sides that a table does not name have none",
        example: "\"10 mm\"",
        question: Some("How far from the cut must everything important stay?"),
        shown: Shown::Requirements(|required| required.margins.safe.show(required.margins.unit)),
    },
    BriefKey {
        path: "margins.border",
        kind: ValueKind::Sides,
        default: "with edge = \"border\" 25 mm, or 1 in where the size is in inches; else none",
        source: "common practice, no source",
        about: "white left around, also by side; the picture is what is left, or lies inside it (fit)",
        example: "\"12 mm\"",
        question: Some("How wide is the white border, and on which sides?"),
        shown: Shown::Requirements(|required| required.margins.border.show(required.margins.unit)),
    },
    BriefKey {
        path: "margins.fit",
        kind: ValueKind::Choice(BorderFit::WORDS),
        default: "fill",
        source: "a choice of this brief; fine-art prints usually keep the picture's shape",
        about: "with edge = \"border\": inside keeps the picture's shape, and the border is the minimum; fill crops",
        example: "\"inside\"",
        question: None,
        shown: Shown::Requirements(|required| required.margins.fit.word().to_owned()),
    },
    BriefKey {
        path: "margins.wrap",
        kind: ValueKind::Length,
        default: "with edge = \"wrap\" 38 mm, or 1 1/2 in where the size is in inches; else none",
        source: "stored articles name bars of 3/4 to 1 1/2 in; the deeper is assumed",
        about: "how deep the bar is that the picture is carried round",
        example: "\"20 mm\"",
        question: Some("How deep is the bar, and how much more must the picture hold for the back?"),
        shown: Shown::Requirements(|required| show::length(required.margins.wrap, required.margins.unit)),
    },
    BriefKey {
        path: "margins.sides",
        kind: ValueKind::Choice(WrapSides::WORDS),
        default: "picture",
        source: "common practice: the picture carried round, its edge mirrored, or one colour",
        about: "what is seen on the sides of the bar; mirrored or plain ones take nothing from the picture",
        example: "\"mirrored\"",
        question: Some("What is on the sides of the bar: the picture, its edge mirrored, or one colour?"),
        shown: Shown::Requirements(|required| required.margins.sides.word().to_owned()),
    },
    BriefKey {
        path: "margins.rebate",
        kind: ValueKind::Length,
        default: "none",
        source: "a choice of this brief; frame lips are often 6 mm (1/4 in)",
        about: "covered by a frame's lip on every side",
        example: "\"6 mm\"",
        question: None,
        shown: Shown::Requirements(|required| show::length(required.margins.rebate, required.margins.unit)),
    },
    BriefKey {
        path: "margins.folds",
        kind: ValueKind::Lengths,
        default: "none",
        source: "a choice of this brief",
        about: "folds, measured from the left edge of the finished size",
        example: "[\"50 mm\"]",
        question: None,
        shown: Shown::Requirements(|required| {
            let margins = &required.margins;
            listed(margins.folds.iter().map(|fold| show::length(*fold, margins.unit)))
        }),
    },
    BriefKey {
        path: "margins.gutter",
        kind: ValueKind::Length,
        default: "none",
        source: "only the printer can know it",
        about: "lost to the binding on each side of a fold",
        example: "\"10 mm\"",
        question: Some("How much of a picture across a fold is lost to the binding on each side?"),
        shown: Shown::Requirements(|required| show::length(required.margins.gutter, required.margins.unit)),
    },
    BriefKey {
        path: "margins.cut_tolerance",
        kind: ValueKind::Length,
        default: "1.6 mm",
        source: "printers' guides: 1/16 in, others 1 to 2 mm",
        about: "how far the cut may be off",
        example: "\"1 mm\"",
        question: None,
        shown: Shown::Requirements(|required| show::length(required.margins.cut_tolerance, required.margins.unit)),
    },
    BriefKey {
        path: "margins.includes_bleed",
        kind: ValueKind::YesNo,
        default: "true",
        source: "a choice of this brief",
        about: "whether the pictures are exported with the bleed",
        example: "false",
        question: None,
        shown: Shown::Requirements(|required| yes_no(required.margins.includes_bleed)),
    },
];
