//! A live table at one moment: immutable, cheap to clone; and the commands that a screen can send.

use std::path::PathBuf;
use std::sync::Arc;

use crate::brief::{Brief, PrintId, Problem};
use crate::colour::ProofRendering;
use crate::judge::acceptance::AcceptanceReason;
use crate::judge::model::row::Totals;
use crate::judge::subject::Area;
use crate::judge::{Finding, Row, RowKey, RowState};
use crate::picture::PictureKey;
use crate::reading::check_report::CheckReport;

/// A live table at one moment.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// Increases with every change.
    pub generation: u64,
    /// The brief in use: the last good one.
    pub brief: Arc<Brief>,
    /// Problems in the brief on disk now; empty while it is good.
    pub brief_problems: Arc<[Problem]>,
    /// Problems in `NAME.decisions.toml` on disk now; while it has any, no decision is saved.
    pub decisions_problems: Arc<[Problem]>,
    /// The folder.
    pub folder: PathBuf,
    /// How the folder is watched.
    pub watching: Watching,
    /// True if the folder holds more files than are examined.
    pub is_cut_off: bool,
    /// Rows in the brief's order: prints, then pictures that are for no print.
    pub rows: Arc<[Arc<TableRow>]>,
    /// Findings about the order as a whole.
    pub order_findings: Arc<[Arc<Finding>]>,
    /// Rows counted by state.
    pub totals: Totals,
    /// The work in progress.
    pub work: WorkProgress,
    /// The state of judging.
    pub judging: JudgingStatus,
    /// The picture that arrived or changed last.
    pub newest: Option<PictureKey>,
    /// One line about what just happened: "23 rows changed".
    pub notice: Option<Notice>,
}

impl Snapshot {
    /// True if the folder was scanned and nothing is being read, judged, waited for or still growing.
    pub fn is_quiet(&self) -> bool {
        let nothing_is_read = self.work.reading.is_empty() && self.work.waiting == 0;
        self.generation > 1 && nothing_is_read && !self.judging.is_busy && self.totals.pending == 0
    }

    /// Returns the rows as the report of a check made at a time, RFC 3339; rows whose files change count as such.
    pub fn report(&self, made: String) -> CheckReport {
        CheckReport {
            brief: Arc::clone(&self.brief),
            folder: self.folder.to_string_lossy().into_owned(),
            totals: self.totals,
            rows: self.rows.iter().map(|row| Row { state: row.state_now(), ..Row::clone(&row.row) }).collect(),
            order_findings: self.order_findings.to_vec(),
            made,
        }
    }
}

/// A row of the live table: the verdict, and what is happening to it.
#[derive(Clone, Debug, PartialEq)]
pub struct TableRow {
    /// The verdict; while the picture changes, the last one.
    pub row: Arc<Row>,
    /// True if the verdict is on an earlier file and shown dimmed.
    pub is_outdated: bool,
    /// Bytes received so far, while the file is still growing.
    pub arriving_bytes: Option<u64>,
    /// What changed from the export before to this one, once both were judged.
    pub export_change: Option<Arc<ExportChange>>,
}

impl TableRow {
    /// Returns the current state: while the verdict is on an earlier file, the progress of the new one.
    pub fn state_now(&self) -> RowState {
        match (self.is_outdated, self.arriving_bytes) {
            (true, Some(_)) => RowState::Arriving,
            (true, None) => RowState::Checking,
            (false, _) => self.row.state,
        }
    }
}

/// Changes from one export to the next, by the first verdict on each: findings that were accepted, or requirements that
/// changed, after that verdict are not counted as changes of the export.
#[derive(Clone, Debug, PartialEq)]
pub struct ExportChange {
    /// The state of the export before.
    pub state_before: RowState,
    /// The first state of this one.
    pub first_state: RowState,
    /// Effective densities in ppi of the one before and of this one, rounded as shown, where they differ.
    pub density: Option<[String; 2]>,
    /// Overshoot beside edges of the one before and of this one, as shares of the edge's step, where it has grown.
    pub halo: Option<[f64; 2]>,
    /// False if the two look different, where both were measured: another picture may have been saved under its name.
    pub looks_alike: bool,
    /// Findings no longer present, accepted or not.
    pub fixed: Vec<Arc<Finding>>,
    /// Findings that only this one has, accepted or not.
    pub new: Vec<Arc<Finding>>,
}

/// How the folder is watched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Watching {
    /// By notices of changes from the system.
    Notified,
    /// By scanning at intervals; with the reason ("network folder", "asked for").
    Polled(String),
    /// The folder is missing; it is looked for.
    Gone,
    /// The system denies access to the folder; it is tried at intervals.
    NotPermitted,
}

