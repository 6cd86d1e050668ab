//! The pictures of the note cards, the folded card and the place cards that are sold at the school's door: the faults
//! that pixels can have, one in each. Their sizes and paintings are in `shoot`.

use painter::Rect;

use crate::demo::darkroom::Treatment;
use crate::demo::picture::{Chroma, FileKind, Picture, SOUND, words};
use crate::demo::truth::{DishBox, Truth};

/// A note card, 100 x 130 mm with 3 mm bleed at 300 ppi.
pub(super) const CARD_PX: (usize, usize) = (1252, 1606);

/// Returns a note card's area in a painting.
const fn card_at(left: usize, top: usize) -> Option<Rect> {
    Some(Rect { left, top, width_px: CARD_PX.0, height_px: CARD_PX.1 })
}

const BLOWN: f64 = 0.031;

pub(super) const SUNLIT_LEEKS: Picture = Picture {
    name: "card-01-leeks-in-the-sun.jpg",
    words: words("Brown butter leeks, the sun on them"),
    treatment: Treatment::Overexposed { centre: (0.45, 0.47), reach: 0.35, share: BLOWN },
    expected: "3.1 % blown white on the dish (tone.highlights)",
    truth: Truth::Blown { share: BLOWN },
    dish: Some(DishBox { left: 0.0782, top: 0.2700, right: 0.9122, bottom: 0.7908 }),
    ..SOUND
};

const SPARKLE: f64 = 0.004;

pub(super) const WET_OYSTERS: Picture = Picture {
    name: "card-02-oysters-wet.jpg",
    part: card_at(1308, 879),
    kind: FileKind::Jpeg { quality: 98, chroma: Chroma::Full },
    words: words("Oysters, wet"),
    treatment: Treatment::Glinting { share: SPARKLE },
    expected: "PASS: 0.4 % pure white, all of it glints",
    truth: Truth::Sparkle { share: SPARKLE },
    ..SOUND
};

const RED_CLIPPED: f64 = 0.035;

pub(super) const RED_BROTH: Picture = Picture {
    name: "card-03-broth-and-bread.jpg",
    part: card_at(1000, 330),
    words: words("Barley broth and bread"),
    treatment: Treatment::Reddened { share: RED_CLIPPED },
    expected: "PASS with a note: red alone is clipped on 3.5 % (tone.highlights)",
    truth: Truth::RedClipped { share: RED_CLIPPED },
    ..SOUND
};

pub(super) const TART_IN_TRIM: Picture = Picture {
    name: "card-04-tart.jpg",
    words: words("Plum tart, to the left"),
    expected: "the plate reaches 1.6 mm into the bleed at the left (margins.trim)",
    truth: Truth::InTrim,
    dish: Some(DishBox { left: 0.0133, top: 0.2660, right: 0.8093, bottom: 0.7759 }),
    ..SOUND
};

pub(super) const BROTH_IN_SAFE: Picture = Picture {
    name: "card-05-broth.jpg",
    words: words("Barley broth, from above"),
    expected: "the plate ends 2.5 mm inside the cut at the foot, 5 mm required (margins.safe)",
    truth: Truth::InSafe,
    dish: Some(DishBox { left: 0.0838, top: 0.4369, right: 0.9162, bottom: 0.9597 }),
    ..SOUND
};

/// Width of 3 mm of bleed and the remaining 1.5 mm, at 300 ppi.
const BORDER_PX: usize = 53;

pub(super) const BORDERED_CREPES: Picture = Picture {
    name: "card-06-crepes-bordered.jpg",
    part: card_at(60, 420),
    words: words("Crepes and berries"),
    treatment: Treatment::Bordered { width_px: BORDER_PX },
    expected: "a border in the picture comes out 1.5 mm wide (margins.frame)",
    truth: Truth::Bordered { width_px: BORDER_PX, left_mm: 1.5 },
    ..SOUND
};

const MISSED_FOCUS_PX: f64 = 3.0;

pub(super) const SOFT_MACKEREL: Picture = Picture {
    name: "card-07-mackerel.jpg",
    part: card_at(650, 0),
    words: words("Mackerel on rye, one slice"),
    treatment: Treatment::Defocused { blur_px: MISSED_FOCUS_PX },
    expected: "focus missed: blurred by 3 px all over (detail.focus)",
    truth: Truth::Soft { blur_px: MISSED_FOCUS_PX },
    ..SOUND
};

const MASK_PX: f64 = 3.0;

pub(super) const SHARPENED_CREPES: Picture = Picture {
    name: "card-08-crepes.jpg",
    words: words("Crepes, from the other side"),
    treatment: Treatment::Sharpened { radius_px: MASK_PX, amount: 6.0 },
    expected: "sharpened until edges overshoot by 30 % (detail.halo)",
    truth: Truth::Halo { share: 0.30, radius_px: MASK_PX },
    ..SOUND
};

