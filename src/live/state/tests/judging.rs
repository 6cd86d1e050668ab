//! Events while rows are judged on another thread.

use super::*;

/// A live table with one judged picture and a judgement under way, requested by a new brief of the same meaning.
fn under_way() -> (SteppedTable, JudgeRequest) {
    let mut table = SteppedTable::with_one(2400);
    let request = asked_by(&mut table, "[[print]]\nsize = \"8 x 10 in\"\n\n");
    (table, request)
}

/// Returns the question that a brief leads to.
fn asked_by(table: &mut SteppedTable, text: &str) -> JudgeRequest {
    table.state.update(Event::BriefRead(Ok(Arc::new(testing::brief(text)))), table.now);
    table.now += Duration::from_secs(1);
    question_in(table.state.update(Event::Tick, table.now)).expect("a judgement is due")
}

/// Answers a question; the next question is left unanswered.
fn answered(table: &mut SteppedTable, request: &JudgeRequest) -> Vec<Effect> {
    let effects = table.state.update(answer_to(request, Duration::ZERO), table.now);
    table.snapshot = table.state.take_snapshot().or(table.snapshot.take());
    effects
}

/// Adds a sound picture and lets it be read.
fn read_another(table: &mut SteppedTable, name: &str, inode: u64) {
    table.put(name, 100, inode, 1_000, WriteNotice::Closed);
    table.look();
    table.now += limits::QUIET_AFTER_CLOSE;
    let mut waiting = jobs(&table.look());
    while let Some(job) = waiting.pop() {
        waiting.extend(jobs(&table.answer(&job, 2400)));
    }
}

#[test]
fn what_arrives_while_rows_are_judged_waits_for_the_answer_and_is_judged_then() {
    let (mut table, request) = under_way();
    let judged = table.judged;
    read_another(&mut table, "b.jpg", 8);
    table.pass(60_000);
    assert_eq!(table.judged, judged, "no other judgement began");
    assert!(!table.snapshot.as_ref().unwrap().is_quiet());
    let next = question_in(answered(&mut table, &request)).expect("b.jpg is judged next");
    assert_eq!(table.snapshot.as_ref().unwrap().rows.len(), 1, "it was not asked for b.jpg");
    assert!(!table.snapshot.as_ref().unwrap().is_quiet());
    assert_eq!(table.notice(), "brief read again: no row changed");
    answered(&mut table, &next);
    let snapshot = table.snapshot.as_ref().unwrap();
    assert_eq!((snapshot.totals.pass, snapshot.is_quiet()), (2, true));
    assert_eq!(table.notice(), "b.jpg arrived");
}

#[test]
fn a_picture_that_was_read_while_rows_were_judged_is_not_read_again() {
    let mut table = SteppedTable::with_one(2400);
    table.put("b.jpg", 100, 8, 1_000, WriteNotice::Closed);
    table.look();
    table.now += limits::QUIET_AFTER_CLOSE;
    let header = jobs(&table.look()).remove(0);
    let pixels = jobs(&table.answer(&header, 2400)).remove(0);
    let request = asked_by(&mut table, "[[print]]\nsize = \"8 x 10 in\"\n\n");
    table.answer(&pixels, 2400);
    assert_eq!(kinds(&answered(&mut table, &request)), [], "the answer knew only its header");
    table.pass(500);
    assert_eq!(table.snapshot.as_ref().unwrap().totals.pass, 2);
}

#[test]
fn a_newer_brief_supersedes_the_judgement_under_way_whose_answer_is_dropped() {
    let (mut table, first) = under_way();
    let strict = "[density]\nminimum = \"400 ppi\"\ntarget = \"400 ppi\"\n[[print]]\nsize = \"8 x 10 in\"\n";
    let second = asked_by(&mut table, strict);
    assert!(second.number > first.number);
    answered(&mut table, &first);
    assert_eq!(table.row().row.state, RowState::Pass, "an answer to a question that nobody asks any more");
    assert!(!table.snapshot.as_ref().unwrap().is_quiet());
    answered(&mut table, &second);
    assert_eq!(table.row().row.state, RowState::Fix);
    assert!(table.snapshot.as_ref().unwrap().is_quiet());
    assert_eq!(table.notice(), "brief read again: 1 row changed");
}

#[test]
fn a_picture_that_gets_another_name_while_rows_are_judged_keeps_its_verdict_and_no_history() {
    let (mut table, request) = under_way();
    table.files.files.clear();
    table.put("b.jpg", 100, 7, 10, WriteNotice::Closed);
    table.look();
    answered(&mut table, &request);
    table.pass(500);
    let snapshot = table.snapshot.as_ref().unwrap();
    assert_eq!(snapshot.rows.len(), 1);
    assert_eq!(table.row().row.key.picture, Some(PictureKey::from_text("b.jpg")));
    assert_eq!((table.row().state_now(), table.row().export_change.is_none()), (RowState::Pass, true));
    assert_eq!(table.notice(), "a.jpg renamed to b.jpg");
}

#[test]
fn a_panic_leaves_the_rows_as_they_were_says_so_and_is_over_with_the_next_answer() {
    let (mut table, request) = under_way();
    let judged = table.judged;
    let rows = table.snapshot.as_ref().unwrap().rows.clone();
    let failed = Event::Judged { number: request.number, result: Err("row 9 of 8\u{1b}".into()), took: Duration::ZERO };
    table.event(failed);
    let snapshot = table.snapshot.clone().unwrap();
    assert_eq!((&snapshot.rows, snapshot.judging.failed.as_deref()), (&rows, Some("row 9 of 8\u{1b}")));
    assert!(snapshot.is_quiet() && table.notice().contains("checking failed inside plateside: row 9 of 8\\u{1b}"));
    table.pass(60_000);
    assert_eq!(table.judged, judged, "the same is not judged again");
    read_another(&mut table, "b.jpg", 8);
    table.pass(500);
    let snapshot = table.snapshot.as_ref().unwrap();
    assert_eq!((snapshot.rows.len(), &snapshot.judging.failed), (2, &None));
    assert_eq!(table.notice(), "brief read again: no row changed", "what the failed one would have reported");
}

#[test]
fn a_table_whose_first_judgement_fails_says_so_and_is_no_longer_waited_for() {
    let mut table = SteppedTable::new();
    table.state.update(Event::Scanned(table.files.clone(), Watching::Notified), table.now);
    table.now += limits::JUDGE_DELAY;
    let request = question_in(table.state.update(Event::Tick, table.now)).unwrap();
    table.event(Event::Judged { number: request.number, result: Err("why".into()), took: Duration::ZERO });
    assert!(table.snapshot.as_ref().is_some_and(|snapshot| snapshot.judging.failed.is_some()));
}
