//! A check without a screen: a folder or some files, read once by several workers, judged once. The result does not
//! depend on the number of workers.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;

use crossbeam_channel::{Sender, bounded};

use crate::brief::Brief;
use crate::decisions::Decisions;
use crate::judge::{FolderContents, HeaderState, Judgement, Pixels, Submission, judge_folder};
use crate::picture::{Facts, Fault, FaultKind, PictureKey};
use crate::reading::limits;
use crate::units::words::of_system;

use super::evidence_cache::EvidenceCache;
use super::evidence_spill::EvidenceSpill;
use super::inspect::MakeInspector;
use super::job::{Job, JobError, JobResult, Task, Ticket, WorkerEvent};
use super::scan::{self, Scan, ScanFilter, ScannedFile, Stamp};
use super::work_limits::WorkLimits;
use super::worker::{EvidenceStores, Pool};

/// The pictures to check.
#[derive(Clone, Debug)]
pub enum CheckTarget {
    /// Every picture of a folder.
    Folder(PathBuf),
    /// These files alone; prints without a picture among them are left out.
    Files(Vec<PathBuf>),
}

/// How far a check has got.
#[derive(Clone, Debug)]
pub struct Progress {
    /// The picture that was read last.
    pub picture: PictureKey,
    /// Number of pictures read.
    pub done: usize,
    /// Number of pictures in all.
    pub of: usize,
}

/// Follows a check, and may stop it; called from any thread.
pub trait CheckObserver: Sync {
    /// Takes in how far the check has got, after each picture.
    fn on_checked(&self, progress: Progress);

    /// True once the check is no longer wanted.
    fn is_stopped(&self) -> bool {
        false
    }
}

impl<F: Fn(Progress) + Sync> CheckObserver for F {
    fn on_checked(&self, progress: Progress) {
        self(progress);
    }
}

/// A finished check.
#[derive(Clone, Debug)]
pub struct FinishedCheck {
    /// The rows.
    pub judgement: Judgement,
    /// The files, as they were read.
    pub files: Vec<Submission>,
    /// Each file's path.
    pub paths: BTreeMap<PictureKey, PathBuf>,
    /// True if the folder held more files than are examined.
    pub is_cut_off: bool,
}

/// Reads and judges; evidence is kept in `spill`.
///
/// # Errors
/// When the folder or a named file cannot be found, or when it was stopped (`Interrupted`).
pub fn check(
    brief: &Brief,
    decisions: &Decisions,
    target: &CheckTarget,
    work_limits: WorkLimits,
    make_inspector: &MakeInspector,
    spill: &Arc<EvidenceSpill>,
    observer: &dyn CheckObserver,
) -> io::Result<FinishedCheck> {
    let Scan { files, unlisted, is_cut_off, .. } = scan_target(brief, target)?;
    let scanned_files: Vec<(PictureKey, ScannedFile)> = files.into_iter().collect();
    let reading = BatchReading::of(&scanned_files, decisions);
    let start = |events| {
        let stores = EvidenceStores { cache: EvidenceCache::none(), spill: spill.clone() };
        let pool = Pool::start(work_limits, make_inspector.clone(), stores, events);
        pool.set_brief(brief);
        pool
    };
    let files = read_all(reading, start, observer, &Instant::now);
    if observer.is_stopped() {
        return Err(io::ErrorKind::Interrupted.into());
    }
    let folder = FolderContents { files, unlisted: Arc::new(unlisted) };
    let mut judgement = judge_folder(brief, &folder);
    if let CheckTarget::Files(_) = target {
        judgement.rows.retain(|row| row.key.picture.is_some());
    }
    let paths = scanned_files.into_iter().map(|(key, scanned)| (key, scanned.path)).collect();
    Ok(FinishedCheck { judgement, files: folder.files, paths, is_cut_off })
}

/// Lists the files to read.
fn scan_target(brief: &Brief, target: &CheckTarget) -> io::Result<Scan> {
    match target {
        CheckTarget::Folder(folder) => scan::scan(folder, &scan_filter(brief, folder)),
        CheckTarget::Files(paths) => scan_named(brief, paths),
    }
}

