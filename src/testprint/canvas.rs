//! A sheet's pixels during drawing, in the sheet's own codes.

use crate::picture::cutout::Cutout;
use crate::report::lettering::Lettering;

/// A sheet of white paper.
pub struct SheetCanvas {
    width: u32,
    height: u32,
    white: Vec<u8>,
    black: Vec<u8>,
    samples: Vec<u8>,
}

impl SheetCanvas {
    /// Creates a white sheet; `white` and `black` are the codes of bare paper and of letters.
    pub fn new((width, height): (u32, u32), white: Vec<u8>, black: Vec<u8>) -> SheetCanvas {
        let pixels = width as usize * height as usize;
        let samples = white.iter().copied().cycle().take(pixels * white.len()).collect();
        SheetCanvas { width, height, white, black, samples }
    }

    /// Returns the pixels.
    pub fn finish(self) -> Cutout {
        Cutout { width: self.width, height: self.height, samples: self.samples }
    }

    fn pixel(&mut self, x: u32, y: u32) -> Option<&mut [u8]> {
        let channels = self.white.len();
        let at = (y as usize * self.width as usize + x as usize) * channels;
        (x < self.width && y < self.height).then(|| &mut self.samples[at..at + channels])
    }

    /// Copies pixels unchanged.
    pub fn copy(&mut self, pixels: &Cutout, (left, top): (u32, u32)) {
        let channels = self.white.len();
        for (at, codes) in pixels.samples.chunks_exact(channels).enumerate() {
            let (x, y) = (at as u32 % pixels.width, at as u32 / pixels.width);
            if let Some(pixel) = self.pixel(left + x, top + y) {
                pixel.copy_from_slice(codes);
            }
        }
    }

    /// Fills a rectangle: left, top, width, height.
    pub fn fill(&mut self, [left, top, width, height]: [u32; 4], codes: &[u8]) {
        for y in top..top + height {
            for x in left..left + width {
                if let Some(pixel) = self.pixel(x, y) {
                    pixel.copy_from_slice(codes);
                }
            }
        }
    }

    /// Fills a rectangle with black.
    pub fn bar(&mut self, area: [u32; 4]) {
        self.fill(area, &self.black.clone());
    }

    /// Clears a rectangle to bare paper.
    pub fn blank(&mut self, area: [u32; 4]) {
        self.fill(area, &self.white.clone());
    }

    /// Draws a frame of a black and a white line, visible on light and dark.
    pub fn frame(&mut self, [left, top, width, height]: [u32; 4], wide: u32) {
        let (white, black) = (self.white.clone(), self.black.clone());
        for (inset, codes) in [(0, &black), (wide, &white)] {
            let (left, top) = (left + inset, top + inset);
            let (width, height) = (width.saturating_sub(2 * inset), height.saturating_sub(2 * inset));
            let (right, bottom) = ((left + width).saturating_sub(wide), (top + height).saturating_sub(wide));
            let sides = [
                [left, top, width, wide],
                [left, bottom, width, wide],
                [left, top, wide, height],
                [right, top, wide, height],
            ];
            sides.into_iter().for_each(|side| self.fill(side, codes));
        }
    }

    /// Sets black words from `(left, base)` on.
    pub fn write(&mut self, letters: &Lettering, words: &str, at: (f32, f32)) {
        let (white, black) = (self.white.clone(), self.black.clone());
        letters.set(words, at, &mut |x, y, cover| {
            let Some(pixel) = self.pixel(x, y) else { return };
            for ((code, white), black) in pixel.iter_mut().zip(&white).zip(&black) {
                let covered = f32::from(*white) + (f32::from(*black) - f32::from(*white)) * cover;
                // Where letters touch, the darker value is kept.
                let darker = if black < white { covered < f32::from(*code) } else { covered > f32::from(*code) };
                if darker {
                    *code = covered.round() as u8;
                }
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_drawn_is_there_pixel_by_pixel_and_nothing_leaves_the_sheet() {
        let mut canvas = SheetCanvas::new((4, 3), vec![255; 3], vec![0; 3]);
        let codes = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12].to_vec();
        let part = Cutout { width: 2, height: 2, samples: codes.clone() };
        canvas.copy(&part, (1, 0));
        canvas.copy(&part, (3, 2));
        let done = canvas.finish();
        assert_eq!(done.samples[3..9], codes[..6]);
        assert_eq!(done.samples[33..], codes[..3]);
        assert_eq!(done.samples[..3], [255; 3]);
    }

    #[test]
    fn letters_of_ink_are_ink_on_bare_paper() {
        let mut canvas = SheetCanvas::new((60, 30), vec![0; 4], vec![0, 0, 0, 255]);
        canvas.write(&Lettering::new(20.0), "Hum", (5.0, 22.0));
        let pixels = canvas.finish().samples;
        assert!(pixels.as_chunks::<4>().0.iter().all(|inks| inks[..3] == [0; 3]));
        assert!(pixels.as_chunks::<4>().0.iter().any(|inks| inks[3] > 200));
    }
}
