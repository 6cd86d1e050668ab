//! The one place that writes files, and reads those of others so that none can hang the program or fill the memory: a
//! link to a device, a pipe that nobody writes to, a file that grows while it is read.

pub mod atomic;
pub mod atomic_folder;
pub mod names;
pub mod os;
pub mod scratch;
pub mod unfinished;

use std::fs::{self, File, Metadata};
use std::io::{self, Read};
use std::path::Path;

use crate::units::show;

/// Opens a file for reading, also behind symbolic links; gives its size in bytes, too. Waits for no other program.
///
/// # Errors
/// It is a folder (`IsADirectory`), a pipe, a socket or a device (`Unsupported`), or the system says no.
pub fn open(path: &Path) -> io::Result<(File, u64)> {
    // Asked before it is opened: with some devices that alone does something.
    expect_file(&fs::metadata(path)?)?;
    let file = opened(path)?;
    // And again: by now the name may be another's.
    let there = file.metadata()?;
    expect_file(&there)?;
    Ok((file, there.len()))
}

/// Opens a file to write at its end; it is made if it is not there.
///
/// # Errors
/// It is something else than a file, as [`open`] says, or the system says no.
pub fn append(path: &Path) -> io::Result<File> {
    if let Ok(there) = fs::metadata(path) {
        expect_file(&there)?;
    }
    File::options().append(true).create(true).open(path)
}

/// All bytes of a file that has at most so many.
///
/// # Errors
/// As [`open`], and where it has more (`FileTooLarge`).
pub fn read(path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
    let (file, length) = open(path)?;
    let mut bytes = Vec::new();
    if length <= most_bytes {
        file.take(most_bytes + 1).read_to_end(&mut bytes)?;
    }
    if length.max(bytes.len() as u64) > most_bytes {
        let what = format!("it is larger than {}", show::bytes(most_bytes));
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, what));
    }
    Ok(bytes)
}

/// The text of a file that has at most so many bytes.
///
/// # Errors
/// As [`read`], and where it is not UTF-8 (`InvalidData`).
pub fn read_text(path: &Path, most_bytes: u64) -> io::Result<String> {
    let not_utf8 = |_| io::Error::new(io::ErrorKind::InvalidData, "it is not UTF-8; save it as UTF-8");
    String::from_utf8(read(path, most_bytes)?).map_err(not_utf8)
}

/// Whether an error of [`open`] or [`read`] says that there is something else than a file.
pub fn is_not_a_file(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::IsADirectory | io::ErrorKind::Unsupported)
}

/// Makes a folder and those above it, where they are not there yet.
///
/// # Errors
/// What the system says.
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

/// What something is that is no file, in words.
#[cfg(unix)]
pub fn kind_of(there: &Metadata) -> &'static str {
    use std::os::unix::fs::FileTypeExt;
    let kind = there.file_type();
    match () {
        () if kind.is_dir() => "a folder",
        () if kind.is_fifo() => "a pipe",
        () if kind.is_socket() => "a socket",
        () => "a device",
    }
}

/// What something is that is no file, in words.
#[cfg(not(unix))]
pub fn kind_of(there: &Metadata) -> &'static str {
    if there.is_dir() { "a folder" } else { "a device" }
}

#[cfg(unix)]
fn opened(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt;
    let at_once = rustix::fs::OFlags::NONBLOCK.bits().cast_signed();
    match File::options().read(true).custom_flags(at_once).open(path) {
        // Another program holds a lease on the file and was asked to give it back. Source: open(2), fcntl(2).
        Err(error) if error.kind() == io::ErrorKind::WouldBlock => File::open(path),
        opened => opened,
    }
}

#[cfg(not(unix))]
fn opened(path: &Path) -> io::Result<File> {
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

    // Of a length of 0, and longer than that once it is read.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_file_that_is_longer_than_it_says_is_read_no_further_than_its_bound() {
        let path = Path::new("/proc/self/status");
        assert_eq!(fs::metadata(path).unwrap().len(), 0);
        assert_eq!(read(path, 16).unwrap_err().kind(), io::ErrorKind::FileTooLarge);
    }
}
