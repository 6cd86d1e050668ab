//! Positions on a test sheet, in inches of paper.

use num_rational::Ratio;

use crate::report::lettering::Lettering;
use crate::testprint::sheet::Piece;
use crate::units::{Length, Ppi, Size};

/// White margin all round: 1/2 in, so that a lab's enlargement cuts nothing off. Source: common practice.
const MARGIN: f64 = 0.5;
/// Height of small print: 7 pt. Own choice: the smallest that most people read in the hand.
const LETTERS: f64 = 7.0 / 72.0;
/// Least height of letters in pixels; smaller ones cannot be read.
const MIN_LETTERS_PX: f64 = 10.0;
/// Lines of text at the head.
pub const HEAD_LINES: usize = 3;
/// Lines of text above a picture.
pub const CAPTION_LINES: usize = 2;
/// Lines of text below a strip.
pub const STRIP_LINES: usize = 3;
/// Gap between elements. Own choice.
pub const GAP: f64 = 0.08;
/// Height of the patches of the wedge and the grey balance. Own choice.
pub const PATCH: f64 = 0.26;
/// Height of the ruler.
pub const RULER: f64 = 0.14;
/// Preferred height of a picture's block: 8 x 10 in takes three. Own choice.
const BLOCK: f64 = 2.2;
/// Least height of a useful strip. Own choice.
const MIN_STRIP: f64 = 0.75;
/// Share of the width that the whole picture takes.
const WHOLE: f64 = 0.26;
/// Width of a strip as a share of its height. Own choice.
const STRIP_SHAPE: f64 = 0.95;
/// Largest error of strips of one scale, in pixels.
const MAX_OFF_PX: f64 = 0.5;
/// Least width within the margins: the ruler of 100 mm.
pub const MIN_WIDTH: f64 = 100.0 / 25.4;

/// A sheet's geometry at a density, in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SheetLayout {
    /// Pixels of the sheet per inch.
    pub ppi: f64,
    /// Width and height of the paper.
    pub paper: (f64, f64),
    /// Distance between lines of small print.
    pub line: f64,
    /// Number of blocks that fit.
    pub blocks: usize,
    /// Height of a block.
    pub block: f64,
    /// Room for a whole picture beside its strips.
    pub whole: (f64, f64),
    /// Room for a strip.
    pub strip: (f64, f64),
    /// Strips beside a picture.
    pub strips: usize,
}

impl SheetLayout {
    /// Lays out a sheet at a density; `None` if the paper has no room for a picture, the wedge and the ruler.
    pub fn new(onto: Size, ppi: Ppi) -> Option<SheetLayout> {
        let inches = |length: Length| {
            let inches: Ratio<i128> = length.inches();
            *inches.numer() as f64 / *inches.denom() as f64
        };
        let (paper, ppi) = ((inches(onto.width), inches(onto.height)), ppi.as_f64());
        let letters = Lettering::new(SheetLayout::letters_px(ppi));
        let line = f64::from(letters.line()) / ppi;
        let width = paper.0 - 2.0 * MARGIN;
        let mut layout =
            SheetLayout { ppi, paper, line, blocks: 1, block: 0.0, whole: (0.0, 0.0), strip: (0.0, 0.0), strips: 1 };
        let middle = layout.foot() - layout.middle();
        layout.blocks = ((middle / BLOCK).floor() as usize).max(1);
        layout.block = middle / layout.blocks as f64;
        let height = layout.block - (CAPTION_LINES + STRIP_LINES) as f64 * line - 2.0 * GAP;
        if width < MIN_WIDTH || height < MIN_STRIP {
            return None;
        }
        layout.whole = (width * WHOLE, height);
        let beside = width - layout.whole.0 - GAP;
        layout.strips = ((beside / (height * STRIP_SHAPE)).round() as usize).max(1);
        let strip = (beside - GAP * (layout.strips - 1) as f64) / layout.strips as f64;
        layout.strip = (strip, height);
        Some(layout)
    }

    /// Returns the height of letters at a density, in pixels.
    fn letters_px(ppi: f64) -> f32 {
        (LETTERS * ppi).max(MIN_LETTERS_PX) as f32
    }

