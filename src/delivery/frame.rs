//! Thumbnails on a page, with the lines of a print over them.

use serde::Serialize;

use crate::judge::Row;
use crate::judge::metrics::cut_lines::CutLines;
use crate::report::thumbnail::JpegThumbnail;

/// Longest side of a thumbnail on the note and on the client's page, in pixels. Own choice.
pub const NOTE_THUMBNAIL_PX: u32 = 480;

/// A thumbnail with the lines of its first print. Positions are in pixels of the thumbnail.
#[derive(Debug, Serialize)]
pub struct Frame {
    /// The JPEG as a data URL; empty if there is none.
    small: String,
    /// Width and height of the thumbnail.
    size: [u32; 2],
    /// Left, top, width and height of the finished edge, where there is bleed.
    finished: Option<[f64; 4]>,
    /// The area left if cutting takes the most it may.
    cut: Option<[f64; 4]>,
    /// The area for important things.
    safe: Option<[f64; 4]>,
    /// Left and right edge of the strip lost to each fold.
    folds: Vec<[f64; 2]>,
}

/// The kinds of line that a page shows, for its one legend.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub struct Legend {
    finished: bool,
    cut: bool,
    safe: bool,
    fold: bool,
}

impl Frame {
    /// Creates the frame of a picture from its first row and its thumbnail.
    pub fn of(row: Option<&Row>, small: Option<JpegThumbnail>) -> Frame {
        let size = small.as_ref().map_or((1, 1), |small| small.size_px);
        let (width, height) = (f64::from(size.0), f64::from(size.1));
        let lines = row.and_then(|row| CutLines::centred(row.placement.as_deref()?)).filter(|_| small.is_some());
        let over = |[left, top, right, bottom]: [f64; 4]| {
            [left * width, top * height, (right - left) * width, (bottom - top) * height].map(hundredths)
        };
        let has_bleed = |lines: &&CutLines| lines.finished != lines.window && lines.finished != lines.trim;
        let folds = lines.iter().flat_map(|lines| &lines.folds);
        Frame {
            size: [size.0, size.1],
            finished: lines.as_ref().filter(has_bleed).map(|lines| over(lines.finished)),
            cut: lines.as_ref().map(|lines| over(lines.trim)),
            safe: lines.as_ref().map(|lines| over(lines.safe)),
            folds: folds.map(|(left, right)| [left * width, right * width].map(hundredths)).collect(),
            small: small.map(|small| small.data_url()).unwrap_or_default(),
        }
    }
}

impl Legend {
    /// Collects the kinds of line in these frames.
    pub fn of<'a>(frames: impl Iterator<Item = &'a Frame>) -> Legend {
        frames.fold(Legend::default(), |legend, frame| Legend {
            finished: legend.finished || frame.finished.is_some(),
            cut: legend.cut || frame.cut.is_some(),
            safe: legend.safe || frame.safe.is_some(),
            fold: legend.fold || !frame.folds.is_empty(),
        })
    }
}

/// Rounds to hundredths, which are finer than any screen shows.
fn hundredths(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::placement::Placement;
    use crate::judge::testing::print;
    use crate::report::sample;

    #[test]
    fn lines_are_counted_in_pixels_of_the_thumbnail() {
        // Arithmetic: 220 x 120 mm with the bleed on 440 x 240 px, so 2 px a millimetre.
        let spread = print(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"10 mm\"\nsafe = \"20 mm\"\n\
             cut_tolerance = \"1 mm\"\nfolds = [\"100 mm\"]\ngutter = \"5 mm\"\n[[print]]\nsize = \"200 x 100 mm\"",
        );
        let mut row = sample::report().rows.swap_remove(0);
        row.placement = Some(Placement::of(&spread, (2200, 1200)).into());
        let frame = Frame::of(Some(&row), Some(JpegThumbnail { bytes: vec![0xff], size_px: (440, 240) }));
        assert_eq!(frame.finished, Some([20.0, 20.0, 400.0, 200.0]));
        assert_eq!(frame.cut, Some([22.0, 22.0, 396.0, 196.0]));
        assert_eq!(frame.folds, [[210.0, 230.0]]);
        let legend = Legend::of([&frame].into_iter());
        assert_eq!(legend, Legend { finished: true, cut: true, safe: true, fold: true });
        let none = Frame::of(Some(&row), None);
        assert!(none.small.is_empty() && Legend::of([&none].into_iter()) == Legend::default());
    }
}
