//! The one pass over a picture's rows, and what is told from the rows that it keeps.

use super::Meaning;
use super::blocks;
use super::clip::Clipping;
use super::cube::Cube;
use super::edges;
use super::evidence::{Clipped, Colour, Detail, Place, Tone};
use super::focus::Widths;
use super::grid::Grid;
use super::halo::Halos;
use super::kept::{Keeping, Lines};
use super::luma;
use super::noise::Calm;
use super::resampled;
use super::spectrum;
use super::tone::Cellwise;

/// Pixels that edges are looked for in, and that traces of processing are counted on, when a picture has more: every
/// n-th line, n the square root of how many times it has them. Source: ours; more tells no more.
const EDGE_PIXELS: f64 = 1.5e6;
/// See [`EDGE_PIXELS`].
const TRACE_PIXELS: f64 = 3e6;

/// What one pass told, still as stored.
pub struct Passed {
    /// Lightness.
    pub tone: Option<Tone>,
    /// White.
    pub clipped: Clipped,
    /// Where.
    pub places: Grid<Place>,
    /// Which colours.
    pub colours: Vec<Colour>,
    /// Edges, noise and traces.
    pub detail: Detail,
}

/// Everything that counts while rows stream by.
pub struct Pass {
    size_px: (usize, usize),
    colours: usize,
    luma: Vec<u8>,
    cells: Cellwise,
    clipping: Clipping,
    keeping: Keeping,
    calm: Calm,
    /// Only where the plain rows are the picture's own codes.
    cube: Option<Cube>,
}

impl Pass {
    /// For plain pictures of a size; `colours` is 1 or 3; `own_codes` where the rows are RGB as stored.
    pub fn new(width_px: usize, height_px: usize, colours: usize, own_codes: bool) -> Pass {
        Pass {
            size_px: (width_px, height_px),
            colours,
            luma: vec![0; width_px],
            cells: Cellwise::new(width_px, height_px),
            clipping: Clipping::new(width_px, height_px, colours),
            keeping: Keeping::new(width_px, height_px),
            calm: Calm::new(width_px, height_px),
            cube: own_codes.then(|| Cube::new(width_px, height_px)),
        }
    }

    /// Takes the next plain row.
    pub fn add(&mut self, plain: &[u8]) {
        luma::of_row(plain, self.colours, &mut self.luma);
        self.cells.add(&self.luma);
        self.clipping.add(plain, &self.luma);
        self.calm.add(&self.luma);
        if let Some(cube) = &mut self.cube {
            cube.add(plain);
        }
        if self.keeping.add(&self.luma) {
            self.cells.count(&self.luma);
        }
    }

    /// What is told from all rows.
    pub fn end(self, meaning: Meaning<'_>) -> Passed {
        let (tone, mut places) = self.cells.end(meaning.lightness);
        let clipped = self.clipping.end(&mut places);
        let (rows, columns) = self.keeping.end();
        let detail = detail(self.size_px, self.calm.end(), &rows, &columns);
        let colours = self.cube.map(Cube::end).unwrap_or_default();
        Passed { tone, clipped, places, colours, detail }
    }
}

fn detail((width_px, height_px): (usize, usize), noise: Option<f64>, rows: &Lines, columns: &Lines) -> Detail {
    let step = |pixels: f64| ((width_px * height_px) as f64 / pixels).sqrt().round().max(1.0) as usize;
    let (edge_step, trace_step) = (step(EDGE_PIXELS), step(TRACE_PIXELS));
    let mut halos = Halos::default();
    let mut widths = Widths::new(width_px, height_px, noise.unwrap_or(0.0));
    for (lines, is_column) in [(rows, false), (columns, true)] {
        edges::look(lines, edge_step, |line| {
            halos.add(line);
            widths.add(line, is_column);
        });
    }
    Detail {
        halo: halos.end(),
        focus: widths.end(),
        resampled: resampled::look(rows, columns, trace_step),
        detail_ends: spectrum::detail_ends(rows, columns),
        noise,
        blocks: blocks::look(rows, columns, trace_step),
    }
}
