//! A TIFF's pages and their tags: bounded in number and size, rings refused.
//!
//! Damaged metadata tags count as missing; what the picture itself needs is checked by its reader.

use std::rc::Rc;

use super::directory::{Directory, TagEntry, TagType, TiffHeader};
use crate::picture::facts::Format;
use crate::picture::format::descriptor::HeaderSource;
use crate::picture::{Fault, exif, limits};

/// Tag numbers. Source: TIFF 6.0, its supplements, Exif 2.3, and the registered private tags.
pub mod tag {
    pub const SUBFILE: u16 = 254;
    pub const WIDTH: u16 = 256;
    pub const LENGTH: u16 = 257;
    pub const BITS: u16 = 258;
    pub const COMPRESSION: u16 = 259;
    pub const PHOTOMETRIC: u16 = 262;
    pub const FILL_ORDER: u16 = 266;
    pub const DESCRIPTION: u16 = 270;
    pub const STRIP_OFFSETS: u16 = 273;
    pub const ORIENTATION: u16 = 274;
    pub const SAMPLES: u16 = 277;
    pub const ROWS_PER_STRIP: u16 = 278;
    pub const STRIP_BYTES: u16 = 279;
    pub const X_RESOLUTION: u16 = 282;
    pub const Y_RESOLUTION: u16 = 283;
    pub const PLANAR: u16 = 284;
    pub const RESOLUTION_UNIT: u16 = 296;
    pub const ARTIST: u16 = 315;
    pub const PREDICTOR: u16 = 317;
    pub const TILE_WIDTH: u16 = 322;
    pub const TILE_LENGTH: u16 = 323;
    pub const TILE_OFFSETS: u16 = 324;
    pub const TILE_BYTES: u16 = 325;
    pub const SUB_PAGES: u16 = 330;
    pub const INK_SET: u16 = 332;
    pub const EXTRA_SAMPLES: u16 = 338;
    pub const SAMPLE_FORMAT: u16 = 339;
    pub const JPEG_TABLES: u16 = 347;
    pub const XMP: u16 = 700;
    pub const COPYRIGHT: u16 = 33432;
    pub const IPTC: u16 = 33723;
    pub const EXIF: u16 = 34665;
    pub const ICC: u16 = 34675;
    pub const GPS: u16 = 34853;
    pub const DATE_TIME_ORIGINAL: u16 = 0x9003;
    pub const OFFSET_TIME_ORIGINAL: u16 = 0x9011;
    pub const EDITOR_LAYERS: u16 = 37724;
    pub const COLOUR_SPACE: u16 = 0xA001;
    pub const INTEROPERABILITY: u16 = 0xA005;
    pub const RAW_VERSION: u16 = 50706;
    pub const INTEROPERABILITY_INDEX: u16 = 1;
    pub const GPS_LATITUDE: u16 = 2;
    pub const GPS_LONGITUDE: u16 = 4;
    pub const GPS_DEST_LATITUDE: u16 = 20;
    pub const GPS_DEST_LONGITUDE: u16 = 22;
}

/// Sensor data, of a colour filter array or made linear. Source: TIFF/EP (ISO 12234-2) and its successors.
const SENSOR_DATA: [u16; 2] = [32803, 34892];
/// NewSubfileType: a smaller version of another page, or a mask. Source: TIFF 6.0, tag 254.
const REDUCED: u32 = 1;
const MASK: u32 = 4;
/// Entries of a short list that is read: no pixel has more samples.
const MAX_LIST: u64 = 4_096;

/// A directory; of a page or within one.
#[derive(Clone, Debug)]
pub struct Page {
    directory: Rc<Directory>,
    /// Width in pixels; 0 for directories within a page.
    pub width_px: u32,
    /// Height in pixels; 0 for directories within a page.
    pub height_px: u32,
    is_full_size: bool,
}

/// An open file's pages.
pub struct Pages<'a> {
    source: &'a mut dyn HeaderSource,
    header: TiffHeader,
    pages: Vec<Page>,
}

