//! The proofs of the selected picture: the one the screen wants, and those already made.
//!
//! A proof is for one content of one picture on one paper; another selection drops them all.

use std::sync::Arc;

use crate::brief::{Brief, PrintId};
use crate::colour::ProofRendering;
use crate::judge::RowKey;
use crate::live::limits;
use crate::picture::PictureKey;

use crate::live::snapshot::{ShownProof, ShownThumbnail};

use crate::reading::proof::ProofRequest;

/// The proofs of one picture.
#[derive(Debug, Default)]
pub struct Proofs {
    /// The proof viewed on screen, if one is.
    wanted: Option<(Option<PrintId>, ProofRendering)>,
    /// The content that the known proofs are of.
    content: Option<(PictureKey, u64)>,
    known: Vec<(ProofRequest, ShownProof)>,
    shown: ShownProof,
}

impl Proofs {
    /// Sets the proof viewed now.
    pub fn want(&mut self, row: Option<&RowKey>, rendering: Option<ProofRendering>) {
        self.wanted = row.and_then(|row| Some((row.print.clone(), rendering?)));
        // A job for another selection may have been dropped.
        self.known.retain(|(_, proof)| *proof != ShownProof::Pending);
    }

    /// Returns the proof of this content to make for the screen, unless it is made or being made.
    pub fn request_missing(&mut self, brief: &Brief, key: &PictureKey, version: u64) -> Option<ProofRequest> {
        let (print, rendering) = self.wanted.as_ref()?;
        if self.content.as_ref().is_none_or(|(of, known)| (of, *known) != (key, version)) {
            self.content = Some((key.clone(), version));
            self.known.clear();
        }
        let print = brief.prints.iter().find(|other| Some(&other.id) == print.as_ref());
        let request =
            ProofRequest::on(&print.map_or(&brief.requirements, |print| &print.requirements).paper, *rendering);
        match self.known.iter().position(|(known, _)| *known == request) {
            Some(at) => {
                // The last one is the one that the screen wants.
                let known = self.known.remove(at);
                self.known.push(known);
                None
            }
            None => {
                self.known.push((request.clone(), ShownProof::Pending));
                if self.known.len() > limits::PROOFS {
                    self.known.remove(0);
                }
                Some(request)
            }
        }
    }

    /// Keeps a proof that was made.
    pub fn store(&mut self, request: &ProofRequest, proof: Arc<ShownThumbnail>) {
        let of_this =
            self.content.as_ref().is_some_and(|(key, version)| (key, *version) == (&proof.picture, proof.version));
        if let Some((_, known)) = self.known.iter_mut().find(|(known, _)| of_this && known == request) {
            *known = ShownProof::Made(proof);
        }
    }

    /// Notes that a proof of this content cannot be made: this one, or all being made if it is unknown which.
    pub fn mark_failed(&mut self, request: Option<&ProofRequest>, key: &PictureKey, version: u64) {
        if self.content.as_ref().is_none_or(|(of, known)| (of, *known) != (key, version)) {
            return;
        }
        for (known, proof) in &mut self.known {
            if *proof == ShownProof::Pending && request.is_none_or(|request| request == known) {
                *proof = ShownProof::Impossible(known.rendering);
            }
        }
    }

    /// Returns the proof to show now, if it differs from the one shown before.
    pub fn take_changed(&mut self, selected: Option<&PictureKey>) -> Option<ShownProof> {
        let wanted = self.wanted.as_ref().and_then(|_| self.known.last());
        let of_selected = self.content.as_ref().is_some_and(|(of, _)| Some(of) == selected);
        let proof = wanted.filter(|_| of_selected).map(|(_, proof)| proof.clone()).unwrap_or_default();
        let same = match (&proof, &self.shown) {
            (ShownProof::Made(one), ShownProof::Made(other)) => Arc::ptr_eq(one, other),
            (one, other) => one == other,
        };
        if same {
            return None;
        }
        self.shown.clone_from(&proof);
        Some(proof)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing;

    #[test]
    fn however_many_papers_are_tried_a_few_proofs_are_kept_and_the_last_is_shown() {
        let mut proofs = Proofs::default();
        let key = PictureKey::from_text("a.jpg");
        let row = RowKey { print: None, picture: Some(key.clone()) };
        proofs.want(Some(&row), Some(ProofRendering::Perceptual));
        for paper in 80..99 {
            let brief = testing::brief(&format!("[paper]\nwhite = \"L* {paper}\"\n[[print]]\nsize = \"8 x 10 in\""));
            let request = proofs.request_missing(&brief, &key, 1).unwrap();
            let proof = Arc::new(ShownThumbnail {
                picture: key.clone(),
                version: 1,
                width_px: 1,
                height_px: 1,
                rgb: vec![0; 3],
                is_preview: false,
                proof: None,
            });
            proofs.store(&request, proof.clone());
            assert!(proofs.known.len() <= limits::PROOFS);
            assert_eq!(proofs.take_changed(Some(&key)), Some(ShownProof::Made(proof)));
        }
    }
}
