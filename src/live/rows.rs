//! Merges each judgement into the rows shown: keeps an old verdict, dimmed, until a new one is there, compares it with
//! the export before, and counts the rows that changed their state.
//!
//! No clock, no I/O. A row is identified by its key, never by its position.

use std::collections::{HashMap, VecDeque};
use std::sync::Arc;

use crate::judge::model::row::Totals;
use crate::judge::{Finding, Judgement, Row, RowKey, RowState, rules};
use crate::live::limits;
use crate::picture::PictureKey;
use crate::units::show;

use super::snapshot::{ExportChange, TableRow};

/// The current status of a row's picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PictureStatus {
    /// Number of its content.
    pub version: u64,
    /// Bytes received so far, while the file is still growing.
    pub arriving_bytes: Option<u64>,
    /// True if it cannot be read, so that nothing more will be known of it.
    pub has_failed: bool,
    /// True if it was written again while being judged, so that its verdict is on bytes no longer there.
    pub is_overtaken: bool,
}

/// A row as shown.
#[derive(Clone, Debug)]
struct ShownVerdict {
    /// Number of the content that its verdict is on.
    version: u64,
    row: Arc<TableRow>,
    /// True if the verdict is complete: nothing more will be known of this content.
    is_complete: bool,
    /// The last complete verdict on an earlier export, until there is one on this.
    earlier: Option<Arc<Row>>,
}

/// The rows, in the brief's order.
#[derive(Clone, Debug, Default)]
pub struct LiveRows {
    in_order: Arc<[Arc<TableRow>]>,
    by_key: HashMap<RowKey, ShownVerdict>,
    /// Rows of pictures that are gone, the last at the end.
    departed: VecDeque<(RowKey, ShownVerdict)>,
    order_findings: Arc<[Arc<Finding>]>,
    totals: Totals,
    are_judged: bool,
}

/// Rows whose state has changed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ChangedStates {
    /// Number of rows.
    pub rows: usize,
    /// The last of them: its key, old state and new state.
    pub last: Option<(RowKey, RowState, RowState)>,
}

impl LiveRows {
    /// Returns the rows in the brief's order.
    pub fn in_order(&self) -> &Arc<[Arc<TableRow>]> {
        &self.in_order
    }

    /// Replaces the rows with those of a new judgement. `moved` maps each renamed picture to its name before.
    pub fn update(
        &mut self,
        judgement: Judgement<Arc<Row>>,
        moved: &HashMap<PictureKey, PictureKey>,
        status: impl Fn(&PictureKey) -> PictureStatus,
    ) -> ChangedStates {
        let mut changed = ChangedStates::default();
        let mut old = std::mem::take(&mut self.by_key);
        let mut shown = Vec::with_capacity(judgement.rows.len());
        for row in judgement.rows {
            let key = row.key.clone();
            let status = key.picture.as_ref().map(&status).unwrap_or_default();
            let before = old.remove(&key).or_else(|| old.remove(&earlier_key(&key, moved)?));
            let before = before.or_else(|| self.take_departed(&key));
            let now = combine(row, before.as_ref(), status);
            if let Some(before) = &before
                && before.row.row.state != now.row.row.state
                && !is_pending(before.row.row.state)
                && !now.row.is_outdated
                && !is_pending(now.row.row.state)
            {
                changed.rows += 1;
                changed.last = Some((key.clone(), before.row.row.state, now.row.row.state));
            }
            shown.push(now.row.clone());
            self.by_key.insert(key, now);
        }
        for (key, gone) in old {
            if key.picture.is_some() && !is_pending(gone.row.row.state) {
                self.departed.push_back((key, gone));
            }
        }
        while self.departed.len() > limits::MAX_DEPARTED {
            self.departed.pop_front();
        }
        self.in_order = shown.into();
        if *self.order_findings != *judgement.order_findings {
            self.order_findings = judgement.order_findings.into();
        }
        self.are_judged = true;
        self.update_totals();
        changed
    }

