//! Verifies a delivery against its list of checksums: every listed file, and no others. It may read other people's
//! folders, so it trusts nothing in them: it waits for no pipe, and does not follow a file as it grows.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::files;
use crate::report::Exit;
use crate::units::words::{of_system, visible};

use super::contents::{MAX_LIST_BYTES, PICTURES, RECORD, SUMS};
use super::since;

/// Differences from the list; names as in the list or the folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Differences {
    /// The number of unchanged files.
    pub sound: usize,
    /// Files whose bytes differ.
    pub changed: Vec<String>,
    /// Files that no longer exist.
    pub missing: Vec<String>,
    /// Files that are not in the list.
    pub added: Vec<String>,
    /// Entries that cannot be read, and why: a pipe, a link, a folder without permission.
    pub unread: Vec<(String, String)>,
}

impl Differences {
    /// True if everything is as it was written.
    pub fn is_whole(&self) -> bool {
        self.changed.is_empty() && self.missing.is_empty() && self.added.is_empty() && self.unread.is_empty()
    }

    /// Returns the exit code for these differences.
    pub fn exit(&self) -> Exit {
        Exit::to_fix_if(!self.is_whole())
    }
}

/// Why a delivery cannot be verified.
#[derive(Debug, thiserror::Error)]
pub enum VerifyError {
    /// The folder does not exist.
    #[error("{}: no such folder", visible(&.0.to_string_lossy()))]
    NoSuch(PathBuf),
    /// The folder has no list of checksums.
    #[error("{}: is not a delivery (it has no {SUMS}); name the folder that `plateside deliver` wrote",
        visible(&.0.to_string_lossy()))]
    NoDelivery(PathBuf),
    /// The system reported an error.
    #[error("{}: {}; name the folder of a delivery", visible(&path.to_string_lossy()), of_system(error))]
    Io {
        /// The file.
        path: PathBuf,
        /// The system's error.
        error: io::Error,
    },
    /// The path is a file, such as a delivery's archive.
    #[error("{}: is a file; unpack the archive and name its folder", visible(&.0.to_string_lossy()))]
    Packed(PathBuf),
    /// A line of the list is malformed.
    #[error("{}, line {line}: is not a line of checksums", visible(&path.to_string_lossy()))]
    NoLine {
        /// The list.
        path: PathBuf,
        /// The line's number, from 1.
        line: usize,
    },
    /// The list is empty, so it proves nothing.
    #[error("{}: lists no file, so nothing can be checked; have the delivery sent again",
        visible(&.0.to_string_lossy()))]
    Empty(PathBuf),
    /// The list names a file twice, so one of its lines was added later.
    #[error("{}, line {line}: lists {} a second time; have the delivery sent again", visible(&path.to_string_lossy()),
        visible(name))]
    Twice {
        /// The list.
        path: PathBuf,
        /// The line's number, from 1.
        line: usize,
        /// The file's name.
        name: String,
    },
}

/// Compares every file of a delivery with its list.
///
/// # Errors
/// The list cannot be read, or is not a list of checksums.
pub fn verify(folder: &Path) -> Result<Differences, VerifyError> {
    if folder.is_file() {
        return Err(VerifyError::Packed(folder.to_owned()));
    }
    let is_missing = |path: &Path| path.symlink_metadata().is_err_and(|error| error.kind() == io::ErrorKind::NotFound);
    let sums = folder.join(SUMS);
    match (is_missing(folder), is_missing(&sums)) {
        (true, _) => return Err(VerifyError::NoSuch(folder.to_owned())),
        (false, true) => return Err(VerifyError::NoDelivery(folder.to_owned())),
        (false, false) => {}
    }
    let wanted = read_sums(&sums)?;
    let mut verified = Differences::default();
    // A list that was cut short or changed with its pictures: the record still names what was sent.
    let sent = if wanted.contains_key(RECORD) { since::sent_pictures(folder).unwrap_or_default() } else { Vec::new() };
    let sent: BTreeMap<String, String> =
        sent.into_iter().map(|one| (format!("{PICTURES}/{}", one.name), one.sha256)).collect();
    for (name, digest) in &wanted {
        let as_sent = |found: &String| sent.get(name).is_none_or(|sha256| sha256 == found);
        match digest_of(&folder.join(name)) {
            Ok(found) if found == *digest && as_sent(&found) => verified.sound += 1,
            Ok(_) => verified.changed.push(name.clone()),
            Err(error) if error.kind() == io::ErrorKind::NotFound => verified.missing.push(name.clone()),
            Err(error) => verified.unread.push((name.clone(), of_system(error))),
        }
    }
    let is_lost = |name: &String| !wanted.contains_key(name) && !folder.join(name).exists();
    verified.missing.extend(sent.into_keys().filter(is_lost));
    let mut there = Vec::new();
    list_files(folder, Path::new(""), &mut there, &mut verified.unread);
    there.sort();
    verified.added = there.into_iter().filter(|name| !wanted.contains_key(name) && name != SUMS).collect();
    Ok(verified)
}

