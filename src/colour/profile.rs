//! Facts of an ICC profile, read only after its header and tag table were checked.
//!
//! Reads in safe code alone; the colour engine gets no byte that was not checked here first.

use std::num::NonZeroUsize;
use std::sync::OnceLock;

use lru::LruCache;
use parking_lot::Mutex;
use sha2::{Digest, Sha256};

use super::{Encoding, GridColours};

mod header;
mod recognise;
mod tags;

pub use header::{ProfileClass, ProfileFault, ProfileSpace};
pub use tags::{CheckedProfile, MAX_BYTES};

/// Profiles whose facts are remembered: a folder seldom mixes more.
const REMEMBERED: NonZeroUsize = NonZeroUsize::new(64).unwrap();

/// Checks a profile's bytes and says what it is. The facts of the last few profiles are remembered by their digest.
///
/// # Errors
/// Says what makes the bytes no sound profile.
pub fn read(bytes: &[u8]) -> Result<ProfileFacts, ProfileFault> {
    static SEEN: OnceLock<Mutex<LruCache<[u8; 32], ProfileFacts>>> = OnceLock::new();
    if bytes.len() > MAX_BYTES {
        return Err(tags::too_large(bytes.len()));
    }
    let digest = Sha256::digest(bytes);
    let seen = SEEN.get_or_init(|| Mutex::new(LruCache::new(REMEMBERED)));
    if let Some(facts) = seen.lock().get(digest.as_slice()) {
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
        sha256: format!("{digest:x}"),
        grid: GridColours::of(&checked),
    };
    seen.lock().put(digest.into(), facts.clone());
    Ok(facts)
}

/// Facts of a profile.
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
    /// The colours that it gives a grid of samples; `None` where the engine cannot use it.
    pub grid: Option<GridColours>,
}

impl ProfileFacts {
    /// Returns the name to show: the encoding's if it is recognised, else the description.
    pub fn name(&self) -> &str {
        match self.known_as {
            Some(encoding) => encoding.name(),
            None if self.description.is_empty() => "a profile without a name",
            None => &self.description,
        }
    }
}
