//! Changes between two moments of the live table, row by row: for `watch --lines`, night runs and screen readers.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::brief::{Brief, PrintId};
use crate::judge::{Finding, RowKey, RowState, rules};
use crate::picture::PictureKey;

use super::snapshot::{Snapshot, TableRow, Watching};

/// A change of the live table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RowChange {
    /// A row appeared, changed state or disappeared.
    Row {
        /// The row's key.
        key: RowKey,
        /// The print's name, foreign text; empty where the picture is for no print.
        print_name: String,
        /// Its state before; `None` for a new row.
        from: Option<RowState>,
        /// Its state now; `None` for a row that is gone.
        to: Option<RowState>,
        /// The first of its findings: what was measured and required.
        finding: Option<String>,
    },
    /// A picture was renamed, with the same content.
    Renamed {
        /// Its name before.
        from: PictureKey,
        /// Its name now.
        to: PictureKey,
    },
    /// A finding on the order as a whole appeared or disappeared.
    Order {
        /// How the brief ranks it.
        level: Level,
        /// The finding in words.
        what: String,
        /// True if it applies now.
        is_accepted: bool,
    },
    /// The folder disappeared, came back, or is watched another way.
    Folder(Watching),
    /// The folder holds more files than are examined.
    CutOff,
    /// Number of mistakes in the brief on disk; 0 once there are none.
    Brief(usize),
    /// Judging failed inside the program, with the panic's message. `None` once the rows are judged again.
    JudgingFailed(Option<Arc<str>>),
}

/// Returns the changes, in the order of the rows: first the table as a whole, then present rows, then rows that are
/// gone.
pub fn changes(before: &Snapshot, after: &Snapshot) -> Vec<RowChange> {
    let mut changes = Vec::new();
    if before.watching != after.watching {
        changes.push(RowChange::Folder(after.watching.clone()));
    }
    if after.is_cut_off && !before.is_cut_off {
        changes.push(RowChange::CutOff);
    }
    if before.brief_problems != after.brief_problems {
        changes.push(RowChange::Brief(after.brief_problems.len()));
    }
    if before.judging.failed != after.judging.failed {
        changes.push(RowChange::JudgingFailed(after.judging.failed.clone()));
    }
    let here: HashSet<&RowKey> = after.rows.iter().map(|row| &row.row.key).collect();
    let prints_here: HashSet<&PrintId> = after.rows.iter().filter_map(|row| row.row.key.print.as_ref()).collect();
    let mut left: HashMap<&RowKey, &TableRow> = before.rows.iter().map(|row| (&row.row.key, row.as_ref())).collect();
    let pictures_here: HashSet<&PictureKey> =
        after.rows.iter().filter_map(|row| row.row.key.picture.as_ref()).collect();
    let is_gone = |row: &TableRow| row.row.key.picture.as_ref().is_none_or(|picture| !pictures_here.contains(picture));
    let mut by_content: HashMap<(Option<&PrintId>, &str), &TableRow> = HashMap::new();
    for row in before.rows.iter().filter(|row| !here.contains(&row.row.key) && is_gone(row)) {
        if let Some(sha256) = &row.row.sha256 {
            by_content.insert((row.row.key.print.as_ref(), sha256), row);
        }
    }
    for row in after.rows.iter() {
        let key = &row.row.key;
        let mut was = left.remove(key);
        if was.is_none()
            && let Some(sha256) = &row.row.sha256
            && let Some(earlier) = by_content.remove(&(key.print.as_ref(), sha256.as_str()))
            && let (Some(from), Some(to)) = (&earlier.row.key.picture, &key.picture)
        {
            changes.push(RowChange::Renamed { from: from.clone(), to: to.clone() });
            was = left.remove(&earlier.row.key);
        }
        let missing = || RowKey { print: key.print.clone(), picture: None };
        let was_missing = was.is_none() && key.print.is_some() && left.contains_key(&missing());
        changes.extend(row_change(was, row, was_missing));
    }
    // A row for a missing picture simply ends; a print that has a picture now is no loss.
    let is_loss = |key: &RowKey| key.picture.is_some() || key.print.as_ref().is_none_or(|p| !prints_here.contains(p));
    let gone = before.rows.iter().filter(|row| left.contains_key(&row.row.key) && is_loss(&row.row.key));
    changes.extend(gone.map(|row| change(row, Some(row.state_now()), None, None)));
    changes
}

/// Returns the change of one row. A verdict is compared with the verdict before it, however long checking took.
fn row_change(was: Option<&TableRow>, row: &TableRow, was_missing: bool) -> Option<RowChange> {
    let to = row.state_now();
    let then = was.map(TableRow::state_now).or(was_missing.then_some(RowState::Missing));
    let checked = was.is_some_and(|was| was.is_outdated) && !row.is_outdated;
    let from = if checked { was.map(|was| was.row.state) } else { then };
    let finding = row.row.findings.first().filter(|_| !row.is_outdated).map(|finding| finding.found.clone());
    let before = was.and_then(|was| was.row.findings.first());
    let said_otherwise =
        was.is_some_and(|was| !was.is_outdated) && !row.is_outdated && differ(before, row.row.findings.first());
    (then != Some(to) || checked || said_otherwise).then(|| change(row, from, Some(to), finding))
}

