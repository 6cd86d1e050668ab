//! Which pictures a handover sends, under which names, and why it may not be made at all.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::PathBuf;

use crate::brief::Print;
use crate::judge::{Row, RowState};
use crate::picture::PictureKey;
use crate::report::{Report, Strictness};
use crate::units::show;
use crate::units::words::visible;

use super::names;

/// Pictures that a reason names. Own choice: more are read by nobody.
const MOST_NAMED: usize = 8;

/// What a person wants sent.
#[derive(Clone, Debug, Default)]
pub struct DeliverySelection {
    /// Only prints of this batch.
    pub batch: Option<u32>,
    /// Only these pictures; all where there is none.
    pub only: Vec<PictureKey>,
    /// Warnings are not sent either.
    pub strict: bool,
}

/// A file of the folder: where it lies and whether its name is UTF-8.
pub type ListedFiles = HashMap<PictureKey, (PathBuf, bool)>;

/// One picture that is sent.
#[derive(Clone, Debug)]
pub struct DeliveredPicture {
    /// What it is called in the handover.
    pub name: String,
    /// What it is called in the folder.
    pub picture: PictureKey,
    /// Where it lies.
    pub path: PathBuf,
    /// SHA-256 of the bytes that were judged.
    pub sha256: String,
    /// Its rows: places in the report.
    pub rows: Vec<usize>,
}

/// A handover before anything is written.
#[derive(Clone, Debug)]
pub struct DeliveryPlan {
    /// What is sent, in the order of the brief.
    pub sent: Vec<DeliveredPicture>,
    /// Pictures that no print wants: never sent.
    pub extra: Vec<PictureKey>,
}

/// Why no handover is made: each reason in words; may hold foreign text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal(pub Vec<String>);

/// What is sent.
///
/// # Errors
/// Something to be sent is to be mended or missing, or has no sound name of its own.
pub fn plan(report: &Report, files: &ListedFiles, wanted: &DeliverySelection) -> Result<DeliveryPlan, Refusal> {
    let prints = report.prints();
    let print_of = |row: &Row| prints.get(row.key.print.as_ref());
    let only: HashSet<&PictureKey> = wanted.only.iter().collect();
    let with_prints = report.rows.iter().enumerate().filter_map(|(at, row)| Some((at, row, print_of(row)?)));
    let rows: Vec<_> = with_prints.filter(|(_, row, print)| is_wanted(row, print, wanted.batch, &only)).collect();
    let mut together: BTreeMap<_, Vec<&Row>> = BTreeMap::new();
    for (_, row, _) in &rows {
        told(row).into_iter().for_each(|told| together.entry(told).or_default().push(row));
    }
    // Half an order is never sent unasked.
    let strictness = Strictness { strict: wanted.strict, complete: true };
    let (mut reasons, mut sent): (Vec<String>, Vec<DeliveredPicture>) = Default::default();
    let mut places: HashMap<(String, PictureKey), usize> = HashMap::new();
    for (at, row, print) in rows {
        let one = [row];
        let alike = told(row).and_then(|told| together.get(&told)).map_or(one.as_slice(), Vec::as_slice);
        match strictness.counts_row(row.state) {
            // Said once, with the first of them.
            true if !std::ptr::eq(alike[0], row) => {}
            true => reasons.push(why_not(row, alike)),
            false => match sent_of(files, row, print, at) {
                Ok(one) => {
                    let place = *places.entry((one.name.clone(), one.picture.clone())).or_insert(sent.len());
                    match sent.get_mut(place) {
                        Some(other) => other.rows.push(at),
                        None => sent.push(one),
                    }
                }
                Err(why) => reasons.push(why),
            },
        }
    }
    let of_order = report.order_findings.iter().map(|one| (one.level, &one.what, &one.mend));
    let of_brief = report.brief.remarks.iter().map(|one| (one.level, &one.problem.what, &one.problem.remedy));
    let counted = of_order.chain(of_brief).filter(|(level, ..)| strictness.counts_finding(*level));
    reasons.extend(counted.map(|(_, what, mend)| format!("the order: {}; {}", visible(what), visible(mend))));
    reasons.extend(alike(&sent));
    let there: HashSet<&PictureKey> = report.rows.iter().filter_map(|row| row.key.picture.as_ref()).collect();
    let unmatched = wanted.only.iter().filter(|key| !there.contains(key));
    reasons.extend(unmatched.map(|key| format!("{key}: there is no such picture in the folder")));
    if sent.is_empty() && reasons.is_empty() {
        reasons.push("there is nothing to send".to_owned());
    }
    let extra = report.rows.iter().filter(|row| row.state == RowState::Extra);
    let extra = extra.filter_map(|row| row.key.picture.clone()).collect();
    if reasons.is_empty() { Ok(DeliveryPlan { sent, extra }) } else { Err(Refusal(reasons)) }
}

