//! A proof that a worker is asked to make.

use std::sync::Arc;

use crate::brief::asked::Paper;
use crate::colour::{Manner, ProofPaper};
use crate::judge::metrics::tones::PaperBlack;

/// Which proof is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct ProofAsked {
    /// How it is brought onto the paper.
    pub manner: Manner,
    /// The paper.
    pub paper: ProofPaper,
}

impl ProofAsked {
    /// On a paper of the brief.
    pub fn on(paper: &Paper, manner: Manner) -> ProofAsked {
        let paper = match &paper.printer {
            Some(printer) => ProofPaper::Printer(Arc::clone(printer)),
            None => ProofPaper::Levels {
                black: PaperBlack::of(paper).light(),
                white: crate::colour::lab::light(paper.white_l),
            },
        };
        ProofAsked { manner, paper }
    }
}
