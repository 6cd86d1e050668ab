//! Strips and tiles of a TIFF that are JPEGs, with their common tables in a tag. Source: the TIFF 6.0 supplement of
//! 2002, compression 7.

use std::io::{Cursor, Read, Seek, SeekFrom};

use super::positioned_reader::PositionedReader;
use crate::picture::format::jpeg::{Decoding, SampleConversion, end_in_ones, walk};
use crate::picture::{Fault, FaultKind};

/// What a stream of tables ends with, and a chunk begins with. Source: ITU-T T.81.
const END: [u8; 2] = [0xFF, 0xD9];
const START: [u8; 2] = [0xFF, 0xD8];

/// A file of such chunks.
#[derive(Clone)]
pub struct JpegChunks {
    pub file: PositionedReader,
    /// The common tables with their start marker; empty where each chunk has its own.
    pub tables: Vec<u8>,
    /// How the picture says that its samples are stored.
    pub stored: SampleConversion,
}

impl JpegChunks {
    /// Returns the first `width` samples of the first `rows` rows of a chunk of so many samples a pixel, which lies so
    /// far into the file and takes so many bytes. No chunk is larger than `most_px`.
    pub fn read(
        &mut self,
        (at, bytes): (u64, u64),
        (width, rows): (usize, usize),
        channels: usize,
        most_px: (usize, usize),
    ) -> Result<Vec<u8>, Fault> {
        self.file.seek(SeekFrom::Start(at))?;
        let mut coded = self.tables.strip_suffix(&END).unwrap_or(&self.tables).to_vec();
        let mut start = [0; START.len()];
        self.file.read_exact(&mut start)?;
        if coded.is_empty() || start != START {
            coded.extend_from_slice(&start);
        }
        (&mut self.file).take(bytes.saturating_sub(START.len() as u64)).read_to_end(&mut coded)?;
        let markers = walk(&mut Cursor::new(&coded)).map_err(of_chunk)?;
        let coded_end = end_in_ones(&mut coded, &markers).map_err(of_chunk)?;
        let mut decoding = Decoding::begin(&coded, coded_end, most_px, |_, _| self.stored).map_err(of_chunk)?;
        let stored_px = decoding.size_px();
        if decoding.channels() != channels || stored_px.0 < width || stored_px.1 < rows {
            return Err(of_chunk(Fault::new(FaultKind::Damaged, "another size than announced")));
        }
        let (mut chunk, mut some) = (Vec::with_capacity(width * rows * channels), Vec::new());
        while decoding.next_rows(&mut some).map_err(of_chunk)? > 0 {
            for row in some.chunks_exact(stored_px.0 * channels) {
                chunk.extend_from_slice(&row[..width * channels]);
            }
        }
        chunk.truncate(width * rows * channels);
        Ok(chunk)
    }
}

/// Returns what is wrong with a chunk, said of the file that it belongs to.
fn of_chunk(fault: Fault) -> Fault {
    let what = fault.what.strip_prefix("damaged JPEG: ").unwrap_or(&fault.what);
    match fault.kind {
        FaultKind::Damaged => Fault::new(FaultKind::Damaged, format!("damaged TIFF: a strip or tile as JPEG: {what}")),
        FaultKind::Incomplete => Fault::new(FaultKind::Incomplete, format!("a strip or tile as JPEG: {what}")),
        _ => fault,
    }
}
