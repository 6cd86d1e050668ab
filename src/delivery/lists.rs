//! The lists of a delivery: checksums, the editor's list, the lab's orders, and the record for programs.

use sha2::{Digest, Sha256};

use crate::judge::Row;
use crate::report::Report;
use crate::report::csv::{BETWEEN, text};
use crate::units::{LengthUnit, show};

use super::contents::PICTURES;
use super::ordered::{ordered, paper_name, size};
use super::plan::{DeliveredPicture, DeliveryPlan};
use super::record::{Record, RecordedPicture};
use super::since::{Comparison, PictureChange};
use super::terms::OrderTerms;

/// Version of the record.
const VERSION: u32 = 1;

/// Writes `SHA256SUMS`: pictures by their known checksums and documents by their bytes, in the order of their names.
/// Source: the format of coreutils' sha256sum.
pub fn sums(sent: &[&DeliveredPicture], documents: &[(&str, Vec<u8>)]) -> Vec<u8> {
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

fn digest(bytes: &[u8]) -> String {
    format!("{:x}", Sha256::digest(bytes))
}

/// Writes `pictures.csv`: the editor's list, one line per picture and print.
pub fn pictures(report: &Report, sent: &[&DeliveredPicture]) -> Vec<u8> {
    let prints = report.prints();
    let columns = [
        "page",
        "print",
        "size",
        "bleed_mm",
        "file",
        "caption",
        "credit",
        "rights",
        "ppi",
        "space",
        "accepted",
        "sha256_first_12",
    ];
    table(
        columns,
        rows(report, sent).map(|(one, row)| {
            let print = prints.get(row.key.print.as_ref());
            let facts = row.facts.as_deref();
            let credit = |field: fn(&crate::picture::facts::Credits) -> &crate::picture::facts::Field| {
                text(facts.and_then(|facts| field(&facts.credits).text()).unwrap_or_default())
            };
            let caption = print.and_then(|print| print.caption.as_deref()).map(text);
            [
                row.page.map(|page| page.to_string()).unwrap_or_default(),
                text(&row.print_name),
                size(row),
                bleed_mm(row),
                text(&one.name),
                caption.unwrap_or_else(|| credit(|credits| &credits.caption)),
                print
                    .and_then(|print| print.credit.as_deref())
                    .map_or_else(|| credit(|credits| &credits.creator), text),
                credit(|credits| &credits.copyright),
                ppi(row),
                text(&facts.map(crate::report::facts::profile).unwrap_or_default()),
                accepted(row),
                one.sha256[..12.min(one.sha256.len())].to_owned(),
            ]
        }),
    )
}

/// Writes `orders.csv`: the lab's orders, one line per print.
pub fn orders(report: &Report, sent: &[&DeliveredPicture]) -> Vec<u8> {
    let prints = report.prints();
    let columns = ["file", "print", "size", "bleed_mm", "copies", "paper", "edge", "accepted"];
    table(
        columns,
        rows(report, sent).filter_map(|(one, row)| {
            let print = prints.get(row.key.print.as_ref())?;
            Some([
                text(&one.name),
                text(&row.print_name),
                size(row),
                bleed_mm(row),
                row.copies.to_string(),
                paper_name(print),
                print.requirements.margins.edge.word().to_owned(),
                accepted(row),
            ])
        }),
    )
}

fn rows<'a>(
    report: &'a Report,
    sent: &'a [&'a DeliveredPicture],
) -> impl Iterator<Item = (&'a DeliveredPicture, &'a Row)> {
    sent.iter().flat_map(|one| one.rows.iter().map(|at| (*one, &report.rows[*at])))
}

fn ppi(row: &Row) -> String {
    row.placement.as_ref().and_then(|one| one.fit).map(|fit| show::ppi(fit.density)).unwrap_or_default()
}

/// Returns the bleed of a print, in millimetres: one number, or four where the sides differ.
fn bleed_mm(row: &Row) -> String {
    let Some(bleed) = row.placement.as_ref().map(|placement| placement.bleed()) else { return String::new() };
    let bare = |length| show::length_bare(length, LengthUnit::Millimetre);
    if !bleed.differ() {
        return bare(bleed.top);
    }
    let sides = ["top", "right", "bottom", "left"].into_iter().zip(bleed.each());
    sides.map(|(side, length)| format!("{side} {}", bare(length))).collect::<Vec<String>>().join(", ")
}

