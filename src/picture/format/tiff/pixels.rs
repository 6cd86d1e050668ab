//! A TIFF's pixels: uncompressed strips row by row straight from the file, everything else by strips or rows of tiles.
//!
//! Memory stays at a strip or a row of tiles, whatever the picture's size.

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::sync::Arc;

use tiff::decoder::{Decoder, DecodingResult};

use super::jpeg_chunks::JpegChunks;
use super::pages::{Page, Pages, bounds, tag};
use super::shared_file::SharedFile;
use super::{JPEG, Storage, WHITE_IS_ZERO, YCBCR, fault};
use crate::picture::facts::{Facts, Format};
use crate::picture::format::jpeg::Stored as StoredJpeg;
use crate::picture::format::{Opened, STILL_CHANGING, file_digest, ycc};
use crate::picture::pixels::{Band, Bands, Buffers, Layout, Samples};
use crate::picture::{Fault, FaultKind, limits};

/// Rows that are read at once from an uncompressed picture.
pub(super) const BAND_ROWS: u32 = 16;
/// What a strip list is read at most: one strip a row of the tallest picture.
const CHUNKS_MOST: u64 = 1 << 20;

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
    let layout =
        Layout { width_px: page.width_px, height_px: page.height_px, model: storage.model(), alpha: storage.alpha() };
    let chunks = Chunks::read(&mut pages, &page, &storage, facts.bytes)?;
    let tables = if storage.compression == JPEG { pages.bytes(&page, tag::JPEG_TABLES) } else { None };
    drop(header);
    if storage.is_plain() {
        let big_endian = is_big_endian(&mut file)?;
        let bands = PlainBands { file, layout, storage, offsets: chunks.offsets, big_endian, next_row: 0, buffers };
        return Ok(Opened { bands: Box::new(bands), sha256 });
    }
    let file = SharedFile::new(file);
    let reader = if storage.compression == JPEG {
        let stored = match storage.photometric {
            YCBCR => StoredJpeg::Ycc,
            WHITE_IS_ZERO => StoredJpeg::Inverted,
            _ => StoredJpeg::Plain,
        };
        Reader::Jpeg(JpegChunks { file, tables: tables.unwrap_or_default(), stored })
    } else {
        Reader::other(file, page.index)?
    };
    let stored = Arc::new(Stored { layout, storage, chunks });
    let bands = Box::new(ChunkBands::new(reader, stored));
    Ok(Opened { bands, sha256 })
}

fn is_big_endian(file: &mut File) -> Result<bool, Fault> {
    let mut first = [0; 2];
    file.seek(SeekFrom::Start(0))?;
    file.read_exact(&mut first)?;
    Ok(&first == b"MM")
}

/// Where strips or tiles stand, checked against the file's end.
struct Chunks {
    offsets: Vec<u64>,
    /// Bytes of each.
    sizes: Vec<u64>,
    /// Chunks side by side.
    across: u32,
    /// Chunks of a plane.
    per_plane: u32,
}

