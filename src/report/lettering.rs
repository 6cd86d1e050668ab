//! Text in pixels: small print on sheets and frames, set in a font built into the program.

use ab_glyph::{Font, FontRef, PxScale, PxScaleFont, ScaleFont, point};

/// Replaces words that do not fit.
const CUT: char = '…';

/// The font at a given size.
pub struct Lettering {
    font: PxScaleFont<FontRef<'static>>,
    high_px: f32,
}

impl Lettering {
    /// Creates lettering with a line height of `high_px` pixels.
    pub fn new(high_px: f32) -> Lettering {
        let font =
            FontRef::try_from_slice(epaint_default_fonts::UBUNTU_LIGHT).expect("the font that the program carries");
        Lettering { font: font.into_scaled(PxScale::from(high_px)), high_px }
    }

    /// Returns the height from the baseline to the highest letters, in pixels.
    pub fn ascent(&self) -> f32 {
        self.font.ascent()
    }

    /// Returns the depth from the baseline to the lowest letters, in pixels; positive.
    pub fn descent(&self) -> f32 {
        -self.font.descent()
    }

    /// Returns the line height, in pixels.
    pub fn line(&self) -> f32 {
        self.font.height() + self.font.line_gap()
    }

    fn advance(&self, letter: char) -> f32 {
        self.font.h_advance(self.font.glyph_id(letter))
    }

    /// Returns the width of words, in pixels.
    pub fn width(&self, words: &str) -> f32 {
        words.chars().map(|letter| self.advance(letter)).sum()
    }

    /// Shortens words to fit a width, with an ellipsis if some are cut.
    pub fn fit(&self, words: &str, width: f32) -> String {
        if self.width(words) <= width {
            return words.to_owned();
        }
        let (mut fitted, mut used) = (String::new(), self.advance(CUT));
        if used > width {
            return fitted;
        }
        for letter in words.chars() {
            used += self.advance(letter);
            if used > width {
                break;
            }
            fitted.push(letter);
        }
        fitted.push(CUT);
        fitted
    }

    /// Breaks words into lines of a width, at blanks; cuts what exceeds `lines` lines.
    pub fn break_lines(&self, words: &str, width: f32, lines: usize) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        for word in words.split(' ') {
            let longer = all.last().map(|line| format!("{line} {word}"));
            match longer.filter(|line| self.width(line) <= width || all.len() == lines) {
                Some(line) => *all.last_mut().expect("there is a line to lengthen") = line,
                None => all.push(word.to_owned()),
            }
        }
        all.iter().map(|line| self.fit(line, width)).collect()
    }

    /// Sets words from `(left, base)` on, in pixels; `put` gets the coverage of each pixel by a letter, 0 to 1.
    pub fn set(&self, words: &str, (left, base): (f32, f32), put: &mut dyn FnMut(u32, u32, f32)) {
        let mut x = left;
        for letter in words.chars() {
            let id = self.font.glyph_id(letter);
            let glyph = id.with_scale_and_position(self.high_px, point(x, base));
            if let Some(outline) = self.font.outline_glyph(glyph) {
                let from = outline.px_bounds().min;
                outline.draw(|dx, dy, cover| {
                    let (x, y) = (from.x + dx as f32, from.y + dy as f32);
                    if x >= 0.0 && y >= 0.0 && cover > 0.0 {
                        put(x as u32, y as u32, cover.min(1.0));
                    }
                });
            }
            x += self.font.h_advance(id);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_have_no_room_are_cut_with_a_sign() {
        let letters = Lettering::new(20.0);
        assert_eq!(letters.fit("plum tart", 500.0), "plum tart");
        let cut = letters.fit("plum tart with almonds", 80.0);
        assert_eq!(letters.fit("plum tart", -3.0), "");
        assert!(cut.ends_with('…') && letters.width(&cut) <= 80.0 && cut.starts_with("plum"), "{cut}");
    }

    #[test]
    fn words_break_at_blanks_and_keep_within_the_lines() {
        let letters = Lettering::new(20.0);
        let lines = letters.break_lines("does the dark detail part, or is it one dark area?", 120.0, 2);
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().all(|line| letters.width(line) <= 120.0), "{lines:?}");
        assert!(lines[1].ends_with('…'));
        assert_eq!(letters.break_lines("smooth", 120.0, 2), ["smooth"]);
    }

    #[test]
    fn letters_stand_on_their_line_within_their_width() {
        let letters = Lettering::new(20.0);
        let mut covered = Vec::new();
        letters.set("Hum", (10.0, 30.0), &mut |x, y, _| covered.push((x, y)));
        let right = 10.0 + letters.width("Hum") + 1.0;
        assert!(
            covered.iter().all(|(x, y)| (9.0..right).contains(&(*x as f32)) && (10..=30).contains(y)),
            "{covered:?}"
        );
        assert!(covered.len() > 40);
    }
}