    /// Dims the verdicts of pictures that are being overwritten, given with their bytes so far, before anything is
    /// judged.
    pub fn mark_overwritten(&mut self, pictures: &HashMap<PictureKey, u64>) {
        let bytes_of = |key: &RowKey| pictures.get(key.picture.as_ref()?).copied();
        let rows = self.in_order.iter().map(|row| {
            let Some(bytes) = bytes_of(&row.row.key) else { return row.clone() };
            let Some(shown) = self.by_key.get_mut(&row.row.key) else { return row.clone() };
            shown.mark_overwritten(Some(bytes));
            shown.row.clone()
        });
        self.in_order = rows.collect();
        self.update_totals();
    }

    /// Returns the rows counted by their current state.
    pub fn totals(&self) -> Totals {
        self.totals
    }

    /// Returns findings about the order as a whole.
    pub fn order_findings(&self) -> &Arc<[Arc<Finding>]> {
        &self.order_findings
    }

    /// True if there has been a judgement.
    pub fn are_judged(&self) -> bool {
        self.are_judged
    }

    fn update_totals(&mut self) {
        self.totals = Totals::of_states(self.in_order.iter().map(|row| (row.state_now(), row.row.accepted.len())));
    }

    /// Takes out the earlier verdict of a row that was gone and has come back.
    fn take_departed(&mut self, key: &RowKey) -> Option<ShownVerdict> {
        let at = self.departed.iter().position(|(gone, _)| gone == key)?;
        self.departed.remove(at).map(|(_, shown)| shown)
    }
}

impl ShownVerdict {
    /// Marks that other bytes are replacing those the verdict is on.
    fn mark_overwritten(&mut self, arriving_bytes: Option<u64>) {
        if self.is_complete {
            self.earlier.get_or_insert_with(|| self.row.row.clone());
        }
        self.is_complete = false;
        let is_outdated = !is_pending(self.row.row.state);
        self.row = Arc::new(TableRow { is_outdated, arriving_bytes, ..TableRow::clone(&self.row) });
    }

    /// Returns what is shown once a new row is judged: while that has no verdict on new bytes, the old one, dimmed.
    fn replaced_by(&self, row: Arc<Row>, is_complete: bool, status: PictureStatus) -> ShownVerdict {
        let (old, arriving_bytes) = (&self.row, status.arriving_bytes);
        let has_other_bytes = status.version != self.version;
        let of_export_before = || (has_other_bytes && self.is_complete).then(|| old.row.clone());
        let earlier = self.earlier.clone().or_else(of_export_before);
        if has_other_bytes && is_pending(row.state) && !is_pending(old.row.state) {
            let row = Arc::new(with_new_facts(&row, &old.row));
            let dimmed = TableRow { row, is_outdated: true, arriving_bytes, export_change: old.export_change.clone() };
            return ShownVerdict {
                version: self.version,
                row: share_if_equal(dimmed, old),
                is_complete: false,
                earlier,
            };
        }
        let (export_change, earlier) = match earlier {
            Some(earlier) if is_complete => {
                (compare_exports(&earlier, &row).or_else(|| old.export_change.clone()), None)
            }
            Some(earlier) => (None, Some(earlier)),
            None => (old.export_change.clone(), None),
        };
        let row = TableRow { row, is_outdated: false, arriving_bytes, export_change };
        ShownVerdict { version: status.version, row: share_if_equal(row, old), is_complete, earlier }
    }
}

/// Returns the key that a row had before its picture was renamed.
fn earlier_key(key: &RowKey, moved: &HashMap<PictureKey, PictureKey>) -> Option<RowKey> {
    let earlier = moved.get(key.picture.as_ref()?)?;
    Some(RowKey { print: key.print.clone(), picture: Some(earlier.clone()) })
}

/// True if a state is not a verdict yet.
pub const fn is_pending(state: RowState) -> bool {
    matches!(state, RowState::Arriving | RowState::Checking)
}