impl Chunks {
    fn read(pages: &mut Pages<'_>, page: &Page, storage: &Storage, file_bytes: u64) -> Result<Chunks, Fault> {
        let (at, sizes) =
            if storage.tiled { (tag::TILE_OFFSETS, tag::TILE_BYTES) } else { (tag::STRIP_OFFSETS, tag::STRIP_BYTES) };
        let offsets = pages.numbers(page, at, CHUNKS_MOST);
        let mut sizes = pages.numbers(page, sizes, CHUNKS_MOST);
        let across = page.width_px.div_ceil(storage.chunk.0);
        let down = page.height_px.div_ceil(storage.chunk.1);
        let planes = if storage.planar { u64::from(storage.samples) } else { 1 };
        if u64::from(across) * u64::from(down) * planes != offsets.len() as u64 {
            return Err(Fault::damaged(Format::Tiff, format!("{} strips or tiles, which cannot be", offsets.len())));
        }
        if storage.is_plain() {
            // Sizes follow from the picture; some writers state them wrongly.
            let row = row_bytes(page.width_px, storage);
            let rows = |strip: u64| {
                u64::from(storage.chunk.1).min(u64::from(page.height_px) - strip * u64::from(storage.chunk.1))
            };
            sizes = (0..offsets.len() as u64).map(|strip| rows(strip) * row).collect();
        }
        let inside = |(at, size): (&u64, &u64)| *at > 0 && at.checked_add(*size).is_some_and(|end| end <= file_bytes);
        if sizes.len() != offsets.len() || !offsets.iter().zip(&sizes).all(inside) {
            return Err(Fault::truncated("the file ends before the picture does"));
        }
        let most = if storage.compression == JPEG { limits::JPEG_CHUNK_BYTES_MOST } else { u64::MAX };
        if sizes.iter().any(|size| *size > most) {
            let what = format!("a strip or tile of more than {} MB as JPEG", most >> 20);
            return Err(Fault::new(FaultKind::TooLarge, what));
        }
        Ok(Chunks { offsets, sizes, across, per_plane: across * down })
    }
}

fn row_bytes(width_px: u32, storage: &Storage) -> u64 {
    u64::from(width_px) * u64::from(storage.samples) * storage.bytes_per_sample()
}

/// Uncompressed strips, read row by row.
struct PlainBands<'a> {
    file: File,
    layout: Layout,
    storage: Storage,
    offsets: Vec<u64>,
    big_endian: bool,
    next_row: u32,
    buffers: &'a mut Buffers,
}

