//! How a rule is asked, and what it answers.

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

/// What a rule is asked of.
#[derive(Clone, Copy, Debug)]
pub enum RuleCheck {
    /// A file, even one without a readable header, with the print that it is for.
    File(fn(&Submission, &Print) -> RuleOutcome),
    /// A picture for a print, once the header is read.
    Row(fn(&Case) -> RuleOutcome),
    /// A picture for a print, and the names of the order together.
    RowAndOrder(fn(&Case) -> RuleOutcome, fn(&JudgedOrder, BreachSink)),
    /// The order as a whole.
    Order(fn(&JudgedOrder, BreachSink)),
    /// Nothing: pairing pictures with prints finds it.
    Pairing,
}

/// Takes the breaches of the order as a whole one by one: of thousands of pictures none waits for the others.
pub type BreachSink<'a> = &'a mut dyn FnMut(OrderBreach);

/// The order as a whole, once every row was asked for itself.
#[derive(Clone, Copy, Debug)]
pub struct JudgedOrder<'a> {
    /// The brief.
    pub brief: &'a Brief,
    /// Every row, in order. Only what it found by itself is to be read of its findings: what the order as a whole found
    /// may be there already, from the judgement before.
    pub rows: &'a [Arc<Row>],
    /// What may belong to it and could not be looked at.
    pub unlisted: &'a Unlisted,
}

/// One way in which a rule of the whole order does not hold.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderBreach {
    /// The rows that carry it; none where it is said of the order.
    pub rows: Vec<RowKey>,
    /// The pictures it speaks of.
    pub pictures: Vec<PictureKey>,
    /// What does not hold.
    pub breach: Breach,
}

/// A picture for a print, with what is known of both.
#[derive(Clone, Debug)]
pub struct Case<'a> {
    /// The print.
    pub print: &'a Print,
    /// The file.
    pub submission: &'a Submission,
    /// Its header.
    pub facts: &'a Facts,
    /// All that was counted of its pixels, once they are read.
    pub evidence: Option<&'a Evidence>,
    /// Its geometry on paper.
    pub placement: &'a Arc<Placement>,
    /// Evidence put on paper.
    pub metrics: &'a PrintMetrics,
    /// Its lightness against the paper's, once its pixels are read.
    pub tones: Option<&'a ToneMetrics>,
    /// What it loses of its colours, once its pixels are read and where they are known.
    pub lost_colours: Option<&'a LostColours>,
    /// The part that must survive, if somebody drew it.
    pub subject: Option<Subject>,
    /// Where the print's window lies best, where its shape cuts something off.
    pub crop: Option<CropPlan>,
}

impl<'a> Case<'a> {
    /// A picture for a print, with what was measured of it; `None` while its header is not read.
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

    /// The evidence, or the answer to give while there is none.
    pub fn evidence(&self) -> Result<&'a Evidence, RuleOutcome> {
        self.evidence.ok_or_else(|| {
            let cannot = matches!(self.submission.pixels, Pixels::Fault(_));
            let why = if cannot { "its pixels cannot be read" } else { "its pixels are not read yet" };
            RuleOutcome::NotChecked(why.to_owned())
        })
    }
}

/// What a rule answers.
#[derive(Clone, Debug, PartialEq)]
pub enum RuleOutcome {
    /// It passed.
    Passed,
    /// It passed because what differs lies within the tolerance; what differs.
    WithinTolerance(String),
    /// It failed, in one or several ways.
    Failed(Vec<Breach>),
    /// It could not be checked; why.
    NotChecked(String),
    /// The brief does not say what it takes to check it; what is missing.
    NotKnown(String),
    /// The brief does not require it.
    NotRequired,
}

/// One way in which a rule does not hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Breach {
    /// Which of several: an edge, a field.
    pub about: String,
    /// A lower rank than the rule's, where this breach deserves no more.
    pub at_most: Option<Level>,
    /// Measured and asked, where they are numbers.
    pub numbers: Option<(f64, f64)>,
    /// The unit of the two where it is another one than the rule's.
    pub unit: Option<&'static str>,
    /// The measured value in a table cell.
    pub short: String,
    /// What was measured and what was asked.
    pub what: String,
    /// How to mend it.
    pub mend: String,
    /// The numbers that the words of `mend` name.
    pub fix: FixNumbers,
}

impl RuleOutcome {
    /// One breach and nothing else.
    pub fn failed(breach: Breach) -> RuleOutcome {
        RuleOutcome::Failed(vec![breach])
    }

    /// The breaches, or that it holds where there are none.
    pub fn of(breaches: Vec<Breach>) -> RuleOutcome {
        if breaches.is_empty() { RuleOutcome::Passed } else { RuleOutcome::Failed(breaches) }
    }
}
