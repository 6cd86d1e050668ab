//! The decisions file, watched by the live table: read again once it has changed and is stable.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use crate::brief::Problem;
use crate::decisions::{Decisions, path_beside, read};

use super::debounced_files::DebouncedFiles;

/// The watched file: read again once it has changed and is stable.
pub struct DecisionsFile {
    brief: PathBuf,
    files: DebouncedFiles,
}

impl DecisionsFile {
    /// Reads the file for the first time.
    pub fn open(brief: &Path) -> (DecisionsFile, Result<Arc<Decisions>, Vec<Problem>>) {
        let file = DecisionsFile { brief: brief.to_owned(), files: DebouncedFiles::of([path_beside(brief)]) };
        (file, read(brief).map(Arc::new))
    }

    /// Checks the file's record, and reads the file if it changed and is stable.
    pub fn read_if_changed(&mut self, now: Instant) -> Option<Result<Arc<Decisions>, Vec<Problem>>> {
        if !self.files.poll_ready(now) {
            return None;
        }
        self.files = DebouncedFiles::of([path_beside(&self.brief)]);
        Some(read(&self.brief).map(Arc::new))
    }

    /// Returns the time until the next check is due, while it changes.
    pub fn next_check_in(&self) -> Duration {
        self.files.next_check_in()
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::decisions::{DecisionChange, RemarkChange, keep};
    use crate::judge::model::test_print::TestPrintRemark;
    use crate::picture::PictureKey;
    use crate::{decisions, live};

    fn seen() -> DecisionChange {
        let text = String::from;
        let seen = TestPrintRemark {
            print: None,
            saw: text("a little dark"),
            is_approved: true,
            by: text("June"),
            when: text("2026-11-30T10:00:00Z"),
            sha256: text("aa"),
            pixel_digest: text("bb"),
        };
        DecisionChange::TestPrint(RemarkChange {
            picture: PictureKey::from_text("a.jpg"),
            print: None,
            remark: Some(Box::new(seen)),
        })
    }

    #[test]
    fn it_is_read_again_once_it_lies_still() {
        let folder = tempfile::tempdir().unwrap();
        let brief = folder.path().join("low-water.toml");
        fs::write(&brief, "").unwrap();
        let (mut file, first) = DecisionsFile::open(&brief);
        assert_eq!(first, Ok(Arc::default()));
        keep(&brief, &[seen()]).unwrap();
        let begin = Instant::now();
        assert!(file.read_if_changed(begin).is_none(), "it may still be written");
        let again = file.read_if_changed(begin + live::limits::QUIET_AFTER_CLOSE).unwrap().unwrap();
        assert_eq!(again.test_print_remarks.iter().count(), 1);
        assert!(file.read_if_changed(begin + Duration::from_secs(9)).is_none(), "it is read once");
        fs::remove_file(path_beside(&brief)).unwrap();
        file.read_if_changed(begin);
        assert!(file.read_if_changed(begin + live::limits::QUIET_AFTER_CLOSE).is_none(), "it may be on its way back");
        assert_eq!(file.read_if_changed(begin + decisions::limits::BRIEF_GONE_AFTER), Some(Ok(Arc::default())));
    }
}