/// Combines a new row with what was shown before.
fn combine(row: Arc<Row>, before: Option<&ShownVerdict>, status: PictureStatus) -> ShownVerdict {
    let first = |is_complete| {
        let row = new_row(row.clone(), status.arriving_bytes);
        ShownVerdict { version: status.version, row, is_complete, earlier: None }
    };
    if status.is_overtaken {
        let mut shown = before.cloned().unwrap_or_else(|| first(false));
        shown.mark_overwritten(status.arriving_bytes);
        return shown;
    }
    // The header alone can make a row FIX before the pixels are read.
    let is_complete = !is_pending(row.state) && (row.pixel_digest.is_some() || status.has_failed);
    match before {
        None => first(is_complete),
        Some(before) => before.replaced_by(row, is_complete, status),
    }
}

/// Returns the old row if the new one equals it, so that the screen sees at once that nothing has changed.
fn share_if_equal(new: TableRow, old: &Arc<TableRow>) -> Arc<TableRow> {
    if new == **old { old.clone() } else { Arc::new(new) }
}

/// Returns a row that has no earlier verdict.
fn new_row(row: Arc<Row>, arriving_bytes: Option<u64>) -> Arc<TableRow> {
    Arc::new(TableRow { row, is_outdated: false, arriving_bytes, export_change: None })
}

/// Returns the old verdict, with the new file's facts as soon as there are some.
fn with_new_facts(new: &Row, old: &Row) -> Row {
    let mut row = old.clone();
    if new.facts.is_some() {
        (row.facts, row.placement) = (new.facts.clone(), new.placement.clone());
        (row.metrics, row.sha256) = (new.metrics, None);
    }
    row
}

/// An overshoot that grew by this much with an export was sharpened into it, as a share of an edge's step. Source:
/// ours: an unsharp mask of 2 px and 200 % adds 0.11 in three photographs of four, noise or another JPEG 0.02 at most.
const HALO_GROWN: f64 = 0.08;

/// Returns what an export changed against the one before; `None` if both have the same bytes.
fn compare_exports(was: &Row, row: &Row) -> Option<Arc<ExportChange>> {
    if row.sha256.is_some() && row.sha256 == was.sha256 {
        return None;
    }
    let density = density(was).zip(density(row)).filter(|(was, now)| was != now).map(<[String; 2]>::from);
    // A finding that another now suppresses, or that is not checked any more, is not fixed.
    let is_answered = |rule| row.passed.contains(&rule) || found_in(row).any(|finding| finding.rule == rule);
    let mut fixed = only_in(was, row);
    fixed.retain(|finding| is_answered(finding.rule));
    let looks_alike =
        was.impression.as_ref().zip(row.impression.as_ref()).is_none_or(|(was, now)| !was.is_another(now));
    let halo = was.metrics.halo.zip(row.metrics.halo).filter(|(was, now)| now - was >= HALO_GROWN);
    let halo = halo.filter(|_| looks_alike).map(<[f64; 2]>::from);
    let (state_before, first_state, new) = (was.state, row.state, only_in(row, was));
    Some(Arc::new(ExportChange { state_before, first_state, density, halo, looks_alike, fixed, new }))
}

/// Returns the findings of one row, accepted or not, that the other lacks.
fn only_in(one: &Row, other: &Row) -> Vec<Arc<Finding>> {
    let has = |wanted: &Finding| found_in(other).any(|found| found.is_same_as(wanted));
    found_in(one).filter(|finding| !has(finding)).cloned().collect()
}

/// Returns all findings on a row's picture, accepted or not. Findings on the order as a whole do not count: they change
/// with other pictures.
fn found_in(row: &Row) -> impl Iterator<Item = &Arc<Finding>> {
    let all = row.findings.iter().chain(row.accepted.iter().map(|accepted| &accepted.finding));
    all.filter(|finding| !rules::is_of_order(finding.rule))
}

