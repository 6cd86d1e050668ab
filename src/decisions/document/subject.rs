//! Subjects' boxes, in their tables.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use toml_edit::{Array, Item, Table, Value};

use crate::brief::PrintId;
use crate::judge::subject::{Area, DrawnBox};
use crate::measure::Grid;
use crate::picture::PictureKey;

use super::reader::DocumentReader;
use super::values::put;
use crate::decisions::index::DecisionIndex;

/// Longest side of a small picture that is accepted, in cells; ours have 48.
const MAX_THUMBNAIL: usize = 256;

/// Writes a box into its table; other content is kept.
pub(super) fn fill(table: &mut Table, drawn: &DrawnBox) {
    put(table, "box", Some(Value::Array(drawn.area.sides().into_iter().collect::<Array>())));
    put(table, "drawn_on", Some(drawn.sha256.as_str()).filter(|sha256| !sha256.is_empty()).map(Value::from));
    put(table, "look", thumbnail_text(&drawn.grey_thumbnail).map(Value::from));
}

impl DocumentReader<'_> {
    /// Reads one box.
    pub(super) fn subject(&mut self, table: &Table, decided: &mut DecisionIndex) {
        let start = table.span().map_or(0, |span| span.start);
        let before = self.problems.len();
        let picture = self.text_at(table, "picture").filter(|picture| !picture.is_empty());
        if picture.is_none() && before == self.problems.len() {
            self.wrong(start, "a subject without its picture", "write picture = \"NAME.jpg\" below [[subject]]");
        }
        let print = self.text_at(table, "print").map(|print| PrintId(print.into()));
        let area = self.area(table, start);
        let sha256 = self.text_at(table, "drawn_on").unwrap_or_default().to_owned();
        let look = self.look(table);
        if self.problems.len() > before {
            return;
        }
        let (Some(picture), Some(area), Some(look)) = (picture, area, look) else { return };
        if !decided.add(PictureKey::from_text(picture), print, DrawnBox { area, sha256, grey_thumbnail: look }) {
            let at = table.get("picture").and_then(Item::span).map_or(start, |span| span.start);
            self.wrong(
                at,
                "this picture has two boxes for the same prints",
                "keep one of the two [[subject]] and delete the other",
            );
        }
    }

    pub(super) fn area(&mut self, table: &Table, start: usize) -> Option<Area> {
        let fix = "write box = [0.2, 0.3, 0.7, 0.8]: left, top, right, bottom as shares of the picture";
        let Some(item) = table.get("box") else {
            self.wrong(start, "a subject without a box", fix);
            return None;
        };
        let number = |value: &Value| value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64));
        let sides: Option<Vec<f64>> = item.as_array().and_then(|sides| sides.iter().map(number).collect());
        let area = match sides.as_deref() {
            Some([left, top, right, bottom]) => Area::new(*left, *top, *right, *bottom),
            _ => None,
        };
        if area.is_none() {
            self.wrong(item.span().map_or(start, |span| span.start), "this box is not inside the picture", fix);
        }
        area
    }

    fn look(&mut self, table: &Table) -> Option<Grid<u8>> {
        let Some(text) = self.text_at(table, "look") else { return Some(Grid::default()) };
        let look = parse_thumbnail(text);
        if look.is_none() {
            let at = table.get("look").and_then(Item::span).map_or(0, |span| span.start);
            let fix = "delete this line and draw the box again, or restore the file from version control";
            self.wrong(at, "this is not a thumbnail", fix);
        }
        look
    }
}

/// Returns a small picture as `ACROSSxDOWN BASE64`; `None` where there is none.
fn thumbnail_text(look: &Grid<u8>) -> Option<String> {
    let there = !look.fields.is_empty();
    there.then(|| format!("{}x{} {}", look.across, look.down, STANDARD.encode(&look.fields)))
}

fn parse_thumbnail(text: &str) -> Option<Grid<u8>> {
    let (size, cells) = text.split_once(' ')?;
    let (across, down) = size.split_once('x')?;
    let (across, down): (usize, usize) = (across.parse().ok()?, down.parse().ok()?);
    let fields = STANDARD.decode(cells.trim()).ok()?;
    let sound = across.max(down) <= MAX_THUMBNAIL && fields.len() == across * down;
    sound.then_some(Grid { across, down, fields })
}
