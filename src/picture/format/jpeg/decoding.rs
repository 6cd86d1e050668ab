//! A JPEG being decoded, a row of its units at a time, from bytes in memory.
//!
//! The decoder works in its strict mode, which refuses damaged scans.

use zune_jpeg::errors::DecodeErrors;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;
use zune_jpeg::{JpegDecoder, RawImcuRowStatus};

use super::planes::{Planes, Stripe};
use super::scans;
use crate::picture::facts::Format;
use crate::picture::format::ycc;
use crate::picture::{Fault, FaultKind, limits};

/// Most pixels a side. Source: ITU-T T.81, 16-bit sizes.
const MAX_SIDE: usize = 65_535;
/// Components at most. Source: ITU-T T.81 allows more; no print picture has them.
const MAX_COMPONENTS: usize = 4;

/// How stored samples become ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SampleConversion {
    /// RGB, grey, or inks from 0 upwards: as they are.
    Plain,
    /// Brightness and two colour differences.
    Ycc,
    /// Inks counted downwards from 255, as the Adobe marker implies.
    Inverted,
    /// Brightness, two colour differences and black; `true` where the Adobe marker implies inversion.
    Ycck(bool),
}

/// A decoder at work. It is a stripe ahead of what it returns: colour differences that are stored coarser lie
/// between those of the stripes above and below.
pub struct Decoding<'a> {
    decoder: JpegDecoder<ZCursor<&'a [u8]>>,
    stored: SampleConversion,
    planes: Planes,
    size_px: (usize, usize),
    next_row: usize,
    coded_end: Option<usize>,
}

impl<'a> Decoding<'a> {
    /// Reads the header; `stored` says how samples are stored in a picture with this many components that the decoder
    /// takes for such colours. `coded_end` is where the coded data end, in bytes that end in ones.
    ///
    /// # Errors
    /// Why it cannot be decoded, or is larger than `most_px`.
    pub fn begin(
        bytes: &'a [u8],
        coded_end: Option<usize>,
        most_px: (usize, usize),
        stored: impl FnOnce(usize, ColorSpace) -> SampleConversion,
    ) -> Result<Decoding<'a>, Fault> {
        let options = DecoderOptions::default()
            .set_strict_mode(true)
            .set_max_width(MAX_SIDE)
            .set_max_height(MAX_SIDE)
            .jpeg_set_max_scans(limits::MAX_JPEG_SCANS);
        let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
        decoder.decode_headers().map_err(|error| fault(error, "its headers contradict the format"))?;
        let size_px = decoder.dimensions().unwrap_or_default();
        let space = decoder.input_colorspace().unwrap_or(ColorSpace::Unknown);
        let raw = decoder.raw_output();
        let infos = raw.num_components().zip(raw.layout()).and_then(|(count, infos)| infos.get(..count).map(Vec::from));
        drop(raw);
        let infos = infos.filter(|infos| (1..=MAX_COMPONENTS).contains(&infos.len()));
        // A height that is said only behind the scan is none.
        let fits = (1..=most_px.0).contains(&size_px.0) && (1..=most_px.1).contains(&size_px.1);
        let Some(infos) = infos.filter(|_| fits) else {
            return Err(Fault::damaged(Format::Jpeg, "its size differs between its header and its scans"));
        };
        let stored = stored(infos.len(), space);
        let components = match stored {
            SampleConversion::Ycc => Some(3),
            SampleConversion::Ycck(_) => Some(4),
            SampleConversion::Plain | SampleConversion::Inverted => None,
        };
        if components.is_some_and(|wanted| wanted != infos.len()) {
            return Err(Fault::damaged(Format::Jpeg, "it lacks the components that its colours need"));
        }
        let planes = Planes::new(&infos, size_px.0);
        Ok(Decoding { decoder, stored, planes, size_px, next_row: 0, coded_end })
    }

    /// Returns the width and height in pixels.
    pub const fn size_px(&self) -> (usize, usize) {
        self.size_px
    }

    /// Samples in a pixel.
    pub fn channels(&self) -> usize {
        self.planes.count()
    }

    /// Replaces the contents of `samples` with the next rows, interleaved. Returns how many, 0 after the last.
    ///
    /// # Errors
    /// Why they cannot be decoded.
    pub fn next_rows(&mut self, samples: &mut Vec<u8>) -> Result<usize, Fault> {
        let left = self.size_px.1 - self.next_row;
        if left == 0 {
            return Ok(0);
        }
        if self.next_row == 0 {
            self.decode_stripe()?;
        }
        self.planes.step();
        self.decode_stripe()?;
        let rows = self.planes.rows().min(left);
        if rows == 0 {
            return Err(ends_early());
        }
        let row_len = self.size_px.0 * self.channels();
        samples.resize(rows * row_len, 0);
        for (row, to) in samples.chunks_exact_mut(row_len).enumerate() {
            self.planes.make_ready(row);
            interleave(self.planes.ready_planes(), self.stored, to);
        }
        self.next_row += rows;
        Ok(rows)
    }

    /// Decodes the stripe after the one that is returned next.
    fn decode_stripe(&mut self) -> Result<(), Fault> {
        let Stripe { mut planes, strides } = self.planes.next_stripe();
        let stripe = self.decoder.raw_output().decode_next_imcu_row(&mut planes, &strides);
        match stripe {
            Ok(RawImcuRowStatus::RowReady { rows_written }) => self.planes.set_next_rows(&rows_written),
            Ok(RawImcuRowStatus::Complete) => self.planes.set_next_rows(&[0; MAX_COMPONENTS]),
            // There is no more than was given.
            Ok(_) => return Err(ends_early()),
            Err(_) if self.is_past_the_coded_data() => return Err(self.incomplete()),
            Err(error) => {
                let (row, of) = (self.next_row, self.size_px.1);
                let what = format!("its coded data cannot be decoded after row {row} of {of}");
                return Err(fault(error, &what));
            }
        }
        Ok(())
    }

    /// True if the decoder has read all coded data, and the ones behind them.
    pub fn is_past_the_coded_data(&mut self) -> bool {
        let at = self.decoder.inner_reader().position().ok().and_then(|at| usize::try_from(at).ok());
        self.coded_end.is_some_and(|end| at.is_some_and(|at| at > end))
    }

    fn incomplete(&self) -> Fault {
        match self.next_row + self.planes.rows() {
            0 => scans::incomplete(),
            rows => scans::incomplete_after(rows, self.size_px.1),
        }
    }
}

