//! The shape of a rule: one constant with its words, and one function that asks.

use std::sync::Arc;

use crate::brief::Print;
use crate::brief::asked::Level;
use crate::judge::answers::Answers;
use crate::judge::delivered::Delivered;
use crate::judge::placement::Placement;
use crate::measure::Evidence;
use crate::picture::Facts;

/// One question asked of a row. Everything about it stands in one file of `judge/rules/`.
#[derive(Debug)]
pub struct Rule {
    /// `group.name`.
    pub id: &'static str,
    /// What it asks, as one question.
    pub question: &'static str,
    /// Its rank where the brief does not say otherwise.
    pub level: Level,
    /// Why paper cares: the `why` of every finding.
    pub why: &'static str,
    /// The handbook page: what is measured, how it is compared, what is forgiven.
    pub page: &'static str,
    /// The brief's keys that it reads, as `table.key`.
    pub keys: &'static [&'static str],
    /// Where its limits come from.
    pub source: &'static str,
    /// Words for one case that holds and one that does not.
    pub samples: Samples,
    /// Rules whose findings say the same again once this one has failed.
    pub silences: &'static [&'static str],
    /// Asks one row.
    pub ask: Ask,
}

/// One case that holds and one that does not, for the handbook page.
#[derive(Debug)]
pub struct Samples {
    /// Holds.
    pub holds: &'static str,
    /// Does not hold.
    pub fails: &'static str,
}

/// When a rule can be asked.
#[derive(Clone, Copy, Debug)]
pub enum Ask {
    /// Of a row, as soon as the header is read.
    Header(fn(&Case) -> Outcome),
    /// Of a row, once its pixels are read.
    Pixels(fn(&Case, &Evidence) -> Outcome),
    /// Of a file that may not even have a header.
    File(fn(&Delivered) -> Outcome),
    /// Of the order as a whole; see `judge/rules/set_*.rs`.
    Order,
}

/// A picture for a print, with what is known of both.
#[derive(Clone, Debug)]
pub struct Case<'a> {
    /// The print.
    pub print: &'a Print,
    /// The file.
    pub delivered: &'a Delivered,
    /// Its header.
    pub facts: &'a Facts,
    /// Its geometry on paper.
    pub placement: &'a Arc<Placement>,
    /// Evidence put on paper.
    pub answers: &'a Answers,
}

/// What a rule answers.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It holds.
    Holds,
    /// It holds because something small was forgiven; what.
    Forgiven(String),
    /// It does not hold, in one or several ways.
    Fails(Vec<Breach>),
    /// It has no answer; why.
    NotAnswered(String),
    /// The brief does not ask it.
    NotAsked,
}

/// One way in which a rule does not hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Breach {
    /// Which of several: an edge, a field.
    pub about: String,
    /// Another rank than the rule's, where this breach deserves one of its own.
    pub rank: Option<Level>,
    /// Measured and asked, where they are numbers, with their unit.
    pub numbers: Option<(f64, f64, &'static str)>,
    /// The measured value in a table cell.
    pub short: String,
    /// What was measured and what was asked.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl Outcome {
    /// One breach and nothing else.
    pub fn fails(breach: Breach) -> Outcome {
        Outcome::Fails(vec![breach])
    }

    /// The breaches, or that it holds where there are none.
    pub fn of(breaches: Vec<Breach>) -> Outcome {
        if breaches.is_empty() { Outcome::Holds } else { Outcome::Fails(breaches) }
    }
}
