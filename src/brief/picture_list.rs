//! The picture list: a sheet of the designer's, one print a row, or two for the halves of a spread.

use super::key::BriefKey;
use super::layers::{Layer, LocatedValue};
use super::list_cells;
use super::list_headings::{self, COLUMNS, Headings, SIDES};
use super::list_table::{CellContent, ListTable, Written};
use super::list_values::{BriefNames, not_a_length, unusable, value_of};
use super::missing_units;
use super::model::{BriefFinding, Pages};
use super::origin::Origin;
use super::parsed::HeadedLayer;
use super::problem::Problem;
use super::requirements::Level;
use super::value_error::ValueError;
use super::values::{self, Value};
use crate::units::{Size, show};

/// What every row needs, with an example.
const NEEDED: [(&str, &str); 2] = [("picture", "p012*"), ("size", "210 x 260 mm")];
/// The names of the halves of a spread.
const HALVES: [&str; 2] = ["left", "right"];
/// Rows that a remark names one by one; of more it gives the number. Own choice.
const NAMED_ROWS: usize = 6;
/// The key that names the list.
const LIST: &str = "prints";

/// What a list gives.
#[derive(Default)]
pub(super) struct ReadList {
    /// Each print with the place of its row.
    pub(super) prints: Vec<HeadedLayer>,
    pub(super) problems: Vec<Problem>,
    pub(super) findings: Vec<BriefFinding>,
}

/// Reads every row of a list as the layer of a print.
pub(super) fn read(table: &ListTable<'_>, names: &BriefNames<'_>) -> ReadList {
    let mut reader = ListReader { table, names, read: ReadList::default() };
    let mut headings = Headings::of(&table.rows);
    if let Some(headings) = headings.as_mut().filter(|_| names.papers.is_empty()) {
        headings.pass_over("paper");
    }
    match headings {
        Some(headings) if reader.headings(&headings) => reader.rows(&headings),
        Some(_) => {}
        None => {
            let fix = format!("its first row names the columns: {}", COLUMNS.join(", "));
            reader.wrong((0, 0), "the list is empty", fix);
        }
    }
    reader.read
}

struct ListReader<'t, 'a> {
    table: &'t ListTable<'a>,
    names: &'t BriefNames<'t>,
    read: ReadList,
}

/// A row and a column, counted from 0.
type Place = (usize, usize);

impl ListReader<'_, '_> {
    fn wrong(&mut self, (row, column): Place, what: impl Into<String>, fix: impl Into<String>) {
        self.read.problems.push(self.table.problem(self.table.place(row, column), what, fix));
    }

    fn remark(&mut self, level: Level, (row, column): Place, what: String, fix: String) {
        let problem = self.table.problem(self.table.place(row, column), what, fix);
        self.read.findings.push(BriefFinding { key: LIST, level, problem });
    }

