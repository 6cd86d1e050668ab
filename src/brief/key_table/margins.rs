//! Keys of the geometry: `[density]` and `[margins]`.

use super::wording::{list_values, or_none, yes_no};
use crate::brief::key::{BriefKey, Shown, ValueKind};
use crate::brief::requirements::{BorderFit, Edge, WrapSides};
use crate::units::{LengthUnit, show};

pub(super) static DENSITY: &[BriefKey] = &[
    BriefKey {
        path: "density.target",
        kind: ValueKind::Density,
        default: "from ruling or distance, else 300 ppi",
        source: "photographers' delivery guidelines: 300 ppi at final size",
        about: "pixels per inch to aim for at the printed size; overrides ruling and distance",
        example: "\"250 ppi\"",
        question: Some("How many pixels per inch should pictures have at the printed size?"),
        shown: Shown::Requirements(|required| show::ppi(required.density.target)),
    },
    BriefKey {
        path: "density.minimum",
        kind: ValueKind::Density,
        default: "at a target of 300 ppi: 180 on photo paper, cotton and panels, 150 on canvas, 240 on coated, 200 on \
                  uncoated; at a lower target the same share of that, but never below 100 ppi",
        source: "labs and guides name 180 to 240 ppi for photographic prints; the halftone rule for a press; common \
                 practice, nothing published, for canvas and for the lowest value",
        about: "fewest pixels per inch that pass; where a print has its own target, its minimum follows from that",
        example: "\"200 ppi\"",
        question: Some("Below how many pixels per inch do you refuse a picture?"),
        shown: Shown::Requirements(|required| show::ppi(required.density.minimum)),
    },
    BriefKey {
        path: "density.ruling",
        kind: ValueKind::Ruling,
        default: "none",
        source: "only the printer knows it",
        about: "halftone screen ruling; the target is then the smaller of 2 x ruling and 300 ppi",
        example: "\"120 lpi\"",
        question: Some("What screen ruling do you print with?"),
        shown: Shown::Requirements(|required| or_none(required.density.ruling_lpi.map(|lpi| format!("{lpi} lpi")))),
    },
    BriefKey {
        path: "density.distance",
        kind: ValueKind::Length,
        default: "none: seen at arm's length",
        source: "your own choice",
        about: "viewing distance; the target is then 8732 divided by the distance in cm, kept between 150 and 300 ppi",
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
        default: "what the brief's bleed, border or wrap implies; without them bleed for offset and toner, borderless \
                  elsewhere",
        source: "common practice; nothing published",
        about: "bleed is trimmed after printing; borderless is enlarged slightly to cover the sheet; border leaves \
                white all round; wrap is carried round a stretcher bar",
        example: "\"border\"",
        question: Some("How is the edge finished: trimmed with bleed, borderless, with a white border, or wrapped?"),
        shown: Shown::Requirements(|required| required.margins.edge.word().to_owned()),
    },
    BriefKey {
        path: "margins.bleed",
        kind: ValueKind::Sides,
        default: "3 mm with edge = \"bleed\", or 1/8 in where the size is in inches; else none",
        source: "printers' guides agree",
        about: "how far the picture extends beyond the finished size; sides that a table leaves out have none",
        example: "\"5 mm\"",
        question: Some("How much bleed do you need, and on which sides?"),
        shown: Shown::Requirements(|required| required.margins.bleed.show(required.margins.unit)),
    },
    BriefKey {
        path: "margins.safe",
        kind: ValueKind::Sides,
        default: "5 mm for offset and toner, else 6 mm; 1/4 in where the size is in inches",
        source: "printers' guides",
        about: "inner margin to keep clear of anything important; sides that a table leaves out have none",
        example: "\"10 mm\"",
        question: Some("How far inside the trim must everything important stay?"),
        shown: Shown::Requirements(|required| required.margins.safe.show(required.margins.unit)),
    },
    BriefKey {
        path: "margins.border",
        kind: ValueKind::Sides,
        default: "25 mm with edge = \"border\", or 1 in where the size is in inches; else none",
        source: "common practice; nothing published",
        about: "white border, one width or one for each side; fit says how the picture sits inside it",
        example: "\"12 mm\"",
        question: Some("How wide is the white border, and on which sides?"),
        shown: Shown::Requirements(|required| required.margins.border.show(required.margins.unit)),
    },
    BriefKey {
        path: "margins.fit",
        kind: ValueKind::Choice(BorderFit::WORDS),
        default: "fill",
        source: "your own choice; fine-art prints usually keep the picture's aspect ratio",
        about: "with edge = \"border\": fill crops; inside keeps the aspect ratio, and the border is then a minimum",
        example: "\"inside\"",
        question: None,
        shown: Shown::Requirements(|required| required.margins.fit.word().to_owned()),
    },
    BriefKey {
        path: "margins.wrap",
        kind: ValueKind::Length,
        default: "38 mm with edge = \"wrap\", or 1 1/2 in where the size is in inches; else none",
        source: "articles name bars of 3/4 to 1 1/2 in; the deeper is assumed",
        about: "depth of the stretcher bar that the picture is carried round",
        example: "\"20 mm\"",
        question: Some("How deep is the stretcher bar, and how much more picture do you need for the back?"),
        shown: Shown::Requirements(|required| show::length(required.margins.wrap, required.margins.unit)),
    },
    BriefKey {
        path: "margins.sides",
        kind: ValueKind::Choice(WrapSides::WORDS),
        default: "picture",
        source: "common practice: the picture carried round, its edge mirrored, or one colour",
        about: "what covers the sides of the bar; mirrored or plain sides take nothing from the picture",
        example: "\"mirrored\"",
        question: Some("What goes on the sides of the bar: the picture itself, its edge mirrored, or one colour?"),
        shown: Shown::Requirements(|required| required.margins.sides.word().to_owned()),
    },
    BriefKey {
        path: "margins.rebate",
        kind: ValueKind::Length,
        default: "none",
        source: "your own choice; frame rebates are often 6 mm (1/4 in)",
        about: "width that the frame covers on every side",
        example: "\"6 mm\"",
        question: None,
        shown: Shown::Requirements(|required| show::length(required.margins.rebate, required.margins.unit)),
    },
    BriefKey {
        path: "margins.folds",
        kind: ValueKind::Lengths,
        default: "none; of a spread, such as page = \"12-13\", its spine in the middle",
        source: "your own choice; two facing pages meet at the spine",
        about: "where the folds are, measured from the left edge of the finished size; [] for a spread that lies flat",
        example: "[\"50 mm\"]",
        question: None,
        shown: Shown::Requirements(|required| {
            let margins = &required.margins;
            list_values(margins.folds.iter().map(|fold| show::length(*fold, margins.unit)))
        }),
    },
    BriefKey {
        path: "margins.gutter",
        kind: ValueKind::Length,
        default: "none",
        source: "only the printer knows it",
        about: "width lost in the binding on each side of a fold",
        example: "\"10 mm\"",
        question: Some("How much of a picture is lost in the binding on each side of the fold?"),
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
        source: "your own choice",
        about: "whether pictures are exported with their bleed",
        example: "false",
        question: None,
        shown: Shown::Requirements(|required| yes_no(required.margins.includes_bleed)),
    },
];