/// Returns a row's effective density, as shown.
fn density(row: &Row) -> Option<String> {
    row.placement.as_ref().and_then(|placement| placement.fit.as_ref()).map(|fit| show::ppi(fit.density))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{brief, sound_submission, with_evidence, with_sha256};
    use crate::measure::Grid;
    use crate::measure::evidence::{Halo, Overshoot};

    #[test]
    fn grown_halos_are_a_change_of_an_export() {
        let order = brief("[[print]]\nsize = \"8 x 10 in\"");
        let row = |sha256: &str, share: f64| {
            let file = with_evidence(with_sha256(sound_submission("a.jpg", 2400, 3000), sha256), |e| {
                let isolated = Some(Overshoot { share, p90: share, width_px: 2.0, edges: 90 });
                e.detail.halo = Some(Halo { isolated, swing: None });
            });
            judge(&order, &[file]).rows.swap_remove(0)
        };
        let halo = |was: f64, now: f64| compare_exports(&row("aa", was), &row("bb", now)).unwrap().halo;
        assert_eq!(halo(0.02, 0.125), Some([0.02, 0.125]));
        assert_eq!((halo(0.02, 0.09), halo(0.125, 0.02)), (None, None));
    }

    #[test]
    fn findings_on_the_order_are_no_change_of_an_export() {
        let order = brief("[[print]]\nsize = \"8 x 10 in\"");
        let twice = ["a.jpg", "b.jpg"].map(|name| with_sha256(sound_submission(name, 2400, 3000), "aa"));
        let alike = judge(&order, &twice).rows.swap_remove(0);
        let alone = judge(&order, &[with_sha256(sound_submission("a.jpg", 2400, 3000), "bb")]).rows.swap_remove(0);
        assert!(alike.findings.iter().any(|finding| finding.rule.id == "set.duplicate"));
        for (was, now) in [(&alike, &alone), (&alone, &alike)] {
            let change = compare_exports(was, now).unwrap();
            assert!(change.fixed.is_empty() && change.new.is_empty(), "{change:?}");
        }
        assert_eq!(compare_exports(&alike, &alike), None, "the same again");
        let look = |waves: u64| {
            let file = with_evidence(with_sha256(sound_submission("a.jpg", 2400, 3000), &waves.to_string()), |e| {
                (e.appearance.frequency_hash, e.appearance.difference_hash, e.appearance.small) =
                    (waves, waves, Grid::filled(1, 1, 0));
            });
            judge(&order, &[file]).rows.swap_remove(0)
        };
        let alike = |one: u64, other: u64| compare_exports(&look(one), &look(other)).unwrap().looks_alike;
        assert!(alike(0, 1) && !alike(0, u64::MAX), "another picture under the same name");
    }

    #[test]
    fn a_fix_by_the_header_alone_is_not_a_complete_verdict() {
        let order = brief("[[print]]\nsize = \"8 x 10 in\"");
        let mut file = sound_submission("a.jpg", 900, 1000);
        let read = Arc::new(judge(&order, &[file.clone()]).rows.swap_remove(0));
        file.pixels = crate::judge::Pixels::Waiting;
        let header = Arc::new(judge(&order, &[file]).rows.swap_remove(0));
        assert_eq!(
            (header.state, header.pixel_digest.is_some(), read.pixel_digest.is_some()),
            (RowState::Fix, false, true)
        );
        let status = |version| PictureStatus { version, ..PictureStatus::default() };
        let first = combine(header.clone(), None, status(1));
        let second = combine(read.clone(), Some(&first), status(2));
        assert_eq!(second.row.export_change, None, "nobody knows what the pixels of the first were");
        // The content before was whole, so the next is compared once it is whole itself.
        let third = combine(header, Some(&second), status(3));
        assert_eq!(third.row.export_change, None);
        let other = Row { sha256: Some("other".to_owned()), ..Row::clone(&read) };
        assert!(combine(Arc::new(other), Some(&third), status(3)).row.export_change.is_some());
    }
}
