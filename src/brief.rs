//! A brief: a TOML file, with a picture list in XLSX, ODS or CSV beside it if wanted, read into checked values.
//!
//! Knows no picture, no rule's arithmetic, no clock. The ids of the rules are an argument, since rules use the brief.

pub mod choice_words;
pub mod key;
pub mod key_table;
pub mod model;
pub mod new_brief;
pub mod origin;
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
mod list_cells;
mod list_csv;
mod list_file;
mod list_headings;
mod list_table;
mod missing_units;
mod page_numbers;
mod paper_defaults;
mod picture_list;
mod prints;
pub mod renamed;
mod source;
mod sources;
mod syntax_errors;
mod toml_value;
mod unknown_keys;
mod value_error;
mod values;
mod workbook;

use std::io;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use toml::de::DeTable;

pub use effective::{NEAREST_PPI, PPI_CM, USUAL_PPI};
pub use list_file::LARGEST_LIST_BYTES;
pub use model::{Background, Brief, Crop, Pages, Print, PrintId, Remark, VersionPolicy};
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
use list_file::ListFile;
use list_table::ListFault;
use picture_list::ReadList;
use source::{SourceFile, SourceText, TextPosition};
use sources::BriefSources;
use values::{SizeNames, Value};

/// Largest brief that is read, in bytes: far above any that a person writes.
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
    brief.remarks.extend(remarks::of(&brief, without_mark(&text), &printers));
    Ok(brief)
}

