//! Several readers of one open file, each with a position of its own.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::os::unix::fs::FileExt;
use std::sync::Arc;

/// A reader with a position of its own; a clone begins at the same position.
#[derive(Clone, Debug)]
pub struct PositionedReader {
    file: Arc<File>,
    at: u64,
}

impl PositionedReader {
    /// Creates a reader at the file's start.
    pub fn new(file: File) -> PositionedReader {
        PositionedReader { file: Arc::new(file), at: 0 }
    }
}

impl Read for PositionedReader {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.file.read_at(into, self.at)?;
        self.at += read as u64;
        Ok(read)
    }
}

impl Seek for PositionedReader {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let (from, by) = match to {
            SeekFrom::Start(at) => (at, 0),
            SeekFrom::Current(by) => (self.at, by),
            SeekFrom::End(by) => (self.file.metadata()?.len(), by),
        };
        self.at = from.checked_add_signed(by).ok_or(io::ErrorKind::InvalidInput)?;
        Ok(self.at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readers_of_one_file_keep_their_own_places() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("a");
        std::fs::write(&path, "abcdef").unwrap();
        let mut one = PositionedReader::new(File::open(&path).unwrap());
        let mut two = [0; 2];
        one.read_exact(&mut two).unwrap();
        let mut other = one.clone();
        assert_eq!(other.seek(SeekFrom::End(-1)).unwrap(), 5);
        assert_eq!(one.seek(SeekFrom::Current(1)).unwrap(), 3);
        let mut rest = String::new();
        one.read_to_string(&mut rest).unwrap();
        assert_eq!((two, rest.as_str()), (*b"ab", "def"));
        assert_eq!(other.read(&mut two).unwrap(), 1);
        assert!(other.seek(SeekFrom::Current(-9)).is_err());
    }
}
