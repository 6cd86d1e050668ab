//! Delivery from the window: converts the library's answers for the screen.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;

use crossbeam_channel::{Receiver, bounded};

use crate::cli::output::now;
use crate::delivery::plan::ListedFiles;
use crate::delivery::preview::free_folder;
use crate::delivery::{DeliveryRequest, DeliverySelection, deliver, preview, words};
use crate::judge::Row;
use crate::live::Snapshot;
use crate::report::Report;
use crate::report::checked::CheckOptions;
use crate::tui::delivery_service::{DeliveryPreview, DeliveryProgress, DeliveryService};

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

    fn deliver(&self, into: &str) -> Receiver<DeliveryProgress> {
        let (sender, receiver) = bounded(1);
        let (brief, folder, into, check) =
            (self.brief.clone(), self.folder.clone(), PathBuf::from(into), self.check.clone());
        let work = move || {
            let request = DeliveryRequest {
                brief: &brief,
                folder: &folder,
                into: &into,
                selection: DeliverySelection::default(),
                since: None,
                zip: false,
                check,
            };
            let answer = deliver(&request, &|progress| {
                // If the screen has not taken the last number, this one is dropped.
                let _full = sender.try_send(DeliveryProgress::Checked { done: progress.done, of: progress.of });
            });
            let answer = match answer {
                Ok(receipt) => DeliveryProgress::Delivered(words::receipt(&receipt)),
                Err(refusal) => DeliveryProgress::Refused(words::refusal(&refusal)),
            };
            // The pane may be closed by now.
            let _closed = sender.send(answer);
        };
        // Without a thread the channel closes, which the pane treats as an end without a message.
        let _started = thread::Builder::new().name("delivery".to_owned()).spawn(work);
        receiver
    }
}

/// Returns a preview of delivering the rows in the table.
fn plan_delivery(brief: &Path, folder: &Path, snapshot: &Snapshot) -> DeliveryPreview {
    let report = report(snapshot);
    let keys = report.rows.iter().filter_map(|row| row.key.picture.clone());
    // Names that are not UTF-8 are refused when the folder is read again.
    let files: ListedFiles = keys.map(|key| (key.clone(), (folder.join(key.as_str()), true))).collect();
    let (may, lines) = match preview(&report, &files) {
        Ok(summary) => (true, words::summary(&summary)),
        Err(reasons) => (false, words::not_ready("Nothing can be delivered yet", &reasons)),
    };
    let day = now().get(..10).unwrap_or_default().to_owned();
    DeliveryPreview { may, lines, into: free_folder(brief, &day).to_string_lossy().into_owned() }
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
