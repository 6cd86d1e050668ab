//! The pictures that a delivery sends and their names, or why there can be no delivery: chooses rows, names their
//! pictures, then refuses or plans.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::PathBuf;

use crate::brief::{Print, PrintsById};
use crate::judge::{Row, RowState};
use crate::picture::PictureKey;
use crate::reading::check_report::CheckReport;
use crate::reading::checked::CheckedPictures;
use crate::report::Strictness;
use crate::units::show;
use crate::units::words::visible;

use super::names;

/// Most pictures that a reason lists. Own choice: nobody reads a longer list.
const MAX_NAMED: usize = 8;

/// The part of an order to send.
#[derive(Clone, Debug, Default)]
pub struct DeliverySelection {
    /// Only prints of this batch; if `None`, all.
    pub batch: Option<u32>,
    /// Only these pictures; if empty, all.
    pub only: Vec<PictureKey>,
    /// True to hold back rows with warnings too.
    pub is_strict: bool,
}

/// The folder's files by picture: each one's path, and whether its name is UTF-8.
pub type ListedFiles = HashMap<PictureKey, (PathBuf, bool)>;

/// A picture to send.
#[derive(Clone, Debug)]
pub struct PlannedPicture {
    /// The file's name in the delivery, behind the folder of its version and a `/` if it has one.
    pub name: String,
    /// The picture's name in the folder.
    pub picture: PictureKey,
    /// The path to read.
    pub path: PathBuf,
    /// SHA-256 of the bytes that were judged.
    pub sha256: String,
    /// Indices of its rows in the report.
    pub rows: Vec<usize>,
}

/// A delivery before anything is written.
#[derive(Clone, Debug)]
pub struct DeliveryPlan {
    /// The pictures to send, version by version, in the brief's order.
    pub pictures: Vec<PlannedPicture>,
    /// Pictures of the order that are not selected, as far as they have a name: the printer may have them already.
    pub left_out: Vec<PlannedPicture>,
    /// Pictures that belong to no print, which are never sent.
    pub extra: Vec<PictureKey>,
}

/// A row chosen to be sent.
#[derive(Clone, Copy, Debug)]
struct ChosenRow<'a> {
    /// The row's index in the report.
    at: usize,
    row: &'a Row,
    print: &'a Print,
}

/// Why a row is not sent, in words, with its index in the report; may hold foreign text.
type RowReason = (usize, String);

/// Returns the files of a check.
pub fn listed_files(checked: &CheckedPictures) -> ListedFiles {
    checked.files().map(|(key, file)| (key.clone(), (file.path.clone(), file.submission.name_is_utf8))).collect()
}

/// Plans a delivery.
///
/// # Errors
/// Something to be sent must be fixed or is missing, or has no valid name of its own: each reason in words, which may
/// hold foreign text.
pub fn plan(
    report: &CheckReport,
    files: &ListedFiles,
    selection: &DeliverySelection,
) -> Result<DeliveryPlan, Vec<String>> {
    // An incomplete order is sent only on request.
    let strictness = Strictness { is_strict: selection.is_strict, requires_all: true };
    let prints = report.prints();
    let (mut chosen, others) = choose(report, &prints, selection);
    // Version by version, as they are sent.
    chosen.sort_by_key(|one| {
        report.brief.order_versions.iter().position(|version| one.print.version.as_ref() == Some(version))
    });
    let (held, ready): (Vec<_>, Vec<_>) = chosen.iter().partition(|one| strictness.counts_row(one.row.state));
    let (pictures, unnamed) = name_pictures(&ready, files);
    let mut of_rows = [row_reasons(&held), unnamed].concat();
    of_rows.sort_by_key(|(at, _)| *at);
    let mut reasons: Vec<String> = of_rows.into_iter().map(|(_, reason)| reason).collect();
    reasons.extend(order_reasons(report, &pictures, selection, strictness));
    if pictures.is_empty() && reasons.is_empty() {
        reasons.push(nothing_to_send(report, selection));
    }
    if !reasons.is_empty() {
        return Err(reasons);
    }
    let (left_out, _) = name_pictures(&others.iter().collect::<Vec<_>>(), files);
    Ok(DeliveryPlan { pictures, left_out, extra: extra(report) })
}

/// Explains why a selection holds no print.
fn nothing_to_send(report: &CheckReport, selection: &DeliverySelection) -> String {
    let has = |batch: u32| report.brief.prints.iter().any(|print| print.batch == Some(batch));
    match selection.batch.filter(|batch| !has(*batch)) {
        Some(batch) => format!("no print has batch = {batch}"),
        None => "nothing to send".to_owned(),
    }
}

