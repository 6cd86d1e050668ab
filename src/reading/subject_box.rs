//! Shows, draws or removes a subject's box from the command line: of one picture, for all prints or for one.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::brief::{Brief, Print, Problem, SeveralPrints};
use crate::decisions::{self, BoxChange, DecisionChange, Decisions, KeepError, PictureBoxes};
use crate::files;
use crate::judge::matching::pairing::pair;
use crate::judge::placement::Placement;
use crate::judge::subject::typed::{self, Measure, TypedError};
use crate::judge::subject::{DrawnBox, Subjects};
use crate::judge::{EvidenceHandle, Finding, HeaderState, Pixels, Row, Submission, judge};
use crate::picture::{Fault, FaultKind, PictureKey};
use crate::units::words;

use super::inspect::Inspector;
use super::naming::{NamingError, key_of};

/// Identifies a box.
#[derive(Clone, Copy, Debug)]
pub struct BoxTarget<'a> {
    /// The brief.
    pub brief: &'a Brief,
    /// The picture's path.
    pub picture: &'a Path,
    /// The watched folder; by default the picture's own.
    pub folder: Option<&'a Path>,
    /// A print's name or id.
    pub print: Option<&'a str>,
}

/// The current boxes of a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct SubjectBoxes {
    /// The picture's name in the order.
    pub picture: PictureKey,
    /// Its upright size in pixels.
    pub picture_px: (u32, u32),
    /// The boxes' positions in it; empty where none was drawn.
    pub subjects: Subjects,
    /// The file that holds them.
    pub file: PathBuf,
    /// The number of accepted findings that are open again since the box was changed.
    pub reopened: usize,
}

