//! The brief on disk: read again once it, or the picture list it names, has changed and lies still. The last good one
//! is kept.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use crate::brief::{self, Brief, Problem};
use crate::judge::ranked_ids;

use super::limits;
use super::scan::Stamp;

/// The brief's and its list's stamps; `None` for a file that is not there.
type Stamps = [Option<Stamp>; 2];

/// A brief and the files it is made of.
pub struct BriefFile {
    path: PathBuf,
    list: Option<PathBuf>,
    last_good: Arc<Brief>,
    read: Stamps,
    changing: Option<(Stamps, Instant)>,
}

impl BriefFile {
    /// Reads a brief for the first time.
    ///
    /// # Errors
    /// All that is wrong with it.
    pub fn open(path: &Path) -> Result<BriefFile, Vec<Problem>> {
        let list = brief::list_path(path);
        let read = stamps(path, list.as_deref());
        let last_good = Arc::new(brief::read(path, &ranked_ids())?);
        Ok(BriefFile { path: path.to_owned(), list, last_good, read, changing: None })
    }

    /// The last good brief.
    pub fn last_good(&self) -> &Arc<Brief> {
        &self.last_good
    }

    /// The folders that its files lie in.
    pub fn folders(&self) -> Vec<PathBuf> {
        let mut folders: Vec<PathBuf> =
            [Some(&self.path), self.list.as_ref()].into_iter().flatten().map(|path| folder_of(path)).collect();
        folders.dedup();
        folders
    }

    /// Looks at the files' records, and reads the brief if they changed and lie still.
    pub fn look(&mut self, now: Instant) -> Option<Result<Arc<Brief>, Vec<Problem>>> {
        let stamps_now = stamps(&self.path, self.list.as_deref());
        if stamps_now == self.read {
            self.changing = None;
            return None;
        }
        match self.changing {
            Some((stamps, since)) if stamps == stamps_now => {
                if now.duration_since(since) < quiet(&stamps_now) {
                    return None;
                }
            }
            _ => {
                self.changing = Some((stamps_now, now));
                return None;
            }
        }
        self.changing = None;
        // A brief that is broken may not even name its list: the one it named before may be what is mended next.
        self.list = brief::list_path(&self.path).or(self.list.take());
        self.read = stamps(&self.path, self.list.as_deref());
        let read = brief::read(&self.path, &ranked_ids()).map(Arc::new);
        if let Ok(brief) = &read {
            self.last_good = brief.clone();
        }
        Some(read)
    }

    /// When it wants to be looked at again, while it changes.
    pub fn looks_again_in(&self) -> Duration {
        self.changing.as_ref().map_or(Duration::MAX, |(stamps, _)| quiet(stamps))
    }
}

/// How long the files must lie still. Editors that replace a file take it away for a moment.
fn quiet(stamps: &Stamps) -> Duration {
    if stamps[0].is_none() { limits::BRIEF_GONE_AFTER } else { limits::QUIET_AFTER_CLOSE }
}

fn stamps(path: &Path, list: Option<&Path>) -> Stamps {
    [Stamp::of(path).ok(), list.and_then(|list| Stamp::of(list).ok())]
}

fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = "[[print]]\nsize = \"8 x 10 in\"\n";

    #[test]
    fn it_is_read_once_it_lies_still_and_a_broken_one_leaves_the_last_good() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b.toml");
        std::fs::write(&path, GOOD).unwrap();
        let mut file = BriefFile::open(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        let begin = Instant::now();
        assert!(file.look(begin).is_none());
        std::fs::write(&path, "size = 8x10").unwrap();
        assert!(file.look(begin).is_none(), "it may still be written");
        let read = file.look(begin + limits::QUIET_AFTER_CLOSE).unwrap();
        assert!(read.is_err());
        assert_eq!(file.last_good().prints.len(), 1);
        assert!(file.look(begin + Duration::from_secs(9)).is_none(), "it is read once");
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
        file.look(begin);
        let read = file.look(begin + limits::QUIET_AFTER_CLOSE).unwrap().unwrap();
        assert_eq!(read.prints.len(), 2);
    }

    #[test]
    fn a_brief_that_is_gone_for_a_moment_is_no_broken_brief() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b.toml");
        std::fs::write(&path, GOOD).unwrap();
        let mut file = BriefFile::open(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        std::fs::remove_file(&path).unwrap();
        let begin = Instant::now();
        assert!(file.look(begin).is_none());
        assert!(file.look(begin + limits::QUIET_AFTER_CLOSE).is_none());
        assert!(file.look(begin + limits::BRIEF_GONE_AFTER).unwrap().is_err());
    }
}
