//! The headings of a picture list: which column is which key of a print, by the usual names, and in which unit.

use strsim::osa_distance;

use super::key::BriefKey;
use super::key_table;
use super::list_table::{HEAD_ROWS, ListRow, column_name};
use super::trade_terms;
use crate::units::LengthUnit;

/// The columns, each a key of `[[print]]`. A size may be two columns instead, `width` and `height`.
pub const COLUMNS: &[&str] = &["page", "name", "picture", "size", "paper", "caption", "credit", "copies", "batch"];
/// The columns of a side, as they are named.
pub(super) const SIDES: [&str; 2] = ["width", "height"];

/// Names of columns that only lists have, beside those of `trade_terms`. Source: common practice, from memory.
const NAMES: &[(&str, &[&str])] = &[
    ("page", &["pagenumber", "pageno", "pagenr", "pagenos", "pagenumbers", "plateno", "platenumber", "plates"]),
    ("name", &["printname", "printtitle", "dishname", "recipename", "recipetitle", "work", "worktitle", "artwork"]),
    (
        "picture",
        &[
            "filenames",
            "files",
            "images",
            "pictures",
            "photos",
            "imagefile",
            "imagename",
            "imagefilename",
            "picturefile",
            "picturename",
            "photofile",
            "photoname",
            "filetitle",
        ],
    ),
    (
        "size",
        &[
            "sizes",
            "finishedsize",
            "finalsize",
            "pagesize",
            "imagesize",
            "picturesize",
            "trimmedsize",
            "measurements",
            "finishedformat",
            "trim",
            "dimension",
        ],
    ),
    ("width", &["w", "wide", "printwidth", "trimwidth", "finishedwidth", "picturewidth", "imagewidth", "pagewidth"]),
    (
        "height",
        &["h", "high", "printheight", "trimheight", "finishedheight", "pictureheight", "imageheight", "pageheight"],
    ),
    ("paper", &["paperstock", "papername", "printedon"]),
    ("caption", &["captiontext", "picturecaption", "imagecaption"]),
    ("credit", &["credits", "creditline", "picturecredit", "photocredit", "imagecredit", "photographer", "byline"]),
    ("copies", &["copy", "nocopies", "numberofcopies", "noofcopies", "noofprints", "numberofprints", "printrun"]),
];
/// Names that stand for a column only where no other does: they may be a running number or a file format as well.
const WEAK_NAMES: &[(&str, &[&str])] =
    &[("page", &["no", "nr", "num", "number", "#", "spread", "spreads"]), ("size", &["format"])];
/// Words of a heading that say nothing of what the column is.
const FILLERS: &[&str] = &["the", "in", "a", "per"];
/// Letters from which a name with one wrong letter is a slip of the hand: shorter words are often near each other. Own
/// choice.
const LONG_NAME: usize = 6;
/// Known columns from which a row without a picture or a size is taken for headings with a mistake in them.
const MIN_KNOWN: usize = 2;

/// What a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ListField {
    Key(&'static str),
    Width,
    Height,
}

impl ListField {
    /// Returns its own name.
    pub(super) fn name(self) -> &'static str {
        match self {
            ListField::Key(name) => name,
            ListField::Width => SIDES[0],
            ListField::Height => SIDES[1],
        }
    }

    /// Returns the key of the print, if it is one by itself.
    pub(super) fn key(self) -> Option<&'static BriefKey> {
        match self {
            ListField::Key(name) => key_table::all().find(|key| key.table() == "print" && key.name() == name),
            ListField::Width | ListField::Height => None,
        }
    }
}

/// A heading that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Heading {
    pub(super) field: ListField,
    /// The unit that it names for the cells below it.
    pub(super) unit: Option<LengthUnit>,
    /// True if it says that the height comes first: `h x w`.
    pub(super) is_height_first: bool,
    /// The brief's own name before other names, and those before weak ones.
    precedence: u8,
}

impl Heading {
    /// Returns a heading by the brief's own name.
    #[cfg(test)]
    pub(super) fn plain(field: ListField, unit: Option<LengthUnit>, is_height_first: bool) -> Heading {
        Heading { field, unit, is_height_first, precedence: 0 }
    }
}

/// A column of the list with its heading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Column {
    pub(super) index: usize,
    pub(super) heading: Heading,
}

