//! A handle on the evidence of a picture: a little of it in memory, the rest fetched when needed.

use std::fmt::Debug;
use std::sync::Arc;

use parking_lot::Mutex;

use crate::judge::metrics::changes::{ColourChanges, ColourQuestion};
use crate::judge::metrics::impression::Impression;
use crate::measure::Evidence;

/// The store of a picture's evidence. That of thousands of pictures would fill the memory, so it may be on disk.
pub trait EvidenceSource: Debug + Send + Sync {
    /// Returns the evidence; `None` where it is lost and the picture must be read again.
    fn evidence(&self) -> Option<Arc<Evidence>>;
}

/// The evidence that every judgement of a picture needs, and where the rest is.
#[derive(Debug)]
pub struct EvidenceHandle {
    /// SHA-256 of the file's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// The digest of its pixels (`Evidence::pixels`).
    pub pixels: String,
    /// Its overall look, as far as pictures of one order are compared.
    pub impression: Option<Impression>,
    /// Rows at its end that replace lost ones (`Evidence::lost_rows`).
    pub lost_rows: u32,
    /// Colour changes by the keys of their questions, the newest last.
    known: Mutex<Vec<(String, Arc<ColourChanges>)>>,
    whole: Arc<dyn EvidenceSource>,
}

/// Most colour changes kept for a picture: one for each paper of a large order, and some tried out. No source.
const MOST_KNOWN: usize = 16;

impl EvidenceHandle {
    /// Returns a handle on evidence stored elsewhere.
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

    /// Returns a handle on evidence that stays in memory.
    pub fn here(evidence: Evidence) -> EvidenceHandle {
        let evidence = Arc::new(evidence);
        EvidenceHandle::elsewhere(&evidence, Arc::new(Here(evidence.clone())))
    }

    /// Returns the answer to a question about its colours, calculated once.
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

    /// True if the answer is known.
    pub fn knows(&self, question: &ColourQuestion) -> bool {
        let key = question.key();
        self.known.lock().iter().any(|(of, _)| *of == key)
    }

    /// Stores an answer calculated elsewhere.
    pub fn know(&self, question: &ColourQuestion, changes: Arc<ColourChanges>) {
        let mut known = self.known.lock();
        if known.len() == MOST_KNOWN {
            known.remove(0);
        }
        known.push((question.key(), changes));
    }

    /// Returns the evidence; `None` where it is lost.
    pub fn evidence(&self) -> Option<Arc<Evidence>> {
        self.whole.evidence()
    }
}

/// By digests: all else follows from the pixels.
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
