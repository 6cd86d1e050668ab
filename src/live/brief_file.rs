//! The brief on disk: read again once it, the picture list, a printer's sheet or profile that it names has changed and
//! is stable. The last good one is kept.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use crate::brief::{self, Brief, Problem};
use crate::files::atomic::parent_folder;
use crate::files::os;
use crate::judge::configurable_ids;

use super::debounced_files::DebouncedFiles;

/// A brief and the files it consists of.
pub struct BriefFile {
    path: PathBuf,
    /// Its list and its printer's sheets, wherever they are looked for.
    named: Vec<PathBuf>,
    last_good: Arc<Brief>,
    files: DebouncedFiles,
}

impl BriefFile {
    /// Reads a brief for the first time.
    ///
    /// # Errors
    /// All its problems.
    pub fn open(path: &Path) -> Result<BriefFile, Vec<Problem>> {
        let named = brief::files_named(path);
        let mut files = DebouncedFiles::of([path.to_owned()].into_iter().chain(named.iter().cloned()));
        let last_good = Arc::new(brief::read(path, &configurable_ids())?);
        files.add(profiles(&last_good));
        Ok(BriefFile { path: path.to_owned(), named, last_good, files })
    }

    /// Returns the last good brief.
    pub fn last_good(&self) -> &Arc<Brief> {
        &self.last_good
    }

    /// Returns the folders of the brief, its list and its printer's sheets. A profile elsewhere is checked at
    /// intervals.
    pub fn folders(&self) -> Vec<PathBuf> {
        let named = self.named.iter().map(|path| parent_folder(path)).filter(|folder| folder.is_dir());
        std::iter::once(parent_folder(&self.path)).chain(named).collect::<BTreeSet<_>>().into_iter().collect()
    }

    /// True if one of its files is also reachable elsewhere, where it may change without notice.
    pub fn is_linked(&self) -> bool {
        let is_linked = |file: &Path| {
            fs::symlink_metadata(file).is_ok_and(|there| there.is_symlink() || os::has_other_names(&there))
        };
        self.files.files().any(is_linked)
    }

    /// Checks the files' records, and reads the brief if they changed and are stable.
    pub fn read_if_changed(&mut self, now: Instant) -> Option<Result<Arc<Brief>, Vec<Problem>>> {
        if !self.files.poll_ready(now) {
            return None;
        }
        // A broken brief may not even name its list or its sheet: those it named before may be the files that are fixed
        // next. So may the profiles.
        let named = brief::files_named(&self.path);
        if !named.is_empty() {
            self.named = named;
        }
        let named = self.named.iter().cloned().chain(profiles(&self.last_good));
        self.files = DebouncedFiles::of([self.path.clone()].into_iter().chain(named));
        let read = brief::read(&self.path, &configurable_ids()).map(Arc::new);
        if let Ok(brief) = &read {
            self.last_good = brief.clone();
            self.files.add(profiles(brief));
        }
        Some(read)
    }

    /// Returns the time until the next check is due, while it changes.
    pub fn next_check_in(&self) -> Duration {
        self.files.next_check_in()
    }
}

