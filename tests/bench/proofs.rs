//! A soft proof of a thumbnail of 1024 x 1024 px whose every pixel is another colour, through a press profile: the first
//! one, with the way made, at most 80 ms; one by a way that is kept at most 25 ms. Prints a line for each for the table
//! of `tests/bench/run`.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use plateside::colour::{
    Encoding, PaperProfile, PaperTransform, ProfileSpace, ProofPaper, ProofRendering, SampleSource,
};

/// A press profile of Debian's libgs-common; without it one of matrix and curves stands in.
const PRESS: &str = "/usr/share/color/icc/ghostscript/default_cmyk.icc";
/// Pixels of the largest thumbnail.
const PIXELS: u32 = 1_024 * 1_024;
/// Rounds; the median counts.
const ROUNDS: usize = 9;
/// What the house promises, in milliseconds.
const FIRST_MS: f64 = 80.0;
/// See [`FIRST_MS`].
const KEPT_MS: f64 = 25.0;

fn main() {
    let press = std::fs::read(PRESS).unwrap_or_else(|_| {
        let mut bytes = Encoding::Srgb.icc_bytes();
        bytes[12..16].copy_from_slice(b"prtr");
        bytes
    });
    let press = ProofPaper::Printer(Arc::new(PaperProfile::new(&press).expect("the profile answers both ways")));
    let samples: Vec<u8> =
        (0..PIXELS).flat_map(|at| at.wrapping_mul(2_654_435_761).to_be_bytes().into_iter().take(3)).collect();
    let way = || {
        PaperTransform::new(
            ProfileSpace::Rgb,
            SampleSource::Encoding(Encoding::AdobeRgb),
            &press,
            ProofRendering::Relative,
        )
        .expect("the way onto the paper can be made")
    };
    let first = median(|| {
        black_box(way().apply(&samples));
    });
    let kept = way();
    let again = median(|| {
        black_box(kept.apply(&samples));
    });
    for (what, measured, budget) in [("first proof of 1 MP", first, FIRST_MS), ("proof by a kept way", again, KEPT_MS)]
    {
        let verdict = if measured <= budget { "ok" } else { "OVER" };
        println!("{what}\t{measured:.1} ms\t{budget} ms\t{verdict}");
    }
}

fn median(mut once: impl FnMut()) -> f64 {
    let mut rounds: Vec<f64> = (0..ROUNDS)
        .map(|_| {
            let began = Instant::now();
            once();
            began.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    rounds.sort_by(f64::total_cmp);
    rounds[ROUNDS / 2]
}
