//! Frames to overlay on the camera's picture before the shoot: the part that each print uses, its trim, what must stay
//! free, its folds. Transparent PNG, one per print.

use std::io;
use std::path::{Path, PathBuf};

use png::{BitDepth, ColorType, Encoder};

use crate::brief::{self, Print, Problem};
use crate::files::atomic_folder::{AtomicFolder, not_written_words};
use crate::files::names;
use crate::judge::configurable_ids;
use crate::judge::metrics::cut_lines::{CutLines, Rectangle};
use crate::judge::placement::Placement;
use crate::reading::among_exports::{AmongExports, check_outside_any};
use crate::report::lettering::Lettering;
use crate::units::words::visible;

/// Width of lines as a share of the frame's longer side, at least one pixel. Own choice: visible on a camera's display.
const LINE: f32 = 0.001_5;
/// Height of letters as a share of the longer side. Own choice.
const LETTERS: f32 = 0.018;
/// Opacity of the cover over what the print does not use, of 255. Own choice: the scene still shows through.
const COVER: u8 = 110;
/// Longest side of a frame, in pixels.
pub const MAX_SIDE_PX: u32 = 12_000;

/// A choice of frames and their destination.
#[derive(Clone, Copy, Debug)]
pub struct GuideRequest<'a> {
    /// The brief's file.
    pub brief: &'a Path,
    /// A print's name or id; if `None`, every print.
    pub print: Option<&'a str>,
    /// The camera's aspect: width and height in any unit.
    pub shape: (u32, u32),
    /// The longer side of a frame in pixels, at most [`MAX_SIDE_PX`].
    pub longer_px: u32,
    /// A folder that does not exist yet.
    pub into: &'a Path,
}

/// Why no frames were written.
#[derive(Debug, thiserror::Error)]
pub enum GuideError {
    /// The brief has mistakes.
    #[error("the brief has mistakes")]
    Mistakes(Vec<Problem>),
    /// No print has this name or id.
    #[error("the brief has no print \"{0}\"; plateside brief show lists them")]
    NoPrint(String),
    /// Nothing can be printed of such a frame.
    #[error("{0}: has no place in such a frame")]
    NoPlace(String),
    /// The frames would be taken for pictures of the order.
    #[error(transparent)]
    AmongExports(#[from] AmongExports),
    /// The folder cannot be written.
    #[error("{}", not_written_words(into, error))]
    Unwritten {
        /// The folder.
        into: PathBuf,
        /// The system's error.
        error: io::Error,
    },
}

/// A frame of RGBA pixels.
struct FrameCanvas {
    width: u32,
    height: u32,
    rgba: Vec<u8>,
}

/// The style of a line.
#[derive(Clone, Copy)]
enum Stroke {
    Whole,
    /// Dashes and gaps, in line widths.
    Dashes(u32, u32),
}

/// Writes a frame for each print, or for one; returns how many.
///
/// # Errors
/// The brief has mistakes or no such print, a print cannot use the frame, or the folder cannot be written.
pub fn write(request: &GuideRequest<'_>) -> Result<usize, GuideError> {
    let brief = brief::read(request.brief, &configurable_ids()).map_err(GuideError::Mistakes)?;
    check_outside_any(request.into, &brief)?;
    let is_meant = |print: &&Print| request.print.is_none_or(|word| print.is_called(word));
    let prints: Vec<&Print> = brief.prints.iter().filter(is_meant).collect();
    if prints.is_empty() {
        return Err(GuideError::NoPrint(request.print.unwrap_or_default().to_owned()));
    }
    let failed = |error| GuideError::Unwritten { into: request.into.to_owned(), error };
    let making = AtomicFolder::begin(request.into).map_err(failed)?;
    for print in &prints {
        let frame = frame_px(print, request.shape, request.longer_px);
        let png = png(print, frame).ok_or_else(|| GuideError::NoPlace(print.name_with_version().into_owned()))?;
        making.write_file(Path::new(&format!("{}.png", names::plain(&print.id.0))), &png).map_err(failed)?;
    }
    making.finish().map_err(failed)?;
    Ok(prints.len())
}

/// Returns the pixel size of a print's frame, turned so that its longer side follows the print's.
fn frame_px(print: &Print, shape: (u32, u32), longer_px: u32) -> (u32, u32) {
    let (long, short) = (shape.0.max(shape.1), shape.0.min(shape.1));
    let shorter_px =
        u32::try_from(u64::from(longer_px) * u64::from(short) / u64::from(long)).unwrap_or(longer_px).max(1);
    if print.size.width > print.size.height { (longer_px, shorter_px) } else { (shorter_px, longer_px) }
}

/// Draws the frame of a print as PNG; `None` if nothing can be printed of such a frame.
fn png(print: &Print, frame: (u32, u32)) -> Option<Vec<u8>> {
    let placement = Placement::of(print, frame);
    let lines = CutLines::centred(&placement)?;
    let mut canvas =
        FrameCanvas { width: frame.0, height: frame.1, rgba: vec![0; frame.0 as usize * frame.1 as usize * 4] };
    canvas.cover_beyond(lines.window);
    canvas.outline(lines.window, Stroke::Whole);
    canvas.outline(lines.trim, Stroke::Dashes(8, 4));
    canvas.outline(lines.safe, Stroke::Dashes(2, 3));
    for (left, right) in &lines.folds {
        canvas.outline([*left, lines.window[1], *right, lines.window[3]], Stroke::Dashes(1, 2));
    }
    let words = format!("{}  {}", visible(&print.name_with_version()), placement.finished.show());
    canvas.write(&words, lines.safe);
    canvas.encode()
}

impl FrameCanvas {
    fn line_px(&self) -> u32 {
        ((self.width.max(self.height) as f32 * LINE).round() as u32).max(1)
    }

