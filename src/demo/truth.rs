//! Known properties of each generated picture: the numbers that a measurement has to find.
//! Shares are of the picture's area, lengths in px of the file, unless said otherwise.

/// A picture's one known property, with its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Truth {
    /// Nothing is wrong with it.
    Sound,
    /// A fault of the file itself, described in its words; the pixels are sound.
    InTheFile,
    /// A density at its print's size.
    Density {
        /// ppi on paper.
        ppi: f64,
    },
    /// The finished size without its bleed.
    WithoutBleed,
    /// A shape other than its print's.
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
        /// Share of the picture, exact before JPEG.
        share: f64,
    },
    /// Pure white in small glints only, which is not a fault.
    Sparkle {
        /// Share of the picture, all glints together, exact before JPEG.
        share: f64,
    },
    /// Red clipped alone, where green and blue are not.
    RedClipped {
        /// Share of the picture, exact before JPEG.
        share: f64,
    },
    /// Cells of 8 x 8 px darker than a paper's black.
    Dense {
        /// The paper's black, D.
        dmax: f64,
        /// Share of the picture, exact before JPEG.
        share: f64,
    },
    /// The dish reaches into the bleed: trimming may cut it.
    InTrim,
    /// The dish is clear of the trim but within the safe margin.
    InSafe,
    /// The dish crosses the fold.
    AcrossFold,
    /// A border painted into the picture, this wide after the trim.
    Bordered {
        /// Width in the file, px.
        width_px: usize,
        /// Width that remains after the trim, mm.
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
        /// Linear factor of enlargement.
        factor: f64,
    },
    /// Grain.
    Noisy {
        /// Standard deviation of the luma that was added, 8-bit levels.
        sigma_levels: f64,
    },
    /// Saved once at a poor quality, then at a good one.
    Blocks {
        /// Quality of the first save, 1 to 100.
        quality: u8,
        /// Pixels cropped from the left and the top between the two saves.
        cut_px: (usize, usize),
    },
    /// The frame taken after another picture of the shoot.
    NextFrame {
        /// The other picture's name.
        of: &'static str,
    },
    /// Linear red and blue multiplied: a white unlike the rest of its set-up.
    Cast {
        /// Factor on red.
        red: f64,
        /// Factor on blue.
        blue: f64,
    },
}

/// The dish's bounding box as shares of the picture's width and height, from its left and its top.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DishBox {
    /// Left edge.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Right edge, from left.
    pub right: f64,
    /// Bottom edge, from top.
    pub bottom: f64,
}

/// The known facts of one file of the shoot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The file's name.
    pub name: &'static str,
    /// The finding that a check must make, in words.
    pub expected: &'static str,
    /// The same finding in numbers.
    pub truth: Truth,
    /// The dish's position, for whole dishes whose position matters.
    pub dish: Option<DishBox>,
}
