//! A delivery as an archive; the same files always give the same bytes.

use std::fs::{self, File};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::files;
use crate::files::atomic;

/// Returns the path of a delivery's archive: beside it, under its name.
pub fn path_of(delivery: &Path) -> PathBuf {
    let mut name = delivery.file_name().unwrap_or_default().to_owned();
    name.push(".zip");
    delivery.with_file_name(name)
}

/// Writes the archive beside the delivery: files as they are, names in order, no times.
///
/// # Errors
/// The archive exists, or cannot be written: then nothing of it is left behind.
pub fn write(delivery: &Path) -> io::Result<PathBuf> {
    let path = path_of(delivery);
    let mut names = files(delivery, Path::new(""))?;
    names.sort();
    let top = delivery.file_name().map(PathBuf::from).unwrap_or_default();
    atomic::create_with(&path, |file| archive(file, delivery, &top, &names))?;
    Ok(path)
}

fn archive(file: &mut File, delivery: &Path, top: &Path, names: &[PathBuf]) -> io::Result<()> {
    let mut failed = None;
    let mut archive = ZipWriter::new(Quiet { file, failed: &mut failed });
    let written = add_all(&mut archive, delivery, top, names);
    let finished = written.and_then(|()| archive.finish().map(drop).map_err(plain));
    // The disk's first error: later ones only follow from it.
    failed.map_or(finished, Err)?;
    file.flush()?;
    file.rewind()
}

/// A file that accepts all writes once its disk has failed: its writer closes even an abandoned archive, and would
/// report that failure in a library's words.
struct Quiet<'f> {
    file: &'f mut File,
    failed: &'f mut Option<io::Error>,
}

impl Write for Quiet<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.failed.is_some() {
            return Ok(bytes.len());
        }
        let failure = |error: &io::Error| io::Error::new(error.kind(), "the disk failed");
        self.file.write(bytes).map_err(|error| {
            let reported = failure(&error);
            *self.failed = Some(error);
            reported
        })
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.failed.is_some() { Ok(()) } else { self.file.flush() }
    }
}

impl Seek for Quiet<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}

fn add_all(archive: &mut ZipWriter<Quiet<'_>>, delivery: &Path, top: &Path, names: &[PathBuf]) -> io::Result<()> {
    for name in names {
        // Large files are compressed already, and the crate's own deflate would replace the TIFF reader's, which
        // detects gaps that the other does not.
        let method = CompressionMethod::Stored;
        let (file, length) = files::open(&delivery.join(name))?;
        let large = length > u64::from(u32::MAX) / 2;
        let options = SimpleFileOptions::default().compression_method(method).large_file(large).unix_permissions(0o644);
        let inside: Vec<String> = top.join(name).iter().map(|part| part.to_string_lossy().into_owned()).collect();
        archive.start_file(inside.join("/"), options).map_err(plain)?;
        if io::copy(&mut file.take(length), archive)? != length {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
    }
    Ok(())
}

/// Returns the system's error rather than the crate's wording of it.
fn plain(error: ZipError) -> io::Error {
    match error {
        ZipError::Io(error) => error,
        other => other.into(),
    }
}

fn files(folder: &Path, below: &Path) -> io::Result<Vec<PathBuf>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder.join(below))? {
        let entry = entry?;
        let name = below.join(entry.file_name());
        if entry.file_type()?.is_dir() { names.extend(files(folder, &name)?) } else { names.push(name) }
    }
    Ok(names)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_is_reported_as_the_system_reports_it() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("NOTE.txt"), vec![b'x'; 1 << 20]).unwrap();
        // Source: full(4).
        let mut full = File::options().write(true).open("/dev/full").unwrap();
        let error = archive(&mut full, folder.path(), Path::new("out"), &["NOTE.txt".into()]).unwrap_err();
        assert_eq!((error.kind(), error.get_ref().is_none()), (io::ErrorKind::StorageFull, true));
    }

    #[test]
    fn the_same_files_are_the_same_archive_and_none_is_written_over() {
        let room = tempfile::tempdir().unwrap();
        let delivery = room.path().join("out");
        fs::create_dir_all(delivery.join("pictures")).unwrap();
        fs::write(delivery.join("pictures/b.jpg"), b"bb").unwrap();
        fs::write(delivery.join("NOTE.txt"), b"note note note note").unwrap();
        let first = fs::read(write(&delivery).unwrap()).unwrap();
        assert_eq!(write(&delivery).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        fs::remove_file(path_of(&delivery)).unwrap();
        assert_eq!(fs::read(write(&delivery).unwrap()).unwrap(), first);
        let mut archive = zip::ZipArchive::new(io::Cursor::new(first)).unwrap();
        let names: Vec<String> =
            (0..archive.len()).map(|at| archive.by_index(at).unwrap().name().unwrap().into_owned()).collect();
        assert_eq!(names, ["out/NOTE.txt", "out/pictures/b.jpg"]);
    }
}
