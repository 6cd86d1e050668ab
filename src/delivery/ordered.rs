//! The orders for a picture, in words for the printer, which a later delivery compares.

use crate::brief::PrintsById;
use crate::brief::requirements::{BorderFit, Edge, Margins, WrapSides};
use crate::judge::Row;
use crate::judge::acceptance::AcceptedFinding;
use crate::units::show;

use super::plan::DeliveredPicture;

/// Returns the orders for a picture, one line per print: everything whose change the printer must know of.
pub(super) fn ordered(all: &[Row], prints: &PrintsById, sent: &DeliveredPicture) -> Vec<String> {
    let rows = sent.rows.iter().map(|at| &all[*at]);
    let mut lines: Vec<String> = rows
        .filter_map(|row| {
            let required = &prints.get(row.key.print.as_ref())?.requirements;
            let page = row.page.map(|page| format!(", page {page}")).unwrap_or_default();
            let agreed: String = agreed(row).map(|one| format!(", agreed: {}", one.finding.found)).collect();
            let size = size(row);
            // A print without a name is called by its size.
            let name = if row.print_name == size { String::new() } else { format!("{}, ", row.print_name) };
            Some(format!(
                "{name}{size}{page}, {}, {} {}, {}{agreed}",
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

/// Returns the accepted findings that the printer must know of: those that a client or printer allowed, and those whose
/// rule concerns the printer.
pub(super) fn agreed(row: &Row) -> impl Iterator<Item = &AcceptedFinding> {
    let concerns =
        |one: &&AcceptedFinding| one.acceptance.allowed_by.is_some() || one.finding.rule.uses.concerns_printer;
    row.accepted.iter().filter(concerns)
}

/// Describes the treatment of a print's edge, for the person who trims it.
pub(super) fn edge_words(margins: &Margins) -> String {
    let length = |length| show::length(length, margins.unit);
    match margins.edge {
        Edge::Bleed if !margins.includes_bleed || margins.bleed.is_zero() => "no bleed".to_owned(),
        Edge::Bleed if margins.bleed.differ() => format!("bleed ({})", margins.bleed.show(margins.unit)),
        Edge::Bleed => format!("{} bleed", length(margins.bleed.top)),
        Edge::Borderless => "borderless".to_owned(),
        Edge::Border => match margins.fit {
            BorderFit::Fill => format!("white border of {}", margins.border.show(margins.unit)),
            BorderFit::Inside => {
                format!("white border of at least {}, whole picture shown", margins.border.show(margins.unit))
            }
        },
        Edge::Wrap => match margins.sides {
            WrapSides::Picture => format!("wrapped round a bar of {}", length(margins.wrap)),
            sides => format!("on a bar of {}, {} sides", length(margins.wrap), sides.word()),
        },
    }
}
