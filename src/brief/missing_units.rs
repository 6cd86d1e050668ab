//! Units that a number without one may be in: the likeliest first, and none that makes no sense.

use num_rational::Ratio;

use super::key::ValueKind;
use crate::units::length::number;
use crate::units::size;

/// A side of more is hardly in inches. Source: the largest of the usual photographic sizes.
const MAX_IN: i128 = 60;
/// A longer side of more is hardly in centimetres. Own choice: the width of large printers' rolls.
const MAX_CM: i128 = 160;
/// A longer side of less is hardly in millimetres. Own choice: less than a business card.
const MIN_MM: i128 = 50;

/// Units that a bare number of this kind may have meant, the likeliest first.
pub(super) fn units(kind: ValueKind, count: &str) -> Vec<&'static str> {
    match kind {
        ValueKind::Size => size_units(count),
        ValueKind::Length | ValueKind::Lengths | ValueKind::Sides => vec!["mm", "cm", "in"],
        ValueKind::Density => vec!["ppi"],
        ValueKind::Ruling => vec!["lpi"],
        ValueKind::Share(..) => vec!["%"],
        ValueKind::Factor => vec!["x"],
        ValueKind::Bytes => vec!["MB"],
        _ => Vec::new(),
    }
}

/// Units that the two sides of a size may be in: those of the usual prints that have such sides, else by their length.
pub(super) fn size_units(count: &str) -> Vec<&'static str> {
    let sides: Vec<Ratio<i128>> = count.split(['x', 'X', '×']).filter_map(number).collect();
    let longer = sides.iter().max().copied().unwrap_or_default();
    let is_usual = |sizes: &[(i64, i64)]| {
        let whole = |side: i64| Ratio::from_integer(i128::from(side));
        sizes.iter().any(|(short, long)| [[*short, *long], [*long, *short]].iter().any(|pair| sides == pair.map(whole)))
    };
    let within = |most: i128| longer <= Ratio::from_integer(most);
    let in_order = if is_usual(&size::LAB_CM) && !is_usual(&size::LAB_IN) {
        ["cm", "in", "mm"]
    } else if within(MAX_IN) {
        ["in", "cm", "mm"]
    } else {
        ["mm", "cm", "in"]
    };
    let may_be = |unit: &&str| match *unit {
        "in" => within(MAX_IN),
        "cm" => within(MAX_CM),
        _ => longer >= Ratio::from_integer(MIN_MM),
    };
    in_order.into_iter().filter(may_be).collect()
}

/// Returns the same in the other units that may have been meant, where several are likely and none was written.
pub(super) fn other_units(kind: ValueKind, written: &str, text: &str) -> Vec<String> {
    // The count ends where its last digit does; a name may end as a unit does.
    let Some(count) = text.rfind(|c: char| c.is_ascii_digit()).map(|at| &text[..=at]) else { return Vec::new() };
    let units = units(kind, count);
    let Some(has) = units.iter().find(|unit| text[count.len()..].trim() == **unit) else { return Vec::new() };
    if written.ends_with(has) {
        return Vec::new();
    }
    units.iter().filter(|unit| *unit != has).map(|unit| format!("{count} {unit}")).collect()
}
