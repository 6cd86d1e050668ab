//! A TIFF's pixels: uncompressed strips row by row straight from the file, everything else by strips or rows of tiles.
//!
//! Memory stays at a strip or a row of tiles, whatever the picture's size.

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::sync::Arc;

use super::chunks::Chunks;
use super::jpeg_chunks::JpegChunks;
use super::packed::{Packed, StoredSample};
use super::pages::{Pages, tag};
use super::positioned_reader::PositionedReader;
use super::storage::{BAND_ROWS, JPEG, Storage, WHITE_IS_ZERO, YCBCR};
use crate::picture::Fault;
use crate::picture::facts::Facts;
use crate::picture::format::descriptor::{Opened, STILL_CHANGING};
use crate::picture::format::file_digest::file_digest;
use crate::picture::format::jpeg::SampleConversion as StoredJpeg;
use crate::picture::pixels::{Band, Bands, Buffers, SampleLayout, Samples};

pub fn open<'a>(mut file: File, facts: &Facts, buffers: &'a mut Buffers) -> Result<Opened<'a>, Fault> {
    let sha256 = file_digest(&mut file, facts.bytes)?;
    file.seek(SeekFrom::Start(0))?;
    let mut header = BufReader::new(&file);
    let mut pages = Pages::read(&mut header)?;
    let page = pages.picture();
    let storage = Storage::read(&mut pages, &page)?;
    if (page.width_px, page.height_px) != (facts.width_px, facts.height_px) || storage.unmeasurable().is_some() {
        return Err(Fault::truncated(STILL_CHANGING));
    }
    let layout = SampleLayout {
        width_px: page.width_px,
        height_px: page.height_px,
        model: storage.model(),
        has_alpha: storage.alpha(),
    };
    let chunks = Chunks::read(&mut pages, &page, &storage, facts.bytes)?;
    let tables = if storage.compression == JPEG { pages.bytes(&page, tag::JPEG_TABLES) } else { None };
    let is_big_endian = pages.big_endian();
    drop(header);
    if storage.is_plain() {
        let bands = PlainBands { file, layout, storage, offsets: chunks.offsets, is_big_endian, next_row: 0, buffers };
        return Ok(Opened { bands: Box::new(bands), sha256 });
    }
    let file = PositionedReader::new(file);
    let reader = if storage.compression == JPEG {
        let stored = match storage.photometric {
            YCBCR => StoredJpeg::Ycc,
            WHITE_IS_ZERO => StoredJpeg::Inverted,
            _ => StoredJpeg::Plain,
        };
        ChunkReader::Jpeg(JpegChunks { file, tables: tables.unwrap_or_default(), stored })
    } else {
        let (packing, has_differences) = (storage.packing(), storage.has_differences());
        ChunkReader::Packed(Packed { file, packing, is_big_endian, has_differences })
    };
    let stored = Arc::new(ChunkContext { layout, storage, chunks });
    let bands = Box::new(ChunkBands::new(reader, stored));
    Ok(Opened { bands, sha256 })
}

/// Uncompressed strips, read row by row.
struct PlainBands<'a> {
    file: File,
    layout: SampleLayout,
    storage: Storage,
    offsets: Vec<u64>,
    is_big_endian: bool,
    next_row: u32,
    buffers: &'a mut Buffers,
}

impl Bands for PlainBands<'_> {
    fn layout(&self) -> SampleLayout {
        self.layout
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let first_row = self.next_row;
        if first_row == self.layout.height_px {
            return Ok(None);
        }
        let (strip, within) = (first_row / self.storage.chunk.1, first_row % self.storage.chunk.1);
        let rows = BAND_ROWS.min(self.storage.chunk.1 - within).min(self.layout.height_px - first_row);
        self.next_row += rows;
        let row = self.storage.row_bytes(self.layout.width_px);
        let Buffers { samples, wide, .. } = &mut *self.buffers;
        samples.resize(rows as usize * row as usize, 0);
        self.file.seek(SeekFrom::Start(self.offsets[strip as usize] + u64::from(within) * row))?;
        self.file.read_exact(samples)?;
        let (stored, kept) = (usize::from(self.storage.samples), self.layout.channels());
        let inverted = self.storage.photometric == WHITE_IS_ZERO;
        let samples = if self.storage.bytes_per_sample() == 2 {
            wide.clear();
            let read = if self.is_big_endian { u16::from_be_bytes } else { u16::from_le_bytes };
            wide.extend(samples.as_chunks::<2>().0.iter().map(|two| read(*two)));
            keep(wide, stored, kept);
            if inverted {
                wide.iter_mut().for_each(|value| *value = u16::MAX - *value);
            }
            Samples::Sixteen(wide)
        } else {
            keep(samples, stored, kept);
            if inverted {
                samples.iter_mut().for_each(|value| *value = u8::MAX - *value);
            }
            Samples::Eight(samples)
        };
        Ok(Some(Band { first_row, rows, samples }))
    }
}

/// Keeps the first samples of each pixel; the others are spot channels and masks.
fn keep<S: Copy>(samples: &mut Vec<S>, stored: usize, kept: usize) {
    if stored == kept {
        return;
    }
    let pixels = samples.len() / stored;
    for pixel in 0..pixels {
        samples.copy_within(pixel * stored..pixel * stored + kept, pixel * kept);
    }
    samples.truncate(pixels * kept);
}

/// What reads strips and tiles.
#[derive(Clone)]
enum ChunkReader {
    Jpeg(JpegChunks),
    Packed(Packed),
}

