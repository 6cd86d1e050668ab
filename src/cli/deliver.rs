//! The handover at the prompt: lays it, and proves one later.

use std::fs;
use std::path::{Path, absolute};

use crate::brief::{self, Brief, Print};
use crate::decisions;
use crate::decisions::Decisions;
use crate::delivery::copying::{WrittenDelivery, lay};
use crate::delivery::plan::{DeliverySelection, ListedFiles, plan};
use crate::delivery::since::{Comparison, EarlierDelivery};
use crate::delivery::{
    DeliveredPicture, DeliveryPlan, RECORD, Refusal, SUMS, archive, lists, names, note, since, verify,
};
use crate::files::atomic_folder::AtomicFolder;
use crate::judge::{Submission, Totals, ranked_ids};
use crate::picture::PictureKey;
use crate::reading::batch::{CheckTarget, FinishedCheck, Progress, check};
use crate::reading::evidence_spill::SpillContents;
use crate::reading::inspect::{FileInspector, Inspector};
use crate::reading::scan::cut_off_words;
use crate::reading::work_limits::WorkLimits;
use crate::report::{Exit, Report, guide};
use crate::units::show;
use crate::units::styled::{Line, Style};
use color_eyre::eyre::{Result, WrapErr, eyre};
use jpeg_encoder::{ColorType, Encoder};

use crate::cli::args::{ColourChoice, DeliverArgs, GuideArgs, VerifyArgs};
use crate::cli::check;
use crate::cli::output::{means, not_written, progress_bar, read_brief, say};

/// Quality of the small pictures on the note: for recognising, not for judging.
const SMALL_QUALITY: u8 = 82;
/// Longest side of the small pictures on the note, in pixels.
const SMALL_PX: usize = 480;

/// What is handed over, from where and where to.
pub struct DeliveryRequest<'a> {
    /// The folder that is exported into.
    pub folder: &'a Path,
    /// A folder that is not there yet.
    pub into: &'a Path,
    /// What of the order.
    pub wanted: DeliverySelection,
    /// An earlier handover of it.
    pub since: Option<&'a Path>,
    /// Also as one archive.
    pub zip: bool,
}

/// Whether the brief, with its list and profiles, or what was decided says something else by now.
fn has_changed(brief: &Brief, accepted: &Decisions) -> bool {
    let is_same = brief::read(&brief.path, &ranked_ids()).is_ok_and(|now| now == *brief)
        && decisions::read(&brief.path).is_ok_and(|now| now == *accepted);
    !is_same
}

/// What became of it.
pub enum DeliveryOutcome {
    /// It lies there.
    Laid(Vec<Line>),
    /// Nothing was laid, for these reasons.
    Refused(Vec<Line>),
}

/// `plateside deliver`
pub fn deliver(args: &DeliverArgs) -> Result<Exit> {
    let Some((brief, accepted)) = check::read_order(&args.brief) else { return Ok(Exit::CouldNot) };
    let only = args.only.iter().map(|path| PictureKey::of(path.strip_prefix(&args.folder).unwrap_or(path)).0).collect();
    let order = DeliveryRequest {
        folder: &args.folder,
        into: &args.into,
        wanted: DeliverySelection { batch: args.batch, only, strict: args.strict },
        since: args.since.as_deref(),
        zip: args.zip,
    };
    let bar = progress_bar();
    let outcome = hand_over(&order, brief, &accepted, means(args.work), &check::onto(&bar));
    bar.finish_and_clear();
    match outcome? {
        DeliveryOutcome::Laid(lines) => say(&lines, ColourChoice::Auto),
        DeliveryOutcome::Refused(lines) => {
            say(&lines, ColourChoice::Auto)?;
            Ok(Exit::ToMend)
        }
    }
}

