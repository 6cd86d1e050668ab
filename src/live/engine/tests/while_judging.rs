//! A running live table whose judging takes long or fails: commands are answered meanwhile.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::*;
use crate::judge::subject::Area;
use crate::live::judge_thread::{MakeJudge, usual_judge};

/// How soon a command is answered while rows are judged: far less than `PATIENCE`, which judging takes.
const AT_ONCE: Duration = Duration::from_secs(3);

/// The fault simulated in judgements.
#[derive(Clone, Copy, PartialEq)]
enum Trouble {
    /// Takes longer than any test waits, superseded or not.
    Slow,
    /// Takes that long unless it is superseded.
    SlowUntilSuperseded,
    Panic,
}

/// Returns the usual judging, but faulty for the next `left` judgements.
fn troubled(trouble: Trouble, left: &Arc<AtomicUsize>) -> MakeJudge {
    let (usual, left) = (usual_judge(), left.clone());
    Arc::new(move || {
        let (mut judge, left) = (usual(), left.clone());
        Box::new(move |request, is_superseded| {
            let begun = Instant::now();
            if left.fetch_update(Ordering::SeqCst, Ordering::SeqCst, |left| left.checked_sub(1)).is_ok() {
                if trouble == Trouble::Panic {
                    std::panic::resume_unwind(Box::new("row 9 of 8"));
                }
                while begun.elapsed() < PATIENCE && !(trouble == Trouble::SlowUntilSuperseded && is_superseded()) {
                    sleep(Duration::from_millis(1));
                }
            }
            judge(request, is_superseded)
        })
    })
}

/// A live table with a judged picture whose next judgements are faulty.
fn running_with(trouble: Trouble) -> (RunningTable, Arc<AtomicUsize>) {
    let left = Arc::new(AtomicUsize::new(0));
    let judge = troubled(trouble, &left);
    let running = RunningTable::opened(&[("a.jpg", "2400 3000")], |options| LiveTableOptions { judge, ..options });
    running.until_state("a.jpg", RowState::Pass);
    (running, left)
}

/// Makes the next judgements faulty, and waits until one is under way.
fn begin(running: &RunningTable, left: &AtomicUsize, judgements: usize) {
    left.store(judgements, Ordering::SeqCst);
    fs::write(running.path("b.jpg"), "2400 3000 b").unwrap();
    running.until("a judgement is under way", |_| left.load(Ordering::SeqCst) < judgements);
}

#[test]
fn commands_thumbnails_decisions_and_the_end_do_not_wait_for_rows_that_are_judged() {
    let (running, left) = running_with(Trouble::Slow);
    begin(&running, &left, 2);
    let begun = Instant::now();
    let row = running.table.snapshot().rows[0].row.clone();
    running.table.send(LiveCommand::ShowRows { selected: Some(row.key.clone()), visible: vec![], proof: None });
    running.until("its thumbnail", |_| running.table.thumbnail().is_some());
    let area = Area::new(0.25, 0.25, 0.75, 0.75);
    running.table.send(LiveCommand::DrawSubject { picture: PictureKey::from_text("a.jpg"), print: None, area });
    running.until("it is written", |_| running.table.pending_decisions() == 0);
    assert!(running.home.path().join("b.decisions.toml").exists());
    assert!(running.table.snapshot().judging.is_busy && state_of(&running.table.snapshot(), "b.jpg").is_none());
    let RunningTable { mut table, home, .. } = running;
    assert_eq!(table.end(), None);
    assert!(begun.elapsed() < AT_ONCE, "{:?}", begun.elapsed());
    drop(home);
}

#[test]
fn a_brief_that_is_saved_while_rows_are_judged_is_judged_by_at_once() {
    let (running, left) = running_with(Trouble::SlowUntilSuperseded);
    begin(&running, &left, 1);
    let begun = Instant::now();
    let strict = format!("[density]\ntarget = \"400 ppi\"\nminimum = \"400 ppi\"\n{BRIEF}");
    fs::write(running.home.path().join("b.toml"), strict).unwrap();
    running.until_state("a.jpg", RowState::Fix);
    running.until_state("b.jpg", RowState::Fix);
    assert!(begun.elapsed() < PATIENCE / 2, "{:?}", begun.elapsed());
}

#[test]
fn a_panic_while_rows_are_judged_is_told_and_ends_nothing() {
    let (running, left) = running_with(Trouble::Panic);
    let before = running.table.snapshot();
    begin(&running, &left, 1);
    let failed = running.until("it is told", |snapshot| snapshot.judging.failed.is_some());
    assert_eq!(state_of(&failed, "a.jpg"), Some(RowState::Pass), "the last good rows stay");
    assert!(changes(&before, &failed).contains(&RowChange::JudgingFailed(Some("row 9 of 8".into()))));
    fs::write(running.path("c.jpg"), "2400 3000 c").unwrap();
    let after = running.until_state("c.jpg", RowState::Pass);
    assert_eq!(state_of(&after, "b.jpg"), Some(RowState::Pass));
    assert!(changes(&failed, &after).contains(&RowChange::JudgingFailed(None)));
}
