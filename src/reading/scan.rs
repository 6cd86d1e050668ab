//! One scan of the folder: which pictures are there and which bytes they hold. The scan is the truth; change notices
//! from the system only prompt another scan.
//!
//! Reads names and file records, never a file's content. Listed are regular files (through symbolic links, too) whose
//! name is neither hidden nor temporary, that the brief does not ignore, and whose extension does not mark them as
//! something other than a picture (`IGNORED_EXTENSIONS`). Everything else is listed, so that judging can report what to
//! send instead of a WebP or a layered file. Folders behind symbolic links are not entered. Anything that may belong to
//! the order and cannot be listed is kept with the reason, never skipped silently.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::brief::picture_patterns::Pattern;
use crate::files;
use crate::files::os::{self, FileIdentity};
use crate::picture::PictureKey;
use crate::picture::unlisted::{MAX_FILES, NotListed, Unlisted};
use crate::reading::limits;
use crate::units::words::of_system;

/// Endings of files still being transferred, lower case. Source: the customary ones of browsers, sync and transfer
/// programs, from memory.
const TRANSFER_ENDINGS: [&str; 10] =
    [".tmp", ".temp", ".part", ".partial", ".filepart", ".crdownload", ".download", ".opdownload", ".swp", ".lock"];

/// Files that desktop systems leave in any folder, lower case.
const CLUTTER: [&str; 4] = ["thumbs.db", "ehthumbs.db", "desktop.ini", "icon\r"];

/// Extensions of files customarily found beside pictures that are not pictures, lower case: ignored silently.
const IGNORED_EXTENSIONS: [&str; 28] = [
    "xmp", "txt", "csv", "tsv", "toml", "json", "yaml", "yml", "xml", "html", "htm", "css", "md", "log", "ini", "db",
    "sha256", "sha1", "md5", "icc", "icm", "zip", "bak", "lnk", "url", "doc", "docx", "xlsx",
];

/// Identifies the bytes a file holds, as far as its record shows. Two equal stamps: the same content.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stamp {
    /// Size in bytes.
    pub bytes: u64,
    /// Times and inode number on the disk.
    pub identity: FileIdentity,
}

impl Stamp {
    /// Returns a file's current stamp.
    ///
    /// # Errors
    /// When the file's record cannot be read.
    pub fn of(path: &Path) -> io::Result<Stamp> {
        Ok(Stamp::from(&fs::metadata(path)?))
    }

    /// True if it is the same file under another name: same inode number, size and times. A rename changes only the
    /// record's time. Where the disk does not store creation times, another file may have got the number: then it is
    /// read again.
    pub fn moved_from(&self, other: &Stamp) -> bool {
        let of = |stamp: &Stamp| FileIdentity { changed_ns: 0, ..stamp.identity };
        self.bytes == other.bytes && self.identity.created_ns != 0 && self.identity.inode != 0 && of(self) == of(other)
    }
}

impl From<&fs::Metadata> for Stamp {
    fn from(metadata: &fs::Metadata) -> Stamp {
        Stamp { bytes: metadata.len(), identity: os::identity(metadata) }
    }
}

/// The system's last notice about a file being written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum WriteNotice {
    /// No notice.
    #[default]
    None,
    /// The file was created or written to.
    Open,
    /// Its writer closed it, or it was renamed into place.
    Closed,
}

/// A file as found by one scan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScannedFile {
    /// The file's path.
    pub path: PathBuf,
    /// True if its name is entirely UTF-8.
    pub name_is_utf8: bool,
    /// Identifies the bytes it holds.
    pub stamp: Stamp,
    /// The system's last notice about it.
    pub last_notice: WriteNotice,
}

/// The result of one scan of the folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scan {
    /// The files, by name.
    pub files: BTreeMap<PictureKey, ScannedFile>,
    /// Entries that may belong to the order and could not be listed.
    pub unlisted: Unlisted,
    /// Time of the scan, nanoseconds since 1970 by this machine's clock.
    pub taken_ns: i128,
    /// True if there were more files than are listed.
    pub is_cut_off: bool,
    /// True if a file is also reachable elsewhere: behind a symbolic link, or under a second name. It may change there,
    /// and watching this folder does not reveal it.
    pub has_links: bool,
}

