//! What a printer's intake desk must do with a delivery, readable in half a minute: nothing that the brief or the files
//! do not say.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;

use crate::brief::{Print, PrintsById};
use crate::judge::Row;
use crate::judge::rules::set::duplicate;
use crate::picture::Facts;
use crate::picture::facts::EmbeddedProfile;
use crate::reading::check_report::CheckReport;
use crate::units::show;
use crate::units::words::visible;

use super::contents::PICTURES;
use super::order_change::{ListHead, PrintChange};
use super::ordered::{EXCEPTIONS, copies, exception, exceptions_to_tell, paper, warnings_to_tell};
use super::placing::{SIZE_AND_BLEED, crop_words, placing_words};
use super::plan::PlannedPicture;
use super::repeated::RepeatedOrders;
use super::since::{Comparison, PictureChange};
use crate::report::days;

/// Heading of what the printer has already.
pub(super) const SENT_AGAIN: &str = "Sent again";
/// Heading of warnings that the photographer leaves, and tells the printer.
pub(super) const KNOWN: &str = "Known, leave as it is";
/// Heading of what only the printer can settle.
pub(super) const TO_CHECK: &str = "Check before printing";
/// Heading of what to do with earlier files.
pub(super) const CHANGES: &str = "Changes";
/// Heading of how much goes with a delivery that follows another.
pub(super) const IN_THIS_DELIVERY: &str = "In this delivery";
/// Heading of how much goes with any other.
pub(super) const ORDER: &str = "Order";
/// Most names that the last line lists; with more it says "all others". Own choice.
const MAX_LISTED: usize = 2;

/// An instruction: what it is about, and what to do, one sentence a line. Foreign text is escaped.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Instruction {
    /// What it is about.
    pub about: &'static str,
    /// True if harm is done where it is overlooked.
    pub is_urgent: bool,
    /// What to do.
    pub lines: Vec<String>,
}

/// A picture's name, and something said of it.
type Said = (String, String);

/// The order that instructions are about.
#[derive(Clone, Copy)]
pub(super) struct InstructedOrder<'a> {
    pub(super) report: &'a CheckReport,
    pub(super) prints: &'a PrintsById<'a>,
    /// The pictures that go with this delivery.
    pub(super) sent: &'a [&'a PlannedPicture],
    pub(super) comparison: Option<&'a Comparison>,
    /// True if it leaves out a part of the order.
    pub(super) is_part: bool,
    /// The number of pictures that the printer has and that stay as they are.
    pub(super) unchanged: usize,
    /// What is sent again, where nothing is said of changes.
    pub(super) repeats: Option<&'a RepeatedOrders>,
}

