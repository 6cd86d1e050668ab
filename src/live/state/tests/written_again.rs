//! Pictures that are written again while their verdicts are shown, and while new ones are being found.

use super::*;

/// Fails unless the one row shows its picture as arriving, and no row of the table counts as passing.
#[track_caller]
fn is_arriving(bench: &Bench, bytes: u64) {
    let snapshot = bench.snapshot.as_ref().unwrap();
    assert_eq!((bench.row().state_now(), bench.row().arriving_bytes), (RowState::Arriving, Some(bytes)));
    assert_eq!((snapshot.totals.pass, snapshot.totals.pending, snapshot.is_quiet()), (0, 1, false));
}

/// Returns the next question to judge, once it is due.
fn judgement_due(bench: &mut Bench) -> JudgeRequest {
    bench.now += Duration::from_secs(1);
    question_in(bench.state.update(Event::Tick, bench.now)).expect("a judgement is due")
}

#[test]
fn its_verdict_is_gone_with_the_first_look_however_long_judging_takes() {
    let mut bench = Bench { judging_takes: Duration::from_secs(60), ..Bench::with_one(2400) };
    bench.event(Event::BriefRead(Ok(Arc::new(testing::brief("[[print]]\nsize = \"8 x 10 in\"\n\n")))));
    bench.pass(500);
    assert_eq!(bench.row().state_now(), RowState::Pass);
    for bytes in [50, 60] {
        bench.put("a.jpg", bytes, 7, 999, WriteNotice::Open);
        bench.look();
        is_arriving(&bench, bytes);
    }
    bench.pass(120_000);
    is_arriving(&bench, 60);
}

#[test]
fn a_verdict_that_was_being_found_is_not_taken_for_the_new_file_s() {
    let mut bench = Bench::with_one(2400);
    let brief = testing::brief("[[print]]\nsize = \"8 x 10 in\"\n\n");
    bench.state.update(Event::BriefRead(Ok(Arc::new(brief))), bench.now);
    let request = judgement_due(&mut bench);
    bench.put("a.jpg", 50, 7, 999, WriteNotice::Closed);
    bench.look();
    let judged = answer_to(&request, Duration::ZERO);
    let Event::Judged { result: Ok(judgement), .. } = &judged else { panic!("{judged:?}") };
    assert_eq!(judgement.rows[0].state, RowState::Pass, "of the bytes before");
    bench.event(judged);
    is_arriving(&bench, 50);
    bench.pass(500);
    let orders = bench.look();
    bench.read_all(&orders, 900);
    let before = bench.row().export_change.clone().unwrap();
    assert_eq!(
        (bench.row().state_now(), before.state_before, before.first_state),
        (RowState::Fix, RowState::Pass, RowState::Fix)
    );
}

#[test]
fn a_picture_seen_for_the_first_time_is_not_judged_by_bytes_that_are_gone() {
    let mut bench = Bench::new();
    bench.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let orders = bench.look();
    let pixels = bench.answer(&jobs(&orders)[0], 2400);
    let job = jobs(&pixels).remove(0);
    let done = JobResult::Pixels(Ok(ReadPicture::in_memory(testing::evidence("first"))));
    bench.state.update(Event::Worked(job.ticket, done), bench.now);
    let request = judgement_due(&mut bench);
    bench.put("a.jpg", 50, 7, 999, WriteNotice::Open);
    bench.look();
    bench.event(answer_to(&request, Duration::ZERO));
    is_arriving(&bench, 50);
}

#[test]
fn one_that_is_deleted_and_saved_anew_under_its_name_is_arriving_too() {
    let mut bench = Bench::with_one(2400);
    bench.files.files.clear();
    bench.look();
    bench.put("a.jpg", 50, 8, 999, WriteNotice::Open);
    bench.look();
    is_arriving(&bench, 50);
}
