//! A new brief with further colour requirements.

use std::sync::Arc;

use super::{SteppedTable, jobs, kinds};
use crate::judge::RowState;
use crate::live::event::Event;
use crate::live::snapshot::Watching;
use crate::picture::{Fault, FaultKind};
use crate::reading::job::{Job, JobError, JobKind, JobResult};
use crate::reading::testing;
use crate::reading::testing::BRIEF;
use crate::units::growth::grows_less_than_square;

/// Reads a brief with these requirements; returns the colour jobs it leads to.
fn reads(table: &mut SteppedTable, required: &str) -> Vec<Job> {
    let brief = testing::brief(&format!("{required}\n[[print]]\nsize = \"8 x 10 in\""));
    let orders = table.event(Event::BriefRead(Ok(Arc::new(brief))));
    table.pass(500);
    jobs(&orders)
}

const BOTH: &str = "[colour]\nspace = [\"srgb\", \"adobe rgb\"]";
const STRICT: &str = "[density]\nminimum = \"400 ppi\"\ntarget = \"400 ppi\"";

#[test]
fn a_brief_that_asks_more_of_colours_is_taken_up_once_the_workers_answered() {
    let mut table = SteppedTable::with_one(2400);
    let colour_jobs = reads(&mut table, &format!("{BOTH}\n{STRICT}"));
    assert_eq!(colour_jobs.iter().map(Job::kind).collect::<Vec<_>>(), [JobKind::Colours]);
    let waiting = |table: &SteppedTable| table.snapshot.as_ref().unwrap().work.waiting;
    assert_eq!((table.row().state_now(), waiting(&table)), (RowState::Pass, 1), "the old verdict stands");
    assert_eq!(kinds(&table.answer(&colour_jobs[0], 2400)), [], "nothing is read again");
    table.pass(500);
    assert_eq!((table.row().state_now(), waiting(&table)), (RowState::Fix, 0));
    assert_eq!(table.notice(), "brief read again: 1 row changed");
    assert_eq!(reads(&mut table, BOTH), [], "no more is asked");
    assert_eq!(table.row().state_now(), RowState::Pass);
}

#[test]
fn an_answer_costs_the_same_however_many_are_expected() {
    let bench_and_jobs = |count: usize| {
        let (mut table, headers) = SteppedTable::with_many(count);
        for job in &headers {
            let pixels = jobs(&table.answer(job, 2400));
            table.answer(&pixels[0], 2400);
        }
        table.pass(500);
        let colour_jobs = reads(&mut table, BOTH);
        assert_eq!(colour_jobs.len(), count);
        (table, colour_jobs)
    };
    grows_less_than_square(400, bench_and_jobs, |(mut table, colour_jobs): (SteppedTable, Vec<Job>)| {
        colour_jobs.iter().for_each(|job| drop(table.answer(job, 2400)));
        assert_eq!(table.state.brief.last_valid.prints[0].requirements.colour.spaces.len(), 2, "it is taken up");
    });
}

#[test]
fn an_answer_to_an_earlier_brief_is_none_and_one_that_comes_to_grief_is_not_waited_for() {
    let mut table = SteppedTable::with_one(2400);
    let first = reads(&mut table, &format!("{BOTH}\n{STRICT}"));
    let second = reads(&mut table, &format!("[colour]\nspace = [\"srgb\", \"display p3\"]\n{STRICT}"));
    table.answer(&first[0], 2400);
    table.pass(500);
    assert_eq!(table.row().state_now(), RowState::Pass);
    let trouble = JobError::Fault(Fault::new(FaultKind::Internal, "it fell over"));
    table.event(Event::JobDone(second[0].ticket.clone(), JobResult::Colours(Err(trouble))));
    table.pass(500);
    assert_eq!(table.row().state_now(), RowState::Fix);
}

#[test]
fn a_brief_is_not_kept_waiting_by_what_is_gone_or_by_a_folder_that_is_away() {
    for away in [true, false] {
        let mut table = SteppedTable::with_one(2400);
        reads(&mut table, &format!("{BOTH}\n{STRICT}"));
        if away {
            table.event(Event::FolderAway(Watching::Gone));
        } else {
            table.files.files.clear();
        }
        table.look();
        table.pass(500);
        let snapshot = table.snapshot.as_ref().unwrap();
        assert_eq!(
            (snapshot.work.waiting, snapshot.brief.prints[0].requirements.colour.spaces.len()),
            (0, 2),
            "{away}"
        );
    }
}

#[test]
fn a_brief_that_is_taken_back_while_its_colours_are_worked_out_changes_nothing() {
    let mut table = SteppedTable::with_one(2400);
    let colour_jobs = reads(&mut table, &format!("{BOTH}\n{STRICT}"));
    table.event(Event::BriefRead(Ok(Arc::new(testing::brief(BRIEF)))));
    table.answer(&colour_jobs[0], 2400);
    table.pass(500);
    assert_eq!((table.row().state_now(), table.snapshot.as_ref().unwrap().work.waiting), (RowState::Pass, 0));
}
