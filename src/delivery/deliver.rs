//! The whole of a delivery: reads the order, checks its pictures, and writes those that are ready.

use std::path::{Path, PathBuf};

use tracing::debug;

use crate::decisions::order::Order;
use crate::files;
use crate::reading::among_exports::check_outside;
use crate::reading::batch::{CheckTarget, Progress};
use crate::reading::evidence_spill::SpillContents;
use crate::report::Report;
use crate::report::checked::{CheckOptions, CheckedPictures};

use super::contents::{LARGEST_LIST_BYTES, RECORD, SUMS};
use super::note::Note;
use super::plan::{DeliveredPicture, DeliveryPlan, DeliverySelection, listed, plan};
use super::receipt::{Receipt, Refusal, Remarks, Written};
use super::since::{Comparison, EarlierDelivery};
use super::write::{UnnamedDelivery, write};
use super::{archive, lists, since, thumbnail, verify};

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
    /// An earlier delivery of the order: only what is new or ordered differently since then is sent.
    pub since: Option<&'a Path>,
    /// True to also make an archive.
    pub zip: bool,
    /// Options of the check.
    pub check: CheckOptions,
}

/// Checks an order once more and writes what is ready. `progress` is called after each picture, from any worker.
///
/// # Errors
/// Why nothing was written; the folder exists only if just its archive failed.
pub fn deliver(request: &DeliveryRequest<'_>, progress: &(dyn Fn(Progress) + Sync)) -> Result<Receipt, Refusal> {
    let order = Order::read(request.brief).map_err(Refusal::Mistakes)?;
    check_outside(request.into, request.folder, &order.brief)?;
    let there = written_before(request)?;
    let earlier = request.since.map(since::read).transpose()?;
    let target = CheckTarget::Folder(request.folder.to_owned());
    let mut checked = CheckedPictures::check(&order, &target, SpillContents::Thumbnails, &request.check, progress)?;
    checked.expect_whole()?;
    let plan = plan(&checked.report, &listed(&checked), &request.selection).map_err(Refusal::NotReady)?;
    let earlier = earlier.map(|earlier| earlier.compared(&checked.report, &plan));
    let sent: Vec<&DeliveredPicture> =
        plan.sent.iter().filter(|one| earlier.as_ref().is_none_or(|earlier| earlier.goes(one))).collect();
    if let Some(there) = there {
        // Of the time of the one that is there, its documents are the same to the byte if it is the same delivery.
        checked.report.made = there.made;
        let documents = documents(&checked, &plan, &sent, earlier.as_ref())?;
        return archive_alone(request.into, &documents);
    }
    let is_news = earlier.as_ref().is_none_or(Comparison::is_news);
    if let Some(since) = request.since.filter(|_| !is_news) {
        return Ok(receipt(request, Written::NothingNew(since.to_owned()), None));
    }
    let documents = documents(&checked, &plan, &sent, earlier.as_ref())?;
    expect_unchanged(&order)?;
    let bytes = finish(write(request.into, request.folder, &sent, &documents)?, &order)?;
    debug!(into = ?request.into, pictures = sent.len(), bytes, "delivered");
    let remarks = Remarks::of(&checked.report, &sent, &plan.extra).since(earlier.as_ref(), &sent);
    let written = Written::Delivery { pictures: sent.len(), bytes, remarks };
    let zip = request.zip.then(|| archive::write(request.into).map_err(Refusal::Archive)).transpose()?;
    Ok(receipt(request, written, zip))
}

/// Gives a delivery its name if the order is still the one that was checked: copying may have taken long.
fn finish(written: UnnamedDelivery, order: &Order) -> Result<u64, Refusal> {
    expect_unchanged(order)?;
    Ok(written.finish()?)
}

fn expect_unchanged(order: &Order) -> Result<(), Refusal> {
    if order.has_changed() { Err(Refusal::Changed(order.brief.path.clone())) } else { Ok(()) }
}

fn receipt(request: &DeliveryRequest<'_>, written: Written, archive: Option<PathBuf>) -> Receipt {
    Receipt { into: request.into.to_owned(), written, archive }
}

/// Returns the notes and lists that go beside the pictures, by name; the list of checksums is last.
fn documents(
    checked: &CheckedPictures,
    plan: &DeliveryPlan,
    sent: &[&DeliveredPicture],
    earlier: Option<&Comparison>,
) -> Result<Vec<(&'static str, Vec<u8>)>, minijinja::Error> {
    let report: &Report = &checked.report;
    let small = |one: &DeliveredPicture| thumbnail::of(checked.file(&one.picture)?);
    let note = Note::of(report, plan, earlier, &small);
    let mut documents = vec![
        ("NOTE.html", note.html()?),
        ("NOTE.txt", note.text()),
        ("pictures.csv", lists::pictures(report, sent)),
        ("orders.csv", lists::orders(report, sent)),
        (RECORD, lists::record(report, plan, earlier)),
    ];
    documents.push((SUMS, lists::sums(sent, &documents)));
    Ok(documents)
}

/// Returns what already exists under the delivery's name: nothing, or a delivery whose archive was never made.
fn written_before(request: &DeliveryRequest<'_>) -> Result<Option<EarlierDelivery>, Refusal> {
    let is_there = |path: &Path| path.symlink_metadata().is_ok();
    let zip = archive::path_of(request.into);
    if request.zip && is_there(&zip) {
        return Err(Refusal::ArchiveThere(zip));
    }
    if !is_there(request.into) {
        return Ok(None);
    }
    let there = request.zip.then(|| since::read(request.into).ok()).flatten();
    there.ok_or_else(|| Refusal::There(request.into.to_owned())).map(Some)
}

/// Makes the archive of an existing delivery, if it is sound and these documents are its own: the last, its checksums,
/// names everything in it.
fn archive_alone(into: &Path, documents: &[(&str, Vec<u8>)]) -> Result<Receipt, Refusal> {
    let sums = documents.last().map(|(_, sums)| sums.as_slice());
    let there = files::read_text(&into.join(SUMS), LARGEST_LIST_BYTES).ok();
    if there.as_ref().map(String::as_bytes) != sums {
        return Err(Refusal::Differs(into.to_owned()));
    }
    if !verify::verify(into)?.is_whole() {
        return Err(Refusal::Damaged(into.to_owned()));
    }
    let zip = archive::write(into).map_err(Refusal::Archive)?;
    Ok(Receipt { into: into.to_owned(), written: Written::ArchiveAlone, archive: Some(zip) })
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

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
        let written = || write(&at("out"), &at("exports"), &[], &[("NOTE.txt", b"1 copy".to_vec())]).unwrap();
        let copied = written();
        brief(50);
        assert!(matches!(finish(copied, &order), Err(Refusal::Changed(_))));
        assert_eq!(fs::read_dir(room.path()).unwrap().count(), 2, "nothing is left of it");
        brief(1);
        finish(written(), &order).unwrap();
        assert!(at("out/NOTE.txt").exists());
    }
}