    /// Says what is wrong with the headings, and whether the rows can be read by them.
    fn headings(&mut self, headings: &Headings) -> bool {
        let row = &self.table.rows[headings.row];
        let is_sheet = matches!(self.table.written, Written::Sheet(_));
        for (index, meant) in &headings.misspelt {
            let text = row.content(*index).map_or("", CellContent::text);
            self.wrong((headings.row, *index), format!("\"{text}\" is not a column of a picture list"), *meant);
        }
        for index in &headings.doubled {
            let text = row.content(*index).map_or("", CellContent::text);
            self.wrong((headings.row, *index), format!("two columns are named \"{text}\""), "leave one out");
        }
        let has =
            |name: &str| headings.column(name).is_some() || headings.misspelt.iter().any(|(_, meant)| *meant == name);
        for (needed, _) in NEEDED {
            if has(needed) || needed == "size" && SIDES.iter().all(|side| has(side)) {
                continue;
            }
            let one_side = SIDES.iter().zip(SIDES.iter().rev()).find(|(side, _)| needed == "size" && has(side));
            let (index, what, fix) = match one_side {
                Some((side, other)) => (
                    headings.column(side).map_or(0, |column| column.index),
                    format!("the list has a column \"{side}\", but no column \"{other}\""),
                    format!("add a column {other}, or one column size with both: 210 x 260 mm"),
                ),
                None if needed == "picture" && headings.column("page").is_some() => (
                    0,
                    "the list has no column \"picture\", so nothing says which file is for which row".to_owned(),
                    self.picture_column(headings),
                ),
                None => (
                    0,
                    format!("the list has no column \"{needed}\""),
                    format!("name the columns in one row: {}", COLUMNS.join(", ")),
                ),
            };
            self.wrong((headings.row, index), what, fix);
        }
        // What belongs in the brief would be missed there; the rest is a note.
        let place_of = |index: &usize| list_headings::place_in_brief(row.content(*index)?.text());
        for (index, place) in headings.passed_over.iter().filter_map(|index| Some((*index, place_of(index)?))) {
            let text = list_headings::show_cell(row, index, is_sheet);
            let what = format!("the column {text} of the picture list is passed over: it belongs in the brief");
            self.remark(Level::Should, (headings.row, index), what, format!("write it in the brief {place}"));
        }
        let others: Vec<usize> =
            headings.passed_over.iter().copied().filter(|index| place_of(index).is_none()).collect();
        if let Some(first) = others.first() {
            let names: Vec<String> =
                others.iter().map(|index| list_headings::show_cell(row, *index, is_sheet)).collect();
            let what = format!("columns of the picture list that are passed over: {}", names.join(", "));
            let fix = format!("if one of them is meant, head it with one of {}", COLUMNS.join(", "));
            self.remark(Level::Note, (headings.row, *first), what, fix);
        }
        self.read.problems.is_empty()
    }

    /// The column to add where none says which file is for a row, with its cell for the first page of the list. Files
    /// are named in many ways, so none of them is taken by its page alone.
    fn picture_column(&self, headings: &Headings) -> String {
        let mut pages = (headings.row + 1..self.table.rows.len()).filter_map(|at| self.pages(at, headings));
        let page = pages.next().unwrap_or(Pages::one(12));
        let begin = |page: u32| format!("p{page:03}*");
        let cell = if page.is_spread() {
            format!("{}, or {} + {} for two halves,", begin(page.first), begin(page.first), begin(page.last))
        } else {
            begin(page.first)
        };
        format!("add a column picture with the beginning of each file's name: {cell} in the row of {}", page.words())
    }

    fn rows(&mut self, headings: &Headings) {
        let rows = &self.table.rows;
        let width = rows[headings.row].width;
        let below = headings.row + 1..rows.len();
        let mut unnamed: Vec<usize> = Vec::new();
        let mut hidden: Vec<usize> = Vec::new();
        for at in below.filter(|at| !rows[*at].is_band) {
            let row = &rows[at];
            for index in (0..row.cells.len()).filter(|index| row.content(*index).is_some()) {
                let has_heading = rows[headings.row].content(index).is_some();
                if index >= width && matches!(self.table.written, Written::Text(_)) {
                    let what = format!("the line has {} cells, the headings {width} columns", row.cells.len());
                    self.wrong((at, index), what, "put text that contains the separator in quotation marks");
                    break;
                } else if !has_heading && !unnamed.contains(&index) {
                    unnamed.push(index);
                    let what = "this cell has no heading above it, so nothing says what it is";
                    let fix = format!(
                        "name its column in the row of the headings ({}), or empty the cell",
                        COLUMNS.join(", ")
                    );
                    self.wrong((at, index), what, fix);
                }
            }
            if let Some(index) = self.cell_over_lines(at) {
                let what = "this cell opens a quotation mark and does not close it, so it swallows the lines below";
                self.wrong((at, index), what, "close it on the same line, or remove it: a cell stays on one line");
                continue;
            }
            if row.is_hidden {
                hidden.push(at);
            }
            self.row(at, headings);
        }
        if let Some(first) = hidden.first() {
            let numbers: Vec<String> = hidden.iter().map(|at| rows[*at].number.to_string()).collect();
            let named = match &numbers[..] {
                [one] => format!("row {one} is"),
                few if few.len() <= NAMED_ROWS => format!("rows {} are", few.join(", ")),
                many => format!("{} are", show::count(many.len(), "row", "rows")),
            };
            let what = format!("{named} hidden in the sheet and counted all the same");
            self.remark(
                Level::Should,
                (*first, 0),
                what,
                "delete hidden rows that are not ordered, then save".to_owned(),
            );
        }
    }