    /// Returns the lettering of this sheet.
    pub fn letters(&self) -> Lettering {
        Lettering::new(SheetLayout::letters_px(self.ppi))
    }

    /// Returns the content's left edge.
    pub const fn left(&self) -> f64 {
        MARGIN
    }

    /// Returns the content's top edge.
    pub const fn top(&self) -> f64 {
        MARGIN
    }

    /// Returns the content's width.
    pub fn width(&self) -> f64 {
        self.paper.0 - 2.0 * MARGIN
    }

    /// Returns the top edge of the pictures.
    pub fn middle(&self) -> f64 {
        MARGIN + HEAD_LINES as f64 * self.line + GAP
    }

    /// Returns the top edge of the wedge, followed by the grey balance and the ruler, each with a line of text.
    pub fn foot(&self) -> f64 {
        self.paper.1 - MARGIN - 2.0 * (PATCH + GAP) - RULER - 3.0 * self.line
    }

    /// Returns the room for a picture that has a sheet to itself.
    pub fn alone(&self) -> (f64, f64) {
        (self.width(), self.foot() - self.middle() - CAPTION_LINES as f64 * self.line - 2.0 * GAP)
    }

    /// Returns how many pieces of this kind fit on one sheet.
    pub fn per_sheet(&self, piece: &Piece) -> usize {
        if piece.strips.is_empty() { 1 } else { self.blocks }
    }

    /// True if strips of one density are to scale on a sheet of another, within half a pixel.
    pub fn is_same_scale(&self, one: Ppi, other: Ppi) -> bool {
        (one.as_f64() - other.as_f64()).abs() * self.strip.0.max(self.strip.1) <= MAX_OFF_PX
    }

    /// Converts a length to pixels of the sheet, rounded to the nearest.
    pub fn px(&self, inches: f64) -> u32 {
        (inches * self.ppi).round().max(0.0) as u32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layout(onto: &str, ppi: u32) -> Option<SheetLayout> {
        SheetLayout::new(onto.parse().unwrap(), Ppi::whole(ppi))
    }

    #[test]
    fn an_eight_by_ten_takes_three_pictures_with_three_strips_within_its_margins() {
        let found = layout("8 x 10 in", 300).unwrap();
        assert_eq!((found.blocks, found.strips), (3, 3));
        let right = found.left() + found.whole.0 + found.strips as f64 * (GAP + found.strip.0);
        assert!((right - 7.5).abs() < 1e-9, "{right}");
        assert!(found.strip.1 > 1.2 && found.strip.0 > 1.2, "{found:?}");
        assert!(found.middle() + found.blocks as f64 * found.block <= found.foot() + 1e-9);
    }

    #[test]
    fn a_larger_sheet_takes_more_and_one_without_room_is_refused() {
        let (small, large) = (layout("8 x 10 in", 300).unwrap(), layout("11 x 14 in", 300).unwrap());
        assert!(large.blocks > small.blocks && large.strips > small.strips);
        assert_eq!(layout("4 x 6 in", 300), None);
        assert!(layout("5 x 7 in", 300).is_some());
    }

    #[test]
    fn letters_are_readable_on_a_coarse_sheet_too() {
        let coarse = layout("8 x 10 in", 72).unwrap();
        assert!(coarse.line * 72.0 >= 10.0, "{}", coarse.line * 72.0);
    }

    #[test]
    fn densities_share_a_sheet_only_where_no_strip_is_off_by_more_than_half_a_pixel() {
        let found = layout("8 x 10 in", 300).unwrap();
        let off = |ppi: f64| (ppi - 300.0).abs() * found.strip.0.max(found.strip.1);
        let ppi = |hundredths: i128| Ppi::from_ratio(Ratio::new(hundredths, 100)).unwrap();
        assert!(found.is_same_scale(ppi(30_000), ppi(30_010)) && off(300.1) < 0.5);
        assert!(!found.is_same_scale(ppi(30_000), ppi(30_060)) && off(300.6) > 0.5);
    }
}
