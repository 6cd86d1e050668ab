//! A handle on the evidence of a picture: a little of it in memory, the rest fetched when needed.

use std::fmt::Debug;
use std::sync::Arc;

use parking_lot::Mutex;

use crate::judge::metrics::changes::{ColourChanges, ColourQuestion};
use crate::judge::metrics::impression::Impression;
use crate::measure::Evidence;
use crate::measure::alignment::{PlacedFrame, align};

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
    pub pixel_digest: String,
    /// Its overall look, as far as pictures of one order are compared.
    pub impression: Option<Impression>,
    /// Rows at its end that replace lost ones (`Evidence::lost_rows`).
    pub lost_rows: u32,
    /// Colour changes by the keys of their questions, the newest last.
    cached_changes: Mutex<Vec<(String, Arc<ColourChanges>)>>,
    /// Where this picture lies in others, by their checksums, the newest last.
    cached_frames: Mutex<Vec<(String, Option<PlacedFrame>)>>,
    source: Arc<dyn EvidenceSource>,
}

/// Most frames kept for a picture: one for each other version of an order. Own choice.
const MAX_CACHED_FRAMES: usize = 8;

/// Most colour changes kept for a picture: one for each paper of a large order, and some tried out. No source.
const MAX_CACHED_CHANGES: usize = 16;

impl EvidenceHandle {
    /// Returns a handle on evidence stored elsewhere.
    pub fn stored(evidence: &Evidence, whole: Arc<dyn EvidenceSource>) -> EvidenceHandle {
        EvidenceHandle {
            sha256: evidence.sha256.clone(),
            pixel_digest: evidence.pixel_digest.clone(),
            impression: Impression::of(&evidence.appearance),
            lost_rows: evidence.lost_rows,
            cached_changes: Mutex::default(),
            cached_frames: Mutex::default(),
            source: whole,
        }
    }

    /// Returns a handle on evidence that stays in memory.
    pub fn in_memory(evidence: Evidence) -> EvidenceHandle {
        let evidence = Arc::new(evidence);
        EvidenceHandle::stored(&evidence, Arc::new(InMemory(evidence.clone())))
    }

    /// Returns where this picture lies in another, found once; `None` where it is not recognised there, or where the
    /// evidence of either is lost.
    pub fn frame_in(&self, other: &EvidenceHandle) -> Option<PlacedFrame> {
        if let Some((_, known)) = self.cached_frames.lock().iter().find(|(of, _)| *of == other.sha256) {
            return *known;
        }
        let (own, others) = (self.evidence()?, other.evidence()?);
        let frame = align(&others.appearance.small, &own.appearance.small);
        let mut cached = self.cached_frames.lock();
        if cached.len() >= MAX_CACHED_FRAMES {
            cached.remove(0);
        }
        cached.push((other.sha256.clone(), frame));
        frame
    }

    /// Returns the answer to a question about its colours, calculated once.
    pub fn changes(&self, question: &ColourQuestion, evidence: &Evidence) -> Arc<ColourChanges> {
        let key = question.key();
        let known =
            |all: &Vec<(String, Arc<ColourChanges>)>| all.iter().find(|(of, _)| *of == key).map(|one| one.1.clone());
        if let Some(known) = known(&self.cached_changes.lock()) {
            return known;
        }
        let changes = Arc::new(ColourChanges::of(question, evidence));
        self.store_changes(question, changes.clone());
        changes
    }

    /// True if the answer is known.
    pub fn has_changes(&self, question: &ColourQuestion) -> bool {
        let key = question.key();
        self.cached_changes.lock().iter().any(|(of, _)| *of == key)
    }

    /// Stores an answer calculated elsewhere.
    pub fn store_changes(&self, question: &ColourQuestion, changes: Arc<ColourChanges>) {
        let mut known = self.cached_changes.lock();
        if known.len() == MAX_CACHED_CHANGES {
            known.remove(0);
        }
        known.push((question.key(), changes));
    }

    /// Returns the evidence; `None` where it is lost.
    pub fn evidence(&self) -> Option<Arc<Evidence>> {
        self.source.evidence()
    }
}

/// By digests: all else follows from the pixels.
impl PartialEq for EvidenceHandle {
    fn eq(&self, other: &EvidenceHandle) -> bool {
        (&self.sha256, &self.pixel_digest) == (&other.sha256, &other.pixel_digest)
    }
}

#[derive(Debug)]
struct InMemory(Arc<Evidence>);

impl EvidenceSource for InMemory {
    fn evidence(&self) -> Option<Arc<Evidence>> {
        Some(self.0.clone())
    }
}