/// Reads the checksums of a list, by file name.
fn read_sums(list: &Path) -> Result<BTreeMap<String, String>, VerifyError> {
    let text =
        files::read_text(list, MAX_LIST_BYTES).map_err(|error| VerifyError::Io { path: list.to_owned(), error })?;
    let mut wanted = BTreeMap::new();
    for (at, line) in text.lines().enumerate() {
        let (path, number) = (list.to_owned(), at + 1);
        match parse_line(line) {
            None => return Err(VerifyError::NoLine { path, line: number }),
            Some((name, _)) if wanted.contains_key(&name) => {
                return Err(VerifyError::Twice { path, line: number, name });
            }
            Some((name, digest)) => drop(wanted.insert(name, digest)),
        }
    }
    if wanted.is_empty() { Err(VerifyError::Empty(list.to_owned())) } else { Ok(wanted) }
}

/// Parses a line into name and checksum; `None` too if the name leaves the folder.
fn parse_line(line: &str) -> Option<(String, String)> {
    let (escaped, line) = match line.strip_prefix('\\') {
        Some(line) => (true, line),
        None => (false, line),
    };
    let (digest, name) = line.split_at_checked(64)?;
    let name = name.strip_prefix("  ").or_else(|| name.strip_prefix(" *"))?;
    let mut plain = String::new();
    let mut letters = name.chars();
    while let Some(c) = letters.next() {
        match c {
            '\\' if escaped => plain.push(match letters.next()? {
                'n' => '\n',
                'r' => '\r',
                '\\' => '\\',
                _ => return None,
            }),
            c => plain.push(c),
        }
    }
    let inside = Path::new(&plain).components().all(|part| matches!(part, std::path::Component::Normal(_)));
    let sound = inside && !plain.is_empty() && digest.bytes().all(|byte| byte.is_ascii_hexdigit());
    sound.then(|| (plain, digest.to_ascii_lowercase()))
}

/// Returns the SHA-256 of a file; refuses links.
fn digest_of(path: &Path) -> io::Result<String> {
    if fs::symlink_metadata(path)?.is_symlink() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is a link, not the file itself"));
    }
    files::sha256(path)
}

/// Levels of folders in a delivery: that of the pictures, and one for each version.
const DEEPEST_FOLDER: usize = 2;