    /// Returns a cell of a text that goes over lines: a quotation mark that is not closed takes the lines below, with
    /// their prints.
    fn cell_over_lines(&self, at: usize) -> Option<usize> {
        let row = matches!(self.table.written, Written::Text(_)).then(|| &self.table.rows[at])?;
        row.cells.iter().position(|cell| cell.content.text().contains('\n'))
    }

    /// One row as the layer of a print, or of two.
    fn row(&mut self, at: usize, headings: &Headings) {
        let row = &self.table.rows[at];
        let before = self.read.problems.len();
        let mut layer = Layer::new();
        let mut halves: Option<[String; 2]> = None;
        let pages = self.pages(at, headings);
        for column in &headings.columns {
            let (Some(key), Some(content)) = (column.heading.field.key(), row.content(column.index)) else { continue };
            let names = match (content, pages) {
                (CellContent::Text(text), Some(pages)) if key.name() == "picture" && pages.is_spread() => {
                    list_cells::pictures(text)
                }
                _ => Vec::new(),
            };
            let value = match names[..] {
                [left, right] => {
                    halves = Some([left, right].map(str::to_owned));
                    Ok(None)
                }
                [one] if one.contains('+') => Err(list_cells::one_or_two(one)),
                [_, _, ..] => Err(ValueError::fix(
                    format!("a spread has one picture or two halves, not {}", names.len()),
                    "one name, or two with \" + \" between them: p012-left* + p013-right*",
                )),
                _ => value_of(key, content, column, self.names).map(Some),
            };
            match value {
                Ok(Some(value)) => self.insert(&mut layer, key.path, value, (at, column.index)),
                Ok(None) => {}
                Err(fault) => self.misread((at, column.index), key.name(), fault, Some(key), content.text()),
            }
        }
        let said = self.read.problems.len();
        self.sides(at, headings, &mut layer);
        let is_size_there = layer.contains_key("print.size") || self.read.problems.len() > said;
        self.require_columns(at, headings, is_size_there);
        if self.read.problems.len() > before {
            return;
        }
        let header = self.table.place(at, 0);
        match (halves, pages) {
            (Some(names), Some(pages)) => {
                if let Some(column) = headings.column("page") {
                    let group = Value::Text(self.group_name(pages, at));
                    self.insert(&mut layer, "print.group", group, (at, column.index));
                }
                for (side, name) in names.iter().enumerate() {
                    if let Some(half) = self.half(&layer, pages, side, name, (at, headings)) {
                        self.read.prints.push((header, half));
                    }
                }
            }
            _ => {
                name_by_picture(&mut layer);
                self.read.prints.push((header, layer));
            }
        }
    }

    /// The name of the group of a spread's two halves; with its row, where the list has that spread twice.
    fn group_name(&self, pages: Pages, at: usize) -> String {
        let name = format!("spread {pages}");
        let is_it = |entry: &LocatedValue| matches!(&entry.value, Value::Text(other) if *other == name);
        let taken = self.read.prints.iter().filter_map(|(_, layer)| layer.get("print.group")).any(is_it);
        if taken { format!("{name}, row {}", self.table.rows[at].number) } else { name }
    }

    fn insert(&self, layer: &mut Layer, path: &str, value: Value, (row, column): Place) {
        let place = self.table.place(row, column);
        layer
            .insert(path.to_owned(), LocatedValue { value, place, origin: Origin::List(self.table.row_number(place)) });
    }

    /// Returns the pages of a row, if it names sound ones.
    fn pages(&self, at: usize, headings: &Headings) -> Option<Pages> {
        let column = headings.column("page")?;
        match value_of(column.heading.field.key()?, self.table.rows[at].content(column.index)?, column, self.names) {
            Ok(Value::Pages(pages)) => Some(pages),
            _ => None,
        }
    }