/// Checks, and lays what may go.
pub fn hand_over(
    order: &DeliveryRequest<'_>,
    brief: Brief,
    accepted: &Decisions,
    means: WorkLimits,
    progress: &(dyn Fn(Progress) + Sync),
) -> Result<DeliveryOutcome> {
    if brief.subfolders && lies_in(order.into, order.folder) {
        return Err(eyre!(
            "{}: lies among the exports, where its copies would be taken for pictures of the order: name a folder \
             outside {}",
            order.into.display(),
            order.folder.display()
        ));
    }
    let laid_before = laid_before(order)?;
    let earlier = order.since.map(since::read).transpose()?;
    let target = CheckTarget::Folder(order.folder.to_owned());
    let drawer = check::drawer(SpillContents::Thumbnails);
    let checked = check(&brief, accepted, &target, means, &FileInspector::maker(), &drawer, progress)
        .wrap_err_with(|| format!("{}: the folder cannot be read", order.folder.display()))?;
    if checked.cut_off {
        let (what, remedy) = cut_off_words();
        return Err(eyre!("{}: {what}; {remedy}", order.folder.display()));
    }
    let report = check::report(brief, order.folder.to_string_lossy().into_owned(), &checked);
    let plan = match plan(&report, &files(&checked), &order.wanted) {
        Ok(plan) => plan,
        Err(Refusal(reasons)) => return Ok(DeliveryOutcome::Refused(not_sent("Nothing was laid", &reasons))),
    };
    if let Some(laid) = laid_before {
        return archived(order.into, &laid.compared(&report, &plan));
    }
    let delivered = check::by_key(&checked);
    let small = |sent: &DeliveredPicture| small(sent, delivered.get(&sent.picture)?);
    let earlier = earlier.map(|earlier| earlier.compared(&report, &plan));
    let note = note::Note::of(&report, &plan, earlier.as_ref(), &small);
    let goes = |one: &&DeliveredPicture| earlier.as_ref().is_none_or(|earlier| earlier.goes(one));
    let sent: Vec<&DeliveredPicture> = plan.sent.iter().filter(goes).collect();
    let is_new = |earlier: &since::Comparison| !sent.is_empty() || !earlier.withdrawn.is_empty();
    if let Some(since) = order.since.filter(|_| !earlier.as_ref().is_none_or(is_new)) {
        let words = format!("nothing is new since {}: nothing was laid", since.display());
        return Ok(DeliveryOutcome::Laid(vec![Line::plain(words)]));
    }
    let mut documents = vec![
        ("NOTE.html", note.html().wrap_err("the note cannot be made")?),
        ("NOTE.txt", note.text()),
        ("pictures.csv", lists::pictures(&report, &sent)),
        ("orders.csv", lists::orders(&report, &sent)),
        (RECORD, lists::record(&report, &plan, earlier.as_ref())),
    ];
    documents.push((SUMS, lists::sums(&sent, &documents)));
    if has_changed(&report.brief, accepted) {
        let words = "the brief, its list or what was decided changed while the pictures were checked";
        return Err(eyre!("{}: {words}; nothing was laid: hand over again", report.brief.path.display()));
    }
    let laid = lay(order.into, order.folder, &sent, &documents)?;
    let mut lines = laid_words(&report, (&sent, &plan), laid, order.into);
    if order.zip {
        lines.push(archive_words(order.into)?);
    }
    lines.push(proof_words(order.into));
    Ok(DeliveryOutcome::Laid(lines))
}

/// Whether a folder that is not there yet would lie somewhere in another.
fn lies_in(into: &Path, folder: &Path) -> bool {
    let whole = |path: &Path| fs::canonicalize(path).or_else(|_| absolute(path)).unwrap_or_else(|_| path.to_owned());
    let beside = into.parent().filter(|beside| !beside.as_os_str().is_empty()).unwrap_or(Path::new("."));
    whole(beside).starts_with(whole(folder))
}

/// What lies there already: nothing, or a handover whose archive was not made any more.
fn laid_before(order: &DeliveryRequest<'_>) -> Result<Option<EarlierDelivery>> {
    let there = |path: &Path| path.symlink_metadata().is_ok();
    let zip = archive::path_of(order.into);
    if order.zip && there(&zip) {
        return Err(eyre!("{}: is there already", zip.display()));
    }
    if !there(order.into) {
        return Ok(None);
    }
    let laid = order.zip.then(|| since::read(order.into).ok()).flatten();
    let never = || eyre!("{}: is there already; a handover is never written over another", order.into.display());
    laid.ok_or_else(never).map(Some)
}

/// Makes the archive of a handover that lies there, if it is sound and what would be laid now.
fn archived(into: &Path, compared: &Comparison) -> Result<DeliveryOutcome> {
    let shown = into.display();
    if !compared.is_the_same() {
        return Err(eyre!("{shown}: is there already and is not what would be handed over now: name a new folder"));
    }
    if !verify::verify(into)?.is_whole() {
        let verify = format!("plateside verify {shown} says what differs");
        return Err(eyre!("{shown}: is there already and no longer as it was laid: {verify}; name a new folder"));
    }
    let laid = Line::plain(format!("{shown} lies there as it was laid"));
    Ok(DeliveryOutcome::Laid(vec![laid, archive_words(into)?, proof_words(into)]))
}