fn is_wanted(row: &Row, print: &Print, batch: Option<u32>, only: &HashSet<&PictureKey>) -> bool {
    let of_batch = batch.is_none_or(|batch| print.batch == Some(batch));
    let named = only.is_empty() || row.key.picture.as_ref().is_some_and(|picture| only.contains(picture));
    of_batch && named
}

/// What rows are told together by: their state, and the first finding of theirs if it is about several pictures.
fn told(row: &Row) -> Option<(RowState, [&str; 3], &[PictureKey])> {
    let finding = row.findings.first().filter(|finding| finding.pictures.len() > 1)?;
    Some((row.state, [finding.rule.id, &finding.about, &finding.what], &finding.pictures))
}

/// Why a row is not sent, with the names of those of which that is said, a few of many.
fn why_not(row: &Row, alike: &[&Row]) -> String {
    let name_of = |row: &Row| {
        row.key.picture.as_ref().map_or_else(|| visible(&row.print_name).into_owned(), PictureKey::to_string)
    };
    let mut names: Vec<String> = alike.iter().take(MOST_NAMED).map(|row| name_of(row)).collect();
    names.dedup();
    if alike.len() > MOST_NAMED {
        names.push(show::count(alike.len() - MOST_NAMED, "more", "more"));
    }
    let name = names.join(", ");
    let first = row.findings.first().map(|finding| format!(": {}", visible(&finding.what))).unwrap_or_default();
    match row.state {
        RowState::Missing => format!("MISSING {name}: no picture is for this print"),
        RowState::Arriving | RowState::Checking => format!("{name}: it is not checked yet"),
        RowState::Pass | RowState::Warn | RowState::Fix | RowState::Extra => {
            format!("{} {name}{first}", row.state.word())
        }
    }
}

fn sent_of(files: &ListedFiles, row: &Row, print: &Print, at: usize) -> Result<DeliveredPicture, String> {
    let found = row.key.picture.as_ref().zip(row.sha256.as_ref());
    let Some((picture, sha256)) = found else { return Err("a row without its picture".to_owned()) };
    let Some((path, is_utf8)) = files.get(picture) else { return Err(format!("{picture}: it is gone")) };
    let name = names::of(row, print, picture, *is_utf8).map_err(|why| format!("{picture}: {why}"))?;
    Ok(DeliveredPicture { name, picture: picture.clone(), path: path.clone(), sha256: sha256.clone(), rows: vec![at] })
}

