//! The words that a brief uses for each choice, one table a choice.

use crate::colour::Encoding;

use super::model::{Background, Crop, VersionPolicy};
use super::requirements::{
    BorderFit, Edge, Level, LocationRequirement, Process, Sharpened, Space, Stock, Surface, WrapSides,
};

/// Gives a choice its words: `ALL`, `WORDS`, `word` and `from_word`.
macro_rules! words {
    ($choice:ident { $($one:expr => $word:literal,)+ }) => {
        impl $choice {
            /// Every one, in the order in which a brief's choices are listed.
            pub const ALL: &[$choice] = &[$($one),+];
            /// The word of each, in the same order.
            pub const WORDS: &[&str] = &[$($word),+];

            /// Returns the word in a brief and in JSON.
            pub fn word(self) -> &'static str {
                $choice::ALL.iter().zip($choice::WORDS).find(|(one, _)| **one == self).map_or("", |(_, word)| word)
            }

            /// From the word in a brief.
            pub fn from_word(word: &str) -> Option<$choice> {
                $choice::ALL.iter().zip($choice::WORDS).find(|(_, known)| **known == word).map(|(one, _)| *one)
            }
        }
    };
}

words!(Level {
    Level::Off => "off",
    Level::Note => "note",
    Level::Should => "should",
    Level::Must => "must",
});

words!(Stock {
    Stock::PhotoPaper => "photo paper",
    Stock::Cotton => "cotton",
    Stock::Canvas => "canvas",
    Stock::Metal => "metal",
    Stock::Acrylic => "acrylic",
    Stock::Wood => "wood",
    Stock::Coated => "coated",
    Stock::Uncoated => "uncoated",
    Stock::Newsprint => "newsprint",
});

words!(Surface {
    Surface::Gloss => "gloss",
    Surface::Lustre => "lustre",
    Surface::Matte => "matte",
});

words!(Process {
    Process::SilverHalide => "silver halide",
    Process::Inkjet => "inkjet",
    Process::DyeSublimation => "dye sublimation",
    Process::Offset => "offset",
    Process::Toner => "toner",
});

impl Process {
    /// True if tones are made of dots on a grid, on a sheet that is cut after printing.
    pub const fn is_press(self) -> bool {
        matches!(self, Process::Offset | Process::Toner)
    }
}

words!(Space {
    Space::Rgb(Encoding::Srgb) => "srgb",
    Space::Rgb(Encoding::AdobeRgb) => "adobe rgb",
    Space::Rgb(Encoding::DisplayP3) => "display p3",
    Space::Rgb(Encoding::ProPhoto) => "prophoto rgb",
    Space::Rgb(Encoding::EciRgbV2) => "eci rgb v2",
    Space::Grey => "grey",
    Space::Cmyk => "cmyk",
    Space::Paper => "paper",
});

words!(Edge {
    Edge::Bleed => "bleed",
    Edge::Borderless => "borderless",
    Edge::Border => "border",
    Edge::Wrap => "wrap",
});

words!(BorderFit {
    BorderFit::Fill => "fill",
    BorderFit::Inside => "inside",
});

words!(WrapSides {
    WrapSides::Picture => "picture",
    WrapSides::Mirrored => "mirrored",
    WrapSides::Plain => "plain",
});

words!(Crop {
    Crop::ByPhotographer => "by the photographer",
    Crop::ByDesigner => "by the designer",
});

words!(Background {
    Background::White => "white",
});

words!(Sharpened {
    Sharpened::ByPhotographer => "by the photographer",
    Sharpened::ByThePrinter => "by the printer",
});

words!(LocationRequirement {
    LocationRequirement::Allowed => "allowed",
    LocationRequirement::None => "none",
});

words!(VersionPolicy {
    VersionPolicy::Ask => "ask",
    VersionPolicy::Newest => "newest",
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back_to_its_choice() {
        for stock in Stock::ALL {
            assert_eq!(Stock::from_word(stock.word()), Some(*stock));
        }
        for space in Space::ALL {
            assert_eq!(Space::from_word(space.word()), Some(*space));
            if let Space::Rgb(encoding) = space {
                assert_eq!(space.word(), encoding.word());
            }
        }
        assert_eq!(Edge::from_word("trim"), None);
        assert_eq!(Level::from_word("must"), Some(Level::Must));
    }
}
