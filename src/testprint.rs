//! Sheets of test prints: each picture whole and small, and strips of its riskiest places at the scale of its print,
//! never resampled, with a wedge, a grey balance strip and a ruler. A sheet is judged by eye; it is no contract proof.

use crate::colour::SheetColours;
use crate::judge::metrics::cut_lines::Rectangle;
use crate::picture::cutout::Cutout;
use crate::testprint::places::RiskLocation;
use crate::units::{Ppi, Share, Size, show};

pub mod file;
pub mod layout;
pub mod note;
pub mod overview;
pub mod sheets;

mod canvas;
mod draw;
pub mod places;
pub mod ranking;
mod targets;

use canvas::SheetCanvas;
use layout::SheetLayout;

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

    /// The sheet's pixels.
    pub fn drawn(&self, layout: &SheetLayout, colours: &SheetColours<'_>) -> DrawnSheet {
        draw::draw(self, layout, colours)
    }

    fn head(&self) -> [String; 3] {
        let (number, of) = self.number;
        let what = format!("Test sheet {number} of {of}  {}", self.title);
        let how = format!("{AS_IT_IS}  {}, {}, {}, {}", self.paper, self.onto.show(), show::ppi(self.ppi), self.space);
        [what, how, BY_EYE.to_owned()]
    }
}

/// Parts pieces into groups for sheets: one sheet for each density, as many pieces on it as there is room for.
/// Densities so close that no strip is off by more than half a pixel share a sheet.
pub fn grouped(pieces: Vec<Piece>, layout_of: &dyn Fn(Ppi) -> Option<SheetLayout>) -> Vec<(Ppi, Vec<Piece>)> {
    let mut groups: Vec<(Ppi, Vec<Piece>)> = Vec::new();
    for piece in pieces {
        let room = |(ppi, group): &(Ppi, Vec<Piece>)| {
            let layout = layout_of(*ppi);
            layout.is_some_and(|layout| layout.same_scale(*ppi, piece.ppi) && group.len() < layout.per_sheet(&piece))
                && group.iter().all(|other| other.strips.is_empty() == piece.strips.is_empty())
        };
        match groups.iter_mut().find(|group| room(group)) {
            Some((_, group)) => group.push(piece),
            None => groups.push((piece.ppi, vec![piece])),
        }
    }
    groups
}
