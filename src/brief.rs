//! A brief: a TOML file, with a picture list in XLSX, ODS or CSV and a printer's sheet beside it if wanted, read into
//! checked values.
//!
//! Knows no picture, no rule's arithmetic, no clock. The ids of the rules are an argument, since rules use the brief.

pub mod answer;
pub mod choice_words;
pub mod findings;
pub mod key;
pub mod key_table;
pub mod model;
pub mod new_brief;
pub mod origin;
pub mod picture_patterns;
pub mod prints_by_id;
pub mod problem;
pub mod questions;
pub mod requirements;
pub mod show;
pub mod starter;
pub mod trade_terms;
pub mod unfinished;

mod check;
mod dates;
mod document;
mod edge;
mod effective;
mod groups;
mod layers;
mod list_cells;
mod list_csv;
mod list_file;
mod list_headings;
mod list_table;
mod list_values;
mod missing_units;
mod next_order;
mod order_layers;
mod page_numbers;
mod paper_defaults;
mod parsed;
mod picture_list;
mod prints;
pub mod renamed;
mod sheet;
mod short_form;
mod size_names;
mod source;
mod sources;
mod syntax_errors;
mod texts;
mod toml_value;
mod unknown_keys;
mod value_error;
mod values;
mod versions;
mod workbook;

use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use toml::de::DeTable;

pub use effective::{MIN_DISTANCE_PPI, PPI_CM, USUAL_PPI};
pub use list_file::MAX_LIST_BYTES;
pub use model::{
    AnsweredDay, Background, Brief, BriefFinding, Crop, OrderVersion, Pages, Print, PrintId, VersionPolicy,
};
pub use origin::{Origin, Origins, PaperPlace};
pub use paper_defaults::usual_black_d;
pub use prints_by_id::{PrintsById, SeveralPrints};
pub use problem::Problem;
pub use requirements::Requirements;

use effective::PrintContext;
use layers::{EffectiveLayers, Layer};
use list_file::ListFile;
use list_table::ListFault;
use list_values::BriefNames;
use order_layers::OrderLayers;
use parsed::FileRole;
use picture_list::ReadList;
use prints::AroundPrints;
use sheet::SheetText;
use source::{SourceFile, SourceText, TextPosition};
use sources::BriefSources;
use texts::{bytes_of, text_of, top_text, without_mark};
use values::Value;

/// Longest line of a brief or a list, in bytes; a hundred times what a person types. Own choice.
const MAX_LINE_BYTES: usize = 16_000;
/// Characters that are shown of a longer one. Own choice.
const SHOWN_OF_A_LINE: usize = 60;

/// Reads a brief, the picture list and the printer's sheets that it names, and looks for the other files that it names.
///
/// # Errors
/// All that is wrong with them, in the order of their lines.
pub fn read(path: &Path, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    let text = text_of(path).map_err(|problem| vec![problem])?;
    let (sheets, no_sheet) = sheet::read_all(&text, path);
    let (list, no_list) = list_bytes(&text, path);
    let list = list.as_ref().map(|(path, bytes)| (path.as_path(), bytes.as_slice()));
    let read = parse_all(&text, path, list, &sheets, rule_ids);
    let missing: Vec<Problem> = no_sheet.into_iter().chain(no_list).collect();
    if !missing.is_empty() {
        let mut problems = read.err().unwrap_or_default();
        let is_said =
            |problem: &Problem| missing.iter().any(|one| (one.line, &one.file) == (problem.line, &problem.file));
        problems.retain(|problem| !is_said(problem));
        problems.extend(missing);
        sort(&mut problems, path);
        return Err(problems);
    }
    Ok(with_remarks(read?, &text, &sheets))
}

/// A brief with remarks on what it names that cannot be used. Looks for the files that it names.
fn with_remarks(mut brief: Brief, text: &str, sheets: &[SheetText]) -> Brief {
    let printers = findings::printers(&mut brief);
    brief.findings.extend(findings::of(&brief, without_mark(text), sheets, &printers));
    brief
}

/// Returns the picture list that a brief names, or what is wrong with it.
fn list_bytes(text: &str, path: &Path) -> (Option<(PathBuf, Vec<u8>)>, Option<Problem>) {
    let Some((list, at)) = list_of(text, path) else { return (None, None) };
    match bytes_of(&list, MAX_LIST_BYTES) {
        Ok(bytes) => (Some((list, bytes)), None),
        Err(problem) => (None, Some(SourceText::new(path, text).problem(at, problem.what, problem.fix))),
    }
}

