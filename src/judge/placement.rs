//! All geometry of a print on an upright picture: the only place with this arithmetic.
//!
//! Lengths are exact nanometres, positions in the picture exact ratios of pixels; nothing is rounded here but needed
//! pixels (to the nearest, as exporters do) and the largest print (down).

use num_rational::Ratio;

use crate::brief::asked::{Edge, Margins, Print, Sides};
use crate::units::{Length, LengthUnit, Ppi, Share, Size};

/// What a canvas needs beyond the bar's depth to be stapled: 6 mm a side. Source: common practice (1/4 in).
pub const WRAP_TURN_IN: Length = Length::from_mm(6);
/// Least that a lab's borderless print loses at each edge: 1/8 in. Source: common practice.
pub const ENLARGED_LEAST_LOSS: Length = Length::from_um(3_175);
/// Share of a side that a lab's borderless print loses at each edge: enlarged by about 2 %. Source: one lab guide,
/// which calls it industry standard.
const ENLARGED_LOSS_SHARE: (i128, i128) = (1, 100);
/// Steps to which a print that a file carries is rounded down: 1 mm, or 1/16 in.
const CARRIED_STEP_MM: Length = Length::from_mm(1);
const CARRIED_STEP_INCH: Length = Length::from_nm(1_587_500);

/// A print's geometry, for the way round it will be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Finished size, turned if the print is.
    pub finished: Size,
    /// Whether the print was turned to suit its picture.
    pub turned: bool,
    /// How far the picture goes beyond the finished size; negative where white is left around it.
    pub outset: Sides,
    /// What cutting, a lab's enlargement, a frame's lip or the bar may take, from the picture's edge.
    pub taken: Sides,
    /// From the picture's edge to where important things may begin; never less than `taken`.
    pub safe: Sides,
    /// Folds, from the picture's left edge.
    pub folds: Vec<Length>,
    /// Lost on each side of a fold.
    pub gutter: Length,
    /// How the picture lies in it; `None` while there is no picture.
    pub fit: Option<Fit>,
}

/// How an upright picture covers the frame: centred, cut on one axis at most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Upright size of the picture in pixels.
    pub picture_px: (u32, u32),
    /// Size of the part that is printed, in pixels.
    pub window_px: (Ratio<i128>, Ratio<i128>),
    /// Effective density: pixels of the picture over inches of paper.
    pub density: Ppi,
    /// Share of the picture's area that is cut off.
    pub lost: Share,
    /// Share of the picture's height (top, bottom) or width (right, left) cut off at each side: top, right, bottom, left.
    pub lost_sides: [Share; 4],
    /// The same on paper: top, right, bottom, left.
    pub lost_lengths: [Length; 4],
}

impl Placement {
    /// The geometry of a print alone.
    pub fn of_print(print: &Print) -> Placement {
        Placement::of_size(print.size, &print.asked.margins, false)
    }

    /// The geometry of a print on an upright picture of so many pixels. The print turns where it may and where that
    /// loses less of the picture.
    pub fn of(print: &Print, picture_px: (u32, u32)) -> Placement {
        let margins = &print.asked.margins;
        let mut straight = Placement::of_size(print.size, margins, false);
        straight.fit = straight.cover(picture_px);
        if !may_turn(print) {
            return straight;
        }
        let mut turned = Placement::of_size(print.size.turned(), margins, true);
        turned.fit = turned.cover(picture_px);
        match (&straight.fit, &turned.fit) {
            (Some(one), Some(other)) if other.lost < one.lost => turned,
            _ => straight,
        }
    }

    fn of_size(finished: Size, margins: &Margins, turned: bool) -> Placement {
        let outset = outset(margins);
        let taken = taken(finished, margins, outset);
        let safe = zip(zip(outset, margins.safe, |out, safe| out + safe), taken, Length::max);
        Placement {
            finished,
            turned,
            outset,
            taken,
            safe,
            folds: margins.folds.iter().map(|fold| *fold + outset.left).collect(),
            gutter: margins.gutter,
            fit: None,
        }
    }

    /// What the picture must cover: the finished size plus what goes beyond it.
    pub fn frame(&self) -> Size {
        Size::new(
            self.finished.width + self.outset.left + self.outset.right,
            self.finished.height + self.outset.top + self.outset.bottom,
            self.finished.unit,
        )
    }

    /// Pixels that the frame needs at a density, rounded to the nearest.
    pub fn needed_px(&self, ppi: Ppi) -> (u32, u32) {
        let frame = self.frame();
        (ppi.pixels(frame.width), ppi.pixels(frame.height))
    }

