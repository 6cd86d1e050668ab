//! A check as a table for spreadsheets: one line per row, its findings in columns by level.

use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::brief::{BriefFinding, Print};
use crate::judge::{Finding, Row};
use crate::picture::PictureKey;
use crate::reading::check_report::CheckReport;
use crate::units::{show, words};

/// The columns.
const COLUMNS: [&str; 21] = [
    "picture",
    "print",
    "page",
    "copies",
    "state",
    "format",
    "width_px",
    "height_px",
    "needed_width_px",
    "needed_height_px",
    "effective_ppi",
    "profile",
    "must",
    "should",
    "note",
    "fix",
    "accepted",
    "test_print",
    "not_checked",
    "remark",
    "sha256",
];

/// Most pictures in one cell of a finding on the order: as many as a person still reads, far below a cell's limit.
const CELL_PICTURES: usize = 12;
/// Separator of two findings in one cell.
pub const BETWEEN: &str = " | ";

/// The column of the version, which an order without versions does not have; it stands before this one.
const VERSION: (&str, &str) = ("version", "page");

/// Writes the check as CSV (RFC 4180, UTF-8), ending with one line for each finding on the order as a whole and on the
/// brief.
pub fn write(report: &CheckReport) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let at = COLUMNS.iter().position(|column| *column == VERSION.1).filter(|_| !report.brief.order_versions.is_empty());
    let mut line = |cells: &[String], version: &str| {
        let mut cells = cells.to_vec();
        at.into_iter().for_each(|at| cells.insert(at, text(version)));
        writer.write_record(&cells).expect("every line has the same columns, in memory");
    };
    line(&COLUMNS.map(str::to_owned), VERSION.0);
    let prints = report.prints();
    for row in &report.rows {
        line(&row_cells(prints.get(row.key.print.as_ref()), row), row.version.as_deref().unwrap_or_default());
    }
    for finding in &report.order_findings {
        line(&order_cells(finding.level, &finding.pictures, (&what(finding), &one_line(&finding.fix))), "");
    }
    for BriefFinding { key, level, problem } in &report.brief.findings {
        line(&order_cells(*level, &[], (&format!("{key}: {}", problem.what), &problem.fix)), "");
    }
    writer.into_inner().expect("memory takes every write")
}

fn row_cells(print: Option<&Print>, row: &Row) -> [String; COLUMNS.len()] {
    let facts = row.facts.as_deref();
    let number = |number: Option<u32>| number.map(|number| number.to_string()).unwrap_or_default();
    let needed = print.zip(row.placement.as_ref()).map(|(print, on)| on.needed_px(print.requirements.density.target));
    let level = |level: Level| join(&row.findings, |one| one.level == level, what);
    let accepted: Vec<String> =
        row.accepted.iter().map(|one| format!("{}, {}", what(&one.finding), one.acceptance.words())).collect();
    let not_checked: Vec<String> =
        row.not_checked.iter().map(|one| format!("{}: {}", one.rule.id, one.reason)).collect();
    [
        text(row.key.picture.as_ref().map_or("", |picture| picture.as_str())),
        text(&row.print_name),
        row.page.map(|page| page.to_string()).unwrap_or_default(),
        number(row.key.print.as_ref().map(|_| row.copies)),
        row.state.word().to_owned(),
        facts.map(|facts| facts.format.word().to_owned()).unwrap_or_default(),
        number(facts.map(|facts| facts.width_px)),
        number(facts.map(|facts| facts.height_px)),
        number(needed.map(|needed| needed.0)),
        number(needed.map(|needed| needed.1)),
        row.metrics.effective_ppi.map(|ppi| format!("{ppi:.1}")).unwrap_or_default(),
        facts.map(|facts| text(&crate::report::facts::profile(facts))).unwrap_or_default(),
        level(Level::Must),
        level(Level::Should),
        level(Level::Note),
        join(&row.findings, |one| one.level > Level::Note, |one| one_line(&one.fix)),
        text(&accepted.join(BETWEEN)),
        text(&row.test_print.words().unwrap_or_default()),
        text(&not_checked.join(BETWEEN)),
        text(&row.remarks().collect::<Vec<_>>().join("; ")),
        row.sha256.clone().unwrap_or_default(),
    ]
}

/// Returns a line about the order as a whole or its brief: the pictures, ORDER as the state, and the finding in its
/// level's column.
fn order_cells(level: Level, of: &[PictureKey], (what, fix): (&str, &str)) -> [String; COLUMNS.len()] {
    COLUMNS.map(|column| match column {
        "picture" => text(&pictures(of)),
        "state" => "ORDER".to_owned(),
        "fix" => text(fix),
        column if column == level.word() => text(what),
        _ => String::new(),
    })
}

/// Lists pictures in one cell: the first few, and how many more there are.
fn pictures(pictures: &[PictureKey]) -> String {
    let mut cell: Vec<String> = pictures.iter().take(CELL_PICTURES).map(|one| one.as_str().to_owned()).collect();
    if pictures.len() > CELL_PICTURES {
        cell.push(show::count(pictures.len() - CELL_PICTURES, "more", "more"));
    }
    cell.join(BETWEEN)
}

/// Joins actions that stand one a line.
fn one_line(fix: &str) -> String {
    fix.lines().collect::<Vec<_>>().join("; ")
}

fn what(finding: &Finding) -> String {
    format!("{}: {}", finding.rule.id, finding.found)
}

fn join(findings: &[Arc<Finding>], of: impl Fn(&Finding) -> bool, part: impl Fn(&Finding) -> String) -> String {
    text(&findings.iter().filter(|one| of(one)).map(|one| part(one)).collect::<Vec<_>>().join(BETWEEN))
}

/// Returns a cell that no spreadsheet takes for a formula: text that begins like one gets an apostrophe before it.
pub fn text(text: &str) -> String {
    let text = words::visible(text);
    if text.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']) {
        format!("'{text}")
    } else {
        text.into_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    fn read() -> Vec<csv::StringRecord> {
        let bytes = write(&sample::report());
        csv::ReaderBuilder::new().has_headers(false).from_reader(&bytes[..]).records().map(Result::unwrap).collect()
    }

    #[test]
    fn there_is_a_line_for_every_row_and_every_finding_about_the_order() {
        let lines = read();
        assert_eq!(lines.len(), 1 + 5 + 1);
        assert_eq!(
            lines[1].iter().take(6).collect::<Vec<_>>(),
            ["p012-plum-tart.jpg", "p012 plum tart", "12", "1", "FIX", "jpeg"]
        );
        assert_eq!(&lines[1][12], "density.minimum: 214 ppi at 210 x 260 mm; at least 240 ppi required");
        assert_eq!((&lines[4][0], &lines[4][4]), ("", "MISSING"));
        assert_eq!(
            (&lines[6][4], &lines[6][13]),
            ("ORDER", "set.mixed: 214 ppi at 210 x 260 mm; at least 240 ppi required")
        );
    }

    #[test]
    fn no_cell_is_a_formula_or_moves_the_cursor() {
        let lines = read();
        assert_eq!(&lines[5][0], "'=evil().jpg");
        assert_eq!(&lines[2][0], "p014-broth\\u{1b}c.jpg");
        assert_eq!((text("-1"), text(" @x"), text("a=b")), ("'-1".into(), "' @x".into(), "a=b".into()));
    }
}
