//! The lists of a delivery: checksums, the editor's list, the lab's orders, and the record for programs.

use std::collections::HashMap;

use sha2::{Digest, Sha256};

use crate::brief::Print;
use crate::brief::requirements::{Edge, Sides};
use crate::judge::Row;
use crate::reading::check_report::CheckReport;
use crate::report::csv::{BETWEEN, text};
use crate::units::{Length, LengthUnit, show};

use super::contents::PICTURES;
use super::numbering::DeliveryNumber;
use super::ordered::{copies, edge_name, exception, exceptions_to_tell, orders_of, paper, size};
use super::placing::{bleed_finding, has_no_bleed};
use super::plan::{DeliveryPlan, PlannedPicture};
use super::record::{Record, RecordedPicture};
use super::repeated::RepeatedOrders;
use super::since::{Comparison, PictureChange};
use super::terms::terms;

/// Version of the record.
const VERSION: u32 = 1;

/// Writes `SHA256SUMS`: pictures by their known checksums and documents by their bytes, in the order of their names.
/// Source: the format of coreutils' sha256sum.
pub fn sums(sent: &[&PlannedPicture], documents: &[(&str, Vec<u8>)]) -> Vec<u8> {
    let mut lines: Vec<(String, String)> =
        sent.iter().map(|one| (format!("{PICTURES}/{}", one.name), one.sha256.clone())).collect();
    lines.extend(documents.iter().map(|(name, bytes)| ((*name).to_owned(), digest(bytes))));
    lines.sort();
    let line = |(name, digest): (String, String)| {
        // A name with a line break or a backslash is escaped, and its line begins with a backslash.
        let escaped = name.replace('\\', "\\\\").replace('\n', "\\n").replace('\r', "\\r");
        format!("{}{digest}  {escaped}\n", if escaped == name { "" } else { "\\" })
    };
    lines.into_iter().map(line).collect::<String>().into_bytes()
}

pub(super) fn digest(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}

/// Writes `pictures.csv`: the editor's list, one line per picture and print.
pub fn pictures(report: &CheckReport, sent: &[&PlannedPicture]) -> Vec<u8> {
    let prints = report.prints();
    let mut columns = vec![
        "page",
        "print",
        "finished_size",
        "bleed_in_file_mm",
        "file",
        "caption",
        "credit",
        "rights",
        "ppi",
        "space",
        "exceptions",
        "sha256_first_12",
    ];
    columns.extend(has_versions(report).then_some(ORDER_VERSION.0));
    table(
        &columns,
        rows(report, sent).map(|(one, row)| {
            let print = prints.get(row.key.print.as_ref());
            let facts = row.facts.as_deref();
            let credit = |field: fn(&crate::picture::facts::Credits) -> &crate::picture::facts::MetadataText| {
                text(facts.and_then(|facts| field(&facts.credits).text()).unwrap_or_default())
            };
            let caption = print.and_then(|print| print.caption.as_deref()).map(text);
            let mut line = vec![
                row.page.map(|page| page.to_string()).unwrap_or_default(),
                text(&row.print_name),
                size(row),
                print.map(|print| bleed_in_file_mm(row, print)).unwrap_or_default(),
                text(&one.name),
                caption.unwrap_or_else(|| credit(|credits| &credits.caption)),
                print
                    .and_then(|print| print.credit.as_deref())
                    .map_or_else(|| credit(|credits| &credits.creator), text),
                credit(|credits| &credits.copyright),
                ppi(row),
                text(&facts.map(crate::report::facts::profile).unwrap_or_default()),
                exceptions(row),
                one.sha256[..12.min(one.sha256.len())].to_owned(),
            ];
            line.extend(has_versions(report).then(|| version_name(row)));
            line
        }),
    )
}

/// A column of `orders.csv`: its heading, and what it says of a print.
type OrderColumn = (&'static str, fn(&OrderLine) -> String);

/// A line of `orders.csv`.
struct OrderLine<'a> {
    sent: &'a PlannedPicture,
    row: &'a Row,
    print: &'a Print,
    /// The copies that were ordered before and that those of now replace; `None` for an order that is new.
    before: Option<Option<u32>>,
    /// True if the delivery repeats earlier ones.
    repeats: bool,
}

