//! An answer of the printer: read as it is typed, put into the printer's sheet or the brief, and written only if the
//! brief is sound with it and it answers what was asked, no more.

mod everyday;
mod place;
mod typed;

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::key::{BriefKey, ValueKind};
use super::key_table;
use super::model::Brief;
use super::origin::Origin;
use super::parsed::is_of_one_order;
use super::problem::Problem;
use super::questions::{self, OpenQuestion};
use super::sheet;
use super::texts::text_of;
use super::toml_value::quote;
use super::value_error::ValueError;
use super::{list_bytes, parse_all};
use crate::files;
use crate::files::{atomic, os};
use crate::units::words::visible;

use place::{AnswerPlace, Edit};

/// The beginning of a new sheet.
const NEW_SHEET: &str = "\
# What this printer has answered, for all your orders with them. A brief takes it in with sheet = \"...\".
# The printer's own specification and a hard proof have the last word.
";
/// Keys that say which paper an answer is about.
const OF_PAPER: [&str; 3] = ["paper.stock", "paper.surface", "paper.process"];

/// Longest wait for another window that writes beside the same file. Own choice: a write takes milliseconds.
const LOCK_TIMEOUT: Duration = Duration::from_secs(10);
/// Most attempts while other programs change the files.
const MAX_ATTEMPTS: usize = 20;

/// An answer that was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenAnswer {
    /// The sheet or the brief.
    pub file: PathBuf,
    /// The value as it is written there.
    pub value: String,
}

/// Why an answer was not written.
#[derive(Debug, thiserror::Error)]
pub enum AnswerError {
    /// It is no value of that key, or contradicts another: to be asked again.
    #[error("{what}")]
    Wrong {
        /// What is wrong; safe to show.
        what: String,
        /// What to type or to do; safe to show.
        fix: String,
    },
    /// It concerns prints of a picture list alone, which have no place of their own.
    #[error("the answer is about some prints only, and they have no place of their own in the brief")]
    NoPlace,
    /// A file of the brief changed meanwhile.
    #[error("{}: it was changed meanwhile; type the answer again", .0.display())]
    Changed(PathBuf),
    /// The brief cannot be read any more.
    #[error("the brief has mistakes")]
    Mistakes(Vec<Problem>),
    /// It cannot be written.
    #[error("{}: cannot be written: {}", path.display(), atomic::write_error_words(source))]
    Write {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

/// An answer in everyday words, as it was understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnderstoodAnswer {
    /// The answer in the words of a brief.
    pub words: String,
    /// The value as it would be written.
    pub value: String,
}

/// Returns how an answer in everyday words is understood; `None` where it is typed as a brief takes it, or not
/// understood either.
pub fn understood(question: &OpenQuestion, said: &str) -> Option<UnderstoodAnswer> {
    let key = key_table::find(question.key)?;
    let words = everyday::in_brief_words(key, said)?;
    let value = typed::value(key, &words).ok()?;
    Some(UnderstoodAnswer { words, value })
}

/// Begins the printer's sheet that a brief names, where there is none yet; returns its path if it was begun.
///
/// # Errors
/// When it cannot be written.
pub fn begin_sheet(brief: &Path) -> Result<Option<PathBuf>, AnswerError> {
    let Ok(text) = text_of(brief) else { return Ok(None) };
    let places = sheet::places(&text, brief);
    let Some(path) = places.first().filter(|_| places.iter().all(|place| fs::metadata(place).is_err())) else {
        return Ok(None);
    };
    let begun =
        files::make_folder(&atomic::parent_folder(path)).and_then(|()| atomic::create(path, NEW_SHEET.as_bytes()));
    begun.map(|()| Some(path.clone())).map_err(|source| AnswerError::Write { path: path.clone(), source })
}

/// Writes what the printer answered to a question on a day (an ISO date) into the printer's sheet of a brief; into the
/// brief where it names none, or where the answer is about this order alone.
///
/// # Errors
/// As [`AnswerError`] says; then nothing is written.
pub fn write(
    path: &Path,
    question: &OpenQuestion,
    answer: &str,
    day: &str,
    rule_ids: &[&str],
) -> Result<WrittenAnswer, AnswerError> {
    let key = key_table::find(question.key).ok_or(AnswerError::NoPlace)?;
    let value = typed::value(key, answer).map_err(|fault| wrong(key, fault))?;
    let mut order = AnsweredOrder::read(path, rule_ids)?;
    for _ in 1..MAX_ATTEMPTS {
        let written = order.answer(question, key, answer, &value, day, rule_ids);
        let Err(AnswerError::Changed(_)) = written else { return written };
        // Another answer went into the file; this one goes beside it, unless both are to the same question.
        order = AnsweredOrder::read(path, rule_ids)?;
        if !order.is_open(question, key) {
            return written;
        }
    }
    order.answer(question, key, answer, &value, day, rule_ids)
}

fn wrong(key: &BriefKey, fault: ValueError) -> AnswerError {
    let fix = match (fault.instead, fault.fix) {
        (Some(instead), _) => format!("type {instead}"),
        (None, Some(fix)) => fix,
        (None, None) => format!("{}, for example {}", key.kind.words(), key.example.trim_matches('"')),
    };
    AnswerError::Wrong { what: visible(&fault.what).into_owned(), fix: visible(&fix).into_owned() }
}

/// True if a question is answered, and no other than it was: what other prints require is as before.
fn settles(before: &Brief, after: &Brief, key: &BriefKey, question: &OpenQuestion) -> bool {
    if key.table().is_empty() {
        return !after.origins.of(key.path).is_open();
    }
    before.prints.len() == after.prints.len()
        && before.prints.iter().zip(&after.prints).enumerate().all(|(at, (then, now))| {
            if question.concerned.contains(&at) {
                return !now.origins.of(key.path).is_open();
            }
            let is_open = |print| questions::is_open(print, key);
            then.requirements == now.requirements && is_open(then) == is_open(now)
        })
}

/// A file that an answer may go into.
struct AnswerFile {
    path: PathBuf,
    text: String,
}

/// A brief and its sheets, as they are on disk.
struct AnsweredOrder {
    /// The brief, then its sheets.
    files: Vec<AnswerFile>,
    brief: Brief,
}

impl AnsweredOrder {
    fn read(path: &Path, rule_ids: &[&str]) -> Result<AnsweredOrder, AnswerError> {
        let text = text_of(path).map_err(|problem| AnswerError::Mistakes(vec![problem]))?;
        let sheets = sheet::read_all(&text, path).0;
        let sheets = sheets.into_iter().map(|sheet| AnswerFile { path: sheet.path, text: sheet.text });
        let files: Vec<AnswerFile> = [AnswerFile { path: path.to_owned(), text }].into_iter().chain(sheets).collect();
        let brief = parse_files(&files, rule_ids).map_err(AnswerError::Mistakes)?;
        Ok(AnsweredOrder { files, brief })
    }

