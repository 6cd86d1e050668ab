//! PNG: facts and rows through the png crate. Source: W3C PNG Third Edition.
//!
//! Facts come from the chunks before the pixels; metadata may also be behind them (`picture/format/png/texts.rs`).

use std::fmt::Display;
use std::fs::File;
use std::io::{BufReader, Seek, SeekFrom};

use png::{BitDepth, ColorType, Decoder, DecodingError, Info, Limits, Reader, Transformations, Unit};

use super::descriptor::{Descriptor, HeaderSource, Opened, STILL_CHANGING};
use super::file_digest::file_digest;
use crate::colour::{Encoding, profile};
use crate::picture::claim::{Claim, ClaimSource};
use crate::picture::exif;
use crate::picture::facts::{ColourModel, Compression, EmbeddedProfile, Facts, Format, ResolutionTag};
use crate::picture::metadata::Metadata;
use crate::picture::pixels::{Band, Bands, Buffers, SampleLayout, Samples};
use crate::picture::{Fault, iptc, limits, xmp};

mod texts;

pub const DESCRIPTOR: Descriptor = Descriptor { format: Format::Png, sniff, facts, profile: profile_of, open };

/// Metres in an inch.
const METRES_PER_INCH: f64 = 0.0254;
/// cICP: primaries, transfer. Source: ITU-T H.273 tables 2 and 3.
const CICP_SRGB: (u8, u8) = (1, 13);
const CICP_DISPLAY_P3: (u8, u8) = (12, 13);
/// Largest difference between a chromaticity or gamma and the encoding's: five decimals are stored, some round to
/// three.
const CHROMATICITY_TOLERANCE: f64 = 0.001;
const GAMMA_TOLERANCE: f64 = 0.001;

fn sniff(first: &[u8]) -> bool {
    first.starts_with(b"\x89PNG\r\n\x1a\n")
}

fn reader<S: HeaderSource>(source: S) -> Result<Reader<S>, Fault> {
    let mut decoder = Decoder::new_with_limits(source, Limits { bytes: limits::MAX_PNG_CHUNK_BYTES });
    // They are read by ourselves, so that a damaged one does not make the picture unreadable.
    decoder.set_ignore_text_chunk(true);
    // Palette, small greys and transparency expand to whole samples.
    decoder.set_transformations(Transformations::EXPAND);
    decoder
        .read_info()
        .map_err(|error| fault(error, "its header, or a chunk before its pixels, contradicts the format"))
}

/// Translates an error of the decoder into words of ours; `what` names what is damaged.
fn fault(error: DecodingError, what: impl Display) -> Fault {
    match error {
        DecodingError::IoError(error) => error.into(),
        DecodingError::LimitsExceeded => {
            Fault::damaged(Format::Png, "its chunks ask for more memory than any picture needs")
        }
        DecodingError::Format(_) | DecodingError::Parameter(_) => Fault::damaged(Format::Png, what),
    }
}

fn profile_of(source: &mut dyn HeaderSource) -> Option<Vec<u8>> {
    reader(source).ok()?.info().icc_profile.as_ref().map(|icc| icc.to_vec())
}

