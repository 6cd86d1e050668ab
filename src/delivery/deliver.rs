//! The whole of a delivery: reads the order, checks its pictures, and writes those that are ready.

use std::path::{Path, PathBuf};

use tracing::debug;

use crate::decisions::order::Order;
use crate::decisions::sent::{SentDelivery, SentLog};
use crate::decisions::{self, DecisionChange};
use crate::files;
use crate::reading::among_exports::check_outside;
use crate::reading::batch::{CheckObserver, CheckTarget};
use crate::reading::checked::{CheckOptions, CheckedPictures};
use crate::reading::evidence_spill::SpillContents;
use crate::report::{days, thumbnail};

use super::contents::{MAX_LIST_BYTES, MESSAGE, NOTE, NOTE_TEXT, RECORD, SUMS};
use super::frame::NOTE_THUMBNAIL_PX;
use super::log::{LogUpdate, SentBefore};
use super::note::Note;
use super::numbering::DeliveryNumber;
use super::observer::DeliveryObserver;
use super::plan::{DeliveryPlan, DeliverySelection, PlannedPicture, listed_files, plan};
use super::receipt::{DeliveryNotices, Receipt, Refusal, Written};
use super::since::{Comparison, PrinterHoldings, pictures_to_send};
use super::write::{UnnamedDelivery, WriteError, write};
use super::{archive, lists, log, message, preview, since, terms, verify};

/// A delivery to make, its source and its target.
#[derive(Clone, Debug)]
pub struct DeliveryRequest<'a> {
    /// The brief's file.
    pub brief: &'a Path,
    /// The folder of exports.
    pub folder: &'a Path,
    /// A folder that does not exist yet.
    pub into: &'a Path,
    /// The part of the order to send.
    pub selection: DeliverySelection,
    /// What the printer has already: only what is new or ordered differently since then is sent.
    pub since: Option<Since<'a>>,
    /// True to also make an archive.
    pub wants_archive: bool,
    /// What was shown to be delivered ([`preview::DeliverySummary::identity`]): nothing else is.
    pub shown: Option<&'a str>,
    /// Options of the check.
    pub check: CheckOptions,
}

/// What a delivery is compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Since<'a> {
    /// All that was sent by the log.
    Last,
    /// The record in the folder of an earlier delivery.
    Folder(&'a Path),
}

/// Checks an order once more and writes what is ready; then notes in the order's decisions what was sent.
///
/// # Errors
/// Why nothing was written; the folder exists only if just its archive failed.
pub fn deliver(request: &DeliveryRequest<'_>, observer: &dyn DeliveryObserver) -> Result<Receipt, Refusal> {
    let order = Order::read(request.brief).map_err(Refusal::Mistakes)?;
    check_outside(request.into, request.folder, &order.brief)?;
    let existing = find_existing(request)?;
    let sent_before = log::held_by_printer(&order.decisions.sent);
    let earlier = match request.since {
        None => None,
        Some(Since::Last) => Some(sent_before.clone().ok_or(Refusal::NothingSent)?),
        Some(Since::Folder(folder)) => Some(since::read(folder)?),
    };
    let target = CheckTarget::Folder(request.folder.to_owned());
    let check_observer: &dyn CheckObserver = observer;
    let mut checked =
        CheckedPictures::check(&order, &target, SpillContents::Thumbnails, &request.check, check_observer)
            .map_err(|error| if observer.is_stopped() { Refusal::Stopped } else { error.into() })?;
    checked.check_complete()?;
    let plan = plan(&checked.report, &listed_files(&checked), &request.selection).map_err(Refusal::NotReady)?;
    let comparison = earlier.as_ref().map(|earlier| earlier.compare(&checked.report, &plan));
    let log_comparison = match request.since {
        Some(Since::Last) => comparison.clone(),
        None | Some(Since::Folder(_)) => sent_before.map(|sent| sent.compare(&checked.report, &plan)),
    };
    if let Some(existing) = existing {
        let is_same = match request.since {
            Some(Since::Last) => is_latest(request, &order.decisions.sent, comparison.as_ref()),
            None | Some(Since::Folder(_)) => {
                let batch = request.selection.batch;
                let number = DeliveryNumber::of(&existing.made, existing.number, batch, earlier.as_ref());
                let number = DeliveryNumber { repeats: existing.repeats, ..number };
                // Dated like the existing delivery, so that equal deliveries give equal documents.
                checked.report.made.clone_from(&existing.made);
                Sending::of(&checked, &plan, comparison.as_ref()).is_in(request.into, &number)?
            }
        };
        return archive_existing(request, is_same);
    }
    let sending = Sending::of(&checked, &plan, comparison.as_ref());
    if request.shown.is_some_and(|shown| shown != preview::identity(&checked.report, &plan, comparison.as_ref())) {
        return Err(Refusal::NotAsShown);
    }
    if let Some(before) = SentBefore::of(&order.decisions.sent, log_comparison.as_ref(), request.since.is_none()) {
        observer.on_planned(&before);
    }
    let has_nothing_new = comparison.as_ref().is_some_and(|comparison| !comparison.is_news());
    if let Some(earlier) = earlier.as_ref().filter(|_| has_nothing_new) {
        return Ok(receipt(request, Written::NothingNew(since_words(request, earlier)), None));
    }
    let report = &checked.report;
    let log = &order.decisions.sent;
    let number = DeliveryNumber::next(&report.made, request.selection.batch, log, earlier.as_ref());
    let sends_all = log_comparison.as_ref().filter(|_| request.since.is_none());
    let repeats = sends_all.and_then(|comparison| comparison.repeated(&plan.pictures));
    let number = DeliveryNumber { repeats, ..number };
    let documents = sending.documents(&number, &|| observer.is_stopped())?;
    check_unchanged(&order)?;
    let written = write(request.into, request.folder, &sending.sent, &documents, observer)?;
    // From the last look at the order until what was sent is noted, so that of two deliveries begun at once the second
    // finds the first.
    let lock = decisions::lock(&order.brief.path);
    let bytes = finish(written, &order)?;
    debug!(into = ?request.into, pictures = sending.sent.len(), bytes, "delivered");
    let changes = sending.log_changes(&order, request.into, &number, &documents, log_comparison.as_ref());
    let unlogged = lock.and_then(|lock| decisions::keep_locked(&lock, &order.brief.path, &changes)).err();
    let notices = DeliveryNotices::of(report, &sending.sent, &plan.extra).since(comparison.as_ref(), &sending.sent);
    let written = Written::Delivery { pictures: sending.sent.len(), bytes, notices };
    let zip = request.wants_archive.then(|| archive::write(request.into).map_err(Refusal::Archive)).transpose()?;
    Ok(Receipt { unlogged, ..receipt(request, written, zip) })
}

