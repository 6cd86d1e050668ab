//! A live table at one moment: immutable, cheap to clone; and what a screen can ask of it.

use std::path::PathBuf;
use std::sync::Arc;

use crate::brief::{Brief, PrintId, Problem};
use crate::colour::ProofRendering;
use crate::judge::acceptance::AcceptanceReason;
use crate::judge::model::row::Totals;
use crate::judge::subject::Area;
use crate::judge::{Finding, Row, RowKey, RowState};
use crate::picture::PictureKey;

/// A live table at one moment.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// Counts up with every change.
    pub generation: u64,
    /// The brief that judges: the last good one.
    pub brief: Arc<Brief>,
    /// What is wrong with the brief on disk now; empty while it is good.
    pub brief_problems: Arc<[Problem]>,
    /// What is wrong with `NAME.accepted.toml` on disk now; while it is broken nothing is drawn.
    pub accepted_problems: Arc<[Problem]>,
    /// The folder.
    pub folder: PathBuf,
    /// How the folder is watched.
    pub watching: Watching,
    /// Whether the folder holds more files than are looked at.
    pub cut_off: bool,
    /// Rows in the brief's order: prints, then pictures that no print wants.
    pub rows: Arc<[Arc<TableRow>]>,
    /// Findings about the order as a whole.
    pub order_findings: Arc<[Arc<Finding>]>,
    /// Rows by state.
    pub totals: Totals,
    /// What is being worked on.
    pub work: WorkProgress,
    /// How far the rows are judged.
    pub judging: JudgingStatus,
    /// The picture that arrived or changed last.
    pub newest: Option<PictureKey>,
    /// One line about what just happened: "23 rows turned".
    pub notice: Option<Notice>,
}

/// A row of the live table: the verdict, and what is happening to it.
#[derive(Clone, Debug, PartialEq)]
pub struct TableRow {
    /// The verdict; while the picture changes, the last one.
    pub row: Arc<Row>,
    /// Whether the verdict is of an earlier file and shown dimmed.
    pub dimmed: bool,
    /// Bytes there so far while the file still grows.
    pub arriving_bytes: Option<u64>,
    /// The verdict on the export before this one.
    pub before: Option<Arc<EarlierVerdict>>,
}

impl TableRow {
    /// The state at this moment: while the verdict is that of an earlier file, what is happening to the new one.
    pub fn state_now(&self) -> RowState {
        match (self.dimmed, self.arriving_bytes) {
            (true, Some(_)) => RowState::Arriving,
            (true, None) => RowState::Checking,
            (false, _) => self.row.state,
        }
    }
}

impl Snapshot {
    /// Whether the folder was looked at and nothing is being read, judged, waited for or still growing.
    pub fn is_quiet(&self) -> bool {
        let nothing_is_read = self.work.reading.is_empty() && self.work.waiting == 0;
        self.generation > 1 && nothing_is_read && !self.judging.is_busy && self.totals.pending == 0
    }
}

/// What an export changed against the one before it, by the first verdict on it: what is accepted or asked for later is
/// no merit of the export.
#[derive(Clone, Debug, PartialEq)]
pub struct EarlierVerdict {
    /// The state of the export before.
    pub was: RowState,
    /// The state of this one at first.
    pub became: RowState,
    /// Effective densities in ppi of the one before and of this one, rounded as shown, where they differ.
    pub density: Option<[String; 2]>,
    /// Overshoot beside edges of the one before and of this one, as shares of their step, where it has grown.
    pub halo: Option<[f64; 2]>,
    /// Whether the two look alike, where both were measured: another picture may have been saved under its name.
    pub looks_alike: bool,
    /// What no longer is found, accepted or not.
    pub mended: Vec<Arc<Finding>>,
    /// What the one before did not have, accepted or not.
    pub fresh: Vec<Arc<Finding>>,
}