/// The headings of a list.
#[derive(Debug, Default)]
pub(super) struct Headings {
    /// The row that they are in, counted from 0 among those that hold something.
    pub(super) row: usize,
    /// The columns that count.
    pub(super) columns: Vec<Column>,
    /// The columns that are passed over, because nothing says what they are or another says the same.
    pub(super) passed_over: Vec<usize>,
    /// Columns that are headed as another is.
    pub(super) doubled: Vec<usize>,
    /// Columns whose headings are slips of the hand, and what they may mean.
    pub(super) misspelt: Vec<(usize, &'static str)>,
}

impl Headings {
    /// Returns the headings of a list: the first row that names a picture and its size, or the row below it where that
    /// does too, since headings may take two rows; else the row that names most. Nothing where no row holds anything.
    pub(super) fn of(rows: &[ListRow]) -> Option<Headings> {
        let head = &rows[..rows.len().min(HEAD_ROWS)];
        let most = head.iter().map(known_columns).max().filter(|known| *known >= MIN_KNOWN);
        let row = match head.iter().position(names_picture_and_size) {
            Some(first) if head.get(first + 1).is_some_and(names_picture_and_size) => first + 1,
            Some(first) => first,
            None => head.iter().position(|row| Some(known_columns(row)) == most).unwrap_or(0),
        };
        let mut headings = Headings { row, ..Headings::default() };
        headings.sort(rows.get(row)?);
        headings.take_units_above(rows);
        Some(headings)
    }

    /// Passes over the column of a field.
    pub(super) fn pass_over(&mut self, name: &str) {
        let is_it = |column: &mut Column| column.heading.field.name() == name;
        self.passed_over.extend(self.columns.extract_if(.., is_it).map(|column| column.index));
        self.passed_over.sort_unstable();
    }

    /// Returns the column of a field.
    pub(super) fn column(&self, name: &str) -> Option<&Column> {
        self.columns.iter().find(|column| column.heading.field.name() == name)
    }

    fn sort(&mut self, row: &ListRow) {
        let texts = (0..row.cells.len()).filter_map(|index| Some((index, row.content(index)?.text())));
        let mut seen: Vec<String> = Vec::new();
        for (index, text) in texts {
            let Some(heading) = heading(text) else {
                match misspelt(text) {
                    Some(meant) => self.misspelt.push((index, meant)),
                    None => self.passed_over.push(index),
                }
                continue;
            };
            let word = trade_terms::normalise(text);
            if seen.contains(&word) {
                self.doubled.push(index);
                continue;
            }
            seen.push(word);
            match self.columns.iter_mut().find(|column| column.heading.field == heading.field) {
                Some(other) if other.heading.precedence <= heading.precedence => self.passed_over.push(index),
                Some(other) => self.passed_over.push(std::mem::replace(other, Column { index, heading }).index),
                None => self.columns.push(Column { index, heading }),
            }
        }
        // One side alone says nothing where a size is there.
        if self.column("size").is_some() && SIDES.iter().filter(|side| self.column(side).is_some()).count() == 1 {
            let is_side = |column: &mut Column| SIDES.contains(&column.heading.field.name());
            self.passed_over.extend(self.columns.extract_if(.., is_side).map(|column| column.index));
        }
        self.passed_over.sort_unstable();
    }

