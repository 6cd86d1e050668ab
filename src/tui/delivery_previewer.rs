//! Works out what a delivery would hold, on a thread of its own: reading the order and looking for a free folder may
//! take longer than a frame.

use std::sync::Arc;
use std::thread;

use crossbeam_channel::{Receiver, TryRecvError, bounded};

use crate::live::Snapshot;
use crate::tui::delivery_service::{DeliveryPreview, DeliveryService};
use crate::units::styled::{Line, Style};

/// Makes previews one after the other; of the snapshots that came meanwhile only the newest is taken up.
pub struct DeliveryPreviewer {
    service: Arc<dyn DeliveryService>,
    running: Option<Receiver<DeliveryPreview>>,
    next: Option<Arc<Snapshot>>,
}

impl DeliveryPreviewer {
    /// Asks this service.
    pub fn new(service: Arc<dyn DeliveryService>) -> DeliveryPreviewer {
        DeliveryPreviewer { service, running: None, next: None }
    }

    /// Whether a preview is being made.
    pub fn is_running(&self) -> bool {
        self.running.is_some()
    }

    /// Wants the preview of a snapshot.
    pub fn ask(&mut self, snapshot: Arc<Snapshot>) {
        if self.is_running() {
            self.next = Some(snapshot);
            return;
        }
        let (sender, receiver) = bounded(1);
        let service = Arc::clone(&self.service);
        let work = move || {
            // The pane may be closed by now.
            let _closed = sender.send(service.asked(&snapshot));
        };
        // Without a thread the channel closes, which `take` reports.
        let _started = thread::Builder::new().name("delivery preview".to_owned()).spawn(work);
        self.running = Some(receiver);
    }

    /// The preview that was made since the last call, if any; one that failed says so in its lines.
    pub fn take(&mut self) -> Option<DeliveryPreview> {
        let preview = match self.running.as_ref()?.try_recv() {
            Ok(preview) => preview,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => {
                let words = "What would go cannot be worked out: open this again, or use plateside deliver.";
                DeliveryPreview { may: false, lines: vec![Line::of(Style::Bad, words)], into: String::new() }
            }
        };
        self.running = None;
        if let Some(next) = self.next.take() {
            self.ask(next);
        }
        Some(preview)
    }

    /// Wants no preview any more.
    pub fn stop(&mut self) {
        (self.running, self.next) = (None, None);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::delivery_service::DeliveryProgress;
    use crate::tui::tests::order::{book, snapshot_of};
    use std::time::{Duration, Instant};

    /// Says how many rows a snapshot has; fails where it has none.
    struct Counting;

    impl DeliveryService for Counting {
        fn asked(&self, snapshot: &Snapshot) -> DeliveryPreview {
            assert!(!snapshot.rows.is_empty(), "a failure on purpose");
            DeliveryPreview { may: true, lines: Vec::new(), into: snapshot.rows.len().to_string() }
        }

        fn lay(&self, _: &str) -> Receiver<DeliveryProgress> {
            bounded(1).1
        }
    }

    fn next(previewer: &mut DeliveryPreviewer) -> DeliveryPreview {
        let end = Instant::now() + Duration::from_secs(20);
        loop {
            if let Some(preview) = previewer.take() {
                return preview;
            }
            assert!(Instant::now() < end, "no preview came");
            thread::yield_now();
        }
    }

    #[test]
    fn of_snapshots_that_came_meanwhile_the_newest_is_previewed() {
        let mut previewer = DeliveryPreviewer::new(Arc::new(Counting));
        let some = |count: usize| {
            let rows = book().rows.iter().take(count).map(|row| row.as_ref().clone()).collect::<Vec<_>>();
            Arc::new(snapshot_of(rows))
        };
        (1..=4).for_each(|count| previewer.ask(some(count)));
        assert_eq!([next(&mut previewer).into, next(&mut previewer).into], ["1", "4"]);
        assert!(!previewer.is_running() && previewer.take().is_none());
    }

    #[test]
    fn a_preview_that_fails_says_so_and_the_next_is_made() {
        let mut previewer = DeliveryPreviewer::new(Arc::new(Counting));
        previewer.ask(Arc::new(snapshot_of([])));
        previewer.ask(Arc::new(book()));
        let failed = next(&mut previewer);
        assert!(!failed.may && failed.lines[0].text().contains("cannot be worked out"));
        assert!(next(&mut previewer).may);
    }
}
