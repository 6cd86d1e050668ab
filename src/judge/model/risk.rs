//! What may go wrong at one place of a print and is seen on a test print alone.

/// What may go wrong at one place of a print, and what a strip of a test print shows of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Risk {
    /// Detail merges in the paper's black.
    Shadows,
    /// Light detail runs into the paper's white.
    Highlights,
    /// The paper holds other colours.
    Colours,
    /// Edges are crisp, or soft.
    Edges,
    /// Grain in calm places.
    Noise,
    /// What the picture is about.
    Subject,
}

impl Risk {
    /// What it is called on a sheet.
    pub const fn word(self) -> &'static str {
        match self {
            Risk::Shadows => "shadows",
            Risk::Highlights => "highlights",
            Risk::Colours => "colours",
            Risk::Edges => "edges",
            Risk::Noise => "calm tones",
            Risk::Subject => "subject",
        }
    }

    /// What to look for.
    pub const fn look_for(self) -> &'static str {
        match self {
            Risk::Shadows => "does the dark detail part, or is it one dark area?",
            Risk::Highlights => "is there still tone in the light parts?",
            Risk::Colours => "is it the colour you want, or dull and off?",
            Risk::Edges => "clear without light or dark seams?",
            Risk::Noise => "smooth at reading distance, no grain or bands?",
            Risk::Subject => "is it sharp and does it look good to eat?",
        }
    }
}
