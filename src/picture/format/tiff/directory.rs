//! A TIFF's header, its directories and the bytes of their entries. Source: TIFF 6.0 section 2; BigTIFF by its
//! published layout.
//!
//! Knows no tag. The tiff crate is not used here: it opens a file only where its first page is one that it decodes.

use std::collections::BTreeMap;
use std::io::{Read, SeekFrom};

use crate::picture::Fault;
use crate::picture::facts::Format;
use crate::picture::format::descriptor::HeaderSource;

/// Entries of a directory at most: one for each tag there can be, as many as TIFF 6.0 can count.
const MAX_ENTRIES: u64 = 1 << 16;

/// How a file stores numbers, and the offset of its first directory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TiffHeader {
    pub is_big_endian: bool,
    /// Places of 64 bits.
    pub is_big_tiff: bool,
    /// Bytes from the start.
    pub first: u64,
}

/// What a value's items are. Source: TIFF 6.0 section 2.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TagType {
    /// Bytes and texts, in no order of their own.
    Bytes,
    /// Whole numbers of this many bytes: 1, 2, 4 or 8.
    Whole(usize),
    /// Two whole numbers of 4 bytes, one over the other.
    Ratio,
    /// Numbers with a sign or a point, of this many bytes; nothing here reads them.
    Other(usize),
}

impl TagType {
    fn from_number(number: u64) -> Option<TagType> {
        Some(match number {
            1 => TagType::Whole(1),
            3 => TagType::Whole(2),
            4 | 13 => TagType::Whole(4),
            16 | 18 => TagType::Whole(8),
            2 | 7 => TagType::Bytes,
            5 => TagType::Ratio,
            6 => TagType::Other(1),
            8 => TagType::Other(2),
            9 | 11 => TagType::Other(4),
            10 | 12 | 17 => TagType::Other(8),
            _ => return None,
        })
    }

    /// Returns the bytes of one item.
    const fn bytes(self) -> u64 {
        match self {
            TagType::Bytes => 1,
            TagType::Whole(bytes) | TagType::Other(bytes) => bytes as u64,
            TagType::Ratio => 8,
        }
    }
}

/// An entry: its type, and its value or the value's offset, as stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TagEntry {
    pub kind: TagType,
    count: u64,
    field: [u8; 8],
}

/// A directory's entries by their tag.
#[derive(Clone, Debug, Default)]
pub struct Directory {
    pub entries: BTreeMap<u16, TagEntry>,
    /// Offset of the next page's directory; 0 for none.
    pub next: Option<u64>,
}

impl TiffHeader {
    /// Reads the first bytes of a file.
    ///
    /// # Errors
    /// When this is no TIFF, or the file ends within.
    pub fn read(source: &mut dyn HeaderSource) -> Result<TiffHeader, Fault> {
        let none = || Fault::damaged(Format::Tiff, "its first bytes are those of no TIFF");
        source.seek(SeekFrom::Start(0))?;
        let mut start = [0; 4];
        source.read_exact(&mut start)?;
        let is_big_endian = match &start[..2] {
            b"II" => false,
            b"MM" => true,
            _ => return Err(none()),
        };
        let mut header = TiffHeader { is_big_endian, is_big_tiff: false, first: 0 };
        header.is_big_tiff = match header.number(&start[2..]) {
            42 => false,
            43 => true,
            _ => return Err(none()),
        };
        if header.is_big_tiff {
            // Bytes of a place, and nothing.
            let mut places = [0; 4];
            source.read_exact(&mut places)?;
            if (header.number(&places[..2]), header.number(&places[2..])) != (8, 0) {
                return Err(none());
            }
        }
        let mut first = [0; 8];
        let first = &mut first[..header.place_bytes()];
        source.read_exact(first)?;
        header.first = header.number(first);
        Ok(header)
    }