/// Translates an error of the decoder into words of ours; names `what` as damaged where the error says no more.
fn fault(error: DecodeErrors, what: &str) -> Fault {
    let what = match error {
        DecodeErrors::ExhaustedData | DecodeErrors::IoErrors(_) => return ends_early(),
        DecodeErrors::Unsupported(_) => {
            return Fault::new(FaultKind::Unsupported, "a kind of JPEG that print pictures never use");
        }
        DecodeErrors::DqtError(_) => "a quantisation table is broken",
        DecodeErrors::HuffmanDecode(_) => "a Huffman table is broken",
        DecodeErrors::SosError(_) => "a scan whose header contradicts the frame",
        DecodeErrors::SofError(_) => "the frame header is broken",
        _ => what,
    };
    Fault::damaged(Format::Jpeg, what)
}

fn ends_early() -> Fault {
    Fault::truncated("the file ends before the picture does")
}

/// Interleaves a row's planes into pixels.
fn interleave<'p>(mut planes: impl ExactSizeIterator<Item = &'p [u8]>, stored: SampleConversion, to: &mut [u8]) {
    if stored == SampleConversion::Ycc {
        if let (Some(y), Some(cb), Some(cr)) = (planes.next(), planes.next(), planes.next()) {
            ycc::to_rgb(y, cb, cr, to);
        }
        return;
    }
    let channels = planes.len();
    for (channel, plane) in planes.enumerate() {
        to.iter_mut().skip(channel).step_by(channels).zip(plane).for_each(|(to, from)| *to = *from);
    }
    match stored {
        SampleConversion::Inverted => to.iter_mut().for_each(|ink| *ink = 255 - *ink),
        SampleConversion::Ycck(inverted) => {
            to.as_chunks_mut::<4>().0.iter_mut().for_each(|pixel| ycck_to_inks(pixel, inverted))
        }
        SampleConversion::Plain | SampleConversion::Ycc => {}
    }
}

/// Converts YCCK to inks from no ink upwards. What YCC yields is 255 less the stored ink; an inverted file stores 255
/// less the ink, so there the two cancel. Source: ITU-T T.872.
fn ycck_to_inks(pixel: &mut [u8; 4], inverted: bool) {
    let [r, g, b] = ycc::pixel([pixel[0], pixel[1], pixel[2]]);
    *pixel = if inverted { [r, g, b, 255 - pixel[3]] } else { [255 - r, 255 - g, 255 - b, pixel[3]] };
}
