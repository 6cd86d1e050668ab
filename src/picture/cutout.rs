//! Parts of a picture at its own pixels, upright, 8 bits: nothing is resampled.

use super::Fault;
use super::orientation::Orientation;
use super::pixels::{Bands, Samples};

/// Steps of 16 bits in one of 8.
const STEPS: u32 = 257;

/// A part of the upright picture, in pixels; within it and not empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Region {
    /// Pixels from the left edge.
    pub left: u32,
    /// Pixels from the top edge.
    pub top: u32,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// The pixels of a part, in the picture's own encoding, without alpha.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cutout {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Interleaved samples; inks count from no ink (0) upwards.
    pub samples: Vec<u8>,
}

/// Cuts parts out of a picture as its rows are read.
///
/// # Errors
/// Why its rows cannot be read so far.
pub fn cut_out(bands: &mut dyn Bands, orientation: Orientation, parts: &[Region]) -> Result<Vec<Cutout>, Fault> {
    let layout = bands.layout();
    let (colours, channels) = (layout.colours(), layout.channels());
    let stored = (layout.width_px, layout.height_px);
    let upright = if orientation.swaps_sides() { (stored.1, stored.0) } else { stored };
    let places: Vec<Region> = parts.iter().map(|part| stored_part(*part, orientation, upright)).collect();
    let room = |part: &Region| vec![0; part.width as usize * part.height as usize * colours];
    let mut rooms: Vec<Vec<u8>> = places.iter().map(room).collect();
    let last = places.iter().map(|part| part.top + part.height).max().unwrap_or(0);
    while let Some(band) = bands.next_band()? {
        for row in 0..band.rows {
            let y = band.first_row + row;
            let start = row as usize * layout.row_len();
            for (part, room) in
                places.iter().zip(&mut rooms).filter(|(part, _)| (part.top..part.top + part.height).contains(&y))
            {
                let across = part.width as usize * colours;
                let into = &mut room[(y - part.top) as usize * across..][..across];
                let from = start + part.left as usize * channels;
                for (x, pixel) in into.chunks_exact_mut(colours).enumerate() {
                    let at = from + x * channels;
                    match band.samples {
                        Samples::Eight(samples) => pixel.copy_from_slice(&samples[at..at + colours]),
                        Samples::Sixteen(samples) => {
                            for (to, from) in pixel.iter_mut().zip(&samples[at..at + colours]) {
                                *to = ((u32::from(*from) + STEPS / 2) / STEPS) as u8;
                            }
                        }
                    }
                }
            }
        }
        if band.first_row + band.rows >= last {
            break;
        }
    }
    let turned = |((part, place), room): ((&Region, &Region), Vec<u8>)| {
        let mut samples = Vec::with_capacity(room.len());
        for y in part.top..part.top + part.height {
            for x in part.left..part.left + part.width {
                let (x, y) = orientation.stored_at(x, y, upright.0, upright.1);
                let at = ((y - place.top) as usize * place.width as usize + (x - place.left) as usize) * colours;
                samples.extend_from_slice(&room[at..at + colours]);
            }
        }
        Cutout { width: part.width, height: part.height, samples }
    };
    Ok(parts.iter().zip(&places).zip(rooms).map(turned).collect())
}

/// Returns where a part of the upright picture is stored.
fn stored_part(part: Region, orientation: Orientation, (width, height): (u32, u32)) -> Region {
    let (one, other) = (
        orientation.stored_at(part.left, part.top, width, height),
        orientation.stored_at(part.left + part.width - 1, part.top + part.height - 1, width, height),
    );
    let (left, top) = (one.0.min(other.0), one.1.min(other.1));
    Region { left, top, width: one.0.abs_diff(other.0) + 1, height: one.1.abs_diff(other.1) + 1 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::facts::ColourModel;
    use crate::picture::pixels::{Band, SampleLayout};

    /// A grey picture with alpha whose pixel at (x, y) is 10 y + x, read two rows at a time.
    struct Numbered {
        row: u32,
        sixteen: Vec<u16>,
        eight: Option<Vec<u8>>,
    }

    const LAYOUT: SampleLayout = SampleLayout { width_px: 5, height_px: 4, model: ColourModel::Grey, has_alpha: true };

    impl Numbered {
        fn new(wide: bool) -> Numbered {
            let codes: Vec<u8> = (0..4).flat_map(|y| (0..5).flat_map(move |x| [10 * y + x, 255])).collect();
            let sixteen = codes.iter().map(|code| u16::from(*code) * 257).collect();
            Numbered { row: 0, sixteen, eight: (!wide).then_some(codes) }
        }
    }

    impl Bands for Numbered {
        fn layout(&self) -> SampleLayout {
            LAYOUT
        }

        fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
            let first_row = self.row;
            if first_row >= LAYOUT.height_px {
                return Ok(None);
            }
            self.row += 2;
            let span = first_row as usize * LAYOUT.row_len()..self.row as usize * LAYOUT.row_len();
            let samples = match &self.eight {
                Some(codes) => Samples::Eight(&codes[span]),
                None => Samples::Sixteen(&self.sixteen[span]),
            };
            Ok(Some(Band { first_row, rows: 2, samples }))
        }
    }

    #[test]
    fn a_part_is_cut_out_upright_whatever_the_way_it_is_stored() {
        for tag in 1..=8 {
            let orientation = Orientation::from_tag(tag).unwrap();
            let upright = if orientation.swaps_sides() { (4, 5) } else { (5, 4) };
            for wide in [false, true] {
                let part = Region { left: 1, top: 1, width: 2, height: 3 };
                let found = cut_out(&mut Numbered::new(wide), orientation, &[part]).unwrap().remove(0);
                let wanted: Vec<u8> = (1..4)
                    .flat_map(|y| (1..3).map(move |x| (x, y)))
                    .map(|(x, y)| orientation.stored_at(x, y, upright.0, upright.1))
                    .map(|(x, y)| (10 * y + x) as u8)
                    .collect();
                assert_eq!(found, Cutout { width: 2, height: 3, samples: wanted }, "tag {tag}");
            }
        }
    }
}
