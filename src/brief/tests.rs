//! The brief as a whole: what its text makes of it.

use std::path::Path;

use crate::units::{Length, Ppi};

use super::asked::{Edge, Process, Stock, Surface};
use super::*;

const RULES: &[&str] = &["density.least", "density.wanted", "tone.shadows", "size.shape"];

fn parsed(text: &str) -> Result<Brief, Vec<Problem>> {
    parse(text, Path::new("jobs/low-water.toml"), None, RULES)
}

#[test]
fn the_shortest_brief_is_a_lab_print() {
    let brief = parsed("[[print]]\nsize = \"8 x 10 in\"\n").unwrap();
    let print = &brief.prints[0];
    assert_eq!(print.asked.paper.stock, Stock::PhotoPaper);
    assert_eq!(print.asked.paper.surface, Surface::Lustre);
    assert_eq!(print.asked.paper.process, Process::SilverHalide);
    assert_eq!(print.asked.margins.edge, Edge::Enlarged);
    assert_eq!(print.asked.density.wanted, Ppi::whole(300));
    assert_eq!(print.asked.density.least, Ppi::whole(240));
    assert_eq!(print.asked.margins.bleed, asked::Sides::default());
    assert_eq!(print.asked.margins.safe, asked::Sides::all(Length::from_um(6_350)));
    assert_eq!((print.id.to_string().as_str(), print.name.as_str(), print.turn), ("8-x-10-in", "8 x 10 in", true));
}

fn long() -> Brief {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/briefs/long.toml");
    read(&path, RULES).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

#[test]
fn the_long_brief_is_read_to_its_last_key() {
    let brief = long();
    assert_eq!(brief.title.as_deref(), Some("Low Water Suppers: plates, first batch"));
    assert_eq!(brief.printer.as_deref(), Some("Corrow Lane Press"));
    assert_eq!(brief.due.as_deref(), Some("2026-12-18"));
    assert_eq!(brief.colour_correction.as_deref(), Some("none, convert only"));
    assert_eq!((brief.ignore[0].as_str(), brief.subfolders, brief.versions), ("web/*", true, asked::Versions::Newest));
    assert_eq!(brief.sha256.len(), 64);

    let print = &brief.prints[0];
    assert_eq!((print.id.to_string().as_str(), print.page, print.copies), ("p012-plum-tart", Some(12), 1));
    assert_eq!(print.size.show(), "210 x 260 mm");
    assert!(matches!(&print.picks, picks::Picks::One(pattern) if pattern.as_str() == "p012*"));
    assert_eq!((print.turn, print.crop, print.testprint, print.batch), (false, asked::Crop::Theirs, true, Some(1)));
    assert_eq!(print.ground, Some(asked::Ground::White));

    let asked = &print.asked;
    let paper = &asked.paper;
    assert_eq!((paper.stock, paper.surface, paper.process), (Stock::Coated, Surface::Matte, Process::Offset));
    assert!(paper.profile.as_ref().unwrap().ends_with("tests/briefs/profiles/press.icc"));
    assert_eq!((paper.black_d, paper.white_l), (1.9, 94.0));
    assert_eq!(paper.ink_limit, Some(crate::units::Share::percent(300)));
    assert_eq!(asked.file.formats, ["tiff", "jpeg"]);
    assert_eq!((asked.file.depth.as_slice(), asked.file.jpeg_quality), ([8, 16].as_slice(), 90));
    assert_eq!(asked.file.largest, Some(120_000_000));
    assert_eq!(asked.file.name.pattern.as_deref(), Some(r"[a-z0-9\-]+"));
    assert_eq!(asked.file.credit, ["creator", "copyright"]);
    assert_eq!(asked.file.location, asked::LocationAsked::None);
    assert_eq!(asked.density.wanted, Ppi::whole(300));
    assert_eq!(asked.density.least, Ppi::whole(200));
    assert_eq!((asked.density.basis, asked.density.ruling_lpi), (asked::Basis::Number, Some(150.0)));
    assert_eq!(asked.margins.folds, [Length::from_mm(105)]);
    assert_eq!((asked.margins.border, asked.margins.depth), (Length::from_um(25_400), Length::from_mm(38)));
    assert_eq!(asked.levels["density.least"], asked::Level::Must);
    assert_eq!(asked.levels["tone.shadows"], asked::Level::Note);
    assert_eq!(asked.levels["size.shape"], asked::Level::Off);
    assert!(!brief.asked.levels.contains_key("size.shape"));
    assert_eq!(asked.handover.rename.as_deref(), Some("{page}-{name}"));
}

#[test]
fn an_even_page_has_its_spine_on_the_right() {
    let brief = long();
    let (left_hand, right_hand) = (&brief.prints[0].asked.margins, &brief.prints[1].asked.margins);
    let mm = Length::from_mm;
    assert_eq!(left_hand.bleed.each(), [mm(3), Length::ZERO, mm(3), mm(3)]);
    assert_eq!(right_hand.bleed.each(), [mm(3), mm(3), mm(3), Length::ZERO]);
    assert_eq!(left_hand.safe, asked::Sides::all(mm(5)));
}

#[test]
fn every_value_says_where_it_comes_from() {
    let brief = long();
    let of = |print: usize, path: &str| brief.prints[print].origins.of(path);
    assert_eq!(of(0, "density.least"), Origin::Print(81));
    assert_eq!(of(1, "density.least"), Origin::Brief(36));
    assert_eq!(of(0, "print.size"), Origin::Print(73));
    assert_eq!(of(1, "print.copies"), Origin::Default);
    assert_eq!(of(1, "print.turn"), Origin::Paper);
    assert_eq!(of(0, "rules.size.shape"), Origin::Print(83));
    assert_eq!(brief.origins.of("title"), Origin::Brief(1));
}
