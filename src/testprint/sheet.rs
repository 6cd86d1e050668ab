//! A sheet of test prints before and after it is drawn: its pictures, their strips, and where they lie.

use crate::judge::metrics::cut_lines::Rectangle;
use crate::picture::cutout::Cutout;
use crate::testprint::places::RiskLocation;
use crate::units::{Ppi, Share, Size, show};

/// What every sheet says of itself.
pub const BY_EYE: &str =
    "For judging by eye, no contract proof: the printer's own specification and a hard proof have the last word.";
/// How a sheet is to be printed.
pub const AS_IT_IS: &str = "Print with border, no resizing, no correction.";

/// One picture on a sheet.
#[derive(Clone, Debug)]
pub struct Piece {
    /// The print and its picture: `p012 plum tart, p012-plum-tart.jpg, 210 x 260 mm`.
    pub caption: String,
    /// Why it is tested.
    pub reasons: String,
    /// The print's density: the scale of its strips.
    pub ppi: Ppi,
    /// What is printed of the picture, small, in the sheet's codes.
    pub whole: Cutout,
    /// How large the whole is, as a share of its print, where it has the sheet for itself; 1 is pixel by pixel.
    pub scale: f64,
    /// What is printed of it, as shares of the picture.
    pub window: Rectangle,
    /// Its strips; none where the whole picture has the sheet for itself.
    pub strips: Vec<TestStrip>,
}

/// A part of a picture at the scale of its print.
#[derive(Clone, Debug)]
pub struct TestStrip {
    /// What to look at there.
    pub place: RiskLocation,
    /// Where it begins in the upright picture, in pixels.
    pub at_px: (u32, u32),
    /// Its pixels in the sheet's codes.
    pub pixels: Cutout,
}

/// A sheet before it is drawn: pieces of one density and one space.
#[derive(Clone, Debug)]
pub struct TestSheet {
    /// Its number, from 1, and how many there are.
    pub number: (usize, usize),
    /// What it is for: the brief's title or file; foreign text, made visible.
    pub title: String,
    /// What the space is called.
    pub space: String,
    /// What it is to be printed on: surface and stock of its prints.
    pub paper: String,
    /// Its size.
    pub onto: Size,
    /// Pixels of the sheet per inch of paper.
    pub ppi: Ppi,
    /// The pictures.
    pub pieces: Vec<Piece>,
}

/// A sheet, drawn.
#[derive(Clone, Debug)]
pub struct DrawnSheet {
    /// Its pixels in the sheet's codes.
    pub pixels: Cutout,
    /// Where its strips lie: a piece's number, a strip's, and left and top in pixels.
    pub strips: Vec<(usize, usize, (u32, u32))>,
    /// Where the steps of the wedge lie: L*, and left, top, width and height in pixels.
    pub wedge: Vec<(f64, [u32; 4])>,
    /// The ruler's left and right end, in pixels.
    pub ruler: (u32, u32),
}

impl Piece {
    /// What a picture that has the sheet for itself shows, in words.
    pub fn scale_words(&self) -> String {
        match self.scale {
            1.0 => "the whole picture at its own scale".to_owned(),
            scale => format!(
                "the whole picture at {} of its size: for tones and colours, not for its sharpness",
                show::share(Share::measured(scale))
            ),
        }
    }
}

impl TestSheet {
    /// What a strip or a piece is called on the sheet and in the note: `2b`.
    pub fn mark(piece: usize, strip: usize) -> String {
        let letter = char::from(b'a' + u8::try_from(strip.min(25)).unwrap_or(25));
        format!("{}{letter}", piece + 1)
    }

    /// The lines at its top.
    pub(super) fn head(&self) -> [String; 3] {
        let (number, of) = self.number;
        let what = format!("Test sheet {number} of {of}  {}", self.title);
        let how = format!("{AS_IT_IS}  {}, {}, {}, {}", self.paper, self.onto.show(), show::ppi(self.ppi), self.space);
        [what, how, BY_EYE.to_owned()]
    }
}
