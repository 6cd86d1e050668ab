//! What a cell of a picture list is worth for the key of its column.

use super::key::BriefKey;
use super::list_cells;
use super::list_headings::{Column, ListField};
use super::list_table::CellContent;
use super::value_error::ValueError;
use super::values::{self, SizeNames, Value};

/// Names that a list may use because the brief describes them.
pub(super) struct BriefNames<'a> {
    /// Sizes by name.
    pub(super) sizes: &'a SizeNames,
    /// The names of papers.
    pub(super) papers: Vec<&'a str>,
}

/// The value of a cell for a key.
pub(super) fn value_of(
    key: &BriefKey,
    content: &CellContent,
    column: &Column,
    names: &BriefNames<'_>,
) -> Result<Value, ValueError> {
    if let Some(fault) = unusable(content) {
        return Err(fault);
    }
    let text = content.text();
    match column.heading.field {
        ListField::Key("size") => list_cells::size(text, &column.heading, names.sizes).map(Value::Size),
        ListField::Key("paper") => list_cells::paper(text, &names.papers).map(|name| Value::Text(name.to_owned())),
        ListField::Key("page") => {
            let is_day = || list_cells::is_day(text);
            if matches!(content, CellContent::Date(_)) {
                return Err(list_cells::day_for_page(text));
            }
            values::read_for_key(key, text, names.sizes)
                .map_err(|fault| if is_day() { list_cells::day_for_page(text) } else { fault })
        }
        _ => values::read_for_key(key, &text.replace('\n', " "), names.sizes),
    }
}

/// What is wrong with a cell that has no value at all.
pub(super) fn unusable(content: &CellContent) -> Option<ValueError> {
    match content {
        CellContent::Text(_) | CellContent::Date(_) => None,
        CellContent::Failed(text) => {
            Some(ValueError::fix(format!("the cell holds the error {text}"), "correct its formula, or type the value"))
        }
        CellContent::NotCalculated => Some(ValueError::fix(
            "the cell holds a formula without its value, and no formula is calculated here",
            "open the workbook in a spreadsheet program and save it, or type the value",
        )),
    }
}

pub(super) fn not_a_length(content: &CellContent) -> ValueError {
    ValueError::new(format!("\"{}\" is not a length", content.text()))
}
