//! A brief: a TOML file, with a picture list in CSV beside it if wanted, read into checked values.
//!
//! Knows no picture, no rule's arithmetic, no clock. The ids of the rules are an argument, since rules use the brief.

pub mod choice_words;
pub mod key;
pub mod key_table;
pub mod model;
pub mod new_brief;
pub mod origin;
pub mod picture_list;
pub mod picture_patterns;
pub mod prints_by_id;
pub mod problem;
pub mod questions;
pub mod remarks;
pub mod requirements;
pub mod show;
pub mod starter;
pub mod trade_terms;

mod check;
mod dates;
mod document;
mod edge;
mod effective;
mod layers;
mod missing_units;
mod paper_defaults;
mod prints;
pub mod renamed;
mod source;
mod syntax_errors;
mod toml_value;
mod unknown_keys;
mod values;

use std::io;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use toml::de::DeTable;

pub use effective::{NEAREST_PPI, PPI_CM, USUAL_PPI};
pub use model::{Background, Brief, Crop, Print, PrintId, Remark, VersionPolicy};
pub use origin::{Origin, Origins};
pub use paper_defaults::usual_black_d;
pub use prints_by_id::{PrintsById, SeveralPrints};
pub use problem::Problem;
pub use requirements::Requirements;

use crate::files;
use crate::units::words::{of_system, visible};

use document::ParsedBrief;
use effective::PrintContext;
use layers::{EffectiveLayers, Layer};
use source::{BriefSources, SourceFile, SourceText, TextPosition};
use values::Value;

/// Largest brief or picture list that is read, in bytes: far above any that a person writes.
const LARGEST_BYTES: u64 = 4_000_000;
/// Longest line of a brief or a list, in bytes; a hundred times what a person types. Own choice.
const LONGEST_LINE: usize = 16_000;
/// Characters that are shown of a longer one. Own choice.
const SHOWN_OF_A_LINE: usize = 60;

/// Reads a brief and the picture list that it names, and looks for the other files that it names.
///
/// # Errors
/// All that is wrong with either, in the order of their lines.
pub fn read(path: &Path, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    let text = text_of(path).map_err(|problem| vec![problem])?;
    let mut brief = with_list(&text, path, rule_ids)?;
    let printers = remarks::printers(&mut brief);
    brief.remarks = remarks::of(&brief, without_mark(&text), &printers);
    Ok(brief)
}

fn with_list(text: &str, path: &Path, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    let Some((list_path, at)) = list_of(text, path) else { return parse(text, path, None, rule_ids) };
    match text_of(&list_path) {
        Ok(list) => parse(text, path, Some((&list_path, &list)), rule_ids),
        Err(problem) => {
            let missing = SourceText::new(path, text).problem(at, problem.what, problem.fix);
            let mut problems = parse(text, path, None, rule_ids).err().unwrap_or_default();
            problems.retain(|problem| problem.line != missing.line);
            problems.push(missing);
            problems.sort_by_key(|problem| (problem.line, problem.column));
            Err(problems)
        }
    }
}

/// Where the picture list lies that a brief on disk names, if it names one.
pub fn list_path(path: &Path) -> Option<PathBuf> {
    list_of(&text_of(path).ok()?, path).map(|(list, _)| list)
}

/// Reads a brief from its text and, if it names a picture list, that list's path and text. `path` is where the brief
/// lies; paths in it are relative to its folder. Touches no disk.
///
/// # Errors
/// All that is wrong with either, in the order of their lines.
pub fn parse(text: &str, path: &Path, list: Option<(&Path, &str)>, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    let texts = [(path, text)].into_iter().chain(list);
    if let Some(problem) = texts.filter_map(|(path, text)| too_long(path, text)).next() {
        return Err(vec![problem]);
    }
    let sha256 = digest(text, list.map(|(_, list)| list));
    let text = without_mark(text);
    let list = list.map(|(path, text)| SourceText::new(path, without_mark(text)));
    let mut reading = BriefSources { brief: SourceText::new(path, text), list, problems: Vec::new() };
    let (table, errors) = DeTable::parse_recoverable(text);
    let syntax = syntax_errors::problems(&reading.brief, &errors);
    if let Some(problem) = no_brief(&reading.brief, &syntax) {
        return Err(vec![problem]);
    }
    let ParsedBrief { order, mut prints, sizes } = document::walk(&mut reading, table.get_ref(), rule_ids);
    if let Some(named) = order.get("prints") {
        if reading.list.is_some() {
            let mut listed = picture_list::prints(&mut reading, &sizes);
            listed.append(&mut prints);
            prints = listed;
        } else {
            reading.report(named.place, "the picture list was not read", "put the list next to the brief");
        }
    }
    let folder = path.parent().unwrap_or(Path::new(""));
    let made = prints::prints(&mut reading, &order, &prints, folder);
    if prints.is_empty() && reading.problems.is_empty() && syntax.is_empty() {
        let top = TextPosition { which: SourceFile::Brief, at: 0 };
        reading.report(top, "the brief has no print", "[[print]] on one line, size = \"8 x 10 in\" on the next");
    }
    let problems = all_problems(syntax, reading.problems, &reading.brief);
    if !problems.is_empty() {
        return Err(problems);
    }
    Ok(whole(path, sha256, &order, made, folder))
}