fn facts(source: &mut dyn HeaderSource, bytes: u64) -> Result<Facts, Fault> {
    let reader = reader(&mut *source)?;
    let info = reader.info();
    let mut facts = Facts::unknown(Format::Png, bytes);
    facts.compression = Compression::Deflate;
    (facts.width_px, facts.height_px) = (info.width, info.height);
    // A colour table's entries have 8 bits a channel, however few bits point to them.
    facts.bits = if info.color_type == ColorType::Indexed { 8 } else { info.bit_depth as u16 };
    facts.model = match info.color_type {
        ColorType::Grayscale | ColorType::GrayscaleAlpha => ColourModel::Grey,
        ColorType::Rgb | ColorType::Rgba => ColourModel::Rgb,
        ColorType::Indexed => ColourModel::Palette,
    };
    facts.has_alpha = matches!(info.color_type, ColorType::GrayscaleAlpha | ColorType::Rgba) || info.trns.is_some();
    if let Some(animation) = info.animation_control {
        // The still picture is no frame of the animation where no frame control stands before it.
        facts.pages = animation.num_frames.saturating_add(u32::from(info.frame_control.is_none()));
    }
    if info.interlaced {
        let row = reader.output_line_size(info.width).unwrap_or(usize::MAX);
        // 16-bit samples are held a second time, in this machine's order.
        let times = if info.bit_depth == BitDepth::Sixteen { 2 } else { 1 };
        facts.held_bytes = (times * row as u64).saturating_mul(u64::from(info.height));
    }
    facts.profile = match &info.icc_profile {
        None => EmbeddedProfile::None,
        Some(icc) => profile::read(icc)
            .map_or_else(|fault| EmbeddedProfile::Broken(fault.to_string()), EmbeddedProfile::Embedded),
    };
    colour(info, &mut facts);
    let container = info.pixel_dims.filter(|dims| dims.unit == Unit::Meter).and_then(|dims| {
        ResolutionTag::new(f64::from(dims.xppu) * METRES_PER_INCH, f64::from(dims.yppu) * METRES_PER_INCH)
    });
    drop(reader);
    let texts = texts::read(source);
    let xmp = texts.xmp.map(|packet| xmp::read(&packet)).unwrap_or_default();
    let mut exif = texts.exif.map(exif::read).unwrap_or_default();
    exif.orientation = exif.orientation.or(xmp.orientation);
    let iptc = texts.iptc.map(|blocks| iptc::read(&blocks)).unwrap_or_default();
    let metadata = Metadata { exif, xmp, iptc, texts: texts.named };
    // The standard gives eXIf no say in size or turning, yet programs write and obey it: read like a JPEG's.
    metadata.put_into(&mut facts, container);
    Ok(facts)
}

/// Reads what the colour chunks claim, in the standard's order: cICP, iCCP, sRGB, gAMA with cHRM.
fn colour(info: &Info<'_>, facts: &mut Facts) {
    if let Some(code) = info.coding_independent_code_points {
        let encoding = match (code.color_primaries, code.transfer_function) {
            CICP_SRGB => Some(Encoding::Srgb),
            CICP_DISPLAY_P3 => Some(Encoding::DisplayP3),
            _ => None,
        };
        match encoding {
            Some(encoding) => facts.claim = Some(Claim { encoding, source: ClaimSource::PngCicp }),
            None => {
                facts.unmeasurable = Some(format!(
                    "a PNG in a video colour encoding (cICP {}, {})",
                    code.color_primaries, code.transfer_function
                ));
            }
        }
        return;
    }
    if facts.profile != EmbeddedProfile::None {
        return;
    }
    facts.claim = if info.srgb.is_some() {
        Some(Claim { encoding: Encoding::Srgb, source: ClaimSource::PngSrgb })
    } else {
        gamma_and_primaries(info).map(|encoding| Claim { encoding, source: ClaimSource::PngGamma })
    };
}

fn gamma_and_primaries(info: &Info<'_>) -> Option<Encoding> {
    let (gamma, found) = (info.gama_chunk?.into_value(), info.chrm_chunk?);
    let found = [found.white, found.red, found.green, found.blue];
    let found = found.map(|(x, y)| [f64::from(x.into_value()), f64::from(y.into_value())]);
    [Encoding::Srgb, Encoding::AdobeRgb].into_iter().find(|encoding| {
        let [red, green, blue] = encoding.primaries_xy();
        let wanted = [encoding.white_xy(), red, green, blue];
        let near = |(a, b): (&f64, &f64)| (a - b).abs() <= CHROMATICITY_TOLERANCE;
        // 45455 means sRGB's curve in the standard's own table, and is Adobe RGB's power within the tolerance.
        let same_gamma = (f64::from(gamma) - 1.0 / 2.2).abs() <= GAMMA_TOLERANCE;
        same_gamma && found.as_flattened().iter().zip(wanted.as_flattened()).all(near)
    })
}

