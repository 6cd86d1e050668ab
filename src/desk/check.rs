//! The run without a screen: a folder or some files, read once by several workers, judged once. The result does not
//! depend on how many workers there are.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use crate::brief::Brief;
use crate::judge::{Delivered, Header, Judgement, Pixels, judge};
use crate::picture::{Fault, FaultKind, PictureKey};

use super::accepted::Accepted;
use super::fence::{WORKER_NAME, fenced};
use super::inspect::{Inspector, MakeInspector};
use super::limits;
use super::permits::Permits;
use super::scan::{self, Sighting, Stamp, Wanted};

/// What is to be checked.
#[derive(Clone, Debug)]
pub enum Target {
    /// Every picture of a folder.
    Folder(PathBuf),
    /// These files alone; prints that none of them answers are left out.
    Files(Vec<PathBuf>),
}

/// How far a check is.
#[derive(Clone, Debug)]
pub struct Progress {
    /// The picture that was read last.
    pub picture: PictureKey,
    /// Pictures read.
    pub done: usize,
    /// Pictures in all.
    pub of: usize,
}

/// A finished check.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The rows.
    pub judgement: Judgement,
    /// The files, as they were read.
    pub files: Vec<Delivered>,
    /// Whether the folder held more files than are looked at.
    pub cut_off: bool,
}

/// Reads and judges.
///
/// # Errors
/// When the folder or a named file cannot be found.
pub fn check(
    brief: &Brief,
    accepted: &Accepted,
    target: &Target,
    jobs: usize,
    make: &MakeInspector,
    progress: &(dyn Fn(Progress) + Sync),
) -> io::Result<Checked> {
    let (sightings, cut_off) = listed(brief, target)?;
    let files = read_all(&sightings, accepted, jobs, make, progress);
    let mut judgement = judge(brief, &files);
    if let Target::Files(_) = target {
        judgement.rows.retain(|row| row.key.picture.is_some());
    }
    Ok(Checked { judgement, files, cut_off })
}

/// The files to read, in the order of their keys.
fn listed(brief: &Brief, target: &Target) -> io::Result<(Vec<(PictureKey, Sighting)>, bool)> {
    match target {
        Target::Folder(folder) => {
            let scan = scan::scan(folder, &wanted(brief, folder))?;
            Ok((scan.files.into_iter().collect(), scan.cut_off))
        }
        Target::Files(paths) => Ok((named(paths)?, false)),
    }
}

/// Files that were named one by one, each by its file name; by its whole path where two have the same name.
fn named(paths: &[PathBuf]) -> io::Result<Vec<(PictureKey, Sighting)>> {
    let mut names: Vec<_> = paths.iter().filter_map(|path| path.file_name()).collect();
    names.sort_unstable();
    let alike = names.windows(2).any(|pair| pair[0] == pair[1]);
    let mut files = Vec::with_capacity(paths.len());
    for path in paths {
        let stamp =
            Stamp::of(path).map_err(|error| io::Error::new(error.kind(), format!("{}: {error}", path.display())))?;
        let name = path.file_name().filter(|_| !alike).map_or_else(|| path.clone(), PathBuf::from);
        let (key, name_is_utf8) = PictureKey::of(&name);
        files.push((key, Sighting { path: path.clone(), name_is_utf8, stamp, word: scan::LastWord::None }));
    }
    files.sort_by(|(one, _), (other, _)| one.cmp(other));
    files.dedup_by(|(one, _), (other, _)| one == other);
    Ok(files)
}

/// What a brief wants listed of a folder.
pub fn wanted(brief: &Brief, folder: &Path) -> Wanted {
    let brief_file = brief.path.file_name().map(|name| folder.join(name));
    let never = brief_file.into_iter().chain([brief.path.clone()]).collect();
    Wanted { subfolders: brief.subfolders, ignore: brief.ignore.clone(), never }
}

fn read_all(
    sightings: &[(PictureKey, Sighting)],
    accepted: &Accepted,
    jobs: usize,
    make: &MakeInspector,
    progress: &(dyn Fn(Progress) + Sync),
) -> Vec<Delivered> {
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let permits = Permits::new(limits::MEMORY_BYTES);
    let read: Mutex<Vec<Option<Delivered>>> = Mutex::new(vec![None; sightings.len()]);
    let work = || {
        let mut inspector = make();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some((key, sighting)) = sightings.get(at) else { break };
            let mut delivered = read_one(key, sighting, inspector.as_mut(), &permits);
            let evidence = delivered.evidence().map(Arc::as_ref);
            if let Some(boxes) = accepted.boxes(key, evidence.map(|evidence| evidence.sha256.as_str())) {
                delivered.subjects = Arc::new(boxes.carried_to(evidence));
            }
            read.lock().unwrap_or_else(PoisonError::into_inner)[at] = Some(delivered);
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            progress(Progress { picture: key.clone(), done, of: sightings.len() });
        }
    };
    thread::scope(|scope| {
        for number in 0..jobs.clamp(1, limits::MOST_JOBS).min(sightings.len().max(1)) {
            let started = thread::Builder::new().name(format!("{WORKER_NAME} {number}")).spawn_scoped(scope, work);
            if started.is_err() && number == 0 {
                work();
            }
        }
    });
    read.into_inner().unwrap_or_else(PoisonError::into_inner).into_iter().flatten().collect()
}