/// Which files are to be listed.
#[derive(Clone, Debug, Default)]
pub struct ScanFilter {
    /// True if sub-folders are included.
    pub includes_subfolders: bool,
    /// Sub-folders that are included in any case, relative to the folder: those of the versions of the order.
    pub version_folders: Vec<PathBuf>,
    /// The brief's patterns of files to leave out.
    pub ignore: Vec<Pattern>,
    /// Files that are never pictures, by any name: the brief.
    pub excluded: Vec<PathBuf>,
}

/// Scans the folder once.
///
/// # Errors
/// When the folder itself cannot be read.
pub fn scan(folder: &Path, filter: &ScanFilter) -> io::Result<Scan> {
    let scan = Scan { taken_ns: os::now_ns(), ..Scan::default() };
    let mut scanner = Scanner { root: folder, filter, scan, folders: vec![(folder.to_path_buf(), 0)] };
    filter.version_folders.iter().for_each(|inside| scanner.begin_version(&folder.join(inside)));
    while let Some((path, depth)) = scanner.folders.pop() {
        match scanner.list_folder(&path, depth) {
            Err(error) if path == folder => return Err(error),
            // It was removed since its parent folder was read.
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => scanner.keep_unlisted(&path, NotListed::Unreadable(of_system(error))),
            Ok(()) => {}
        }
        if scanner.scan.is_cut_off {
            break;
        }
    }
    Ok(scanner.scan)
}

/// A scan under way.
struct Scanner<'a> {
    root: &'a Path,
    filter: &'a ScanFilter,
    scan: Scan,
    /// Folders that are still to be listed, with the number of levels below `root`.
    folders: Vec<(PathBuf, usize)>,
}

impl Scanner<'_> {
    /// Has the folder of a version listed, too, unless sub-folders are listed anyway; keeps one that is not there.
    fn begin_version(&mut self, folder: &Path) {
        match fs::symlink_metadata(folder) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                self.keep_unlisted(folder, NotListed::NoVersionFolder);
            }
            Ok(metadata) if metadata.is_symlink() => self.keep_unlisted(folder, NotListed::LinkedFolder),
            _ if self.filter.includes_subfolders => {}
            _ => self.folders.push((folder.to_path_buf(), 0)),
        }
    }

    /// Lists the files of one folder, `depth` levels below the root.
    fn list_folder(&mut self, folder: &Path, depth: usize) -> io::Result<()> {
        for entry in fs::read_dir(folder)? {
            let entry = entry?;
            let kind = entry.file_type().ok();
            if kind.is_none_or(|kind| !kind.is_dir()) {
                self.list_file(entry.path(), kind.is_some_and(|kind| kind.is_symlink()));
                if self.scan.is_cut_off {
                    break;
                }
            } else if self.filter.includes_subfolders && !is_hidden(&entry.file_name().to_string_lossy()) {
                if depth < limits::DEEPEST_FOLDER {
                    self.folders.push((entry.path(), depth + 1));
                } else {
                    self.keep_unlisted(&entry.path(), NotListed::TooDeep(depth));
                }
            }
        }
        Ok(())
    }

    /// Lists a file if it may be a picture.
    fn list_file(&mut self, path: PathBuf, is_link: bool) {
        let Ok(relative) = path.strip_prefix(self.root) else { return };
        let (key, name_is_utf8) = PictureKey::of(relative);
        let is_ignored = self.filter.ignore.iter().any(|pattern| pattern.matches(key.as_str()));
        if !is_listed(key.file_name()) || is_ignored || self.filter.excluded.contains(&path) {
            return;
        }
        if self.scan.files.len() >= MAX_FILES {
            self.scan.is_cut_off = true;
            return;
        }
        let stamp = match fs::metadata(&path) {
            Ok(metadata) if metadata.is_file() => {
                self.scan.has_links |= is_link || os::has_other_names(&metadata);
                Stamp::from(&metadata)
            }
            Ok(metadata) if metadata.is_dir() => {
                if self.filter.includes_subfolders && leads_out(&path, self.root) {
                    self.keep_unlisted(&path, NotListed::LinkedFolder);
                }
                return;
            }
            Ok(metadata) => return self.keep_unlisted(&path, NotListed::NoFile(files::kind_of(&metadata))),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                // Otherwise it was removed since the folder was read.
                if is_link {
                    self.keep_unlisted(&path, NotListed::DeadLink);
                }
                return;
            }
            // Listed all the same: the reader will report why it cannot be read.
            Err(_) => {
                self.scan.has_links |= is_link;
                Stamp::default()
            }
        };
        self.scan.add(self.root, key, ScannedFile { path, name_is_utf8, stamp, last_notice: WriteNotice::None });
    }

    /// Keeps an entry that cannot be listed, unless the brief ignores it and everything it may hold.
    fn keep_unlisted(&mut self, path: &Path, why: NotListed) {
        let Ok(relative) = path.strip_prefix(self.root) else { return };
        let (key, _) = PictureKey::of(relative);
        let inside = format!("{}/", key.as_str());
        let is_ignored = |pattern: &Pattern| pattern.is_over_path() && pattern.matches(&inside);
        if !self.filter.ignore.iter().any(is_ignored) {
            self.scan.unlisted.insert(key, why);
            self.scan.is_cut_off |= self.scan.unlisted.len() >= MAX_FILES;
        }
    }
}