fn with_list(text: &str, path: &Path, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    let Some((list_path, at)) = list_of(text, path) else { return parse(text, path, None, rule_ids) };
    match bytes_of(&list_path, LARGEST_LIST_BYTES) {
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

/// Reads a brief from its text and, if it names a picture list, that list's path and bytes. `path` is where the brief
/// lies; paths in it are relative to its folder. Touches no disk.
///
/// # Errors
/// All that is wrong with either, in the order of their lines.
pub fn parse(text: &str, path: &Path, list: Option<(&Path, &[u8])>, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    let list_file = list.map(|(path, bytes)| (path, ListFile::of(bytes)));
    let list_text = list_file.as_ref().and_then(|(path, file)| Some((*path, file.as_ref().ok()?.text()?)));
    if let Some(problem) = [(path, text)].into_iter().chain(list_text).find_map(|(path, text)| too_long(path, text)) {
        return Err(vec![problem]);
    }
    let sha256 = digest(text, list.map(|(_, list)| list));
    let text = without_mark(text);
    let mut reading = BriefSources { brief: SourceText::new(path, text), list: None, problems: Vec::new() };
    let (table, errors) = DeTable::parse_recoverable(text);
    let syntax = syntax_errors::problems(&reading.brief, &errors);
    if let Some(problem) = no_brief(&reading.brief, &syntax) {
        return Err(vec![problem]);
    }
    let ParsedBrief { order, mut prints, sizes } = document::walk(&mut reading, table.get_ref(), rule_ids);
    let mut listed = listed(&mut reading, &order, list_file.as_ref(), &sizes);
    listed.prints.append(&mut prints);
    let prints = listed.prints;
    let folder = path.parent().unwrap_or(Path::new(""));
    let made = prints::prints(&mut reading, &order, &prints, folder);
    if prints.is_empty() && reading.problems.is_empty() && syntax.is_empty() {
        let top = TextPosition { which: SourceFile::Brief, at: 0 };
        reading.report(top, "the brief has no print", "[[print]] on one line, size = \"8 x 10 in\" on the next");
    }
    let list_sheet = reading.list.as_ref().and_then(|list| list.sheet().map(str::to_owned));
    let problems = all_problems(syntax, reading.problems, &reading.brief);
    if !problems.is_empty() {
        return Err(problems);
    }
    Ok(Brief { list_sheet, remarks: listed.remarks, ..whole(path, sha256, &order, made, folder) })
}

/// What the picture list gives that the brief names; what is wrong with it is reported.
fn listed<'a>(
    reading: &mut BriefSources<'a>,
    order: &Layer,
    list: Option<&'a (&'a Path, Result<ListFile<'a>, ListFault>)>,
    sizes: &SizeNames,
) -> ReadList {
    let sheet = order.get("prints_sheet");
    let Some(named) = order.get("prints") else {
        if let Some(sheet) = sheet {
            let fix = "prints = \"pages.xlsx\" above it, or leave it out";
            reading.report(sheet.place, "prints_sheet has no effect, since the brief names no picture list", fix);
        }
        return ReadList::default();
    };
    let wanted = match sheet.map(|sheet| &sheet.value) {
        Some(Value::Text(name)) => Some(name.as_str()),
        _ => None,
    };
    let table = match list {
        None => Err(ListFault::new("the picture list was not read", "put the list next to the brief")),
        Some((_, Err(fault))) => Err(fault.clone()),
        Some((path, Ok(file))) => file.table(path, wanted),
    };
    match table {
        Ok(table) => {
            let mut read = picture_list::read(&table, sizes);
            reading.problems.append(&mut read.problems);
            reading.list = Some(table);
            read
        }
        Err(fault) => {
            let place = if fault.is_of_sheet_name() { sheet.unwrap_or(named).place } else { named.place };
            reading.report(place, fault.what, fault.fix);
            ReadList::default()
        }
    }
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
        cell: None,
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
        list_sheet: None,
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
fn digest(text: &str, list: Option<&[u8]>) -> String {
    let mut digest = Sha256::new();
    digest.update(text.as_bytes());
    digest.update(list.unwrap_or_default());
    format!("{:x}", digest.finalize())
}

/// Something wrong with a file as a whole, or at a place in it.
fn problem_of(path: &Path, (line, column): (usize, usize), what: String, fix: &str) -> Problem {
    let (file, text) = (path.to_owned(), String::new());
    Problem { file, line, column, cell: None, text, what, fix: fix.to_owned() }
}

/// The bytes of a file, with what is wrong as a problem of that file.
fn bytes_of(path: &Path, largest: u64) -> Result<Vec<u8>, Problem> {
    let problem = |what: String, fix: &str| problem_of(path, (1, 1), what, fix);
    files::read(path, largest).map_err(|error| match error.kind() {
        io::ErrorKind::IsADirectory => {
            problem("it is a folder, not a file".to_owned(), "name the brief first, then the folder")
        }
        io::ErrorKind::FileTooLarge if largest == LARGEST_LIST_BYTES => {
            problem(error.to_string(), "save the picture list without pictures in its cells")
        }
        io::ErrorKind::FileTooLarge => problem(error.to_string(), "name the brief, not a picture"),
        io::ErrorKind::Unsupported => problem(error.to_string(), "put an ordinary file there"),
        io::ErrorKind::NotFound => {
            let what = format!("{} cannot be read: there is no such file", path.display());
            problem(what, "correct the path, or put the file there")
        }
        _ => {
            let what = format!("{} cannot be read: {}", path.display(), of_system(error));
            problem(what, "check its permissions")
        }
    })
}

/// The text of a brief, with what is wrong as a problem of its file.
fn text_of(path: &Path) -> Result<String, Problem> {
    let bytes = bytes_of(path, LARGEST_BYTES)?;
    if bytes.contains(&0) {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let what = format!("{} is not a text file in UTF-8", visible(&name));
        let fix = "save it as UTF-8, or name the brief first and then the folder of pictures";
        return Err(problem_of(path, (1, 1), what, fix));
    }
    String::from_utf8(bytes).map_err(|error| {
        let before = String::from_utf8_lossy(&error.as_bytes()[..error.utf8_error().valid_up_to()]).into_owned();
        let place = SourceText::new(path, &before).line_column(before.len());
        problem_of(path, place, "a character here is not UTF-8".to_owned(), "save the file as UTF-8")
    })
}

#[cfg(test)]
mod tests;
