//! Handing over from the desk: what would go, said from what the desk shows; then the same as `plateside deliver`, on a
//! thread of its own.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use crate::brief::{self, Problem};
use crate::decisions;
use crate::delivery::plan::{DeliverySelection, ListedFiles, plan};
use crate::delivery::{DeliveryPlan, Refusal};
use crate::judge::{Row, ranked_ids};
use crate::live::Snapshot;
use crate::reading::work_limits::WorkLimits;
use crate::report::{Report, brief_words};
use crate::tui::delivery_service::{DeliveryPreview, DeliveryProgress, DeliveryService};
use crate::units::styled::{Line, Style};
use crate::units::{show, words};
use crossbeam_channel::{Receiver, Sender, bounded, unbounded};

use crate::cli::deliver::{DeliveryOutcome, DeliveryRequest, hand_over, not_sent, remarks};
use crate::cli::output::now;

/// How long a disk may take to say whether a name is free: the screen waits for it. Own choice.
const FREE_WITHIN: Duration = Duration::from_millis(100);
/// Folders that are tried until one is free.
const TRIED: usize = 1_000;

/// Hands over the desk's own order.
#[derive(Clone)]
pub struct WindowDelivery {
    /// The brief.
    pub brief: PathBuf,
    /// The folder that is exported into.
    pub folder: PathBuf,
    /// What may be used of the machine.
    pub means: WorkLimits,
}

impl DeliveryService for WindowDelivery {
    fn plan(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
        let (sender, receiver) = bounded(1);
        let (service, snapshot) = (self.clone(), Arc::clone(snapshot));
        let work = move || {
            // The pane may be closed by now.
            let _closed = sender.send(service.preview(&snapshot));
        };
        // Without a thread the channel closes, which says that nothing can be planned.
        let _started = thread::Builder::new().name("delivery plan".to_owned()).spawn(work);
        receiver
    }

    fn deliver(&self, into: &str) -> Receiver<DeliveryProgress> {
        let (tell, telling) = unbounded();
        let (brief, folder, into, means) = (self.brief.clone(), self.folder.clone(), PathBuf::from(into), self.means);
        let work = move || {
            // Nobody may listen any more.
            let _ended = tell.send(laid((&brief, &folder), &into, means, &tell));
        };
        // Without a thread the channel closes, which says that nothing was laid.
        let _started = thread::Builder::new().name("handing over".to_owned()).spawn(work);
        telling
    }
}

impl WindowDelivery {
    fn preview(&self, snapshot: &Snapshot) -> DeliveryPreview {
        let report = report(snapshot);
        let may = match plan(&report, &self.files(&report), &DeliverySelection::default()) {
            Ok(plan) => Ok(summary(&report, &plan)),
            Err(Refusal(reasons)) => Err(not_sent("Nothing can be handed over yet", &reasons)),
        };
        let into = free_beside(&self.brief).to_string_lossy().into_owned();
        match may {
            Ok(lines) => DeliveryPreview { may: true, lines, into },
            Err(lines) => DeliveryPreview { may: false, lines, into },
        }
    }

    fn files(&self, report: &Report) -> ListedFiles {
        let keys = report.rows.iter().filter_map(|row| row.key.picture.clone());
        // Names that are not UTF-8 are refused when the folder is read again.
        keys.map(|key| (key.clone(), (self.folder.join(key.as_str()), true))).collect()
    }
}

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

fn summary(report: &Report, plan: &DeliveryPlan) -> Vec<Line> {
    let pictures = show::count(plan.sent.len(), "picture goes", "pictures go");
    let prints = show::count(plan.sent.iter().map(|sent| sent.rows.len()).sum(), "print", "prints");
    let mut lines = vec![Line::of(Style::Good, pictures).and(Style::Plain, format!(" for {prints}"))];
    lines.extend(remarks(report, &plan.sent.iter().collect::<Vec<_>>(), &plan.extra));
    lines
}

/// A folder beside the brief that is not there yet, named after it and the day. A disk that does not answer at once is
/// not waited for: what is there is never written over.
fn free_beside(brief: &Path) -> PathBuf {
    let (tell, told) = bounded(1);
    let of = brief.to_owned();
    // Nobody may listen any more; without a thread the first name is as good.
    let work = move || drop(tell.send(first_free(&of)));
    let _started = thread::Builder::new().name("a free name".to_owned()).spawn(work);
    told.recv_timeout(FREE_WITHIN).unwrap_or_else(|_| numbered(brief, 1))
}

/// The first of those names that nothing has.
fn first_free(brief: &Path) -> PathBuf {
    let mut names = (1..TRIED).map(|number| numbered(brief, number));
    names.find(|path| path.symlink_metadata().is_err()).unwrap_or_else(|| numbered(brief, TRIED))
}

fn numbered(brief: &Path, number: usize) -> PathBuf {
    let stem = brief.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let day = now().get(..10).unwrap_or_default().to_owned();
    match number {
        1 => brief.with_file_name(format!("{stem}-handover-{day}")),
        _ => brief.with_file_name(format!("{stem}-handover-{day}-{number}")),
    }
}

fn laid(
    (brief, folder): (&Path, &Path),
    into: &Path,
    means: WorkLimits,
    tell: &Sender<DeliveryProgress>,
) -> DeliveryProgress {
    let wrong = |problems: &[Problem]| DeliveryProgress::Refused(brief_words::problems(problems));
    let read = match brief::read(brief, &ranked_ids()) {
        Ok(read) => read,
        Err(problems) => return wrong(&problems),
    };
    let accepted = match decisions::read(brief) {
        Ok(accepted) => accepted,
        Err(problems) => return wrong(&problems),
    };
    let order = DeliveryRequest { folder, into, wanted: DeliverySelection::default(), since: None, zip: false };
    let outcome = hand_over(&order, read, &accepted, means, &|progress| {
        let _heard = tell.send(DeliveryProgress::Checked { done: progress.done, of: progress.of });
    });
    match outcome {
        Ok(DeliveryOutcome::Laid(lines)) => DeliveryProgress::Delivered(lines),
        Ok(DeliveryOutcome::Refused(lines)) => DeliveryProgress::Refused(lines),
        Err(error) => {
            let causes: Vec<String> = error.chain().map(ToString::to_string).collect();
            DeliveryProgress::Refused(vec![Line::of(Style::Bad, words::visible(&causes.join(": ")).into_owned())])
        }
    }
}