impl Bands for PlainBands<'_> {
    fn layout(&self) -> Layout {
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
        let row = row_bytes(self.layout.width_px, &self.storage);
        let Buffers { samples, wide, .. } = &mut *self.buffers;
        samples.resize(rows as usize * row as usize, 0);
        self.file.seek(SeekFrom::Start(self.offsets[strip as usize] + u64::from(within) * row))?;
        self.file.read_exact(samples)?;
        let (stored, kept) = (usize::from(self.storage.samples), self.layout.channels());
        let inverted = self.storage.photometric == WHITE_IS_ZERO;
        let samples = if self.storage.bytes_per_sample() == 2 {
            wide.clear();
            let read = if self.big_endian { u16::from_be_bytes } else { u16::from_le_bytes };
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
enum Reader {
    Jpeg(JpegChunks),
    Other { decoder: Box<Decoder<BufReader<SharedFile>>>, file: SharedFile, page: usize },
}

impl Reader {
    fn other(file: SharedFile, page: usize) -> Result<Reader, Fault> {
        let mut decoder = Decoder::new(BufReader::new(file.another_at_start())).map_err(fault)?.with_limits(bounds());
        decoder.seek_to_image(page).map_err(fault)?;
        Ok(Reader::Other { decoder: Box::new(decoder), file, page })
    }

    /// Another one of the same page.
    fn another(&self) -> Result<Reader, Fault> {
        match self {
            Reader::Jpeg(jpeg) => Ok(Reader::Jpeg(jpeg.clone())),
            Reader::Other { file, page, .. } => Reader::other(file.clone(), *page),
        }
    }

    /// A strip or tile, as far as it lies within the picture.
    fn read(&mut self, index: u32, place: &Place, stored: &Stored) -> Result<DecodingResult, Fault> {
        match self {
            Reader::Other { decoder, .. } => decoder.read_chunk(index).map_err(fault),
            Reader::Jpeg(jpeg) => {
                let Stored { storage, chunks, .. } = stored;
                let stands = (chunks.offsets[index as usize], chunks.sizes[index as usize]);
                let most_px = (storage.chunk.0 as usize, storage.chunk.1 as usize);
                jpeg.read(stands, (place.width, place.rows), place.stored, most_px).map(DecodingResult::U8)
            }
        }
    }
}

/// What all readers of a picture's strips or tiles know.
struct Stored {
    layout: Layout,
    storage: Storage,
    chunks: Chunks,
}

/// Compressed strips and tiles, decoded a strip or a row of tiles at a time.
struct ChunkBands {
    reader: Reader,
    stored: Arc<Stored>,
    /// The next strip or row of tiles, and how many there are from one of ours to the next.
    line: u32,
    step: u32,
    samples: Vec<u8>,
    wide: Vec<u16>,
}

impl ChunkBands {
    const fn new(reader: Reader, stored: Arc<Stored>) -> ChunkBands {
        ChunkBands { reader, stored, line: 0, step: 1, samples: Vec::new(), wide: Vec::new() }
    }
}

impl Bands for ChunkBands {
    fn layout(&self) -> Layout {
        self.stored.layout
    }

    fn share(&mut self) -> Option<Box<dyn Bands + Send>> {
        let Stored { layout, storage, .. } = &*self.stored;
        let shares = self.line == 0 && self.step == 1 && storage.chunk.1 < layout.height_px;
        if !shares {
            return None;
        }
        // Where a second decoder cannot be had, the first reads all.
        let reader = self.reader.another().ok()?;
        self.step = 2;
        Some(Box::new(ChunkBands { line: 1, step: 2, ..ChunkBands::new(reader, self.stored.clone()) }))
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let Stored { layout, storage, chunks } = &*self.stored;
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
        let planes = if storage.planar { layout.channels() as u32 } else { 1 };
        for plane in 0..planes {
            for column in 0..chunks.across {
                let index = plane * chunks.per_plane + line * chunks.across + column;
                let place = Place {
                    row_len: layout.row_len(),
                    channels: layout.channels(),
                    stored: if storage.planar { 1 } else { usize::from(storage.samples) },
                    plane: plane as usize,
                    left: column as usize * storage.chunk.0 as usize,
                    width: storage.chunk.0.min(layout.width_px - column * storage.chunk.0) as usize,
                    rows: rows as usize,
                };
                match self.reader.read(index, &place, &self.stored)? {
                    DecodingResult::U8(mut chunk) if !is_wide => {
                        // JPEGs bring their brightness and colour differences back to RGB themselves.
                        if storage.photometric == YCBCR && storage.compression != JPEG {
                            chunk.as_chunks_mut::<3>().0.iter_mut().for_each(|pixel| *pixel = ycc::pixel(*pixel));
                        }
                        place.put(&chunk, samples)?;
                    }
                    DecodingResult::U16(chunk) if is_wide => place.put(&chunk, wide)?,
                    _ => return Err(Fault::damaged(Format::Tiff, "a strip or tile of another depth than announced")),
                }
            }
        }
        self.line += self.step;
        let samples = if is_wide { Samples::Sixteen(wide) } else { Samples::Eight(samples) };
        Ok(Some(Band { first_row, rows, samples }))
    }
}

/// Where a chunk's samples go in a band.
struct Place {
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

impl Place {
    fn put<S: Copy>(&self, chunk: &[S], band: &mut [S]) -> Result<(), Fault> {
        if chunk.len() < self.rows * self.width * self.stored {
            return Err(Fault::truncated("the file ends before the picture does"));
        }
        let kept = self.stored.min(self.channels);
        let rows = chunk.chunks_exact(self.width * self.stored).zip(band.chunks_exact_mut(self.row_len));
        for (from, to) in rows {
            let to = &mut to[self.left * self.channels..][..self.width * self.channels];
            if self.stored == self.channels {
                to.copy_from_slice(from);
                continue;
            }
            for (pixel, out) in from.chunks_exact(self.stored).zip(to.chunks_exact_mut(self.channels)) {
                out[self.plane..self.plane + kept].copy_from_slice(&pixel[..kept]);
            }
        }
        Ok(())
    }
}