/// True if a finding is news after another. A finding on the whole order counts the row's other pictures too: its
/// number changes with each that is read, and that is not news.
fn differ(before: Option<&Arc<Finding>>, now: Option<&Arc<Finding>>) -> bool {
    match (before, now) {
        (Some(before), Some(now)) if rules::is_of_order(now.rule) => !before.is_same_as(now),
        (before, now) => before.map(|one| &one.found) != now.map(|one| &one.found),
    }
}

/// A finding on the order as a whole, or a remark on the brief itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderStatement {
    /// How the brief ranks it.
    pub level: Level,
    /// The finding in words.
    pub what: String,
}

impl OrderStatement {
    /// Returns all findings on an order and all remarks on its brief.
    pub fn all_of(order_findings: &[Arc<Finding>], brief: &Brief) -> Vec<OrderStatement> {
        let of_order = order_findings.iter().map(|finding| (finding.level, &finding.found));
        let of_brief = brief.findings.iter().map(|remark| (remark.level, &remark.problem.what));
        of_order.chain(of_brief).map(|(level, what)| OrderStatement { level, what: what.clone() }).collect()
    }
}

/// Returns the changes in the findings on the order as a whole. Only valid once nothing is being read: while pictures
/// arrive they describe half an order.
pub fn order_changes(before: &[OrderStatement], after: &[OrderStatement]) -> Vec<RowChange> {
    let told = |said: &OrderStatement, is_accepted| RowChange::Order {
        level: said.level,
        what: said.what.clone(),
        is_accepted,
    };
    let ended = before.iter().filter(|said| !after.contains(said)).map(|said| told(said, false));
    let new = after.iter().filter(|said| !before.contains(said)).map(|said| told(said, true));
    ended.chain(new).collect()
}