    /// Returns the brief with another text in one of its files.
    fn with(&self, file: usize, text: String, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
        let copy = |(at, one): (usize, &AnswerFile)| AnswerFile {
            path: one.path.clone(),
            text: if at == file { text.clone() } else { one.text.clone() },
        };
        parse_files(&self.files.iter().enumerate().map(copy).collect::<Vec<_>>(), rule_ids)
    }

    /// Puts an answer into the best place for it, as the value to write there.
    fn answer(
        &self,
        question: &OpenQuestion,
        key: &BriefKey,
        answer: &str,
        value: &str,
        day: &str,
        rule_ids: &[&str],
    ) -> Result<WrittenAnswer, AnswerError> {
        let mut first_problem = None;
        for (file, place) in self.places(key, question) {
            let value = self.value_in(file, key, answer, value)?;
            let edit = Edit { place: &place, key, value: &value, day, with: &self.paper_of(file, key) };
            let Some(text) = place::put(&self.files[file].text, &edit) else { continue };
            match self.with(file, text.clone(), rule_ids) {
                Ok(after) if settles(&self.brief, &after, key, question) => {
                    self.write(file, &text)?;
                    return Ok(WrittenAnswer { file: self.files[file].path.clone(), value });
                }
                Ok(_) => {}
                Err(problems) => first_problem = first_problem.or_else(|| problems.into_iter().next()),
            }
        }
        Err(match first_problem {
            Some(problem) => AnswerError::Wrong { what: problem.what, fix: problem.fix },
            None => AnswerError::NoPlace,
        })
    }

    /// True if a question is still to be answered.
    fn is_open(&self, question: &OpenQuestion, key: &BriefKey) -> bool {
        let prints = &self.brief.prints;
        let is_open_for = |at: &usize| prints.get(*at).is_some_and(|print| questions::is_open(print, key));
        match key.table() {
            "" => self.brief.origins.of(key.path).is_open(),
            _ => question.concerned.iter().any(is_open_for),
        }
    }