fn open<'a>(mut file: File, facts: &Facts, buffers: &'a mut Buffers) -> Result<Opened<'a>, Fault> {
    let sha256 = file_digest(&mut file, facts.bytes)?;
    file.seek(SeekFrom::Start(0))?;
    let reader = reader(BufReader::with_capacity(256 << 10, file))?;
    let info = reader.info();
    if (info.width, info.height) != (facts.width_px, facts.height_px) {
        return Err(Fault::truncated(STILL_CHANGING));
    }
    let (color, depth) = reader.output_color_type();
    let (model, has_alpha) = match color {
        ColorType::Grayscale => (ColourModel::Grey, false),
        ColorType::GrayscaleAlpha => (ColourModel::Grey, true),
        ColorType::Rgba => (ColourModel::Rgb, true),
        ColorType::Rgb | ColorType::Indexed => (ColourModel::Rgb, false),
    };
    let layout = SampleLayout { width_px: info.width, height_px: info.height, model, has_alpha };
    let (is_wide, is_interlaced) = (depth == BitDepth::Sixteen, info.interlaced);
    let bands = PngBands { reader, layout, is_wide, is_interlaced, next_row: 0, buffers, has_ended: false };
    Ok(Opened { bands: Box::new(bands), sha256 })
}

/// Rows in a band.
const BAND_ROWS: u32 = 16;

struct PngBands<'a> {
    reader: Reader<BufReader<File>>,
    layout: SampleLayout,
    /// 16 bits a sample.
    is_wide: bool,
    /// Interlaced rows arrive out of order: all at once.
    is_interlaced: bool,
    next_row: u32,
    buffers: &'a mut Buffers,
    has_ended: bool,
}

impl Bands for PngBands<'_> {
    fn layout(&self) -> SampleLayout {
        self.layout
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let first_row = self.next_row;
        let left = self.layout.height_px - first_row;
        if left == 0 {
            // Checks what follows the last row, so that a cut file is no whole picture.
            if !self.has_ended {
                self.reader.finish().map_err(|error| fault(error, "what follows its pixels contradicts the format"))?;
                self.has_ended = true;
            }
            return Ok(None);
        }
        let rows = if self.is_interlaced { left } else { left.min(BAND_ROWS) };
        let row_bytes = self.layout.row_len() * if self.is_wide { 2 } else { 1 };
        let bytes = &mut self.buffers.samples;
        if bytes.len() < rows as usize * row_bytes {
            bytes.resize(rows as usize * row_bytes, 0);
        }
        let bytes = &mut bytes[..rows as usize * row_bytes];
        if self.is_interlaced {
            self.reader.next_frame(bytes).map_err(|error| fault(error, "its pixels cannot be unpacked"))?;
        } else {
            for (row, number) in bytes.chunks_exact_mut(row_bytes).zip(first_row..) {
                let of = self.layout.height_px;
                let place =
                    std::fmt::from_fn(|f| write!(f, "its pixels cannot be unpacked after row {number} of {of}"));
                if self.reader.read_row(row).map_err(|error| fault(error, place))?.is_none() {
                    return Err(Fault::truncated("the file ends before the picture does"));
                }
            }
        }
        self.next_row += rows;
        let samples = if self.is_wide {
            let wide = &mut self.buffers.wide;
            wide.clear();
            wide.extend(bytes.as_chunks::<2>().0.iter().map(|&pair| u16::from_be_bytes(pair)));
            Samples::Sixteen(wide)
        } else {
            Samples::Eight(bytes)
        };
        Ok(Some(Band { first_row, rows, samples }))
    }
}

#[cfg(test)]
mod tests;