/// Collects every file below a folder by its relative path, as deep as a delivery goes, and what cannot be listed.
fn list_files(folder: &Path, below: &Path, names: &mut Vec<String>, unread: &mut Vec<(String, String)>) {
    let lost = |error| (folder.join(below).to_string_lossy().into_owned(), of_system(error));
    let entries = match fs::read_dir(folder.join(below)) {
        Ok(entries) => entries,
        Err(error) => return unread.push(lost(error)),
    };
    for entry in entries {
        let entry = match entry {
            Ok(entry) => entry,
            Err(error) => return unread.push(lost(error)),
        };
        let name = below.join(entry.file_name());
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if is_folder && below.components().count() < DEEPEST_FOLDER {
            list_files(folder, &name, names, unread);
        } else {
            names.push(name.to_string_lossy().into_owned());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changed_missing_and_added_files_are_named() {
        let room = tempfile::tempdir().unwrap();
        assert!(matches!(verify(room.path()), Err(VerifyError::NoDelivery(_))));
        assert!(matches!(verify(&room.path().join("none")), Err(VerifyError::NoSuch(_))));
        fs::create_dir(room.path().join("pictures")).unwrap();
        fs::write(room.path().join("pictures/a.jpg"), b"abc").unwrap();
        // Source: FIPS 180-4's example of SHA-256: "abc".
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        fs::write(room.path().join(SUMS), format!("{abc}  pictures/a.jpg\n")).unwrap();
        assert_eq!(verify(room.path()).unwrap(), Differences { sound: 1, ..Differences::default() });
        fs::write(room.path().join("pictures/b.jpg"), b"b").unwrap();
        fs::write(room.path().join("pictures/a.jpg"), b"abd").unwrap();
        let found = verify(room.path()).unwrap();
        assert_eq!(
            (found.changed, found.added),
            (vec!["pictures/a.jpg".to_owned()], vec!["pictures/b.jpg".to_owned()])
        );
        fs::remove_file(room.path().join("pictures/a.jpg")).unwrap();
        assert_eq!(verify(room.path()).unwrap().missing, ["pictures/a.jpg"]);
    }

    #[test]
    fn a_picture_that_was_changed_with_its_line_is_not_the_one_that_the_record_names() {
        let room = tempfile::tempdir().unwrap();
        let put = |name: &str, bytes: &[u8]| fs::write(room.path().join(name), bytes).unwrap();
        use sha2::{Digest, Sha256};

        let sum = |bytes: &[u8]| format!("{:x}", Sha256::digest(bytes));
        fs::create_dir(room.path().join("pictures")).unwrap();
        let record =
            format!("{{\"pictures\": [{{\"name\": \"a.jpg\", \"sha256\": \"{}\", \"sent\": true}}]}}", sum(b"abc"));
        put(RECORD, record.as_bytes());
        let lay = |bytes: &[u8]| {
            put("pictures/a.jpg", bytes);
            put(SUMS, format!("{}  {RECORD}\n{}  pictures/a.jpg\n", sum(record.as_bytes()), sum(bytes)).as_bytes());
            verify(room.path()).unwrap()
        };
        assert_eq!(lay(b"abc"), Differences { sound: 2, ..Differences::default() });
        let changed = vec!["pictures/a.jpg".to_owned()];
        assert_eq!(lay(b"abd"), Differences { sound: 1, changed, ..Differences::default() });
    }

    /// Creates a folder with a list of checksums.
    fn folder_with_list(text: &str) -> tempfile::TempDir {
        let room = tempfile::tempdir().unwrap();
        fs::write(room.path().join(SUMS), text).unwrap();
        room
    }

    #[test]
    fn a_list_that_names_nothing_or_a_file_twice_proves_nothing() {
        let line = |digit: &str, name: &str| format!("{}  {name}\n", digit.repeat(64));
        assert!(matches!(verify(folder_with_list("").path()), Err(VerifyError::Empty(_))));
        let doubled = folder_with_list(&[line("0", "a.jpg"), line("1", "b.jpg"), line("2", "a.jpg")].concat());
        let error = verify(doubled.path()).unwrap_err();
        assert!(matches!(&error, VerifyError::Twice { line: 3, name, .. } if name == "a.jpg"), "{error}");
    }

    #[cfg(unix)]
    #[test]
    fn what_is_no_file_is_said_and_never_waited_for() {
        use std::os::unix::fs::symlink;
        let names = ["device", "folder", "gone", "link", "pipe"];
        let room = folder_with_list(&names.map(|name| format!("{}  {name}\n", "0".repeat(64))).concat());
        let path = |name: &str| room.path().join(name);
        rustix::fs::mkfifoat(rustix::fs::CWD, path("pipe"), 0o600.into()).unwrap();
        fs::create_dir(path("folder")).unwrap();
        symlink("/dev/zero", path("device")).unwrap();
        symlink(SUMS, path("link")).unwrap();
        let found = verify(room.path()).unwrap();
        let said: Vec<&str> = found.unread.iter().map(|(_, why)| why.as_str()).collect();
        let link = "it is a link, not the file itself";
        assert_eq!(said, [link, "it is a folder, not a file", link, "it is a pipe, not a file"]);
        assert_eq!((found.missing, found.added), (vec!["gone".to_owned()], Vec::new()));
    }

    #[test]
    fn a_list_that_leads_out_of_the_folder_is_none() {
        let sum = "0".repeat(64);
        assert_eq!(parse_line(&format!("{sum}  ../a.jpg")), None);
        assert_eq!(parse_line(&format!("{sum}  /etc/passwd")), None);
        assert_eq!(parse_line("nonsense"), None);
        assert_eq!(parse_line(&format!("\\{sum}  a\\nb")), Some(("a\nb".to_owned(), sum)));
    }
}
