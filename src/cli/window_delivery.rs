//! Delivery from the window: converts the library's answers for the screen.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use crossbeam_channel::{Receiver, Sender, bounded};

use crate::cli::output::now;
use crate::decisions;
use crate::decisions::sent::SentLog;
use crate::delivery::log::SentBefore;
use crate::delivery::plan::ListedFiles;
use crate::delivery::preview::free_folder;
use crate::delivery::watch::DeliveryWatch;
use crate::delivery::{DeliveryRequest, DeliverySelection, Refusal, Since, deliver, preview, words};
use crate::judge::Row;
use crate::live::Snapshot;
use crate::reading::batch::{CheckWatch, Progress};
use crate::reading::check_report::Report;
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
    fn plan(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
        let (sender, receiver) = bounded(1);
        let (brief, folder, snapshot) = (self.brief.clone(), self.folder.clone(), Arc::clone(snapshot));
        let work = move || {
            // The pane may be closed by now.
            let _closed = sender.send(plan_delivery(&brief, &folder, &snapshot));
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
                zip: false,
                shown: Some(&offer.identity),
                check,
            };
            let watch = PaneWatch { sender, stop };
            let answer = match deliver(&request, &watch) {
                Ok(receipt) => DeliveryProgress::Delivered(words::receipt(&receipt)),
                Err(refusal @ Refusal::NotAsShown) => DeliveryProgress::Outdated(words::refusal(&refusal)),
                Err(refusal) => DeliveryProgress::Refused(words::refusal(&refusal)),
            };
            // The pane may be closed by now.
            let _closed = watch.sender.send(answer);
        };
        // Without a thread the channel closes, which the pane treats as an end without a message.
        let _started = thread::Builder::new().name("delivery".to_owned()).spawn(work);
        receiver
    }
}

/// Passes on how far a delivery is, and whether it is to stop.
struct PaneWatch {
    sender: Sender<DeliveryProgress>,
    stop: Arc<AtomicBool>,
}

impl CheckWatch for PaneWatch {
    fn checked(&self, progress: Progress) {
        // If the screen has not taken the last number, this one is dropped.
        let _full = self.sender.try_send(DeliveryProgress::Checked { done: progress.done, of: progress.of });
    }

    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

impl DeliveryWatch for PaneWatch {
    fn planned(&self, _: &SentBefore) {}

    fn copied(&self, done: usize, of: usize) {
        // As above.
        let _full = self.sender.try_send(DeliveryProgress::Copied { done, of });
    }
}

/// Returns a preview of delivering the rows in the table.
fn plan_delivery(brief: &Path, folder: &Path, snapshot: &Snapshot) -> DeliveryPreview {
    let log = match decisions::read(brief) {
        Ok(decisions) => decisions.sent,
        Err(problems) => return DeliveryPreview::refused(brief_words::problems(&problems)),
    };
    let report = report(snapshot);
    let keys = report.rows.iter().filter_map(|row| row.key.picture.clone());
    // Names that are not UTF-8 are refused when the folder is read again.
    let files: ListedFiles = keys.map(|key| (key.clone(), (folder.join(key.as_str()), true))).collect();
    let everything = offer(&report, &files, &log, DeliveryScope::Everything);
    let changed = (!log.deliveries.is_empty()).then(|| offer(&report, &files, &log, DeliveryScope::Changed));
    let day = now().get(..10).unwrap_or_default().to_owned();
    DeliveryPreview {
        offers: changed.into_iter().chain([everything]).collect(),
        into: free_folder(brief, &day).to_string_lossy().into_owned(),
    }
}

/// Returns what delivering a part of the order comes to.
fn offer(report: &Report, files: &ListedFiles, log: &SentLog, scope: DeliveryScope) -> DeliveryOffer {
    let (since_last, name) = match scope {
        DeliveryScope::Everything => (false, "everything"),
        DeliveryScope::Changed => (true, "only what changed"),
    };
    let (may, lines, identity) = match preview(report, files, log, since_last) {
        Ok(summary) => (summary.is_news, words::summary(&summary), summary.identity),
        Err(reasons) => (false, words::not_ready("Nothing can be delivered yet", &reasons), String::new()),
    };
    DeliveryOffer { scope, words: name.to_owned(), may, lines, identity }
}

/// Returns the rows in the table as a report.
fn report(snapshot: &Snapshot) -> Report {
    Report {
        brief: Arc::clone(&snapshot.brief),
        folder: snapshot.folder.to_string_lossy().into_owned(),
        totals: snapshot.totals,
        rows: snapshot.rows.iter().map(|row| Row { state: row.state_now(), ..Row::clone(&row.row) }).collect(),
        order_findings: snapshot.order_findings.to_vec(),
        made: now(),
    }
}
