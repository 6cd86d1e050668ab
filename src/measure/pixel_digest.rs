//! A digest that differs where two pictures' pixels do.

use sha2::{Digest, Sha256};

use super::evidence::{Colour, Thumbnail, Tone};

/// Returns the SHA-256, lower-case hexadecimal, of the stored size, the small picture, and what was counted of tones
/// and colours.
pub fn digest(stored_px: (u32, u32), small: &Thumbnail, tone: Option<&Tone>, colours: &[Colour]) -> String {
    let mut hash = Sha256::new();
    for side in [stored_px.0, stored_px.1, small.width_px, small.height_px] {
        hash.update(side.to_le_bytes());
    }
    hash.update(small.model.word());
    hash.update(&small.samples);
    for count in tone.iter().flat_map(|tone| &tone.luma) {
        hash.update(count.to_le_bytes());
    }
    for cells in tone.iter().flat_map(|tone| &tone.cells) {
        hash.update([cells.mean, cells.deviation_steps]);
        hash.update(cells.count.to_le_bytes());
    }
    let counted = colours.iter().flat_map(|colour| {
        let [one, two, three] = colour.mean.map(u16::to_le_bytes);
        [one, two, three].into_iter().flatten().chain(colour.count.to_le_bytes())
    });
    hash.update(counted.collect::<Vec<u8>>());
    format!("{:x}", hash.finalize())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_pixel_that_counts_is_another_picture() {
        let small = Thumbnail { width_px: 1, height_px: 1, samples: vec![1, 2, 3], ..Thumbnail::default() };
        let colours = [Colour { mean: [256, 512, 768], count: 1 }];
        let one = digest((1, 1), &small, None, &colours);
        assert_eq!(one, digest((1, 1), &small.clone(), None, &colours));
        let other = Thumbnail { samples: vec![1, 2, 4], ..small.clone() };
        assert_ne!(one, digest((1, 1), &other, None, &colours));
        assert_ne!(one, digest((1, 1), &small, None, &[Colour { count: 2, ..colours[0] }]));
        assert_ne!(one, digest((2, 1), &small, None, &colours));
    }
}
