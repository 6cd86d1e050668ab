//! One picture for one print: its state and all its findings.

use std::borrow::Cow;
use std::sync::Arc;

use crate::brief::{Pages, PrintId};
use crate::judge::metrics::crop::CropPlan;
use crate::judge::metrics::impression::Impression;
use crate::judge::metrics::lost_colours::LostColours;
use crate::judge::metrics::part_edges::PartEdges;
use crate::judge::metrics::{PrintMetrics, ToneMetrics};
use crate::judge::model::finding::{AcceptedFinding, Finding};
use crate::judge::model::rule::Rule;
use crate::judge::model::test_print::TestPrint;
use crate::judge::placement::Placement;
use crate::judge::subject::Subject;
use crate::picture::{Facts, PictureKey};
use crate::units::styled::Style;

/// A row's identity: a picture for a print. Never an index.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RowKey {
    /// The print; `None` for a picture that no print wants.
    pub print: Option<PrintId>,
    /// The picture; `None` for a print without a picture.
    pub picture: Option<PictureKey>,
}

/// The state of a row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
    #[default]
    Checking,
    /// Nothing to fix.
    Pass,
}

impl RowState {
    /// Returns the word on the screen and in JSON.
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

    /// Returns the style of its word in reports.
    pub const fn style(self) -> Style {
        match self {
            RowState::Fix => Style::Bad,
            RowState::Warn | RowState::Missing => Style::Warn,
            RowState::Pass => Style::Good,
            RowState::Extra | RowState::Arriving | RowState::Checking => Style::Dim,
        }
    }

    /// True if somebody must act.
    pub const fn is_open(self) -> bool {
        matches!(self, RowState::Fix | RowState::Missing | RowState::Warn | RowState::Extra)
    }
}

/// A rule that could not be checked for this row, and the reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotChecked {
    /// The rule.
    pub rule: &'static Rule,
    /// The reason, in words.
    pub reason: String,
    /// True if the brief lacks what the check needs: this is reported once and not for every row.
    pub brief_lacks_it: bool,
}

/// A rule that passed because the difference is within its tolerance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WithinTolerance {
    /// The rule.
    pub rule: &'static Rule,
    /// The difference, in words.
    pub what: String,
}

/// One picture for one print.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// The row's identity.
    pub key: RowKey,
    /// The print's name from the brief; foreign text; empty for EXTRA.
    pub print_name: String,
    /// The name of the version of the order that the print belongs to; foreign text.
    pub version: Option<Arc<str>>,
    /// Page number, if it is a page.
    pub page: Option<Pages>,
    /// The group that its print is a part of; foreign text.
    pub group: Option<Arc<str>>,
    /// Number of copies ordered.
    pub copies: u32,
    /// The row's state.
    pub state: RowState,
    /// The picture's facts, if its header could be read.
    pub facts: Option<Arc<Facts>>,
    /// SHA-256 of the checked bytes.
    pub sha256: Option<String>,
    /// The digest of its pixels; `None` until they are read.
    pub pixel_digest: Option<String>,
    /// SHA-256 of the print's paper profile, where the brief names one.
    pub paper_profile: Option<String>,
    /// Time of the file's last write, in nanoseconds since 1970; 0 for a MISSING row.
    pub modified_ns: i128,
    /// The print's geometry on this picture; without a picture for MISSING rows.
    pub placement: Option<Arc<Placement>>,
    /// The picture's measurements on this print's paper.
    pub metrics: PrintMetrics,
    /// Its lightness against the paper's; `None` until its pixels are read.
    pub tones: Option<Arc<ToneMetrics>>,
    /// Its overall look; `None` until its pixels are read.
    pub impression: Option<Impression>,
    /// Where it meets the other parts of its group; `None` until its pixels are read.
    pub edges: Option<Arc<PartEdges>>,
    /// The part that must survive, if somebody drew it.
    pub subject: Option<Subject>,
    /// The colours it loses; `None` until its pixels are read, or where they are not known.
    pub lost_colours: Option<LostColours>,
    /// The best crop to the print's aspect ratio; `None` where nothing is cut off.
    pub crop: Option<CropPlan>,
    /// Open findings, the highest level first, then in the order of the rules.
    pub findings: Vec<Arc<Finding>>,
    /// Accepted findings; they never change the state.
    pub accepted: Vec<AcceptedFinding>,
    /// Rules that passed because the difference is within the tolerance.
    pub within_tolerance: Vec<WithinTolerance>,
    /// Rules that passed; rows with equal lists share one.
    pub passed: Arc<[&'static Rule]>,
    /// Rules that could not be checked; shared likewise.
    pub not_checked: Arc<[NotChecked]>,
    /// The state of its test print; it never changes the row's state.
    pub test_print: TestPrint,
    /// An explanation for EXTRA and MISSING rows, such as what the picture nearly matched.
    pub pairing_note: String,
    /// What to export for a MISSING row, in a few words.
    pub export: String,
}

impl Row {
    /// Returns the print's name with its version's behind it: `plum tart (press)`; foreign text, empty for EXTRA.
    pub fn name_with_version(&self) -> Cow<'_, str> {
        self.version
            .as_ref()
            .map_or((&*self.print_name).into(), |version| format!("{} ({version})", self.print_name).into())
    }

    /// Returns the remark and what to export, as far as there are any.
    pub fn remarks(&self) -> impl Iterator<Item = &str> {
        [self.pairing_note.as_str(), self.export.as_str()].into_iter().filter(|words| !words.is_empty())
    }

    /// Returns the rules that could not be checked for reasons of this row.
    pub fn own_not_checked(&self) -> impl Iterator<Item = &NotChecked> {
        self.not_checked.iter().filter(|one| !one.brief_lacks_it)
    }
}

/// Numbers of rows by state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// PASS rows.
    pub pass: usize,
    /// WARN rows.
    pub warn: usize,
    /// FIX rows.
    pub fix: usize,
    /// MISSING rows.
    pub missing: usize,
    /// EXTRA rows.
    pub extra: usize,
    /// ARRIVING and CHECKING rows.
    pub pending: usize,
    /// Accepted findings.
    pub accepted: usize,
}

impl Totals {
    /// Counts rows.
    pub fn of<'a>(rows: impl IntoIterator<Item = &'a Row>) -> Totals {
        Totals::of_states(rows.into_iter().map(|row| (row.state, row.accepted.len())))
    }

    /// Counts states, each with its number of accepted findings.
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