    /// Width and height below a heading of both take its unit: "Size (mm)" over "Width" and "Height".
    fn take_units_above(&mut self, rows: &[ListRow]) {
        let Some(above) = self.row.checked_sub(1).and_then(|row| rows.get(row)) else { return };
        if above.number + 1 != rows[self.row].number {
            return;
        }
        for column in self
            .columns
            .iter_mut()
            .filter(|column| matches!(column.heading.field, ListField::Width | ListField::Height))
        {
            let over = (0..=column.index).rev().find_map(|index| above.content(index));
            let unit = over.and_then(|content| heading(content.text())).and_then(|heading| heading.unit);
            column.heading.unit = column.heading.unit.or(unit);
        }
    }
}

/// Returns how many columns of a row have headings that are known.
pub(super) fn known_columns(row: &ListRow) -> usize {
    let mut fields: Vec<&str> = known_fields(row).map(ListField::name).collect();
    fields.sort_unstable();
    fields.dedup();
    fields.len()
}

/// True if a row names a picture and its size.
pub(super) fn names_picture_and_size(row: &ListRow) -> bool {
    let has = |name: &str| known_fields(row).any(|field| field.name() == name);
    has("picture") && (has("size") || SIDES.iter().all(|side| has(side)))
}

fn known_fields(row: &ListRow) -> impl Iterator<Item = ListField> {
    row.cells.iter().filter_map(|cell| heading(cell.content.text())).map(|heading| heading.field)
}

/// Returns what a heading says; nothing where it is not known.
fn heading(text: &str) -> Option<Heading> {
    if let Some((field, precedence)) = field(&trade_terms::normalise(text)).filter(|_| !text.contains(['"', '″'])) {
        return Some(Heading { field, unit: None, is_height_first: false, precedence });
    }
    let lower = text.to_lowercase();
    let mut words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric() && !matches!(c, '"' | '″'))
        .filter(|word| !word.is_empty())
        .collect();
    let units: Vec<LengthUnit> = words.iter().filter_map(|word| unit(word)).collect();
    // "Width in mm": the shorter word is no inch beside another unit.
    let unit_named = units.iter().find(|unit| **unit != LengthUnit::Inch).or(units.first()).copied();
    words.retain(|word| unit(word).is_none() && !FILLERS.contains(word));
    let place = |names: &[&str]| words.iter().position(|word| names.contains(word));
    let (across, down) = (place(&["width", "w", "wide", "wxh"]), place(&["height", "h", "high", "hxw"]));
    let is_height_first = words.contains(&"hxw") || across.zip(down).is_some_and(|(across, down)| down < across);
    let names_both = across.is_some() && down.is_some() || ["wxh", "hxw"].iter().any(|both| words.contains(both));
    if names_both {
        words.retain(|word| {
            !["width", "w", "wide", "wxh", "height", "h", "high", "hxw", "x", "by", "and"].contains(word)
        });
    }
    let (field, precedence) = match field(&words.concat()) {
        None if names_both && words.is_empty() => (ListField::Key("size"), 1),
        found => found?,
    };
    Some(Heading { field, unit: unit_named, is_height_first, precedence })
}

/// Returns the unit that a word of a heading is.
fn unit(word: &str) -> Option<LengthUnit> {
    let singular = word.strip_suffix('s').unwrap_or(word);
    match singular {
        "millimetre" | "millimeter" => Some(LengthUnit::Millimetre),
        "centimetre" | "centimeter" => Some(LengthUnit::Centimetre),
        "m" => None,
        _ => LengthUnit::from_sign(word),
    }
}

/// Returns the field of a name without blanks and signs, and its precedence.
fn field(word: &str) -> Option<(ListField, u8)> {
    let named = |tables: &'static [(&'static str, &'static [&'static str])]| {
        tables.iter().find(|(_, names)| names.contains(&word)).map(|(name, _)| *name)
    };
    let own = COLUMNS.iter().chain(&SIDES).find(|name| **name == word).copied();
    let trade = || {
        let key = trade_terms::key("print", word).filter(|key| key.table() == "print")?;
        COLUMNS.iter().find(|name| **name == key.name()).copied()
    };
    let (name, rank) = own
        .map(|name| (name, 0))
        .or_else(|| trade().or_else(|| named(NAMES)).map(|name| (name, 1)))
        .or_else(|| named(WEAK_NAMES).map(|name| (name, 2)))?;
    let field = match name {
        "width" => ListField::Width,
        "height" => ListField::Height,
        key => ListField::Key(key),
    };
    Some((field, rank))
}

/// Returns the column that an unknown heading is a slip of the hand for.
fn misspelt(text: &str) -> Option<&'static str> {
    let word = text.trim().to_lowercase();
    let letters = |word: &str| {
        let mut letters: Vec<char> = word.chars().collect();
        letters.sort_unstable();
        letters
    };
    // "Side" is no "size" and "Game" no "name": of short words only swapped letters are slips.
    let is_slip =
        |own: &&str| osa_distance(&word, own) == 1 && (own.len() >= LONG_NAME || letters(&word) == letters(own));
    COLUMNS.iter().chain(&SIDES).copied().find(is_slip)
}

/// Returns where a brief says what a heading names, if a brief says it and no column does.
pub(super) fn place_in_brief(heading: &str) -> Option<String> {
    let word = heading.trim().to_lowercase();
    let is_it = |key: &&BriefKey| key.name() == word && !matches!(key.table(), "print" | "sizes" | "rules");
    // The paper's own table, not the key that names a paper.
    let own_table = key_table::table(&word).map(|table| table.name).filter(|name| *name != "print");
    let table = own_table.or_else(|| key_table::all().find(is_it).map(BriefKey::table))?;
    Some(if table.is_empty() { "above the first table".to_owned() } else { format!("below [{table}]") })
}