impl Watching {
    /// True if the folder cannot be scanned now.
    pub const fn is_away(&self) -> bool {
        matches!(self, Watching::Gone | Watching::NotPermitted)
    }
}

/// The work in progress.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WorkProgress {
    /// Pictures whose pixels are being read now.
    pub reading: Vec<PictureKey>,
    /// Number of pictures still waiting.
    pub waiting: usize,
    /// Number of pictures done since the work began.
    pub done: usize,
}

/// The state of judging.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JudgingStatus {
    /// True if a judgement is due or under way, so that the rows may change without a further event.
    pub is_busy: bool,
    /// The message of the panic that ended the last judgement, if one did: the rows are those of the last that
    /// succeeded.
    pub failed: Option<Arc<str>>,
}

/// One line about what just happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Increases, so that the same words twice are seen as two.
    pub number: u64,
    /// The words.
    pub words: String,
}

/// An upright thumbnail in sRGB, ready to be scaled and shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownThumbnail {
    /// The picture.
    pub picture: PictureKey,
    /// Number of the bytes it was made from: changes when the file does.
    pub version: u64,
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// RGB samples, 8 bits.
    pub rgb: Vec<u8>,
    /// True if made from the embedded preview and not from the picture: shown dimmed.
    pub is_preview: bool,
    /// The rendering onto the row's paper; `None` for the picture as sent.
    pub proof: Option<Proof>,
}

/// The proof being viewed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum ShownProof {
    /// None is viewed, or the one viewed is being made.
    #[default]
    Pending,
    /// The proof is ready.
    Made(Arc<ShownThumbnail>),
    /// The proof cannot be made with this rendering.
    Impossible(ProofRendering),
}

/// The kind of proof that a thumbnail is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Proof {
    /// The rendering onto the paper.
    pub rendering: ProofRendering,
    /// True if the printer's profile was used; otherwise only the paper's black and white.
    pub is_by_profile: bool,
}

/// A command from a screen. The answer is a new snapshot; the sender never waits for it.
#[derive(Clone, Debug, PartialEq)]
pub enum LiveCommand {
    /// These rows are on screen: their pictures are read first; the selected one's thumbnail is wanted.
    ShowRows {
        /// The selected row.
        selected: Option<RowKey>,
        /// Other rows on screen.
        visible: Vec<RowKey>,
        /// The proof of the selected row being viewed, if one is.
        proof: Option<ProofRendering>,
    },
    /// Scan the folder now.
    Rescan,
    /// Save a subject's box, or remove it.
    DrawSubject {
        /// The picture.
        picture: PictureKey,
        /// The print that it is for; otherwise every print without a box of its own.
        print: Option<PrintId>,
        /// The box; `None` removes it.
        area: Option<Area>,
    },
    /// Accept a finding, or withdraw its acceptance.
    Accept(AcceptRequest),
    /// End the workers.
    Quit,
}

/// A finding of a row as it was shown to the user who decides about it.
#[derive(Clone, Debug, PartialEq)]
pub struct ShownFinding {
    /// The row.
    pub key: RowKey,
    /// The digest (SHA-256) of the bytes its findings were shown for; `None` where none were read.
    pub sha256: Option<String>,
    /// Time of the file's last write, in nanoseconds since 1970.
    pub modified_ns: i128,
    /// The finding, with the values and words shown.
    pub finding: Arc<Finding>,
}

impl ShownFinding {
    /// Returns a finding of a row as it is now.
    pub fn of(row: &Row, finding: &Arc<Finding>) -> ShownFinding {
        let (key, sha256, finding) = (row.key.clone(), row.sha256.clone(), finding.clone());
        ShownFinding { key, sha256, modified_ns: row.modified_ns, finding }
    }

    /// True if a row is about the file that was shown: the same bytes or, where none were read by then, a file written
    /// at the same time.
    pub fn is_of_same_file(&self, row: &Row) -> bool {
        match &self.sha256 {
            Some(_) => self.sha256 == row.sha256,
            None => self.modified_ns == row.modified_ns,
        }
    }
}

/// A request to accept the same finding of one row or several, or to withdraw its acceptance.
#[derive(Clone, Debug, PartialEq)]
pub struct AcceptRequest {
    /// The rows as they were shown; those that are different by now are left out.
    pub rows: Vec<ShownFinding>,
    /// Number of rows with this finding that came after these were counted; they are left out too.
    pub left_out_new_rows: usize,
    /// The reason for accepting; `None` withdraws the acceptance.
    pub reason: Option<AcceptanceReason>,
}
