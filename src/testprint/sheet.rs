//! A sheet of test prints before and after it is drawn: its pictures, their strips, and their positions.

use crate::judge::metrics::cut_lines::Rectangle;
use crate::picture::cutout::Cutout;
use crate::testprint::places::RiskLocation;
use crate::units::{Ppi, Share, Size, show};

/// The disclaimer on every sheet.
pub const BY_EYE: &str =
    "For judging by eye, not a contract proof. The printer's own specification and a hard proof have the last word.";
/// Returns the printing instruction on every sheet of this paper size.
pub fn for_the_lab(onto: Size) -> String {
    let onto = onto.show();
    format!(
        "For the lab: print at 100 % on {onto} paper. The white margin is in the file; add none. No colour correction."
    )
}

/// A picture on a sheet.
#[derive(Clone, Debug)]
pub struct Piece {
    /// The print and its picture: `p012 plum tart, p012-plum-tart.jpg, 210 x 260 mm`.
    pub caption: String,
    /// The reasons to test it.
    pub reasons: String,
    /// The print's density: the scale of its strips.
    pub ppi: Ppi,
    /// The printed part of the picture, small, in the sheet's codes.
    pub whole: Cutout,
    /// Scale of the whole picture relative to its print, if it has the sheet to itself; 1 is pixel by pixel.
    pub scale: f64,
    /// The printed part, as shares of the picture.
    pub window: Rectangle,
    /// Strips; empty if the whole picture has the sheet to itself.
    pub strips: Vec<TestStrip>,
}

/// A part of a picture at the scale of its print.
#[derive(Clone, Debug)]
pub struct TestStrip {
    /// The place and its risk.
    pub place: RiskLocation,
    /// Top left corner in the upright picture, in pixels.
    pub at_px: (u32, u32),
    /// Pixels in the sheet's codes.
    pub pixels: Cutout,
}

/// A sheet before it is drawn: pieces of one density and one colour space.
#[derive(Clone, Debug)]
pub struct TestSheet {
    /// The sheet's number, from 1, and the number of sheets.
    pub number: (usize, usize),
    /// The order: the brief's title or file; foreign text is escaped.
    pub title: String,
    /// The colour space's name.
    pub space: String,
    /// The paper to use: surface and stock of its prints.
    pub paper: String,
    /// The paper size.
    pub onto: Size,
    /// Pixels of the sheet per inch of paper.
    pub ppi: Ppi,
    /// The pictures.
    pub pieces: Vec<Piece>,
}

/// A drawn sheet.
#[derive(Clone, Debug)]
pub struct DrawnSheet {
    /// Pixels in the sheet's codes.
    pub pixels: Cutout,
    /// Strip positions: the piece's number, the strip's, and left and top in pixels.
    pub strips: Vec<(usize, usize, (u32, u32))>,
    /// Positions of the wedge's steps: L*, and left, top, width and height in pixels.
    pub wedge: Vec<(f64, [u32; 4])>,
    /// The ruler's left and right ends, in pixels.
    pub ruler: (u32, u32),
}

impl Piece {
    /// Describes the scale of a picture that has the sheet to itself.
    pub fn scale_words(&self) -> String {
        match self.scale {
            1.0 => "the whole picture at its own scale".to_owned(),
            scale => format!(
                "the whole picture at {} of its size: judge tones and colours, not sharpness",
                show::share(Share::measured(scale))
            ),
        }
    }
}

impl TestSheet {
    /// Returns the label of a strip or a piece on the sheet and in the note: `2b`.
    pub fn mark(piece: usize, strip: usize) -> String {
        let letter = char::from(b'a' + u8::try_from(strip.min(25)).unwrap_or(25));
        format!("{}{letter}", piece + 1)
    }

    /// Returns the lines at the top.
    pub(super) fn head(&self) -> [String; 3] {
        let (number, of) = self.number;
        let (paper, ppi, space) = (&self.paper, show::ppi(self.ppi), &self.space);
        let what = format!("Test sheet {number} of {of}: {paper}, {ppi}, {space}  {}", self.title);
        [what, for_the_lab(self.onto), BY_EYE.to_owned()]
    }
}
