//! Strips and tiles of a TIFF that are JPEGs, with their common tables in a tag. Source: the TIFF 6.0 supplement of
//! 2002, compression 7.

use std::io::{Read, Seek, SeekFrom};

use super::shared_file::SharedFile;
use crate::picture::Fault;
use crate::picture::facts::Format;
use crate::picture::format::jpeg::{Decoding, Stored};

/// What a stream of tables ends with, and a chunk begins with. Source: ITU-T T.81.
const END: [u8; 2] = [0xFF, 0xD9];
const START: [u8; 2] = [0xFF, 0xD8];

/// A file of such chunks.
#[derive(Clone)]
pub struct JpegChunks {
    pub file: SharedFile,
    /// The common tables with their start marker; empty where each chunk has its own.
    pub tables: Vec<u8>,
    /// Whether the picture says that it holds brightness and colour differences.
    pub is_ycc: bool,
}

impl JpegChunks {
    /// The first `width` samples of the first `rows` rows of a chunk of so many samples a pixel, which stands so far
    /// into the file and takes so many bytes. No chunk is larger than `most_px`.
    pub fn read(
        &mut self,
        (at, bytes): (u64, u64),
        (width, rows): (usize, usize),
        channels: usize,
        most_px: (usize, usize),
    ) -> Result<Vec<u8>, Fault> {
        self.file.seek(SeekFrom::Start(at))?;
        let mut coded = self.tables.strip_suffix(&END).unwrap_or(&self.tables).to_vec();
        let mut own = Vec::new();
        (&mut self.file).take(bytes).read_to_end(&mut own)?;
        coded.extend_from_slice(if coded.is_empty() { &own } else { own.strip_prefix(&START).unwrap_or(&own) });
        let stored = if self.is_ycc { Stored::Ycc } else { Stored::Plain };
        let mut decoding = Decoding::begin(&coded, most_px, |_, _| stored)?;
        let stored_px = decoding.size_px();
        if decoding.channels() != channels || stored_px.0 < width || stored_px.1 < rows {
            return Err(Fault::damaged(Format::Tiff, "a strip or tile of another size than announced"));
        }
        let (mut chunk, mut some) = (Vec::with_capacity(width * rows * channels), Vec::new());
        while decoding.next_rows(&mut some)? > 0 {
            for row in some.chunks_exact(stored_px.0 * channels) {
                chunk.extend_from_slice(&row[..width * channels]);
            }
        }
        chunk.truncate(width * rows * channels);
        Ok(chunk)
    }
}