impl Scan {
    /// Lists a file below `root`. Where several have names that look the same to people, the last written is listed,
    /// and every spelling of the name is kept.
    pub fn add(&mut self, root: &Path, key: PictureKey, scanned: ScannedFile) {
        let Some(other) = self.files.get_mut(&key) else {
            self.files.insert(key, scanned);
            return;
        };
        if other.path == scanned.path {
            return;
        }
        let spelt = |path: &Path| escape_non_ascii(path.strip_prefix(root).unwrap_or(path));
        let first = || NotListed::SameName(vec![spelt(&other.path)]);
        if let NotListed::SameName(names) = self.unlisted.entry(key).or_insert_with(first) {
            names.push(spelt(&scanned.path));
            names.sort();
        }
        if scanned.stamp.identity.modified_ns > other.stamp.identity.modified_ns {
            *other = scanned;
        }
    }
}

/// Returns a path with every non-ASCII character written as its code point.
fn escape_non_ascii(path: &Path) -> String {
    let written = |c: char| if c.is_ascii() { c.to_string() } else { c.escape_unicode().to_string() };
    path.to_string_lossy().chars().map(written).collect()
}

/// True if a link leads to a folder outside the scanned one.
fn leads_out(link: &Path, root: &Path) -> bool {
    match (fs::canonicalize(link), fs::canonicalize(root)) {
        (Ok(to), Ok(root)) => !to.starts_with(root),
        _ => true,
    }
}

/// True if a file of this name may be a picture, finished and meant to be seen.
pub fn is_listed(name: &str) -> bool {
    let lower = name.to_lowercase();
    let extension = lower.rsplit_once('.').map_or("", |(_, extension)| extension);
    !is_hidden(&lower)
        && !TRANSFER_ENDINGS.iter().any(|ending| lower.ends_with(ending))
        && !CLUTTER.contains(&lower.as_str())
        && !IGNORED_EXTENSIONS.contains(&extension)
}