/// Makes the archive, and says where it lies.
fn archive_words(into: &Path) -> Result<Line> {
    let zip = archive::write(into).wrap_err(
        "the handover lies there, but its archive cannot be written; the same command makes it once it can be",
    )?;
    Ok(Line::plain(format!("as one archive: {}", zip.display())))
}

fn proof_words(into: &Path) -> Line {
    Line::of(Style::Dim, format!("plateside verify {} proves it after the transfer", into.display()))
}

/// What was laid, and what somebody should know of it.
fn laid_words(
    report: &Report,
    (sent, plan): (&[&DeliveredPicture], &DeliveryPlan),
    laid: WrittenDelivery,
    into: &Path,
) -> Vec<Line> {
    let mut lines = vec![
        Line::of(Style::Good, format!("{} laid", show::count(laid.pictures, "picture", "pictures")))
            .and(Style::Plain, format!(" in {} ({})", into.display(), show::bytes(laid.bytes))),
    ];
    lines.extend(remarks(report, sent, &plan.extra));
    lines
}

/// What somebody should know of a handover, before and after it is laid.
pub fn remarks(report: &Report, sent: &[&DeliveredPicture], extra: &[PictureKey]) -> Vec<Line> {
    let rows = || sent.iter().flat_map(|sent| &sent.rows).map(|at| &report.rows[*at]);
    let totals = Totals::of(rows());
    let mut lines = Vec::new();
    if totals.warn > 0 {
        let words = show::count(totals.warn, "row is better mended", "rows are better mended");
        lines.push(Line::of(Style::Warn, format!("{words}: the note says so")));
    }
    if totals.accepted > 0 {
        let words = show::count(totals.accepted, "finding stands", "findings stand");
        lines.push(Line::plain(format!("{words} accepted: the note says who and why")));
    }
    let unseen = rows().filter(|row| row.test_print.is_open()).count();
    if unseen > 0 {
        let words = show::count(unseen, "print was", "prints were");
        lines.push(Line::of(
            Style::Warn,
            format!("{words} to be seen on a test print first, and nobody has of this export"),
        ));
    }
    if report.brief.from.is_none() {
        let words = "the note names nobody to ask: from = \"name, how to reach you\" in the brief puts you on it";
        lines.push(Line::of(Style::Dim, words.to_owned()));
    }
    if !extra.is_empty() {
        let extra: Vec<String> = extra.iter().map(PictureKey::to_string).collect();
        lines.push(Line::of(Style::Dim, format!("not sent, no print wants them: {}", extra.join(", "))));
    }
    lines
}

/// A check as one page for a client.
pub fn page(report: &Report, checked: &FinishedCheck) -> Result<Vec<u8>> {
    let delivered = check::by_key(checked);
    let small = |sent: &DeliveredPicture| small(sent, delivered.get(&sent.picture)?);
    note::Note::of_check(report, &files(checked), &small).html().wrap_err("the page cannot be made")
}

/// Why nothing is laid, under a head such as "Nothing was laid".
pub fn not_sent(head: &str, reasons: &[String]) -> Vec<Line> {
    let count = show::count(reasons.len(), "reason", "reasons");
    let mut lines = vec![Line::of(Style::Bad, format!("{head}, for {count}:"))];
    lines.extend(reasons.iter().map(|reason| Line::plain(reason.as_str()).indented(2, 2)));
    lines
}

fn files(checked: &FinishedCheck) -> ListedFiles {
    let of = |file: &Submission| {
        let path = checked.paths.get(&file.key)?;
        Some((file.key.clone(), (path.clone(), file.name_is_utf8)))
    };
    checked.files.iter().filter_map(of).collect()
}

