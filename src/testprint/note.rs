//! Documents beside the test sheets: a note of what to look for on each strip, and a record of positions.

use serde_json::{Value, json};

use super::sheet::{BY_EYE, DrawnSheet, TestSheet, for_the_lab};
use crate::units::show;

/// File name of the note.
pub const NOTE: &str = "NOTE.txt";
/// File name of the record.
pub const RECORD: &str = "test-sheets.json";

/// Pictures on no sheet with the reasons, and how to record what was seen.
#[derive(Clone, Debug, Default)]
pub struct SheetsSummary {
    /// Pictures that need a test print but are on no sheet; foreign text is escaped.
    pub left: Vec<String>,
    /// The command that records what was seen; foreign text is escaped.
    pub record: String,
}

/// Writes the note: how to print, then sheet by sheet what to look for.
pub fn text(sheets: &[(String, TestSheet)], ending: &SheetsSummary) -> String {
    let mut lines = vec!["Test prints: what to look for".to_owned()];
    // All sheets have one paper size.
    lines.extend(sheets.first().map(|(_, sheet)| for_the_lab(sheet.onto)));
    lines.extend([
        "Order each sheet on the paper that it names. If its ruler does not measure 100 mm, the sheet was resized."
            .to_owned(),
        "The wedge runs from L* 0 (black) to 100 (paper white). Find the step below which all is one black: darker \
         detail in a picture is lost. No step should look coloured."
            .to_owned(),
        "Look in daylight, or in the light where the prints will hang, from the distance at which they will be seen."
            .to_owned(),
        BY_EYE.to_owned(),
    ]);
    for (file, sheet) in sheets {
        lines.push(String::new());
        lines.push(format!(
            "{file}: {}, {}, {}, {}",
            sheet.paper,
            sheet.onto.show(),
            show::ppi(sheet.ppi),
            sheet.space
        ));
        for (at, piece) in sheet.pieces.iter().enumerate() {
            lines.push(format!("  {}  {}", at + 1, piece.caption));
            lines.push(format!("     why: {}", piece.reasons));
            if piece.strips.is_empty() {
                lines.push(format!("     {}", piece.scale_words()));
            }
            for (strip, shown) in piece.strips.iter().enumerate() {
                let (place, mark) = (&shown.place, TestSheet::mark(at, strip));
                let words = format!("{}, {}: {}", place.risk.word(), place.whereabouts, place.risk.look_for());
                lines.push(format!("     {mark} {words}"));
            }
        }
    }
    if !ending.left.is_empty() {
        lines.push(String::new());
        lines.push("On no sheet:".to_owned());
        lines.extend(ending.left.iter().map(|words| format!("  {words}")));
    }
    lines.push(String::new());
    lines.push("When you have looked:".to_owned());
    lines.push(format!("  {}", ending.record));
    lines.join("\n") + "\n"
}

/// Writes the record for programs: positions of strips, wedge and ruler on each sheet, in pixels.
pub fn record(sheets: &[(String, TestSheet, DrawnSheet)]) -> Vec<u8> {
    let sheets: Vec<Value> = sheets.iter().map(|(file, sheet, drawn)| of_sheet(file, sheet, drawn)).collect();
    crate::report::json::text(&json!({ "version": 1, "sheets": sheets }))
}

fn of_sheet(file: &str, sheet: &TestSheet, drawn: &DrawnSheet) -> Value {
    let strips: Vec<Value> = drawn
        .strips
        .iter()
        .map(|(piece, number, corner)| {
            let strip = &sheet.pieces[*piece].strips[*number];
            json!({
                "mark": TestSheet::mark(*piece, *number),
                "picture": sheet.pieces[*piece].caption,
                "risk": strip.place.risk.word(),
                "print_ppi": sheet.pieces[*piece].ppi.as_f64(),
                "on_sheet_px": [corner.0, corner.1, strip.pixels.width, strip.pixels.height],
                "in_picture_px": [strip.at_px.0, strip.at_px.1, strip.pixels.width, strip.pixels.height],
            })
        })
        .collect();
    let wedge: Vec<Value> =
        drawn.wedge.iter().map(|(light, area)| json!({ "lightness": light, "on_sheet_px": area })).collect();
    json!({
        "file": file,
        "onto": sheet.onto.show(),
        "ppi": sheet.ppi.as_f64(),
        "space": sheet.space,
        "strips": strips,
        "wedge": wedge,
        "ruler_100_mm_px": [drawn.ruler.0, drawn.ruler.1],
    })
}
