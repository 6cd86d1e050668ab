//! Picture lists in workbooks: a brief made from one, its rows, and its mistakes by their cells.

use std::fs;
use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::support::Job;

/// A workbook with two sheets: cells by row, columns from A, each with its words.
fn workbook(sheets: [(&str, &[&[&str]]); 2]) -> Vec<u8> {
    let kinds = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let relation = |id: &str, kind: &str, target: &str| {
        format!("<Relationship Id=\"{id}\" Type=\"{kinds}/{kind}\" Target=\"{target}\"/>")
    };
    let (mut names, mut relations, mut parts) = (String::new(), String::new(), Vec::new());
    for (at, (name, rows)) in sheets.into_iter().enumerate() {
        let cell = |text: &&str| match text.strip_prefix('=') {
            Some(formula) => format!("<c><f>{formula}</f></c>"),
            None => format!("<c t=\"str\"><v>{text}</v></c>"),
        };
        let row = |cells: &&[&str]| format!("<row>{}</row>", cells.iter().map(cell).collect::<String>());
        let data: String = rows.iter().map(row).collect();
        parts.push((format!("xl/{at}.xml"), format!("<worksheet><sheetData>{data}</sheetData></worksheet>")));
        names.push_str(&format!("<sheet name=\"{name}\" r:id=\"s{at}\"/>"));
        relations.push_str(&relation(&format!("s{at}"), "worksheet", &format!("{at}.xml")));
    }
    let of_package = relation("w", "officeDocument", "xl/workbook.xml");
    parts.push(("_rels/.rels".to_owned(), format!("<Relationships>{of_package}</Relationships>")));
    parts.push(("xl/_rels/workbook.xml.rels".to_owned(), format!("<Relationships>{relations}</Relationships>")));
    parts.push(("xl/workbook.xml".to_owned(), format!("<workbook><sheets>{names}</sheets></workbook>")));
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(name, SimpleFileOptions::default()).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// Puts a file beside the brief.
fn put(job: &Job, name: &str, bytes: impl AsRef<[u8]>) {
    fs::write(job.path(name), bytes).unwrap();
}

const PLATES: &[&[&str]] = &[
    &["Low Water Suppers"],
    &["Page", "Dish", "File", "Size (mm)", "Status"],
    &["12-13", "oyster board", "p012*", "50 x 30", "ok"],
    &["14", "plum tart", "p014*", "25 x 30", "late"],
];
const BUDGET: &[&[&str]] = &[&["Paper", "3"]];

#[test]
fn a_brief_is_made_from_the_designers_workbook() {
    let job = Job::new("");
    put(&job, "pages.xlsx", workbook([("Plates", PLATES), ("Budget", BUDGET)]));
    job.run("brief new --from pages.xlsx --into suppers.toml").ends(0).says(&["suppers.toml is written"]);
    let shown = job.run("brief show suppers.toml").ends(0);
    let shown =
        shown.says(&["prints_sheet", "Plates", "oyster board", "pages 12-13", "50 x 30 mm", "picture list, line 3"]);
    shown
        .says(&["pages.xlsx, sheet Plates, cell E2: columns of the picture list that are passed over: \"Status\" (E)"]);
    job.run("check suppers.toml exports").ends(0).says(&[
        "MISSING",
        "oyster board",
        "note prints (sheet Plates, cell E2)",
    ]);
}

#[test]
fn of_several_sheets_the_one_that_is_named_counts() {
    let job = Job::new("");
    put(&job, "pages.xlsx", workbook([("Pass 1", PLATES), ("Pass 2", PLATES)]));
    let refused = job.run("brief new --from pages.xlsx --into suppers.toml").ends(2);
    refused.complains(&["pages.xlsx", "several sheets", "--sheet \"Pass 1\""]);
    put(&job, "several.toml", "prints = \"pages.xlsx\"\n");
    job.run("brief show several.toml").ends(2).complains(&["several.toml:1:", "prints_sheet = \"Pass 1\""]);
    put(&job, "second.toml", "prints = \"pages.xlsx\"\nprints_sheet = \"Pass 2\"\n");
    job.run("brief show second.toml").ends(0).says(&["Pass 2 (brief, line 2)"]);
}

#[test]
fn a_mistake_in_a_workbook_is_named_by_its_cell() {
    let job = Job::new("prints = \"pages.xlsx\"\n");
    let wrong: &[&[&str]] = &[PLATES[1], &["13-14", "tart", "=A1", "50 x 30"]];
    put(&job, "pages.xlsx", workbook([("Plates", wrong), ("Budget", BUDGET)]));
    let ran = job.check("").ends(2);
    let ran =
        ran.complains(&["pages.xlsx, sheet Plates, cell A2: column page: pages 13 and 14 do not face each other"]);
    ran.complains(&["cell C2: column picture: the cell holds a formula without its value"]);
    put(&job, "pages.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1".as_slice());
    job.check("").ends(2).complains(&[
        "brief.toml:1:10",
        "of the old kind (.xls), or locked",
        "save it as XLSX or ODS",
    ]);
}
