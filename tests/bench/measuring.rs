//! Evidence of 45 megapixels from memory on one core: at most 5 ns a pixel, the pass and what follows it together.
//! Prints one line for the table of `tests/bench/run`.

use std::hint::black_box;
use std::time::Instant;

use plateside::colour::{NumberConversion, ProfileSpace, SampleSource, ToScreen, lightness_of_codes};
use plateside::measure::{LineBuffers, SampleMeaning, measure};
use plateside::picture::Fault;
use plateside::picture::facts::{ColourModel, Orientation};
use plateside::picture::pixels::{Band, Bands, SampleLayout, Samples};

/// A full frame of 45 megapixels.
const WIDTH_PX: u32 = 8_256;
const HEIGHT_PX: u32 = 5_504;
/// Rows of a band, as the JPEG reader hands them out.
const BAND_ROWS: u32 = 64;
/// Rounds after a first one that warms up; the median counts.
const ROUNDS: usize = 5;
/// What the house promises, in nanoseconds a pixel.
const BUDGET_NS: f64 = 5.0;

struct Frame<'a> {
    samples: &'a [u8],
    next_row: u32,
}

impl Bands for Frame<'_> {
    fn layout(&self) -> SampleLayout {
        SampleLayout { width_px: WIDTH_PX, height_px: HEIGHT_PX, model: ColourModel::Rgb, has_alpha: false }
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let first_row = self.next_row;
        let rows = BAND_ROWS.min(HEIGHT_PX - first_row);
        self.next_row += rows;
        let row_len = self.layout().row_len();
        let samples = &self.samples[first_row as usize * row_len..][..rows as usize * row_len];
        Ok((rows > 0).then_some(Band { first_row, rows, samples: Samples::Eight(samples) }))
    }
}

fn main() {
    let samples = frame();
    let to_screen = ToScreen::new(ProfileSpace::Rgb, SampleSource::Nothing).expect("sRGB can be shown");
    let lightness = lightness_of_codes(ProfileSpace::Rgb, SampleSource::Nothing);
    let meaning =
        SampleMeaning { lightness: &lightness, to_screen: &to_screen, to_numbers: &NumberConversion::Unchanged };
    let mut rounds: Vec<f64> = (0..=ROUNDS)
        .map(|_| {
            let began = Instant::now();
            let mut bands = Frame { samples: &samples, next_row: 0 };
            let found =
                measure(String::new(), &mut bands, Orientation::UPRIGHT, meaning, false, &mut LineBuffers::default());
            black_box(found).expect("pixels from memory cannot fail");
            began.elapsed().as_secs_f64() * 1e9 / f64::from(WIDTH_PX) / f64::from(HEIGHT_PX)
        })
        .skip(1)
        .collect();
    rounds.sort_by(f64::total_cmp);
    let measured = rounds[ROUNDS / 2];
    let verdict = if measured <= BUDGET_NS { "ok" } else { "OVER" };
    println!("evidence of 45 MP from memory\t{measured:.1} ns a pixel\t{BUDGET_NS} ns\t{verdict}");
}

/// Soft shapes, some edges, and noise.
fn frame() -> Vec<u8> {
    let mut state = 1u32;
    let mut samples = Vec::with_capacity(WIDTH_PX as usize * HEIGHT_PX as usize * 3);
    for y in 0..HEIGHT_PX {
        for x in 0..WIDTH_PX {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let shape = (f64::from(x) / 310.0).sin() * (f64::from(y) / 270.0).cos();
            let step = if (x / 400 + y / 300) % 5 == 0 { 50.0 } else { 0.0 };
            let code = 110.0 + 45.0 * shape + step + f64::from(state >> 29);
            samples.extend([code as u8, (code * 0.93) as u8, (code * 0.86) as u8]);
        }
    }
    samples
}
