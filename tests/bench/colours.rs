//! Questions about colour, asked of as many colours as a photograph has at most: at most 20 ms a picture, whatever its
//! size. Prints one line for the table of `tests/bench/run`.

use std::hint::black_box;
use std::time::Instant;

use plateside::colour::{Encoding, NumberMeaning, PaperProfile};
use plateside::judge::metrics::colours::SeenColours;
use plateside::measure::evidence::Colour;

/// A press profile of Debian's libgs-common; without it one of matrix and curves stands in.
const PRESS: &str = "/usr/share/color/icc/ghostscript/default_cmyk.icc";
/// Colours that are asked about, where the cube takes the rare ones together: an over-sharpened picture of 41,000 bins has
/// 13,400, the busiest of the photographs (25,600 bins) 9,100.
const COLOURS: u32 = 13_400;
/// Rounds; the median counts.
const ROUNDS: usize = 9;
/// What the house promises, in milliseconds.
const BUDGET_MS: f64 = 20.0;

fn main() {
    let paper = std::fs::read(PRESS).unwrap_or_else(|_| {
        let mut bytes = Encoding::Srgb.icc_bytes();
        bytes[12..16].copy_from_slice(b"prtr");
        bytes
    });
    let paper = PaperProfile::new(&paper).expect("the profile answers both ways");
    let colours: Vec<Colour> = (0..COLOURS)
        .map(|at| {
            let mixed = at.wrapping_mul(2_654_435_761);
            Colour {
                mean: [mixed as u16, (mixed >> 8) as u16, (mixed >> 16) as u16].map(|code| code % 65_281),
                count: 1,
            }
        })
        .collect();
    let mut rounds: Vec<f64> = (0..ROUNDS)
        .map(|_| {
            let began = Instant::now();
            let seen = SeenColours::of(&colours, NumberMeaning::Codes(Encoding::AdobeRgb));
            black_box(seen.in_space(Encoding::Srgb));
            black_box(seen.misread(Encoding::Srgb));
            black_box(seen.on_paper(&paper));
            began.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    rounds.sort_by(f64::total_cmp);
    let measured = rounds[ROUNDS / 2];
    let verdict = if measured <= BUDGET_MS { "ok" } else { "OVER" };
    println!("colour questions, {COLOURS} colours\t{measured:.1} ms\t{BUDGET_MS} ms\t{verdict}");
}
