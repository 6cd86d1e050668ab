//! The request for a proof.

use std::sync::Arc;

use crate::brief::requirements::Paper;
use crate::colour::{ProofPaper, ProofRendering};
use crate::judge::metrics::tones::PaperBlack;

/// Identifies a proof.
#[derive(Clone, Debug, PartialEq)]
pub struct ProofRequest {
    /// The rendering onto the paper.
    pub rendering: ProofRendering,
    /// The paper.
    pub paper: ProofPaper,
}

impl ProofRequest {
    /// Returns a request for a paper of the brief.
    pub fn on(paper: &Paper, rendering: ProofRendering) -> ProofRequest {
        let paper = match &paper.printer {
            Some(printer) => ProofPaper::Printer(Arc::clone(printer)),
            None => ProofPaper::Levels {
                black: PaperBlack::of(paper).light(),
                white: crate::colour::lab::light(paper.white_l),
            },
        };
        ProofRequest { rendering, paper }
    }
}