/// Says of every accepted finding who accepted it, who allowed it, and why.
fn accepted(row: &Row) -> String {
    let words = row.accepted.iter().map(|one| format!("{}, accepted {}", one.finding.found, one.acceptance.words()));
    text(&words.collect::<Vec<String>>().join(BETWEEN))
}

fn table<const N: usize>(columns: [&str; N], lines: impl Iterator<Item = [String; N]>) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(columns).expect("memory takes every write");
    lines.for_each(|line| writer.write_record(line).expect("every line has the same columns, in memory"));
    writer.into_inner().expect("memory takes every write")
}

/// Writes `delivery.json`: everything that the printer now holds of this order.
pub fn record(report: &Report, plan: &DeliveryPlan, earlier: Option<&Comparison>) -> Vec<u8> {
    let prints = report.prints();
    let picture = |one: &DeliveredPicture| {
        let change = earlier.map_or(PictureChange::New, |earlier| earlier.change(one));
        let rows = one.rows.iter().map(|at| &report.rows[*at]);
        let mut orders = ordered(report, &prints, &one.rows);
        orders.extend(earlier.map(|earlier| earlier.stays(one).to_vec()).unwrap_or_default());
        orders.sort();
        RecordedPicture {
            name: one.name.clone(),
            picture: one.picture.as_str().to_owned(),
            sha256: one.sha256.clone(),
            sent: change != PictureChange::Unchanged,
            renamed: if let PictureChange::Renamed(old) = &change { Some(old.clone()) } else { None },
            replaces: if let PictureChange::Replaces(old) = change { Some(old) } else { None },
            prints: orders.iter().map(|order| order.print.clone()).collect(),
            parts: orders.iter().map(|order| order.parts.clone()).collect(),
            ordered: Some(orders.into_iter().map(|order| order.words).collect()),
            state: rows.clone().map(|row| row.state).min().map_or("", crate::judge::RowState::word).to_owned(),
            accepted: rows.map(|row| row.accepted.len()).sum(),
        }
    };
    let left_out = earlier.map(|earlier| earlier.left_out.as_slice()).unwrap_or_default();
    crate::report::json::text(&Record {
        plateside: VERSION,
        version: env!("CARGO_PKG_VERSION").to_owned(),
        made: report.made.clone(),
        terms: Some(OrderTerms::of(&report.brief)),
        brief_sha256: report.brief.sha256.clone(),
        pictures: plan.sent.iter().map(picture).chain(left_out.iter().cloned()).collect(),
        withdrawn: earlier.map(|one| one.withdrawn.clone()).unwrap_or_default(),
        not_sent: plan.extra.iter().map(|key| key.as_str().to_owned()).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::PathBuf;

    use crate::picture::PictureKey;
    use crate::report::sample;
    use crate::units::words;

    #[test]
    fn checksums_are_written_as_coreutils_reads_them() {
        let sent = |name: &str| DeliveredPicture {
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
    fn the_bleed_is_one_number_or_four() {
        let mut row = sample::report().rows.swap_remove(2);
        assert_eq!(bleed_mm(&row), "3");
        let placement = row.placement.as_mut().map(std::sync::Arc::make_mut).unwrap();
        placement.outset.left = crate::units::Length::ZERO;
        assert_eq!(bleed_mm(&row), "top 3, right 3, bottom 3, left 0");
    }

    #[test]
    fn names_in_the_record_are_true_once_read_and_safe_as_text() {
        let name = "gpj.\u{202e}\u{1b}[2J\u{7f}\u{9b}\u{e0041}x";
        let plan = DeliveryPlan { sent: Vec::new(), left_out: Vec::new(), extra: vec![PictureKey::from_text(name)] };
        let text = String::from_utf8(record(&sample::report(), &plan, None)).unwrap();
        assert!(text.chars().all(|c| c == '\n' || !words::acts_on_line(c)), "{text:?}");
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["not_sent"][0], name);
    }
}
