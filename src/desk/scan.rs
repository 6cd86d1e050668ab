//! One look at the folder: which pictures are there and which bytes they hold. This is the truth; whatever the system
//! tells of changes only makes us look again.
//!
//! Reads names and file records, never a file's content. What is listed: regular files (through symbolic links, too)
//! whose name is neither hidden nor temporary, that the brief does not ignore, and whose extension does not say that
//! they are something beside a picture (`BESIDE`). Everything else is listed, so that the judge can say of a WebP or
//! a layered file what to send instead. Folders behind symbolic links are not entered.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use crate::brief::picks::Pattern;
use crate::picture::PictureKey;
use crate::units::show;

use super::limits;
use super::os::{self, Marks};

/// Endings of files that are still on their way, lower case. Source: the customary ones of browsers, sync and transfer
/// programs, from memory.
const ON_THE_WAY: [&str; 10] =
    [".tmp", ".temp", ".part", ".partial", ".filepart", ".crdownload", ".download", ".opdownload", ".swp", ".lock"];

/// Files that a desktop leaves everywhere, lower case.
const CLUTTER: [&str; 4] = ["thumbs.db", "ehthumbs.db", "desktop.ini", "icon\r"];

/// Extensions of what customarily lies beside pictures and is none, lower case: left alone without a word.
const BESIDE: [&str; 28] = [
    "xmp", "txt", "csv", "tsv", "toml", "json", "yaml", "yml", "xml", "html", "htm", "css", "md", "log", "ini", "db",
    "sha256", "sha1", "md5", "icc", "icm", "zip", "bak", "lnk", "url", "doc", "docx", "xlsx",
];

/// Which bytes a file holds, as far as its record tells. Two equal stamps: the same content.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stamp {
    /// Size in bytes.
    pub bytes: u64,
    /// Times and number on the disk.
    pub marks: Marks,
}

impl Stamp {
    /// The stamp of a file now.
    ///
    /// # Errors
    /// When the file's record cannot be read.
    pub fn of(path: &Path) -> io::Result<Stamp> {
        Ok(Stamp::from(&fs::metadata(path)?))
    }

    /// Whether it is the same file under another name: same number, size and time. A rename changes the record's time.
    pub fn moved_from(&self, other: &Stamp) -> bool {
        self.bytes == other.bytes
            && self.marks.inode != 0
            && (self.marks.inode, self.marks.device, self.marks.modified_ns)
                == (other.marks.inode, other.marks.device, other.marks.modified_ns)
    }
}

impl From<&fs::Metadata> for Stamp {
    fn from(metadata: &fs::Metadata) -> Stamp {
        Stamp { bytes: metadata.len(), marks: os::marks(metadata) }
    }
}

/// What the system said last of a file that somebody writes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LastWord {
    /// Nothing.
    #[default]
    None,
    /// It was made or written to.
    Open,
    /// Its writer closed it, or it was renamed into place.
    Closed,
}

/// A file as one look saw it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sighting {
    /// Where it lies.
    pub path: PathBuf,
    /// Whether its name is UTF-8 throughout.
    pub name_is_utf8: bool,
    /// Which bytes it holds.
    pub stamp: Stamp,
    /// What the system said last of it.
    pub word: LastWord,
}

/// One look at the folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scan {
    /// The files, by name.
    pub files: BTreeMap<PictureKey, Sighting>,
    /// When it was looked, nanoseconds since 1970 by this machine's clock.
    pub taken_ns: i128,
    /// Whether there were more files than are listed.
    pub cut_off: bool,
}

/// What is to be listed.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    /// Whether sub-folders belong to it.
    pub subfolders: bool,
    /// The brief's patterns of files that do not.
    pub ignore: Vec<Pattern>,
    /// Files that are no pictures whatever their name: the brief.
    pub never: Vec<PathBuf>,
}