    /// Returns where an answer may go: the number of the file and the place in it, the best first.
    fn places(&self, key: &BriefKey, question: &OpenQuestion) -> Vec<(usize, AnswerPlace)> {
        let own_sheet = usize::from(self.files.len() > 1 && !is_of_one_order(key.path));
        let prints = || question.concerned.iter().filter_map(|at| self.brief.prints.get(*at));
        let paper = prints().next().and_then(|print| print.paper.clone()).filter(|_| key.table() == "paper");
        let named = paper.filter(|paper| prints().all(|print| print.paper.as_ref() == Some(paper)));
        let mut places = Vec::new();
        if let Some(paper) = named {
            let holds = |file: &AnswerFile| place::has_paper(&file.text, &paper);
            let file = self.files.iter().position(holds).unwrap_or(own_sheet);
            places.push((file, AnswerPlace::Paper(paper)));
        }
        // A sheet that speaks of another paper does not answer for this one.
        places.extend([own_sheet, 0].map(|file| (file, AnswerPlace::Order)));
        let version = prints().next().and_then(|print| print.version.as_ref());
        let same = version.filter(|version| prints().all(|print| print.version.as_ref() == Some(version)));
        let at = same.and_then(|version| self.brief.order_versions.iter().position(|other| other == version));
        places.extend(at.map(|at| (0, AnswerPlace::Own("version", vec![at]))));
        let (tables, versions) = (place::prints(&self.files[0].text), self.brief.order_versions.len().max(1));
        let listed = (self.brief.prints.len() / versions).saturating_sub(tables);
        let in_brief: Option<BTreeSet<usize>> =
            question.concerned.iter().map(|at| (at / versions).checked_sub(listed)).collect();
        places.extend(in_brief.map(|prints| (0, AnswerPlace::Own("print", prints.into_iter().collect()))));
        places
    }

    /// Returns the answer as a file has to say it: a file's path from where that file lies.
    fn value_in(&self, file: usize, key: &BriefKey, answer: &str, value: &str) -> Result<String, AnswerError> {
        if key.kind != ValueKind::File {
            return Ok(value.to_owned());
        }
        let folder = |at: usize| atomic::parent_folder(&self.files[at].path);
        let named = folder(0).join(answer.trim());
        let Ok(whole) = fs::canonicalize(&named) else {
            let what = format!("there is no file {}", visible(&named.to_string_lossy()));
            return Err(AnswerError::Wrong { what, fix: "type its path, as seen from the brief's folder".to_owned() });
        };
        let is_elsewhere = fs::canonicalize(folder(0)).ok() != fs::canonicalize(folder(file)).ok();
        Ok(if is_elsewhere { quote(&whole.to_string_lossy()) } else { value.to_owned() })
    }

    /// Returns what the brief says of the paper that an answer is about, to be written into the sheet with it: the
    /// sheet serves orders on other papers too.
    fn paper_of(&self, file: usize, key: &BriefKey) -> Vec<(&'static str, String)> {
        if file == 0 || key.table() != "paper" {
            return Vec::new();
        }
        let of_brief = |path: &&&str| **path != key.path && matches!(self.brief.origins.of(path), Origin::Brief(_));
        let value = |path: &&'static str| {
            let words = key_table::find(path)?.of_requirements(&self.brief.requirements)?;
            Some((path.rsplit('.').next()?, quote(&words)))
        };
        OF_PAPER.iter().filter(of_brief).filter_map(value).collect()
    }

    /// Writes a file, unless somebody else wrote it meanwhile.
    fn write(&self, file: usize, text: &str) -> Result<(), AnswerError> {
        let AnswerFile { path, text: before } = &self.files[file];
        let is_same = || text_of(path).is_ok_and(|now| now == *before);
        let failed = |source| AnswerError::Write { path: path.clone(), source };
        // Held from the last look at the file until it is written.
        let _lock = os::lock_folder(&atomic::parent_folder(path), path, LOCK_TIMEOUT).map_err(failed)?;
        match atomic::replace_if(path, text.as_bytes(), is_same) {
            Ok(true) => Ok(()),
            Ok(false) => Err(AnswerError::Changed(path.clone())),
            Err(source) => Err(failed(source)),
        }
    }
}

/// Returns the brief of these files, without its profiles: the first is the brief itself, the others are its sheets.
fn parse_files(files: &[AnswerFile], rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    let Some((brief, sheets)) = files.split_first() else { return Err(Vec::new()) };
    let (list, problem) = list_bytes(&brief.text, &brief.path);
    if let Some(problem) = problem {
        return Err(vec![problem]);
    }
    let list = list.as_ref().map(|(path, bytes)| (path.as_path(), bytes.as_slice()));
    let sheets: Vec<sheet::SheetText> =
        sheets.iter().map(|one| sheet::SheetText { path: one.path.clone(), text: one.text.clone() }).collect();
    parse_all(&brief.text, &brief.path, list, &sheets, rule_ids)
}

#[cfg(test)]
mod tests;