    /// Reads the directory at an offset of the file. Entries of an unknown kind are left out; of two for one tag the
    /// first counts.
    ///
    /// # Errors
    /// When the file ends within, or it says that it has more entries than there are tags.
    pub fn directory(self, source: &mut dyn HeaderSource, at: u64) -> Result<Directory, Fault> {
        source.seek(SeekFrom::Start(at))?;
        let mut count = [0; 8];
        let count = &mut count[..if self.is_big_tiff { 8 } else { 2 }];
        source.read_exact(count)?;
        let count = self.number(count);
        if count > MAX_ENTRIES {
            return Err(Fault::damaged(Format::Tiff, format!("a directory of {count} entries")));
        }
        let (place, mut directory) = (self.place_bytes(), Directory::default());
        let mut entry = [0; 20];
        let entry = &mut entry[..4 + 2 * place];
        for _ in 0..count {
            source.read_exact(entry)?;
            let Some(kind) = TagType::from_number(self.number(&entry[2..4])) else { continue };
            let mut field = [0; 8];
            field[..place].copy_from_slice(&entry[4 + place..]);
            let found = TagEntry { kind, count: self.number(&entry[4..4 + place]), field };
            directory.entries.entry(self.number(&entry[..2]) as u16).or_insert(found);
        }
        let next = &mut entry[..place];
        source.read_exact(next)?;
        directory.next = Some(self.number(next)).filter(|next| *next > 0);
        Ok(directory)
    }

    /// Returns an entry's bytes as they are stored; `None` where they are more than `most` or not whole in the file.
    pub fn value(self, source: &mut dyn HeaderSource, entry: &TagEntry, most: u64) -> Option<Vec<u8>> {
        let bytes = entry.count.checked_mul(entry.kind.bytes()).filter(|bytes| *bytes <= most)?;
        if bytes <= self.place_bytes() as u64 {
            return Some(entry.field[..bytes as usize].to_vec());
        }
        source.seek(SeekFrom::Start(self.number(&entry.field[..self.place_bytes()]))).ok()?;
        let mut value = Vec::new();
        // Grows with what is there, not with what is claimed.
        source.take(bytes).read_to_end(&mut value).ok()?;
        (value.len() as u64 == bytes).then_some(value)
    }

    /// Returns a whole number of up to 8 bytes, in the file's order.
    pub fn number(self, bytes: &[u8]) -> u64 {
        let join = |number: u64, byte: &u8| number << 8 | u64::from(*byte);
        if self.is_big_endian { bytes.iter().fold(0, join) } else { bytes.iter().rev().fold(0, join) }
    }

    const fn place_bytes(self) -> usize {
        if self.is_big_tiff { 8 } else { 4 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn both_orders_and_both_sizes_are_read() {
        let little =
            b"II*\0\x08\0\0\0\x02\0\x00\x01\x03\0\x01\0\0\0\x25\0\0\0\x0E\x01\x02\0\x05\0\0\0\x26\0\0\0\0\0\0\0word\0";
        let mut source = Cursor::new(&little[..]);
        let header = TiffHeader::read(&mut source).unwrap();
        assert_eq!(header, TiffHeader { is_big_endian: false, is_big_tiff: false, first: 8 });
        let directory = header.directory(&mut source, header.first).unwrap();
        let value = |tag: u16| header.value(&mut Cursor::new(&little[..]), &directory.entries[&tag], 100);
        assert_eq!((value(256), value(270)), (Some(vec![0x25, 0]), Some(b"word\0".to_vec())));
        assert_eq!(directory.next, None);
        let big = b"MM\0+\0\x08\0\0\0\0\0\0\0\0\0\x10\0\0\0\0\0\0\0\x01\
                    \x01\0\0\x10\0\0\0\0\0\0\0\x01\0\0\0\0\0\0\0\x25\0\0\0\0\0\0\0\x09";
        let mut source = Cursor::new(&big[..]);
        let header = TiffHeader::read(&mut source).unwrap();
        assert_eq!(header, TiffHeader { is_big_endian: true, is_big_tiff: true, first: 16 });
        let directory = header.directory(&mut source, header.first).unwrap();
        let entry = directory.entries[&256];
        assert_eq!((entry.kind, directory.next), (TagType::Whole(8), Some(9)));
        assert_eq!(header.number(&header.value(&mut source, &entry, 8).unwrap()), 0x25);
    }

    #[test]
    fn excessive_claims_are_refused_before_reading() {
        let many = [&b"II+\0\x08\0\0\0\x10\0\0\0\0\0\0\0"[..], &[0xFF; 8]].concat();
        let mut source = Cursor::new(many);
        let header = TiffHeader::read(&mut source).unwrap();
        assert!(header.directory(&mut source, 16).unwrap_err().what.contains("entries"));
        let entry = TagEntry { kind: TagType::Whole(8), count: u64::MAX, field: [0; 8] };
        assert_eq!(header.value(&mut source, &entry, u64::MAX), None);
    }
}
