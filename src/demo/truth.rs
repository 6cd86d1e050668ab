//! What is known about each picture because it was made so: the numbers that a measure has to find.
//! Shares are of the picture's area, lengths in px of the file, unless said otherwise.

/// The one thing about a picture, sized.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Truth {
    /// Nothing is wrong with it.
    Sound,
    /// Something in the file itself, which its words say; the pixels are sound.
    InTheFile,
    /// So many pixels to the inch of its print.
    Density {
        /// ppi on paper.
        ppi: f64,
    },
    /// The finished size without its bleed.
    WithoutBleed,
    /// Another shape than its print.
    Cropped {
        /// Share that a centred crop loses.
        lost: f64,
    },
    /// JPEG saved too poorly.
    Quality {
        /// The encoder's quality, 1 to 100.
        quality: u8,
    },
    /// Pure white in regions on the dish.
    Blown {
        /// Their share of the picture, exact before JPEG.
        share: f64,
    },
    /// Pure white in small glints only: nothing to answer for.
    Sparkle {
        /// Their share of the picture together, exact before JPEG.
        share: f64,
    },
    /// Red alone at its end, where green and blue are not.
    RedClipped {
        /// Its share of the picture, exact before JPEG.
        share: f64,
    },
    /// Cells of 8 x 8 px darker than a paper's black.
    Dense {
        /// The paper's black, D.
        black_d: f64,
        /// Their share of the picture, exact before JPEG.
        share: f64,
    },
    /// The dish reaches into the bleed: cutting may take it.
    InTrim,
    /// The dish stands clear of the cut but within the safe margin.
    InSafe,
    /// The dish lies across the fold.
    AcrossFold,
    /// A border painted into the picture, coming out this wide after the cut.
    Bordered {
        /// Width in the file, px.
        width_px: usize,
        /// Width of what the cut leaves, mm.
        left_mm: f64,
    },
    /// Focus missed everywhere.
    Soft {
        /// Standard deviation of the blur, px.
        blur_px: f64,
    },
    /// Sharpened far too much.
    Halo {
        /// Overshoot beside edges as a share of their step, found by measuring.
        share: f64,
        /// Standard deviation of the mask, px.
        radius_px: f64,
    },
    /// Enlarged by bicubic interpolation.
    Enlarged {
        /// How many times.
        factor: f64,
    },
    /// Grain.
    Noisy {
        /// Standard deviation of the luma that was added, 8-bit levels.
        sigma_levels: f64,
    },
    /// Saved poorly once, then saved well.
    Blocks {
        /// The first saving's quality, 1 to 100.
        quality: u8,
        /// What was cut off at the left and the top between both, px.
        cut_px: (usize, usize),
    },
    /// The next frame of another picture of the shoot.
    NextFrame {
        /// That picture's name.
        of: &'static str,
    },
    /// Linear red and blue multiplied: another white than the rest of its set-up.
    Cast {
        /// Factor on red.
        red: f64,
        /// Factor on blue.
        blue: f64,
    },
}

/// The dish's box as shares of the picture's width and height, from its left and its top.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DishBox {
    /// From the left.
    pub left: f64,
    /// From the top.
    pub top: f64,
    /// From the left.
    pub right: f64,
    /// From the top.
    pub bottom: f64,
}

/// Everything known about one file of the shoot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// Its name.
    pub name: &'static str,
    /// What a check has to find, in words.
    pub said: &'static str,
    /// The same in numbers.
    pub truth: Truth,
    /// Where the dish is, for whole dishes whose place matters.
    pub dish: Option<DishBox>,
}