/// The columns of a lab's order. Lengths are in millimetres; what nobody ordered is empty.
const ORDER_COLUMNS: [OrderColumn; 13] = [
    ("file", |one| text(&one.sent.name)),
    ("print", |one| text(&one.row.print_name)),
    ("finished_size", |one| size(one.row)),
    ("bleed_in_file_mm", |one| bleed_in_file_mm(one.row, one.print)),
    ("border_mm", |one| border_mm(one.print)),
    ("bar_mm", |one| bar_mm(one.print)),
    ("bar_sides", |one| bar_sides(one.print).to_owned()),
    ("folds_from_left_mm", |one| folds_mm(one.print)),
    ("copies", |one| copies(one.row, one.print).map(|copies| copies.to_string()).unwrap_or_default()),
    (COPIES_BEFORE.0, COPIES_BEFORE.1),
    ("paper", |one| paper(one.print)),
    ("edge", |one| edge_name(one.print).to_owned()),
    ("exceptions", |one| exceptions(one.row)),
];
/// The column that only a delivery after another has.
const COPIES_BEFORE: OrderColumn = ("copies_before", |one| {
    let before = one.before.flatten().filter(|_| copies(one.row, one.print).is_some());
    before.map(|copies| copies.to_string()).unwrap_or_default()
});
/// The last column of an order that has versions.
const ORDER_VERSION: OrderColumn = ("version", |one| version_name(one.row));
/// The first column of a delivery that repeats another: what is not to be printed a second time.
const ALREADY_ORDERED: OrderColumn = ("already_ordered", |one| match (one.repeats, one.before) {
    (true, Some(_)) => "yes, in an earlier delivery; do not print it again".to_owned(),
    (true, None) => "no: new or changed, see the note".to_owned(),
    (false, _) => String::new(),
});

/// Writes `orders.csv`: the lab's orders, one line per print. After an earlier delivery it has a column more: the
/// copies ordered before, which those of now replace; empty for a print that is new. Where the delivery repeats
/// others, the first column says so.
pub fn orders(
    report: &CheckReport,
    sent: &[&PlannedPicture],
    comparison: Option<&Comparison>,
    repeats: Option<&RepeatedOrders>,
) -> Vec<u8> {
    let prints = report.prints();
    let is_first = comparison.is_none() && repeats.is_none();
    let of_order = ORDER_COLUMNS.into_iter().filter(|column| !is_first || column.0 != COPIES_BEFORE.0);
    let columns = repeats.map(|_| ALREADY_ORDERED).into_iter().chain(of_order);
    let columns: Vec<OrderColumn> = columns.chain(has_versions(report).then_some(ORDER_VERSION)).collect();
    let mut seen: HashMap<(String, String), usize> = HashMap::new();
    let mut line = |one: &PlannedPicture, at: usize| {
        let row = &report.rows[at];
        let print = prints.get(row.key.print.as_ref())?;
        // The words that an order has, and its place among equal ones, tell it from others of the same picture.
        let words = orders_of(report, &prints, &[at]).pop().map(|order| order.words).unwrap_or_default();
        let count = seen.entry((one.name.clone(), words.clone())).or_default();
        let nth = std::mem::replace(count, *count + 1);
        let before = match (comparison, repeats) {
            (Some(comparison), _) => comparison.ordered_before(one).get(&words).copied(),
            (None, Some(repeats)) => repeats.ordered_before(&one.name, &words, nth),
            (None, None) => None,
        };
        let line = OrderLine { sent: one, row, print, before, repeats: repeats.is_some() };
        Some(columns.iter().map(|(_, of)| of(&line)).collect())
    };
    let of_rows = sent.iter().flat_map(|one| one.rows.iter().map(move |at| (*one, *at)));
    let lines: Vec<Vec<String>> = of_rows.filter_map(|(one, at)| line(one, at)).collect();
    table(&columns.iter().map(|(heading, _)| *heading).collect::<Vec<_>>(), lines.into_iter())
}

fn rows<'a>(
    report: &'a CheckReport,
    sent: &'a [&'a PlannedPicture],
) -> impl Iterator<Item = (&'a PlannedPicture, &'a Row)> {
    sent.iter().flat_map(|one| one.rows.iter().map(|at| (*one, &report.rows[*at])))
}

fn ppi(row: &Row) -> String {
    row.placement.as_ref().and_then(|one| one.fit).map(|fit| show::ppi(fit.density)).unwrap_or_default()
}

/// Returns the bleed that a file has, in millimetres: one number, or four where the sides differ; empty where it has
/// another than its print or where that is unknown, and for a print that is not trimmed.
fn bleed_in_file_mm(row: &Row, print: &Print) -> String {
    let Some(placement) = row.placement.as_ref().filter(|_| print.requirements.margins.edge == Edge::Bleed) else {
        return String::new();
    };
    match bleed_finding(row) {
        Some(finding) if has_no_bleed(finding) => millimetres(Length::ZERO),
        Some(_) => String::new(),
        None => sides_mm(&placement.bleed()),
    }
}

