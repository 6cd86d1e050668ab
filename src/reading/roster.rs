//! Who works, at what and since when: jobs that take too long are written off, and their workers replaced, up to a
//! limit.

use std::time::Instant;

use super::job::{JobKind, Ticket};
use super::limits;
use super::memory_budget::Permit;

/// What a worker takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkerRole {
    /// Any job.
    Any,
    /// Only jobs that take milliseconds; one such worker is wanted.
    LightOnly,
}

/// The workers and the jobs that they are at. A worker hangs once its job was written off, until it comes back.
#[derive(Debug)]
pub struct WorkerRoster {
    /// Workers that are wanted for any job.
    wanted: usize,
    /// Those of them that do not hang.
    any: usize,
    /// Workers for light jobs that do not hang.
    light: usize,
    hanging: usize,
    running: Vec<RunningJob>,
    /// Jobs begun so far.
    begun: u64,
}

/// A job under way.
#[derive(Debug)]
pub struct RunningJob {
    number: u64,
    since: Instant,
    /// Of which file.
    pub ticket: Ticket,
    /// Its kind.
    pub kind: JobKind,
    /// Who does it.
    pub role: WorkerRole,
    /// Its memory, given back at its end or when it is written off: a job that hangs must not make the others wait.
    _permit: Option<Permit>,
}

/// How a job ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JobEnd {
    /// In time: its result counts.
    InTime,
    /// After it was written off; its worker goes on, since no other took its place.
    NeededAgain,
    /// After it was written off; another works in its worker's place.
    Replaced,
}

impl WorkerRoster {
    /// No workers yet; so many are wanted for any job.
    pub fn new(wanted: usize) -> WorkerRoster {
        WorkerRoster { wanted, any: 0, light: 0, hanging: 0, running: Vec::new(), begun: 0 }
    }

    /// A worker begins.
    pub fn add(&mut self, role: WorkerRole) {
        *self.count(role) += 1;
    }

    /// A worker that was to begin does not.
    pub fn remove(&mut self, role: WorkerRole) {
        *self.count(role) -= 1;
    }

    /// Workers for any job that do not hang.
    pub fn working(&self) -> usize {
        self.any
    }

    /// Whether fewer workers for any job are at one than there are.
    pub fn some_are_idle(&self) -> bool {
        self.running.iter().filter(|job| job.role == WorkerRole::Any).count() < self.any
    }

    /// A job begins; its number.
    pub fn begin(
        &mut self,
        ticket: Ticket,
        kind: JobKind,
        role: WorkerRole,
        permit: Option<Permit>,
        now: Instant,
    ) -> u64 {
        self.begun += 1;
        self.running.push(RunningJob { number: self.begun, since: now, ticket, kind, role, _permit: permit });
        self.begun
    }

    /// The job of this number ends.
    pub fn end(&mut self, number: u64, role: WorkerRole) -> JobEnd {
        if let Some(at) = self.running.iter().position(|job| job.number == number) {
            self.running.swap_remove(at);
            return JobEnd::InTime;
        }
        self.hanging -= 1;
        let (there, wanted) = match role {
            WorkerRole::Any => (self.any, self.wanted),
            WorkerRole::LightOnly => (self.light, 1),
        };
        if there >= wanted {
            return JobEnd::Replaced;
        }
        self.add(role);
        JobEnd::NeededAgain
    }

    /// Writes off the jobs that take too long. With each, whether another worker is to take the place of its own: up to
    /// a limit, which is higher where nobody would be left.
    pub fn write_off(&mut self, now: Instant) -> Vec<(RunningJob, bool)> {
        let is_overdue = |job: &mut RunningJob| now.duration_since(job.since) >= limits::WRITTEN_OFF_AFTER;
        let overdue: Vec<RunningJob> = self.running.extract_if(.., is_overdue).collect();
        overdue.into_iter().map(|job| self.hangs(job)).collect()
    }

    fn hangs(&mut self, job: RunningJob) -> (RunningJob, bool) {
        self.remove(job.role);
        self.hanging += 1;
        let nobody_is_left = *self.count(job.role) == 0;
        let most = if nobody_is_left { limits::MOST_HANGING } else { limits::MOST_WRITTEN_OFF };
        (job, self.hanging <= most)
    }

    fn count(&mut self, role: WorkerRole) -> &mut usize {
        match role {
            WorkerRole::Any => &mut self.any,
            WorkerRole::LightOnly => &mut self.light,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::os::FileIdentity;
    use crate::picture::PictureKey;
    use crate::reading::scan::Stamp;

    fn begin(roster: &mut WorkerRoster, role: WorkerRole, now: Instant) -> u64 {
        let stamp = Stamp { bytes: 1, marks: FileIdentity::default() };
        let ticket = Ticket { key: PictureKey::from_text("a"), path: "a".into(), stamp, version: 1 };
        roster.begin(ticket, JobKind::Pixels, role, None, now)
    }

    #[test]
    fn a_job_is_written_off_at_its_limit_and_its_worker_is_replaced_or_goes_on() {
        let start = Instant::now();
        let mut roster = WorkerRoster::new(2);
        [WorkerRole::Any, WorkerRole::Any, WorkerRole::LightOnly].into_iter().for_each(|role| roster.add(role));
        let slow = begin(&mut roster, WorkerRole::Any, start);
        let quick = begin(&mut roster, WorkerRole::Any, start);
        assert!(!roster.some_are_idle());
        assert_eq!(roster.end(quick, WorkerRole::Any), JobEnd::InTime);
        let limit = start + limits::WRITTEN_OFF_AFTER;
        assert!(roster.write_off(limit - std::time::Duration::from_millis(1)).is_empty());
        assert_eq!(roster.write_off(limit).iter().map(|(_, replaced)| *replaced).collect::<Vec<_>>(), [true]);
        assert_eq!(roster.working(), 1);
        roster.add(WorkerRole::Any);
        assert_eq!((roster.end(slow, WorkerRole::Any), roster.working()), (JobEnd::Replaced, 2));
    }

    #[test]
    fn the_last_one_is_replaced_longer_than_the_others() {
        let start = Instant::now();
        for (workers, most) in [(1, limits::MOST_HANGING), (2, limits::MOST_WRITTEN_OFF)] {
            let mut roster = WorkerRoster::new(workers);
            (0..workers).for_each(|_| roster.add(WorkerRole::Any));
            for hanging in 1..=most + 1 {
                let number = begin(&mut roster, WorkerRole::Any, start);
                let replaced = roster.write_off(start + limits::WRITTEN_OFF_AFTER)[0].1;
                assert_eq!(replaced, hanging <= most, "{hanging} of {workers}");
                if replaced {
                    roster.add(WorkerRole::Any);
                } else {
                    assert_eq!(roster.end(number, WorkerRole::Any), JobEnd::NeededAgain);
                }
            }
        }
    }
}
