//! The check of a rule: its inputs and its outcome.

use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::brief::{Brief, Print};
use crate::judge::metrics::crop::CropPlan;
use crate::judge::metrics::last_measured::PrintMeasurement;
use crate::judge::metrics::lost_colours::LostColours;
use crate::judge::metrics::{PrintMetrics, ToneMetrics};
use crate::judge::model::finding::FixNumbers;
use crate::judge::model::row::{Row, RowKey};
use crate::judge::model::submission::{Pixels, Submission};
use crate::judge::placement::Placement;
use crate::judge::subject::Subject;
use crate::measure::Evidence;
use crate::picture::unlisted::Unlisted;
use crate::picture::{Facts, PictureKey};

/// The check of a rule, by what it examines.
#[derive(Clone, Copy, Debug)]
pub enum RuleCheck {
    /// A file, even one without a readable header, with the print that it is for.
    File(fn(&Submission, &Print) -> RuleOutcome),
    /// A picture for a print, once the header is read.
    Row(fn(&Case) -> RuleOutcome),
    /// A picture for a print, and then the order as a whole.
    RowAndOrder(fn(&Case) -> RuleOutcome, fn(&JudgedOrder, BreachSink)),
    /// The order as a whole.
    Order(fn(&JudgedOrder, BreachSink)),
    /// Nothing: the rule is found by pairing pictures with prints.
    Pairing,
}

/// Receives the breaches of the order as a whole. Called once for each, so that no list is built.
pub type BreachSink<'a> = &'a mut dyn FnMut(OrderBreach);

/// The order as a whole, after every row has been judged alone.
#[derive(Clone, Copy, Debug)]
pub struct JudgedOrder<'a> {
    /// The brief.
    pub brief: &'a Brief,
    /// Every row, in order. Only its own findings may be used: those of the order's rules may still be there from the
    /// previous judgement.
    pub rows: &'a [Arc<Row>],
    /// The files of the folder.
    pub files: &'a [Submission],
    /// Entries that may belong to the order and could not be examined.
    pub unlisted: &'a Unlisted,
}

/// One breach of a rule of the whole order.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderBreach {
    /// The rows that carry it; empty for the order itself.
    pub rows: Vec<RowKey>,
    /// The pictures concerned.
    pub pictures: Vec<PictureKey>,
    /// The breach.
    pub breach: Breach,
}

/// A picture for a print, with the facts of both.
#[derive(Clone, Debug)]
pub struct Case<'a> {
    /// The print.
    pub print: &'a Print,
    /// The file.
    pub submission: &'a Submission,
    /// Its header.
    pub facts: &'a Facts,
    /// The evidence of its pixels, once they are read.
    pub evidence: Option<&'a Evidence>,
    /// Its geometry on paper.
    pub placement: &'a Arc<Placement>,
    /// The picture's measurements on this print's paper.
    pub metrics: &'a PrintMetrics,
    /// Its lightness against the paper's, once its pixels are read.
    pub tones: Option<&'a ToneMetrics>,
    /// The colours it loses, once its pixels are read and if its colours are known.
    pub lost_colours: Option<&'a LostColours>,
    /// The part that must survive, if somebody drew it.
    pub subject: Option<Subject>,
    /// The best crop to the print's aspect ratio; `None` where nothing is cut off.
    pub crop: Option<CropPlan>,
}

impl<'a> Case<'a> {
    /// Returns the case of a picture for a print, with its measurements; `None` while its header is not read.
    pub fn of(
        print: &'a Print,
        submission: &'a Submission,
        evidence: Option<&'a Evidence>,
        measured: &'a PrintMeasurement,
    ) -> Option<Case<'a>> {
        Some(Case {
            print,
            submission,
            facts: submission.facts()?,
            evidence,
            placement: &measured.placement,
            metrics: &measured.metrics,
            tones: measured.tones.as_deref(),
            lost_colours: measured.lost_colours.as_ref(),
            subject: measured.subject,
            crop: measured.crop,
        })
    }

    /// Returns the outcome of a rule that needs evidence while there is none.
    pub fn without_evidence(&self) -> RuleOutcome {
        let cannot = matches!(self.submission.pixels, Pixels::Fault(_));
        let why = if cannot { "its pixels cannot be read" } else { "its pixels are not read yet" };
        RuleOutcome::NotChecked(why.to_owned())
    }
}

/// The outcome of a rule.
#[derive(Clone, Debug, PartialEq)]
pub enum RuleOutcome {
    /// It passed.
    Passed,
    /// It passed because the difference, described here, is within the tolerance.
    WithinTolerance(String),
    /// It failed, in one or several ways.
    Failed(Vec<Breach>),
    /// It could not be checked, for this reason.
    NotChecked(String),
    /// The brief lacks what is needed to check it, named here.
    BriefLacks(String),
    /// The brief does not require it.
    NotRequired,
}

/// One breach of a rule.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Breach {
    /// The edge or field concerned, where there are several.
    pub about: String,
    /// A cap on the level, where this breach deserves less than the rule's.
    pub at_most: Option<Level>,
    /// Measured and required value, where they are numbers.
    pub numbers: Option<(f64, f64)>,
    /// The unit of both where it is not the rule's.
    pub unit: Option<&'static str>,
    /// The measured value in a table cell.
    pub short: String,
    /// The measured and the required value, in words.
    pub found: String,
    /// What to do, one action a line, the best first.
    pub fix: String,
    /// The numbers named in `fix`.
    pub fix_numbers: FixNumbers,
    /// The cause, as a to-do list names it for several pictures: without this picture's own numbers. Empty where the
    /// rule's title says it.
    pub cause: String,
    /// True if the rule's export setting removes it (`RuleUses::export_setting`).
    pub is_fixed_by_export: bool,
}

impl RuleOutcome {
    /// Returns a failure with this breach alone.
    pub fn failed(breach: Breach) -> RuleOutcome {
        RuleOutcome::Failed(vec![breach])
    }

    /// Returns a failure with these breaches, or a pass where there are none.
    pub fn of(breaches: Vec<Breach>) -> RuleOutcome {
        if breaches.is_empty() { RuleOutcome::Passed } else { RuleOutcome::Failed(breaches) }
    }
}
