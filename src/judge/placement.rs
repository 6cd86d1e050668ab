//! All geometry of a print on an upright picture; the only place with this arithmetic.
//!
//! Lengths are exact nanometres, positions in the picture exact ratios of pixels. Nothing is rounded except needed
//! pixels (to the nearest, as exporters do) and the largest print (down).

use num_rational::Ratio;

use crate::brief::Print;
use crate::brief::requirements::{BorderFit, Edge, Margins, Sides, WrapSides};
use crate::units::{Length, Ppi, Share, Size};

/// Picture that a canvas needs beyond the bar's depth to be stapled: 6 mm a side. Source: common practice (1/4 in).
pub const WRAP_TURN_IN: Length = Length::from_mm(6);
/// Largest error in the position of a bar's edge. Common practice, no source.
pub const WRAP_SHIFT: Length = Length::from_mm(3);
/// Least loss at each edge of a lab's borderless print: 1/8 in. Source: common practice.
pub const MIN_BORDERLESS_LOSS: Length = Length::from_um(3_175);
/// Share of a side that a lab's borderless print loses at each edge: enlarged by about 2 %. Source: one lab guide,
/// which calls it industry standard.
const BORDERLESS_LOSS_SHARE: Ratio<i128> = Ratio::new_raw(1, 100);
/// Step to which the largest print of a file is rounded down: 1 mm, or 1/16 in.
const SIZE_STEP_MM: Length = Length::from_mm(1);
const SIZE_STEP_INCH: Length = Length::from_nm(1_587_500);

/// The geometry of a print, in the orientation in which it will be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Finished size, turned if the print is.
    pub finished: Size,
    /// True if the print was turned to suit its picture.
    pub is_turned: bool,
    /// How far the picture goes beyond the finished size; negative where white is left around it.
    pub outset: Sides,
    /// Largest loss to cutting, a lab's enlargement, a frame's lip or the bar, measured from the picture's edge.
    pub cut_away: Sides,
    /// Distance from the picture's edge to where important things may begin; never less than `cut_away`.
    pub safe: Sides,
    /// Positions of the folds, from the picture's left edge.
    pub folds: Vec<Length>,
    /// Length lost on each side of a fold.
    pub gutter: Length,
    /// The least white on each side, where the whole picture is fitted within it; `None` where the picture fills the
    /// print.
    pub least_border: Option<Sides>,
    /// The picture's position in the frame; `None` while there is no picture.
    pub fit: Option<Fit>,
}

/// The fit of an upright picture in the frame: centred, cut on one axis at most.
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
    /// Share of the picture's height (top, bottom) or width (right, left) cut off at each side: top, right, bottom,
    /// left.
    pub lost_sides: [Share; 4],
    /// Lengths on paper cut off at each side: top, right, bottom, left.
    pub lost_lengths: [Length; 4],
}

impl Placement {
    /// Returns the geometry of a print without a picture.
    pub fn of_print(print: &Print) -> Placement {
        let margins = &print.requirements.margins;
        Placement::of_size(print.size, margins, outset(margins), false)
    }

    /// Returns the geometry of a print on an upright picture of this many pixels. Turns the print where that is allowed
    /// and loses less of the picture.
    pub fn of(print: &Print, picture_px: (u32, u32)) -> Placement {
        let straight = Placement::for_picture(print.size, &print.requirements.margins, false, picture_px);
        if print.may_be_rotated { straight.turned_for(print, picture_px).unwrap_or(straight) } else { straight }
    }

    /// Returns the print turned, although the brief does not let it turn, if it could be and would lose less of the
    /// picture.
    pub fn other_way(&self, print: &Print) -> Option<Placement> {
        let fit = self.fit.as_ref().filter(|_| !print.may_be_rotated)?;
        self.turned_for(print, fit.picture_px)
    }

    /// Returns the print turned, if that is possible and loses less, or loses the same and shows the picture larger.
    fn turned_for(&self, print: &Print, picture_px: (u32, u32)) -> Option<Placement> {
        let straight = self.fit.as_ref().filter(|_| can_turn(print))?;
        let turned = Placement::for_picture(print.size.turned(), &print.requirements.margins, true, picture_px);
        turned.fit.is_some_and(|fit| (fit.lost, fit.density) < (straight.lost, straight.density)).then_some(turned)
    }