impl InstructedOrder<'_> {
    /// Returns the instructions, the most urgent first.
    pub(super) fn instructions(&self) -> Vec<Instruction> {
        let brief = &self.report.brief;
        let foreign = |text: Option<&str>| text.map(|text| visible(text).into_owned()).into_iter().collect();
        let again = self.repeats.map(|repeats| repeats.lines(self.is_part)).unwrap_or_default();
        let urgent = [(SENT_AGAIN, again), ("Withdrawn, do not print", self.withdrawn_lines())];
        let urgent = urgent.map(|(about, lines)| Instruction { about, is_urgent: true, lines });
        let others = [
            (CHANGES, self.changes()),
            (if self.comparison.is_some() || self.is_part { IN_THIS_DELIVERY } else { ORDER }, self.order()),
            ("Files due at the printer", brief.due.iter().map(|due| days::in_words(due)).collect()),
            (SIZE_AND_BLEED, self.by_version(&|part| join_said(part.of_rows(&placing_words)))),
            ("Cropping", self.by_version(&|part| join_said(part.of_rows(&crop_words)))),
            ("Paper", self.by_version(&|part| join_said(part.of_rows(&|_, print| paper(print))))),
            ("Colour space", self.by_version(&|part| join_said(part.of_facts(&colour_space)))),
            ("Colour correction", foreign(brief.colour_correction.as_deref())),
            (EXCEPTIONS, with_names(self.collect_said(&|row, _| exceptions_to_tell(row).map(exception).collect()))),
            (KNOWN, with_names(self.collect_said(&known_warnings))),
            (
                TO_CHECK,
                [
                    with_names(self.collect_said(&to_check)),
                    self.same_pictures().iter().map(|names| same_words(names)).collect(),
                ]
                .concat(),
            ),
            ("Questions to", foreign(brief.from.as_deref())),
            ("Transfer", foreign(brief.requirements.delivery.transfer.as_deref())),
        ];
        let others = others.map(|(about, lines)| Instruction { about, is_urgent: about == TO_CHECK, lines });
        urgent.into_iter().chain(others).filter(|one| !one.lines.is_empty()).collect()
    }

    /// Returns what is said of each version's pictures under its name; once, where it is the same of all, or where
    /// there is only one.
    fn by_version(&self, say: &dyn Fn(&InstructedOrder) -> Vec<String>) -> Vec<String> {
        let versions = self.versions();
        if versions.len() < 2 {
            return say(self);
        }
        let said: Vec<(String, Vec<String>)> = versions
            .into_iter()
            .map(|(name, sent)| (visible(name).into_owned(), say(&InstructedOrder { sent: &sent, ..*self })))
            .collect();
        match said.split_first() {
            Some(((_, lines), others)) if others.iter().all(|(_, other)| other == lines) => lines.clone(),
            _ => {
                said.iter().flat_map(|(name, lines)| lines.iter().map(move |line| format!("{name}: {line}"))).collect()
            }
        }
    }

    /// Returns the versions that are sent, each with its pictures; none where the order has no versions.
    fn versions(&self) -> Vec<(&str, Vec<&PlannedPicture>)> {
        let mut versions: Vec<(&str, Vec<&PlannedPicture>)> = Vec::new();
        for sent in self.sent {
            let Some(name) = version_of(self.report, sent) else { continue };
            match versions.last_mut().filter(|(last, _)| *last == name) {
                Some((_, pictures)) => pictures.push(sent),
                None => versions.push((name, vec![sent])),
            }
        }
        versions
    }

    fn withdrawn_lines(&self) -> Vec<String> {
        let Some(comparison) = self.comparison else {
            return self.repeats.map(|repeats| repeats.withdrawn.clone()).unwrap_or_default();
        };
        let files = comparison.withdrawn.iter().map(|name| visible(name).into_owned());
        files.chain(comparison.withdrawn_prints(self.sent)).collect()
    }

    /// Describes what is to be done with files of earlier deliveries.
    fn changes(&self) -> Vec<String> {
        let Some(comparison) = self.comparison else { return Vec::new() };
        // Its line among the changed orders says that it was replaced, too.
        let is_listed =
            |sent: &PlannedPicture| comparison.prints(sent).iter().any(|one| one.listed("", false).is_some());
        let replaced = self.sent.iter().filter_map(|sent| match comparison.change(sent) {
            PictureChange::Replaces { name: None, .. } if is_listed(sent) => None,
            PictureChange::Replaces { name: None, .. } => Some(visible(&sent.name).into_owned()),
            PictureChange::Replaces { name: Some(old), .. } => {
                Some(format!("{} (instead of {})", visible(&sent.name), visible(&old)))
            }
            _ => None,
        });
        let replaced = replaced.collect::<Vec<String>>();
        let renamed = self.sent.iter().filter_map(|sent| match comparison.change(sent) {
            PictureChange::Renamed(old) => {
                let print = comparison.prints(sent).iter().find_map(PrintChange::renamed_words);
                let print = print.map(|words| format!(", and {words}")).unwrap_or_default();
                Some(format!("{} is now called {}{print}", visible(&old), visible(&sent.name)))
            }
            _ => None,
        });
        let is_new = |sent: &&&PlannedPicture| comparison.change(sent) == PictureChange::New;
        let new: Vec<_> = self.sent.iter().filter(is_new).map(|sent| visible(&sent.name)).collect();
        let mut lines = Vec::new();
        if !new.is_empty() {
            lines.push(format!("new: {}", new.join(", ")));
        }
        if !replaced.is_empty() {
            lines.push(format!("replaced, use the new files: {}", replaced.join(", ")));
        }
        lines.extend(renamed);
        lines.extend(self.order_changes(comparison));
        if self.unchanged > 0 {
            let unchanged = show::count(self.unchanged, "picture", "pictures");
            lines.push(format!("{unchanged} unchanged, not sent again: use the files that you have"));
        }
        lines.extend(comparison.changed_terms());
        lines
    }

    /// Describes what is ordered differently of the pictures: one line for each kind of change.
    fn order_changes(&self, comparison: &Comparison) -> Vec<String> {
        let mut by_head: BTreeMap<(ListHead, bool), Vec<String>> = BTreeMap::new();
        for sent in self.sent {
            let change = comparison.change(sent);
            let is_new_file = matches!(change, PictureChange::Replaces { .. });
            // The line of a file that is called differently names its print, too.
            let is_said =
                |one: &&PrintChange| matches!(change, PictureChange::Renamed(_)) && one.renamed_words().is_some();
            let file = visible(&sent.name);
            let prints = comparison.prints(sent).iter().filter(|one| !is_said(one));
            let listed: Vec<_> = prints.filter_map(|one| one.listed(&file, sent.rows.len() > 1)).collect();
            let has_order = listed.iter().any(|(head, _)| *head == ListHead::Order);
            for (head, words) in listed {
                // A print that is renamed and ordered differently is one line.
                let head = if head == ListHead::Renamed && has_order { ListHead::Order } else { head };
                let names = by_head.entry((head, is_new_file)).or_default();
                if names.last() != Some(&words) {
                    names.push(words);
                }
            }
        }
        let line = |((head, is_new_file), names): ((ListHead, bool), Vec<String>)| {
            format!("{}: {}", head.words(is_new_file), names.join(", "))
        };
        by_head.into_iter().map(line).collect()
    }

    /// Returns the names of pictures that are the same file under several names, unless somebody accepted that.
    pub(super) fn same_pictures(&self) -> Vec<Vec<String>> {
        let is_duplicate = |row: &Row| row.accepted.iter().any(|one| one.finding.rule == &duplicate::RULE);
        let mut by_content: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for sent in self.sent.iter().filter(|sent| !self.rows_of(sent).any(|(row, _)| is_duplicate(row))) {
            by_content.entry(&sent.sha256).or_default().push(visible(&sent.name).into_owned());
        }
        let mut same: Vec<Vec<String>> = by_content.into_values().filter(|names| names.len() > 1).collect();
        same.sort();
        same
    }

    /// Counts what is to be printed of these files; nothing where only words of the order changed.
    fn order(&self) -> Vec<String> {
        if self.sent.is_empty() {
            return Vec::new();
        }
        let rows = || self.sent.iter().flat_map(|sent| &sent.rows).map(|at| &self.report.rows[*at]);
        let counted = self.sent.iter().flat_map(|sent| self.rows_of(sent));
        let counted: Vec<u32> = counted.filter_map(|(row, print)| copies(row, print)).collect();
        let all = show::count(counted.iter().map(|copies| *copies as usize).sum(), "copy", "copies");
        let (pictures, prints) = (self.sent.len(), rows().count());
        let copies = match counted.len() {
            0 => None,
            count if count == prints => Some(format!("{all} in all")),
            count => Some(format!("{count} of the prints are ordered by number, {all} in all")),
        };
        let counts = [show::count(pictures, "picture", "pictures"), show::count(prints, "print", "prints")];
        let counts = [counts.join(", ")].into_iter().chain(copies).collect::<Vec<String>>().join("; ");
        let part = self.is_part.then(|| "a part of the order: the rest is sent separately".to_owned());
        let of_version = |(name, sent): (&str, Vec<&PlannedPicture>)| {
            let (name, pictures) = (visible(name), show::count(sent.len(), "picture", "pictures"));
            format!("version {name}: {pictures} in the folder {PICTURES}/{name}")
        };
        [counts].into_iter().chain(self.versions().into_iter().map(of_version)).chain(part).collect()
    }

    fn rows_of<'o>(&'o self, sent: &'o PlannedPicture) -> impl Iterator<Item = (&'o Row, &'o Print)> {
        let rows = sent.rows.iter().map(|at| &self.report.rows[*at]);
        rows.filter_map(|row| Some((row, self.prints.get(row.key.print.as_ref())?)))
    }

    /// Collects things said of single prints, each under its picture's name.
    fn collect_said(&self, say: &dyn Fn(&Row, &Print) -> Vec<String>) -> Vec<Said> {
        let of_row = |sent, (row, print)| say(row, print).into_iter().map(move |words| (name_of(sent, print), words));
        self.sent.iter().flat_map(|sent| self.rows_of(sent).flat_map(move |one| of_row(sent, one))).collect()
    }

    /// Collects what is said of each print under its picture's name, with the print's name too where the picture has
    /// several of which different things are said. The words are empty where nothing is said.
    fn of_rows(&self, say: &dyn Fn(&Row, &Print) -> String) -> Vec<Said> {
        let of_picture = |sent: &&PlannedPicture| {
            let said: Vec<(&Print, String)> = self.rows_of(sent).map(|(row, print)| (print, say(row, print))).collect();
            match said.split_first() {
                Some(((_, words), others)) if others.iter().all(|(_, other)| other == words) => {
                    vec![(visible(&sent.name).into_owned(), words.clone())]
                }
                _ => said.into_iter().map(|(print, words)| (name_of(sent, print), words)).collect(),
            }
        };
        self.sent.iter().flat_map(of_picture).collect()
    }

    fn of_facts(&self, say: &dyn Fn(&Facts) -> String) -> Vec<Said> {
        let first = |sent: &PlannedPicture| self.report.rows[*sent.rows.first()?].facts.as_deref().map(say);
        self.sent.iter().filter_map(|sent| Some((visible(&sent.name).into_owned(), first(sent)?))).collect()
    }
}

