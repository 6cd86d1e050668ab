//! Keys of `[paper]`.

use super::wording::or_none;
use crate::brief::key::{BriefKey, Shown, ValueKind};
use crate::brief::requirements::{Process, Stock, Surface};
use crate::units::show;

pub(super) static PAPER: &[BriefKey] = &[
    BriefKey {
        path: "paper.stock",
        kind: ValueKind::Choice(Stock::WORDS),
        default: "photo paper",
        source: "common practice, no source: the usual lab print",
        about: "the material; a print that names its own starts from that stock's usual values",
        example: "\"uncoated\"",
        question: Some("Which paper or material do you print on?"),
        shown: Shown::Requirements(|required| required.paper.stock.word().to_owned()),
    },
    BriefKey {
        path: "paper.surface",
        kind: ValueKind::Choice(Surface::WORDS),
        default: "lustre on photo paper; gloss on metal, acrylic and coated; matte on all others",
        source: "common practice, no source",
        about: "the surface; it decides how dark the black can be",
        example: "\"matte\"",
        question: Some("Which surface has it: gloss, lustre or matte?"),
        shown: Shown::Requirements(|required| required.paper.surface.word().to_owned()),
    },
    BriefKey {
        path: "paper.process",
        kind: ValueKind::Choice(Process::WORDS),
        default: "silver halide on photo paper and acrylic; dye sublimation on metal; inkjet on cotton, canvas and \
                  wood; offset on coated, uncoated and newsprint",
        source: "common practice, no source",
        about: "how ink or dye comes onto it",
        example: "\"inkjet\"",
        question: Some("By which process do you print?"),
        shown: Shown::Requirements(|required| required.paper.process.word().to_owned()),
    },
    BriefKey {
        path: "paper.profile",
        kind: ValueKind::File,
        default: "none: what the paper does to colour is not known",
        source: "only the printer can know it",
        about: "the printer's own colour profile for this paper, relative to the brief",
        example: "\"profiles/press.icc\"",
        question: Some("Which colour profile describes your machine on this paper, and can you send it?"),
        shown: Shown::Requirements(|required| or_none(required.paper.profile.as_ref().map(|path| path.display()))),
    },
    BriefKey {
        path: "paper.dmax",
        kind: ValueKind::Black,
        default: "the usual value of stock, surface and process",
        source: "published press characterisation data for offset; tests of paper ranges for inkjet; common practice, \
                 no source for metal, acrylic and wood",
        about: "density of the deepest black, D absolute, measured without polarising filter",
        example: "1.5",
        question: Some("How dark is your deepest black on this paper (density, without polarising filter)?"),
        shown: Shown::Requirements(|required| format!("D {}", required.paper.dmax)),
    },
    BriefKey {
        path: "paper.white",
        kind: ValueKind::Lightness,
        default: "the usual value of the stock: 80 on newsprint to 96 on uncoated",
        source: "published press characterisation data for offset; common practice, no source for the rest",
        about: "lightness of the bare paper",
        example: "\"L* 90\"",
        question: None,
        shown: Shown::Requirements(|required| format!("L* {}", required.paper.white_l)),
    },
    BriefKey {
        path: "paper.ink_limit",
        kind: ValueKind::Share(100, 400),
        default: "offset 320 % coated, 300 % uncoated, 220 % newsprint; toner 240 %; none elsewhere",
        source: "trade articles and a newspaper association's profile page; common practice for uncoated",
        about: "most ink, C + M + Y + K, for pictures in CMYK",
        example: "\"280 %\"",
        question: Some("What is your limit for total ink coverage on this paper?"),
        shown: Shown::Requirements(|required| or_none(required.paper.ink_limit.map(show::share))),
    },
];
