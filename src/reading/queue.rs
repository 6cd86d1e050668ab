//! The jobs waiting: the most urgent kind first; within a kind the pictures on screen, then the newest.
//!
//! Holds at most one job of a kind for a picture, so it is bounded by the folder's bound.

use std::collections::{BTreeMap, HashMap};

use crate::picture::PictureKey;

use super::job::{Job, JobKind};

/// A job's position in the queue: kind, then the newest first, then by name.
type QueuePosition = (JobKind, std::cmp::Reverse<i128>, PictureKey);

/// The waiting jobs.
#[derive(Debug, Default)]
pub struct Queue {
    waiting: BTreeMap<QueuePosition, Job>,
    places: HashMap<(PictureKey, JobKind), QueuePosition>,
    first: Vec<PictureKey>,
}

impl Queue {
    /// Adds a job, replacing one of its kind for the same picture.
    pub fn push(&mut self, job: Job) {
        let key = job.ticket.key.clone();
        let place = (job.kind(), std::cmp::Reverse(job.ticket.stamp.identity.modified_ns), key.clone());
        if let Some(old) = self.places.insert((key, job.kind()), place.clone()) {
            self.waiting.remove(&old);
        }
        self.waiting.insert(place, job);
    }

    /// Sets the pictures on screen, the selected first. Drops jobs that only the earlier selection needed.
    pub fn prefer(&mut self, selected: Option<&PictureKey>, first: Vec<PictureKey>) {
        self.first = first;
        let unwanted: Vec<_> =
            self.places.keys().filter(|(key, kind)| kind.is_for_show() && Some(key) != selected).cloned().collect();
        for which in unwanted {
            self.take(&which);
        }
    }

    /// Drops every job waiting for a picture.
    pub fn forget(&mut self, key: &PictureKey) {
        for kind in JobKind::ALL {
            self.take(&(key.clone(), kind));
        }
    }

    /// Takes the next job out; with `light_only`, one that takes milliseconds.
    pub fn next(&mut self, light_only: bool) -> Option<Job> {
        let kind = self.waiting.first_key_value().map(|((kind, ..), _)| *kind)?;
        if light_only && !kind.is_light() {
            return None;
        }
        for at in 0..self.first.len() {
            let which = (self.first[at].clone(), kind);
            if let Some(job) = self.take(&which) {
                return Some(job);
            }
        }
        let (_, job) = self.waiting.pop_first()?;
        self.places.remove(&(job.ticket.key.clone(), kind));
        Some(job)
    }

    /// True if work is waiting that takes more than milliseconds.
    pub fn holds_heavy(&self) -> bool {
        self.waiting.last_key_value().is_some_and(|((kind, ..), _)| !kind.is_light())
    }

    fn take(&mut self, which: &(PictureKey, JobKind)) -> Option<Job> {
        let place = self.places.remove(which)?;
        self.waiting.remove(&place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::os::FileIdentity;
    use crate::reading::job::Task;
    use crate::reading::job::Ticket;
    use crate::reading::scan::Stamp;
    use crate::reading::testing;
    use std::sync::Arc;

    fn job(name: &str, modified_ns: i128, kind: JobKind) -> Job {
        let facts = Arc::new(testing::facts(10, 10));
        let task = match kind {
            JobKind::Header => Task::Header,
            JobKind::Preview => Task::Preview(facts),
            JobKind::RereadPixels => Task::RereadPixels(facts),
            _ => Task::Pixels(facts),
        };
        let stamp = Stamp { bytes: 1, identity: FileIdentity { modified_ns, ..FileIdentity::default() } };
        Job { ticket: Ticket { key: PictureKey::from_text(name), path: name.into(), stamp, version: 1 }, task }
    }

    fn order(queue: &mut Queue) -> Vec<String> {
        std::iter::from_fn(|| queue.next(false)).map(|job| job.ticket.key.as_str().to_owned()).collect()
    }

    #[test]
    fn headers_before_pixels_newest_first_and_what_is_on_screen_before_all() {
        let mut queue = Queue::default();
        for (name, modified_ns, kind) in [
            ("old", 1, JobKind::Pixels),
            ("seen", 2, JobKind::Pixels),
            ("new", 3, JobKind::Pixels),
            ("header", 0, JobKind::Header),
        ] {
            queue.push(job(name, modified_ns, kind));
        }
        queue.prefer(None, vec![PictureKey::from_text("seen")]);
        assert_eq!(order(&mut queue), ["header", "seen", "new", "old"]);
    }

    #[test]
    fn a_picture_waits_once_and_a_forgotten_one_not_at_all() {
        let mut queue = Queue::default();
        for modified_ns in 0..5 {
            queue.push(job("a", modified_ns, JobKind::Pixels));
            queue.push(job("b", modified_ns, JobKind::Pixels));
        }
        queue.forget(&PictureKey::from_text("a"));
        assert_eq!(order(&mut queue), ["b"]);
    }

    #[test]
    fn the_light_worker_leaves_pixels_to_the_others() {
        let mut queue = Queue::default();
        queue.push(job("a", 1, JobKind::Pixels));
        assert_eq!(queue.next(true), None);
        queue.push(job("b", 1, JobKind::Header));
        assert_eq!(queue.next(true).map(|job| job.kind()), Some(JobKind::Header));
    }

    #[test]
    fn a_new_selection_drops_what_only_the_old_one_wanted() {
        let mut queue = Queue::default();
        queue.push(job("a", 1, JobKind::RereadPixels));
        queue.push(job("a", 1, JobKind::Pixels));
        queue.push(job("b", 1, JobKind::Preview));
        let b = PictureKey::from_text("b");
        queue.prefer(Some(&b), vec![b.clone()]);
        let kinds: Vec<_> = std::iter::from_fn(|| queue.next(false)).map(|job| job.kind()).collect();
        assert_eq!(kinds, [JobKind::Preview, JobKind::Pixels]);
    }
}