/// Returns a column as people find it: its heading and its letters.
pub(super) fn show_cell(row: &ListRow, index: usize, is_sheet: bool) -> String {
    let text = row.content(index).map_or("", |content| content.text());
    if is_sheet { format!("\"{text}\" ({})", column_name(index)) } else { format!("\"{text}\"") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::list_table::{CellContent, ListCell};

    fn row(number: usize, cells: &[&str]) -> ListRow {
        let cell = |text: &&str| ListCell { content: CellContent::Text((*text).to_owned()), at: 0 };
        ListRow { number, cells: cells.iter().map(cell).collect(), ..ListRow::default() }
    }

    #[test]
    fn every_column_is_a_key_of_a_print() {
        for name in COLUMNS {
            assert!(ListField::Key(name).key().is_some(), "{name}");
            assert_eq!(heading(name).map(|heading| heading.field), Some(ListField::Key(name)));
        }
        let named = |name: &&str| COLUMNS.contains(name) || SIDES.contains(name);
        assert!(NAMES.iter().chain(WEAK_NAMES).all(|(name, _)| named(name)));
    }

    #[test]
    fn usual_headings_are_known_in_any_case() {
        for (text, name) in [
            ("PAGES", "page"),
            ("Page no.", "page"),
            ("Plate", "page"),
            ("#", "page"),
            ("No.", "page"),
            ("Dish", "name"),
            ("Title", "name"),
            ("File name", "picture"),
            ("IMAGE", "picture"),
            ("Picture file", "picture"),
            ("Finished size", "size"),
            ("Format", "size"),
            ("Qty", "copies"),
            ("No. of copies", "copies"),
            ("Credit line", "credit"),
            ("Legend", "caption"),
        ] {
            assert_eq!(heading(text).map(|heading| heading.field.name()), Some(name), "{text}");
        }
        for text in ["Notes", "Status", "Price", "", "x", "mm", "Paper colour"] {
            assert_eq!(heading(text), None, "{text}");
        }
    }

    #[test]
    fn a_heading_may_name_the_unit_and_the_order_of_the_sides() {
        use LengthUnit::{Centimetre, Inch, Millimetre};
        for (text, name, unit, is_height_first) in [
            ("Width (mm)", "width", Some(Millimetre), false),
            ("Height in cm", "height", Some(Centimetre), false),
            ("W, mm", "width", Some(Millimetre), false),
            ("h [in]", "height", Some(Inch), false),
            ("Width in inches", "width", Some(Inch), false),
            ("Size (mm)", "size", Some(Millimetre), false),
            ("Trim size, w x h (mm)", "size", Some(Millimetre), false),
            ("Size (HxW) cm", "size", Some(Centimetre), true),
            ("Height x Width", "size", None, true),
            ("Size \"", "size", Some(Inch), false),
        ] {
            let found = heading(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!(
                (found.field.name(), found.unit, found.is_height_first),
                (name, unit, is_height_first),
                "{text}"
            );
        }
    }

    #[test]
    fn of_two_columns_for_one_thing_the_plainer_name_counts() {
        let headings = Headings::of(&[row(3, &["No.", "Page", "Title", "Dish", "File", "Size", "Status"])]).unwrap();
        let indices: Vec<usize> = headings.columns.iter().map(|column| column.index).collect();
        assert_eq!((indices, headings.passed_over), (vec![1, 2, 4, 5], vec![0, 3, 6]));
        let same = Headings::of(&[row(1, &["file", "size", "Size"])]).unwrap();
        assert_eq!(same.doubled, [2]);
    }

    #[test]
    fn a_title_before_the_headings_is_none_and_two_rows_of_headings_are() {
        let rows = [
            row(1, &["Low Water Suppers: pages and prints"]),
            row(2, &["Designer", "Size", "of the book"]),
            row(4, &["Page", "File", "Size (mm)"]),
            row(5, &["Page", "File", "Width", "Height"]),
            row(6, &["12", "p012*", "210", "260"]),
        ];
        let headings = Headings::of(&rows).unwrap();
        assert_eq!(headings.row, 3);
        let unit = |name: &str| headings.column(name).and_then(|column| column.heading.unit);
        assert_eq!([unit("width"), unit("height")], [Some(LengthUnit::Millimetre); 2]);
    }

    #[test]
    fn a_slip_of_the_hand_is_told_from_a_word_of_its_own() {
        assert_eq!(misspelt("nmae"), Some("name"));
        assert_eq!(misspelt("Copeis"), Some("copies"));
        for text in ["Notes", "Side", "Game", "Stage", "Status", "Pageant", "Sign", "Chef"] {
            assert_eq!(misspelt(text), None, "{text}");
        }
    }
}
