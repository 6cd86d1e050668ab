//! Data of a rule: its words, its level, and how other parts of the program use its findings.

use std::fmt;

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::risk::Risk;

/// One check of a row or of the order. Everything about it is in one file of `judge/rules/`.
///
/// Two rules are the same if their ids are.
#[derive(Clone, Copy)]
pub struct Rule {
    /// `group.name`: the word in briefs, decisions files, reports and on the command line.
    pub id: &'static str,
    /// Its subject; the id begins with the group's word.
    pub group: RuleGroup,
    /// What is wrong where it fails, in two to four words: `Too few pixels`.
    pub title: &'static str,
    /// The check, as one question.
    pub question: &'static str,
    /// Its level unless the brief gives another.
    pub level: Level,
    /// Why it matters on paper: the `why` of every finding.
    pub why: &'static str,
    /// How it is measured and compared, and the tolerance, for its handbook page.
    pub page: &'static str,
    /// What to do about it in general; each finding gives the numbers.
    pub fix: &'static str,
    /// What it cannot see, for its handbook page.
    pub misses: &'static str,
    /// The brief's keys that it uses, as `table.key`.
    pub keys: &'static [&'static str],
    /// The source of its limits.
    pub source: &'static str,
    /// Descriptions of a case that passes and one that fails.
    pub samples: RuleExamples,
    /// The unit of its numbers, as in JSON: `ppi`, `share`, `px`, `bits`, `bytes`; empty where it has none. A breach
    /// may have another (`Breach::unit`).
    pub unit: &'static str,
    /// What its outcome depends on.
    pub depends_on: Dependence,
    /// Rules whose findings would repeat this one's failure.
    pub silences: &'static [&'static Rule],
    /// How other parts of the program use its findings.
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

/// The subject of a rule.
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
    /// Things where cutting, folding and binding take.
    Margins,
    /// Focus, halos, enlargement, noise, blocks.
    Detail,
    /// Remarks on a test print.
    Proof,
    /// The pictures of one print in the versions of the order.
    Version,
    /// The order as a whole.
    Set,
}

impl RuleGroup {
    /// Every group, in the order of findings.
    pub const ALL: [RuleGroup; 10] = [
        RuleGroup::File,
        RuleGroup::Size,
        RuleGroup::Density,
        RuleGroup::Colour,
        RuleGroup::Tone,
        RuleGroup::Margins,
        RuleGroup::Detail,
        RuleGroup::Proof,
        RuleGroup::Version,
        RuleGroup::Set,
    ];

    /// Returns what its rules are about, in words.
    pub const fn about(self) -> &'static str {
        match self {
            RuleGroup::File => "the file itself",
            RuleGroup::Size => "aspect ratio and crop",
            RuleGroup::Density => "pixels per inch on paper",
            RuleGroup::Colour => "colour model and colour space",
            RuleGroup::Tone => "highlights and shadows",
            RuleGroup::Margins => "bleed, trim, safe margin, folds",
            RuleGroup::Detail => "sharpness, grain, enlargement",
            RuleGroup::Proof => "what was seen on test prints",
            RuleGroup::Version => "one print in the versions of the order",
            RuleGroup::Set => "the order as a whole",
        }
    }

    /// Returns the word that the ids of its rules begin with.
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
            RuleGroup::Version => "version",
            RuleGroup::Set => "set",
        }
    }
}

/// What a rule's outcome depends on. It decides whether an accepted finding stays accepted for another export.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dependence {
    /// The stored file: another export of the same pixels may differ.
    Bytes,
    /// The decoded pixels, on this print's paper.
    Pixels,
    /// The number of pixels and the print's geometry.
    Print,
    /// The other files of the folder.
    Folder,
}

impl Dependence {
    /// True if all files with the same pixels have the same outcome for the same print.
    pub const fn is_same_of_same_pixels(self) -> bool {
        matches!(self, Dependence::Pixels | Dependence::Print)
    }
}

/// How other parts of the program use a rule and its findings.
#[derive(Clone, Copy, Debug)]
pub struct RuleUses {
    /// The column of the live table whose value a finding marks.
    pub column: Option<TableColumn>,
    /// True if a warning is a reason for a test print.
    pub wants_test_print: bool,
    /// The subject of a test print's strip where the rule has a finding.
    pub risk: Option<Risk>,
    /// True if the note for the printer also names its findings of level note.
    pub concerns_printer: bool,
    /// True if a finding means that the picture cannot be read: it is always a must, and nobody can accept it.
    pub is_unreadable: bool,
    /// Returns what to set in an export so that a file for this print passes; `None` for a rule that no setting
    /// satisfies.
    pub export_setting: Option<ExportSettingOf>,
}

/// Returns the setting that a rule needs of an export for a print; `None` where the print needs none.
pub type ExportSettingOf = fn(&Print) -> Option<ExportSetting>;

impl RuleUses {
    /// Findings that are listed on their row and not used otherwise.
    pub const NONE: RuleUses = RuleUses {
        column: None,
        wants_test_print: false,
        risk: None,
        concerns_printer: false,
        is_unreadable: false,
        export_setting: None,
    };
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
    /// The case that passes.
    pub passes: &'static str,
    /// The case that fails.
    pub fails: &'static str,
}