/// A picture's thumbnail for the note, as JPEG.
fn small(sent: &DeliveredPicture, file: &Submission) -> note::NoteThumbnail {
    let (facts, evidence) = (file.facts()?, file.evidence()?);
    let upright = FileInspector::default().to_screen(&sent.path, &evidence.thumbnail, facts)?;
    let (width, height) = (upright.width_px as usize, upright.height_px as usize);
    // Every n-th pixel of what is small already: for recognising alone.
    let step = width.max(height).div_ceil(SMALL_PX).max(1);
    let (across, down) = (width.div_ceil(step), height.div_ceil(step));
    let pixels = upright.rgb.as_chunks::<3>().0;
    let picked = (0..down).flat_map(|y| (0..across).map(move |x| y * step * width + x * step));
    let rgb: Vec<u8> = picked.flat_map(|at| pixels[at]).collect();
    let mut jpeg = Vec::new();
    let (across, down) = (u16::try_from(across).ok()?, u16::try_from(down).ok()?);
    Encoder::new(&mut jpeg, SMALL_QUALITY).encode(&rgb, across, down, ColorType::Rgb).ok()?;
    Some((jpeg, (across.into(), down.into())))
}

/// Writes a frame for each print, or for one.
pub fn guides(args: &GuideArgs) -> Result<Exit> {
    let Some(brief) = read_brief(&args.brief) else { return Ok(Exit::CouldNot) };
    let is_meant = |print: &&Print| args.print.as_deref().is_none_or(|word| print.is_called(word));
    let prints: Vec<&Print> = brief.prints.iter().filter(is_meant).collect();
    if prints.is_empty() {
        let name = args.print.as_deref().unwrap_or_default();
        return Err(eyre!("the brief has no print \"{name}\"; plateside brief show lists them"));
    }
    let failed = |error| not_written(&args.into, error);
    let making = AtomicFolder::begin(&args.into).map_err(failed)?;
    for print in &prints {
        let frame = guide::frame_px(print, args.frame, args.size);
        let png = guide::png(print, frame).ok_or_else(|| eyre!("{}: has no place in such a frame", print.name))?;
        making.write_file(Path::new(&format!("{}.png", names::plain(&print.id.0))), &png).map_err(failed)?;
    }
    making.finish().map_err(failed)?;
    let count = show::count(prints.len(), "frame", "frames");
    let words = format!("{count} written in {}: lay them over the camera's picture", args.into.display());
    say(&[Line::plain(words)], ColourChoice::Auto)
}

/// Proves a handover.
pub fn verify_one(args: &VerifyArgs) -> Result<Exit> {
    let found = verify::verify(Path::new(&args.folder))?;
    let mut lines = Vec::new();
    for (word, names) in [("changed", &found.changed), ("missing", &found.missing), ("added", &found.added)] {
        lines.extend(
            names.iter().map(|name| Line::of(Style::Bad, format!("{word:9}")).and(Style::Plain, name.as_str())),
        );
    }
    lines.extend(found.unread.iter().map(|(name, why)| {
        Line::of(Style::Bad, format!("{:9}", "unread")).and(Style::Plain, format!("{name}: {why}"))
    }));
    let sound = show::count(found.sound, "file is", "files are");
    lines.push(Line::plain(format!("{sound} as laid")));
    say(&lines, ColourChoice::Auto)?;
    Ok(if found.is_whole() { Exit::Clean } else { Exit::ToMend })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_that_changed_since_it_was_read_is_known() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("b.toml");
        let write = |text: &str| fs::write(&path, text).unwrap();
        write("prints = \"list.csv\"\n");
        let list =
            |size: &str| fs::write(room.path().join("list.csv"), format!("picture,size\na.jpg,{size}\n")).unwrap();
        list("8 x 10 in");
        let read = brief::read(&path, &ranked_ids()).unwrap_or_else(|problems| panic!("{problems:?}"));
        assert!(!has_changed(&read, &Decisions::default()));
        list("16 x 20 in");
        assert!(has_changed(&read, &Decisions::default()));
        list("8 x 10 in");
        fs::write(decisions::path_beside(&path), "version = [").unwrap();
        assert!(has_changed(&read, &Decisions::default()));
    }

    #[test]
    fn a_handover_among_the_exports_is_known_by_any_path() {
        let room = tempfile::tempdir().unwrap();
        let exports = room.path().join("exports");
        fs::create_dir_all(exports.join("sub")).unwrap();
        assert!(lies_in(&exports.join("out"), &exports) && lies_in(&exports.join("sub/../out"), &exports));
        assert!(!lies_in(&room.path().join("exports-out"), &exports) && !lies_in(&exports.join("../out"), &exports));
    }
}
