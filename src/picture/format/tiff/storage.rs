//! How a TIFF's samples are stored, as its tags say, and what of that cannot be measured.
//!
//! Source: TIFF 6.0 and its supplements.

use super::packed::Packing;
use super::pages::{Page, Pages, tag};
use crate::picture::facts::{ColourModel, Compression, Facts, Format, SampleKind};
use crate::picture::{Fault, limits};
use crate::units::show;

/// Rows that are read at once from an uncompressed picture.
pub const BAND_ROWS: u32 = 16;
/// What photometric interpretation (tag 262) says.
pub const WHITE_IS_ZERO: u16 = 0;
const BLACK_IS_ZERO: u16 = 1;
const RGB: u16 = 2;
const PALETTE: u16 = 3;
const SEPARATED: u16 = 5;
pub const YCBCR: u16 = 6;
const CIELAB: u16 = 8;
const ITULAB: u16 = 10;
/// Compression (tag 259).
const LZW: u16 = 5;
pub const JPEG: u16 = 7;
const DEFLATE: u16 = 8;
const OLD_DEFLATE: u16 = 32946;
const PACK_BITS: u16 = 32773;

/// How a page's samples are stored.
#[derive(Clone, Debug)]
pub struct Storage {
    pub photometric: u16,
    pub compression: u16,
    pub bits: Vec<u16>,
    /// Samples in a pixel, all of them.
    pub samples: u16,
    /// What each extra sample is: 0 unspecified, 1 and 2 alpha.
    pub extra: Vec<u16>,
    pub sample_format: u16,
    /// How samples are stored: 1 as they are, 2 as differences from the pixel to the left, 3 for floating point.
    pub predictor: u16,
    /// The bits of each byte begin with the lowest.
    pub are_bits_reversed: bool,
    /// Each channel in a plane of its own.
    pub is_planar: bool,
    /// Inks other than cyan, magenta, yellow and black.
    pub has_other_inks: bool,
    /// Pixels across and down of a tile; a strip is as wide as the picture.
    pub chunk: (u32, u32),
    pub is_tiled: bool,
}

impl Storage {
    pub fn read(pages: &mut Pages<'_>, page: &Page) -> Result<Storage, Fault> {
        let mut short = |number, default: u16| match pages.number(page, number) {
            None => Ok(default),
            Some(value) => {
                u16::try_from(value).map_err(|_| Fault::damaged(Format::Tiff, format!("its tag {number} says {value}")))
            }
        };
        // A missing photometric is black-is-zero to most readers, though the standard asks for one.
        let photometric = short(tag::PHOTOMETRIC, BLACK_IS_ZERO)?;
        let compression = short(tag::COMPRESSION, 1)?;
        let samples = short(tag::SAMPLES, 1)?;
        let sample_format = short(tag::SAMPLE_FORMAT, 1)?;
        let predictor = short(tag::PREDICTOR, 1)?;
        let are_bits_reversed = short(tag::FILL_ORDER, 1)? == 2;
        let is_planar = short(tag::PLANAR, 1)? == 2;
        let has_other_inks = short(tag::INK_SET, 1)? == 2;
        let side = |value: Option<u32>, all: u32| value.filter(|side| *side > 0).unwrap_or(all);
        let is_tiled = pages.has(page, tag::TILE_WIDTH);
        let chunk = if is_tiled {
            let across = side(pages.number(page, tag::TILE_WIDTH), page.width_px);
            (across, side(pages.number(page, tag::TILE_LENGTH), page.height_px))
        } else {
            let rows = side(pages.number(page, tag::ROWS_PER_STRIP), page.height_px);
            (page.width_px, rows.min(page.height_px))
        };
        let bits = pages.shorts(page, tag::BITS);
        let extra = pages.shorts(page, tag::EXTRA_SAMPLES);
        let bits = if bits.is_empty() { vec![1] } else { bits };
        Ok(Storage {
            photometric,
            compression,
            bits,
            samples,
            extra,
            sample_format,
            predictor,
            are_bits_reversed,
            is_planar,
            has_other_inks,
            chunk,
            is_tiled,
        })
    }

    pub fn model(&self) -> ColourModel {
        match self.photometric {
            WHITE_IS_ZERO | BLACK_IS_ZERO => ColourModel::Grey,
            RGB | YCBCR => ColourModel::Rgb,
            PALETTE => ColourModel::Palette,
            SEPARATED if !self.has_other_inks => ColourModel::Cmyk,
            CIELAB..=ITULAB => ColourModel::Lab,
            _ => ColourModel::Other,
        }
    }

    /// Samples of colour in a pixel, by the photometric interpretation.
    pub fn colours(&self) -> u16 {
        match self.model() {
            ColourModel::Grey | ColourModel::Palette => 1,
            ColourModel::Cmyk => 4,
            ColourModel::Rgb | ColourModel::Lab => 3,
            ColourModel::Other => self.samples,
        }
    }

    /// True if the first sample behind the colours is alpha. RGB with four samples that says nothing of the fourth has
    /// alpha, too: common practice.
    pub fn alpha(&self) -> bool {
        match self.extra.first() {
            Some(kind) => matches!(kind, 1 | 2) && self.samples > self.colours(),
            None => self.photometric == RGB && self.samples == 4,
        }
    }

    pub fn bytes_per_sample(&self) -> u64 {
        u64::from(self.bits[0]).div_ceil(8)
    }

    /// Returns the bytes of a row of this many pixels with all their samples.
    pub fn row_bytes(&self, width_px: u32) -> u64 {
        u64::from(width_px) * u64::from(self.samples) * self.bytes_per_sample()
    }