/// Lists the named files, each by its file name, or all by their whole paths where two have the same name. A file in
/// the folder of a version has that folder before its name.
fn scan_named(brief: &Brief, paths: &[PathBuf]) -> io::Result<Scan> {
    if !brief.order_versions.is_empty() {
        return scan_named_in_versions(brief, paths);
    }
    // Compared as keys: the same name may be written in two forms.
    let mut names: Vec<_> =
        paths.iter().filter_map(|path| Some(PictureKey::of(Path::new(path.file_name()?)).0)).collect();
    names.sort_unstable();
    let some_are_equal = names.windows(2).any(|pair| pair[0] == pair[1]);
    let mut scan = Scan::default();
    for path in paths {
        let stamp = Stamp::of(path)
            .map_err(|error| io::Error::new(error.kind(), format!("{}: {}", path.display(), of_system(&error))))?;
        let name = path.file_name().filter(|_| !some_are_equal).map_or_else(|| path.clone(), PathBuf::from);
        let (key, name_is_utf8) = PictureKey::of(&name);
        scan.add(
            Path::new(""),
            key,
            ScannedFile { path: path.clone(), name_is_utf8, stamp, last_notice: scan::WriteNotice::None },
        );
    }
    Ok(scan)
}

/// Lists the named files of an order in versions.
fn scan_named_in_versions(brief: &Brief, paths: &[PathBuf]) -> io::Result<Scan> {
    let mut scan = Scan::default();
    for path in paths {
        let stamp = Stamp::of(path)
            .map_err(|error| io::Error::new(error.kind(), format!("{}: {}", path.display(), of_system(&error))))?;
        let beside = std::path::absolute(path)?;
        let folder = beside.parent().unwrap_or(Path::new(""));
        let version = brief.order_versions.iter().find(|version| folder.ends_with(&*version.folder));
        let name = path.file_name().map_or_else(|| path.clone(), PathBuf::from);
        let (key, name_is_utf8) =
            PictureKey::of(&version.map_or(name.clone(), |one| Path::new(&*one.folder).join(name)));
        let scanned = ScannedFile { path: path.clone(), name_is_utf8, stamp, last_notice: scan::WriteNotice::None };
        scan.add(Path::new(""), key, scanned);
    }
    Ok(scan)
}

/// Returns which files of a folder a brief wants listed: not itself, nor what it ignores.
pub fn scan_filter(brief: &Brief, folder: &Path) -> ScanFilter {
    let brief_file = brief.path.file_name().map(|name| folder.join(name));
    let excluded = brief_file.into_iter().chain([brief.path.clone()]).collect();
    let version_folders = brief.order_versions.iter().map(|version| PathBuf::from(&*version.folder)).collect();
    ScanFilter {
        includes_subfolders: brief.includes_subfolders,
        version_folders,
        ignore: brief.ignore.clone(),
        excluded,
    }
}

/// Reads every file with the same workers as the live table, so that hanging jobs are written off here, too. `clock`
/// returns the time.
fn read_all(
    mut reading: BatchReading<'_>,
    start: impl FnOnce(Sender<WorkerEvent>) -> Pool,
    observer: &dyn CheckObserver,
    clock: &dyn Fn() -> Instant,
) -> Vec<Submission> {
    let (sender, events) = bounded(limits::MAX_EVENTS);
    let mut pool = start(sender);
    let of = reading.files.len();
    for at in 0..of {
        pool.push(reading.job(at, Task::Header));
    }
    while reading.unread > 0 && !observer.is_stopped() {
        let event = events.recv_timeout(limits::OVERDUE_POLL).ok();
        for event in event.into_iter().chain(pool.write_off_if_due(clock())) {
            let WorkerEvent::Done(ticket, done) = event else { continue };
            let unread = reading.unread;
            if let Some(job) = reading.take(&ticket, done) {
                pool.push(job);
            }
            if reading.unread < unread {
                observer.on_checked(Progress { picture: ticket.key, done: of - reading.unread, of });
            }
        }
        if pool.responsive_workers() == 0 {
            reading.give_up();
        }
    }
    // A hanging worker no longer has a receiver.
    drop(events);
    pool.end().wait_until(Instant::now() + limits::SHUTDOWN_WAIT);
    reading.files.into_iter().filter_map(|file| file.submission).collect()
}

/// The files while they are read; a ticket's version is a file's index.
struct BatchReading<'a> {
    scanned_files: &'a [(PictureKey, ScannedFile)],
    decisions: &'a Decisions,
    files: Vec<PendingFile>,
    /// Number of files not read yet.
    unread: usize,
}

