//! A histogram of a picture's lightness in text cells, compared with what its paper can hold: eighths of a cell, or
//! ASCII signs where the terminal has none.

use crate::judge::metrics::ToneMetrics;
use crate::tui::numbers;
use crate::tui::theme::Glyphs;
use crate::units::styled::{Line, Span, Style};

/// Most columns: a step of 2 L* each.
const MAX_COLUMNS: usize = 50;
/// Fewest columns: both marks fit side by side.
const MIN_COLUMNS: usize = 24;
/// Lightness of paper white, to which L* is relative. Source: CIE 15, definition of L*.
const WHITE_L: f64 = 100.0;

/// Returns the histogram as `rows` lines of bars and one or two of words, indented by `indent` columns; nothing if
/// there is no room. The fullest step has the full height; heights are square roots, so that a little is visible beside
/// a lot.
pub fn lines(tones: &ToneMetrics, width: usize, indent: usize, rows: usize, signs: &Glyphs) -> Vec<Line> {
    let columns = width.saturating_sub(indent + 1).min(MAX_COLUMNS);
    if columns < MIN_COLUMNS || tones.histogram.is_empty() {
        return Vec::new();
    }
    let shares = gathered(&tones.histogram, columns);
    let black = black_column(tones.black_l, columns);
    let steps = signs.levels.len() - 1;
    let most = shares.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
    let height = |share: f64| {
        let height = ((share / most).sqrt() * (steps * rows) as f64).round() as usize;
        if share > 0.0 { height.max(1) } else { 0 }
    };
    let heights: Vec<usize> = shares.iter().map(|share| height(*share)).collect();
    let mut lines: Vec<Line> = (0..rows).rev().map(|row| bars(&heights, row, black, indent, signs)).collect();
    if let Some(first) = lines.first_mut() {
        first.spans[0] = Span::new(Style::Head, format!("{:<indent$}", "tones"));
    }
    lines.push(marks(tones, columns, black, indent, signs));
    lines.push(below(tones, indent));
    lines
}

/// Returns the share of the picture in each column; a step across two columns is divided between them.
fn gathered(histogram: &[f32], columns: usize) -> Vec<f64> {
    let per_column = histogram.len() as f64 / columns as f64;
    let column = |at: usize| {
        let (from, to) = (at as f64 * per_column, (at + 1) as f64 * per_column);
        let part = |step: usize| (to.min(step as f64 + 1.0) - from.max(step as f64)).max(0.0);
        let steps = from as usize..(to.ceil() as usize).min(histogram.len());
        steps.map(|step| part(step) * f64::from(histogram[step])).sum()
    };
    (0..columns).map(column).collect()
}

/// Returns the first column that is not darker than the paper's black.
fn black_column(black_l: f64, columns: usize) -> usize {
    ((black_l / WHITE_L * columns as f64).round() as usize).min(columns - 1)
}

/// Returns a line of bars, `row` lines above the lowest; what is darker than the paper's black is dim.
fn bars(heights: &[usize], row: usize, black: usize, indent: usize, signs: &Glyphs) -> Line {
    let steps = signs.levels.len() - 1;
    let sign = |height: &usize| signs.levels[height.saturating_sub(row * steps).min(steps)];
    let text = |heights: &[usize]| heights.iter().map(sign).collect::<String>();
    let (blocked, kept) = heights.split_at(black);
    Line::of(Style::Plain, " ".repeat(indent)).and(Style::Dim, text(blocked)).and(Style::Plain, text(kept))
}

/// Returns the line that marks the paper's black and white.
fn marks(tones: &ToneMetrics, columns: usize, black: usize, indent: usize, signs: &Glyphs) -> Line {
    let words = format!("{} black {}", signs.up, numbers::lightness(tones.black_l));
    let white = format!("white {}", signs.up);
    let (wide, white_wide) = (words.chars().count(), white.chars().count());
    let from = black.min(columns.saturating_sub(wide + white_wide + 1));
    let gap = columns.saturating_sub(from + wide + white_wide).max(1);
    let line = Line::of(Style::Dim, " ".repeat(indent + from)).and(Style::Dim, words);
    line.and(Style::Dim, " ".repeat(gap)).and(Style::Dim, white)
}

/// States how much is below the paper's black.
fn below(tones: &ToneMetrics, indent: usize) -> Line {
    let step = WHITE_L / tones.histogram.len() as f64;
    let darker = |at: usize| (at as f64 + 1.0) * step <= tones.black_l;
    let share: f64 = tones.histogram.iter().enumerate().filter(|(at, _)| darker(*at)).map(|(_, s)| f64::from(*s)).sum();
    let words = format!("{} is darker than the paper's black", numbers::share(share));
    Line::of(Style::Plain, " ".repeat(indent)).and(Style::Plain, words).indented(0, indent)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::{ASCII_SIGNS, UTF8_SIGNS};

    fn tones(shares: &[(usize, f32)]) -> ToneMetrics {
        let mut histogram = vec![0.0; 50];
        shares.iter().for_each(|(step, share)| histogram[*step] = *share);
        ToneMetrics { histogram, black_l: 18.0, lost: Default::default() }
    }

    fn texts(tones: &ToneMetrics, width: usize, rows: usize, signs: &Glyphs) -> Vec<String> {
        lines(tones, width, 6, rows, signs).iter().map(Line::text).collect()
    }

    #[test]
    fn bars_stand_at_their_lightness_beside_the_marks_of_the_paper() {
        let found = texts(&tones(&[(0, 0.25), (25, 0.5), (49, 0.25)]), 80, 1, &UTF8_SIGNS);
        let blank = |n| " ".repeat(n);
        assert_eq!(found[0], format!("tones ▆{}█{}▆", blank(24), blank(23)));
        assert_eq!(found[1], format!("{}▲ black L* 18{}white ▲", blank(15), blank(21)));
        assert_eq!(found[2], format!("{}25 % is darker than the paper's black", blank(6)));
    }

    #[test]
    fn two_lines_carry_one_bar_and_letters_stand_in() {
        let found = texts(&tones(&[(10, 1.0), (11, 0.25)]), 80, 2, &UTF8_SIGNS);
        assert_eq!((found[0].trim_end(), found[1].trim_end()), ("tones           █", "                ██"));
        let plain = texts(&tones(&[(10, 1.0), (11, 0.01)]), 80, 1, &ASCII_SIGNS);
        assert!(plain.iter().all(|line| line.is_ascii()), "{plain:?}");
        assert_eq!(plain[0].trim_end(), "tones           @.");
    }

    #[test]
    fn any_width_is_kept_and_too_little_shows_nothing() {
        let tones = tones(&[(3, 0.5), (40, 0.5)]);
        for width in 0..90 {
            for line in texts(&tones, width, 2, &UTF8_SIGNS).iter().take(3) {
                assert!(line.chars().count() <= width, "{width}: {line}");
            }
        }
        assert!(texts(&tones, 20, 1, &UTF8_SIGNS).is_empty());
        assert!(!texts(&tones, 40, 1, &UTF8_SIGNS).is_empty());
        assert!(texts(&ToneMetrics { histogram: Vec::new(), ..tones }, 80, 1, &UTF8_SIGNS).is_empty());
    }

    #[test]
    fn a_trace_of_a_tone_is_still_a_bar() {
        let found = texts(&tones(&[(1, 0.000_01), (40, 0.9)]), 80, 1, &UTF8_SIGNS);
        assert!(found[0].starts_with("tones  ▁"), "{found:?}");
    }
}
