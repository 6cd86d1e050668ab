//! Writes files whole or not at all. Reads foreign files with a bound on time and memory, whatever the name leads to: a
//! device, a pipe without a writer, a file that grows while it is read.

pub mod atomic;
pub mod atomic_folder;
pub mod names;
pub mod os;
pub mod scratch;
pub mod unfinished;

use std::fs::{self, File, Metadata};
use std::io::{self, Read, Write};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::units::show;

/// Opens a file for reading, also behind symbolic links; also returns its size in bytes. Waits for no other program.
///
/// # Errors
/// When it is a folder (`IsADirectory`), a pipe, a socket or a device (`Unsupported`), or the system refuses.
pub fn open(path: &Path) -> io::Result<(File, u64)> {
    // Checked before it is opened: with some devices opening alone has an effect.
    expect_file(&fs::metadata(path)?)?;
    let file = open_without_waiting(path)?;
    // Checked again: the name may belong to another file by now.
    let there = file.metadata()?;
    expect_file(&there)?;
    Ok((file, there.len()))
}

/// Returns the SHA-256 of a file, lower-case hexadecimal. A file that grows meanwhile is not read to its end.
///
/// # Errors
/// As [`open`], and where it cannot be read or ends before its length (`UnexpectedEof`).
pub fn sha256(path: &Path) -> io::Result<String> {
    /// Bytes read at a time.
    const PIECE_BYTES: usize = 1 << 20;
    let (file, length) = open(path)?;
    // One byte beyond the length, so that a file that has grown has another digest.
    let mut file = file.take(length + 1);
    let (mut hash, mut piece, mut all) = (Sha256::new(), vec![0; PIECE_BYTES], 0);
    loop {
        let count = file.read(&mut piece)?;
        if count == 0 {
            expect_all(all, length)?;
            return Ok(format!("{:x}", hash.finalize()));
        }
        hash.update(&piece[..count]);
        all += count as u64;
    }
}

/// Opens a file of the program's own to write at its end; one that is missing or empty begins with `first_line`.
///
/// # Errors
/// When it is something other than a file, as for [`open`], it begins with anything else (`AlreadyExists`), or the
/// system refuses.
pub fn append(path: &Path, first_line: &str) -> io::Result<File> {
    if let Ok(there) = fs::metadata(path) {
        expect_file(&there)?;
    }
    let mut file = File::options().read(true).append(true).create(true).open(path)?;
    let mut beginning = Vec::new();
    (&file).take(first_line.len() as u64).read_to_end(&mut beginning)?;
    match beginning.as_slice() {
        [] => file.write_all(format!("{first_line}\n").as_bytes())?,
        begins if begins == first_line.as_bytes() => {}
        _ => return Err(io::ErrorKind::AlreadyExists.into()),
    }
    Ok(file)
}

/// Reads a whole file of at most `most_bytes` bytes.
///
/// # Errors
/// As [`open`], and where the file is larger (`FileTooLarge`) or ends before its length (`UnexpectedEof`).
pub fn read(path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
    let (file, length) = open(path)?;
    read_opened(file, length, most_bytes)
}

fn read_opened(file: impl Read, length: u64, most_bytes: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    if length <= most_bytes {
        file.take(most_bytes + 1).read_to_end(&mut bytes)?;
        expect_all(bytes.len() as u64, length)?;
    }
    if length.max(bytes.len() as u64) > most_bytes {
        let what = format!("it is larger than {}", show::bytes(most_bytes));
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, what));
    }
    Ok(bytes)
}

/// Checks that a file was read to its end: one that is being written anew, or on a network disk that fails, may end
/// before, and what is there of it is no file.
fn expect_all(read_bytes: u64, length: u64) -> io::Result<()> {
    if read_bytes < length {
        let what = format!("it ended after {read_bytes} of its {length} bytes: try again");
        return Err(io::Error::new(io::ErrorKind::UnexpectedEof, what));
    }
    Ok(())
}

/// Reads the text of a file of at most `most_bytes` bytes.
///
/// # Errors
/// As [`read`], and where it is not UTF-8 (`InvalidData`).
pub fn read_text(path: &Path, most_bytes: u64) -> io::Result<String> {
    let not_utf8 = |_| io::Error::new(io::ErrorKind::InvalidData, "it is not UTF-8; save it as UTF-8");
    String::from_utf8(read(path, most_bytes)?).map_err(not_utf8)
}

/// True if an error of [`open`] or [`read`] means that the path is something other than a file.
pub fn is_not_a_file(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::IsADirectory | io::ErrorKind::Unsupported)
}

