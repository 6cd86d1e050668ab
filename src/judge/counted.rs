//! What was counted of a picture: a little of it at hand, the whole wherever whoever counted it keeps it.

use std::fmt::Debug;
use std::sync::Arc;

use crate::judge::impression::Impression;
use crate::measure::{Evidence, Grid};

/// Where all that was counted of a picture lies. Thousands of pictures' would fill the memory, so it may be elsewhere.
pub trait Whole: Debug + Send + Sync {
    /// All of it; `None` where it is lost and the picture must be read again.
    fn evidence(&self) -> Option<Arc<Evidence>>;
}

/// What was counted of a picture.
#[derive(Clone, Debug)]
pub struct Counted {
    /// SHA-256 of the file's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// What tells its pixels from others' (`Evidence::pixels`).
    pub pixels: String,
    /// What it looks like as a whole, as far as pictures of one order are compared.
    pub impression: Option<Impression>,
    /// Its small grey picture (`Look::small`).
    pub small: Grid<u8>,
    whole: Arc<dyn Whole>,
}

impl Counted {
    /// Of evidence that lies elsewhere.
    pub fn elsewhere(evidence: &Evidence, whole: Arc<dyn Whole>) -> Counted {
        Counted {
            sha256: evidence.sha256.clone(),
            pixels: evidence.pixels.clone(),
            impression: Impression::of(&evidence.look),
            small: evidence.look.small.clone(),
            whole,
        }
    }

    /// Of evidence that stays in memory.
    pub fn here(evidence: Evidence) -> Counted {
        let evidence = Arc::new(evidence);
        Counted::elsewhere(&evidence, Arc::new(Here(evidence.clone())))
    }

    /// All of it; `None` where it is lost.
    pub fn evidence(&self) -> Option<Arc<Evidence>> {
        self.whole.evidence()
    }
}

/// The rest follows from the pixels.
impl PartialEq for Counted {
    fn eq(&self, other: &Counted) -> bool {
        (&self.sha256, &self.pixels) == (&other.sha256, &other.pixels)
    }
}

#[derive(Debug)]
struct Here(Arc<Evidence>);

impl Whole for Here {
    fn evidence(&self) -> Option<Arc<Evidence>> {
        Some(self.0.clone())
    }
}