    /// Returns the geometry of a canvas whose sides the printer mirrors or leaves plain, so that the face is the whole
    /// picture; `None` where the picture does not go round the bar.
    pub fn on_face_alone(&self, print: &Print) -> Option<Placement> {
        let fit = self.fit.as_ref().filter(|_| print.requirements.margins.goes_round())?;
        let margins = Margins { sides: WrapSides::Mirrored, ..print.requirements.margins.clone() };
        Some(Placement::for_picture(self.finished, &margins, self.is_turned, fit.picture_px))
    }

    /// Returns how far the picture goes beyond the finished size; zero on a side where white is left.
    pub fn bleed(&self) -> Sides {
        let beyond = |side: Length| side.max(Length::ZERO);
        let Sides { top, right, bottom, left } = self.outset;
        Sides { top: beyond(top), right: beyond(right), bottom: beyond(bottom), left: beyond(left) }
    }

    /// Returns a size cut to the picture's edge, turned where that loses less, without bleed or margins.
    pub fn without_margins(size: Size, picture_px: (u32, u32)) -> Placement {
        let of = |finished: Size, is_turned: bool| {
            let mut plain = Placement {
                finished,
                is_turned,
                outset: Sides::default(),
                cut_away: Sides::default(),
                safe: Sides::default(),
                folds: Vec::new(),
                gutter: Length::ZERO,
                least_border: None,
                fit: None,
            };
            plain.fit = plain.fit_covering(picture_px);
            plain
        };
        let (straight, turned) = (of(size, false), of(size.turned(), true));
        match (&straight.fit, &turned.fit) {
            (Some(one), Some(other)) if other.lost < one.lost => turned,
            _ => straight,
        }
    }

    /// Returns the geometry of a size on an upright picture of this many pixels.
    fn for_picture(finished: Size, margins: &Margins, turned: bool, picture_px: (u32, u32)) -> Placement {
        let mut placed = Placement::of_size(finished, margins, outset(margins), turned);
        match margins.fit {
            BorderFit::Fill => placed.fit = placed.fit_covering(picture_px),
            BorderFit::Inside => {
                if let Some((fit, outset)) = placed.fit_inside(picture_px) {
                    placed = Placement::of_size(finished, margins, outset, turned);
                    placed.fit = Some(fit);
                }
            }
        }
        placed
    }

    fn of_size(finished: Size, margins: &Margins, outset: Sides, is_turned: bool) -> Placement {
        let cut_away = cut_away_by(finished, margins, outset);
        let safe = combine(combine(outset, margins.safe, |out, safe| out + safe), cut_away, Length::max);
        Placement {
            finished,
            is_turned,
            outset,
            cut_away,
            safe,
            folds: margins.folds.iter().map(|fold| *fold + outset.left).collect(),
            gutter: margins.gutter,
            least_border: (margins.fit == BorderFit::Inside).then_some(margins.border),
            fit: None,
        }
    }

    /// Returns the size that the picture must cover: the finished size plus what goes beyond it.
    pub fn frame(&self) -> Size {
        Size::new(
            self.finished.width + self.outset.left + self.outset.right,
            self.finished.height + self.outset.top + self.outset.bottom,
            self.finished.unit,
        )
    }

    /// Returns a share of the picture's width or, unless `across`, of its height as a length on paper; zero while there
    /// is no picture.
    pub fn length_on_paper(&self, share: f64, across: bool) -> Length {
        let Some(fit) = self.fit.as_ref() else { return Length::ZERO };
        let px = f64::from(if across { fit.picture_px.0 } else { fit.picture_px.1 });
        let inches = share * px / fit.density.as_f64();
        Length::from_nm((inches * crate::units::length::NM_PER_INCH as f64).round() as i64)
    }

    /// Returns the pixels that the frame needs at a density, rounded to the nearest.
    pub fn needed_px(&self, ppi: Ppi) -> (u32, u32) {
        let frame = self.frame();
        (ppi.pixels(frame.width), ppi.pixels(frame.height))
    }