    /// Converts a share of a side to a pixel within it.
    fn at(share: f64, side: u32) -> u32 {
        (share.clamp(0.0, 1.0) * f64::from(side)).round() as u32
    }

    fn put(&mut self, x: u32, y: u32, rgba: [u8; 4]) {
        if x < self.width && y < self.height {
            let at = (y as usize * self.width as usize + x as usize) * 4;
            self.rgba[at..at + 4].copy_from_slice(&rgba);
        }
    }

    fn cover_beyond(&mut self, [left, top, right, bottom]: Rectangle) {
        let (left, right) = (FrameCanvas::at(left, self.width), FrameCanvas::at(right, self.width));
        let (top, bottom) = (FrameCanvas::at(top, self.height), FrameCanvas::at(bottom, self.height));
        for y in 0..self.height {
            for x in 0..self.width {
                if !(left..right).contains(&x) || !(top..bottom).contains(&y) {
                    self.put(x, y, [0, 0, 0, COVER]);
                }
            }
        }
    }

    /// Draws a rectangle in white with dark edges on both sides, so that it shows on light and dark.
    fn outline(&mut self, [left, top, right, bottom]: Rectangle, stroke: Stroke) {
        let wide = self.line_px();
        let (left, right) = (FrameCanvas::at(left, self.width), FrameCanvas::at(right, self.width).max(wide) - wide);
        let (top, bottom) = (FrameCanvas::at(top, self.height), FrameCanvas::at(bottom, self.height).max(wide) - wide);
        for y in [top, bottom] {
            (left..right + wide).for_each(|x| self.dot((x, y), x - left, (false, wide), stroke));
        }
        for x in [left, right] {
            (top..bottom + wide).for_each(|y| self.dot((x, y), y - top, (true, wide), stroke));
        }
    }

    /// Draws one step of a line: a bar across it.
    fn dot(&mut self, (x, y): (u32, u32), along: u32, (upright, wide): (bool, u32), stroke: Stroke) {
        if let Stroke::Dashes(on, off) = stroke
            && along / wide % (on + off) >= on
        {
            return;
        }
        for across in 0..wide * 3 {
            let light = (wide..wide * 2).contains(&across);
            let rgba = if light { [255, 255, 255, 255] } else { [0, 0, 0, 200] };
            let (x, y) =
                if upright { ((x + across).wrapping_sub(wide), y) } else { (x, (y + across).wrapping_sub(wide)) };
            self.put(x, y, rgba);
        }
    }

    /// Writes words at the lower left of the area to keep free, white on a dark ground.
    fn write(&mut self, words: &str, [left, _, right, bottom]: Rectangle) {
        let high = self.width.max(self.height) as f32 * LETTERS;
        let letters = Lettering::new(high);
        let (left, limit) =
            (FrameCanvas::at(left, self.width) as f32 + high, FrameCanvas::at(right, self.width) as f32 - high);
        let words = letters.fit(words, limit - left);
        let base = FrameCanvas::at(bottom, self.height) as f32 - high;
        for y in (base - letters.ascent()) as u32..(base + letters.descent()) as u32 {
            (left as u32..(left + letters.width(&words)) as u32 + 1).for_each(|x| self.put(x, y, [0, 0, 0, 200]));
        }
        letters.set(&words, (left, base), &mut |x, y, cover| {
            let grey = (cover * 255.0) as u8;
            if grey > 0 {
                self.put(x, y, [grey, grey, grey, 255.min(200 + u32::from(grey) / 4) as u8]);
            }
        });
    }

    fn encode(&self) -> Option<Vec<u8>> {
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, self.width, self.height);
        encoder.set_color(ColorType::Rgba);
        encoder.set_depth(BitDepth::Eight);
        encoder.write_header().ok()?.write_image_data(&self.rgba).ok()?;
        Some(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::print;

    fn read(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
        let mut rgba = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut rgba).unwrap();
        (info.width, info.height, rgba)
    }

    #[test]
    fn a_frame_leaves_what_is_printed_open_and_covers_the_rest() {
        let print = print("[[print]]\nsize = \"8 x 10 in\"\n[margins]\nedge = \"bleed\"\nbleed = \"0 mm\"\n");
        let frame = frame_px(&print, (3, 2), 1_500);
        assert_eq!(frame, (1_000, 1_500));
        let (width, height, rgba) = read(&png(&print, frame).unwrap());
        assert_eq!((width, height), frame);
        let alpha = |x: usize, y: usize| rgba[(y * 1_000 + x) * 4 + 3];
        // A 2:3 frame loses a sixth as 4:5: 125 px at top and bottom.
        assert_eq!((alpha(500, 60), alpha(500, 750), alpha(500, 1_440)), (COVER, 0, COVER));
        assert!((120..131).any(|y| alpha(500, y) == 255), "the print's edge is a line");
    }

    #[test]
    fn a_lying_print_has_a_lying_frame() {
        let print = print("[[print]]\nsize = \"10 x 8 in\"");
        assert_eq!(frame_px(&print, (2, 3), 900), (900, 600));
    }
}
