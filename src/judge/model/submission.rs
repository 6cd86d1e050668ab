//! A file of the folder as the judge sees it.

use std::sync::Arc;

use crate::judge::model::acceptance::Acceptance;
use crate::judge::model::evidence_handle::EvidenceHandle;
use crate::judge::model::test_print::TestPrintRemark;
use crate::judge::subject::Subjects;
use crate::measure::Evidence;
use crate::picture::{Facts, Fault, PictureKey};

/// A file of the folder, with all that is known of it so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Submission {
    /// What it is called.
    pub key: PictureKey,
    /// Whether its name is UTF-8 throughout.
    pub name_is_utf8: bool,
    /// Size on disk in bytes.
    pub bytes: u64,
    /// When it was last written, in nanoseconds since 1970; decides which of two versions is the newest.
    pub modified_ns: i128,
    /// Its header.
    pub header: HeaderState,
    /// Its pixels.
    pub pixels: Pixels,
    /// The boxes that a person drew on it.
    pub subjects: Arc<Subjects>,
    /// Findings of it that a person accepted.
    pub acceptances: Arc<[Arc<Acceptance>]>,
    /// What was seen on its test prints.
    pub seen: Arc<[Arc<TestPrintRemark>]>,
}

/// How far a file's header is known.
#[derive(Clone, Debug, PartialEq)]
pub enum HeaderState {
    /// Not read yet, or the file still grows.
    Waiting {
        /// Whether the file still grows.
        arriving: bool,
    },
    /// Read.
    Read(Arc<Facts>),
    /// Cannot be read.
    Fault(Fault),
}

/// How far a file's pixels are known.
#[derive(Clone, Debug, PartialEq)]
pub enum Pixels {
    /// Not read yet.
    Waiting,
    /// Read to the last row.
    Read(Arc<EvidenceHandle>),
    /// Not to be read to the last row.
    Fault(Fault),
}

impl Pixels {
    /// The handle on the evidence, once they were read.
    pub fn evidence_handle(&self) -> Option<&Arc<EvidenceHandle>> {
        match self {
            Pixels::Read(evidence_handle) => Some(evidence_handle),
            Pixels::Waiting | Pixels::Fault(_) => None,
        }
    }
}

impl Submission {
    /// The facts, if the header could be read.
    pub fn facts(&self) -> Option<&Arc<Facts>> {
        match &self.header {
            HeaderState::Read(facts) => Some(facts),
            HeaderState::Waiting { .. } | HeaderState::Fault(_) => None,
        }
    }

    /// The handle on its evidence, once its pixels were read.
    pub fn evidence_handle(&self) -> Option<&Arc<EvidenceHandle>> {
        self.pixels.evidence_handle()
    }

    /// Its evidence, once its pixels were read; may be read back from disk. `None` where it is lost, too.
    pub fn evidence(&self) -> Option<Arc<Evidence>> {
        self.evidence_handle()?.evidence()
    }
}