/// Returns the files that a brief on disk names and is read with: its picture list, and its printer's sheets wherever
/// they are looked for.
pub fn files_named(path: &Path) -> Vec<PathBuf> {
    let Ok(text) = text_of(path) else { return Vec::new() };
    let list = list_of(&text, path).map(|(list, _)| list);
    list.into_iter().chain(sheet::places(&text, path)).collect()
}

/// Reads a brief from its text and, if it names a picture list, that list's path and bytes. `path` is where the brief
/// lies; paths in it are relative to its folder. Touches no disk.
///
/// # Errors
/// All that is wrong with either, in the order of their lines.
pub fn parse(text: &str, path: &Path, list: Option<(&Path, &[u8])>, rule_ids: &[&str]) -> Result<Brief, Vec<Problem>> {
    parse_all(text, path, list, &[], rule_ids)
}

/// Reads a brief as [`parse`] does, with the printer's sheets that it names.
fn parse_all(
    text: &str,
    path: &Path,
    list: Option<(&Path, &[u8])>,
    sheets: &[SheetText],
    rule_ids: &[&str],
) -> Result<Brief, Vec<Problem>> {
    let list_file = list.map(|(path, bytes)| (path, ListFile::of(bytes)));
    let list_text = list_file.as_ref().and_then(|(path, file)| Some((*path, file.as_ref().ok()?.text()?)));
    let texts = [(path, text)].into_iter().chain(list_text);
    let texts = texts.chain(sheets.iter().map(|sheet| (sheet.path.as_path(), sheet.text.as_str())));
    if let Some(problem) = texts.filter_map(|(path, text)| long_line_problem(path, text)).next() {
        return Err(vec![problem]);
    }
    let sha256 = digest(text, list.map(|(_, list)| list), sheets);
    let text = without_mark(text);
    let (parsed_sheets, sizes, of_sheets) = order_layers::parse_sheets(sheets, rule_ids);
    let mut sources = BriefSources::of(SourceText::new(path, text));
    sources.sheets = sheets.iter().map(SheetText::source).collect();
    let (table, errors) = DeTable::parse_recoverable(text);
    let syntax = syntax_errors::problems(&sources.brief, &errors);
    if let Some(problem) = not_a_brief_problem(&sources.brief, &syntax) {
        return Err(vec![problem]);
    }
    let mut parsed = document::walk(&mut sources, table.get_ref(), rule_ids, &FileRole::Brief, sizes);
    let papers = parsed.papers.keys().chain(parsed_sheets.iter().flat_map(|sheet| sheet.paper_names()));
    let names = BriefNames { sizes: &parsed.sizes, papers: papers.map(|name| &**name).collect() };
    let mut listed = read_picture_list(&mut sources, &parsed.order, list_file.as_ref(), &names);
    listed.prints.append(&mut parsed.prints);
    let prints = listed.prints;
    if let Some(named) = parsed.order.get("sheet").filter(|_| sheets.is_empty()) {
        sources.report(named.place, "the printer's sheet was not read", "put the sheet next to the brief");
    }
    let versions = versions::read(&mut sources, std::mem::take(&mut parsed.versions));
    let layers = order_layers::put_together(parsed, parsed_sheets, rule_ids);
    let around = AroundPrints { order: &layers.order, papers: &layers.papers, versions: &versions };
    let made = prints::prints(&mut sources, around, &prints);
    if prints.is_empty() && sources.problems.is_empty() && syntax.is_empty() {
        let top = TextPosition { which: SourceFile::Brief, at: 0 };
        sources.report(top, "the brief has no print", "[[print]] on one line, size = \"8 x 10 in\" on the next");
    }
    let list_sheet = sources.list.as_ref().and_then(|list| list.sheet().map(str::to_owned));
    let mut problems = order_layers::all_problems(syntax, sources.problems, &sources.brief);
    problems.extend(of_sheets);
    sort(&mut problems, path);
    if !problems.is_empty() {
        return Err(problems);
    }
    let sheets = sheets.iter().map(|sheet| sheet.path.clone()).collect();
    let order_versions = versions.into_iter().map(|version| version.version).collect();
    Ok(Brief {
        path: path.to_owned(),
        sha256,
        sheets,
        list_sheet,
        findings: listed.findings,
        order_versions,
        ..assemble_brief(layers, made)
    })
}

/// Puts problems in the order in which they are said: by file, those of the brief at `path` first, and by line.
fn sort(problems: &mut [Problem], path: &Path) {
    let key = |problem: &Problem| (problem.file != path, problem.file.clone(), problem.line, problem.column);
    problems.sort_by_cached_key(key);
}

