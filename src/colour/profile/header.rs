//! The class and the colour space that a profile's header names, and why a profile is refused.

/// The class in a profile's header. Source: ICC.1:2022 section 7.2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ProfileClass {
    /// `scnr`.
    Input,
    /// `mntr`.
    Display,
    /// `prtr`.
    Output,
    /// `link`.
    Link,
    /// `spac`.
    Space,
    /// `abst`, `nmcl` or anything else.
    Other,
}

impl ProfileClass {
    /// Returns the word in JSON and on the screen.
    pub const fn word(self) -> &'static str {
        match self {
            ProfileClass::Input => "input",
            ProfileClass::Display => "display",
            ProfileClass::Output => "output",
            ProfileClass::Link => "link",
            ProfileClass::Space => "space",
            ProfileClass::Other => "other",
        }
    }
}

/// The data colour space in a profile's header. Source: ICC.1:2022 section 7.2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ProfileSpace {
    /// Red, green, blue.
    Rgb,
    /// Grey.
    Grey,
    /// Cyan, magenta, yellow, black.
    Cmyk,
    /// CIELAB.
    Lab,
    /// Anything else.
    Other,
}

impl ProfileSpace {
    /// Returns the word in JSON and on the screen.
    pub const fn word(self) -> &'static str {
        match self {
            ProfileSpace::Rgb => "rgb",
            ProfileSpace::Grey => "grey",
            ProfileSpace::Cmyk => "cmyk",
            ProfileSpace::Lab => "lab",
            ProfileSpace::Other => "other",
        }
    }

    /// Returns the name as a person writes it.
    pub const fn name(self) -> &'static str {
        match self {
            ProfileSpace::Rgb => "RGB",
            ProfileSpace::Grey => "greyscale",
            ProfileSpace::Cmyk => "CMYK",
            ProfileSpace::Lab => "Lab",
            ProfileSpace::Other => "another colour model",
        }
    }
}

/// Why a profile's bytes are refused, in words.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct ProfileFault(pub String);

impl From<lcms2::Error> for ProfileFault {
    /// Says that the colour engine refuses a profile.
    fn from(_: lcms2::Error) -> ProfileFault {
        ProfileFault::new("the profile cannot be used: the colour engine does not take it")
    }
}

impl ProfileFault {
    /// Creates a fault from a description in words.
    pub(crate) fn new(words: impl Into<String>) -> ProfileFault {
        ProfileFault(words.into())
    }
}