/// True if a name is hidden or an editor's temporary name: `~$name` for one that is open, `name~` for the one before.
fn is_hidden(name: &str) -> bool {
    name.starts_with('.') || name.starts_with("~$") || name.ends_with('~')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path, filter: &ScanFilter) -> Vec<String> {
        scan(folder, filter).unwrap().files.keys().map(|key| key.as_str().to_owned()).collect()
    }

    fn put(folder: &Path, name: &str) {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, b"x").unwrap();
    }

    #[test]
    fn a_reused_inode_is_another_file() {
        let identity = FileIdentity { modified_ns: 5, changed_ns: 6, created_ns: 4, inode: 7, device: 1 };
        let stamp = |identity| Stamp { bytes: 100, identity };
        let renamed = FileIdentity { changed_ns: 9, ..identity };
        assert!(stamp(renamed).moved_from(&stamp(identity)));
        for (other, earlier) in [
            (FileIdentity { created_ns: 8, ..renamed }, identity),
            (FileIdentity { created_ns: 0, ..renamed }, FileIdentity { created_ns: 0, ..identity }),
        ] {
            assert!(!stamp(other).moved_from(&stamp(earlier)));
        }
    }

    #[cfg(unix)]
    #[test]
    fn links_and_further_names_of_files_are_noted() {
        let (folder, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        put(folder.path(), "a.jpg");
        put(elsewhere.path(), "b.jpg");
        let has_links = || scan(folder.path(), &ScanFilter::default()).unwrap().has_links;
        assert!(!has_links());
        let link = folder.path().join("b.jpg");
        std::os::unix::fs::symlink(elsewhere.path().join("b.jpg"), &link).unwrap();
        assert!(has_links());
        fs::remove_file(&link).unwrap();
        fs::hard_link(folder.path().join("a.jpg"), elsewhere.path().join("c.jpg")).unwrap();
        assert!(has_links());
    }

    #[test]
    fn hidden_temporary_and_accompanying_files_are_not_listed() {
        let folder = tempfile::tempdir().unwrap();
        for name in [
            "a.jpg",
            "b.TIF",
            "c.webp",
            "d.psd",
            "e",
            ".hidden.jpg",
            ".b.jpg.Xy12Zq",
            "~$lock.jpg",
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
        assert_eq!(names(folder.path(), &ScanFilter::default()), ["a.jpg", "b.TIF", "c.webp", "d.psd", "e"]);
    }

    #[test]
    fn subfolders_belong_to_it_only_when_asked_and_ignored_files_never() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.jpg", "web/a.jpg", "walls/b.jpg", ".git/c.jpg"] {
            put(folder.path(), name);
        }
        assert_eq!(names(folder.path(), &ScanFilter::default()), ["a.jpg"]);
        let ignore = vec![Pattern::new("web/*").unwrap()];
        let wanted = ScanFilter {
            includes_subfolders: true,
            ignore,
            excluded: vec![folder.path().join("a.jpg")],
            ..ScanFilter::default()
        };
        assert_eq!(names(folder.path(), &wanted), ["walls/b.jpg"]);
    }

    #[test]
    fn sub_folders_are_entered_only_so_deep() {
        let folder = tempfile::tempdir().unwrap();
        let deep = |levels: usize| format!("{}a.jpg", "n/".repeat(levels));
        put(folder.path(), &deep(limits::DEEPEST_FOLDER));
        put(folder.path(), &deep(limits::DEEPEST_FOLDER + 1));
        let wanted = ScanFilter { includes_subfolders: true, ..ScanFilter::default() };
        assert_eq!(names(folder.path(), &wanted), [deep(limits::DEEPEST_FOLDER)]);
    }

    #[test]
    fn a_folder_is_cut_off_only_by_files_that_would_be_listed() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.jpg", ".hidden.jpg", "a.xmp"] {
            put(folder.path(), name);
        }
        let stamp = Stamp::default();
        let scanned = ScannedFile { path: PathBuf::new(), name_is_utf8: true, stamp, last_notice: WriteNotice::None };
        let known = |n: usize| (PictureKey::from_text(&format!("{n}.jpg")), scanned.clone());
        let scan = Scan { files: (1..MAX_FILES).map(known).collect(), ..Scan::default() };
        let filter = ScanFilter::default();
        let mut scanner = Scanner { root: folder.path(), filter: &filter, scan, folders: Vec::new() };
        for (name, cut_off) in [(".hidden.jpg", false), ("a.jpg", false), ("a.xmp", false), ("b.jpg", true)] {
            put(folder.path(), name);
            scanner.list_file(folder.path().join(name), false);
            assert_eq!(scanner.scan.is_cut_off, cut_off, "{name}");
        }
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
        let wanted = ScanFilter { includes_subfolders: true, ..ScanFilter::default() };
        assert_eq!(names(folder.path(), &wanted), ["near.jpg"]);
    }

    fn unlisted_in(folder: &Path, filter: &ScanFilter) -> Vec<(String, NotListed)> {
        let unlisted = scan(folder, filter).unwrap().unlisted;
        unlisted.into_iter().map(|(key, why)| (key.as_str().to_owned(), why)).collect()
    }

    fn with_subfolders(ignore: &[&str]) -> ScanFilter {
        let ignore = ignore.iter().map(|pattern| Pattern::new(pattern).unwrap()).collect();
        ScanFilter { includes_subfolders: true, ignore, ..ScanFilter::default() }
    }

    #[cfg(unix)]
    #[test]
    fn possible_pictures_that_cannot_be_listed_are_kept_with_the_reason() {
        use std::os::unix::fs::symlink;
        let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let path = |name: &str| folder.path().join(name);
        put(folder.path(), "a.jpg");
        symlink("nowhere.jpg", path("dead.jpg")).unwrap();
        symlink("nowhere", path(".dead.jpg")).unwrap();
        symlink("/dev/zero", path("device.jpg")).unwrap();
        symlink(other.path(), path("elsewhere")).unwrap();
        symlink(folder.path(), path("loop")).unwrap();
        rustix::fs::mkfifoat(rustix::fs::CWD, path("pipe.jpg"), 0o600.into()).unwrap();
        let deep = "n/".repeat(limits::DEEPEST_FOLDER + 1);
        put(folder.path(), &format!("{deep}a.jpg"));
        let mut wanted = vec![
            ("dead.jpg".to_owned(), NotListed::DeadLink),
            ("device.jpg".to_owned(), NotListed::NoFile("a device")),
            ("pipe.jpg".to_owned(), NotListed::NoFile("a pipe")),
        ];
        assert_eq!(unlisted_in(folder.path(), &ScanFilter::default()), wanted);
        wanted.insert(2, ("elsewhere".to_owned(), NotListed::LinkedFolder));
        let deep = (deep.trim_end_matches('/').to_owned(), NotListed::TooDeep(limits::DEEPEST_FOLDER));
        wanted.insert(3, deep);
        assert_eq!(unlisted_in(folder.path(), &with_subfolders(&[])), wanted);
        let fixed = ["dead*", "device*", "pipe*", "elsewhere/**", "n/**"];
        assert_eq!(unlisted_in(folder.path(), &with_subfolders(&fixed)), []);
    }

    /// A sub-folder that no user can read, even a privileged one: its path is longer than any that the system takes.
    #[cfg(target_os = "linux")]
    #[test]
    fn an_unreadable_subfolder_is_kept_with_the_system_s_error() {
        let folder = tempfile::tempdir().unwrap();
        let name = "n".repeat(255);
        for file in ["a.jpg", &format!("{name}/b.jpg")] {
            put(folder.path(), file);
        }
        // Source: PATH_MAX of Linux is 4096 with the byte that ends it.
        let room = 4096 - 200 - folder.path().as_os_str().len();
        let long = folder.path().join("./".repeat(room / 2));
        let found = scan(&long, &with_subfolders(&[])).unwrap();
        let said = NotListed::Unreadable("File name too long".to_owned());
        assert_eq!(found.unlisted, [(PictureKey::from_text(&name), said)].into());
        assert_eq!(found.files.len(), 1);
        for ignored in ["n*/*", "n*/**"] {
            assert!(scan(&long, &with_subfolders(&[ignored])).unwrap().unlisted.is_empty(), "{ignored}");
        }
        assert!(scan(&long, &ScanFilter::default()).unwrap().unlisted.is_empty());
    }

    #[test]
    fn only_one_of_two_equivalent_names_is_listed() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["cre\u{302}pe.jpg", "cr\u{ea}pe.jpg", "plain.jpg"] {
            put(folder.path(), name);
        }
        if fs::read_dir(folder.path()).unwrap().count() < 3 {
            // A file system that treats the two names as one.
            return;
        }
        let spelt = vec!["cr\\u{ea}pe.jpg".to_owned(), "cre\\u{302}pe.jpg".to_owned()];
        let wanted = [("cr\u{ea}pe.jpg".to_owned(), NotListed::SameName(spelt))];
        assert_eq!(unlisted_in(folder.path(), &ScanFilter::default()), wanted);
        assert_eq!(names(folder.path(), &ScanFilter::default()), ["cr\u{ea}pe.jpg", "plain.jpg"]);
    }

    #[test]
    fn a_folder_that_is_gone_is_an_error() {
        let folder = tempfile::tempdir().unwrap();
        assert!(scan(&folder.path().join("gone"), &ScanFilter::default()).is_err());
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
