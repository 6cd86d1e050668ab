//! What is known of a rule: its words, its weight, and what other parts of the program do with its findings.

use std::fmt;

use crate::brief::requirements::Level;
use crate::judge::model::risk::Risk;

/// One question asked of a row or of the order. Everything about it is in one file of `judge/rules/`.
///
/// Two rules are the same if their ids are.
#[derive(Clone, Copy)]
pub struct Rule {
    /// `group.name`: the word in briefs, decisions files, reports and on the command line.
    pub id: &'static str,
    /// What it is about; its id begins with the group's word.
    pub group: RuleGroup,
    /// What it asks, as one question.
    pub question: &'static str,
    /// Its level where the brief does not say otherwise.
    pub level: Level,
    /// Why paper cares: the `why` of every finding.
    pub why: &'static str,
    /// The handbook page: what is measured, how it is compared, what is forgiven.
    pub page: &'static str,
    /// The brief's keys that it reads, as `table.key`.
    pub keys: &'static [&'static str],
    /// Where its limits come from.
    pub source: &'static str,
    /// Words for one case that passes and one that fails.
    pub samples: RuleExamples,
    /// The unit of what it measures, as in JSON: `ppi`, `share`, `px`, `bits`, `bytes`; empty where it has no numbers.
    /// A breach may name another one (`Breach::unit`).
    pub unit: &'static str,
    /// What its outcome follows from.
    pub depends_on: Dependence,
    /// Rules whose findings say the same again once this one has failed.
    pub silences: &'static [&'static Rule],
    /// What other parts of the program do with its findings.
    pub uses: RuleUses,
}

impl PartialEq for Rule {
    fn eq(&self, other: &Rule) -> bool {
        self.id == other.id
    }
}

impl Eq for Rule {}

impl fmt::Debug for Rule {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "Rule({})", self.id)
    }
}

/// What a rule is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuleGroup {
    /// The file itself: kind, depth, name, credit.
    File,
    /// The aspect ratio against the print's.
    Size,
    /// Pixels per inch.
    Density,
    /// Model, profile, gamut, ink.
    Colour,
    /// Highlights, shadows, lightness.
    Tone,
    /// What lies where cutting, folding and binding take.
    Margins,
    /// Focus, halos, enlargement, noise, blocks.
    Detail,
    /// What was seen on a test print.
    Proof,
    /// The order as a whole.
    Set,
}

impl RuleGroup {
    /// Every group, in the order of findings.
    pub const ALL: [RuleGroup; 9] = [
        RuleGroup::File,
        RuleGroup::Size,
        RuleGroup::Density,
        RuleGroup::Colour,
        RuleGroup::Tone,
        RuleGroup::Margins,
        RuleGroup::Detail,
        RuleGroup::Proof,
        RuleGroup::Set,
    ];

    /// What its rules are about, in words.
    pub const fn about(self) -> &'static str {
        match self {
            RuleGroup::File => "the file itself",
            RuleGroup::Size => "the shape of the picture",
            RuleGroup::Density => "pixels per inch on paper",
            RuleGroup::Colour => "colour model and colour space",
            RuleGroup::Tone => "highlights and shadows",
            RuleGroup::Margins => "bleed, cut, safe margin, folds",
            RuleGroup::Detail => "sharpness, grain, enlargement",
            RuleGroup::Proof => "what was seen on test prints",
            RuleGroup::Set => "the order as a whole",
        }
    }

    /// The word that the ids of its rules begin with.
    pub const fn word(self) -> &'static str {
        match self {
            RuleGroup::File => "file",
            RuleGroup::Size => "size",
            RuleGroup::Density => "density",
            RuleGroup::Colour => "colour",
            RuleGroup::Tone => "tone",
            RuleGroup::Margins => "margins",
            RuleGroup::Detail => "detail",
            RuleGroup::Proof => "proof",
            RuleGroup::Set => "set",
        }
    }
}

/// What a rule's outcome follows from. It decides whether an accepted finding stays accepted of another export.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dependence {
    /// How the picture is stored: another export of the same pixels may differ.
    Bytes,
    /// The decoded pixels, on this print's paper.
    Pixels,
    /// The number of pixels and the print's geometry.
    Print,
    /// The other files of the folder.
    Folder,
}

impl Dependence {
    /// Whether every file with the same pixels has the same outcome for the same print.
    pub const fn is_same_of_same_pixels(self) -> bool {
        matches!(self, Dependence::Pixels | Dependence::Print)
    }
}

/// What other parts of the program do with a rule's findings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RuleUses {
    /// The column of the live table whose value is marked by a finding.
    pub column: Option<TableColumn>,
    /// Whether a warning is a reason for a test print.
    pub asks_test_print: bool,
    /// What a strip of the test print is to show where the rule has a finding.
    pub risk: Option<Risk>,
    /// Whether the note for the printer names its findings of level note, too.
    pub concerns_printer: bool,
    /// Whether a finding means that the picture cannot be read: it is always a must, and nobody can accept it.
    pub is_unreadable: bool,
}

impl RuleUses {
    /// Its findings are listed on their row and used for nothing else.
    pub const NONE: RuleUses =
        RuleUses { column: None, asks_test_print: false, risk: None, concerns_printer: false, is_unreadable: false };
}

/// A column of the live table that shows one value of the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableColumn {
    /// Effective pixels per inch.
    Density,
    /// The share that the print's aspect ratio cuts off.
    Shape,
    /// The colour space.
    Space,
    /// The container, with its quality or its bits.
    File,
}

/// One case that passes and one that fails, for the handbook page.
#[derive(Clone, Copy, Debug)]
pub struct RuleExamples {
    /// Passes.
    pub holds: &'static str,
    /// Fails.
    pub fails: &'static str,
}
