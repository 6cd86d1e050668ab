//! TIFF: facts from the tags of the largest full page, pixels by strips, rows of tiles or plain rows.
//!
//! Source: TIFF 6.0 and its supplements; BigTIFF by its published layout.

use super::{Descriptor, HeaderSource};
use crate::colour::profile;
use crate::picture::exif::{self, ExifFacts};
use crate::picture::facts::{Compression, Facts, Format, Model, Orientation, Profile, SampleKind};
use crate::picture::metadata::Metadata;
use crate::picture::{Fault, FaultKind, iptc, limits, xmp};
use crate::units::show;

mod chunks;
mod directory;
mod jpeg_chunks;
mod packed;
mod pages;
mod pixels;
mod positioned_reader;

use packed::Packing;
use pages::{Page, Pages, tag};

pub const DESCRIPTOR: Descriptor =
    Descriptor { format: Format::Tiff, sniff, facts, profile: profile_of, open: pixels::open };

/// What photometric interpretation (tag 262) says.
const WHITE_IS_ZERO: u16 = 0;
const BLACK_IS_ZERO: u16 = 1;
const RGB: u16 = 2;
const PALETTE: u16 = 3;
const SEPARATED: u16 = 5;
const YCBCR: u16 = 6;
const CIELAB: u16 = 8;
const ITULAB: u16 = 10;
/// Sensor data, of a colour filter array or made linear. Source: TIFF/EP (ISO 12234-2) and its successors.
pub(super) const SENSOR_DATA: [u16; 2] = [32803, 34892];
/// Compression (tag 259).
const LZW: u16 = 5;
const JPEG: u16 = 7;
const DEFLATE: u16 = 8;
const OLD_DEFLATE: u16 = 32946;
const PACK_BITS: u16 = 32773;

