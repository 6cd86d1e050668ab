//! Plans a delivery without waiting for it: looking for a free folder may take longer than a frame.

use std::rc::Rc;
use std::sync::Arc;

use crossbeam_channel::{Receiver, TryRecvError};

use crate::live::Snapshot;
use crate::tui::delivery_service::{DeliveryPreview, DeliveryService};
use crate::units::styled::{Line, Style};

/// Makes previews one after the other; of the snapshots that came meanwhile only the newest is used.
pub struct DeliveryPreviewer {
    service: Rc<dyn DeliveryService>,
    running: Option<Receiver<DeliveryPreview>>,
    next: Option<Arc<Snapshot>>,
}

impl DeliveryPreviewer {
    /// Creates one for a service.
    pub fn new(service: Rc<dyn DeliveryService>) -> DeliveryPreviewer {
        DeliveryPreviewer { service, running: None, next: None }
    }

    /// True if a preview is being made.
    pub fn is_running(&self) -> bool {
        self.running.is_some()
    }

    /// Requests the preview of a snapshot.
    pub fn ask(&mut self, snapshot: Arc<Snapshot>) {
        if self.is_running() {
            self.next = Some(snapshot);
        } else {
            self.running = Some(self.service.preview(&snapshot));
        }
    }

    /// Returns the preview made since the last call, if any; a failure is reported in its lines.
    pub fn take(&mut self) -> Option<DeliveryPreview> {
        let preview = match self.running.as_ref()?.try_recv() {
            Ok(preview) => preview,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => {
                let words = "What would be delivered cannot be worked out: open this again, or use plateside deliver.";
                DeliveryPreview::refused(vec![Line::of(Style::Bad, words)])
            }
        };
        self.running = None;
        if let Some(next) = self.next.take() {
            self.ask(next);
        }
        Some(preview)
    }

    /// Cancels all requests.
    pub fn stop(&mut self) {
        (self.running, self.next) = (None, None);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::delivery_service::{DeliveryOffer, DeliveryProgress, DeliveryScope};
    use crate::tui::tests::order::{book, snapshot_of};
    use crossbeam_channel::bounded;
    use std::sync::atomic::AtomicBool;

    /// A service that reports how many rows a snapshot has, and fails if it has none.
    struct Counting;

    impl DeliveryService for Counting {
        fn preview(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
            let (sender, receiver) = bounded(1);
            if !snapshot.rows.is_empty() {
                let into = snapshot.rows.len().to_string();
                let (scope, words, identity) = (DeliveryScope::Everything, String::new(), String::new());
                let offers = vec![DeliveryOffer { scope, words, is_permitted: true, lines: Vec::new(), identity }];
                sender.send(DeliveryPreview { offers, into }).unwrap();
            }
            receiver
        }

        fn deliver(&self, _: &str, _: &DeliveryOffer, _: Arc<AtomicBool>) -> Receiver<DeliveryProgress> {
            bounded(1).1
        }
    }

    #[test]
    fn of_snapshots_that_came_meanwhile_the_newest_is_previewed() {
        let mut previewer = DeliveryPreviewer::new(Rc::new(Counting));
        let some = |count: usize| {
            let rows = book().rows.iter().take(count).map(|row| row.as_ref().clone()).collect::<Vec<_>>();
            Arc::new(snapshot_of(rows))
        };
        (1..=4).for_each(|count| previewer.ask(some(count)));
        assert_eq!([previewer.take().unwrap().into, previewer.take().unwrap().into], ["1", "4"]);
        assert!(!previewer.is_running() && previewer.take().is_none());
    }

    #[test]
    fn a_preview_that_fails_says_so_and_the_next_is_made() {
        let mut previewer = DeliveryPreviewer::new(Rc::new(Counting));
        previewer.ask(Arc::new(snapshot_of([])));
        previewer.ask(Arc::new(book()));
        let failed = previewer.take().unwrap();
        let [failed] = failed.offers.as_slice() else { panic!("one reason") };
        assert!(!failed.is_permitted && failed.lines[0].text().contains("cannot be worked out"));
        assert!(previewer.take().unwrap().offers[0].is_permitted);
    }
}