impl<'a> Pages<'a> {
    /// Reads the directories of all pages; at least one.
    pub fn read(source: &'a mut dyn HeaderSource) -> Result<Pages<'a>, Fault> {
        let header = TiffHeader::read(source)?;
        let mut pages = Pages { source, header, pages: Vec::new() };
        let mut seen = Vec::new();
        let mut next = Some(header.first).filter(|first| *first > 0);
        while let Some(at) = next {
            if seen.contains(&at) {
                return Err(Fault::damaged(Format::Tiff, "its pages form a ring"));
            }
            if seen.len() == limits::MAX_TIFF_PAGES {
                let most = limits::MAX_TIFF_PAGES;
                return Err(Fault::damaged(Format::Tiff, format!("more than {most} pages")));
            }
            seen.push(at);
            let directory = header.directory(&mut *pages.source, at)?;
            next = directory.next;
            let mut page = Page { directory: Rc::new(directory), width_px: 0, height_px: 0, is_full_size: false };
            page.width_px = pages.number(&page, tag::WIDTH).unwrap_or(0);
            page.height_px = pages.number(&page, tag::LENGTH).unwrap_or(0);
            page.is_full_size = pages.number(&page, tag::SUBFILE).unwrap_or(0) & (REDUCED | MASK) == 0;
            if page.width_px > 0 && page.height_px > 0 {
                pages.pages.push(page);
            }
        }
        if pages.pages.is_empty() {
            return Err(Fault::damaged(Format::Tiff, "no page has a width and a height"));
        }
        Ok(pages)
    }

    /// Returns the picture: the largest full page, the first of equals; where none is full, the largest at all.
    pub fn picture(&self) -> Page {
        let area = |page: &Page| u64::from(page.width_px) * u64::from(page.height_px);
        let mut best = &self.pages[0];
        for page in &self.pages[1..] {
            if (page.is_full_size, area(page)) > (best.is_full_size, area(best)) {
                best = page;
            }
        }
        best.clone()
    }

    /// Returns the full pages; at least 1.
    pub fn full_pages(&self) -> u32 {
        self.pages.iter().filter(|page| page.is_full_size).count().max(1) as u32
    }

    /// True if this is a camera's raw file: it says so, or a page or a page within one holds sensor data.
    pub fn is_sensor_data(&mut self) -> bool {
        let pages = self.pages.clone();
        pages.iter().any(|page| {
            self.has(page, tag::RAW_VERSION) || self.holds_sensor_data(page) || {
                let within = self.pointers(page, tag::SUB_PAGES);
                within.into_iter().any(|pointer| {
                    let inner = self.within(pointer);
                    inner.is_some_and(|inner| self.holds_sensor_data(&inner))
                })
            }
        })
    }

    fn holds_sensor_data(&mut self, page: &Page) -> bool {
        self.number(page, tag::PHOTOMETRIC)
            .is_some_and(|value| SENSOR_DATA.iter().any(|kind| u32::from(*kind) == value))
    }

    /// True if a tag is there.
    pub fn has(&self, page: &Page, number: u16) -> bool {
        page.directory.entries.contains_key(&number)
    }

    /// Returns the first number of a tag of whole numbers.
    pub fn number(&mut self, page: &Page, number: u16) -> Option<u32> {
        self.numbers(page, number, 1).first().and_then(|value| u32::try_from(*value).ok())
    }

    /// Returns a list of short numbers; empty if it is missing or damaged.
    pub fn shorts(&mut self, page: &Page, number: u16) -> Vec<u16> {
        self.numbers(page, number, MAX_LIST).into_iter().filter_map(|value| u16::try_from(value).ok()).collect()
    }

    /// Returns the value of a tag that is a ratio.
    pub fn ratio(&mut self, page: &Page, number: u16) -> Option<f64> {
        let (_, bytes) = self.value(page, number).filter(|(kind, _)| *kind == TagType::Ratio)?;
        let &[over, under] = bytes.first_chunk::<8>()?.as_chunks::<4>().0 else { return None };
        let [over, under] = [over, under].map(|part| self.header.number(&part) as f64);
        (under > 0.0).then(|| over / under)
    }

    /// Returns the value of a tag that is a text.
    pub fn text(&mut self, page: &Page, number: u16) -> Option<String> {
        let bytes = self.bytes(page, number)?;
        let parts = bytes.split(|byte| *byte == 0).filter_map(|part| limits::text(&exif::decode_text(part)));
        limits::text(&parts.collect::<Vec<_>>().join(", "))
    }

    /// Returns a tag's bytes as they are stored.
    pub fn bytes(&mut self, page: &Page, number: u16) -> Option<Vec<u8>> {
        Some(self.value(page, number)?.1)
    }

    /// Returns the directory that a tag points to.
    pub fn directory(&mut self, page: &Page, number: u16) -> Option<Page> {
        let pointer = *self.pointers(page, number).first()?;
        self.within(pointer)
    }

    fn within(&mut self, pointer: u64) -> Option<Page> {
        let directory = self.header.directory(&mut *self.source, pointer).ok()?;
        Some(Page { directory: Rc::new(directory), width_px: 0, height_px: 0, is_full_size: false })
    }

    fn pointers(&mut self, page: &Page, number: u16) -> Vec<u64> {
        let mut pointers = self.numbers(page, number, MAX_LIST);
        pointers.truncate(limits::MAX_TIFF_PAGES);
        pointers
    }

    /// Returns up to `most` whole numbers of a tag.
    pub fn numbers(&mut self, page: &Page, number: u16, most: u64) -> Vec<u64> {
        let Some((TagType::Whole(each), bytes)) = self.value(page, number) else { return Vec::new() };
        let most = usize::try_from(most).unwrap_or(usize::MAX);
        bytes.chunks_exact(each).take(most).map(|item| self.header.number(item)).collect()
    }

    /// True if numbers of the file's pixels are stored with their high byte first.
    pub const fn big_endian(&self) -> bool {
        self.header.is_big_endian
    }

    fn value(&mut self, page: &Page, number: u16) -> Option<(TagType, Vec<u8>)> {
        let entry: TagEntry = *page.directory.entries.get(&number)?;
        let bytes = self.header.value(&mut *self.source, &entry, limits::MAX_TIFF_TAG_BYTES as u64)?;
        Some((entry.kind, bytes))
    }
}