/// What all readers of a picture's strips or tiles know.
struct ChunkContext {
    layout: SampleLayout,
    storage: Storage,
    chunks: Chunks,
}

/// Compressed strips and tiles, decoded a strip or a row of tiles at a time.
struct ChunkBands {
    reader: ChunkReader,
    stored: Arc<ChunkContext>,
    /// The next strip or row of tiles, and how many there are from one of ours to the next.
    line: u32,
    step: u32,
    samples: Vec<u8>,
    wide: Vec<u16>,
}

impl ChunkBands {
    const fn new(reader: ChunkReader, stored: Arc<ChunkContext>) -> ChunkBands {
        ChunkBands { reader, stored, line: 0, step: 1, samples: Vec::new(), wide: Vec::new() }
    }
}

impl Bands for ChunkBands {
    fn layout(&self) -> SampleLayout {
        self.stored.layout
    }

    fn share(&mut self) -> Option<Box<dyn Bands + Send>> {
        let ChunkContext { layout, storage, .. } = &*self.stored;
        let shares = self.line == 0 && self.step == 1 && storage.chunk.1 < layout.height_px;
        if !shares {
            return None;
        }
        self.step = 2;
        Some(Box::new(ChunkBands { line: 1, step: 2, ..ChunkBands::new(self.reader.clone(), self.stored.clone()) }))
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let ChunkContext { layout, storage, chunks } = &*self.stored;
        let line = self.line;
        let Some(first_row) = line.checked_mul(storage.chunk.1).filter(|row| *row < layout.height_px) else {
            return Ok(None);
        };
        let rows = storage.chunk.1.min(layout.height_px - first_row);
        let (samples, wide) = (&mut self.samples, &mut self.wide);
        let len = rows as usize * layout.row_len();
        let is_wide = storage.bytes_per_sample() == 2;
        if is_wide {
            wide.resize(len, 0);
        } else {
            samples.resize(len, 0);
        }
        let planes = if storage.is_planar { layout.channels() as u32 } else { 1 };
        for plane in 0..planes {
            for column in 0..chunks.across {
                let index = (plane * chunks.per_plane + line * chunks.across + column) as usize;
                let place = ChunkTarget {
                    row_len: layout.row_len(),
                    channels: layout.channels(),
                    stored: if storage.is_planar { 1 } else { usize::from(storage.samples) },
                    plane: plane as usize,
                    left: column as usize * storage.chunk.0 as usize,
                    width: storage.chunk.0.min(layout.width_px - column * storage.chunk.0) as usize,
                    rows: rows as usize,
                };
                let stands = (chunks.offsets[index], chunks.sizes[index]);
                match &mut self.reader {
                    ChunkReader::Packed(packed) if is_wide => place.read(packed, stands, storage, wide)?,
                    ChunkReader::Packed(packed) => place.read(packed, stands, storage, samples)?,
                    ChunkReader::Jpeg(jpeg) => place.read_jpeg(jpeg, stands, storage, samples)?,
                }
            }
        }
        self.line += self.step;
        let samples = if is_wide { Samples::Sixteen(wide) } else { Samples::Eight(samples) };
        Ok(Some(Band { first_row, rows, samples }))
    }
}

/// Where a chunk's samples go in a band.
struct ChunkTarget {
    row_len: usize,
    channels: usize,
    /// Samples in a pixel of the chunk.
    stored: usize,
    /// The first channel that the chunk holds.
    plane: usize,
    /// Its left edge and size in pixels.
    left: usize,
    width: usize,
    rows: usize,
}

impl ChunkTarget {
    /// Reads a chunk, as far as it lies within the picture.
    fn read<S: StoredSample>(
        &self,
        packed: &mut Packed,
        stands: (u64, u64),
        storage: &Storage,
        band: &mut [S],
    ) -> Result<(), Fault> {
        let inverted = storage.photometric == WHITE_IS_ZERO;
        let shape = (self.rows, storage.chunk.0 as usize * self.stored, self.stored);
        packed.rows(stands, shape, |number, row: &[S]| {
            let to = &mut band[number * self.row_len..][..self.row_len];
            self.put(row, to);
            if inverted {
                to.iter_mut().for_each(|sample| *sample = sample.inverted());
            }
        })
    }

    fn read_jpeg(
        &self,
        jpeg: &mut JpegChunks,
        stands: (u64, u64),
        storage: &Storage,
        band: &mut [u8],
    ) -> Result<(), Fault> {
        let most_px = (storage.chunk.0 as usize, storage.chunk.1 as usize);
        let chunk = jpeg.read(stands, (self.width, self.rows), self.stored, most_px)?;
        if chunk.len() < self.rows * self.width * self.stored {
            return Err(Fault::truncated("the file ends before the picture does"));
        }
        let rows = chunk.chunks_exact(self.width * self.stored).zip(band.chunks_exact_mut(self.row_len));
        rows.for_each(|(from, to)| self.put(from, to));
        Ok(())
    }

    /// Copies a chunk's row to its position in the band's row.
    fn put<S: Copy>(&self, from: &[S], to: &mut [S]) {
        let to = &mut to[self.left * self.channels..][..self.width * self.channels];
        let from = &from[..self.width * self.stored];
        if self.stored == self.channels {
            to.copy_from_slice(from);
            return;
        }
        let kept = self.stored.min(self.channels);
        for (pixel, out) in from.chunks_exact(self.stored).zip(to.chunks_exact_mut(self.channels)) {
            out[self.plane..self.plane + kept].copy_from_slice(&pixel[..kept]);
        }
    }
}
