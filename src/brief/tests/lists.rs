//! Picture lists as designers send them: what their rows become.

use std::path::Path;

use super::parsed;
use crate::brief::requirements::{Level, Stock};
use crate::brief::workbook::testing::{rows, xlsx, xlsx_with};
use crate::brief::{Brief, Pages, Problem, parse};
use crate::units::Length;

fn of_csv(list: &str) -> Result<Brief, Vec<Problem>> {
    parse("prints = \"pages.csv\"\n", Path::new("a.toml"), Some((Path::new("pages.csv"), list.as_bytes())), &[])
}

fn of_workbook(list: &[u8]) -> Result<Brief, Vec<Problem>> {
    parse("prints = \"pages.xlsx\"\n", Path::new("a.toml"), Some((Path::new("pages.xlsx"), list)), &[])
}

fn said(problems: Vec<Problem>) -> Vec<(String, String)> {
    problems.into_iter().map(|problem| (problem.place_in("pages.xlsx"), problem.what)).collect()
}

#[test]
fn a_spread_is_one_picture_or_two_halves() {
    let list = "page,name,file,size\n\"pp. 12–13\",board,p012*,420 x 260 mm\n\
                14-15,tart,left* + right*,420 x 260 mm\n16/17,,a*;b*,A3\n";
    let brief = of_csv(list).unwrap();
    let shown: Vec<(String, String, String)> =
        brief.prints.iter().map(|print| (print.page.unwrap().words(), print.name.clone(), print.size.show())).collect();
    let of = |page: &str, name: &str, size: &str| (page.to_owned(), name.to_owned(), size.to_owned());
    assert_eq!(
        shown,
        [
            of("pages 12-13", "board", "420 x 260 mm"),
            of("page 14", "tart, left", "210 x 260 mm"),
            of("page 15", "tart, right", "210 x 260 mm"),
            of("page 16", "a", "148.5 x 420 mm"),
            of("page 17", "b", "148.5 x 420 mm"),
        ]
    );
    let groups: Vec<_> = brief.prints.iter().map(|print| print.group.as_deref()).collect();
    let (tart, last) = (Some("spread 14-15"), Some("spread 16-17"));
    assert_eq!(groups, [None, tart, tart, last, last]);
    assert_eq!(brief.prints[0].requirements.margins.folds, [Length::from_mm(210)]);
    let twice = of_csv("page,file,size\n14-15,a* + b*,A3\n14-15,c* + d*,A4\n").unwrap();
    assert_eq!(twice.prints[3].group.as_deref(), Some("spread 14-15, row 3"));
    let brief =
        parsed("[[print]]\npage = \"12-13\"\nsize = \"A3 landscape\"\n[[print]]\npage = 14\nsize = \"A4\"\n").unwrap();
    assert_eq!(brief.prints[0].page, Some(Pages { first: 12, last: 13 }));
    let wrong =
        of_csv("page,file,size\n13-14,a*,A3\n12-15,b*,A3\n13-Dec,c*,A3\ncover,d*,A3\n12-13,e*;f*;g*,A3\n").unwrap_err();
    let what: Vec<String> = wrong.into_iter().map(|problem| problem.what).collect();
    assert_eq!(
        what,
        [
            "column page: pages 13 and 14 do not face each other: a spread begins on an even page",
            "column page: \"12-15\" is more than a spread of two facing pages",
            "column page: \"13-Dec\" is a date, not a page: spreadsheets make dates of pages such as 12-13",
            "column page: cover is not a whole number from 1 to 99999",
            "column picture: a spread has one picture or two halves, not 3",
        ]
    );
}

#[test]
fn a_spread_has_outer_edges_on_both_sides() {
    let bleed = "[margins]\nbleed = { outer = \"3 mm\", spine = \"1 mm\" }\n[[print]]\n\
                 page = \"12-13\"\nsize = \"A3 landscape\"\n";
    let sides = parsed(bleed).unwrap().prints[0].requirements.margins.bleed;
    assert_eq!((sides.left, sides.right), (Length::from_mm(3), Length::from_mm(3)));
}