/// Formats a length in millimetres, without its unit.
fn millimetres(length: Length) -> String {
    show::length_bare(length, LengthUnit::Millimetre)
}

/// Formats the lengths of four sides in millimetres: one number, or four where they differ.
fn sides_mm(lengths: &Sides) -> String {
    if !lengths.differ() {
        return millimetres(lengths.top);
    }
    let sides = ["top", "right", "bottom", "left"].into_iter().zip(lengths.each());
    sides.map(|(side, length)| format!("{side} {}", millimetres(length))).collect::<Vec<String>>().join(", ")
}

/// Returns the width of a print's white border in millimetres; empty where nobody said it, and for any other edge.
fn border_mm(print: &Print) -> String {
    let margins = &print.requirements.margins;
    let is_said = margins.edge == Edge::Border && !print.origins.of("margins.border").is_open();
    if is_said { sides_mm(&margins.border) } else { String::new() }
}

/// Returns the depth of the bar that a print is wrapped round, in millimetres; empty where nobody said it, and for any
/// other edge.
fn bar_mm(print: &Print) -> String {
    let margins = &print.requirements.margins;
    let is_said = margins.edge == Edge::Wrap && !print.origins.of("margins.wrap").is_open();
    if is_said { millimetres(margins.wrap) } else { String::new() }
}

/// Returns what goes round the sides of the bar; empty where nobody said it, and for any other edge.
fn bar_sides(print: &Print) -> &'static str {
    let margins = &print.requirements.margins;
    let is_said = margins.edge == Edge::Wrap && !print.origins.of("margins.sides").is_open();
    if is_said { margins.sides.word() } else { "" }
}

/// Returns where a print is folded, in millimetres from the left edge of its finished size; empty without a fold.
fn folds_mm(print: &Print) -> String {
    print.requirements.margins.folds.iter().map(|fold| millimetres(*fold)).collect::<Vec<String>>().join(", ")
}

/// Says of every accepted finding that the printer must know of who accepted it, who allowed it, and why.
fn exceptions(row: &Row) -> String {
    text(&exceptions_to_tell(row).map(exception).collect::<Vec<String>>().join(BETWEEN))
}

/// True if the order has versions: the last column of a list then names that of each line.
fn has_versions(report: &CheckReport) -> bool {
    !report.brief.order_versions.is_empty()
}

fn version_name(row: &Row) -> String {
    text(row.version.as_deref().unwrap_or_default())
}

fn table(columns: &[&str], lines: impl Iterator<Item = Vec<String>>) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(columns).expect("memory takes every write");
    lines.for_each(|line| writer.write_record(line).expect("every line has the same columns, in memory"));
    writer.into_inner().expect("memory takes every write")
}

/// Returns every picture that the printer holds of this order once a plan was delivered.
pub(super) fn recorded_pictures(
    report: &CheckReport,
    plan: &DeliveryPlan,
    comparison: Option<&Comparison>,
) -> Vec<RecordedPicture> {
    let prints = report.prints();
    let picture = |one: &PlannedPicture| {
        let change = comparison.map_or(PictureChange::New, |comparison| comparison.change(one));
        let rows = one.rows.iter().map(|at| &report.rows[*at]);
        let mut orders = orders_of(report, &prints, &one.rows);
        orders.extend(comparison.map(|comparison| comparison.unchanged_orders(one).to_vec()).unwrap_or_default());
        orders.sort();
        RecordedPicture {
            name: one.name.clone(),
            picture: one.picture.as_str().to_owned(),
            order_version: rows.clone().find_map(|row| row.version.as_deref()).map(str::to_owned),
            sha256: one.sha256.clone(),
            sent: change != PictureChange::Unchanged,
            renamed: if let PictureChange::Renamed(old) = &change { Some(old.clone()) } else { None },
            replaces: if let PictureChange::Replaces { sha256, .. } = change { Some(sha256) } else { None },
            prints: orders.iter().map(|order| order.print.clone()).collect(),
            parts: orders.iter().map(|order| order.parts.clone()).collect(),
            ordered: Some(orders.into_iter().map(|order| order.words).collect()),
            state: rows.clone().map(|row| row.state).min().map_or("", crate::judge::RowState::word).to_owned(),
            accepted: rows.map(|row| row.accepted.len()).sum(),
        }
    };
    let left_out = comparison.map(|comparison| comparison.left_out.as_slice()).unwrap_or_default();
    plan.pictures.iter().map(picture).chain(left_out.iter().cloned()).collect()
}

