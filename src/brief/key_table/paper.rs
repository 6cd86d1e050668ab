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
        source: "common practice, nothing published: the usual lab print",
        about: "what it is printed on; a print with a stock of its own starts from that stock's usual values",
        example: "\"uncoated\"",
        question: Some(
            "Which paper or material do you print on: photo paper, cotton, canvas, metal, acrylic, wood, coated, \
             uncoated or newsprint?",
        ),
        shown: Shown::Requirements(|required| required.paper.stock.word().to_owned()),
    },
    BriefKey {
        path: "paper.surface",
        kind: ValueKind::Choice(Surface::WORDS),
        default: "lustre on photo paper; gloss on metal, acrylic and coated; matte on all others",
        source: "common practice; nothing published",
        about: "surface finish; it decides how deep the black can be",
        example: "\"matte\"",
        question: Some("What surface does the paper have: gloss, lustre or matte?"),
        shown: Shown::Requirements(|required| required.paper.surface.word().to_owned()),
    },
    BriefKey {
        path: "paper.process",
        kind: ValueKind::Choice(Process::WORDS),
        default: "silver halide on photo paper and acrylic; dye sublimation on metal; inkjet on cotton, canvas and \
                  wood; offset on coated, uncoated and newsprint",
        source: "common practice; nothing published",
        about: "how it is printed",
        example: "\"inkjet\"",
        question: Some("Which process do you print with: silver halide, inkjet, dye sublimation, offset or toner?"),
        shown: Shown::Requirements(|required| required.paper.process.word().to_owned()),
    },
    BriefKey {
        path: "paper.profile",
        kind: ValueKind::File,
        default: "none: how this paper renders colour is then unknown",
        source: "only the printer knows it",
        about: "the printer's own ICC profile for this paper; its path is relative to the brief",
        example: "\"profiles/press.icc\"",
        question: Some("Which ICC output profile do you use for this paper, and can you send it to me?"),
        shown: Shown::Requirements(|required| or_none(required.paper.profile.as_ref().map(|path| path.display()))),
    },
    BriefKey {
        path: "paper.dmax",
        kind: ValueKind::Black,
        default: "the usual value for its stock, surface and process",
        source: "published press characterisation data for offset; tests of paper ranges for inkjet; common practice, \
                 nothing published, for metal, acrylic and wood",
        about: "Dmax, the absolute density of the deepest black, measured without a polarising filter",
        example: "1.5",
        question: Some("How deep is the black of this paper (Dmax, measured without a polarising filter)?"),
        shown: Shown::Requirements(|required| format!("Dmax {}", required.paper.dmax)),
    },
    BriefKey {
        path: "paper.white",
        kind: ValueKind::Lightness,
        default: "the usual value for its stock, from 80 (newsprint) to 96 (uncoated)",
        source: "published press characterisation data for offset; common practice, nothing published, for the rest",
        about: "lightness (L*) of the bare paper",
        example: "\"L* 90\"",
        question: None,
        shown: Shown::Requirements(|required| format!("L* {}", required.paper.white_l)),
    },
    BriefKey {
        path: "paper.ink_limit",
        kind: ValueKind::Share(100, 400),
        default: "offset 320 % coated, 300 % uncoated, 220 % newsprint; toner 240 %; none elsewhere",
        source: "trade articles and a newspaper association's profile page; common practice for uncoated",
        about: "highest total ink, C + M + Y + K, for CMYK pictures",
        example: "\"280 %\"",
        question: Some("What is your total ink limit on this paper?"),
        shown: Shown::Requirements(|required| or_none(required.paper.ink_limit.map(show::share))),
    },
];

pub(super) static PAPERS: &[BriefKey] = &[BriefKey {
    path: "papers.*",
    kind: ValueKind::Paper,
    default: "none",
    source: "your own choice",
    about: "a paper by name, with the keys of [paper]; a print on it says paper = \"body\". A paper with a stock of \
            its own starts from that stock's usual values",
    example: "{ stock = \"coated\", surface = \"matte\" }",
    question: None,
    shown: Shown::AnyNames,
}];
