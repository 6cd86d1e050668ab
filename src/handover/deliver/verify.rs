//! Whether a handover is still what was laid: every file of its list of checksums, and none beside them.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::units::words::{of_system, visible};

use super::{LARGEST_LIST, SUMS};

/// What differs; names as they stand in the list or the folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verified {
    /// Files that are as they were.
    pub sound: usize,
    /// Files with other bytes.
    pub changed: Vec<String>,
    /// Files that are gone.
    pub missing: Vec<String>,
    /// Files that the list does not name.
    pub added: Vec<String>,
}

impl Verified {
    /// Whether all is as it was laid.
    pub fn is_whole(&self) -> bool {
        self.changed.is_empty() && self.missing.is_empty() && self.added.is_empty()
    }
}

/// Why it cannot be told.
#[derive(Debug, thiserror::Error)]
pub enum NotVerified {
    /// The system says no.
    #[error("{}: {}; name the folder of a handover", visible(&path.to_string_lossy()), of_system(error))]
    Io {
        /// Which file.
        path: PathBuf,
        /// What it says.
        error: io::Error,
    },
    /// It is a file, such as a handover's archive.
    #[error("{}: is a file; unpack the archive and name its folder", visible(&.0.to_string_lossy()))]
    Packed(PathBuf),
    /// A line of the list is none.
    #[error("{}, line {line}: is no line of checksums", visible(&path.to_string_lossy()))]
    NoLine {
        /// The list.
        path: PathBuf,
        /// Which line, from 1.
        line: usize,
    },
}

/// Reads every file of a handover again.
///
/// # Errors
/// The list cannot be read.
pub fn verify(folder: &Path) -> Result<Verified, NotVerified> {
    if folder.is_file() {
        return Err(NotVerified::Packed(folder.to_owned()));
    }
    let list = folder.join(SUMS);
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |error| NotVerified::Io { path, error }
    };
    let length = fs::metadata(&list).map_err(failed(&list))?.len();
    if length > LARGEST_LIST {
        return Err(NotVerified::NoLine { path: list, line: 1 });
    }
    let text = fs::read_to_string(&list).map_err(failed(&list))?;
    let mut wanted = BTreeMap::new();
    for (at, line) in text.lines().enumerate() {
        let entry = entry(line).ok_or_else(|| NotVerified::NoLine { path: list.clone(), line: at + 1 })?;
        wanted.insert(entry.0, entry.1);
    }
    let mut verified = Verified::default();
    for (name, digest) in &wanted {
        match digest_of(&folder.join(name)) {
            Ok(found) if found == *digest => verified.sound += 1,
            Ok(_) => verified.changed.push(name.clone()),
            Err(_) => verified.missing.push(name.clone()),
        }
    }
    verified.added = there(folder, Path::new("")).into_iter().filter(|name| !wanted.contains_key(name)).collect();
    verified.added.retain(|name| name != SUMS);
    Ok(verified)
}

/// Name and checksum of a line; a name that leaves the folder is none.
fn entry(line: &str) -> Option<(String, String)> {
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

fn digest_of(path: &Path) -> io::Result<String> {
    if !fs::symlink_metadata(path)?.is_file() {
        return Err(io::ErrorKind::InvalidInput.into());
    }
    let (mut file, mut hash, mut piece) = (File::open(path)?, Sha256::new(), vec![0; 1 << 20]);
    loop {
        match file.read(&mut piece)? {
            0 => return Ok(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()),
            count => hash.update(&piece[..count]),
        }
    }
}

/// Every file below a folder, by its path in it, one folder deep.
fn there(folder: &Path, below: &Path) -> Vec<String> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder.join(below)).into_iter().flatten().flatten() {
        let name = below.join(entry.file_name());
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        if is_folder && below.as_os_str().is_empty() {
            names.extend(there(folder, &name));
        } else {
            names.push(name.to_string_lossy().into_owned());
        }
    }
    names.sort();
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changed_missing_and_added_files_are_named() {
        let room = tempfile::tempdir().unwrap();
        assert!(matches!(verify(room.path()), Err(NotVerified::Io { .. })));
        fs::create_dir(room.path().join("pictures")).unwrap();
        fs::write(room.path().join("pictures/a.jpg"), b"abc").unwrap();
        // Source: FIPS 180-4's example of SHA-256: "abc".
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        fs::write(room.path().join(SUMS), format!("{abc}  pictures/a.jpg\n")).unwrap();
        assert_eq!(verify(room.path()).unwrap(), Verified { sound: 1, ..Verified::default() });
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
    fn a_list_that_leads_out_of_the_folder_is_none() {
        let sum = "0".repeat(64);
        assert_eq!(entry(&format!("{sum}  ../a.jpg")), None);
        assert_eq!(entry(&format!("{sum}  /etc/passwd")), None);
        assert_eq!(entry("nonsense"), None);
        assert_eq!(entry(&format!("\\{sum}  a\\nb")), Some(("a\nb".to_owned(), sum)));
    }
}
