//! Workbooks read back, and those that are made to cost their reader.

use super::testing::{archive, ods, rows, xlsx, xlsx_with};
use super::*;
use crate::brief::list_table::CellContent;

fn contents(bytes: &[u8]) -> Vec<(usize, Vec<CellContent>)> {
    let (_, rows) = sheet(bytes, None).unwrap();
    rows.into_iter().map(|row| (row.number, row.cells.into_iter().map(|cell| cell.content).collect())).collect()
}

fn refused(bytes: &[u8]) -> ListFault {
    sheet(bytes, None).map(|(name, _)| name).unwrap_err()
}

fn text(text: &str) -> CellContent {
    CellContent::Text(text.to_owned())
}

#[test]
fn xlsx_cells_hold_what_is_stored() {
    let cells = "<sheetData><row r=\"3\">\
        <c r=\"A3\" t=\"s\"><v>1</v></c><c t=\"str\"><f>A1&amp;\"x\"</f><v>p1&amp;2</v></c><c><v>12.0</v></c>\
        <c s=\"1\"><v>46369</v></c><c t=\"b\"><v>1</v></c>\
        <c t=\"e\"><v>#REF!</v></c><c><f>1+1</f></c><c><f>1+1</f><v/></c>\
        <c t=\"inlineStr\"><is><r><t>plum </t></r><r><t>tart</t></r><rPh><t>x</t></rPh></is></c>\
        <c t=\"str\"><f>IF(1,\"\")</f><v></v></c><c><f>0</f><v>0</v></c></row></sheetData>";
    let more = [
        ("xl/sharedStrings.xml", "<sst><si><t>zero</t></si><si><t>o</t><rPh><t>y</t></rPh><t>ne</t></si></sst>"),
        ("xl/styles.xml", "<styleSheet><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"16\"/></cellXfs></styleSheet>"),
    ];
    let expected = |zero: CellContent| {
        let day = CellContent::Date("2026-12-13".to_owned());
        let failed = CellContent::Failed("#REF!".to_owned());
        let none = CellContent::NotCalculated;
        let row = vec![
            text("one"),
            text("p1&2"),
            text("12"),
            day,
            text("true"),
            failed,
            none.clone(),
            none,
            text("plum tart"),
            text(""),
            zero,
        ];
        vec![(3, row)]
    };
    assert_eq!(contents(&xlsx_with(&[("a", cells)], "", &more)), expected(text("0")));
    let to_calculate = "<calcPr fullCalcOnLoad=\"1\"/>";
    assert_eq!(contents(&xlsx_with(&[("a", cells)], to_calculate, &more)), expected(CellContent::NotCalculated));
}

#[test]
fn ods_cells_hold_what_is_stored_and_repeat() {
    let cells = "<table:table-row table:number-rows-repeated=\"2\">\
        <table:table-cell table:number-columns-repeated=\"1024\"/>\
        </table:table-row><table:table-row table:number-rows-repeated=\"2\">\
        <table:table-cell office:value-type=\"string\"><text:p>plum<text:s text:c=\"3\"/>tart\
        <office:annotation><text:p>hot</text:p></office:annotation></text:p></table:table-cell>\
        <table:table-cell office:value-type=\"float\" office:value=\"12\" table:number-columns-repeated=\"2\">\
        <text:p>012</text:p></table:table-cell>\
        <table:covered-table-cell><text:p>below</text:p></table:covered-table-cell>\
        <table:table-cell office:value-type=\"date\" office:date-value=\"2026-12-13T00:00:00\">\
        <text:p>13 Dec</text:p></table:table-cell>\
        <table:table-cell table:formula=\"of:=1+1\"/>\
        <table:table-cell table:formula=\"of:=[.Z9]\" office:value-type=\"string\" calcext:value-type=\"error\">\
        <text:p>#REF!</text:p></table:table-cell>\
        <table:table-cell table:number-columns-repeated=\"16000\"/></table:table-row>\
        <table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell/></table:table-row>";
    let day = CellContent::Date("2026-12-13".to_owned());
    let failed = CellContent::Failed("#REF!".to_owned());
    let row = vec![text("plum tart"), text("012"), text("012"), text(""), day, CellContent::NotCalculated, failed];
    assert_eq!(contents(&ods(&[("a", cells)])), [(3, row.clone()), (4, row)]);
}