    pub fn packing(&self) -> Packing {
        match self.compression {
            LZW => Packing::Lzw,
            DEFLATE | OLD_DEFLATE => Packing::Deflate,
            PACK_BITS => Packing::PackBits,
            _ => Packing::None,
        }
    }

    /// Samples are stored as differences; only LZW and Deflate know them, whatever the tag says beside the others.
    /// Source: TIFF 6.0 section 14, and what other readers do.
    pub fn has_differences(&self) -> bool {
        self.predictor == 2 && matches!(self.packing(), Packing::Lzw | Packing::Deflate)
    }

    /// True if rows can be read straight from the file.
    pub fn is_plain(&self) -> bool {
        self.compression == 1 && !self.is_planar && !self.is_tiled
    }

    pub fn put_into(&self, facts: &mut Facts) {
        facts.compression = match self.compression {
            1 => Compression::None,
            LZW => Compression::Lzw,
            DEFLATE | OLD_DEFLATE => Compression::Deflate,
            PACK_BITS => Compression::PackBits,
            JPEG => Compression::Jpeg,
            other => Compression::Other(other),
        };
        facts.model = self.model();
        facts.bits = self.bits[0];
        facts.sample = match self.sample_format {
            2 | 5 => SampleKind::Signed,
            3 | 6 => SampleKind::Float,
            _ => SampleKind::Unsigned,
        };
        facts.has_alpha = self.alpha();
        facts.extra_channels = self.samples.saturating_sub(self.colours() + u16::from(facts.has_alpha));
        facts.unmeasurable = self.unmeasurable().map(|what| format!("a {what}"));
        if self.is_plain() {
            // Some rows as they are stored, and once more in this machine's order.
            let row = u64::from(facts.width_px) * u64::from(self.samples) * self.bytes_per_sample();
            facts.held_bytes = row.saturating_mul(2 * u64::from(BAND_ROWS.min(self.chunk.1)));
        } else {
            // The stored chunk and its samples put in order: twice a strip or a row of tiles.
            let rows = u64::from(self.chunk.1.min(facts.height_px));
            let width = u64::from(facts.width_px).max(u64::from(self.chunk.0));
            // A JPEG may hold its coefficients beside them, and its coded bytes.
            let (more, coded) = if self.compression == JPEG {
                (limits::JPEG_BUFFERED_BYTES, limits::MAX_JPEG_CHUNK_BYTES)
            } else {
                (0, 0)
            };
            let a_sample = 2 * self.bytes_per_sample() + more;
            facts.held_bytes =
                (a_sample * u64::from(self.samples)).saturating_mul(rows * width) + coded.min(facts.bytes);
        }
    }

    /// Returns why the pixels cannot be measured, naming what is not supported.
    pub fn unmeasurable(&self) -> Option<String> {
        let named = |words: &str| Some(words.to_owned());
        match self.model() {
            ColourModel::Lab => return named("Lab TIFF"),
            ColourModel::Palette => return named("TIFF with a colour table"),
            ColourModel::Other if self.has_other_inks => return named("TIFF of special inks"),
            ColourModel::Other => return Some(format!("TIFF of an uncommon kind (photometric {})", self.photometric)),
            _ => {}
        }
        if self.bits.iter().any(|bits| *bits != self.bits[0]) {
            return named("TIFF whose channels differ in depth");
        }
        match (self.sample_format, self.bits[0]) {
            (3 | 6, bits) => return Some(format!("{bits}-bit floating-point TIFF")),
            (2 | 5, bits) => return Some(format!("TIFF of signed {bits}-bit numbers")),
            (_, 8 | 16) => {}
            (_, 1) => return named("1-bit TIFF (line art)"),
            (_, bits) => return Some(format!("{bits}-bit TIFF")),
        }
        if self.samples < self.colours() {
            let channels = show::count(usize::from(self.samples), "channel", "channels");
            return Some(format!("TIFF of {channels} where its colours need {}", self.colours()));
        }
        match self.compression {
            JPEG if self.bits[0] != 8 || (self.photometric == YCBCR && (self.is_planar || self.samples != 3)) => {
                return named("JPEG-compressed TIFF of an uncommon kind");
            }
            1 | LZW | DEFLATE | OLD_DEFLATE | PACK_BITS | JPEG => {}
            other => return Some(format!("TIFF compressed by {}", compression_name(other))),
        }
        if self.photometric == YCBCR && self.compression != JPEG {
            return named("YCbCr TIFF without JPEG compression");
        }
        if matches!(self.packing(), Packing::Lzw | Packing::Deflate) && !matches!(self.predictor, 1 | 2) {
            return Some(format!("TIFF with an uncommon predictor ({})", self.predictor));
        }
        if self.are_bits_reversed && self.compression != JPEG {
            return named("TIFF whose bytes begin with their lowest bit");
        }
        if self.photometric == WHITE_IS_ZERO && self.samples > 1 {
            return named("white-is-zero TIFF with extra channels");
        }
        None
    }
}

/// Names the compressions that print files should not have. Source: the registered values of TIFF tag 259.
fn compression_name(number: u16) -> String {
    let name = match number {
        2..=4 => "a fax method",
        6 => "the old JPEG method",
        34712 | 33003 | 33004 | 33005 => "JPEG 2000",
        34887 => "LERC",
        34925 => "LZMA",
        50000 => "ZSTD",
        50001 => "WebP",
        50002 | 52546 => "JPEG XL",
        other => return format!("method {other}"),
    };
    name.to_owned()
}
