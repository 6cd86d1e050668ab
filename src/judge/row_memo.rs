//! Rows judged before that need not be judged again: the same print, the same file, the same brief.

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::{Brief, Print};
use crate::judge::acceptance::{self, Acceptance, AcceptedFinding};
use crate::judge::evaluate;
use crate::judge::model::finding::Finding;
use crate::judge::model::row::{NotChecked, Row, RowKey, RowState};
use crate::judge::model::rule::Rule;
use crate::judge::model::submission::{HeaderState, Pixels, Submission};
use crate::picture::PictureKey;

/// Rows of the last judgement and of the one in progress, and no others. The rows that it returns are shared, not
/// copied.
#[derive(Debug, Default)]
pub struct RowMemo {
    /// Rules passed and rules not checked by the row judged last; the next row is likely to have the same lists.
    last_lists: (Arc<[&'static Rule]>, Arc<[NotChecked]>),
    brief: Option<Arc<Brief>>,
    files: HashMap<PictureKey, JudgedFile>,
    last: HashMap<RowKey, MemoEntry>,
    next: HashMap<RowKey, MemoEntry>,
}

/// A file as last judged.
#[derive(Debug)]
struct JudgedFile {
    submission: Submission,
    /// True if it is among the files being judged now.
    is_listed: bool,
    /// True if nothing has been learned of it since the previous judgement.
    is_unchanged: bool,
}

/// A row as it was judged.
#[derive(Debug)]
struct MemoEntry {
    own: OwnResult,
    /// The findings of the order's rules about it in the last judgement.
    of_order: Vec<Arc<Finding>>,
    /// Its findings so far in this judgement.
    of_order_now: Vec<Arc<Finding>>,
    /// The row with its own findings and those of the order's rules. `None` during a judgement, so that `Arc::make_mut`
    /// need not copy it.
    row: Option<Arc<Row>>,
}

/// A row's own result, before the rules of the whole order.
#[derive(Debug)]
struct OwnResult {
    state: RowState,
    findings: Vec<Arc<Finding>>,
    accepted: Vec<AcceptedFinding>,
}

impl RowMemo {
    /// Begins a judgement; forgets rows of another brief.
    pub(super) fn begin(&mut self, brief: &Arc<Brief>) {
        if !self.brief.as_ref().is_some_and(|last| Arc::ptr_eq(last, brief)) {
            self.last.clear();
            self.brief = Some(brief.clone());
        }
    }

    /// Compares the files with those of the last judgement, once for all prints of each; forgets rows of changed and
    /// missing files.
    pub(super) fn compare_files(&mut self, folder: &[Submission]) {
        for now in folder {
            match self.files.get_mut(&now.key) {
                Some(file) if is_same(&file.submission, now) => (file.is_listed, file.is_unchanged) = (true, true),
                _ => {
                    let file = JudgedFile { submission: now.clone(), is_listed: true, is_unchanged: false };
                    self.files.insert(now.key.clone(), file);
                }
            }
        }
        self.files.retain(|_, file| std::mem::take(&mut file.is_listed));
        let (last, files) = (&mut self.last, &self.files);
        let is_unchanged = |key: &RowKey| files.get(key.picture.as_ref()?).map(|file| file.is_unchanged);
        last.retain(|key, _| is_unchanged(key) == Some(true));
        self.next.clear();
    }

    /// Returns the row of a picture for a print, if the file is unchanged. It still carries the last findings of the
    /// order's rules.
    pub(super) fn reuse_row(&mut self, print: &Print, submission: &Submission) -> Option<Arc<Row>> {
        let key = RowKey { print: Some(print.id.clone()), picture: Some(submission.key.clone()) };
        self.take_known(&key, |_| true)
    }

    /// Adds a row that has just been judged.
    pub(super) fn add_row(&mut self, mut row: Row) -> Arc<Row> {
        share_if_equal(&mut self.last_lists.0, &mut row.passed);
        share_if_equal(&mut self.last_lists.1, &mut row.not_checked);
        self.insert_new(row.key.clone(), row)
    }

    /// Returns the row of a picture that no print wants.
    pub(super) fn extra_row(&mut self, submission: &Submission, pairing_note: String) -> Arc<Row> {
        let key = RowKey { print: None, picture: Some(submission.key.clone()) };
        let known = self.take_known(&key, |row| row.pairing_note == pairing_note);
        known.unwrap_or_else(|| self.insert_new(key, evaluate::extra_row(submission, pairing_note)))
    }

    fn take_known(&mut self, key: &RowKey, is_meant: impl Fn(&Row) -> bool) -> Option<Arc<Row>> {
        let (key, mut entry) = self.last.remove_entry(key)?;
        let row = entry.row.take().filter(|row| is_meant(row))?;
        self.next.insert(key, entry);
        Some(row)
    }

    fn insert_new(&mut self, key: RowKey, row: Row) -> Arc<Row> {
        let (of_order, of_order_now) = (Vec::new(), Vec::new());
        self.next.insert(key, MemoEntry { own: OwnResult::of(&row), of_order, of_order_now, row: None });
        Arc::new(row)
    }

    /// Adds a finding of the order's rules to a row.
    pub(super) fn add_order_finding(&mut self, key: &RowKey, finding: Arc<Finding>) {
        let Some(entry) = self.next.get_mut(key) else { return };
        // A finding that is found again is kept as the same object.
        let last = entry.of_order.get(entry.of_order_now.len()).filter(|last| **last == finding);
        entry.of_order_now.push(last.cloned().unwrap_or(finding));
    }

    /// Ends a judgement: adds the findings of the order's rules to the rows, and forgets rows that no longer exist.
    pub(super) fn finish(&mut self, rows: &mut [Arc<Row>]) {
        for row in rows {
            if let Some(entry) = self.next.get_mut(&row.key) {
                let file = row.key.picture.as_ref().and_then(|picture| self.files.get(picture));
                entry.apply_order_findings(row, file.map_or(&[], |file| &file.submission.acceptances));
                entry.row = Some(row.clone());
            }
        }
        self.last = std::mem::take(&mut self.next);
    }

    /// Abandons a judgement that a newer request superseded; rows judged by then are kept for the next.
    pub(super) fn abandon(&mut self, rows: Vec<Arc<Row>>) {
        for row in rows {
            if let Some(entry) = self.next.get_mut(&row.key) {
                entry.row = Some(row);
            }
        }
        self.last.extend(self.next.drain());
    }
}

impl MemoEntry {
    /// Adds the current findings of the order's rules to the row, separated into accepted and open. A row whose
    /// findings are the same as last time stays the same object.
    fn apply_order_findings(&mut self, row: &mut Arc<Row>, accepted: &[Arc<Acceptance>]) {
        let mut now = std::mem::take(&mut self.of_order_now);
        let last = self.of_order.iter();
        if now.len() == self.of_order.len() && now.iter().zip(last).all(|(now, last)| Arc::ptr_eq(now, last)) {
            return;
        }
        now.shrink_to_fit();
        let row = Arc::make_mut(row);
        row.state = self.own.state;
        row.findings = self.own.findings.iter().chain(&now).cloned().collect();
        row.accepted.clone_from(&self.own.accepted);
        acceptance::split_accepted(row, accepted);
        evaluate::update_state(row);
        self.of_order = now;
    }
}

impl OwnResult {
    fn of(row: &Row) -> OwnResult {
        OwnResult { state: row.state, findings: row.findings.clone(), accepted: row.accepted.clone() }
    }
}

/// Shares one list between two equal ones; otherwise remembers the newer.
fn share_if_equal<T: PartialEq>(known: &mut Arc<[T]>, now: &mut Arc<[T]>) {
    if known == now { now.clone_from(known) } else { known.clone_from(now) }
}

/// True if nothing new is known of the file. Facts and evidence are compared by address: the memo keeps them alive, so
/// the address cannot be reused.
fn is_same(before: &Submission, now: &Submission) -> bool {
    let header = match (&before.header, &now.header) {
        (HeaderState::Read(one), HeaderState::Read(other)) => Arc::ptr_eq(one, other),
        (HeaderState::Read(_), _) | (_, HeaderState::Read(_)) => false,
        (one, other) => one == other,
    };
    let pixels = match (&before.pixels, &now.pixels) {
        (Pixels::Read(one), Pixels::Read(other)) => Arc::ptr_eq(one, other),
        (Pixels::Read(_), _) | (_, Pixels::Read(_)) => false,
        (one, other) => one == other,
    };
    header
        && pixels
        && before.subjects == now.subjects
        && before.acceptances == now.acceptances
        && before.test_print_remarks == now.test_print_remarks
        && before.modified_ns == now.modified_ns
        && before.name_is_utf8 == now.name_is_utf8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::FolderContents;
    use crate::judge::acceptance::AcceptanceReason;
    use crate::judge::testing::{brief, sound_submission, with_facts, with_sha256};
    use crate::judge::{Judgement, judge, judge_unless_superseded};
    use std::sync::atomic::{AtomicUsize, Ordering};

    fn judge_again(brief: &Arc<Brief>, folder: &FolderContents, memo: &mut RowMemo) -> Judgement<Arc<Row>> {
        judge_unless_superseded(brief, folder, memo, &|| false).unwrap()
    }

    fn folder(files: &[Submission]) -> FolderContents {
        FolderContents { files: files.to_vec(), ..FolderContents::default() }
    }

    fn again(brief: &Arc<Brief>, files: &[Submission], memo: &mut RowMemo) -> Judgement {
        let Judgement { rows, order_findings } = judge_again(brief, &folder(files), memo);
        Judgement { rows: rows.iter().map(|row| Row::clone(row)).collect(), order_findings }
    }

    #[test]
    fn what_the_order_finds_of_a_row_comes_and_goes_and_a_row_that_stays_is_the_very_same() {
        let order = Arc::new(brief("[[print]]\nsize = \"8 x 10 in\""));
        let same = |name: &str, sha256: &str| with_sha256(sound_submission(name, 2400, 3000), sha256);
        let both = [same("a.jpg", "aa"), same("b.jpg", "aa"), same("c.jpg", "cc")];
        let mut memo = RowMemo::default();
        let first = judge_again(&order, &folder(&both), &mut memo).rows;
        assert_eq!((first[0].state, first[2].state), (RowState::Warn, RowState::Pass));
        // The memo keeps the rows shown, and no others.
        assert_eq!(first.iter().map(Arc::strong_count).collect::<Vec<_>>(), [2, 2, 2]);
        let second = judge_again(&order, &folder(&both), &mut memo).rows;
        assert!(first.iter().zip(&second).all(|(one, other)| Arc::ptr_eq(one, other)));
        let alone = [both[0].clone(), both[2].clone()];
        assert_eq!(again(&order, &alone, &mut memo), judge(&order, &alone));
        assert_eq!(again(&order, &both, &mut memo), judge(&order, &both));
    }

    #[test]
    fn a_row_that_nobody_asks_for_is_made_anew_only_where_it_says_something_else() {
        let order = Arc::new(brief("[[print]]\nsize = \"8 x 10 in\"\npicture = \"a1*\""));
        let files = [sound_submission("a02.jpg", 2400, 3000), sound_submission("q.jpg", 2400, 3000)];
        let mut memo = RowMemo::default();
        let first = judge_again(&order, &folder(&files), &mut memo).rows;
        let second = judge_again(&order, &folder(&files), &mut memo).rows;
        assert!(Arc::ptr_eq(&first[1], &second[1]) && Arc::ptr_eq(&first[2], &second[2]));
        // Another picture now has the name nearest to the print's pattern.
        let more = [sound_submission("a01.jpg", 2400, 3000), files[0].clone(), files[1].clone()];
        assert_eq!(again(&order, &more, &mut memo), judge(&order, &more));
    }

    #[test]
    fn what_the_order_finds_and_stands_accepted_is_asked_again_like_anything_else() {
        let order = Arc::new(brief("[[print]]\nsize = \"8 x 10 in\""));
        let mut files = ["a.jpg", "b.jpg"].map(|name| with_sha256(sound_submission(name, 2400, 3000), "aa"));
        let mut memo = RowMemo::default();
        let row = judge_again(&order, &folder(&files), &mut memo).rows.swap_remove(0);
        let said =
            AcceptanceReason { reason: "meant".to_owned(), by: "Maren".to_owned(), ..AcceptanceReason::default() };
        files[0].acceptances = [Arc::new(Acceptance::of(&row.findings[0], &row, said).unwrap())].into();
        let accepted = again(&order, &files, &mut memo);
        assert_eq!((accepted.rows[0].state, accepted.rows[0].accepted.len()), (RowState::Pass, 1));
        assert_eq!(accepted, judge(&order, &files));
        files[0].acceptances = Arc::default();
        assert_eq!(again(&order, &files, &mut memo), judge(&order, &files));
    }

    #[test]
    fn judging_again_says_what_judging_anew_says() {
        let first = Arc::new(brief("[[print]]\nsize = \"8 x 10 in\""));
        let second = Arc::new(brief("[density]\nminimum = \"299 ppi\"\n[[print]]\nsize = \"8 x 10 in\""));
        let mut files = vec![sound_submission("a.jpg", 2400, 3000), sound_submission("b.jpg", 900, 900)];
        let mut memo = RowMemo::default();
        assert_eq!(again(&first, &files, &mut memo), judge(&first, &files));
        files[1] = with_facts(files[1].clone(), |f| f.width_px = 2400);
        assert_eq!(again(&first, &files, &mut memo), judge(&first, &files));
        assert_eq!(again(&second, &files, &mut memo), judge(&second, &files));
        files.remove(0);
        assert_eq!(again(&second, &files, &mut memo), judge(&second, &files));
        assert_eq!(memo.last.len(), 1);
    }

    #[test]
    fn what_a_superseded_judgement_asked_is_known_to_the_next_and_what_it_did_not_is_asked() {
        let order = Arc::new(brief("[[print]]\nsize = \"8 x 10 in\""));
        let files: Vec<Submission> = (0..40)
            .map(|at| with_sha256(sound_submission(&format!("{at:02}.jpg"), 2400, 3000), &at.to_string()))
            .collect();
        for rows_before in [0, 1, 17, 40] {
            let mut memo = RowMemo::default();
            let calls = AtomicUsize::new(0);
            let is_superseded = || calls.fetch_add(1, Ordering::SeqCst) >= rows_before;
            assert_eq!(judge_unless_superseded(&order, &folder(&files), &mut memo, &is_superseded), None);
            assert_eq!(memo.last.len(), rows_before, "rows that were asked");
            // One of them is exported again meanwhile.
            let mut later = files.clone();
            later[3] = with_facts(later[3].clone(), |facts| facts.width_px = 1200);
            assert_eq!(again(&order, &later, &mut memo), judge(&order, &later));
            assert_eq!(again(&order, &files, &mut memo), judge(&order, &files));
        }
    }

    #[test]
    fn what_the_order_found_of_a_row_outlives_a_superseded_judgement() {
        let order = Arc::new(brief("[[print]]\nsize = \"8 x 10 in\""));
        let same = ["a.jpg", "b.jpg"].map(|name| with_sha256(sound_submission(name, 2400, 3000), "aa"));
        let mut memo = RowMemo::default();
        let first = judge_again(&order, &folder(&same), &mut memo).rows;
        assert_eq!(judge_unless_superseded(&order, &folder(&same), &mut memo, &|| true), None);
        let second = judge_again(&order, &folder(&same), &mut memo).rows;
        assert!(first.iter().zip(&second).all(|(one, other)| Arc::ptr_eq(one, other)));
    }
}
