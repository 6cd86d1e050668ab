//! The print sizes that the selected picture allows, shown in place of its details.

use std::sync::Arc;

use crate::brief::Brief;
use crate::judge::sizes::largest_sizes;
use crate::judge::sizes::lines::{NARROW_CAUTIONS, narrow};
use crate::live::snapshot::TableRow;
use crate::picture::Facts;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// The last table made: a brief of thousands of prints must not be searched for every frame.
#[derive(Debug, Default)]
pub struct SizesTable {
    last: Option<Made>,
}

/// A table, and the input it was made from.
#[derive(Debug)]
struct Made {
    brief: Arc<Brief>,
    upright_px: (u32, u32),
    table: Vec<Line>,
}

impl SizesTable {
    /// Returns the picture's name and size, then the brief's sizes and the usual ones.
    pub fn lines(&mut self, row: &TableRow, brief: &Arc<Brief>, facts: &Facts) -> Vec<Line> {
        let upright_px = facts.upright_px();
        let known = self.last.as_ref().filter(|last| Arc::ptr_eq(&last.brief, brief) && last.upright_px == upright_px);
        let sizes = match known {
            Some(last) => last.table.clone(),
            None => {
                let table = narrow(&largest_sizes(Some(brief), upright_px));
                self.last = Some(Made { brief: Arc::clone(brief), upright_px, table: table.clone() });
                table
            }
        };
        let name = row.row.key.picture.as_ref().map_or("", |picture| picture.as_str());
        let what = format!("{}, printed at", show::pixels(upright_px));
        let head = [Line::of(Style::Strong, name), Line::of(Style::Dim, what), Line::blank()];
        let cautions = NARROW_CAUTIONS.map(|words| Line::of(Style::Dim, words));
        head.into_iter().chain(sizes).chain([Line::blank()]).chain(cautions).collect()
    }
}