/// Looks at the folder once.
///
/// # Errors
/// When the folder itself cannot be read. A sub-folder that cannot be read is passed over.
pub fn scan(folder: &Path, wanted: &Wanted) -> io::Result<Scan> {
    let mut scan = Scan { taken_ns: wall_ns(), ..Scan::default() };
    let mut folders = vec![(folder.to_path_buf(), 0_usize)];
    while let Some((path, depth)) = folders.pop() {
        let entries = match fs::read_dir(&path) {
            Ok(entries) => entries,
            Err(error) if depth == 0 => return Err(error),
            Err(_) => continue,
        };
        for entry in entries {
            let entry = match entry {
                Ok(entry) => entry,
                Err(error) if depth == 0 => return Err(error),
                Err(_) => break,
            };
            let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
            if is_folder {
                let enter = wanted.subfolders && depth < limits::DEEPEST_FOLDER;
                if enter && !is_hidden(&entry.file_name().to_string_lossy()) {
                    folders.push((entry.path(), depth + 1));
                }
            } else {
                see(&mut scan, folder, entry.path(), wanted);
                if scan.cut_off {
                    return Ok(scan);
                }
            }
        }
    }
    Ok(scan)
}

/// Lists a file if it is one to list.
fn see(scan: &mut Scan, folder: &Path, path: PathBuf, wanted: &Wanted) {
    let Ok(relative) = path.strip_prefix(folder) else { return };
    let (key, name_is_utf8) = PictureKey::of(relative);
    let ignored = wanted.ignore.iter().any(|pattern| pattern.matches(key.as_str()));
    if !is_listed(key.file_name()) || ignored || wanted.never.contains(&path) {
        return;
    }
    if scan.files.len() >= limits::MOST_FILES {
        scan.cut_off = true;
        return;
    }
    let stamp = match fs::metadata(&path) {
        Ok(metadata) if metadata.is_file() => Stamp::from(&metadata),
        Ok(_) => return,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return,
        // Listed all the same: a reader will say why it cannot be read.
        Err(_) => Stamp::default(),
    };
    let sighting = Sighting { path, name_is_utf8, stamp, word: LastWord::None };
    // Two names may be one key (accents stored differently): the one written last is meant.
    match scan.files.get(&key) {
        Some(other) if other.stamp.marks.modified_ns >= stamp.marks.modified_ns => {}
        _ => {
            scan.files.insert(key, sighting);
        }
    }
}

/// What there is to say of a folder with more files than are listed, and what to do about it.
pub fn cut_off_words() -> (String, &'static str) {
    let most = show::count(limits::MOST_FILES, "file", "files");
    let what = format!("the folder holds more than {most}; those beyond are not looked at");
    (what, "split the folder, or leave files out in the brief: ignore = [\"web/*\"]")
}

/// Whether a file of this name may be a picture, finished and meant to be seen.
pub fn is_listed(name: &str) -> bool {
    let lower = name.to_lowercase();
    let extension = lower.rsplit_once('.').map_or("", |(_, extension)| extension);
    !is_hidden(&lower)
        && !ON_THE_WAY.iter().any(|ending| lower.ends_with(ending))
        && !CLUTTER.contains(&lower.as_str())
        && !BESIDE.contains(&extension)
}

/// Whether a name is hidden or an editor's own.
fn is_hidden(name: &str) -> bool {
    name.starts_with(['.', '~']) || name.ends_with('~')
}