/// Returns the printers' profiles that a brief names, whether they exist or not.
fn profiles(brief: &Brief) -> BTreeSet<PathBuf> {
    let of_prints = brief.prints.iter().map(|print| &*print.requirements);
    let all = std::iter::once(&brief.requirements).chain(of_prints);
    all.filter_map(|requirements| requirements.paper.profile.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::live::limits;

    const GOOD: &str = "[[print]]\nsize = \"8 x 10 in\"\n";

    #[test]
    fn it_is_read_once_it_lies_still_and_a_broken_one_leaves_the_last_good() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b.toml");
        std::fs::write(&path, GOOD).unwrap();
        let mut file = BriefFile::open(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        let begin = Instant::now();
        assert!(file.read_if_changed(begin).is_none());
        std::fs::write(&path, "size = 8x10").unwrap();
        assert!(file.read_if_changed(begin).is_none(), "it may still be written");
        let read = file.read_if_changed(begin + limits::QUIET_AFTER_CLOSE).unwrap();
        assert!(read.is_err());
        assert_eq!(file.last_good().prints.len(), 1);
        assert!(file.read_if_changed(begin + Duration::from_secs(9)).is_none(), "it is read once");
    }

    #[test]
    fn a_changed_picture_list_is_a_changed_brief() {
        let folder = tempfile::tempdir().unwrap();
        let (path, list) = (folder.path().join("b.toml"), folder.path().join("list.csv"));
        std::fs::write(&path, "prints = \"list.csv\"\n").unwrap();
        std::fs::write(&list, "name,picture,size\nplum tart,p1*,8 x 10 in\n").unwrap();
        let mut file = BriefFile::open(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        std::fs::write(&list, "name,picture,size\nplum tart,p1*,8 x 10 in\noysters,p2*,8 x 10 in\n").unwrap();
        let begin = Instant::now();
        file.read_if_changed(begin);
        let read = file.read_if_changed(begin + limits::QUIET_AFTER_CLOSE).unwrap().unwrap();
        assert_eq!(read.prints.len(), 2);
    }

    #[test]
    fn a_changed_sheet_of_the_printer_is_a_changed_brief_even_if_it_was_away() {
        let folder = tempfile::tempdir().unwrap();
        let (path, sheet) = (folder.path().join("b.toml"), folder.path().join("corrow-lane.toml"));
        std::fs::write(&path, format!("sheet = \"corrow-lane.toml\"\n{GOOD}")).unwrap();
        std::fs::write(&sheet, "").unwrap();
        let mut file = BriefFile::open(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        let mut begin = Instant::now();
        let mut read_after = |write: &dyn Fn(), wait: Duration| {
            write();
            assert!(file.read_if_changed(begin).is_none());
            begin += wait;
            file.read_if_changed(begin).unwrap()
        };
        let answer = || std::fs::write(&sheet, "[density]\nminimum = \"200 ppi\"\n").unwrap();
        let quiet = limits::QUIET_AFTER_CLOSE;
        let minimum = |read: Result<Arc<Brief>, _>| read.unwrap().requirements.density.minimum;
        assert_eq!(minimum(read_after(&answer, quiet)), crate::units::Ppi::whole(200));
        let remove = || std::fs::remove_file(&sheet).unwrap();
        assert!(read_after(&remove, crate::decisions::limits::BRIEF_GONE_AFTER).is_err());
        assert_eq!(minimum(read_after(&answer, quiet)), crate::units::Ppi::whole(200));
    }

    #[test]
    fn a_brief_that_is_gone_for_a_moment_is_no_broken_brief() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b.toml");
        std::fs::write(&path, GOOD).unwrap();
        let mut file = BriefFile::open(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        std::fs::remove_file(&path).unwrap();
        let begin = Instant::now();
        assert!(file.read_if_changed(begin).is_none());
        assert!(file.read_if_changed(begin + limits::QUIET_AFTER_CLOSE).is_none());
        assert!(file.read_if_changed(begin + crate::decisions::limits::BRIEF_GONE_AFTER).unwrap().is_err());
    }

    #[test]
    fn a_profile_that_comes_or_changes_is_a_changed_brief() {
        let folder = tempfile::tempdir().unwrap();
        let (path, profile) = (folder.path().join("b.toml"), folder.path().join("press.icc"));
        std::fs::write(&path, format!("[paper]\nprofile = \"press.icc\"\n{GOOD}")).unwrap();
        let mut file = BriefFile::open(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        let first = file.last_good().clone();
        assert!(first.findings[0].problem.what.contains("no such file"), "{:?}", first.findings);
        std::fs::write(&profile, "no profile").unwrap();
        let begin = Instant::now();
        file.read_if_changed(begin);
        let read = file.read_if_changed(begin + limits::QUIET_AFTER_CLOSE).unwrap().unwrap();
        assert_eq!((read.findings.len(), &read.sha256), (1, &first.sha256));
        assert_ne!(read.findings, first.findings);
    }
}
