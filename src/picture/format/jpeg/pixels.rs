//! A JPEG's pixels: read once from the disk, hashed, decoded whole into a reused buffer, handed out in bands.
//!
//! The decoder's strict mode refuses damaged scans; `scans` tells what that lets pass, a missing end marker too.

use std::fs::File;
use std::io::{Cursor, Read};

use sha2::{Digest, Sha256};
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::{scans, walk};
use crate::picture::facts::{Facts, Format, Model};
use crate::picture::format::{Opened, ycc_to_rgb};
use crate::picture::pixels::{Band, Bands, Buffers, Layout, Samples};
use crate::picture::room::Room;
use crate::picture::{Fault, FaultKind, limits};

/// Rows in a band: small enough for a processor's second-level cache.
const BAND_ROWS: u32 = 16;
/// Most pixels a side. Source: ITU-T T.81, 16-bit sizes.
const SIDE_MOST: usize = 65_535;

/// How stored samples become ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stored {
    /// RGB, grey, or inks from 0 upwards: as they are.
    Plain,
    /// Inks counted downwards from 255, as the Adobe marker implies.
    Inverted,
    /// Brightness, two colour differences and black; `true` where the Adobe marker implies inversion.
    Ycck(bool),
}

pub fn open<'a>(file: File, facts: &Facts, buffers: &'a mut Buffers) -> Result<Opened<'a>, Fault> {
    let Buffers { file: bytes, whole, .. } = buffers;
    bytes.clear();
    if facts.bytes > limits::JPEG_FILE_BYTES_MOST {
        return Err(Fault::new(FaultKind::TooLarge, format!("a JPEG of {} MB", facts.bytes >> 20)));
    }
    bytes.reserve(usize::try_from(facts.bytes).unwrap_or(0) + 1);
    file.take(limits::JPEG_FILE_BYTES_MOST).read_to_end(bytes)?;
    let markers = walk(&mut Cursor::new(&bytes[..]))?;
    scans::check(bytes, &markers)?;
    let whole_file = &bytes[..];
    // Beside the decoding: a second core is often idle, and with none it costs the same.
    let (stored, sha256) = std::thread::scope(|scope| {
        let hash = scope.spawn(|| format!("{:x}", Sha256::digest(whole_file)));
        let stored = decode(whole_file, whole, facts, markers.adobe_transform.is_some());
        (stored, hash.join().map_err(|_| Fault::new(FaultKind::Internal, "the file could not be hashed")))
    });
    let ((samples, stored), sha256) = (stored?, sha256?);
    if bytes.capacity() > limits::KEPT_FILE_BYTES {
        *bytes = Vec::new();
    }
    let layout = Layout { width_px: facts.width_px, height_px: facts.height_px, model: facts.model, alpha: false };
    Ok(Opened { bands: Box::new(JpegBands { layout, samples, stored, next_row: 0 }), sha256 })
}

fn decode<'a>(bytes: &[u8], whole: &'a mut Room, facts: &Facts, adobe: bool) -> Result<(&'a mut [u8], Stored), Fault> {
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(SIDE_MOST)
        .set_max_height(SIDE_MOST)
        .jpeg_set_max_scans(limits::JPEG_SCANS_MOST);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(fault)?;
    let input = decoder.input_colorspace().unwrap_or(ColorSpace::Unknown);
    let (output, stored) = match (facts.model, input) {
        (Model::Grey, _) => (ColorSpace::Luma, Stored::Plain),
        (Model::Cmyk, ColorSpace::YCCK) => (ColorSpace::YCCK, Stored::Ycck(adobe)),
        (Model::Cmyk, _) => (ColorSpace::CMYK, if adobe { Stored::Inverted } else { Stored::Plain }),
        _ => (ColorSpace::RGB, Stored::Plain),
    };
    decoder.set_options(options.jpeg_set_out_colorspace(output));
    let wanted = facts.pixels() as usize * facts.channels();
    if decoder.dimensions() != Some((facts.width_px as usize, facts.height_px as usize))
        || decoder.output_buffer_size() != Some(wanted)
    {
        return Err(Fault::damaged(Format::Jpeg, "its size differs between its header and its scans"));
    }
    let samples = whole.of(wanted)?;
    decoder.decode_into(samples).map_err(fault)?;
    Ok((samples, stored))
}

fn fault(error: DecodeErrors) -> Fault {
    match error {
        DecodeErrors::ExhaustedData | DecodeErrors::IoErrors(_) => {
            Fault::truncated("the file ends before the picture does")
        }
        DecodeErrors::Unsupported(what) => {
            Fault::new(FaultKind::Unsupported, format!("a JPEG we cannot read: {what:?}"))
        }
        other => Fault::damaged(Format::Jpeg, other),
    }
}

struct JpegBands<'a> {
    layout: Layout,
    samples: &'a mut [u8],
    stored: Stored,
    next_row: u32,
}

impl Bands for JpegBands<'_> {
    fn layout(&self) -> Layout {
        self.layout
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let first_row = self.next_row;
        let rows = BAND_ROWS.min(self.layout.height_px - first_row);
        if rows == 0 {
            return Ok(None);
        }
        self.next_row += rows;
        let row_len = self.layout.row_len();
        let band = &mut self.samples[first_row as usize * row_len..][..rows as usize * row_len];
        match self.stored {
            Stored::Plain => {}
            Stored::Inverted => band.iter_mut().for_each(|ink| *ink = 255 - *ink),
            Stored::Ycck(inverted) => band.as_chunks_mut::<4>().0.iter_mut().for_each(|pixel| inks(pixel, inverted)),
        }
        Ok(Some(Band { first_row, rows, samples: Samples::Eight(band) }))
    }
}

/// YCCK to inks from no ink upwards. What YCC yields is 255 less the stored ink; an inverted file stores 255 less the
/// ink, so there the two cancel. Source: ITU-T T.872.
fn inks(pixel: &mut [u8; 4], inverted: bool) {
    let [r, g, b] = ycc_to_rgb([pixel[0], pixel[1], pixel[2]]);
    *pixel = if inverted { [r, g, b, 255 - pixel[3]] } else { [255 - r, 255 - g, 255 - b, pixel[3]] };
}