/// Returns the name of the version that a picture belongs to.
pub(super) fn version_of<'a>(report: &'a CheckReport, sent: &PlannedPicture) -> Option<&'a str> {
    report.rows.get(*sent.rows.first()?)?.version.as_deref()
}

/// Names a picture, with its print where it has several.
fn name_of(sent: &PlannedPicture, print: &Print) -> String {
    match sent.rows.len() {
        0 | 1 => visible(&sent.name).into_owned(),
        _ => format!("{} ({})", visible(&sent.name), visible(&print.name)),
    }
}

/// Says that files are the same picture.
fn same_words(names: &[String]) -> String {
    match names.split_last() {
        Some((last, others)) => format!("{} and {last} are the same picture", others.join(", ")),
        None => String::new(),
    }
}

/// Returns the warnings that the photographer chose to tell.
fn known_warnings(row: &Row, print: &Print) -> Vec<String> {
    warnings_to_tell(row, print).map(|one| visible(&one.found).into_owned()).collect()
}

/// Returns what only the printer can settle.
fn to_check(row: &Row, _: &Print) -> Vec<String> {
    let found = row.findings.iter().filter(|one| one.rule.uses.concerns_printer);
    found.map(|one| visible(&one.found).into_owned()).collect()
}

fn colour_space(facts: &Facts) -> String {
    let name = crate::report::facts::profile(facts);
    let name = visible(&name);
    match facts.profile {
        EmbeddedProfile::Embedded(_) => format!("{name}, profile embedded"),
        EmbeddedProfile::None => {
            let claim = name.trim_start_matches("none embedded");
            let what = if claim.is_empty() { ": ask before you assign one" } else { claim };
            format!("{}, no profile embedded{what}", facts.model.name())
        }
        EmbeddedProfile::Broken(_) => format!("profile {name}"),
    }
}