/// Returns what the picture list gives that the brief names; what is wrong with it is reported.
fn read_picture_list<'a>(
    sources: &mut BriefSources<'a>,
    order: &Layer,
    list: Option<&'a (&'a Path, Result<ListFile<'a>, ListFault>)>,
    names: &BriefNames<'_>,
) -> ReadList {
    let sheet = order.get("prints_sheet");
    let Some(named) = order.get("prints") else {
        if let Some(sheet) = sheet {
            let fix = "prints = \"pages.xlsx\" above it, or leave it out";
            sources.report(sheet.place, "prints_sheet has no effect, since the brief names no picture list", fix);
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
            let mut read = picture_list::read(&table, names);
            sources.problems.append(&mut read.problems);
            sources.list = Some(table);
            read
        }
        Err(fault) => {
            let place = if fault.is_of_sheet_name() { sheet.unwrap_or(named).place } else { named.place };
            sources.report(place, fault.what, fault.fix);
            ReadList::default()
        }
    }
}

/// Returns the error for a file that is no brief: its first line is none of a brief, nor are most of the others.
fn not_a_brief_problem(source: &SourceText<'_>, syntax: &[Problem]) -> Option<Problem> {
    let lines = source.text.lines().enumerate().map(|(at, line)| (at + 1, line.trim()));
    let written: Vec<(usize, &str)> = lines.filter(|(_, line)| !line.is_empty() && !line.starts_with('#')).collect();
    let (first, text) = *written.first()?;
    let names_a_key = text.split_once(['=', ':']).is_some_and(|(name, _)| !name.trim().contains(char::is_whitespace));
    if names_a_key || text.starts_with('[') || 2 * syntax.len() <= written.len() {
        return None;
    }
    let name = source.path.file_name().unwrap_or_default().to_string_lossy();
    let what = format!("{name} is not a brief: line {first} is not a [table], key = value or # comment");
    let problem = source.problem_in(first, what, "name a brief; plateside brief new writes one");
    Some(Problem { text: String::new(), ..problem })
}

/// Returns the error for a line longer than [`MAX_LINE_BYTES`]: each error in it would repeat the whole line.
fn long_line_problem(path: &Path, text: &str) -> Option<Problem> {
    let line = text.split(['\n', '\r']).find(|line| line.len() > MAX_LINE_BYTES)?;
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
            crate::units::show::bytes(MAX_LINE_BYTES as u64)
        ),
        fix: "break it up: a [[print]] table for each print, or one line of the list for each".to_owned(),
    })
}

/// Returns the brief that its layers and its prints make, without its path, its digest and its sheets.
fn assemble_brief(layers: OrderLayers, prints: Vec<Print>) -> Brief {
    let order = &layers.order;
    let paper = order.get("paper");
    let view = EffectiveLayers {
        order,
        paper: paper.and_then(|named| prints::paper_of(&layers.papers, named)),
        version: None,
        print: None,
    };
    let (requirements, origins) =
        effective::resolve(view, PrintContext { page: None, width: None, unit: prints::unit(&prints) });
    let ignore = match order.get("ignore").map(|entry| &entry.value) {
        Some(Value::Patterns(patterns)) => patterns.clone(),
        _ => Vec::new(),
    };
    Brief {
        path: PathBuf::new(),
        sha256: String::new(),
        like: layers.like,
        sheets: Vec::new(),
        title: view.text("title"),
        printer: view.text("printer"),
        contact: view.text("contact"),
        from: view.text("from"),
        due: view.text("due"),
        colour_correction: view.text("colour_correction"),
        paper: paper.and_then(prints::paper_name),
        papers: layers.papers.keys().cloned().collect(),
        answered: layers.answered,
        requirements,
        prints,
        ignore,
        includes_subfolders: view.yes_no("subfolders").unwrap_or(false),
        list_sheet: None,
        order_versions: Vec::new(),
        versions: view.word("versions", model::VersionPolicy::from_word).unwrap_or_default(),
        origins,
        findings: Vec::new(),
    }
}

/// Returns where the picture list of a brief lies and where the brief names it.
fn list_of(text: &str, path: &Path) -> Option<(PathBuf, usize)> {
    let (named, at) = top_text(text, "prints")?;
    Some((path.parent().unwrap_or(Path::new("")).join(named), at))
}

/// SHA-256 of the brief's bytes, the list's after them and the sheets' after those, in lower-case hexadecimal.
fn digest(text: &str, list: Option<&[u8]>, sheets: &[SheetText]) -> String {
    let mut digest = Sha256::new();
    digest.update(text.as_bytes());
    digest.update(list.unwrap_or_default());
    sheets.iter().for_each(|sheet| digest.update(sheet.text.as_bytes()));
    format!("{:x}", digest.finalize())
}

#[cfg(test)]
mod tests;