    /// Returns the largest print of this shape and these margins that this many upright pixels can fill at a density,
    /// rounded down to whole millimetres or sixteenths of an inch; `None` where nothing is left.
    pub fn largest_print(&self, picture_px: (u32, u32), ppi: Ppi) -> Option<Size> {
        let ratio = |length: Length| Ratio::from_integer(i128::from(length.nm()));
        let beyond = self.least_border.map_or(self.outset, negate);
        let factor =
            |px: u32, beyond: Length, finished: Length| (ratio(ppi.length_of(px)) - ratio(beyond)) / ratio(finished);
        let across = factor(picture_px.0, beyond.across(), self.finished.width);
        let down = factor(picture_px.1, beyond.down(), self.finished.height);
        // A picture that covers the frame must reach on both axes; one fitted within it fills only one axis.
        let factor = if self.least_border.is_some() { across.max(down) } else { across.min(down) };
        let step = if self.finished.unit.is_of_inches() { SIZE_STEP_INCH } else { SIZE_STEP_MM };
        let side = |finished: Length| {
            let nm = (ratio(finished) * factor).floor().to_integer();
            Length::from_nm(i64::try_from(nm).unwrap_or(0)).floor_to(step)
        };
        let size = Size::new(side(self.finished.width), side(self.finished.height), self.finished.unit);
        (size.width > Length::ZERO && size.height > Length::ZERO).then_some(size)
    }

    /// Fits the whole picture within the frame, as large as possible and centred. Also returns how far it then reaches
    /// beyond the finished size.
    fn fit_inside(&self, picture_px: (u32, u32)) -> Option<(Fit, Sides)> {
        let room = self.frame();
        let density = Ppi::over(picture_px.0, room.width)?.max(Ppi::over(picture_px.1, room.height)?);
        // Half of the remaining room goes to each side.
        let parted = |room: Length, px: u32| {
            let left = (room - density.length_of(px)).at_least_zero();
            let half = Length::from_nm(left.nm() / 2);
            (half, left - half)
        };
        let ((left, right), (top, bottom)) = (parted(room.width, picture_px.0), parted(room.height, picture_px.1));
        let outset = combine(self.outset, Sides { top, right, bottom, left }, |out, more| out - more);
        let whole = |px: u32| Ratio::from_integer(i128::from(px));
        let fit = Fit {
            picture_px,
            window_px: (whole(picture_px.0), whole(picture_px.1)),
            density,
            lost: Share::zero(),
            lost_sides: [Share::zero(); 4],
            lost_lengths: [Length::ZERO; 4],
        };
        Some((fit, outset))
    }

