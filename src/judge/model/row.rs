//! One picture for one print: its state and all that was found.

use std::sync::Arc;

use crate::brief::PrintId;
use crate::judge::metrics::crop::CropPlan;
use crate::judge::metrics::impression::Impression;
use crate::judge::metrics::lost_colours::LostColours;
use crate::judge::metrics::{PrintMetrics, ToneMetrics};
use crate::judge::model::finding::{AcceptedFinding, Finding};
use crate::judge::model::rule::Rule;
use crate::judge::model::test_print::TestPrint;
use crate::judge::placement::Placement;
use crate::judge::subject::Subject;
use crate::picture::{Facts, PictureKey};

/// Which row: a picture for a print. Never an index.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RowKey {
    /// The print; `None` for a picture that no print wants.
    pub print: Option<PrintId>,
    /// The picture; `None` for a print without a picture.
    pub picture: Option<PictureKey>,
}

/// The state of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RowState {
    /// A `must` does not hold, or the file cannot be read.
    Fix,
    /// A print without a picture.
    Missing,
    /// A `should` does not hold.
    Warn,
    /// A picture that no print wants.
    Extra,
    /// The file is still growing.
    Arriving,
    /// Its pixels are not read yet.
    Checking,
    /// Nothing to mend.
    Pass,
}

impl RowState {
    /// The word on the screen and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            RowState::Fix => "FIX",
            RowState::Missing => "MISSING",
            RowState::Warn => "WARN",
            RowState::Extra => "EXTRA",
            RowState::Arriving => "ARRIVING",
            RowState::Checking => "CHECKING",
            RowState::Pass => "PASS",
        }
    }

    /// Whether somebody must do something.
    pub const fn is_open(self) -> bool {
        matches!(self, RowState::Fix | RowState::Missing | RowState::Warn | RowState::Extra)
    }
}

/// A rule that has no answer for this row, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotChecked {
    /// The rule.
    pub rule: &'static Rule,
    /// Why, in words.
    pub reason: String,
    /// Whether the brief lacks what an answer takes, so that it is said once and not of every row.
    pub for_want_of_brief: bool,
}

/// A rule that holds only because something small was forgiven.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WithinTolerance {
    /// The rule.
    pub rule: &'static Rule,
    /// What was forgiven, in words.
    pub what: String,
}

/// One picture for one print.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Which row.
    pub key: RowKey,
    /// The print's name as the brief has it; foreign text; empty for EXTRA.
    pub print_name: String,
    /// Page number, if it is a page.
    pub page: Option<u32>,
    /// Copies asked for.
    pub copies: u32,
    /// State.
    pub state: RowState,
    /// The picture's facts, if its header could be read.
    pub facts: Option<Arc<Facts>>,
    /// SHA-256 of the checked bytes.
    pub sha256: Option<String>,
    /// What its pixels are known by; `None` until they are read.
    pub pixels: Option<String>,
    /// SHA-256 of the print's paper profile, where the brief names one.
    pub paper_profile: Option<String>,
    /// When the file was last written, in nanoseconds since 1970; 0 for a MISSING row.
    pub modified_ns: i128,
    /// The print's geometry on this picture; for MISSING rows the print's alone.
    pub placement: Option<Arc<Placement>>,
    /// Evidence put on paper.
    pub metrics: PrintMetrics,
    /// Its lightness against the paper's; `None` until its pixels are read.
    pub tones: Option<Arc<ToneMetrics>>,
    /// What it looks like as a whole; `None` until its pixels are read.
    pub impression: Option<Impression>,
    /// The part that must survive, if somebody drew it.
    pub subject: Option<Subject>,
    /// What it loses of its colours; `None` until its pixels are read, or where they are not known.
    pub lost_colours: Option<LostColours>,
    /// Where the print's window lies best, where its shape cuts something off.
    pub crop: Option<CropPlan>,
    /// What does not hold, in the order of the rules; shared with the row before the order as a whole was asked.
    pub findings: Vec<Arc<Finding>>,
    /// What does not hold and stands accepted; it never changes the state.
    pub accepted: Vec<AcceptedFinding>,
    /// What holds only because something small was forgiven.
    pub within_tolerance: Vec<WithinTolerance>,
    /// Rules that hold; often shared with its neighbours.
    pub passed: Arc<[&'static Rule]>,
    /// Rules without an answer; shared likewise.
    pub not_checked: Arc<[NotChecked]>,
    /// How far its test print is; it never changes the state.
    pub test_print: TestPrint,
    /// A word of explanation for EXTRA and MISSING rows, such as what the picture nearly matched.
    pub remark: String,
}

impl Row {
    /// Whether a person's word for a print, its name or its id, is that of this row's.
    pub fn is_for(&self, word: &str) -> bool {
        self.print_name == word || self.key.print.as_ref().is_some_and(|id| &*id.0 == word)
    }

    /// Rules without an answer for reasons of this row.
    pub fn own_not_checked(&self) -> impl Iterator<Item = &NotChecked> {
        self.not_checked.iter().filter(|one| !one.for_want_of_brief)
    }
}

/// Rows by state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// PASS.
    pub pass: usize,
    /// WARN.
    pub warn: usize,
    /// FIX.
    pub fix: usize,
    /// MISSING.
    pub missing: usize,
    /// EXTRA.
    pub extra: usize,
    /// ARRIVING and CHECKING.
    pub pending: usize,
    /// Accepted findings.
    pub accepted: usize,
}

impl Totals {
    /// Counts rows.
    pub fn of<'a>(rows: impl IntoIterator<Item = &'a Row>) -> Totals {
        Totals::of_states(rows.into_iter().map(|row| (row.state, row.accepted.len())))
    }

    /// Counts states, each with how many findings stand accepted.
    pub fn of_states(rows: impl IntoIterator<Item = (RowState, usize)>) -> Totals {
        let mut totals = Totals::default();
        for (state, accepted) in rows {
            totals.accepted += accepted;
            match state {
                RowState::Pass => totals.pass += 1,
                RowState::Warn => totals.warn += 1,
                RowState::Fix => totals.fix += 1,
                RowState::Missing => totals.missing += 1,
                RowState::Extra => totals.extra += 1,
                RowState::Arriving | RowState::Checking => totals.pending += 1,
            }
        }
        totals
    }
}