/// Collects the names of which the same is said, in the order in which it is first said.
fn group_by_words(said: Vec<Said>) -> Vec<(String, Vec<String>)> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    for (name, words) in said {
        let place = *places.entry(words.clone()).or_insert(groups.len());
        match groups.get_mut(place) {
            Some((_, names)) => names.push(name),
            None => groups.push((words, vec![name])),
        }
    }
    groups
}

/// Says something of all pictures in one line where it is the same, else in one line for each group that shares it, the
/// largest last. Every line names its pictures, since another ends the list with "all others"; where nothing is said of
/// some, no line is about all.
fn join_said(said: Vec<Said>) -> Vec<String> {
    let count = said.len();
    let mut groups = group_by_words(said.into_iter().filter(|(_, words)| !words.is_empty()).collect());
    let is_of_all = groups.iter().map(|(_, names)| names.len()).sum::<usize>() == count;
    if groups.len() <= 1 && is_of_all {
        return groups.into_iter().map(|(words, _)| words).collect();
    }
    groups.sort_by_key(|(_, names)| names.len());
    let last = groups.len().saturating_sub(1);
    let line = |(at, (words, names)): (usize, (String, Vec<String>))| match names.len() {
        count if is_of_all && at == last && count > MAX_LISTED => format!("all others: {words}"),
        _ => format!("{}: {words}", names.join(", ")),
    };
    groups.into_iter().enumerate().map(line).collect()
}

