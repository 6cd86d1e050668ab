//! Puts starter, printer's sheets and brief together: the layer of the order, and the named papers.

use std::sync::Arc;

use toml::de::DeTable;

use super::document;
use super::layers::{Layer, LocatedValue, Papers, put_over};
use super::model::AnsweredDay;
use super::parsed::{FileRole, ParsedBrief};
use super::problem::Problem;
use super::sheet::SheetText;
use super::source::SourceText;
use super::sources::BriefSources;
use super::starter;
use super::syntax_errors;
use super::values::{SizeNames, Value};

/// The beginning of the path of each day on which the printer answered.
const ANSWERED: &str = "answered.";

/// What holds for the order before its prints are looked at.
#[derive(Default)]
pub(super) struct OrderLayers {
    pub(super) order: Layer,
    pub(super) papers: Papers,
    pub(super) like: Option<&'static str>,
    pub(super) answered: Vec<AnsweredDay>,
}

/// A printer's sheet that was read.
pub(super) struct ParsedSheet {
    name: Arc<str>,
    parsed: ParsedBrief,
}

impl ParsedSheet {
    /// The names of the papers that it describes.
    pub(super) fn paper_names(&self) -> impl Iterator<Item = &Arc<str>> {
        self.parsed.papers.keys()
    }
}

/// Reads printer's sheets; also returns the names for sizes that they have, and all that is wrong with them.
pub(super) fn parse_sheets(sheets: &[SheetText], rule_ids: &[&str]) -> (Vec<ParsedSheet>, SizeNames, Vec<Problem>) {
    let (mut all, mut sizes, mut problems) = (Vec::new(), SizeNames::new(), Vec::new());
    // The last first: what it calls a size is known to those that name it.
    for (at, sheet) in sheets.iter().enumerate().rev() {
        let mut sources = BriefSources::of(sheet.source());
        let (table, errors) = DeTable::parse_recoverable(sources.brief.text);
        let syntax = syntax_errors::problems(&sources.brief, &errors);
        let name: Arc<str> = Arc::from(sheet.name());
        let role = FileRole::Sheet(at, name.clone());
        let parsed = document::walk(&mut sources, table.get_ref(), rule_ids, &role, sizes);
        if let Some(named) = parsed.order.get("sheet").filter(|_| at + 1 == sheets.len()) {
            let problem =
                sources.brief.problem(named.place.at, "the printer's sheet was not read", "put it next to this");
            sources.problems.push(problem);
        }
        sizes = parsed.sizes.clone();
        problems.extend(all_problems(syntax, sources.problems, &sources.brief));
        all.push(ParsedSheet { name, parsed });
    }
    all.reverse();
    (all, sizes, problems)
}

/// Puts the starter that a brief or one of its sheets is like, the sheets and the brief together.
pub(super) fn put_together(brief: ParsedBrief, sheets: Vec<ParsedSheet>, rule_ids: &[&str]) -> OrderLayers {
    let mut whole = OrderLayers::default();
    let files = std::iter::once(&brief.order).chain(sheets.iter().map(|sheet| &sheet.parsed.order));
    if let Some(like) = files.filter_map(|order| order.get("like")).next() {
        whole.begin_with(like, rule_ids);
    }
    for sheet in sheets.into_iter().rev() {
        whole.add(sheet.parsed, Some(sheet.name));
    }
    whole.add(brief, None);
    whole
}

impl OrderLayers {
    /// The values of a starter, below all others.
    fn begin_with(&mut self, like: &LocatedValue, rule_ids: &[&str]) {
        let Value::Word(name) = &like.value else { return };
        let Some(starter) = starter::find(name) else { return };
        let mut sources = BriefSources::of(SourceText::new("".as_ref(), starter.text));
        let (table, _) = DeTable::parse_recoverable(starter.text);
        let role = FileRole::Starter(starter.name, like.place);
        self.order = document::walk(&mut sources, table.get_ref(), rule_ids, &role, SizeNames::new()).order;
        self.like = Some(starter.name);
    }

    /// The values of a file, above those of the files before it.
    fn add(&mut self, file: ParsedBrief, sheet: Option<Arc<str>>) {
        let (answered, order): (Layer, Layer) =
            file.order.into_iter().partition(|(path, _)| path.starts_with(ANSWERED));
        self.answered.extend(answered.into_iter().filter_map(|(path, entry)| {
            let Value::Text(day) = entry.value else { return None };
            Some(AnsweredDay { key: path[ANSWERED.len()..].to_owned(), sheet: sheet.clone(), day })
        }));
        put_over(&mut self.order, order);
        for (name, paper) in file.papers {
            put_over(self.papers.entry(name).or_default(), paper);
        }
    }
}
/// Syntax first; what else was found on a line that is no TOML, or below a table's name that is none, is only its echo.
pub(super) fn all_problems(syntax: Vec<Problem>, mut found: Vec<Problem>, source: &SourceText<'_>) -> Vec<Problem> {
    let path = source.path;
    let is_name = |line: usize| source.line(line).trim_start().starts_with('[');
    let echoes = |of: &Problem, line: usize| {
        line == of.line || line > of.line && is_name(of.line) && !(of.line + 1..=line).any(is_name)
    };
    found.retain(|problem| problem.file != path || !syntax.iter().any(|of| echoes(of, problem.line)));
    found.extend(syntax);
    found.sort_by_key(|problem| (problem.line, problem.column));
    found.dedup();
    found
}