/// Two pictures that some system would lay over each other.
fn alike(sent: &[DeliveredPicture]) -> Vec<String> {
    let mut seen: HashMap<String, &DeliveredPicture> = HashMap::new();
    let mut reasons = Vec::new();
    for one in sent {
        match seen.get(&names::folded(&one.name)) {
            Some(other) => reasons.push(format!(
                "{} and {} would both be called {}",
                other.picture,
                one.picture,
                visible(&one.name)
            )),
            None => drop(seen.insert(names::folded(&one.name), one)),
        }
    }
    reasons
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::RowKey;
    use crate::report::sample;
    use crate::report::sample::files;
    use crate::units::growth::grows_less_than_square;

    fn sound() -> Report {
        let mut report = sample::report();
        report.order_findings.clear();
        report.rows.retain(|row| matches!(row.state, RowState::Pass | RowState::Warn | RowState::Extra));
        report
    }

    #[test]
    fn what_must_be_mended_or_is_missing_is_refused_with_its_name() {
        let report = sample::report();
        let Err(Refusal(reasons)) = plan(&report, &files(&report), &DeliverySelection::default()) else {
            panic!("it must not go")
        };
        assert!(reasons.iter().any(|why| why.starts_with("FIX ")), "{reasons:?}");
        assert!(reasons.iter().any(|why| why.starts_with("MISSING ")), "{reasons:?}");
    }

    #[test]
    fn a_finding_about_two_pictures_is_said_once_and_never_hidden_by_a_row_that_is_not_asked_for() {
        let mut report = sample::report();
        let mut rows: Vec<Row> = report.rows.iter().filter(|row| row.state == RowState::Fix).take(1).cloned().collect();
        rows[0].findings.truncate(1);
        rows.push(rows[0].clone());
        for (row, name) in rows.iter_mut().zip(["a.jpg", "b.jpg"]) {
            row.key.picture = Some(PictureKey::from_text(name));
            std::sync::Arc::make_mut(&mut row.findings[0]).pictures =
                ["a.jpg", "b.jpg"].map(PictureKey::from_text).to_vec();
        }
        (report.rows, report.order_findings) = (rows, Vec::new());
        let said = |only: &[&str]| {
            let only = only.iter().map(|name| PictureKey::from_text(name)).collect();
            plan(&report, &files(&report), &DeliverySelection { only, ..DeliverySelection::default() }).unwrap_err().0
        };
        assert!(said(&[]).len() == 1 && said(&[])[0].starts_with("FIX a.jpg, b.jpg: "), "{:?}", said(&[]));
        assert_eq!((said(&["a.jpg"]).len(), said(&["b.jpg"]).len()), (1, 1));
    }

    #[test]
    fn of_many_rows_that_are_told_together_a_few_are_named() {
        let mut report = sample::report();
        let mut row = report.rows.iter().find(|row| row.state == RowState::Fix).unwrap().clone();
        let pictures = ["0.jpg", "1.jpg"].map(PictureKey::from_text).to_vec();
        std::sync::Arc::make_mut(&mut row.findings[0]).pictures = pictures;
        let named = |number: usize| {
            let key = RowKey { picture: Some(PictureKey::from_text(&format!("{number}.jpg"))), ..row.key.clone() };
            Row { key, ..row.clone() }
        };
        (report.rows, report.order_findings) = ((0..20).map(named).collect(), Vec::new());
        let reasons = plan(&report, &files(&report), &DeliverySelection::default()).unwrap_err().0;
        assert!(reasons.len() == 1 && reasons[0].starts_with("FIX 0.jpg, 1.jpg, "), "{reasons:?}");
        assert!(reasons[0].contains("7.jpg, 12 more: "), "{reasons:?}");
    }

    #[test]
    fn warnings_go_unless_they_must_not_and_extras_never_go() {
        let report = sound();
        let plan_of =
            |strict| plan(&report, &files(&report), &DeliverySelection { strict, ..DeliverySelection::default() });
        let sent = plan_of(false).unwrap();
        let warn = report.rows.iter().filter(|row| row.state == RowState::Warn).count();
        assert!(warn > 0 && !sent.extra.is_empty());
        assert_eq!(sent.sent.iter().map(|one| one.rows.len()).sum::<usize>(), report.rows.len() - sent.extra.len());
        assert_eq!(plan_of(true).unwrap_err().0.len(), warn);
    }

    #[test]
    fn a_picture_that_is_not_there_and_a_batch_without_prints_send_nothing() {
        let report = sound();
        let of = |wanted: DeliverySelection| plan(&report, &files(&report), &wanted).unwrap_err().0;
        let only = vec![PictureKey::from_text("nobody.jpg")];
        assert!(of(DeliverySelection { only, ..DeliverySelection::default() })[0].contains("no such picture"));
        assert_eq!(
            of(DeliverySelection { batch: Some(9), ..DeliverySelection::default() }),
            ["there is nothing to send"]
        );
    }

    #[test]
    fn pictures_that_are_named_one_by_one_cost_the_same_however_many_there_are() {
        let wanted = |count: usize| {
            let report = sample::many(count);
            let only = report.rows.iter().filter_map(|row| row.key.picture.clone()).collect();
            (report, DeliverySelection { only, batch: Some(9), ..DeliverySelection::default() })
        };
        grows_less_than_square(1_000, wanted, |(report, wanted): (Report, DeliverySelection)| {
            assert_eq!(plan(&report, &ListedFiles::new(), &wanted).unwrap_err().0, ["there is nothing to send"]);
        });
    }
}