fn change(row: &TableRow, from: Option<RowState>, to: Option<RowState>, finding: Option<String>) -> RowChange {
    RowChange::Row { key: row.row.key.clone(), print_name: row.row.name_with_version().into_owned(), from, to, finding }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{rule, sound_submission};
    use crate::reading::testing::{BRIEF, brief};
    use std::sync::Arc;

    /// A live table with these pictures: name, width, whether an older verdict is dimmed.
    fn table(pictures: &[(&str, u32, bool)]) -> Snapshot {
        let brief = Arc::new(brief(BRIEF));
        let files: Vec<_> = pictures.iter().map(|(name, width, _)| sound_submission(name, *width, 3000)).collect();
        let judged = judge(&brief, &files);
        let row = |(row, (_, _, dimmed)): (crate::judge::Row, &(&str, u32, bool))| {
            Arc::new(TableRow { row: Arc::new(row), is_outdated: *dimmed, arriving_bytes: None, export_change: None })
        };
        Snapshot {
            generation: 2,
            brief,
            brief_problems: Vec::new().into(),
            decisions_problems: Vec::new().into(),
            folder: "exports".into(),
            watching: Watching::Notified,
            is_cut_off: false,
            rows: judged.rows.into_iter().zip(pictures).map(row).collect(),
            order_findings: Vec::new().into(),
            totals: crate::judge::Totals::default(),
            work: crate::live::snapshot::WorkProgress::default(),
            judging: crate::live::snapshot::JudgingStatus::default(),
            newest: None,
            notice: None,
        }
    }

    fn told(before: &Snapshot, after: &Snapshot) -> Vec<(String, Option<RowState>, Option<RowState>, bool)> {
        let row = |change| match change {
            RowChange::Row { key, from, to, finding, .. } => {
                (key.picture.unwrap().to_string(), from, to, finding.is_some())
            }
            other => panic!("{other:?}"),
        };
        changes(before, after).into_iter().map(row).collect()
    }

    #[test]
    fn what_came_turned_and_went_is_told_once() {
        let before = table(&[("a.jpg", 2400, false), ("b.jpg", 2400, false), ("c.jpg", 2400, false)]);
        let after = table(&[("a.jpg", 2400, false), ("c.jpg", 900, false), ("d.jpg", 2400, false)]);
        let wanted = [
            ("c.jpg".to_owned(), Some(RowState::Pass), Some(RowState::Fix), true),
            ("d.jpg".to_owned(), None, Some(RowState::Pass), false),
            ("b.jpg".to_owned(), Some(RowState::Pass), None, false),
        ];
        assert_eq!(told(&before, &after), wanted);
        assert_eq!(told(&after, &after), []);
    }

    #[test]
    fn an_old_verdict_is_not_told_as_the_new_files() {
        let (before, after) = (table(&[("a.jpg", 900, false)]), table(&[("a.jpg", 900, true)]));
        assert_eq!(told(&before, &after), [("a.jpg".to_owned(), Some(RowState::Fix), Some(RowState::Checking), false)]);
    }

    fn row(print: Option<&str>, picture: Option<&str>, state: RowState, sha256: Option<&str>) -> TableRow {
        let mut row = TableRow::clone(&table(&[("a.jpg", 2400, false)]).rows[0]);
        let verdict = Arc::make_mut(&mut row.row);
        verdict.key.print = print.map(|print| PrintId(print.into()));
        verdict.key.picture = picture.map(PictureKey::from_text);
        (verdict.state, verdict.sha256) = (state, sha256.map(str::to_owned));
        row
    }

    fn of(rows: &[TableRow]) -> Snapshot {
        Snapshot { rows: rows.iter().cloned().map(Arc::new).collect(), ..table(&[]) }
    }

    /// Returns the old and new state of the one change.
    fn states(before: &[TableRow], after: &[TableRow]) -> (Option<RowState>, Option<RowState>) {
        match changes(&of(before), &of(after)).as_slice() {
            [RowChange::Row { from, to, .. }] => (*from, *to),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_verdict_after_a_new_export_tells_the_verdict_before_it() {
        let was = row(Some("p012"), Some("a.jpg"), RowState::Pass, Some("1"));
        let checked = TableRow { is_outdated: true, ..was.clone() };
        for state in [RowState::Fix, RowState::Pass] {
            let now = row(Some("p012"), Some("a.jpg"), state, Some("2"));
            assert_eq!(states(std::slice::from_ref(&checked), &[now]), (Some(RowState::Pass), Some(state)));
        }
        assert_eq!(states(&[was], &[checked]), (Some(RowState::Pass), Some(RowState::Checking)));
    }

    #[test]
    fn a_picture_for_a_print_that_had_none_is_no_loss() {
        let missing = row(Some("p012"), None, RowState::Missing, None);
        let there = row(Some("p012"), Some("a.jpg"), RowState::Arriving, None);
        let both = [there, row(Some("p016"), Some("b.jpg"), RowState::Pass, None)];
        assert_eq!(
            states(&[missing.clone(), both[1].clone()], &both),
            (Some(RowState::Missing), Some(RowState::Arriving))
        );
        assert_eq!(states(&[missing], &[]), (Some(RowState::Missing), None), "the brief asks for it no more");
    }

    #[test]
    fn another_name_for_the_same_content_is_no_loss() {
        let before = row(Some("p012"), Some("a.jpg"), RowState::Pass, Some("1"));
        let after = row(Some("p012"), Some("b.jpg"), RowState::Pass, Some("1"));
        let renamed = RowChange::Renamed { from: PictureKey::from_text("a.jpg"), to: PictureKey::from_text("b.jpg") };
        assert_eq!(changes(&of(&[before]), &of(&[after])), [renamed]);
    }

    #[test]
    fn the_other_of_two_equal_files_is_no_new_name() {
        let one = |name: &str, print| row(print, Some(name), RowState::Pass, Some("1"));
        let before = [one("a.jpg", Some("p012")), one("b.jpg", None)];
        let after = [one("b.jpg", Some("p012")), one("a.jpg", None)];
        let told = changes(&of(&before), &of(&after));
        assert!(told.iter().all(|change| matches!(change, RowChange::Row { .. })) && told.len() == 4, "{told:?}");
    }

    #[test]
    fn a_number_that_moves_with_other_pictures_is_no_news() {
        let with = |id: &str, what: &str| {
            let mut row = TableRow::clone(&table(&[("a.jpg", 900, false)]).rows[0]);
            let finding = Finding { rule: rule(id), found: what.to_owned(), ..Finding::clone(&row.row.findings[0]) };
            Arc::make_mut(&mut row.row).findings = vec![finding.into()];
            of(&[row])
        };
        let told = |before: &str, now: &str| changes(&with(before, "of 7"), &with(now, "of 8")).len();
        assert_eq!(told("set.outlier", "set.outlier"), 0);
        assert_eq!(told("set.outlier", "set.duplicate"), 1);
        assert_eq!(told("density.minimum", "density.minimum"), 1);
    }

    #[test]
    fn findings_on_the_order_are_told_when_they_come_and_go() {
        let brief = brief("[density]\nminimum = \"240 ppi\"\n[[print]]\nsize = \"8 x 10 in\"\n");
        let finding = judge(&brief, &[sound_submission("a.jpg", 900, 3000)]).rows[0].findings[0].clone();
        let told = |is_accepted| RowChange::Order { level: finding.level, what: finding.found.clone(), is_accepted };
        let both = OrderStatement::all_of(std::slice::from_ref(&finding), &brief);
        assert_eq!(order_changes(&[], &both), [told(true)]);
        assert_eq!(order_changes(&both, &[]), [told(false)]);
        assert_eq!(order_changes(&both, &both), []);
    }
}