/// One picture, header and pixels of the same bytes: a file that changed while it was read is read again, and called
/// still changing if it never rests.
fn read_one(key: &PictureKey, sighting: &Sighting, inspector: &mut dyn Inspector, permits: &Permits) -> Delivered {
    let mut stamp = sighting.stamp;
    for _ in 0..limits::MOST_READINGS {
        let (header, pixels) = read_once(&sighting.path, inspector, permits);
        // A file that is gone has said so itself.
        let now = Stamp::of(&sighting.path).unwrap_or(stamp);
        if now == stamp {
            return delivered(key, sighting, stamp, header, pixels);
        }
        stamp = now;
    }
    let fault = Fault::new(FaultKind::Unreachable, "it changed again and again while it was read");
    delivered(key, sighting, stamp, Header::Fault(fault), Pixels::Waiting)
}

fn read_once(path: &Path, inspector: &mut dyn Inspector, permits: &Permits) -> (Header, Pixels) {
    match fenced(|| inspector.facts(path)) {
        Err(fault) => (Header::Fault(fault), Pixels::Waiting),
        Ok(facts) => {
            let pixels = fenced(|| {
                let _permit = permits.wait_for(inspector.memory_bytes(&facts));
                inspector.evidence(path, &facts)
            });
            let pixels = pixels.map_or_else(Pixels::Fault, |evidence| Pixels::Read(Arc::new(evidence)));
            (Header::Read(Arc::new(facts)), pixels)
        }
    }
}

fn delivered(key: &PictureKey, sighting: &Sighting, stamp: Stamp, header: Header, pixels: Pixels) -> Delivered {
    Delivered {
        key: key.clone(),
        name_is_utf8: sighting.name_is_utf8,
        bytes: stamp.bytes,
        modified_ns: stamp.marks.modified_ns,
        header,
        pixels,
        subjects: Arc::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::inspect::Upright;
    use crate::measure::{Evidence, Thumbnail};
    use crate::picture::Facts;
    use crate::picture::facts::Format;

    /// Reads the file's own words as its digest, while somebody overwrites the file so many times more.
    struct Overwritten(usize);

    impl Inspector for Overwritten {
        fn facts(&mut self, path: &Path) -> Result<Facts, Fault> {
            Ok(Facts::unknown(Format::Jpeg, std::fs::metadata(path)?.len()))
        }

        fn memory_bytes(&self, _facts: &Facts) -> u64 {
            1
        }

        fn evidence(&mut self, path: &Path, _facts: &Facts) -> Result<Evidence, Fault> {
            let sha256 = std::fs::read_to_string(path)?;
            if self.0 > 0 {
                self.0 -= 1;
                std::fs::write(path, format!("{sha256}+"))?;
            }
            Ok(Evidence::nothing(&sha256))
        }

        fn preview(&mut self, _path: &Path, _facts: &Facts) -> Option<Upright> {
            None
        }

        fn to_screen(&mut self, _path: &Path, _thumbnail: &Thumbnail, _facts: &Facts) -> Option<Upright> {
            None
        }
    }

    fn read(overwritten: usize) -> Delivered {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.jpg");
        std::fs::write(&path, "a").unwrap();
        let (key, sighting) = named(&[path]).unwrap().swap_remove(0);
        read_one(&key, &sighting, &mut Overwritten(overwritten), &Permits::new(1))
    }

    #[test]
    fn a_file_that_is_overwritten_while_it_is_read_is_read_again_as_a_whole() {
        let file = read(1);
        assert_eq!((file.evidence().unwrap().sha256.as_str(), file.bytes), ("a+", 2));
        assert_eq!(file.facts().unwrap().bytes, 2);
    }

    #[test]
    fn a_file_that_never_rests_is_no_verdict() {
        let Header::Fault(fault) = read(usize::MAX).header else { panic!("it was judged in the midst of a change") };
        assert_eq!(fault.kind, FaultKind::Unreachable);
    }
}