/// Nanoseconds since 1970 by this machine's clock.
fn wall_ns() -> i128 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .ok()
        .and_then(|since| i128::try_from(since.as_nanos()).ok())
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path, wanted: &Wanted) -> Vec<String> {
        scan(folder, wanted).unwrap().files.keys().map(|key| key.as_str().to_owned()).collect()
    }

    fn put(folder: &Path, name: &str) {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, b"x").unwrap();
    }

    #[test]
    fn hidden_temporary_and_accompanying_files_are_left_alone_and_foreign_pictures_are_shown() {
        let folder = tempfile::tempdir().unwrap();
        for name in [
            "a.jpg",
            "b.TIF",
            "c.webp",
            "d.psd",
            "e",
            ".hidden.jpg",
            ".b.jpg.Xy12Zq",
            "~lock.jpg",
            "f.jpg~",
            "g.jpg.part",
            "h.CRDOWNLOAD",
            "Thumbs.db",
            "a.xmp",
            "list.csv",
            "SHA256SUMS.sha256",
        ] {
            put(folder.path(), name);
        }
        assert_eq!(names(folder.path(), &Wanted::default()), ["a.jpg", "b.TIF", "c.webp", "d.psd", "e"]);
    }

    #[test]
    fn subfolders_belong_to_it_only_when_asked_and_ignored_files_never() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.jpg", "web/a.jpg", "walls/b.jpg", ".git/c.jpg"] {
            put(folder.path(), name);
        }
        assert_eq!(names(folder.path(), &Wanted::default()), ["a.jpg"]);
        let ignore = vec![Pattern::new("web/*").unwrap()];
        let wanted = Wanted { subfolders: true, ignore, never: vec![folder.path().join("a.jpg")] };
        assert_eq!(names(folder.path(), &wanted), ["walls/b.jpg"]);
    }

    #[test]
    fn sub_folders_are_entered_only_so_deep() {
        let folder = tempfile::tempdir().unwrap();
        let deep = |levels: usize| format!("{}a.jpg", "n/".repeat(levels));
        put(folder.path(), &deep(limits::DEEPEST_FOLDER));
        put(folder.path(), &deep(limits::DEEPEST_FOLDER + 1));
        let wanted = Wanted { subfolders: true, ..Wanted::default() };
        assert_eq!(names(folder.path(), &wanted), [deep(limits::DEEPEST_FOLDER)]);
    }

    #[test]
    fn a_folder_is_cut_off_only_by_files_that_would_be_listed() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.jpg", ".hidden.jpg", "a.xmp"] {
            put(folder.path(), name);
        }
        let stamp = Stamp::default();
        let sighting = Sighting { path: PathBuf::new(), name_is_utf8: true, stamp, word: LastWord::None };
        let known = |n: usize| (PictureKey::from_text(&format!("{n}.jpg")), sighting.clone());
        let mut scan = Scan { files: (1..limits::MOST_FILES).map(known).collect(), ..Scan::default() };
        for (name, cut_off) in [(".hidden.jpg", false), ("a.jpg", false), ("a.xmp", false), ("b.jpg", true)] {
            put(folder.path(), name);
            see(&mut scan, folder.path(), folder.path().join(name), &Wanted::default());
            assert_eq!(scan.cut_off, cut_off, "{name}");
        }
        assert!(cut_off_words().0.contains("50000 files"), "{}", cut_off_words().0);
    }

    #[cfg(unix)]
    #[test]
    fn links_to_files_are_followed_and_links_to_folders_are_not() {
        use std::os::unix::fs::symlink;
        let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        put(other.path(), "far.jpg");
        symlink(other.path().join("far.jpg"), folder.path().join("near.jpg")).unwrap();
        symlink(other.path(), folder.path().join("linked")).unwrap();
        symlink(folder.path(), folder.path().join("loop")).unwrap();
        symlink("nowhere.jpg", folder.path().join("dangling.jpg")).unwrap();
        let wanted = Wanted { subfolders: true, ..Wanted::default() };
        assert_eq!(names(folder.path(), &wanted), ["near.jpg"]);
    }

    #[test]
    fn a_folder_that_is_gone_is_an_error() {
        let folder = tempfile::tempdir().unwrap();
        assert!(scan(&folder.path().join("gone"), &Wanted::default()).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn a_renamed_file_is_known_again_and_a_copy_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let (a, b, c) = (folder.path().join("a.jpg"), folder.path().join("b.jpg"), folder.path().join("c.jpg"));
        fs::write(&a, b"plum").unwrap();
        let before = Stamp::of(&a).unwrap();
        fs::rename(&a, &b).unwrap();
        fs::copy(&b, &c).unwrap();
        assert!(Stamp::of(&b).unwrap().moved_from(&before));
        assert!(!Stamp::of(&c).unwrap().moved_from(&before));
    }
}
