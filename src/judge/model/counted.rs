//! What was counted of a picture: a little of it at hand, the whole wherever whoever counted it keeps it.

use std::fmt::Debug;
use std::sync::Arc;

use parking_lot::Mutex;

use crate::judge::metrics::changes::{ColourChanges, ColourQuestion};
use crate::judge::metrics::impression::Impression;
use crate::measure::Evidence;

/// Where all that was counted of a picture lies. Thousands of pictures' would fill the memory, so it may be elsewhere.
pub trait EvidenceSource: Debug + Send + Sync {
    /// All of it; `None` where it is lost and the picture must be read again.
    fn evidence(&self) -> Option<Arc<Evidence>>;
}

/// What was counted of a picture.
#[derive(Debug)]
pub struct EvidenceHandle {
    /// SHA-256 of the file's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// What tells its pixels from others' (`Evidence::pixels`).
    pub pixels: String,
    /// What it looks like as a whole, as far as pictures of one order are compared.
    pub impression: Option<Impression>,
    /// Rows at its end that stand for lost ones (`Evidence::lost_rows`).
    pub lost_rows: u32,
    /// Answers about its colours by their questions, the newest last.
    known: Mutex<Vec<(String, Arc<ColourChanges>)>>,
    whole: Arc<dyn EvidenceSource>,
}

/// Answers that are kept with a picture: of every paper of a large order, and of some that were tried. No source.
const MOST_KNOWN: usize = 16;

impl EvidenceHandle {
    /// Of evidence that lies elsewhere.
    pub fn elsewhere(evidence: &Evidence, whole: Arc<dyn EvidenceSource>) -> EvidenceHandle {
        EvidenceHandle {
            sha256: evidence.sha256.clone(),
            pixels: evidence.pixels.clone(),
            impression: Impression::of(&evidence.look),
            lost_rows: evidence.lost_rows,
            known: Mutex::default(),
            whole,
        }
    }

    /// Of evidence that stays in memory.
    pub fn here(evidence: Evidence) -> EvidenceHandle {
        let evidence = Arc::new(evidence);
        EvidenceHandle::elsewhere(&evidence, Arc::new(Here(evidence.clone())))
    }

    /// What changes of its colours; worked out once.
    pub fn changes(&self, question: &ColourQuestion, evidence: &Evidence) -> Arc<ColourChanges> {
        let key = question.key();
        let known =
            |all: &Vec<(String, Arc<ColourChanges>)>| all.iter().find(|(of, _)| *of == key).map(|one| one.1.clone());
        if let Some(known) = known(&self.known.lock()) {
            return known;
        }
        let changes = Arc::new(ColourChanges::of(question, evidence));
        self.know(question, changes.clone());
        changes
    }

    /// Whether an answer is there.
    pub fn knows(&self, question: &ColourQuestion) -> bool {
        let key = question.key();
        self.known.lock().iter().any(|(of, _)| *of == key)
    }

    /// Takes in what was worked out elsewhere.
    pub fn know(&self, question: &ColourQuestion, changes: Arc<ColourChanges>) {
        let mut known = self.known.lock();
        if known.len() == MOST_KNOWN {
            known.remove(0);
        }
        known.push((question.key(), changes));
    }

    /// All of it; `None` where it is lost.
    pub fn evidence(&self) -> Option<Arc<Evidence>> {
        self.whole.evidence()
    }
}

/// The rest follows from the pixels.
impl PartialEq for EvidenceHandle {
    fn eq(&self, other: &EvidenceHandle) -> bool {
        (&self.sha256, &self.pixels) == (&other.sha256, &other.pixels)
    }
}

#[derive(Debug)]
struct Here(Arc<Evidence>);

impl EvidenceSource for Here {
    fn evidence(&self) -> Option<Arc<Evidence>> {
        Some(self.0.clone())
    }
}