/// First pass: divides the rows that are for a print into selected ones and others.
fn choose<'a>(
    report: &'a CheckReport,
    prints: &PrintsById<'a>,
    selection: &DeliverySelection,
) -> (Vec<ChosenRow<'a>>, Vec<ChosenRow<'a>>) {
    let only: HashSet<&PictureKey> = selection.only.iter().collect();
    let with_print = report.rows.iter().enumerate().filter_map(|(at, row)| {
        let print = prints.get(row.key.print.as_ref())?;
        Some(ChosenRow { at, row, print })
    });
    let is_chosen = |one: &ChosenRow| {
        let of_batch = selection.batch.is_none_or(|batch| one.print.batch == Some(batch));
        let named = only.is_empty() || one.row.key.picture.as_ref().is_some_and(|picture| only.contains(picture));
        of_batch && named
    };
    with_print.partition(is_chosen)
}

/// Second pass: names each row's picture, once per picture, and collects the rows that get no name.
fn name_pictures(ready: &[&ChosenRow], files: &ListedFiles) -> (Vec<PlannedPicture>, Vec<RowReason>) {
    let (mut pictures, mut unnamed): (Vec<PlannedPicture>, Vec<RowReason>) = Default::default();
    let mut indices: HashMap<(String, PictureKey), usize> = HashMap::new();
    for chosen in ready {
        match name_picture(chosen, files) {
            Err(why) => unnamed.push((chosen.at, why)),
            Ok(picture) => {
                let index = *indices.entry((picture.name.clone(), picture.picture.clone())).or_insert(pictures.len());
                match pictures.get_mut(index) {
                    Some(same) => same.rows.push(chosen.at),
                    None => pictures.push(picture),
                }
            }
        }
    }
    (pictures, unnamed)
}

/// Names the picture of a row.
///
/// # Errors
/// The picture is missing or gone, or has no valid name: in words.
fn name_picture(chosen: &ChosenRow, files: &ListedFiles) -> Result<PlannedPicture, String> {
    let ChosenRow { at, row, print } = *chosen;
    let found = row.key.picture.as_ref().zip(row.sha256.as_ref());
    let Some((picture, sha256)) = found else { return Err("a print without its picture".to_owned()) };
    let Some((path, is_utf8)) = files.get(picture) else {
        return Err(format!("{picture}: it has gone from the folder"));
    };
    let own = names::of(row, print, picture, *is_utf8).map_err(|why| format!("{picture}: {why}"))?;
    // One folder for each version: a brief takes no name for it that is none of a folder.
    let name = match &print.version {
        Some(version) => format!("{}/{own}", version.name),
        None => own,
    };
    Ok(PlannedPicture { name, picture: picture.clone(), path: path.clone(), sha256: sha256.clone(), rows: vec![at] })
}

/// Third pass: returns the reasons to refuse that are not about single rows: findings on the order and the brief,
/// clashing names, and selected pictures that do not exist.
fn order_reasons(
    report: &CheckReport,
    pictures: &[PlannedPicture],
    selection: &DeliverySelection,
    strictness: Strictness,
) -> Vec<String> {
    let of_order = report.order_findings.iter().map(|one| (one.level, &one.found, &one.fix));
    let of_brief = report.brief.findings.iter().map(|one| (one.level, &one.problem.what, &one.problem.fix));
    let counted = of_order.chain(of_brief).filter(|(level, ..)| strictness.counts_finding(*level));
    let one_line = |text: &str| visible(&text.lines().collect::<Vec<&str>>().join("; ")).into_owned();
    let findings = counted.map(|(_, what, fix)| format!("the order: {}; {}", one_line(what), one_line(fix)));
    let in_folder: HashSet<&PictureKey> = report.rows.iter().filter_map(|row| row.key.picture.as_ref()).collect();
    let unmatched = selection.only.iter().filter(|key| !in_folder.contains(key));
    let gone = unmatched.map(|key| format!("{key}: no such picture in the folder"));
    findings.chain(name_clashes(pictures)).chain(gone).collect()
}

/// Returns the pictures that belong to no print.
fn extra(report: &CheckReport) -> Vec<PictureKey> {
    let extra = report.rows.iter().filter(|row| row.state == RowState::Extra);
    extra.filter_map(|row| row.key.picture.clone()).collect()
}