    /// The largest print of this shape and these margins that so many upright pixels carry at a density, rounded down
    /// to whole millimetres or sixteenths of an inch; `None` where nothing is left.
    pub fn carried(&self, picture_px: (u32, u32), ppi: Ppi) -> Option<Size> {
        let ratio = |length: Length| Ratio::from_integer(i128::from(length.nm()));
        let frame = self.frame();
        let left = |px: u32, frame: Length, finished: Length| {
            (ratio(ppi.length_of(px)) - ratio(frame - finished)) / ratio(finished)
        };
        let factor = left(picture_px.0, frame.width, self.finished.width).min(left(
            picture_px.1,
            frame.height,
            self.finished.height,
        ));
        let step = match self.finished.unit {
            LengthUnit::Inch => CARRIED_STEP_INCH,
            _ => CARRIED_STEP_MM,
        };
        let side = |finished: Length| {
            let nm = (ratio(finished) * factor).floor().to_integer();
            Length::from_nm(i64::try_from(nm).unwrap_or(0)).floor_to(step)
        };
        let size = Size::new(side(self.finished.width), side(self.finished.height), self.finished.unit);
        (size.width > Length::ZERO && size.height > Length::ZERO).then_some(size)
    }

    /// Lays the picture over the frame, centred, so that nothing of the frame stays empty.
    fn cover(&self, picture_px: (u32, u32)) -> Option<Fit> {
        let frame = self.frame();
        let across = Ppi::over(picture_px.0, frame.width)?;
        let down = Ppi::over(picture_px.1, frame.height)?;
        let density = across.min(down);
        let window_px = (density.pixels_exact(frame.width), density.pixels_exact(frame.height));
        let half_lost = |px: u32, window: Ratio<i128>| {
            let px = Ratio::from_integer(i128::from(px));
            Share::from_ratio((px - window) / px / Ratio::from_integer(2))
        };
        let (side, end) = (half_lost(picture_px.0, window_px.0), half_lost(picture_px.1, window_px.1));
        let on_paper = |share: Share, px: u32| {
            let inches = share.ratio() * Ratio::from_integer(i128::from(px)) / density.ratio();
            let nm = (inches * Ratio::from_integer(i128::from(crate::units::length::NM_PER_INCH))).round().to_integer();
            Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
        };
        let (side_length, end_length) = (on_paper(side, picture_px.0), on_paper(end, picture_px.1));
        Some(Fit {
            picture_px,
            window_px,
            density,
            lost: Share::from_ratio((side.ratio() + end.ratio()) * Ratio::from_integer(2)),
            lost_sides: [end, side, end, side],
            lost_lengths: [end_length, side_length, end_length, side_length],
        })
    }
}

/// Whether a print may turn with its picture: never where it is square, folded, or its sides differ.
fn may_turn(print: &Print) -> bool {
    let margins = &print.asked.margins;
    print.turn
        && print.size.width != print.size.height
        && margins.folds.is_empty()
        && !margins.bleed.differ()
        && !margins.safe.differ()
}

/// How far the picture goes beyond the finished size.
fn outset(margins: &Margins) -> Sides {
    match margins.edge {
        Edge::Bleed if margins.includes_bleed => margins.bleed,
        Edge::Bleed | Edge::Enlarged => Sides::default(),
        Edge::Border => Sides::all(-margins.border),
        Edge::Wrap => Sides::all(margins.depth + WRAP_TURN_IN),
    }
}

/// What is lost from the picture's edge.
fn taken(finished: Size, margins: &Margins, outset: Sides) -> Sides {
    let by_edge = match margins.edge {
        Edge::Bleed => zip(outset, Sides::all(margins.cut_tolerance), |out, off| out + off),
        Edge::Enlarged => {
            let loss = |side: Length| {
                side.scaled(Ratio::new(ENLARGED_LOSS_SHARE.0, ENLARGED_LOSS_SHARE.1)).max(ENLARGED_LEAST_LOSS)
            };
            let (side, end) = (loss(finished.width), loss(finished.height));
            Sides { top: end, right: side, bottom: end, left: side }
        }
        Edge::Border => Sides::default(),
        Edge::Wrap => outset,
    };
    let under_lip = zip(outset, Sides::all(margins.hidden), |out, hidden| (out + hidden).at_least_zero());
    let under_lip = if margins.hidden == Length::ZERO { Sides::default() } else { under_lip };
    zip(by_edge, under_lip, Length::max)
}

/// Side by side.
fn zip(one: Sides, other: Sides, join: impl Fn(Length, Length) -> Length) -> Sides {
    Sides {
        top: join(one.top, other.top),
        right: join(one.right, other.right),
        bottom: join(one.bottom, other.bottom),
        left: join(one.left, other.left),
    }
}
