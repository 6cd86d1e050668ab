//! Records which worker does which job since when: jobs that take too long are written off, and their workers replaced,
//! up to a limit.

use std::time::Instant;

use super::job::{JobKind, Ticket};
use super::limits;
use super::memory_budget::Permit;

/// The jobs that a worker takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorkerRole {
    /// Any job.
    Any,
    /// Only jobs that take milliseconds; one such worker is wanted.
    LightOnly,
}

/// The workers and their current jobs. A worker hangs from when its job is written off until it comes back.
#[derive(Debug)]
pub struct WorkerRoster {
    /// Number of workers wanted for any job.
    wanted: usize,
    /// Number of those that do not hang.
    any: usize,
    /// Number of workers for light jobs that do not hang.
    light: usize,
    hanging: usize,
    running: Vec<RunningJob>,
    /// Number of jobs begun so far.
    begun: u64,
}

/// A job under way.
#[derive(Debug)]
pub struct RunningJob {
    number: u64,
    since: Instant,
    /// The job's file.
    pub ticket: Ticket,
    /// The job's kind.
    pub kind: JobKind,
    /// Its worker's role.
    pub role: WorkerRole,
    /// Its memory, released at its end or when it is written off: a job that hangs must not make the others wait.
    _permit: Option<Permit>,
}

/// How a job ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JobEnd {
    /// In time: its result counts.
    InTime,
    /// After it was written off; its worker goes on, since it was not replaced.
    NeededAgain,
    /// After it was written off; its worker has been replaced.
    Replaced,
}

impl WorkerRoster {
    /// Creates a roster without workers; `wanted` is the number wanted for any job.
    pub fn new(wanted: usize) -> WorkerRoster {
        WorkerRoster { wanted, any: 0, light: 0, hanging: 0, running: Vec::new(), begun: 0 }
    }

    /// Counts a worker that begins.
    pub fn add(&mut self, role: WorkerRole) {
        *self.count(role) += 1;
    }

    /// Removes a worker from the count.
    pub fn remove(&mut self, role: WorkerRole) {
        *self.count(role) -= 1;
    }

    /// Returns the number of workers for any job that do not hang.
    pub fn responsive_workers(&self) -> usize {
        self.any
    }

    /// True if some workers for any job are idle.
    pub fn some_are_idle(&self) -> bool {
        self.running.iter().filter(|job| job.role == WorkerRole::Any).count() < self.any
    }

    /// Records a job's start; returns its number.
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

    /// Records the end of the job with this number.
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

    /// Writes off the jobs that take too long. Returns with each whether its worker is to be replaced: up to a limit,
    /// which is higher where no worker would be left.
    pub fn write_off(&mut self, now: Instant) -> Vec<(RunningJob, bool)> {
        let is_overdue = |job: &mut RunningJob| now.duration_since(job.since) >= limits::WRITTEN_OFF_AFTER;
        let overdue: Vec<RunningJob> = self.running.extract_if(.., is_overdue).collect();
        overdue.into_iter().map(|job| self.mark_hanging(job)).collect()
    }

    fn mark_hanging(&mut self, job: RunningJob) -> (RunningJob, bool) {
        self.remove(job.role);
        self.hanging += 1;
        let nobody_is_left = *self.count(job.role) == 0;
        let most = if nobody_is_left { limits::MAX_HANGING } else { limits::MAX_WRITTEN_OFF };
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
        let stamp = Stamp { bytes: 1, identity: FileIdentity::default() };
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
        assert_eq!(roster.responsive_workers(), 1);
        roster.add(WorkerRole::Any);
        assert_eq!((roster.end(slow, WorkerRole::Any), roster.responsive_workers()), (JobEnd::Replaced, 2));
    }

    #[test]
    fn the_last_one_is_replaced_longer_than_the_others() {
        let start = Instant::now();
        for (workers, most) in [(1, limits::MAX_HANGING), (2, limits::MAX_WRITTEN_OFF)] {
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