/// Explains why each of these rows is held back; a reason that several share is given once, with the first of them.
fn row_reasons(held: &[&ChosenRow]) -> Vec<RowReason> {
    let mut groups: BTreeMap<_, Vec<&ChosenRow>> = BTreeMap::new();
    let mut reasons = Vec::new();
    for one in held {
        match shared_cause(one.row) {
            Some(cause) => groups.entry(cause).or_default().push(one),
            None => reasons.push((one.at, why_not(one.row, &[one.row]))),
        }
    }
    reasons.extend(groups.into_values().map(|group| {
        let rows: Vec<&Row> = group.iter().map(|one| one.row).collect();
        (group[0].at, why_not(rows[0], &rows))
    }));
    reasons
}

/// Returns what a row shares with others: its state, and its first finding if that is about several pictures.
fn shared_cause(row: &Row) -> Option<(RowState, [&str; 3], &[PictureKey])> {
    let finding = row.findings.first().filter(|finding| finding.pictures.len() > 1)?;
    Some((row.state, [finding.rule.id, &finding.about, &finding.found], &finding.pictures))
}

/// Explains why a row is not sent, naming the rows that share the reason, at most a few of them.
fn why_not(row: &Row, alike: &[&Row]) -> String {
    let name_of = |row: &Row| {
        row.key.picture.as_ref().map_or_else(|| visible(&row.name_with_version()).into_owned(), PictureKey::to_string)
    };
    let mut names: Vec<String> = alike.iter().take(MAX_NAMED).map(|row| name_of(row)).collect();
    names.dedup();
    if alike.len() > MAX_NAMED {
        names.push(show::count(alike.len() - MAX_NAMED, "more", "more"));
    }
    let name = names.join(", ");
    let first = row.findings.first().map(|finding| format!(": {}", visible(&finding.found))).unwrap_or_default();
    match row.state {
        RowState::Missing => format!("MISSING {name}: no picture for this print"),
        RowState::Arriving | RowState::Checking => format!("{name}: not checked yet"),
        RowState::Pass | RowState::Warn | RowState::Fix | RowState::Extra => {
            format!("{} {name}{first}", row.state.word())
        }
    }
}