pub(super) const ENLARGEMENT: f64 = 1.8;

pub(super) const ENLARGED_OYSTERS: Picture = Picture {
    name: "card-09-oysters.jpg",
    words: words("Oyster board, upright"),
    treatment: Treatment::Enlarged { factor: ENLARGEMENT, width_px: CARD_PX.0, height_px: CARD_PX.1 },
    expected: "enlarged 1.8 x: as good as 696 x 892 px (detail.enlarged)",
    truth: Truth::Enlarged { factor: ENLARGEMENT },
    ..SOUND
};

const GRAIN_LEVELS: f64 = 8.0;

pub(super) const GRAINY_OYSTERS: Picture = Picture {
    name: "card-10-oysters-late.jpg",
    part: card_at(180, 0),
    kind: FileKind::Jpeg { quality: 97, chroma: Chroma::Full },
    words: words("Oysters, late"),
    treatment: Treatment::Grained { sigma_levels: GRAIN_LEVELS },
    expected: "grain of 8 levels (detail.noise)",
    truth: Truth::Noisy { sigma_levels: GRAIN_LEVELS },
    ..SOUND
};

const POOR: u8 = 25;

pub(super) const BLOCKY_LEEKS: Picture = Picture {
    name: "card-11-leeks-forwarded.jpg",
    part: card_at(700, 0),
    words: words("Leeks and hazelnuts"),
    treatment: Treatment::Resaved { quality: POOR, cut_px: (0, 0) },
    expected: "saved at quality 25, then at 95: block edges (detail.blocks)",
    truth: Truth::Blocks { quality: POOR, cut_px: (0, 0) },
    ..SOUND
};

const CUT_PX: (usize, usize) = (2, 6);

pub(super) const BLOCKY_TABLE: Picture = Picture {
    name: "card-12-table-forwarded.jpg",
    part: Some(Rect { left: 675, top: 1159, width_px: CARD_PX.0 + CUT_PX.0, height_px: CARD_PX.1 + CUT_PX.1 }),
    words: words("Tart and broth on the table"),
    treatment: Treatment::Resaved { quality: POOR, cut_px: CUT_PX },
    expected: "saved at quality 25, cut, then saved at 95: block edges off the file's own grid (detail.blocks)",
    truth: Truth::Blocks { quality: POOR, cut_px: CUT_PX },
    ..SOUND
};

pub(super) const FOLDED_TART: Picture = Picture {
    name: "folded-01-tart.jpg",
    words: words("Plum tart, for a folded card"),
    expected: "the dish lies across the fold (margins.fold)",
    truth: Truth::AcrossFold,
    dish: Some(DishBox { left: 0.1430, top: 0.1981, right: 0.8570, bottom: 0.8690 }),
    ..SOUND
};

const UNCOATED_BLACK_D: f64 = 1.28;
const DARK: f64 = 0.70;

pub(super) const EVENING_RYE: Picture = Picture {
    name: "evening-01-rye.jpg",
    part: card_at(620, 760),
    words: words("Rye by candlelight"),
    treatment: Treatment::Darkened { centre: (0.5, 0.42), dmax: UNCOATED_BLACK_D, share: DARK },
    expected: "70 % lies below the black of uncoated paper (tone.shadows, tone.paper); sound on photo paper",
    truth: Truth::Dense { dmax: UNCOATED_BLACK_D, share: DARK },
    ..SOUND
};

const fn place(name: &'static str, caption: &'static str) -> Picture {
    Picture { name, words: words(caption), expected: "PASS: one of six pictures of one set-up", ..SOUND }
}

pub(super) const PLACE_TART: Picture = place("place-01-tart.jpg", "The tart's place");
pub(super) const PLACE_BROTH: Picture = place("place-02-broth.jpg", "The broth's place");
pub(super) const PLACE_JUG: Picture = place("place-03-jug.jpg", "The jug's place");
pub(super) const PLACE_KNIFE: Picture = place("place-05-knife.jpg", "Knife and fork");
pub(super) const PLACE_PLATE: Picture = place("place-04-plate.jpg", "A plate's place");

const CAST: (f64, f64) = (1.10, 0.90);

pub(super) const PLACE_WARM: Picture = Picture {
    treatment: Treatment::Tinted { red: CAST.0, blue: CAST.1 },
    expected: "warmer than the other five of its set-up: red x 1.10, blue x 0.90 (set.outlier)",
    truth: Truth::Cast { red: CAST.0, blue: CAST.1 },
    ..place("place-06-plate.jpg", "The last place")
};

pub(super) const PLACE_TART_AGAIN: Picture = Picture {
    expected: "the next frame of place-01-tart.jpg (set.duplicate)",
    truth: Truth::NextFrame { of: PLACE_TART.name },
    ..place("place-07-tart.jpg", "The tart's place")
};
