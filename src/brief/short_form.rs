//! The short form of a starter: what the order itself has to say, `like`, and the starter's values as comments, each of
//! which counts once it is uncommented.

use super::starter::Starter;
use super::toml_value::quote;

/// What stands below the first line of a new brief.
const HEAD: &str = "\
#
# The values below are the starter's: usual ones, since no printer has said them. plateside brief ask lists the
# questions for the printer; plateside brief answer writes the answers into the printer's sheet. Or uncomment here what
# the printer has said.
# The printer's own specification and a hard proof have the last word.
";
/// What stands behind the name of a printer's sheet.
const SHEET: &str =
    "# sheet = \"corrow-lane.toml\"         # what this printer answered once, for all your orders with them";
/// What stands behind each value of the starter.
const USUAL: &str = "# usual; uncomment when your printer has said so";
/// Column at which the comment behind a value begins.
const COMMENT_COLUMN: usize = 35;

/// A picture list for a new brief.
#[derive(Clone, Copy, Debug)]
pub(super) struct NamedList<'a> {
    /// Its path as the brief shall name it, relative to the brief.
    pub(super) path: &'a str,
    /// The sheet that lists the prints, where a workbook has several.
    pub(super) sheet: Option<&'a str>,
}

impl NamedList<'_> {
    /// Returns the line that names the list.
    pub(super) fn line(self) -> String {
        format!("prints = {}", quote(self.path))
    }

    /// Returns the line that names its sheet, if there is one to name.
    pub(super) fn sheet_line(self) -> Option<String> {
        self.sheet.map(|sheet| format!("prints_sheet = {}", quote(sheet)))
    }
}

/// The part of a starter that a line belongs to.
enum Part<'a> {
    Head,
    Top,
    /// A table whose values are usual ones.
    Values(&'a str),
    Sizes,
    Prints,
}

/// Returns the short form of a starter; with a picture list in place of its prints.
pub(super) fn of(starter: &Starter, list: Option<NamedList<'_>>) -> String {
    let (mut top, mut values, mut sizes, mut prints) = (String::new(), String::new(), String::new(), String::new());
    let mut part = Part::Head;
    for line in starter.text.lines() {
        let table = line.strip_prefix('[').map(|rest| rest.trim_start_matches('[').split(']').next().unwrap_or(rest));
        part = match (part, table) {
            (_, Some("sizes")) => Part::Sizes,
            (_, Some(name)) if name.split('.').next() == Some("print") => Part::Prints,
            (_, Some(name)) => Part::Values(name),
            (Part::Head, None) if line.is_empty() => Part::Top,
            (part, None) => part,
        };
        let (into, line) = match part {
            Part::Head => continue,
            Part::Top => (&mut top, line.to_owned()),
            Part::Sizes => (&mut sizes, line.to_owned()),
            Part::Prints => (&mut prints, line.to_owned()),
            Part::Values(_) if table.is_some() => continue,
            Part::Values(name) => (&mut values, as_comment(name, line)),
        };
        into.push_str(&line);
        into.push('\n');
    }
    let title = starter.text.lines().next().unwrap_or_default();
    let named = list.map(|list| pad(&list.line(), "# one print a row")).unwrap_or_default();
    let sheet = list.and_then(NamedList::sheet_line).unwrap_or_default();
    let like = format!("like = {}", quote(starter.name));
    let parts = [format!("{title}\n{HEAD}"), format!("{like}\n{SHEET}\n{named}\n{sheet}"), top, values, sizes];
    let parts = parts.into_iter().chain(list.is_none().then_some(prints));
    let parts: Vec<String> = parts.map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()).collect();
    format!("{}\n", parts.join("\n\n"))
}

/// Returns a line of a table as a comment that can be uncommented by itself: `# paper.stock = "coated"`.
fn as_comment(table: &str, line: &str) -> String {
    let (assignment, is_comment) = match line.strip_prefix("# ") {
        Some(rest) => (rest, true),
        None => (line, false),
    };
    let Some((key, rest)) = assignment.split_once('=').filter(|(key, _)| is_key(key.trim())) else {
        return line.to_owned();
    };
    let (value, said) = rest.split_once('#').unwrap_or((rest, ""));
    let assigned = format!("# {table}.{} = {}", key.trim(), value.trim());
    if is_comment { pad(&assigned, &format!("# {}", said.trim())) } else { pad(&assigned, USUAL) }
}

fn is_key(word: &str) -> bool {
    !word.is_empty() && word.chars().all(|c| c.is_ascii_alphanumeric() || "_.\"".contains(c))
}

/// Returns a line with a comment in the usual column behind it.
fn pad(line: &str, comment: &str) -> String {
    format!("{line:COMMENT_COLUMN$} {comment}").trim_end_matches(['#', ' ']).to_owned()
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::brief::starter::STARTERS;
    use crate::brief::{Brief, Origin};

    fn parsed(text: &str) -> Brief {
        crate::brief::parse(text, Path::new("a.toml"), None, &[])
            .unwrap_or_else(|problems| panic!("{text}\n{problems:#?}"))
    }

    #[test]
    fn the_short_form_asks_for_what_the_starter_does_as_usual_values() {
        for starter in STARTERS {
            let (short, whole) = (parsed(&of(starter, None)), parsed(starter.text));
            assert_eq!(short.like, Some(starter.name));
            for (short, whole) in short.prints.iter().zip(&whole.prints) {
                assert_eq!(short.requirements, whole.requirements, "{}", starter.name);
                assert_eq!((&short.name, short.size), (&whole.name, whole.size));
                assert!(matches!(short.origins.of("paper.stock"), Origin::Starter(_)));
            }
            assert_eq!(short.prints.len(), whole.prints.len());
        }
    }

    #[test]
    fn each_value_counts_once_it_is_uncommented() {
        for starter in STARTERS {
            let short = of(starter, None);
            assert!(short.lines().all(|line| line.chars().count() <= 120), "{short}");
            let usual: Vec<&str> = short.lines().filter(|line| line.ends_with(USUAL)).collect();
            assert!(usual.len() > 4, "{short}");
            for line in usual {
                let brief = parsed(&short.replace(line, &line[2..]));
                let key = line[2..].split(' ').next().unwrap();
                assert!(matches!(brief.origins.of(key), Origin::Brief(_)), "{}: {line}", starter.name);
            }
        }
    }

    #[test]
    fn a_value_that_the_starter_only_suggests_stays_a_suggestion() {
        let coated = of(crate::brief::starter::find("cookbook-coated").unwrap(), None);
        assert!(coated.contains("\n# paper.profile = \"profiles/press.icc\" # ask for it:"), "{coated}");
        assert!(coated.contains("\n# title   = \"...\""), "{coated}");
    }
}
