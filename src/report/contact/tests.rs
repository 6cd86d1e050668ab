//! The contact sheet of invented checks.

use super::*;
use crate::report::sample;
use crate::units::growth::grows_less_than_square;

/// The sheet of a check; each picture has a thumbnail of no content.
fn sheet(report: &CheckReport, grid: Grid, states: bool) -> String {
    let small =
        |row: &Row| row.key.picture.as_ref().map(|_| JpegThumbnail { bytes: vec![0xff, 0xd8], size_px: (640, 480) });
    let mut page = Vec::new();
    ContactSheets::of(report, grid, states).write(&mut page, &small).unwrap();
    String::from_utf8(page).unwrap()
}

#[test]
fn each_print_is_there_with_its_page_its_size_and_boxes_to_tick() {
    let page = sheet(&sample::report(), Grid::SIX, false);
    for words in ["<h1>Low Water Suppers</h1>", "<h2>p012 plum tart</h2>", "page 12, 210\u{a0}x\u{a0}260\u{a0}mm"] {
        assert!(page.contains(words), "{words} is missing");
    }
    // Three prints have a picture; the fourth has none yet, so that nothing can be ticked there.
    assert_eq!((page.matches("<img ").count(), page.matches("no picture yet").count()), (3, 1));
    assert_eq!((page.matches("<input ").count(), page.matches("<textarea ").count()), (9, 4));
    assert!(page.contains("page 13: no picture in this order"), "what page 12 faces is not named");
    assert!(!page.contains("evil"), "a picture that no print takes is on the sheet");
}

#[test]
fn states_are_there_only_where_they_are_wanted() {
    let report = sample::report();
    let page = sheet(&report, Grid::NINE, true);
    assert!(page.contains("FIX: 214\u{a0}ppi</p>") && page.contains(">PASS</p>"), "no states");
    let plain = sheet(&report, Grid::NINE, false);
    assert!(!plain.contains("FIX") && !plain.contains("PASS"), "states that nobody wanted");
}

#[test]
fn foreign_text_is_escaped_and_nothing_is_fetched() {
    let mut report = sample::report();
    report.rows[0].print_name = "</h2><script>alert(1)</script>\u{1b}[31m\u{202e}".to_owned();
    let page = sheet(&report, Grid::SIX, true);
    assert!(!page.contains("<script") && page.contains("&lt;script&gt;"), "a name became markup");
    assert!(!page.contains(['\u{1b}', '\u{202e}']), "a sign that cannot be seen is on the page");
    let fetched = ["http:", "https:", "url(", "@import", "<link", "srcset"];
    assert!(fetched.iter().all(|word| !page.contains(word)), "something is fetched");
    assert!(page.contains("default-src 'none'"));
}

#[test]
fn the_receipt_says_what_is_on_the_sheet_and_what_is_not() {
    let receipt = ContactReceipt { sheets: 1, pictures: 3, missing: 1, extra: 2, bytes: 200_000 };
    let lines: Vec<String> = receipt_lines(&receipt, Path::new("c.html")).iter().map(Line::text).collect();
    assert_eq!(lines[0], "1 sheet written to c.html: 3 pictures, 200 kB");
    assert!(lines[1].starts_with("1 print has no picture yet") && lines[2].starts_with("not on it: 2 pictures"));
}

#[test]
fn a_sheet_costs_by_its_pictures_and_not_by_their_square() {
    grows_less_than_square(1_000, sample::many, |report| {
        let sheets = ContactSheets::of(&report, Grid::NINE, false);
        assert_eq!(sheets.pages.iter().map(Vec::len).sum::<usize>(), report.rows.len());
    });
}