/// The reason why a box can be neither shown nor drawn.
#[derive(Debug, thiserror::Error)]
pub enum BoxError {
    /// The picture cannot be read.
    #[error("{}: {}", words::visible(&path.to_string_lossy()), fault.what)]
    Picture {
        /// The picture's path.
        path: PathBuf,
        /// The reason.
        fault: Fault,
    },
    /// The picture's name in the order is not known.
    #[error(transparent)]
    Unnamed(#[from] NamingError),
    /// The brief has no such print.
    #[error("the brief has no print \"{name}\"; it has {prints}")]
    NoPrint {
        /// The name as typed.
        name: String,
        /// The prints that the brief has.
        prints: String,
    },
    /// The print's name is that of several.
    #[error(transparent)]
    SeveralPrints(#[from] SeveralPrints),
    /// There is no box to remove.
    #[error("{0}: no such box to remove")]
    NothingThere(PictureKey),
    /// The typed text is not a box.
    #[error(transparent)]
    Typed(#[from] TypedError),
    /// The file that holds the boxes is broken.
    #[error("the decisions file has mistakes")]
    Broken(Vec<Problem>),
    /// The box cannot be kept.
    #[error(transparent)]
    NotKept(KeepError),
}

/// Maximum number of prints that an error lists.
const MAX_LISTED: usize = 12;

/// Returns the boxes of a picture and their current positions in it.
///
/// # Errors
/// When the picture or the file that holds the boxes cannot be read.
pub fn show(target: &BoxTarget, inspector: &mut dyn Inspector) -> Result<SubjectBoxes, BoxError> {
    let accepted = decisions::read(&target.brief.path).map_err(BoxError::Broken)?;
    let read = read(target, inspector)?;
    Ok(boxes_of(target, &read, &accepted))
}

/// Draws a box, typed as `LEFT,TOP,RIGHT,BOTTOM`, replacing any earlier one.
///
/// # Errors
/// When the text is not a box, or the box cannot be kept.
pub fn draw(target: &BoxTarget, text: &str, inspector: &mut dyn Inspector) -> Result<SubjectBoxes, BoxError> {
    let print = named_print(target)?;
    let read = read(target, inspector)?;
    let picture_px = upright_px(&read);
    let placement = print.or_else(|| only_print(target.brief, &read)).map(|print| Placement::of(print, picture_px));
    let area = typed::area(text, &Measure { picture_px, placement: placement.as_ref() })?;
    let drawn = read.evidence().and_then(|evidence| DrawnBox::on(&evidence, area));
    let drawn = drawn.ok_or_else(|| TypedError::Small(text.to_owned()))?;
    let print = print.map(|print| print.id.clone());
    let before = decisions::read(&target.brief.path).map_err(BoxError::Broken)?;
    let accepted = keep(target.brief, BoxChange { picture: read.key.clone(), print, drawn: Some(drawn) })?;
    let (before, now) = (boxes_of(target, &read, &before), boxes_of(target, &read, &accepted));
    let reopened = count_reopened(target.brief, &read, before.subjects, &now.subjects, &accepted);
    Ok(SubjectBoxes { reopened, ..now })
}

/// Counts the findings that were accepted with the earlier boxes and are open again with the present ones. Rules that
/// compare pictures with one another are left out: only this picture is checked.
fn count_reopened(brief: &Brief, read: &Submission, before: Subjects, now: &Subjects, accepted: &Decisions) -> usize {
    let sha256 = read.evidence_handle().map(|handle| handle.sha256.as_str());
    let acceptances = accepted.findings_of(&read.key, sha256);
    if acceptances.is_empty() || before == *now {
        return 0;
    }
    let judged = |subjects: Subjects| {
        let with = Submission { subjects: Arc::new(subjects), acceptances: Arc::clone(&acceptances), ..read.clone() };
        judge(brief, &[with]).rows
    };
    let earlier = judged(before);
    let was_accepted = |row: &Row, finding: &Finding| {
        let same_row = earlier.iter().filter(|earlier| earlier.key == row.key);
        same_row.flat_map(|earlier| earlier.accepted.iter()).any(|one| one.finding.is_same_as(finding))
    };
    let rows = judged(now.clone());
    let open = rows.iter().flat_map(|row| row.findings.iter().map(move |finding| (row, finding)));
    open.filter(|(row, finding)| finding.lapsed.is_some() && was_accepted(row, finding)).count()
}

/// Removes a box; neither the picture nor its print need exist any more, and either may have been renamed since.
/// Returns the name under which the box was kept, and the number of accepted findings that are open again without it.
///
/// # Errors
/// When there is no such box, or the change cannot be kept.
pub fn remove(target: &BoxTarget, inspector: &mut dyn Inspector) -> Result<(PictureKey, usize), BoxError> {
    let print = target.print.map(|word| target.brief.print_id_of(word)).transpose()?;
    let picture = key_of(target.picture, target.folder, target.brief.reads_subfolders())?.0;
    let accepted = decisions::read(&target.brief.path).map_err(BoxError::Broken)?;
    let has = |boxes: &Arc<PictureBoxes>| match &print {
        Some(print) => boxes.of_prints.contains_key(print),
        None => boxes.of_picture.is_some(),
    };
    let sha256 = files::sha256(target.picture).ok();
    let picture = accepted.boxes.stored_name(&picture, sha256.as_deref()).clone();
    if !accepted.boxes.get(&picture, None).is_some_and(has) {
        named_print(target)?;
        return Err(BoxError::NothingThere(picture));
    }
    let has_accepted = !accepted.findings_of(&picture, sha256.as_deref()).is_empty();
    let read = if has_accepted { read(target, inspector).ok() } else { None };
    let now = keep(target.brief, BoxChange { picture: picture.clone(), print, drawn: None })?;
    let reopened = read.map_or(0, |read| {
        let of = |decisions: &Decisions| boxes_of(target, &read, decisions).subjects;
        count_reopened(target.brief, &read, of(&accepted), &of(&now), &now)
    });
    Ok((picture, reopened))
}

fn keep(brief: &Brief, change: BoxChange) -> Result<Decisions, BoxError> {
    decisions::keep(&brief.path, &[DecisionChange::Box(change)]).map_err(|error| match error {
        KeepError::Broken(problems) => BoxError::Broken(problems),
        other => BoxError::NotKept(other),
    })
}

/// Returns the boxes of a picture that was read, as decided.
fn boxes_of(target: &BoxTarget, read: &Submission, decisions: &Decisions) -> SubjectBoxes {
    let handle = read.evidence_handle().map(Arc::as_ref);
    let boxes = decisions.boxes.get(&read.key, handle.map(|handle| handle.sha256.as_str()));
    SubjectBoxes {
        picture: read.key.clone(),
        picture_px: upright_px(read),
        subjects: boxes.map(|boxes| boxes.carried_to(handle)).unwrap_or_default(),
        file: decisions::path_beside(&target.brief.path),
        reopened: 0,
    }
}

/// Reads the picture, header and pixels.
fn read(target: &BoxTarget, inspector: &mut dyn Inspector) -> Result<Submission, BoxError> {
    let path = target.picture;
    let (key, name_is_utf8) = key_of(path, target.folder, target.brief.reads_subfolders())?;
    let faulty = |fault: Fault| BoxError::Picture { path: path.to_owned(), fault };
    if path.is_dir() {
        return Err(faulty(io::Error::from(io::ErrorKind::IsADirectory).into()));
    }
    if fs::metadata(path).is_err_and(|error| error.kind() == io::ErrorKind::NotFound) {
        return Err(faulty(Fault::new(FaultKind::Unreachable, words::no_such_picture(path))));
    }
    let facts = inspector.facts(path).map_err(faulty)?;
    let evidence = inspector.evidence(path, &facts, true).map_err(faulty)?;
    Ok(Submission {
        key,
        name_is_utf8,
        bytes: facts.bytes,
        modified_ns: 0,
        header: HeaderState::Read(Arc::new(facts)),
        pixels: Pixels::Read(Arc::new(EvidenceHandle::in_memory(evidence))),
        subjects: Arc::default(),
        acceptances: Arc::default(),
        test_print_remarks: Arc::default(),
    })
}

fn upright_px(read: &Submission) -> (u32, u32) {
    read.facts().map_or((1, 1), |facts| facts.upright_px())
}

/// Returns the named print.
fn named_print<'a>(target: &BoxTarget<'a>) -> Result<Option<&'a Print>, BoxError> {
    let Some(name) = target.print else { return Ok(None) };
    let prints = &target.brief.prints;
    target.brief.print_called(name)?.map(Some).ok_or_else(|| {
        let listed: Vec<&str> = prints.iter().take(MAX_LISTED).map(|print| &*print.id.0).collect();
        let more = if prints.len() > MAX_LISTED { ", ..." } else { "" };
        BoxError::NoPrint { name: name.to_owned(), prints: format!("{}{more}", listed.join(", ")) }
    })
}

/// Returns the print that the picture is for, if there is exactly one.
fn only_print<'a>(brief: &'a Brief, picture: &Submission) -> Option<&'a Print> {
    let pairing = pair(brief, std::slice::from_ref(picture));
    let mut with_picture = brief.prints.iter().zip(&pairing.of_print).filter(|(_, pictures)| !pictures.is_empty());
    match (with_picture.next(), with_picture.next()) {
        (Some((print, _)), None) => Some(print),
        _ => None,
    }
}
