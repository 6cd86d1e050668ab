//! Risks at one place of a print that are seen on a test print only.

/// A risk at one place of a print, which a strip of a test print shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Risk {
    /// Detail merges in the paper's black.
    Shadows,
    /// Light detail runs into the paper's white.
    Highlights,
    /// Colours change on the paper.
    Colours,
    /// Edges may be too crisp, or soft.
    Edges,
    /// Grain shows in calm places.
    Noise,
    /// The main subject.
    Subject,
}

impl Risk {
    /// Returns its name on a sheet.
    pub const fn word(self) -> &'static str {
        match self {
            Risk::Shadows => "shadows",
            Risk::Highlights => "highlights",
            Risk::Colours => "colours",
            Risk::Edges => "edges",
            Risk::Noise => "smooth tones",
            Risk::Subject => "subject",
        }
    }

    /// Returns what to look for.
    pub const fn look_for(self) -> &'static str {
        match self {
            Risk::Shadows => "can you tell dark details apart, or is it one dark area?",
            Risk::Highlights => "is there still tone in the light parts?",
            Risk::Colours => "is it the colour you want, or dull and off?",
            Risk::Edges => "clean, without light or dark seams?",
            Risk::Noise => "smooth at reading distance, no grain or bands?",
            Risk::Subject => "is it sharp and does it look good to eat?",
        }
    }
}
