//! Threads that belong together, and their end: waited for until a deadline, without polling.

use std::convert::Infallible;
use std::io;
use std::thread;
use std::time::Instant;

use crossbeam_channel::{Receiver, RecvTimeoutError, Sender, bounded};

/// Threads that are waited for together. A thread that has not ended by the deadline is left to end by itself.
#[derive(Debug)]
pub struct ThreadGroup {
    /// Given to every thread, which drops it at its end, also after a panic. Nothing is ever sent: no capacity is
    /// needed.
    alive: Sender<Infallible>,
    all_ended: Receiver<Infallible>,
}

impl Default for ThreadGroup {
    /// Creates a group without threads.
    fn default() -> ThreadGroup {
        let (alive, all_ended) = bounded(0);
        ThreadGroup { alive, all_ended }
    }
}

impl ThreadGroup {
    /// Starts a thread with this name.
    ///
    /// # Errors
    /// If the system cannot start a thread.
    pub fn spawn(&self, name: String, work: impl FnOnce() + Send + 'static) -> io::Result<()> {
        let alive = self.alive.clone();
        let work = move || {
            work();
            drop(alive);
        };
        thread::Builder::new().name(name).spawn(work).map(drop)
    }

    /// Waits until all threads have ended, or until the deadline; returns true if they have.
    pub fn wait_until(self, deadline: Instant) -> bool {
        drop(self.alive);
        self.all_ended.recv_deadline(deadline) == Err(RecvTimeoutError::Disconnected)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn the_end_waits_for_every_thread_and_no_longer_than_the_deadline() {
        let (release, released) = bounded::<()>(0);
        let threads = ThreadGroup::default();
        let held = |released: Receiver<()>| move || assert!(released.recv().is_err());
        threads.spawn("one that ends".to_owned(), || ()).unwrap();
        threads.spawn("one that panics".to_owned(), || std::panic::resume_unwind(Box::new(()))).unwrap();
        threads.spawn("one that is held".to_owned(), held(released.clone())).unwrap();
        assert!(!threads.wait_until(Instant::now() + Duration::from_millis(20)));

        let threads = ThreadGroup::default();
        threads.spawn("one that is held".to_owned(), held(released)).unwrap();
        drop(release);
        assert!(threads.wait_until(Instant::now() + Duration::from_secs(10)));
        assert!(ThreadGroup::default().wait_until(Instant::now() + Duration::from_secs(10)), "nobody is waited for");
    }
}