/// Finds pairs of pictures that some file system would write over each other.
fn name_clashes(pictures: &[PlannedPicture]) -> Vec<String> {
    let mut by_name: HashMap<String, &PlannedPicture> = HashMap::new();
    let mut reasons = Vec::new();
    for planned in pictures {
        let first = *by_name.entry(names::fold_case(&planned.name)).or_insert(planned);
        if !std::ptr::eq(first, planned) {
            let (picture, name) = (&planned.picture, visible(&planned.name));
            reasons.push(format!("{} and {picture} would both be called {name}", first.picture));
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

    fn sound() -> CheckReport {
        let mut report = sample::report();
        report.order_findings.clear();
        report.rows.retain(|row| matches!(row.state, RowState::Pass | RowState::Warn | RowState::Extra));
        report
    }

    #[test]
    fn what_must_be_fixed_or_is_missing_is_refused_with_its_name() {
        let report = sample::report();
        let Err(reasons) = plan(&report, &files(&report), &DeliverySelection::default()) else {
            panic!("it must not go")
        };
        assert!(reasons.iter().any(|why| why.starts_with("FIX ")), "{reasons:?}");
        assert!(reasons.iter().any(|why| why.starts_with("MISSING ")), "{reasons:?}");
    }

    #[test]
    fn a_finding_about_two_pictures_is_said_once_and_never_hidden_by_a_row_that_is_not_selected() {
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
            plan(&report, &files(&report), &DeliverySelection { only, ..DeliverySelection::default() }).unwrap_err()
        };
        assert!(said(&[]).len() == 1 && said(&[])[0].starts_with("FIX a.jpg, b.jpg: "), "{:?}", said(&[]));
        assert_eq!((said(&["a.jpg"]).len(), said(&["b.jpg"]).len()), (1, 1));
    }

    #[test]
    fn rows_are_chosen_by_batch_and_name_before_anything_else() {
        let report = sound();
        let prints = report.prints();
        let (all, others) = choose(&report, &prints, &DeliverySelection::default());
        assert!(others.is_empty());
        assert!(all.iter().all(|one| one.row.key.print.is_some()) && !all.is_empty());
        let picture = all[0].row.key.picture.clone().unwrap();
        let only = DeliverySelection { only: vec![picture.clone()], ..DeliverySelection::default() };
        let (chosen, others) = choose(&report, &prints, &only);
        assert!(chosen.iter().all(|one| one.row.key.picture.as_ref() == Some(&picture)));
        assert_eq!(chosen.len() + others.len(), all.len());
        assert!(choose(&report, &prints, &DeliverySelection { batch: Some(9), ..only }).0.is_empty());
    }

    #[test]
    fn a_picture_of_two_prints_is_sent_once_and_one_that_is_gone_has_no_name() {
        let report = sound();
        let prints = report.prints();
        let (chosen, _) = choose(&report, &prints, &DeliverySelection::default());
        let twice = [&chosen[0], &ChosenRow { at: 99, ..chosen[0] }];
        let (sent, unnamed) = name_pictures(&twice, &files(&report));
        assert_eq!((sent.len(), sent[0].rows.as_slice(), unnamed.len()), (1, &[chosen[0].at, 99][..], 0));
        let (sent, unnamed) = name_pictures(&twice, &ListedFiles::new());
        assert_eq!((sent.len(), unnamed.len()), (0, 2));
        assert!(unnamed[0].1.ends_with("it has gone from the folder"), "{unnamed:?}");
    }

    #[test]
    fn names_that_some_system_takes_for_one_and_pictures_that_are_not_there_are_refused() {
        let report = sound();
        let sent = |name: &str| PlannedPicture {
            name: name.to_owned(),
            picture: PictureKey::from_text(name),
            path: PathBuf::from(name),
            sha256: String::new(),
            rows: vec![0],
        };
        let only = vec![PictureKey::from_text("nobody.jpg")];
        let selection = DeliverySelection { only, ..DeliverySelection::default() };
        let reasons = order_reasons(&report, &[sent("a.jpg"), sent("A.jpg")], &selection, Strictness::default());
        assert!(
            reasons[0].contains("would both be called A.jpg") && reasons[1].contains("no such picture"),
            "{reasons:?}"
        );
    }

    #[test]
    fn of_many_rows_with_one_reason_a_few_are_named() {
        let mut report = sample::report();
        let mut row = report.rows.iter().find(|row| row.state == RowState::Fix).unwrap().clone();
        let pictures = ["0.jpg", "1.jpg"].map(PictureKey::from_text).to_vec();
        std::sync::Arc::make_mut(&mut row.findings[0]).pictures = pictures;
        let named = |number: usize| {
            let key = RowKey { picture: Some(PictureKey::from_text(&format!("{number}.jpg"))), ..row.key.clone() };
            Row { key, ..row.clone() }
        };
        (report.rows, report.order_findings) = ((0..20).map(named).collect(), Vec::new());
        let reasons = plan(&report, &files(&report), &DeliverySelection::default()).unwrap_err();
        assert!(reasons.len() == 1 && reasons[0].starts_with("FIX 0.jpg, 1.jpg, "), "{reasons:?}");
        assert!(reasons[0].contains("7.jpg, 12 more: "), "{reasons:?}");
    }

    #[test]
    fn warnings_go_unless_they_must_not_and_extras_never_go() {
        let report = sound();
        let plan_of = |is_strict| {
            plan(&report, &files(&report), &DeliverySelection { is_strict, ..DeliverySelection::default() })
        };
        let plan = plan_of(false).unwrap();
        let warn = report.rows.iter().filter(|row| row.state == RowState::Warn).count();
        assert!(warn > 0 && !plan.extra.is_empty());
        assert_eq!(plan.pictures.iter().map(|one| one.rows.len()).sum::<usize>(), report.rows.len() - plan.extra.len());
        assert_eq!(plan_of(true).unwrap_err().len(), warn);
    }

    #[test]
    fn a_picture_that_is_not_there_and_a_batch_without_prints_send_nothing() {
        let report = sound();
        let of = |wanted: DeliverySelection| plan(&report, &files(&report), &wanted).unwrap_err();
        let only = vec![PictureKey::from_text("nobody.jpg")];
        assert!(of(DeliverySelection { only, ..DeliverySelection::default() })[0].contains("no such picture"));
        assert_eq!(
            of(DeliverySelection { batch: Some(9), ..DeliverySelection::default() }),
            ["no print has batch = 9"]
        );
        let nothing = CheckReport { rows: Vec::new(), ..report.clone() };
        assert_eq!(
            plan(&nothing, &ListedFiles::new(), &DeliverySelection::default()).unwrap_err(),
            ["nothing to send"]
        );
    }

    #[test]
    fn pictures_that_are_named_one_by_one_cost_the_same_however_many_there_are() {
        let wanted = |count: usize| {
            let report = sample::many(count);
            let only = report.rows.iter().filter_map(|row| row.key.picture.clone()).collect();
            (report, DeliverySelection { only, batch: Some(9), ..DeliverySelection::default() })
        };
        grows_less_than_square(1_000, wanted, |(report, wanted): (CheckReport, DeliverySelection)| {
            assert_eq!(plan(&report, &ListedFiles::new(), &wanted).unwrap_err(), ["no print has batch = 9"]);
        });
    }
}