/// Says each thing once, with all the pictures that it is about.
fn with_names(said: Vec<Said>) -> Vec<String> {
    group_by_words(said).into_iter().map(|(words, names)| format!("{}: {words}", names.join(", "))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::facts::ColourModel;
    use crate::report::sample;
    #[test]
    fn a_picture_without_a_profile_is_named_by_its_colour_model() {
        let of =
            |model| colour_space(&Facts { model, profile: EmbeddedProfile::None, claim: None, ..sample::facts(8, 10) });
        assert_eq!(of(ColourModel::Cmyk), "CMYK, no profile embedded: ask before you assign one");
        assert_eq!(of(ColourModel::Rgb), "RGB, no profile embedded: ask before you assign one");
    }

    #[test]
    fn what_is_the_same_of_all_pictures_is_said_once_and_else_by_picture() {
        let said = |words: &[(&str, &str)]| {
            join_said(words.iter().map(|(name, words)| ((*name).to_owned(), (*words).to_owned())).collect())
        };
        assert_eq!(said(&[]), [""; 0]);
        assert_eq!(said(&[("a", "sRGB"), ("b", "sRGB")]), ["sRGB"]);
        assert_eq!(said(&[("a", "sRGB"), ("b", "grey"), ("c", "sRGB")]), ["b: grey", "a, c: sRGB"]);
        assert_eq!(said(&[("a", "x"), ("b", "x"), ("c", "x"), ("d", "y")]), ["d: y", "all others: x"]);
        let mut many: Vec<(&str, &str)> = vec![("x", "sRGB"); 20];
        many.push(("b", "grey"));
        assert_eq!(said(&many), ["b: grey", "all others: sRGB"]);
        let names: Vec<String> = (10..30).map(|at| format!("p{at}")).collect();
        let mut halves: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), "matte")).collect();
        halves.extend(vec![("x", "lustre"); 21]);
        assert_eq!(said(&halves), [format!("{}: matte", names.join(", ")), "all others: lustre".to_owned()]);
        // Where nothing is said of some, no line is about all.
        assert_eq!(said(&[("a", "x"), ("b", "x"), ("c", "x"), ("d", "")]), ["a, b, c: x"]);
        assert_eq!(said(&[("d", "")]), [""; 0]);
    }
}