#[test]
fn a_title_a_band_and_blank_rows_are_no_prints() {
    let sheet = rows(&[
        ["Low Water Suppers", "", "", ""],
        ["", "", "", ""],
        ["Page", "Dish", "FILE", "Size (mm)"],
        ["Fish", "", "", ""],
        ["12", "Plum\u{a0}tart", "p012*", "210 x 260"],
        ["", "", "", ""],
        ["14", "", "p014*", "20,3 x 26 cm"],
        ["15", "Leeks", "p015*", ""],
    ]);
    let merged = format!("{sheet}<mergeCells><mergeCell ref=\"A4:D4\"/><mergeCell ref=\"D7:D8\"/></mergeCells>");
    let brief = of_workbook(&xlsx(&[("Plates", &merged)])).unwrap_or_else(|problems| panic!("{problems:#?}"));
    let shown: Vec<(&str, String)> =
        brief.prints.iter().map(|print| (print.name.as_str(), print.size.show())).collect();
    let of = |name, size: &str| (name, size.to_owned());
    assert_eq!(shown, [of("Plum tart", "210 x 260 mm"), of("p014", "20.3 x 26 cm"), of("Leeks", "20.3 x 26 cm")]);
    assert_eq!(brief.list_sheet.as_deref(), Some("Plates"));
    assert_eq!(brief.prints[1].origins.of("print.size").place(), "picture list, line 7");
}

#[test]
fn what_is_wrong_in_a_workbook_is_named_by_its_cell() {
    let sheet = "<sheetData><row r=\"2\"><c r=\"B2\" t=\"str\"><v>file</v></c><c r=\"C2\" t=\"str\"><v>size</v></c>\
        <c r=\"E2\" t=\"str\"><v>copies</v></c></row>\
        <row r=\"4\"><c r=\"B4\"><f>A1</f></c><c r=\"C4\" t=\"str\"><v>A4</v></c><c r=\"E4\"><v>0.5</v></c></row>\
        <row r=\"9\"><c r=\"B9\" t=\"str\"><v>p1*</v></c><c r=\"C9\" t=\"e\"><v>#N/A</v></c></row></sheetData>";
    let of = |cell: &str, what: &str| (format!("pages.xlsx, sheet Plates, cell {cell}"), what.to_owned());
    assert_eq!(
        said(of_workbook(&xlsx(&[("Plates", sheet)])).unwrap_err()),
        [
            of("B4", "column picture: the cell holds a formula without its value, and no formula is calculated here"),
            of("E4", "column copies: 0.5 is not a whole number from 1 to 99999"),
            of("C9", "column size: the cell holds the error #N/A"),
        ]
    );
}

#[test]
fn days_in_columns_that_count_are_named_and_others_are_passed_over() {
    let sheet = "<sheetData><row r=\"1\"><c t=\"str\"><v>page</v></c><c t=\"str\"><v>file</v></c>\
        <c t=\"str\"><v>size</v></c>\
        <c t=\"str\"><v>Shot on</v></c><c t=\"str\"><v>Total</v></c></row>\
        <row r=\"2\"><c s=\"1\"><v>46369</v></c><c t=\"str\"><v>p1*</v></c><c t=\"str\"><v>A4</v></c>\
        <c s=\"1\"><v>46369</v></c><c><f>SUM(A1)</f></c></row></sheetData>";
    let styles = "<styleSheet><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"16\"/></cellXfs></styleSheet>";
    let book = |sheet: &str| xlsx_with(&[("Plates", sheet)], "", &[("xl/styles.xml", styles)]);
    let problems = said(of_workbook(&book(sheet)).unwrap_err());
    assert_eq!(problems.len(), 1);
    assert!(problems[0].1.contains("\"2026-12-13\" is a date"), "{problems:?}");
    let brief = of_workbook(&book(&sheet.replacen("<c s=\"1\"><v>46369</v></c>", "<c><v>12</v></c>", 1))).unwrap();
    let remark = &brief.findings[0];
    assert_eq!(remark.problem.what, "columns of the picture list that are passed over: \"Shot on\" (D), \"Total\" (E)");
    assert_eq!((remark.level, remark.problem.place().as_str()), (Level::Note, "sheet Plates, cell D1"));
}

#[test]
fn a_column_that_belongs_in_the_brief_is_named_by_itself() {
    let brief = of_csv("picture,size,space,paper,status\np1*,A4,sRGB,matte,ok\n").unwrap();
    let said: Vec<(Level, &str)> =
        brief.findings.iter().map(|remark| (remark.level, remark.problem.fix.as_str())).collect();
    assert_eq!(
        said[..2],
        [
            (Level::Should, "write it in the brief below [colour]"),
            (Level::Should, "write it in the brief below [paper]")
        ]
    );
    assert_eq!(brief.findings[2].problem.what, "columns of the picture list that are passed over: \"status\"");
}