#[test]
fn the_sheet_with_the_headings_is_the_list() {
    let list = rows(&[["Plates", ""], ["File", "Size"], ["p1*", "A4"]]);
    let other = rows(&[["Budget", "2026"], ["Paper", "3"]]);
    let of = |sheets: &[(&str, &str)], wanted| sheet(&xlsx(sheets), wanted).map(|(name, _)| name);
    assert_eq!(of(&[("Budget", &other), ("Pages", &list)], None).unwrap(), "Pages");
    assert_eq!(of(&[("One", &list), ("Two", &list)], Some("two ")).unwrap(), "Two");
    let several = of(&[("One", &list), ("Two", &list)], None).unwrap_err();
    assert_eq!(several.what, "several sheets of the workbook look like picture lists: \"One\", \"Two\"");
    let absent = of(&[("Plates", &list), ("Budget", &other)], Some("Plate")).unwrap_err();
    assert_eq!(
        (absent.what.as_str(), absent.fix.as_str()),
        ("the workbook has no sheet \"Plate\", but \"Plates\", \"Budget\"", "prints_sheet = \"Plates\"")
    );
    assert_eq!(of(&[("Budget", &other)], None).unwrap(), "Budget", "its headings are then what is wrong");
    assert!(of(&[("One", "<sheetData/>")], None).unwrap_err().what.contains("empty or hidden"));
    let in_ods = |text: &str| {
        format!(
            "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>\
        <table:table-cell office:value-type=\"string\"><text:p>size</text:p></table:table-cell></table:table-row>"
        )
    };
    let book = ods(&[("Budget", &in_ods("x")), ("Pages", &in_ods("file"))]);
    assert_eq!(sheet(&book, None).unwrap().0, "Pages");
}

#[test]
fn what_is_no_workbook_is_refused_in_words() {
    assert!(refused(b"PK\x03\x04 and nothing").what.contains("not a sound workbook"));
    assert!(refused(&archive(&[("Index/Document.iwa", "x")])).what.contains("no XLSX or ODS workbook"));
    let mut cut = xlsx(&[("a", &rows(&[["File", "Size"]]))]);
    cut.truncate(cut.len() / 2);
    assert!(refused(&cut).what.contains("not a sound workbook"));
    let whole = xlsx(&[("a", &rows(&[["File", "Size"], ["p1*", "A4"]]))]);
    for at in 0..whole.len() {
        let mut bytes = whole.clone();
        bytes[at] ^= 0x55;
        // Any answer will do that is one.
        drop(sheet(&bytes, None));
    }
}

#[test]
fn workbooks_that_are_made_to_cost_are_refused() {
    let head = "<c t=\"inlineStr\"><is><t>File</t></is></c><c t=\"inlineStr\"><is><t>Size</t></is></c>";
    let cell = "<row><c><v>1</v></c></row>";
    let million = format!("<sheetData><row>{head}</row>{}</sheetData>", cell.repeat(1_000_000));
    assert!(refused(&xlsx(&[("a", &million)])).what.contains("more than 20000 rows"));
    let blank = format!(
        "<sheetData><row>{head}</row>{}</sheetData>",
        format!("<row>{}</row>", " ".repeat(900_000)).repeat(200)
    );
    assert!(refused(&xlsx(&[("a", &blank)])).what.contains("unpacks to more than 160 MB"));
    let long =
        format!("<sheetData><row><c t=\"inlineStr\"><is><t>{}</t></is></c></row></sheetData>", "x".repeat(2_000_000));
    assert!(refused(&xlsx(&[("a", &long)])).what.contains("one cell to more"));
    let shared = format!("<sst uniqueCount=\"18446744073709551615\"><si><t>{}</t></si></sst>", "x".repeat(900_000));
    let many =
        format!("<sheetData><row>{head}</row>{}</sheetData>", "<row><c t=\"s\"><v>0</v></c></row>".repeat(10_000));
    let bomb = xlsx_with(&[("a", &many)], "", &[("xl/sharedStrings.xml", &shared)]);
    assert!(refused(&bomb).what.contains("more text than"));
    let far = "<sheetData><row><c r=\"XFD1\"><v>1</v></c></row></sheetData>";
    assert!(refused(&xlsx(&[("a", far)])).what.contains("beyond column 256"));
    let wide = "<table:table-row table:number-rows-repeated=\"4000000000\">\
        <table:table-cell office:value-type=\"string\" table:number-columns-repeated=\"4000000000\">\
        <text:p>a<text:s text:c=\"4000000000\"/>b</text:p></table:table-cell></table:table-row>";
    assert!(refused(&ods(&[("a", wide)])).what.contains("beyond column 256"));
    let tall = wide.replacen("number-columns-repeated", "x", 1);
    assert!(refused(&ods(&[("a", &tall)])).what.contains("more than 20000 rows"));
    let sheets = "<table:table table:name=\"a\"></table:table>".repeat(300);
    let book = archive(&[("content.xml", &format!("<a>{sheets}</a>"))]);
    assert!(refused(&book).what.contains("more than 200 sheets"));
}
