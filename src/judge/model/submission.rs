//! A file of the folder, as input to judging.

use std::sync::Arc;

use crate::brief::PrintId;
use crate::judge::model::acceptance::Acceptance;
use crate::judge::model::evidence_handle::EvidenceHandle;
use crate::judge::model::test_print::TestPrintRemark;
use crate::judge::subject::Subjects;
use crate::measure::Evidence;
use crate::picture::{Facts, Fault, FaultKind, PictureKey};

/// A file of the folder, with all that is known of it so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Submission {
    /// Its identity.
    pub key: PictureKey,
    /// True if its name is valid UTF-8.
    pub name_is_utf8: bool,
    /// Size on disk in bytes.
    pub bytes: u64,
    /// Time of the last write, in nanoseconds since 1970; decides which of two versions is newest.
    pub modified_ns: i128,
    /// State of its header.
    pub header: HeaderState,
    /// State of its pixels.
    pub pixels: Pixels,
    /// The boxes that a person drew on it.
    pub subjects: Arc<Subjects>,
    /// Accepted findings of it, in the order of their prints.
    pub acceptances: Arc<[Arc<Acceptance>]>,
    /// Remarks on its test prints.
    pub test_print_remarks: Arc<[Arc<TestPrintRemark>]>,
}

/// State of a file's header.
#[derive(Clone, Debug, PartialEq)]
pub enum HeaderState {
    /// Not read yet, or the file is still growing.
    Waiting {
        /// True if the file is still growing.
        is_arriving: bool,
    },
    /// Read.
    Read(Arc<Facts>),
    /// Cannot be read.
    Fault(Fault),
}

/// State of a file's pixels.
#[derive(Clone, Debug, PartialEq)]
pub enum Pixels {
    /// Not read yet.
    Waiting,
    /// Read to the last row.
    Read(Arc<EvidenceHandle>),
    /// Cannot be read to the last row.
    Fault(Fault),
}

impl Pixels {
    /// Returns the handle on the evidence, once they are read.
    pub fn evidence_handle(&self) -> Option<&Arc<EvidenceHandle>> {
        match self {
            Pixels::Read(evidence_handle) => Some(evidence_handle),
            Pixels::Waiting | Pixels::Fault(_) => None,
        }
    }
}

impl Submission {
    /// Returns the facts, if the header could be read.
    pub fn facts(&self) -> Option<&Arc<Facts>> {
        match &self.header {
            HeaderState::Read(facts) => Some(facts),
            HeaderState::Waiting { .. } | HeaderState::Fault(_) => None,
        }
    }

    /// Says what the file is where it is no print picture, such as a text; `None` where it is one, or not read yet.
    pub fn no_picture_words(&self) -> Option<&str> {
        match &self.header {
            HeaderState::Fault(fault) if matches!(fault.kind, FaultKind::Other { .. }) => Some(&fault.what),
            HeaderState::Fault(_) | HeaderState::Read(_) | HeaderState::Waiting { .. } => None,
        }
    }

    /// Returns the prints for which something was decided about it, each as often as there is a decision.
    pub fn decided_prints(&self) -> impl Iterator<Item = &PrintId> {
        let accepted = self.acceptances.iter().filter_map(|one| one.print.as_ref());
        let seen = self.test_print_remarks.iter().filter_map(|one| one.print.as_ref());
        accepted.chain(seen).chain(self.subjects.of_prints.keys())
    }

    /// Returns the handle on its evidence, once its pixels are read.
    pub fn evidence_handle(&self) -> Option<&Arc<EvidenceHandle>> {
        self.pixels.evidence_handle()
    }

    /// Returns its evidence, once its pixels are read; may read it back from disk. `None` also where it is lost.
    pub fn evidence(&self) -> Option<Arc<Evidence>> {
        self.evidence_handle()?.evidence()
    }
}