    /// Covers the frame with the picture, centred, so that no part of the frame is empty.
    fn fit_covering(&self, picture_px: (u32, u32)) -> Option<Fit> {
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

/// True if a print can be turned: never if it is square, folded, or its bleed or safe margin differs by side.
pub fn can_turn(print: &Print) -> bool {
    let margins = &print.requirements.margins;
    print.size.width != print.size.height
        && margins.folds.is_empty()
        && !margins.bleed.differ()
        && !margins.safe.differ()
}

/// Returns how far the picture goes beyond the finished size.
fn outset(margins: &Margins) -> Sides {
    match margins.edge {
        Edge::Bleed if margins.includes_bleed => margins.bleed,
        Edge::Bleed | Edge::Borderless => Sides::default(),
        Edge::Border => negate(margins.border),
        Edge::Wrap if margins.goes_round() => Sides::all(margins.wrap + WRAP_TURN_IN),
        Edge::Wrap => Sides::default(),
    }
}

/// Negates the length of each side.
fn negate(sides: Sides) -> Sides {
    combine(Sides::default(), sides, |zero, side| zero - side)
}

/// Returns what may be lost from the picture's edge.
fn cut_away_by(finished: Size, margins: &Margins, outset: Sides) -> Sides {
    let by_edge = match margins.edge {
        Edge::Bleed => combine(outset, Sides::all(margins.cut_tolerance), |out, off| out + off),
        Edge::Borderless => {
            let loss = |side: Length| side.scaled(BORDERLESS_LOSS_SHARE).max(MIN_BORDERLESS_LOSS);
            let (side, end) = (loss(finished.width), loss(finished.height));
            Sides { top: end, right: side, bottom: end, left: side }
        }
        Edge::Border => Sides::default(),
        Edge::Wrap if margins.goes_round() => outset,
        Edge::Wrap => Sides::all(WRAP_SHIFT),
    };
    let under_lip = combine(outset, Sides::all(margins.rebate), |out, hidden| (out + hidden).at_least_zero());
    let under_lip = if margins.rebate == Length::ZERO { Sides::default() } else { under_lip };
    combine(by_edge, under_lip, Length::max)
}

/// Joins two sets side by side.
fn combine(one: Sides, other: Sides, join: impl Fn(Length, Length) -> Length) -> Sides {
    Sides {
        top: join(one.top, other.top),
        right: join(one.right, other.right),
        bottom: join(one.bottom, other.bottom),
        left: join(one.left, other.left),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::judge::testing::print;

    fn mm(length: Length) -> f64 {
        length.mm()
    }

    fn book(margins: &str, print_keys: &str) -> Print {
        print(&format!(
            "[paper]\nstock = \"coated\"\n[margins]\n{margins}\n[[print]]\nsize = \"210 x 260 mm\"\n{print_keys}"
        ))
    }

    #[test]
    fn a_bleed_makes_the_frame_larger_and_is_cut_with_its_tolerance() {
        let page = book("edge = \"bleed\"\nbleed = \"3 mm\"\nsafe = \"5 mm\"\ncut_tolerance = \"1.6 mm\"", "");
        let placement = Placement::of(&page, (2551, 3142));
        assert_eq!(placement.frame().show(), "216 x 266 mm");
        assert_eq!(placement.needed_px(Ppi::whole(300)), (2551, 3142));
        assert_eq!(placement.cut_away.each().map(mm), [4.6; 4]);
        assert_eq!(placement.safe.each().map(mm), [8.0; 4]);
    }

    #[test]
    fn the_spine_of_a_left_page_is_on_its_right() {
        let sides =
            "edge = \"bleed\"\nbleed = { outer = \"3 mm\", top = \"3 mm\", bottom = \"3 mm\", spine = \"0 mm\" }";
        let left = Placement::of_print(&book(sides, "page = 12"));
        assert_eq!(left.outset.each().map(mm), [3.0, 0.0, 3.0, 3.0]);
        let right = Placement::of_print(&book(sides, "page = 13"));
        assert_eq!(right.outset.each().map(mm), [3.0, 3.0, 3.0, 0.0]);
        assert_eq!(left.frame().show(), "213 x 266 mm");
    }

    #[test]
    fn pictures_sent_without_bleed_cover_the_finished_size() {
        let page = book("edge = \"bleed\"\nbleed = \"3 mm\"\nincludes_bleed = false", "");
        assert_eq!(Placement::of_print(&page).frame().show(), "210 x 260 mm");
    }

    #[test]
    fn a_lab_takes_an_eighth_of_an_inch_or_one_per_cent_whichever_is_more() {
        let small = Placement::of_print(&print("[[print]]\nsize = \"8 x 10 in\""));
        assert_eq!(small.frame().show(), "8 x 10 in");
        assert_eq!(small.cut_away, Sides::all(MIN_BORDERLESS_LOSS));
        let large = Placement::of_print(&print("[[print]]\nsize = \"20 x 30 in\""));
        // Source: one lab guide's 2 %: 20 x 30 in loses 0.2 and 0.3 in a side.
        assert_eq!(large.cut_away.left.inches(), Ratio::new(1, 5));
        assert_eq!(large.cut_away.top.inches(), Ratio::new(3, 10));
    }

    #[test]
    fn a_border_leaves_less_for_the_picture() {
        let bordered = print("[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"11 x 14 in\"");
        let placement = Placement::of_print(&bordered);
        assert_eq!(placement.frame().show(), "9 x 12 in");
        assert!(placement.cut_away.is_zero());
    }

    #[test]
    fn a_picture_keeps_its_shape_inside_a_border_that_is_a_least() {
        let sheet = |margins: &str| {
            print(&format!(
                "[margins]\nedge = \"border\"\nfit = \"inside\"\n{margins}\n[[print]]\nsize = \"16 x 20 in\""
            ))
        };
        // Arithmetic: 2:3 in 14 x 18 in is 12 x 18 in, with 2 in of white left and right.
        let placement = Placement::of(&sheet("border = \"1 in\""), (3600, 5400));
        assert_eq!((placement.frame().show(), placement.finished.show()), ("12 x 18 in".into(), "16 x 20 in".into()));
        assert_eq!(placement.outset.each().map(Length::inches), [-1, -2, -1, -2].map(Ratio::from_integer));
        let fit = placement.fit.unwrap();
        assert_eq!((fit.density, fit.lost), (Ppi::whole(300), Share::zero()));
        assert_eq!(placement.needed_px(Ppi::whole(200)), (2400, 3600));
        let inch = |above: i64, below: i64| Length::from_nm(above * crate::units::length::NM_PER_INCH / below);
        // A wider bottom stays wider, and a landscape picture is printed on landscape paper.
        let wide = "border = { top = \"2 in\", right = \"2 in\", bottom = \"3 in\", left = \"2 in\" }";
        let lying = Placement::of(&sheet(wide), (3300, 3000));
        assert!(lying.is_turned);
        assert_eq!(lying.frame().show(), "12.1 x 11 in");
        assert_eq!(lying.outset.bottom - lying.outset.top, -Length::from_um(25_400));
        // 12 x 18 in carried at 200 ppi instead of 300: 18 x 27 in, and the border as it was.
        let carried =
            Placement::of(&sheet("border = \"1 in\""), (3600, 5400)).largest_print((3600, 5400), Ppi::whole(200));
        // 23.2 in is 23 and 3/16 in, rounded down.
        assert_eq!(carried.map(|size| (size.width, size.height)).unwrap(), (inch(371, 16), inch(29, 1)));
    }

    #[test]
    fn a_canvas_with_mirrored_or_plain_sides_takes_its_face_alone() {
        for sides in ["mirrored", "plain"] {
            let canvas = print(&format!("[margins]\nsides = \"{sides}\"\n[[print]]\nsize = \"500 x 700 mm\""));
            let placement = Placement::of_print(&canvas);
            assert_eq!(
                (canvas.requirements.margins.edge, placement.frame().show().as_str()),
                (Edge::Wrap, "500 x 700 mm")
            );
            assert_eq!(placement.cut_away, Sides::all(WRAP_SHIFT));
        }
    }

    #[test]
    fn a_canvas_is_carried_round_its_bar() {
        let canvas = print(
            "[paper]\nstock = \"canvas\"\n[margins]\nedge = \"wrap\"\nwrap = \"38 mm\"\n[[print]]\nsize = \"500 x \
             700 mm\"",
        );
        let placement = Placement::of_print(&canvas);
        assert_eq!(placement.frame().show(), "588 x 788 mm");
        assert_eq!(placement.cut_away.each().map(mm), [44.0; 4]);
    }

    #[test]
    fn a_frame_lip_takes_what_the_border_does_not_shield() {
        let framed = print(
            "[margins]\nedge = \"border\"\nborder = \"4 mm\"\nrebate = \"6 mm\"\n[[print]]\nsize = \"200 x 200 mm\"",
        );
        assert_eq!(Placement::of_print(&framed).cut_away.each().map(mm), [2.0; 4]);
    }

    #[test]
    fn folds_are_counted_from_the_edge_of_the_picture() {
        let spread = print(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\nfolds = [\"210 mm\"]\n\
             gutter = \"10 mm\"\n[[print]]\nsize = \"420 x 260 mm\"",
        );
        assert_eq!(Placement::of_print(&spread).folds, [Length::from_mm(213)]);
    }

    #[test]
    fn a_print_turns_where_it_may_and_where_that_loses_less() {
        let lab = print("[[print]]\nsize = \"8 x 10 in\"");
        let turned = Placement::of(&lab, (3000, 2400));
        assert!(turned.is_turned);
        assert_eq!(turned.finished.show(), "10 x 8 in");
        assert_eq!(turned.fit.unwrap().lost, Share::zero());
        assert!(!Placement::of(&lab, (2400, 3000)).is_turned);
        assert!(!Placement::of(&book("bleed = \"3 mm\"", ""), (3142, 2551)).is_turned);
    }

    type CropLoss = ((u32, u32), &'static str, (i128, i128));

    /// Source: arithmetic, 1 - min(a, b) / max(a, b) for a and b = long / short side; the picture's shape, the print's,
    /// and the share lost.
    const CROP_LOSSES: [CropLoss; 6] = [
        ((2000, 3000), "8 x 10 in", (1, 6)),
        ((2000, 3000), "9 x 12 in", (1, 9)),
        ((2000, 3000), "5 x 7 in", (1, 15)),
        ((2000, 3000), "10 x 10 in", (1, 3)),
        ((3000, 4000), "8 x 10 in", (1, 16)),
        ((4000, 5000), "10 x 10 in", (1, 5)),
    ];

    #[test]
    fn crop_losses_are_those_of_the_two_shapes() {
        for (px, size, (above, below)) in CROP_LOSSES {
            let print = print(&format!("[[print]]\nsize = \"{size}\""));
            let fit = Placement::of(&print, px).fit.unwrap();
            assert_eq!(fit.lost.ratio(), Ratio::new(above, below), "{px:?} as {size}");
        }
    }

    #[test]
    fn two_to_three_and_three_to_four_lose_the_same_to_an_a_size() {
        // Source: the two ratios multiply to 2 and an A size is the square root of it, within the whole millimetres of
        // ISO 216: 5.719 %.
        let a0 = print("[[print]]\nsize = \"A0\"");
        for px in [(2000, 3000), (3000, 4000)] {
            let lost = Placement::of(&a0, px).fit.unwrap().lost.as_f64();
            assert!((lost - 0.057_19).abs() < 0.000_4, "{px:?} loses {lost}");
        }
    }

    proptest! {
        #[test]
        fn the_window_lies_in_the_picture_and_has_the_shape_of_the_frame(w in 1_u32..20_000, h in 1_u32..20_000) {
            let placement = Placement::of(&print("[[print]]\nsize = \"8 x 10 in\""), (w, h));
            let fit = placement.fit.unwrap();
            prop_assert!(fit.window_px.0 <= Ratio::from_integer(i128::from(w)));
            prop_assert!(fit.window_px.1 <= Ratio::from_integer(i128::from(h)));
            let frame = placement.frame();
            prop_assert_eq!(
                fit.window_px.0 * Ratio::from_integer(i128::from(frame.height.nm())),
                fit.window_px.1 * Ratio::from_integer(i128::from(frame.width.nm()))
            );
        }

        #[test]
        fn what_a_file_carries_it_really_carries(w in 200_u32..9_000, h in 200_u32..9_000, bleed_mm in 0_i64..6) {
            let page = print(&format!(
                "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"{bleed_mm} mm\"\n[[print]]\nsize \
                 = \"210 x 260 mm\""
            ));
            let least = Ppi::whole(240);
            if let Some(size) = Placement::of(&page, (w, h)).largest_print((w, h), least) {
                let smaller = Placement::for_picture(size, &page.requirements.margins, false, (w, h)).fit.unwrap();
                prop_assert!(smaller.density >= least, "{} gives {:?}", size.show(), smaller.density);
            }
        }

        #[test]
        fn a_picture_that_keeps_its_shape_is_whole_within_the_border(
            w in 200_u32..9_000, h in 200_u32..9_000, bottom_mm in 20_i64..80
        ) {
            let sheet = print(&format!(
                "[margins]\nedge = \"border\"\nfit = \"inside\"\nborder = {{ top = \"20 mm\", right = \"20 mm\", \
                 bottom = \"{bottom_mm} mm\", left = \"20 mm\" }}\n[[print]]\nsize = \"300 x 400 mm\""
            ));
            let placement = Placement::of(&sheet, (w, h));
            let (fit, white) = (placement.fit.unwrap(), negate(placement.outset).each().map(mm));
            prop_assert_eq!((fit.lost, fit.lost_lengths), (Share::zero(), [Length::ZERO; 4]));
            let least = [20.0, 20.0, bottom_mm as f64, 20.0];
            prop_assert!(white.iter().zip(least).all(|(white, least)| *white >= least - 1e-5), "{white:?}");
            // One axis is full, and the picture is as wide for its height as its pixels are.
            let full = |one: usize, other: usize| (white[one] + white[other] - least[one] - least[other]).abs() < 1e-4;
            prop_assert!(full(0, 2) || full(1, 3), "{white:?}");
            let frame = placement.frame();
            prop_assert!((mm(frame.width) / mm(frame.height) / (f64::from(w) / f64::from(h)) - 1.0).abs() < 1e-4);
            if let Some(size) = placement.largest_print((w, h), Ppi::whole(240)) {
                let smaller = Placement::for_picture(size, &sheet.requirements.margins, false, (w, h)).fit;
                prop_assert!(smaller.is_none_or(|fit| fit.density >= Ppi::whole(240)), "{}", size.show());
            }
        }
    }
}