/// How the folder is watched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Watching {
    /// The system tells of changes.
    Notified,
    /// Looked at again and again; why ("network folder", "asked for").
    Polled(String),
    /// The folder is not there; it is looked for.
    Gone,
    /// The system does not permit to read the folder; it is tried again and again.
    NotPermitted,
}

impl Watching {
    /// Whether the folder cannot be looked at now.
    pub const fn is_away(&self) -> bool {
        matches!(self, Watching::Gone | Watching::NotPermitted)
    }
}

/// What is being worked on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WorkProgress {
    /// Pictures whose pixels are being read now.
    pub reading: Vec<PictureKey>,
    /// Pictures still waiting.
    pub waiting: usize,
    /// Pictures done since the work began.
    pub done: usize,
}

/// How far the rows are judged.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JudgingStatus {
    /// Whether a judgement is due or under way, so that the rows may change although nothing happens.
    pub is_busy: bool,
    /// What the panic said that ended the last judgement, if one did: the rows are those of the last that did not.
    pub failed: Option<Arc<str>>,
}

/// One line about what just happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Counts up, so that the same words twice are seen as two.
    pub number: u64,
    /// The words.
    pub words: String,
}

/// An upright thumbnail in sRGB, ready to be scaled and shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownThumbnail {
    /// The picture.
    pub picture: PictureKey,
    /// Which bytes it was made from: changes when the file does.
    pub version: u64,
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// RGB, 8 bits.
    pub rgb: Vec<u8>,
    /// Made from the embedded preview and not from the picture: shown dimmed.
    pub preview: bool,
    /// How it was brought onto the row's paper; `None` for the picture as it was sent.
    pub proof: Option<Proof>,
}

/// The proof that is looked at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum ShownProof {
    /// None is looked at, or it is being made.
    #[default]
    Waited,
    /// It is made.
    Made(Arc<ShownThumbnail>),
    /// It cannot be made in this manner.
    Impossible(ProofRendering),
}

/// What a thumbnail is a proof of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Proof {
    /// How it was brought onto the paper.
    pub manner: ProofRendering,
    /// Whether the printer's profile told how; else the paper's black and white alone.
    pub by_profile: bool,
}

/// What a screen asks. The answer is a new snapshot; nobody waits for it.
#[derive(Clone, Debug, PartialEq)]
pub enum LiveCommand {
    /// The rows on screen now: their pictures are read first; the first one's thumbnail is wanted.
    Look {
        /// The selected row.
        selected: Option<RowKey>,
        /// Other rows on screen.
        visible: Vec<RowKey>,
        /// The proof of the selected row that is looked at, if one is.
        proof: Option<ProofRendering>,
    },
    /// Look at the folder now.
    Rescan,
    /// Keep a subject's box, or take it away.
    DrawSubject {
        /// The picture.
        picture: PictureKey,
        /// The print that it is for; every print that has none of its own otherwise.
        print: Option<PrintId>,
        /// The box; `None` takes it away.
        area: Option<Area>,
    },
    /// Let a finding stand, or take it back.
    Accept(AcceptRequest),
    /// End the workers.
    Quit,
}

/// A row as it was shown to the person who decides about it.
#[derive(Clone, Debug, PartialEq)]
pub struct ShownRow {
    /// The row.
    pub key: RowKey,
    /// The bytes that its findings were shown of, as a digest (SHA-256); `None` where none were read.
    pub sha256: Option<String>,
}

impl ShownRow {
    /// A row as it is now.
    pub fn of(row: &Row) -> ShownRow {
        ShownRow { key: row.key.clone(), sha256: row.sha256.clone() }
    }
}

/// The same finding of one row or several.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptRequest {
    /// The rows; those without this finding are passed over, and those of another export since.
    pub rows: Vec<ShownRow>,
    /// The rule's id.
    pub rule: String,
    /// Which of its findings.
    pub about: String,
    /// Why it may stand; `None` takes it back.
    pub said: Option<AcceptanceReason>,
}