/// Names the delivery that this one is compared with.
fn since_words(request: &DeliveryRequest<'_>, earlier: &PrinterHoldings) -> String {
    match request.since {
        Some(Since::Folder(folder)) => folder.display().to_string(),
        Some(Since::Last) | None => format!("the delivery of {}", days::in_words(&earlier.made)),
    }
}

/// Gives a delivery its name if the order is still the one that was checked: copying may have taken long.
fn finish(written: UnnamedDelivery, order: &Order) -> Result<u64, Refusal> {
    check_unchanged(order)?;
    Ok(written.finish()?)
}

fn check_unchanged(order: &Order) -> Result<(), Refusal> {
    if order.has_changed() { Err(Refusal::Changed(order.brief.path.clone())) } else { Ok(()) }
}

fn receipt(request: &DeliveryRequest<'_>, written: Written, archive: Option<PathBuf>) -> Receipt {
    Receipt { into: request.into.to_owned(), written, archive, unlogged: None }
}

/// What is sent of a plan, and what is said of it.
struct Sending<'a> {
    checked: &'a CheckedPictures,
    plan: &'a DeliveryPlan,
    sent: Vec<&'a PlannedPicture>,
    comparison: Option<&'a Comparison>,
}

impl<'a> Sending<'a> {
    fn of(checked: &'a CheckedPictures, plan: &'a DeliveryPlan, comparison: Option<&'a Comparison>) -> Sending<'a> {
        Sending { checked, plan, sent: pictures_to_send(plan, comparison), comparison }
    }

    /// Returns the notes and lists that go beside the pictures, by name; the list of checksums is last.
    fn documents(
        &self,
        number: &DeliveryNumber,
        is_stopped: &dyn Fn() -> bool,
    ) -> Result<Vec<(&'static str, Vec<u8>)>, Refusal> {
        let (report, comparison) = (&self.checked.report, self.comparison);
        let small = |one: &PlannedPicture| match is_stopped() {
            true => None,
            false => thumbnail::of(self.checked.file(&one.picture)?, NOTE_THUMBNAIL_PX),
        };
        let note = Note::of(report, self.plan, comparison, number, &small);
        if is_stopped() {
            return Err(WriteError::Stopped.into());
        }
        let mut documents = vec![
            (NOTE, note.html()?),
            (NOTE_TEXT, note.text()),
            (MESSAGE, message::text(report, &note, number, &self.sent, comparison)),
            ("pictures.csv", lists::pictures(report, &self.sent)),
            ("orders.csv", lists::orders(report, &self.sent, comparison, number.repeats.as_ref())),
            (RECORD, lists::record(report, self.plan, comparison, number)),
        ];
        documents.push((SUMS, lists::sums(&self.sent, &documents)));
        Ok(documents)
    }

    /// True if an existing delivery of this number has the same documents, to the byte: the last, its checksums, names
    /// all others.
    fn is_in(&self, folder: &Path, number: &DeliveryNumber) -> Result<bool, Refusal> {
        let documents = self.documents(number, &|| false)?;
        let sums = documents.last().map(|(_, sums)| sums.as_slice());
        let existing = files::read_text(&folder.join(SUMS), MAX_LIST_BYTES).ok();
        Ok(existing.as_ref().map(String::as_bytes) == sums)
    }

    /// Returns the changes that note in the order's decisions what was sent.
    fn log_changes(
        &self,
        order: &Order,
        into: &Path,
        number: &DeliveryNumber,
        documents: &[(&str, Vec<u8>)],
        log_comparison: Option<&Comparison>,
    ) -> Vec<DecisionChange> {
        let report = &self.checked.report;
        let sums = documents.last().map(|(_, sums)| lists::digest(sums)).unwrap_or_default();
        let delivery = SentDelivery {
            when: report.made.clone(),
            folder: log::folder_text(into),
            number: number.number,
            batch: number.batch,
            pictures: u32::try_from(self.sent.len()).unwrap_or(u32::MAX),
            sums,
            received: None,
            terms: terms::terms(&report.brief),
        };
        let update = LogUpdate {
            log: &order.decisions.sent,
            delivery,
            recorded: lists::recorded_pictures(report, self.plan, log_comparison.or(self.comparison)),
            sent_names: self.sent.iter().map(|one| one.name.as_str()).collect(),
            comparison: self.comparison,
        };
        update.changes()
    }
}

/// Returns the delivery that already exists under this name, whose archive was never made; `None` if nothing exists.
///
/// # Errors
/// Something else exists, or the archive does.
fn find_existing(request: &DeliveryRequest<'_>) -> Result<Option<PrinterHoldings>, Refusal> {
    let exists = |path: &Path| path.symlink_metadata().is_ok();
    let zip = archive::path_of(request.into);
    if request.wants_archive && exists(&zip) {
        return Err(Refusal::ArchiveExists(zip));
    }
    if !exists(request.into) {
        return Ok(None);
    }
    let existing = request.wants_archive.then(|| since::read(request.into).ok()).flatten();
    existing.ok_or_else(|| Refusal::AlreadyExists(request.into.to_owned())).map(Some)
}

/// True if the existing delivery is the latest of the log, of the same batch, and nothing is new since.
fn is_latest(request: &DeliveryRequest<'_>, log: &SentLog, comparison: Option<&Comparison>) -> bool {
    let last = log.deliveries.last();
    let is_last = log::find(log, request.into).is_some_and(|found| Some(found) == last);
    let is_of_batch = last.is_some_and(|last| last.batch == request.selection.batch);
    is_last && is_of_batch && comparison.is_some_and(|comparison| !comparison.is_news())
}

/// Makes the archive of an existing delivery.
///
/// # Errors
/// It is not what would be delivered now (`is_same`), has changed since it was written, or its archive cannot be
/// written.
fn archive_existing(request: &DeliveryRequest<'_>, is_same: bool) -> Result<Receipt, Refusal> {
    let into = request.into;
    if !is_same {
        return Err(Refusal::Differs(into.to_owned()));
    }
    if !verify::verify(into)?.is_whole() {
        return Err(Refusal::Damaged(into.to_owned()));
    }
    let zip = archive::write(into).map_err(Refusal::Archive)?;
    Ok(receipt(request, Written::ArchiveAlone, Some(zip)))
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::delivery::observer::testing::Unwatched;

    #[test]
    fn what_changes_while_pictures_are_copied_is_not_delivered_as_it_was() {
        let room = tempfile::tempdir().unwrap();
        let at = |name: &str| room.path().join(name);
        let brief = |copies: u32| {
            fs::write(at("b.toml"), format!("[[print]]\nsize = \"8 x 10 in\"\ncopies = {copies}\n")).unwrap();
        };
        brief(1);
        fs::create_dir(at("exports")).unwrap();
        let order = Order::read(&at("b.toml")).unwrap_or_else(|problems| panic!("{problems:?}"));
        let note = [("NOTE.txt", b"1 copy".to_vec())];
        let written = || write(&at("out"), &at("exports"), &[], &note, &Unwatched::default()).unwrap();
        let copied = written();
        brief(50);
        assert!(matches!(finish(copied, &order), Err(Refusal::Changed(_))));
        assert_eq!(fs::read_dir(room.path()).unwrap().count(), 2, "nothing is left of it");
        brief(1);
        finish(written(), &order).unwrap();
        assert!(at("out/NOTE.txt").exists());
    }
}
