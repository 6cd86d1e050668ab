//! Pictures that are written again while their verdicts are shown, and while new ones are being found.

use super::*;

/// Fails unless the one row shows its picture as arriving, and no row of the table counts as passing.
#[track_caller]
fn is_arriving(table: &SteppedTable, bytes: u64) {
    let snapshot = table.snapshot.as_ref().unwrap();
    assert_eq!((table.row().state_now(), table.row().arriving_bytes), (RowState::Arriving, Some(bytes)));
    assert_eq!((snapshot.totals.pass, snapshot.totals.pending, snapshot.is_quiet()), (0, 1, false));
}

/// Returns the next question to judge, once it is due.
fn judgement_due(table: &mut SteppedTable) -> JudgeRequest {
    table.now += Duration::from_secs(1);
    question_in(table.state.update(Event::Tick, table.now)).expect("a judgement is due")
}

#[test]
fn its_verdict_is_gone_with_the_first_look_however_long_judging_takes() {
    let mut table = SteppedTable { judging_takes: Duration::from_secs(60), ..SteppedTable::with_one(2400) };
    table.event(Event::BriefRead(Ok(Arc::new(testing::brief("[[print]]\nsize = \"8 x 10 in\"\n\n")))));
    table.pass(500);
    assert_eq!(table.row().state_now(), RowState::Pass);
    for bytes in [50, 60] {
        table.put("a.jpg", bytes, 7, 999, WriteNotice::Open);
        table.look();
        is_arriving(&table, bytes);
    }
    table.pass(120_000);
    is_arriving(&table, 60);
}

#[test]
fn a_verdict_that_was_being_found_is_not_taken_for_the_new_file_s() {
    let mut table = SteppedTable::with_one(2400);
    let brief = testing::brief("[[print]]\nsize = \"8 x 10 in\"\n\n");
    table.state.update(Event::BriefRead(Ok(Arc::new(brief))), table.now);
    let request = judgement_due(&mut table);
    table.put("a.jpg", 50, 7, 999, WriteNotice::Closed);
    table.look();
    let judged = answer_to(&request, Duration::ZERO);
    let Event::Judged { result: Ok(judgement), .. } = &judged else { panic!("{judged:?}") };
    assert_eq!(judgement.rows[0].state, RowState::Pass, "of the bytes before");
    table.event(judged);
    is_arriving(&table, 50);
    table.pass(500);
    let orders = table.look();
    table.read_all(&orders, 900);
    let before = table.row().export_change.clone().unwrap();
    assert_eq!(
        (table.row().state_now(), before.state_before, before.first_state),
        (RowState::Fix, RowState::Pass, RowState::Fix)
    );
}

#[test]
fn a_picture_seen_for_the_first_time_is_not_judged_by_bytes_that_are_gone() {
    let mut table = SteppedTable::new();
    table.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let orders = table.look();
    let pixels = table.answer(&jobs(&orders)[0], 2400);
    let job = jobs(&pixels).remove(0);
    let done = JobResult::Pixels(Ok(ReadPicture::in_memory(testing::evidence("first"))));
    table.state.update(Event::JobDone(job.ticket, done), table.now);
    let request = judgement_due(&mut table);
    table.put("a.jpg", 50, 7, 999, WriteNotice::Open);
    table.look();
    table.event(answer_to(&request, Duration::ZERO));
    is_arriving(&table, 50);
}

#[test]
fn one_that_is_deleted_and_saved_anew_under_its_name_is_arriving_too() {
    let mut table = SteppedTable::with_one(2400);
    table.files.files.clear();
    table.look();
    table.put("a.jpg", 50, 8, 999, WriteNotice::Open);
    table.look();
    is_arriving(&table, 50);
}
