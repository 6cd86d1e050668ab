//! A terminal's cells as a scalable picture: grounds and half blocks as rectangles, everything else as letters.

use std::fmt::Write;

use vt100::{Cell, Color, Screen};

/// A cell's width and height, and where letters stand in it.
const CELL: (f32, f32) = (8.4, 18.0);
const BASELINE: f32 = 13.5;
const LETTERS: f32 = 14.0;
/// Of a dark terminal: ground and letters.
const GROUND: [u8; 3] = [24, 24, 24];
const INK: [u8; 3] = [222, 222, 222];
/// The upper half block.
const HALF: &str = "▀";

/// The whole screen.
pub fn of(screen: &Screen) -> String {
    let (rows, columns) = screen.size();
    let (width, height) = (f32::from(columns) * CELL.0, f32::from(rows) * CELL.1);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" \
         font-family=\"ui-monospace, Menlo, Consolas, 'DejaVu Sans Mono', monospace\" font-size=\"{LETTERS}\">\n\
         <rect width=\"100%\" height=\"100%\" fill=\"{}\"/>\n",
        hex(GROUND)
    );
    for row in 0..rows {
        let cells: Vec<&Cell> = (0..columns).filter_map(|column| screen.cell(row, column)).collect();
        let top = f32::from(row) * CELL.1;
        let grounds: Vec<[u8; 3]> = cells.iter().map(|cell| colours(cell).1).collect();
        blocks(&mut out, &grounds, (top, CELL.1), GROUND);
        let upper: Vec<[u8; 3]> =
            cells.iter().map(|cell| if cell.contents() == HALF { colours(cell).0 } else { colours(cell).1 }).collect();
        let halves: Vec<Option<[u8; 3]>> =
            upper.iter().zip(&grounds).map(|(upper, ground)| (upper != ground).then_some(*upper)).collect();
        runs(&halves, |from, to, colour| {
            if let Some(colour) = colour {
                rectangle(&mut out, (from, to), (top, CELL.1 / 2.0), colour);
            }
        });
        letters(&mut out, &cells, top);
    }
    out.push_str("</svg>\n");
    out
}

/// Grounds that are not the terminal's own.
fn blocks(out: &mut String, grounds: &[[u8; 3]], (top, height): (f32, f32), own: [u8; 3]) {
    runs(grounds, |from, to, colour| {
        if colour != own {
            rectangle(out, (from, to), (top, height), colour);
        }
    });
}

/// Runs of equal neighbours: from, to, what.
fn runs<T: Copy + PartialEq>(all: &[T], mut each: impl FnMut(usize, usize, T)) {
    let mut from = 0;
    for to in 1..=all.len() {
        if to == all.len() || all[to] != all[from] {
            each(from, to, all[from]);
            from = to;
        }
    }
}

fn rectangle(out: &mut String, (from, to): (usize, usize), (top, height): (f32, f32), colour: [u8; 3]) {
    let (left, width) = (from as f32 * CELL.0, (to - from) as f32 * CELL.0);
    // A hair wider, so that no seam shows between neighbours.
    let _ = writeln!(
        out,
        "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"{}\"/>",
        width + 0.3,
        height + 0.3,
        hex(colour)
    );
}

/// Words of one colour and weight, each at its own column.
fn letters(out: &mut String, cells: &[&Cell], top: f32) {
    let mut at = 0;
    while at < cells.len() {
        let style = |cell: &Cell| (colours(cell).0, cell.bold());
        let is_letter = |cell: &Cell| cell.has_contents() && cell.contents() != " " && cell.contents() != HALF;
        if !is_letter(cells[at]) {
            at += 1;
            continue;
        }
        let word: String = cells[at..]
            .iter()
            .take_while(|cell| is_letter(cell) && style(cell) == style(cells[at]))
            .map(|cell| escaped(cell.contents()))
            .collect();
        let long = cells[at..].iter().take_while(|cell| is_letter(cell) && style(cell) == style(cells[at])).count();
        let (colour, bold) = style(cells[at]);
        let _ = writeln!(
            out,
            "<text x=\"{:.1}\" y=\"{:.1}\" fill=\"{}\"{} textLength=\"{:.1}\" lengthAdjust=\"spacingAndGlyphs\">{word}</text>",
            at as f32 * CELL.0,
            top + BASELINE,
            hex(colour),
            if bold { " font-weight=\"bold\"" } else { "" },
            long as f32 * CELL.0,
        );
        at += long;
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// Ink and ground of a cell.
fn colours(cell: &Cell) -> ([u8; 3], [u8; 3]) {
    let ink = colour(cell.fgcolor(), INK);
    let ground = colour(cell.bgcolor(), GROUND);
    let (ink, ground) = if cell.inverse() { (ground, ink) } else { (ink, ground) };
    let faint = |ink: [u8; 3]| std::array::from_fn(|c| ((u16::from(ink[c]) + u16::from(ground[c])) / 2) as u8);
    (if cell.dim() { faint(ink) } else { ink }, ground)
}

fn colour(colour: Color, own: [u8; 3]) -> [u8; 3] {
    match colour {
        Color::Default => own,
        Color::Rgb(r, g, b) => [r, g, b],
        Color::Idx(index) => of_index(index),
    }
}

/// The 256 colours. Source: common practice: sixteen of the terminal's own, a cube of six steps, a ramp of greys.
fn of_index(index: u8) -> [u8; 3] {
    const SIXTEEN: [[u8; 3]; 16] = [
        [0, 0, 0],
        [205, 60, 60],
        [80, 180, 90],
        [215, 170, 70],
        [90, 130, 220],
        [190, 100, 200],
        [80, 180, 190],
        [210, 210, 210],
        [110, 110, 110],
        [240, 90, 90],
        [110, 210, 120],
        [240, 200, 100],
        [120, 160, 250],
        [220, 130, 230],
        [110, 210, 220],
        [255, 255, 255],
    ];
    let step = |at: u8| if at == 0 { 0 } else { 55 + 40 * at };
    match index {
        0..=15 => SIXTEEN[usize::from(index)],
        16..=231 => {
            let at = index - 16;
            [step(at / 36), step(at / 6 % 6), step(at % 6)]
        }
        232..=255 => [8 + 10 * (index - 232); 3],
    }
}

fn hex([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}
