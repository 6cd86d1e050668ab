//! Workbooks for tests, written part by part.

use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use crate::brief::list_table::cell_name;

/// Returns an archive of these parts, packed.
pub fn archive(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(*name, SimpleFileOptions::default().compression_method(zip::CompressionMethod::Deflated))
            .unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// Returns an XLSX workbook of sheets, each with its name and what is below its root.
pub fn xlsx(sheets: &[(&str, &str)]) -> Vec<u8> {
    xlsx_with(sheets, "", &[])
}

/// Returns the same, with more in the part of the workbook, and with more parts.
pub fn xlsx_with(sheets: &[(&str, &str)], in_workbook: &str, more: &[(&str, &str)]) -> Vec<u8> {
    let kinds = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let relation = |id: &str, kind: &str, target: &str| {
        format!("<Relationship Id=\"{id}\" Type=\"{kinds}/{kind}\" Target=\"{target}\"/>")
    };
    let mut names = String::new();
    let mut relations =
        relation("strings", "sharedStrings", "sharedStrings.xml") + &relation("styles", "styles", "styles.xml");
    let mut parts: Vec<(String, String)> = Vec::new();
    for (index, (name, text)) in sheets.iter().enumerate() {
        names.push_str(&format!("<sheet name=\"{name}\" sheetId=\"{index}\" r:id=\"r{index}\"/>"));
        relations.push_str(&relation(&format!("r{index}"), "worksheet", &format!("worksheets/s{index}.xml")));
        parts.push((format!("xl/worksheets/s{index}.xml"), format!("<worksheet>{text}</worksheet>")));
    }
    let of_package = relation("w", "officeDocument", "xl/workbook.xml");
    parts.push(("_rels/.rels".to_owned(), format!("<Relationships>{of_package}</Relationships>")));
    parts.push(("xl/_rels/workbook.xml.rels".to_owned(), format!("<Relationships>{relations}</Relationships>")));
    parts.push(("xl/workbook.xml".to_owned(), format!("<workbook>{in_workbook}<sheets>{names}</sheets></workbook>")));
    let parts: Vec<(&str, &str)> = parts.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    archive(&[&parts, more].concat())
}

/// Returns the cells of a sheet: words, row by row.
pub fn rows<const N: usize>(rows: &[[&str; N]]) -> String {
    let cell = |row: usize, column: usize, text: &str| {
        format!("<c r=\"{}\" t=\"inlineStr\"><is><t>{text}</t></is></c>", cell_name(row, column))
    };
    let of_row = |(at, row): (usize, &[&str; N])| {
        let cells: String = row
            .iter()
            .enumerate()
            .filter(|(_, text)| !text.is_empty())
            .map(|(column, text)| cell(at + 1, column, text))
            .collect();
        format!("<row r=\"{}\">{cells}</row>", at + 1)
    };
    format!("<sheetData>{}</sheetData>", rows.iter().enumerate().map(of_row).collect::<String>())
}

/// Returns an ODS workbook of sheets, each with its name and its rows.
pub fn ods(sheets: &[(&str, &str)]) -> Vec<u8> {
    let tables: String =
        sheets.iter().map(|(name, rows)| format!("<table:table table:name=\"{name}\">{rows}</table:table>")).collect();
    archive(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        (
            "content.xml",
            &format!(
                "<office:document-content><office:spreadsheet>{tables}</office:spreadsheet></office:document-content>"
            ),
        ),
    ])
}
