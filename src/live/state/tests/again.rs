//! Files that could not be read, or were away, and are read again.

use super::*;
use crate::live::limits;

#[test]
fn a_file_that_ends_too_early_is_read_four_times_more_while_it_is_young() {
    let mut table = SteppedTable::empty();
    table.put("a.jpg", 100, 7, 1_000, WriteNotice::Closed);
    table.look();
    table.now += limits::QUIET_AFTER_CLOSE;
    let mut waiting = jobs(&table.look());
    for wait in limits::RETRY_AFTER {
        let job = waiting.remove(0);
        let short = JobResult::Header(Err(JobError::Fault(Fault::truncated("ends early"))));
        assert_eq!(kinds(&table.event(Event::JobDone(job.ticket, short))), []);
        table.pass(400);
        assert_eq!(table.row().state_now(), RowState::Checking);
        waiting = jobs(&table.pass(u64::try_from(wait.as_millis()).unwrap() - 400));
        assert_eq!(waiting.len(), 1, "after {wait:?}");
    }
    let short = JobResult::Header(Err(JobError::Fault(Fault::truncated("ends early"))));
    table.event(Event::JobDone(waiting.remove(0).ticket, short));
    assert_eq!(kinds(&table.pass(20_000)), []);
    assert_eq!(table.row().state_now(), RowState::Fix);
}

#[test]
fn an_old_file_that_ends_too_early_is_said_so_at_once() {
    let mut table = SteppedTable::new();
    table.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let job = jobs(&table.look()).remove(0);
    table.event(Event::JobDone(job.ticket, JobResult::Header(Err(JobError::Fault(Fault::truncated("ends early"))))));
    table.pass(500);
    assert_eq!(table.row().state_now(), RowState::Fix);
}

#[test]
fn a_folder_that_comes_back_unchanged_is_not_read_again() {
    let mut table = SteppedTable::with_one(2400);
    table.event(Event::FolderAway(Watching::Gone));
    assert_eq!((&table.snapshot.as_ref().unwrap().watching, table.row().row.state), (&Watching::Gone, RowState::Pass));
    let mut orders = table.look();
    orders.extend(table.pass(500));
    assert_eq!((kinds(&orders), table.notice()), (vec![], "the folder is back"));
    table.files.files.clear();
    table.look();
    table.pass(500);
    assert!(table.snapshot.as_ref().unwrap().rows.iter().all(|row| row.row.key.picture.is_none()));
    assert_eq!(table.notice(), "a.jpg is gone");
}

#[test]
fn a_file_that_the_system_would_not_let_us_read_is_read_again_by_itself_and_when_asked() {
    let unreachable = || JobResult::Header(Err(JobError::Fault(std::io::Error::from_raw_os_error(5).into())));
    for is_asked in [false, true] {
        let mut table = SteppedTable::new();
        table.put("a.jpg", 100, 7, 10, WriteNotice::None);
        let job = jobs(&table.look()).remove(0);
        table.event(Event::JobDone(job.ticket, unreachable()));
        table.pass(500);
        assert_eq!(table.row().state_now(), RowState::Fix);
        let again = if is_asked {
            table.event(Event::Command(LiveCommand::Rescan))
        } else {
            table.pass(limits::UNREACHABLE_AGAIN.as_millis().try_into().unwrap())
        };
        assert_eq!(kinds(&again), [JobKind::Header], "asked: {is_asked}");
        table.event(Event::JobDone(jobs(&again).remove(0).ticket, unreachable()));
        table.pass(500);
        let work = &table.snapshot.as_ref().unwrap().work;
        assert_eq!((table.row().state_now(), work.waiting, work.done), (RowState::Fix, 0, 0));
        let again = table.pass(limits::UNREACHABLE_AGAIN.as_millis().try_into().unwrap());
        table.read_all(&again, 2400);
        assert_eq!(table.row().state_now(), RowState::Pass);
        assert_eq!(kinds(&table.pass(100_000)), []);
    }
}

#[test]
fn a_file_that_was_away_when_it_was_to_be_read_again_is_read_once_it_is_back() {
    let unreachable = || JobResult::Header(Err(JobError::Fault(std::io::Error::from_raw_os_error(5).into())));
    let later = || limits::UNREACHABLE_AGAIN.as_millis().try_into().unwrap();
    for renamed in [false, true] {
        let mut table = SteppedTable::new();
        table.put("a.jpg", 100, 7, 10, WriteNotice::None);
        let job = jobs(&table.look()).remove(0);
        table.event(Event::JobDone(job.ticket, unreachable()));
        let again = jobs(&table.pass(later())).remove(0);
        // While it is being read again the mount is away for a moment, or the file is renamed.
        if renamed {
            table.files.files.clear();
            table.put("b.jpg", 100, 7, 10, WriteNotice::None);
            table.look();
        }
        table.event(Event::JobDone(again.ticket, JobResult::Header(Err(JobError::Changed))));
        table.look();
        let again = table.pass(later());
        assert_eq!(kinds(&again), [JobKind::Header], "renamed: {renamed}");
        table.read_all(&again, 2400);
        assert_eq!(table.row().state_now(), RowState::Pass, "renamed: {renamed}");
    }
}

#[test]
fn what_was_written_off_is_read_again_when_asked_and_not_by_itself() {
    let mut table = SteppedTable::new();
    table.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let job = jobs(&table.look()).remove(0);
    let fault = Fault::new(FaultKind::Internal, "reading it took longer than 60 seconds");
    table.event(Event::JobDone(job.ticket, JobResult::Header(Err(JobError::Fault(fault)))));
    assert_eq!(kinds(&table.pass(100_000)), []);
    let again = table.event(Event::Command(LiveCommand::Rescan));
    assert_eq!(kinds(&again), [JobKind::Header]);
    table.read_all(&again, 2400);
    assert_eq!(table.row().state_now(), RowState::Pass);
}

#[test]
fn where_everyone_hangs_it_is_said() {
    let mut table = SteppedTable::with_one(2400);
    assert_eq!(kinds(&table.event(Event::AllHang)), []);
    assert!(table.notice().contains("reading waits for it"), "{}", table.notice());
}

#[test]
fn a_picture_that_was_being_read_while_the_folder_was_away_is_read_to_its_end() {
    /// Takes the folder away for a moment; returns the header job requested once it is back.
    fn away_and_back(table: &mut SteppedTable) -> Job {
        table.event(Event::FolderAway(Watching::Gone));
        table.look();
        table.pass(limits::QUIET_WITHOUT_NOTICE.as_millis().try_into().unwrap());
        jobs(&table.look()).remove(0)
    }
    // Pixels begun before arrive while the header is read again.
    let mut table = SteppedTable::new();
    table.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let header = jobs(&table.look()).remove(0);
    let pixels = jobs(&table.answer(&header, 2400)).remove(0);
    let header = away_and_back(&mut table);
    table.answer(&pixels, 2400);
    table.read_all(&[Effect::Read(header)], 2400);
    assert_eq!(table.row().state_now(), RowState::Pass);
    assert!(table.snapshot.as_ref().unwrap().is_quiet());
    // A header begun before arrives once everything is read.
    let mut table = SteppedTable::new();
    table.put("a.jpg", 100, 7, 10, WriteNotice::None);
    let early = jobs(&table.look()).remove(0);
    let late = away_and_back(&mut table);
    table.read_all(&[Effect::Read(early)], 2400);
    let more = table.answer(&late, 2400);
    table.read_all(&more, 2400);
    assert_eq!(table.row().state_now(), RowState::Pass);
    assert!(table.snapshot.as_ref().unwrap().is_quiet());
}