/// Creates a folder and those above it, where missing.
///
/// # Errors
/// The system's error.
pub fn make_folder(path: &Path) -> io::Result<()> {
    fs::create_dir_all(path)
}

fn expect_file(there: &Metadata) -> io::Result<()> {
    if there.is_file() {
        return Ok(());
    }
    let kind = if there.is_dir() { io::ErrorKind::IsADirectory } else { io::ErrorKind::Unsupported };
    Err(io::Error::new(kind, format!("it is {}, not a file", kind_of(there))))
}

/// Describes what something is that is not a file.
#[cfg(unix)]
pub fn kind_of(there: &Metadata) -> &'static str {
    use std::os::unix::fs::FileTypeExt;
    let kind = there.file_type();
    if kind.is_dir() {
        "a folder"
    } else if kind.is_fifo() {
        "a pipe"
    } else if kind.is_socket() {
        "a socket"
    } else {
        "a device"
    }
}

/// Describes what something is that is not a file.
#[cfg(not(unix))]
pub fn kind_of(there: &Metadata) -> &'static str {
    if there.is_dir() { "a folder" } else { "a device" }
}

#[cfg(unix)]
fn open_without_waiting(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt;
    let at_once = rustix::fs::OFlags::NONBLOCK.bits().cast_signed();
    match File::options().read(true).custom_flags(at_once).open(path) {
        // Another program holds a lease on the file and was requested to release it. Source: open(2), fcntl(2).
        Err(error) if error.kind() == io::ErrorKind::WouldBlock => File::open(path),
        opened => opened,
    }
}

#[cfg(not(unix))]
fn open_without_waiting(path: &Path) -> io::Result<File> {
    File::open(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_bound() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        fs::write(&path, "abc").unwrap();
        assert_eq!(read_text(&path, 3).unwrap(), "abc");
        let error = read(&path, 2).unwrap_err();
        assert_eq!(
            (error.kind(), error.to_string().as_str()),
            (io::ErrorKind::FileTooLarge, "it is larger than 2 bytes")
        );
        fs::write(&path, b"\xff").unwrap();
        assert_eq!(read_text(&path, 3).unwrap_err().kind(), io::ErrorKind::InvalidData);
    }

    #[test]
    fn a_file_that_ends_before_its_length_is_not_taken_for_the_whole() {
        assert_eq!(read_opened(&b"abc"[..], 3, 9).unwrap(), b"abc");
        for part in [&b"ab"[..], b""] {
            assert_eq!(read_opened(part, 3, 9).unwrap_err().kind(), io::ErrorKind::UnexpectedEof);
        }
        assert_eq!(read_opened(&b"abc"[..], 0, 9).unwrap(), b"abc", "some systems report no length");
    }

    #[test]
    fn nothing_is_appended_to_a_file_that_the_program_did_not_begin() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let append = |text: &str| append(&path, "a log").map(|mut file| file.write_all(text.as_bytes()).unwrap());
        append("one\n").unwrap();
        append("two\n").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "a log\none\ntwo\n");
        for foreign in ["a lo", "[[print]]\n", "\u{feff}a log\n"] {
            fs::write(&path, foreign).unwrap();
            assert_eq!(append("three").unwrap_err().kind(), io::ErrorKind::AlreadyExists);
            assert_eq!(fs::read_to_string(&path).unwrap(), foreign);
        }
    }

    #[cfg(unix)]
    #[test]
    fn what_is_no_file_says_what_it_is_and_is_never_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        let (pipe, link) = (folder.path().join("pipe"), folder.path().join("link"));
        rustix::fs::mkfifoat(rustix::fs::CWD, &pipe, 0o600.into()).unwrap();
        std::os::unix::fs::symlink("/dev/zero", &link).unwrap();
        for (path, said) in [(folder.path(), "a folder"), (&pipe, "a pipe"), (&link, "a device")] {
            let error = read(path, 100).unwrap_err();
            assert!(is_not_a_file(&error), "{error:?}");
            assert_eq!(error.to_string(), format!("it is {said}, not a file"));
        }
    }

    // Files with a reported length of 0, and more bytes when read.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_file_that_is_longer_than_it_says_is_read_no_further_than_its_bound() {
        let path = Path::new("/proc/self/status");
        assert_eq!(fs::metadata(path).unwrap().len(), 0);
        assert_eq!(read(path, 16).unwrap_err().kind(), io::ErrorKind::FileTooLarge);
    }
}
