//! The sizes at which a picture can be printed, as lines of a table for the prompt and the live table.

use crate::units::styled::{Line, Style};
use crate::units::{LengthUnit, show};

use super::{CarriedSize, SizeVerdict, ViewingUse};

/// Width of the table's column of sizes.
const SIZE: usize = 16;
/// Width of its column of densities.
const PPI: usize = 9;
/// Width of its column of what is cut off.
const LOST: usize = 12;

/// Width of the narrow table's column of sizes.
const NARROW_SIZE: usize = 13;
/// Width of its column of densities.
const NARROW_PPI: usize = 8;
/// Width of its column of what is cut off.
const NARROW_LOST: usize = 7;

/// What the words of the narrow table mean, and what it leaves out.
pub const NARROW_CAUTIONS: [&str; 6] = [
    "Loses: cut off by the crop.",
    "A bit soft: at arm's length.",
    "From 57 cm: on a wall, where no single pixel can be seen from there on (one arc minute).",
    "Too coarse: people come closer than that.",
    "Too few: fewer pixels than the brief's minimum.",
    "Bleed and borders are not counted.",
];

/// A note on what the numbers leave out.
pub const CAUTION: &str = "Bleed and borders are not counted. On a wall: from where no single pixel can be seen (one \
                           arc minute). Under 150 ppi is too coarse on a wall: viewers may come as close as \
                           60 cm.";

/// Returns the heads of the columns and a line for each size.
pub fn table(carried: &[CarriedSize]) -> Vec<Line> {
    let head = format!("{:SIZE$}{:>PPI$}{:>LOST$}  viewing", "size", "ppi", "crop loses");
    std::iter::once(Line::of(Style::Dim, head).indented(2, 0)).chain(carried.iter().map(row)).collect()
}

fn row(one: &CarriedSize) -> Line {
    let (style, words) = viewing(one.viewing);
    let numbers =
        format!("{:SIZE$}{:>PPI$}{:>LOST$}  ", one.size.show(), show::ppi(one.density), show::share(one.lost));
    let line = Line::plain(numbers).indented(2, SIZE + PPI + LOST + 2).and(style, words);
    let prints = match &one.prints[..] {
        [] => return line,
        [print] => print.clone(),
        [first, rest @ ..] => format!("{first} and {} more", rest.len()),
    };
    match one.required {
        Some(required) => line.and(Style::Dim, format!("  ({prints}: {})", enough(required))),
        None => line.and(Style::Dim, format!("  ({prints})")),
    }
}

const fn enough(required: SizeVerdict) -> &'static str {
    match required {
        SizeVerdict::OnTarget => "reaches the brief's target",
        SizeVerdict::AboveMinimum => "below the brief's target, but enough",
        SizeVerdict::BelowMinimum => "below the brief's minimum",
    }
}

/// Returns a table for a pane of some 40 columns: first the brief's sizes, then the usual ones.
pub fn narrow(carried: &[CarriedSize]) -> Vec<Line> {
    let head = format!("{:NARROW_SIZE$}{:>NARROW_PPI$}{:>NARROW_LOST$} viewing", "size", "ppi", "loses");
    let mut lines = vec![Line::of(Style::Dim, head)];
    let of_brief = carried.iter().take_while(|one| !one.prints.is_empty()).count();
    for (at, one) in carried.iter().enumerate() {
        if at == of_brief && at > 0 {
            lines.push(Line::of(Style::Dim, "usual sizes"));
        }
        let (style, words) = match one.required {
            Some(SizeVerdict::BelowMinimum) => (Style::Warn, "too few".to_owned()),
            _ => in_short(one.viewing),
        };
        let (size, ppi, lost) = (one.size.show(), show::ppi(one.density), show::share(one.lost));
        let numbers = format!("{size:NARROW_SIZE$}{ppi:>NARROW_PPI$}{lost:>NARROW_LOST$} ");
        lines.push(Line::plain(numbers).indented(0, 2).and(style, words));
    }
    lines
}

fn in_short(viewing: ViewingUse) -> (Style, String) {
    match viewing {
        ViewingUse::ArmsLength => (Style::Good, "arm's length".to_owned()),
        ViewingUse::ArmsLengthSoft => (Style::Plain, "a bit soft".to_owned()),
        ViewingUse::Wall(length) => (Style::Plain, format!("from {}", show::length(length, LengthUnit::Centimetre))),
        ViewingUse::TooCoarse(_) => (Style::Warn, "too coarse".to_owned()),
    }
}

fn viewing(viewing: ViewingUse) -> (Style, String) {
    let from = |length| show::length(length, LengthUnit::Centimetre);
    match viewing {
        ViewingUse::ArmsLength => (Style::Good, "at arm's length".to_owned()),
        ViewingUse::ArmsLengthSoft => (Style::Plain, "at arm's length, a little soft".to_owned()),
        ViewingUse::Wall(length) => (Style::Plain, format!("on a wall, from {}", from(length))),
        ViewingUse::TooCoarse(length) => (Style::Warn, format!("too coarse: pixels show closer than {}", from(length))),
    }
}
