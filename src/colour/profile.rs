//! What an ICC profile says of itself, read only after its header and tag table were checked.
//!
//! Reads in safe code alone; the colour engine gets no byte that was not checked here first.

use std::num::NonZeroUsize;
use std::sync::OnceLock;

use lru::LruCache;
use parking_lot::Mutex;
use sha2::{Digest, Sha256};

use super::{Encoding, GridColours};

mod recognise;
mod tags;

pub use tags::{BYTES_MOST, CheckedProfile};

/// Profiles whose facts are remembered: a folder seldom mixes more.
const REMEMBERED: NonZeroUsize = NonZeroUsize::new(64).unwrap();

/// Checks a profile's bytes and says what it is. The facts of the last few profiles are remembered by their digest.
///
/// # Errors
/// Says what makes the bytes no sound profile.
pub fn read(bytes: &[u8]) -> Result<ProfileFacts, ProfileFault> {
    static SEEN: OnceLock<Mutex<LruCache<String, ProfileFacts>>> = OnceLock::new();
    if bytes.len() > BYTES_MOST {
        return Err(tags::too_large(bytes.len()));
    }
    let sha256 = format!("{:x}", Sha256::digest(bytes));
    let seen = SEEN.get_or_init(|| Mutex::new(LruCache::new(REMEMBERED)));
    if let Some(facts) = seen.lock().get(&sha256) {
        return Ok(facts.clone());
    }
    let checked = CheckedProfile::new(bytes)?;
    let known_as = recognise::encoding(&checked);
    let facts = ProfileFacts {
        description: checked.description(),
        class: checked.class(),
        space: checked.space(),
        bytes: bytes.len(),
        known_as,
        sha256: sha256.clone(),
        meant: GridColours::of(&checked),
    };
    seen.lock().put(sha256, facts.clone());
    Ok(facts)
}

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
    /// The word in JSON and on the screen.
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

/// The data colour space in a profile's header.
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
    /// The word in JSON and on the screen.
    pub const fn word(self) -> &'static str {
        match self {
            ProfileSpace::Rgb => "rgb",
            ProfileSpace::Grey => "grey",
            ProfileSpace::Cmyk => "cmyk",
            ProfileSpace::Lab => "lab",
            ProfileSpace::Other => "other",
        }
    }
}

impl ProfileSpace {
    /// As a person writes it.
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

/// What a profile says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProfileFacts {
    /// Its description, as stored; foreign text.
    pub description: String,
    /// Class of device.
    pub class: ProfileClass,
    /// The space of its data.
    pub space: ProfileSpace,
    /// Bytes of the profile.
    pub bytes: usize,
    /// The encoding whose numbers it carries.
    pub known_as: Option<Encoding>,
    /// SHA-256 of its bytes, lower-case hexadecimal.
    pub sha256: String,
    /// What it makes of a grid of samples; `None` where the engine cannot ask it.
    pub meant: Option<GridColours>,
}

impl ProfileFacts {
    /// The name to show: the encoding's if it is recognised, else the description.
    pub fn name(&self) -> &str {
        match self.known_as {
            Some(encoding) => encoding.name(),
            None if self.description.is_empty() => "a profile without a name",
            None => &self.description,
        }
    }
}

/// Why profile bytes cannot be trusted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct ProfileFault(pub String);

impl ProfileFault {
    /// In words.
    pub(crate) fn new(words: impl Into<String>) -> ProfileFault {
        ProfileFault(words.into())
    }
}
