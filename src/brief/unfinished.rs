//! A brief that is not finished: its printer's sheet is not there yet, or it has no prints yet. What it says can be
//! shown and asked all the same.

use std::path::Path;

use super::model::Brief;
use super::problem::Problem;
use super::sheet;
use super::texts::{text_of, top_text};
use super::{list_bytes, parse_all, read, with_remarks};

/// A print that stands for those that are still to come: larger than any fold or margin.
const STAND_IN: &str = "\n[[print]]\nname = \"every print\"\nsize = \"2000 x 2000 mm\"\n";

/// A brief as far as it goes.
#[derive(Debug)]
pub struct UnfinishedBrief {
    brief: Brief,
    /// The problem of the sheet that is not there.
    pub missing_sheet: Option<Problem>,
    /// True if it has no print yet.
    pub has_no_print: bool,
}

impl UnfinishedBrief {
    /// Returns the brief as it is.
    pub fn into_brief(self) -> Brief {
        let prints = if self.has_no_print { Vec::new() } else { self.brief.prints };
        Brief { prints, ..self.brief }
    }

    /// Returns the brief with one print in place of those that are still to come: what it leaves open for them all.
    pub fn into_asking(self) -> Brief {
        self.brief
    }
}

/// Reads a brief as [`read`] does, also where its sheet or its prints are missing.
///
/// # Errors
/// All that is wrong beside that.
pub fn read_unfinished(path: &Path, rule_ids: &[&str]) -> Result<UnfinishedBrief, Vec<Problem>> {
    let problems = match read(path, rule_ids) {
        Ok(brief) => return Ok(UnfinishedBrief { brief, missing_sheet: None, has_no_print: false }),
        Err(problems) => problems,
    };
    let mut text = text_of(path).map_err(|problem| vec![problem])?;
    let (mut sheets, missing_sheet) = sheet::read_all(&text, path);
    if missing_sheet.is_some() {
        leave_sheet_out(sheets.last_mut().map_or(&mut text, |last| &mut last.text));
    }
    let (list, no_list) = list_bytes(&text, path);
    let list = list.as_ref().map(|(path, bytes)| (path.as_path(), bytes.as_slice()));
    if no_list.is_some() {
        return Err(problems);
    }
    let with_print = format!("{text}{STAND_IN}");
    for (text, has_no_print) in [(&text, false), (&with_print, true)] {
        if let Ok(brief) = parse_all(text, path, list, &sheets, rule_ids) {
            let brief = with_remarks(brief, text, &sheets);
            return Ok(UnfinishedBrief { brief, missing_sheet, has_no_print });
        }
    }
    Err(problems)
}

/// Makes a comment of the line by which a file names a sheet. No other line moves.
fn leave_sheet_out(text: &mut String) {
    let Some((_, at)) = top_text(text, "sheet") else { return };
    let at = at + text.len() - super::texts::without_mark(text).len();
    let begin = text[..at].rfind('\n').map_or(0, |before| before + 1);
    let end = text[at..].find('\n').map_or(text.len(), |length| at + length);
    text.replace_range(begin..end, "#");
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::brief::questions::questions;

    fn unfinished(text: &str) -> Result<UnfinishedBrief, Vec<Problem>> {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("b.toml");
        fs::write(&path, text).unwrap();
        read_unfinished(&path, &[])
    }

    #[test]
    fn a_brief_without_prints_asks_about_all_that_are_still_to_come() {
        let unfinished = unfinished("[paper]\nstock = \"coated\"\n[margins]\nfolds = [\"100 mm\"]\n").unwrap();
        assert!(unfinished.has_no_print && unfinished.missing_sheet.is_none());
        let brief = unfinished.into_asking();
        let questions = questions(&brief);
        assert!(questions.iter().any(|one| one.key == "margins.bleed" && one.prints.is_empty()), "{questions:?}");
        assert!(questions.iter().all(|one| one.key != "paper.stock"));
    }

    #[test]
    fn a_brief_whose_sheet_is_not_there_is_read_without_it() {
        let print = "[[print]]\nsize = \"A4\"\n";
        let unfinished_brief = unfinished(&format!("sheet = \"none.toml\"\ntitle = \"Low Water\"\n{print}")).unwrap();
        let problem = unfinished_brief.missing_sheet.as_ref().unwrap();
        assert!(problem.line == 1 && problem.what.contains("no printer's sheet \"none.toml\""), "{problem:?}");
        let brief = unfinished_brief.into_brief();
        assert_eq!((brief.title.as_deref(), brief.prints.len()), (Some("Low Water"), 1));
        // Neither is there.
        let neither = unfinished("sheet = \"none.toml\"\n").unwrap();
        assert!(neither.has_no_print && neither.missing_sheet.is_some());
        assert!(neither.into_brief().prints.is_empty());
        assert!(unfinished(&format!("sheet = \"none.toml\"\nbleed = 3\n{print}")).is_err(), "other mistakes stay");
    }
}
