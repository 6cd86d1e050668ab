//! Events while rows are judged on another thread.

use super::*;

/// A live table with one judged picture and a judgement under way, requested by a new brief of the same meaning.
fn under_way() -> (Bench, JudgeRequest) {
    let mut bench = Bench::with_one(2400);
    let request = asked_by(&mut bench, "[[print]]\nsize = \"8 x 10 in\"\n\n");
    (bench, request)
}

/// Returns the question that a brief leads to.
fn asked_by(bench: &mut Bench, text: &str) -> JudgeRequest {
    bench.state.update(Event::BriefRead(Ok(Arc::new(testing::brief(text)))), bench.now);
    bench.now += Duration::from_secs(1);
    question_in(bench.state.update(Event::Tick, bench.now)).expect("a judgement is due")
}

/// Answers a question; the next question is left unanswered.
fn answered(bench: &mut Bench, request: &JudgeRequest) -> Vec<Effect> {
    let effects = bench.state.update(answer_to(request, Duration::ZERO), bench.now);
    bench.snapshot = bench.state.take_snapshot().or(bench.snapshot.take());
    effects
}

/// Adds a sound picture and lets it be read.
fn read_another(bench: &mut Bench, name: &str, inode: u64) {
    bench.put(name, 100, inode, 1_000, WriteNotice::Closed);
    bench.look();
    bench.now += limits::QUIET_AFTER_CLOSE;
    let mut waiting = jobs(&bench.look());
    while let Some(job) = waiting.pop() {
        waiting.extend(jobs(&bench.answer(&job, 2400)));
    }
}

#[test]
fn what_arrives_while_rows_are_judged_waits_for_the_answer_and_is_judged_then() {
    let (mut bench, request) = under_way();
    let judged = bench.judged;
    read_another(&mut bench, "b.jpg", 8);
    bench.pass(60_000);
    assert_eq!(bench.judged, judged, "no other judgement began");
    assert!(!bench.snapshot.as_ref().unwrap().is_quiet());
    let next = question_in(answered(&mut bench, &request)).expect("b.jpg is judged next");
    assert_eq!(bench.snapshot.as_ref().unwrap().rows.len(), 1, "it was not asked for b.jpg");
    assert!(!bench.snapshot.as_ref().unwrap().is_quiet());
    assert_eq!(bench.notice(), "brief read again: no row changed");
    answered(&mut bench, &next);
    let snapshot = bench.snapshot.as_ref().unwrap();
    assert_eq!((snapshot.totals.pass, snapshot.is_quiet()), (2, true));
    assert_eq!(bench.notice(), "b.jpg arrived");
}

#[test]
fn a_picture_that_was_read_while_rows_were_judged_is_not_read_again() {
    let mut bench = Bench::with_one(2400);
    bench.put("b.jpg", 100, 8, 1_000, WriteNotice::Closed);
    bench.look();
    bench.now += limits::QUIET_AFTER_CLOSE;
    let header = jobs(&bench.look()).remove(0);
    let pixels = jobs(&bench.answer(&header, 2400)).remove(0);
    let request = asked_by(&mut bench, "[[print]]\nsize = \"8 x 10 in\"\n\n");
    bench.answer(&pixels, 2400);
    assert_eq!(kinds(&answered(&mut bench, &request)), [], "the answer knew only its header");
    bench.pass(500);
    assert_eq!(bench.snapshot.as_ref().unwrap().totals.pass, 2);
}

#[test]
fn a_newer_brief_supersedes_the_judgement_under_way_whose_answer_is_dropped() {
    let (mut bench, first) = under_way();
    let strict = "[density]\nminimum = \"400 ppi\"\ntarget = \"400 ppi\"\n[[print]]\nsize = \"8 x 10 in\"\n";
    let second = asked_by(&mut bench, strict);
    assert!(second.number > first.number);
    answered(&mut bench, &first);
    assert_eq!(bench.row().row.state, RowState::Pass, "an answer to a question that nobody asks any more");
    assert!(!bench.snapshot.as_ref().unwrap().is_quiet());
    answered(&mut bench, &second);
    assert_eq!(bench.row().row.state, RowState::Fix);
    assert!(bench.snapshot.as_ref().unwrap().is_quiet());
    assert_eq!(bench.notice(), "brief read again: 1 row changed");
}

#[test]
fn a_picture_that_gets_another_name_while_rows_are_judged_keeps_its_verdict_and_no_history() {
    let (mut bench, request) = under_way();
    bench.files.files.clear();
    bench.put("b.jpg", 100, 7, 10, WriteNotice::Closed);
    bench.look();
    answered(&mut bench, &request);
    bench.pass(500);
    let snapshot = bench.snapshot.as_ref().unwrap();
    assert_eq!(snapshot.rows.len(), 1);
    assert_eq!(bench.row().row.key.picture, Some(PictureKey::from_text("b.jpg")));
    assert_eq!((bench.row().state_now(), bench.row().export_change.is_none()), (RowState::Pass, true));
    assert_eq!(bench.notice(), "a.jpg renamed to b.jpg");
}

#[test]
fn a_panic_leaves_the_rows_as_they_were_says_so_and_is_over_with_the_next_answer() {
    let (mut bench, request) = under_way();
    let judged = bench.judged;
    let rows = bench.snapshot.as_ref().unwrap().rows.clone();
    let failed = Event::Judged { number: request.number, result: Err("row 9 of 8\u{1b}".into()), took: Duration::ZERO };
    bench.event(failed);
    let snapshot = bench.snapshot.clone().unwrap();
    assert_eq!((&snapshot.rows, snapshot.judging.failed.as_deref()), (&rows, Some("row 9 of 8\u{1b}")));
    assert!(snapshot.is_quiet() && bench.notice().contains("checking failed inside plateside: row 9 of 8\\u{1b}"));
    bench.pass(60_000);
    assert_eq!(bench.judged, judged, "the same is not judged again");
    read_another(&mut bench, "b.jpg", 8);
    bench.pass(500);
    let snapshot = bench.snapshot.as_ref().unwrap();
    assert_eq!((snapshot.rows.len(), &snapshot.judging.failed), (2, &None));
    assert_eq!(bench.notice(), "brief read again: no row changed", "what the failed one would have reported");
}

#[test]
fn a_table_whose_first_judgement_fails_says_so_and_is_no_longer_waited_for() {
    let mut bench = Bench::new();
    bench.state.update(Event::Scanned(bench.files.clone(), Watching::Notified), bench.now);
    bench.now += limits::JUDGE_DELAY;
    let request = question_in(bench.state.update(Event::Tick, bench.now)).unwrap();
    bench.event(Event::Judged { number: request.number, result: Err("why".into()), took: Duration::ZERO });
    assert!(bench.snapshot.as_ref().is_some_and(|snapshot| snapshot.judging.failed.is_some()));
}