/// One file while it is read.
struct PendingFile {
    /// Identifies the bytes to read.
    stamp: Stamp,
    /// Number of times reading was begun.
    readings: usize,
    facts: Option<Arc<Facts>>,
    submission: Option<Submission>,
}

impl<'a> BatchReading<'a> {
    fn of(scanned_files: &'a [(PictureKey, ScannedFile)], decisions: &'a Decisions) -> BatchReading<'a> {
        let file = |(_, scanned): &(PictureKey, ScannedFile)| PendingFile {
            stamp: scanned.stamp,
            readings: 1,
            facts: None,
            submission: None,
        };
        BatchReading {
            scanned_files,
            decisions,
            files: scanned_files.iter().map(file).collect(),
            unread: scanned_files.len(),
        }
    }

    fn job(&self, at: usize, task: Task) -> Job {
        let (key, scanned) = &self.scanned_files[at];
        let (path, stamp) = (scanned.path.clone(), self.files[at].stamp);
        Job { ticket: Ticket { key: key.clone(), path, stamp, version: at as u64 }, task }
    }

    /// Takes in a worker's result; returns the next job for this file.
    fn take(&mut self, ticket: &Ticket, done: JobResult) -> Option<Job> {
        let at = usize::try_from(ticket.version).ok()?;
        let facts = self.files.get(at)?.facts.clone();
        let header = facts.map_or(HeaderState::Waiting { is_arriving: false }, HeaderState::Read);
        match done {
            JobResult::Header(Ok(facts)) => {
                self.files[at].facts = Some(facts.clone());
                return Some(self.job(at, Task::Pixels(facts)));
            }
            JobResult::Header(Err(JobError::Fault(fault))) => {
                self.finish(at, HeaderState::Fault(fault), Pixels::Waiting)
            }
            JobResult::Pixels(Ok(read)) => self.finish(at, header, Pixels::Read(read.evidence_handle)),
            JobResult::Pixels(Err(JobError::Fault(fault))) => self.finish(at, header, Pixels::Fault(fault)),
            JobResult::Header(Err(JobError::Changed)) | JobResult::Pixels(Err(JobError::Changed)) => {
                return self.reread(at);
            }
            JobResult::Colours(_) | JobResult::Drawn { .. } | JobResult::Proofed { .. } => {}
        }
        None
    }

    /// Reads again a file that changed while it was read, header and pixels of the same bytes; reports it as still
    /// changing after too many attempts.
    fn reread(&mut self, at: usize) -> Option<Job> {
        let file = &mut self.files[at];
        file.readings += 1;
        let stamp = match Stamp::of(&self.scanned_files[at].1.path) {
            Ok(_) if file.readings > limits::MAX_READINGS => {
                Err(Fault::new(FaultKind::Unreachable, "it kept changing while it was read"))
            }
            now => now.map_err(Fault::from),
        };
        match stamp {
            Ok(stamp) => {
                file.stamp = stamp;
                Some(self.job(at, Task::Header))
            }
            Err(fault) => {
                self.finish(at, HeaderState::Fault(fault), Pixels::Waiting);
                None
            }
        }
    }

    /// Reports the remaining files as faults: every worker hangs.
    fn give_up(&mut self) {
        for at in 0..self.files.len() {
            if self.files[at].submission.is_none() {
                let fault = Fault::new(FaultKind::Internal, "it was not read: reading the others did not finish");
                self.finish(at, HeaderState::Fault(fault), Pixels::Waiting);
            }
        }
    }

    fn finish(&mut self, at: usize, header: HeaderState, pixels: Pixels) {
        let (decisions, file) = (self.decisions, &mut self.files[at]);
        let (key, scanned) = &self.scanned_files[at];
        let handle = pixels.evidence_handle().map(Arc::as_ref);
        let sha256 = handle.map(|handle| handle.sha256.as_str());
        let subjects = decisions.boxes.get(key, sha256).map(|boxes| Arc::new(boxes.carried_to(handle)));
        let submission = Submission {
            key: key.clone(),
            name_is_utf8: scanned.name_is_utf8,
            bytes: file.stamp.bytes,
            modified_ns: file.stamp.identity.modified_ns,
            subjects: subjects.unwrap_or_default(),
            acceptances: decisions.findings_of(key, sha256),
            test_print_remarks: decisions.test_print_remarks_of(key, sha256),
            header,
            pixels,
        };
        self.unread -= usize::from(file.submission.is_none());
        file.submission = Some(submission);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Evidence, Thumbnail};
    use crate::picture::facts::Format;
    use crate::reading::evidence_spill::SpillContents;
    use crate::reading::inspect::{Inspector, UprightThumbnail};
    use crate::reading::proof::ProofRequest;
    use crate::reading::testing::{Reads, inspectors};

    const MEANS: WorkLimits = WorkLimits { jobs: 1, memory_bytes: limits::MEMORY_BYTES, has_lower_priority: false };

    /// Uses the file's text as its digest, while the file is overwritten this many more times.
    struct Overwritten(usize);

    impl Inspector for Overwritten {
        fn facts(&mut self, path: &Path) -> Result<Facts, Fault> {
            Ok(Facts::unknown(Format::Jpeg, std::fs::metadata(path)?.len()))
        }

        fn memory_bytes(&self, _facts: &Facts) -> u64 {
            1
        }

        fn evidence(&mut self, path: &Path, _facts: &Facts, _helpers: bool) -> Result<Evidence, Fault> {
            let sha256 = std::fs::read_to_string(path)?;
            if self.0 > 0 {
                self.0 -= 1;
                std::fs::write(path, format!("{sha256}+"))?;
            }
            Ok(Evidence::nothing(&sha256))
        }

        fn release_buffers(&mut self) {}

        fn preview(&mut self, _path: &Path, _facts: &Facts) -> Option<UprightThumbnail> {
            None
        }

        fn to_screen(&mut self, _path: &Path, _thumbnail: &Thumbnail, _facts: &Facts) -> Option<UprightThumbnail> {
            None
        }

        fn on_paper(
            &mut self,
            _path: &Path,
            _of: &Thumbnail,
            _facts: &Facts,
            _asked: &ProofRequest,
        ) -> Option<UprightThumbnail> {
            None
        }
    }

    fn files_of(
        paths: &[PathBuf],
        work_limits: WorkLimits,
        make: &MakeInspector,
        clock: &dyn Fn() -> Instant,
    ) -> Vec<Submission> {
        let scanned_files: Vec<_> = scan_named(&crate::judge::testing::brief("[[print]]\nsize = \"8 x 10 in\""), paths)
            .unwrap()
            .files
            .into_iter()
            .collect();
        let decisions = Decisions::default();
        let stores =
            EvidenceStores { cache: EvidenceCache::none(), spill: EvidenceSpill::new(SpillContents::Numbers, None) };
        let start = |events| Pool::start(work_limits, make.clone(), stores, events);
        read_all(BatchReading::of(&scanned_files, &decisions), start, &|_| {}, clock)
    }

    fn read(overwritten: usize) -> Submission {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.jpg");
        std::fs::write(&path, "a").unwrap();
        let make: MakeInspector = Arc::new(move || Box::new(Overwritten(overwritten)));
        files_of(&[path], MEANS, &make, &Instant::now).remove(0)
    }

    #[test]
    fn pictures_that_hang_are_written_off_and_the_others_are_read() {
        let folder = tempfile::tempdir().unwrap();
        let paths = ["a.jpg", "b.jpg", "c.jpg"].map(|name| folder.path().join(name));
        for (path, text) in paths.iter().zip(["hang", "2400 3000", "hang"]) {
            std::fs::write(path, text).unwrap();
        }
        let make = inspectors(&Arc::new(Reads::default()));
        // A clock ahead by the longest time a job may take: any job not done at once hangs.
        let ahead = || Instant::now() + limits::WRITTEN_OFF_AFTER;
        let files = files_of(&paths, WorkLimits { jobs: 2, ..MEANS }, &make, &ahead);
        let faults: Vec<bool> = files.iter().map(|file| matches!(file.header, HeaderState::Fault(_))).collect();
        assert_eq!(faults, [true, false, true]);
    }

    #[test]
    fn a_file_that_is_overwritten_while_it_is_read_is_read_again_as_a_whole() {
        let file = read(1);
        assert_eq!((file.evidence_handle().unwrap().sha256.as_str(), file.bytes), ("a+", 2));
        assert_eq!(file.facts().unwrap().bytes, 2);
    }

    #[test]
    fn a_file_that_never_rests_is_no_verdict() {
        let HeaderState::Fault(fault) = read(usize::MAX).header else {
            panic!("it was judged in the midst of a change")
        };
        assert_eq!(fault.kind, FaultKind::Unreachable);
    }
}