    /// The size of a row by its width and height; where the row has a size of its own they must say the same.
    fn sides(&mut self, at: usize, headings: &Headings, layer: &mut Layer) {
        let [Some(across), Some(down)] = SIDES.map(|side| headings.column(side)) else { return };
        let row = &self.table.rows[at];
        let mut read = Vec::new();
        for column in [across, down] {
            let name = column.heading.field.name();
            match row.content(column.index) {
                Some(CellContent::Text(text)) => match list_cells::side(text, &column.heading) {
                    Ok(side) => read.push(side),
                    Err(fault) => self.misread((at, column.index), name, fault, None, text),
                },
                Some(content) => match unusable(content) {
                    Some(fault) => self.misread((at, column.index), name, fault, None, ""),
                    None => self.misread((at, column.index), name, not_a_length(content), None, ""),
                },
                None if layer.contains_key("print.size") => {}
                None if headings.column("size").is_none() => {
                    let fix = format!("for example {}", if column == across { "210 mm" } else { "260 mm" });
                    self.wrong((at, column.index), format!("column {name} is empty"), fix);
                }
                None => {}
            }
        }
        let [(width, unit), (height, _)] = read[..] else { return };
        let size = Size::new(width, height, unit);
        match layer.get("print.size").map(|entry| &entry.value) {
            Some(Value::Size(own)) if (own.width, own.height) != (width, height) => {
                let what = format!("the size is {}, but width and height are {}", own.show(), size.show());
                self.wrong((at, across.index), what, "correct the one that is wrong, or empty it");
            }
            Some(_) => {}
            None => self.insert(layer, "print.size", Value::Size(size), (at, across.index)),
        }
    }

    /// Says which needed column is empty, but for a size of which width or height was named already.
    fn require_columns(&mut self, at: usize, headings: &Headings, is_size_there: bool) {
        for (needed, example) in NEEDED {
            let Some(column) = headings.column(needed).filter(|_| needed != "size" || !is_size_there) else { continue };
            if self.table.rows[at].content(column.index).is_none() {
                self.wrong((at, column.index), format!("column {needed} is empty"), format!("for example {example}"));
            }
        }
    }

    /// Returns one half of a spread: its picture, its page and half of the width.
    fn half(
        &mut self,
        spread: &Layer,
        pages: Pages,
        side: usize,
        picture: &str,
        (at, headings): (usize, &Headings),
    ) -> Option<Layer> {
        let mut half = spread.clone();
        let column = headings.column("picture")?;
        let key = column.heading.field.key()?;
        match values::read_for_key(key, picture, self.names.sizes) {
            Ok(pattern) => self.insert(&mut half, key.path, pattern, (at, column.index)),
            Err(fault) => {
                self.misread((at, column.index), key.name(), fault, Some(key), picture);
                return None;
            }
        }
        let page = if side == 0 { pages.first } else { pages.last };
        if let Some(entry) = half.get_mut("print.page") {
            entry.value = Value::Pages(Pages::one(page));
        }
        if let Some(LocatedValue { value: Value::Size(size), .. }) = half.get_mut("print.size") {
            *size = size.half_across();
        }
        match half.get_mut("print.name") {
            Some(LocatedValue { value: Value::Text(name), .. }) => name.push_str(&format!(", {}", HALVES[side])),
            _ => name_by_picture(&mut half),
        }
        Some(half)
    }

    fn misread(&mut self, place: Place, column: &str, fault: ValueError, key: Option<&BriefKey>, written: &str) {
        let fix = match (fault.instead, fault.fix, key) {
            (Some(text), _, Some(key)) => {
                let others = missing_units::other_units(key.kind, written, &text);
                std::iter::once(text).chain(others).collect::<Vec<_>>().join(", or ")
            }
            (Some(text), _, None) | (None, Some(text), _) => text,
            (None, None, Some(key)) => format!("for example {}", key.example.trim_matches('"')),
            (None, None, None) => "for example 210 mm".to_owned(),
        };
        self.wrong(place, format!("column {column}: {}", fault.what), fix);
    }
}

/// Names a row without a name by its picture, which differs between rows more often than the size does.
fn name_by_picture(layer: &mut Layer) {
    if layer.contains_key("print.name") {
        return;
    }
    let Some(LocatedValue { value: Value::Pattern(pattern), place, origin }) = layer.get("print.picture").cloned()
    else {
        return;
    };
    let name = pattern.as_str().trim_matches('*').to_owned();
    if !name.is_empty() {
        layer.insert("print.name".to_owned(), LocatedValue { value: Value::Text(name), place, origin });
    }
}