#[test]
fn hidden_rows_count_and_are_named() {
    let sheet =
        rows(&[["file", "size"], ["a*", "A4"], ["b*", "A4"]]).replace("<row r=\"3\">", "<row r=\"3\" hidden=\"1\">");
    let brief = of_workbook(&xlsx(&[("Plates", &sheet)])).unwrap();
    assert_eq!((brief.prints.len(), brief.findings[0].problem.line), (2, 3));
    assert_eq!(brief.findings[0].problem.what, "row 3 is hidden in the sheet and counted all the same");
}

#[test]
fn width_and_height_make_a_size_and_agree_with_it() {
    let brief = of_csv("file;W (cm);H (cm)\na*;20,3;25.4\n").unwrap();
    assert_eq!(brief.prints[0].size.show(), "20.3 x 25.4 cm");
    let both =
        of_csv("file,size,width (mm),height (mm)\na*,A4,210,297\nb*,,210,260\nc*,A4,210,260\nd*,,210,\n").unwrap_err();
    let what: Vec<String> = both.into_iter().map(|problem| format!("{}: {}", problem.line, problem.what)).collect();
    assert_eq!(what, ["4: the size is 210 x 297 mm, but width and height are 210 x 260 mm", "5: column size is empty"]);
}

#[test]
fn the_sheet_of_a_workbook_may_be_named() {
    let sheet = rows(&[["file", "size"], ["a*", "A4"]]);
    let book = xlsx(&[("Covers", &sheet), ("Plates", &sheet)]);
    let named = |line: &str| {
        let text = format!("prints = \"pages.xlsx\"\n{line}");
        parse(&text, Path::new("a.toml"), Some((Path::new("pages.xlsx"), &book)), &[])
    };
    assert_eq!(named("prints_sheet = \"Plates\"\n").unwrap().list_sheet.as_deref(), Some("Plates"));
    let line_and_fix = |line: &str| {
        let problem = named(line).unwrap_err().swap_remove(0);
        (problem.line, problem.fix)
    };
    assert_eq!(line_and_fix(""), (1, "prints_sheet = \"Covers\" below prints, or the name of the other".to_owned()));
    assert_eq!(line_and_fix("prints_sheet = \"Plats\"\n"), (2, "prints_sheet = \"Plates\"".to_owned()));
    let alone = parsed("prints_sheet = \"Plates\"\n[[print]]\nsize = \"A4\"\n").unwrap_err();
    assert!(alone[0].what.contains("has no effect"));
}

#[test]
fn a_paper_column_names_papers_of_the_brief() {
    let brief = |list: &str| {
        let text = "prints = \"pages.csv\"\n[papers.body]\nstock = \"coated\"\n[papers.cover]\nstock = \"cotton\"\n";
        crate::brief::parse(text, Path::new("brief.toml"), Some((Path::new("pages.csv"), list.as_bytes())), &[])
    };
    let papers = brief("file,size,Paper\na*,A4,Cover\nb*,A4,body\nc*,A4,\n").unwrap();
    let named: Vec<_> = papers.prints.iter().map(|print| print.paper.as_deref()).collect();
    assert_eq!(named, [Some("cover"), Some("body"), None]);
    assert_eq!(papers.prints[0].requirements.paper.stock, Stock::Cotton);
    let wrong = brief("file,size,paper\na*,A4,gloss art\n").unwrap_err();
    assert_eq!(
        (wrong[0].what.as_str(), wrong[0].fix.as_str()),
        (
            "column paper: the brief has no paper \"gloss art\"",
            "one of body, cover; or describe it in the brief below [papers.\"gloss art\"]"
        )
    );
}

#[test]
fn a_list_without_pictures_is_told_the_column_to_add() {
    let fix = |list: &str| of_csv(list).unwrap_err().swap_remove(0).fix;
    assert_eq!(
        fix("page,title,size\n4,tart,A4\n"),
        "add a column picture with the beginning of each file's name: p004* in the row of page 4"
    );
    assert_eq!(
        fix("page,title,size\n12-13,board,A3\n"),
        "add a column picture with the beginning of each file's name: p012*, or p012* + p013* for two halves, in the \
         row of pages 12-13"
    );
    assert!(fix("title,size\ntart,A4\n").starts_with("name the columns in one row"));
}
