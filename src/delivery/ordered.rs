//! The orders for a picture, in words for the printer, which a later delivery compares.

use crate::brief::PrintsById;
use crate::brief::requirements::{BorderFit, Edge, Margins, WrapSides};
use crate::judge::Row;
use crate::units::show;

use super::plan::DeliveredPicture;

/// Returns the orders for a picture, one line per print: everything whose change the printer must know of.
pub(super) fn ordered(all: &[Row], prints: &PrintsById, sent: &DeliveredPicture) -> Vec<String> {
    let rows = sent.rows.iter().map(|at| &all[*at]);
    let mut lines: Vec<String> = rows
        .filter_map(|row| {
            let required = &prints.get(row.key.print.as_ref())?.requirements;
            let page = row.page.map(|page| format!(", page {page}")).unwrap_or_default();
            let kept: String = row.accepted.iter().map(|one| format!(", accepted: {}", one.finding.found)).collect();
            let size = size(row);
            // A print without a name is called by its size.
            let name = if row.print_name == size { String::new() } else { format!("{}, ", row.print_name) };
            Some(format!(
                "{name}{size}{page}, {}, {} {}, {}{kept}",
                show::count(row.copies as usize, "copy", "copies"),
                required.paper.surface.word(),
                required.paper.stock.word(),
                edge_words(&required.margins)
            ))
        })
        .collect();
    lines.sort();
    lines
}

/// Returns the finished size of a row; empty if it has no placement on its print.
pub(super) fn size(row: &Row) -> String {
    row.placement.as_ref().map(|placement| placement.finished.show()).unwrap_or_default()
}

/// Describes the treatment of a print's edge, for the person who trims it.
pub(super) fn edge_words(margins: &Margins) -> String {
    let length = |length| show::length(length, margins.unit);
    match margins.edge {
        Edge::Bleed => {
            let widest = margins.bleed.each().into_iter().max().unwrap_or_default();
            format!("{} bleed on the size", length(widest))
        }
        Edge::Borderless => "borderless: enlarged a little to cover".to_owned(),
        Edge::Border => match margins.fit {
            BorderFit::Fill => format!("white border of {}", margins.border.show(margins.unit)),
            BorderFit::Inside => {
                format!("white border of at least {}; the picture keeps its shape", margins.border.show(margins.unit))
            }
        },
        Edge::Wrap => match margins.sides {
            WrapSides::Picture => format!("round a bar of {}", length(margins.wrap)),
            sides => format!("on a bar of {}, {} sides", length(margins.wrap), sides.word()),
        },
    }
}
