//! The cost of many pictures.

use super::*;
use crate::units::growth::grows_less_than_square;

#[test]
fn what_is_read_of_one_picture_costs_the_same_however_many_there_are() {
    let read = |(mut table, headers): (SteppedTable, Vec<Job>)| {
        let pixels: Vec<Job> = headers.iter().flat_map(|job| jobs(&table.answer(job, 2400))).collect();
        pixels.iter().for_each(|job| drop(table.answer(job, 2400)));
        assert_eq!(table.state.entries.waiting(), 0);
    };
    let looked_at = |count: usize| {
        let (mut table, headers) = SteppedTable::with_many(count);
        table.pass(500);
        (table, headers)
    };
    grows_less_than_square(1_000, looked_at, read);
}

#[test]
fn thousands_that_are_to_be_read_again_at_their_own_times_are_looked_through_together() {
    let (mut table, headers) = SteppedTable::with_many(200);
    let mut orders = Vec::new();
    for job in headers {
        table.now += Duration::from_millis(1);
        let fault = Fault::new(FaultKind::Unreachable, "not now");
        table.event(Event::JobDone(job.ticket, JobResult::Header(Err(JobError::Fault(fault)))));
    }
    let mut looks = 0;
    while orders.len() < 200 {
        table.now = table.state.next_wake().expect("some are to be read again");
        orders.extend(jobs(&table.event(Event::Tick)));
        looks += 1;
    }
    assert!(looks < 20, "{looks}");
}