/// The error for a file that is no brief: its first line is none of a brief, nor are most of the others.
fn no_brief(source: &SourceText<'_>, syntax: &[Problem]) -> Option<Problem> {
    let lines = source.text.lines().enumerate().map(|(at, line)| (at + 1, line.trim()));
    let written: Vec<(usize, &str)> = lines.filter(|(_, line)| !line.is_empty() && !line.starts_with('#')).collect();
    let (first, text) = *written.first()?;
    let names_a_key = text.split_once(['=', ':']).is_some_and(|(name, _)| !name.trim().contains(char::is_whitespace));
    if names_a_key || text.starts_with('[') || 2 * syntax.len() <= written.len() {
        return None;
    }
    let name = source.path.file_name().unwrap_or_default().to_string_lossy();
    let what = format!("{name} is not a brief: line {first} is no [table], key = value or # comment");
    let problem = source.problem_in(first, what, "name the brief first; plateside brief new writes one");
    Some(Problem { text: String::new(), ..problem })
}

/// The error for a line longer than [`LONGEST_LINE`]: each error in it would repeat the whole line.
fn too_long(path: &Path, text: &str) -> Option<Problem> {
    let line = text.split(['\n', '\r']).find(|line| line.len() > LONGEST_LINE)?;
    let before = text.find(line).map_or("", |at| &text[..at]);
    Some(Problem {
        file: path.to_owned(),
        line: before.matches('\n').count() + 1,
        column: 1,
        text: line.chars().take(SHOWN_OF_A_LINE).collect(),
        what: format!(
            "the line is {} long; the most is {}",
            crate::units::show::bytes(line.len() as u64),
            crate::units::show::bytes(LONGEST_LINE as u64)
        ),
        fix: "break it up: a [[print]] table for each print, or one line of the list for each".to_owned(),
    })
}

fn whole(path: &Path, sha256: String, order: &Layer, prints: Vec<Print>, folder: &Path) -> Brief {
    let view = EffectiveLayers { order, print: None };
    let (requirements, origins) =
        effective::resolve(view, PrintContext { page: None, unit: prints::unit(&prints), folder });
    let ignore = match order.get("ignore").map(|entry| &entry.value) {
        Some(Value::Patterns(patterns)) => patterns.clone(),
        _ => Vec::new(),
    };
    Brief {
        path: path.to_owned(),
        sha256,
        title: view.text("title"),
        printer: view.text("printer"),
        from: view.text("from"),
        due: view.text("due"),
        colour_correction: view.text("colour_correction"),
        requirements,
        prints,
        ignore,
        subfolders: view.yes_no("subfolders").unwrap_or(false),
        versions: view.word("versions", model::VersionPolicy::from_word).unwrap_or_default(),
        origins,
        remarks: Vec::new(),
    }
}

/// Syntax first; what else was found on a line that is no TOML, or below a table's name that is none, is only its echo.
fn all_problems(syntax: Vec<Problem>, mut found: Vec<Problem>, source: &SourceText<'_>) -> Vec<Problem> {
    let path = source.path;
    let is_name = |line: usize| source.line(line).trim_start().starts_with('[');
    let echoes = |of: &Problem, line: usize| {
        line == of.line || line > of.line && is_name(of.line) && !(of.line + 1..=line).any(is_name)
    };
    found.retain(|problem| problem.file != path || !syntax.iter().any(|of| echoes(of, problem.line)));
    found.extend(syntax);
    found.sort_by_key(|problem| (problem.file != path, problem.line, problem.column));
    found.dedup();
    found
}

/// Where the picture list of a brief lies and where the brief names it.
fn list_of(text: &str, path: &Path) -> Option<(PathBuf, usize)> {
    let text = without_mark(text);
    let (table, _) = DeTable::parse_recoverable(text);
    let prints = table.get_ref().get("prints")?;
    let named = prints.get_ref().as_str()?;
    let folder = path.parent().unwrap_or(Path::new(""));
    Some((folder.join(named.trim()), prints.span().start))
}

/// A text without the byte order mark that some spreadsheets and editors put first.
fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// SHA-256 of the brief's bytes and the list's after them, in lower-case hexadecimal.
fn digest(text: &str, list: Option<&str>) -> String {
    let mut digest = Sha256::new();
    digest.update(text.as_bytes());
    digest.update(list.unwrap_or_default().as_bytes());
    format!("{:x}", digest.finalize())
}

/// The text of a file, with what is wrong as a problem of that file.
fn text_of(path: &Path) -> Result<String, Problem> {
    let problem = |line, column, what: String, fix: &str| Problem {
        file: path.to_owned(),
        line,
        column,
        text: String::new(),
        what,
        fix: fix.to_owned(),
    };
    let bytes = files::read(path, LARGEST_BYTES).map_err(|error| match error.kind() {
        io::ErrorKind::IsADirectory => {
            problem(1, 1, "it is a folder, not a file".to_owned(), "name the brief first, then the folder")
        }
        io::ErrorKind::FileTooLarge => problem(1, 1, error.to_string(), "name the brief, not a picture"),
        io::ErrorKind::Unsupported => problem(1, 1, error.to_string(), "put an ordinary file there"),
        io::ErrorKind::NotFound => {
            let what = format!("{} cannot be read: there is no such file", path.display());
            problem(1, 1, what, "correct the path, or put the file there")
        }
        _ => {
            let what = format!("{} cannot be read: {}", path.display(), of_system(error));
            problem(1, 1, what, "check its permissions")
        }
    })?;
    if bytes.contains(&0) {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let what = format!("{} is not a text file in UTF-8", visible(&name));
        return Err(problem(1, 1, what, "save it as UTF-8, or name the brief first and then the folder of pictures"));
    }
    String::from_utf8(bytes).map_err(|error| {
        let before = String::from_utf8_lossy(&error.as_bytes()[..error.utf8_error().valid_up_to()]).into_owned();
        let (line, column) = SourceText::new(path, &before).line_column(before.len());
        problem(line, column, "a character here is not UTF-8".to_owned(), "save the file as UTF-8")
    })
}

#[cfg(test)]
mod tests;