/// Writes `delivery.json`: everything that the printer now holds of this order, as far as this delivery knows.
pub fn record(
    report: &CheckReport,
    plan: &DeliveryPlan,
    comparison: Option<&Comparison>,
    number: &DeliveryNumber,
) -> Vec<u8> {
    crate::report::json::text(&Record {
        plateside: VERSION,
        version: env!("CARGO_PKG_VERSION").to_owned(),
        made: report.made.clone(),
        number: number.number,
        terms: Some(terms(&report.brief)),
        brief_sha256: report.brief.sha256.clone(),
        repeats: number.repeats.clone(),
        pictures: recorded_pictures(report, plan, comparison),
        withdrawn: comparison.map(|one| one.withdrawn.clone()).unwrap_or_default(),
        not_sent: plan.extra.iter().map(|key| key.as_str().to_owned()).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::PathBuf;

    use crate::brief::requirements::Level;
    use crate::judge::testing::print;
    use crate::picture::PictureKey;
    use crate::report::sample;
    use crate::units::words;

    #[test]
    fn checksums_are_written_as_coreutils_reads_them() {
        let sent = |name: &str| PlannedPicture {
            name: name.to_owned(),
            picture: PictureKey::from_text(name),
            path: PathBuf::from(name),
            sha256: "ab".repeat(32),
            rows: vec![],
        };
        let (odd, plain) = (sent("a\\b\n.jpg"), sent("a b.jpg"));
        let text = String::from_utf8(sums(&[&odd, &plain], &[("NOTE.txt", b"abc".to_vec())])).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        // Source: FIPS 180-4's example of SHA-256: "abc".
        assert_eq!(lines[0], "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  NOTE.txt");
        assert_eq!(lines[1], format!("{}  pictures/a b.jpg", "ab".repeat(32)));
        assert_eq!(lines[2], format!("\\{}  pictures/a\\\\b\\n.jpg", "ab".repeat(32)));
    }

    #[test]
    fn the_bleed_of_a_file_is_one_number_or_four_and_none_where_it_is_not_known() {
        let report = sample::report();
        let prints = report.prints();
        let mut row = report.rows[2].clone();
        let print = prints.get(row.key.print.as_ref()).unwrap();
        assert_eq!(bleed_in_file_mm(&row, print), "3");
        let placement = row.placement.as_mut().map(std::sync::Arc::make_mut).unwrap();
        placement.outset.left = Length::ZERO;
        assert_eq!(bleed_in_file_mm(&row, print), "top 3, right 3, bottom 3, left 0");
        let mut finding = sample::finding("margins.bleed", Level::Must, &[]);
        finding.measured = Some(0.0);
        row.findings = vec![finding.clone().into()];
        assert_eq!(bleed_in_file_mm(&row, print), "0");
        finding.about = "unknown".to_owned();
        row.findings = vec![finding.into()];
        assert_eq!(bleed_in_file_mm(&row, print), "");
    }

    #[test]
    fn borders_bars_and_folds_have_columns_where_somebody_said_them() {
        let of = |keys: &str| {
            let print = print(&format!("[paper]\nstock = \"coated\"\n[[print]]\nsize = \"8 x 10 in\"\n{keys}"));
            [border_mm(&print), bar_mm(&print), bar_sides(&print).to_owned(), folds_mm(&print)]
        };
        assert_eq!(of("margins.edge = \"border\"\nmargins.border = \"10 mm\""), ["10", "", "", ""]);
        let bar = "margins.edge = \"wrap\"\nmargins.wrap = \"20 mm\"\nmargins.sides = \"mirrored\"";
        assert_eq!(of(bar), ["", "20", "mirrored", ""]);
        assert_eq!(of("margins.folds = [\"74 mm\", \"120 mm\"]"), ["", "", "", "74, 120"]);
        // A width or a depth that nobody said is no order.
        assert_eq!(of("margins.edge = \"border\""), [""; 4]);
        assert_eq!(of("margins.edge = \"wrap\""), [""; 4]);
    }

    #[test]
    fn names_in_the_record_are_true_once_read_and_safe_as_text() {
        let name = "gpj.\u{202e}\u{1b}[2J\u{7f}\u{9b}\u{e0041}x";
        let plan =
            DeliveryPlan { pictures: Vec::new(), left_out: Vec::new(), extra: vec![PictureKey::from_text(name)] };
        let text = String::from_utf8(record(&sample::report(), &plan, None, &DeliveryNumber::default())).unwrap();
        assert!(text.chars().all(|c| c == '\n' || !words::acts_on_line(c)), "{text:?}");
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["not_sent"][0], name);
    }
}