fn sniff(first: &[u8]) -> bool {
    let tiff = [b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"].into_iter().any(|magic| first.starts_with(magic));
    // One family of raw files is a TIFF with its own mark behind the header.
    tiff && first.get(8..10) != Some(b"CR")
}

fn profile_of(source: &mut dyn HeaderSource) -> Option<Vec<u8>> {
    let mut pages = Pages::read(source).ok()?;
    let page = pages.picture();
    pages.bytes(&page, tag::ICC)
}

fn facts(source: &mut dyn HeaderSource, bytes: u64) -> Result<Facts, Fault> {
    let mut pages = Pages::read(source)?;
    if pages.is_sensor_data() {
        let is = "a camera raw file";
        return Err(Fault::new(FaultKind::Other { is }, format!("{is}, not a print picture")));
    }
    let page = pages.picture();
    let mut facts = Facts::unknown(Format::Tiff, bytes);
    facts.pages = pages.full();
    (facts.width_px, facts.height_px) = (page.width_px, page.height_px);
    let storage = Storage::read(&mut pages, &page)?;
    storage.put_into(&mut facts);
    facts.layers = pages.has(&page, tag::EDITOR_LAYERS);
    facts.profile = match pages.bytes(&page, tag::ICC) {
        None if pages.has(&page, tag::ICC) => Profile::Broken("its bytes are not whole in the file".to_owned()),
        None => Profile::None,
        Some(icc) => profile::read(&icc).map_or_else(|fault| Profile::Broken(fault.to_string()), Profile::Embedded),
    };
    let metadata = Metadata {
        exif: exif_facts(&mut pages, &page),
        xmp: pages.bytes(&page, tag::XMP).map(|packet| xmp::read(&packet)).unwrap_or_default(),
        iptc: pages.bytes(&page, tag::IPTC).map(|sets| iptc::read_datasets(&sets)).unwrap_or_default(),
        ..Metadata::default()
    };
    metadata.put_into(&mut facts, None);
    Ok(facts)
}

/// The tags that a JPEG would have in its Exif block.
fn exif_facts(pages: &mut Pages<'_>, page: &Page) -> ExifFacts {
    let mut found = ExifFacts {
        orientation: pages.number(page, tag::ORIENTATION).and_then(Orientation::from_tag),
        creator: pages.text(page, tag::ARTIST),
        copyright: pages.text(page, tag::COPYRIGHT),
        caption: pages.text(page, tag::DESCRIPTION),
        ..ExifFacts::default()
    };
    // Inch is the default where the unit is missing. Source: TIFF 6.0, tag 296.
    let unit = pages.number(page, tag::RESOLUTION_UNIT).unwrap_or(2);
    found.resolution = pages
        .ratio(page, tag::X_RESOLUTION)
        .zip(pages.ratio(page, tag::Y_RESOLUTION))
        .and_then(|(x, y)| exif::in_ppi(x, y, unit));
    if let Some(exif) = pages.directory(page, tag::EXIF) {
        found.colour_space = pages.number(&exif, tag::COLOUR_SPACE).and_then(|value| u16::try_from(value).ok());
        let offset = pages.text(&exif, tag::OFFSET_TIME_ORIGINAL);
        found.taken = pages.text(&exif, tag::DATE_TIME_ORIGINAL).and_then(|when| exif::taken(&when, offset.as_deref()));
        if let Some(interoperability) = pages.directory(&exif, tag::INTEROPERABILITY) {
            found.interoperability = pages.text(&interoperability, tag::INTEROPERABILITY_INDEX);
        }
    }
    if let Some(gps) = pages.directory(page, tag::GPS) {
        found.location = pages.has(&gps, tag::GPS_LATITUDE) || pages.has(&gps, tag::GPS_LONGITUDE);
    }
    found
}

/// How a page's samples are stored.
#[derive(Clone, Debug)]
struct Storage {
    photometric: u16,
    compression: u16,
    bits: Vec<u16>,
    /// Samples in a pixel, all of them.
    samples: u16,
    /// What each extra sample is: 0 unspecified, 1 and 2 alpha.
    extra: Vec<u16>,
    sample_format: u16,
    /// How samples are stored: 1 as they are, 2 as differences from the pixel to the left, 3 for floating point.
    predictor: u16,
    /// The bits of each byte begin with the lowest.
    bits_turned: bool,
    /// Each channel in a plane of its own.
    planar: bool,
    /// Inks other than cyan, magenta, yellow and black.
    other_inks: bool,
    /// Pixels across and down of a tile; a strip is as wide as the picture.
    chunk: (u32, u32),
    tiled: bool,
}

impl Storage {
    fn read(pages: &mut Pages<'_>, page: &Page) -> Result<Storage, Fault> {
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
        let bits_turned = short(tag::FILL_ORDER, 1)? == 2;
        let planar = short(tag::PLANAR, 1)? == 2;
        let other_inks = short(tag::INK_SET, 1)? == 2;
        let side = |value: Option<u32>, all: u32| value.filter(|side| *side > 0).unwrap_or(all);
        let tiled = pages.has(page, tag::TILE_WIDTH);
        let chunk = if tiled {
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
            bits_turned,
            planar,
            other_inks,
            chunk,
            tiled,
        })
    }

    fn model(&self) -> Model {
        match self.photometric {
            WHITE_IS_ZERO | BLACK_IS_ZERO => Model::Grey,
            RGB | YCBCR => Model::Rgb,
            PALETTE => Model::Palette,
            SEPARATED if !self.other_inks => Model::Cmyk,
            CIELAB..=ITULAB => Model::Lab,
            _ => Model::Other,
        }
    }

    /// Samples of colour in a pixel, by the photometric interpretation.
    fn colours(&self) -> u16 {
        match self.model() {
            Model::Grey | Model::Palette => 1,
            Model::Cmyk => 4,
            Model::Rgb | Model::Lab => 3,
            Model::Other => self.samples,
        }
    }

    /// The first sample behind the colours is alpha. RGB with four samples that says nothing of the fourth has alpha,
    /// too: common practice.
    fn alpha(&self) -> bool {
        match self.extra.first() {
            Some(kind) => matches!(kind, 1 | 2) && self.samples > self.colours(),
            None => self.photometric == RGB && self.samples == 4,
        }
    }

    fn bytes_per_sample(&self) -> u64 {
        u64::from(self.bits[0]).div_ceil(8)
    }

    /// Bytes of a row of so many pixels with all their samples.
    fn row_bytes(&self, width_px: u32) -> u64 {
        u64::from(width_px) * u64::from(self.samples) * self.bytes_per_sample()
    }

    fn packing(&self) -> Packing {
        match self.compression {
            LZW => Packing::Lzw,
            DEFLATE | OLD_DEFLATE => Packing::Deflate,
            PACK_BITS => Packing::PackBits,
            _ => Packing::None,
        }
    }

    /// Samples are stored as differences; only LZW and Deflate know them, whatever the tag says beside the others.
    /// Source: TIFF 6.0 section 14, and what other readers do.
    fn has_differences(&self) -> bool {
        self.predictor == 2 && matches!(self.packing(), Packing::Lzw | Packing::Deflate)
    }

    /// Rows can be read straight from the file.
    fn is_plain(&self) -> bool {
        self.compression == 1 && !self.planar && !self.tiled
    }

    fn put_into(&self, facts: &mut Facts) {
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
        facts.alpha = self.alpha();
        facts.extra_channels = self.samples.saturating_sub(self.colours() + u16::from(facts.alpha));
        facts.unmeasurable = self.unmeasurable().map(|what| format!("a {what}"));
        if self.is_plain() {
            // Some rows as they are stored, and once more in this machine's order.
            let row = u64::from(facts.width_px) * u64::from(self.samples) * self.bytes_per_sample();
            facts.held_bytes = row.saturating_mul(2 * u64::from(pixels::BAND_ROWS.min(self.chunk.1)));
        } else {
            // The stored chunk and its samples put in order: twice a strip or a row of tiles.
            let rows = u64::from(self.chunk.1.min(facts.height_px));
            let width = u64::from(facts.width_px).max(u64::from(self.chunk.0));
            // A JPEG may hold its coefficients beside them, and its coded bytes.
            let (more, coded) = if self.compression == JPEG {
                (limits::JPEG_BUFFERED_BYTES, limits::JPEG_CHUNK_BYTES_MOST)
            } else {
                (0, 0)
            };
            let a_sample = 2 * self.bytes_per_sample() + more;
            facts.held_bytes =
                (a_sample * u64::from(self.samples)).saturating_mul(rows * width) + coded.min(facts.bytes);
        }
    }

    /// What cannot be measured, by its name.
    fn unmeasurable(&self) -> Option<String> {
        let named = |words: &str| Some(words.to_owned());
        match self.model() {
            Model::Lab => return named("Lab TIFF"),
            Model::Palette => return named("TIFF with a colour table"),
            Model::Other if self.other_inks => return named("TIFF of special inks"),
            Model::Other => return Some(format!("TIFF of an uncommon kind (photometric {})", self.photometric)),
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
            JPEG if self.bits[0] != 8 || (self.photometric == YCBCR && (self.planar || self.samples != 3)) => {
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
        if self.bits_turned && self.compression != JPEG {
            return named("TIFF whose bytes begin with their lowest bit");
        }
        if self.photometric == WHITE_IS_ZERO && self.samples > 1 {
            return named("white-is-zero TIFF with extra channels");
        }
        None
    }
}

/// Compressions that print files should not have. Source: the registered values of TIFF tag 259.
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

#[cfg(test)]
mod tests;
