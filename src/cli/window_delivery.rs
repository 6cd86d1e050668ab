//! Delivery from the window: starts the library's functions on threads and converts their answers for the screen.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use crossbeam_channel::{Receiver, Sender, bounded};

use crate::cli::output::now;
use crate::delivery::log::SentBefore;
use crate::delivery::observer::DeliveryObserver;
use crate::delivery::preview::{OrderPreview, preview_order};
use crate::delivery::{DeliveryRequest, DeliverySelection, DeliverySummary, Refusal, Since, deliver, words};
use crate::live::Snapshot;
use crate::reading::batch::{CheckObserver, Progress};
use crate::reading::checked::CheckOptions;
use crate::report::brief_words;
use crate::tui::delivery_service::{DeliveryOffer, DeliveryPreview, DeliveryProgress, DeliveryScope, DeliveryService};

/// Delivers the order of a live table.
pub struct WindowDelivery {
    /// The brief.
    pub brief: PathBuf,
    /// The folder of exports.
    pub folder: PathBuf,
    /// The options of the check before a delivery.
    pub check: CheckOptions,
}

impl DeliveryService for WindowDelivery {
    fn preview(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
        let (sender, receiver) = bounded(1);
        let (brief, folder, snapshot) = (self.brief.clone(), self.folder.clone(), Arc::clone(snapshot));
        let work = move || {
            let preview = match preview_order(&brief, &folder, &snapshot.report(now())) {
                Ok(preview) => shown_preview(preview),
                Err(problems) => DeliveryPreview::refused(brief_words::problems(&problems)),
            };
            // The pane may be closed by now.
            let _closed = sender.send(preview);
        };
        // Without a thread the channel closes, and the pane shows that there is no plan.
        let _started = thread::Builder::new().name("delivery plan".to_owned()).spawn(work);
        receiver
    }

    fn deliver(&self, into: &str, offer: &DeliveryOffer, stop: Arc<AtomicBool>) -> Receiver<DeliveryProgress> {
        let (sender, receiver) = bounded(1);
        let (brief, folder, into, check) =
            (self.brief.clone(), self.folder.clone(), PathBuf::from(into), self.check.clone());
        let offer = offer.clone();
        let work = move || {
            let request = DeliveryRequest {
                brief: &brief,
                folder: &folder,
                into: &into,
                selection: DeliverySelection::default(),
                since: (offer.scope == DeliveryScope::Changed).then_some(Since::Last),
                wants_archive: false,
                shown: Some(&offer.identity),
                check,
            };
            let observer = PaneObserver { sender, stop };
            let answer = match deliver(&request, &observer) {
                Ok(receipt) => DeliveryProgress::Delivered(words::receipt(&receipt)),
                Err(refusal @ Refusal::NotAsShown) => DeliveryProgress::Outdated(words::refusal(&refusal)),
                Err(refusal) => DeliveryProgress::Refused(words::refusal(&refusal)),
            };
            // The pane may be closed by now.
            let _closed = observer.sender.send(answer);
        };
        // Without a thread the channel closes, which the pane treats as an end without a message.
        let _started = thread::Builder::new().name("delivery".to_owned()).spawn(work);
        receiver
    }
}

/// Passes on how far a delivery is, and whether it is to stop.
struct PaneObserver {
    sender: Sender<DeliveryProgress>,
    stop: Arc<AtomicBool>,
}

impl CheckObserver for PaneObserver {
    fn on_checked(&self, progress: Progress) {
        // If the screen has not taken the last number, this one is dropped.
        let _full = self.sender.try_send(DeliveryProgress::Checked { done: progress.done, of: progress.of });
    }

    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

impl DeliveryObserver for PaneObserver {
    fn on_planned(&self, _: &SentBefore) {}

    fn on_copied(&self, done: usize, of: usize) {
        // As above.
        let _full = self.sender.try_send(DeliveryProgress::Copied { done, of });
    }
}

/// Returns the preview of a delivery as the screen shows it.
fn shown_preview(preview: OrderPreview) -> DeliveryPreview {
    let changed = preview.changed.map(|changed| offer(DeliveryScope::Changed, "only what changed", changed));
    let everything = offer(DeliveryScope::Everything, "everything", preview.everything);
    DeliveryPreview {
        offers: changed.into_iter().chain([everything]).collect(),
        into: preview.into.to_string_lossy().into_owned(),
    }
}

/// Returns a part of the order as the screen offers it.
fn offer(scope: DeliveryScope, name: &str, summary: Result<DeliverySummary, Vec<String>>) -> DeliveryOffer {
    let (is_permitted, lines, identity) = match summary {
        Ok(summary) => (summary.is_news, words::summary(&summary), summary.identity),
        Err(reasons) => (false, words::not_ready("Nothing can be delivered yet", &reasons), String::new()),
    };
    DeliveryOffer { scope, words: name.to_owned(), is_permitted, lines, identity }
}
