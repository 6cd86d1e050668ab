//! Finds the nearest colour that a terminal with few colours has.

use ratatui::style::Color;

use crate::tui::capability::ColourLevel;

/// The levels of a channel in xterm's 6 x 6 x 6 cube. Source: xterm, 256colres.h.
const CUBE: [u8; 6] = [0, 95, 135, 175, 215, 255];
/// The first index of the cube, and of the 24 greys after it. Source: xterm, 256colres.h.
const CUBE_AT: u8 = 16;
const GREYS_AT: u8 = 232;
/// The first grey, the step between two, and their number. Source: xterm, 256colres.h.
const GREYS: (u8, u8, u8) = (8, 10, 24);
/// The sixteen named colours as xterm shows them; people change them, so the match is only approximate. Source: xterm.
const SIXTEEN: [([u8; 3], Color); 16] = [
    ([0, 0, 0], Color::Black),
    ([205, 0, 0], Color::Red),
    ([0, 205, 0], Color::Green),
    ([205, 205, 0], Color::Yellow),
    ([0, 0, 238], Color::Blue),
    ([205, 0, 205], Color::Magenta),
    ([0, 205, 205], Color::Cyan),
    ([229, 229, 229], Color::Gray),
    ([127, 127, 127], Color::DarkGray),
    ([255, 0, 0], Color::LightRed),
    ([0, 255, 0], Color::LightGreen),
    ([255, 255, 0], Color::LightYellow),
    ([92, 92, 255], Color::LightBlue),
    ([255, 0, 255], Color::LightMagenta),
    ([0, 255, 255], Color::LightCyan),
    ([255, 255, 255], Color::White),
];
/// Weight of each channel in a difference: red, green, blue. Source: common practice (luma is mostly green).
const WEIGHTS: [i32; 3] = [3, 6, 1];

/// Returns the nearest colour that the terminal has; `Reset` if it may have none.
pub fn nearest(rgb: [u8; 3], level: ColourLevel) -> Color {
    match level {
        ColourLevel::Full => Color::Rgb(rgb[0], rgb[1], rgb[2]),
        ColourLevel::Indexed => Color::Indexed(nearest_indexed(rgb)),
        ColourLevel::Sixteen => nearest_named(rgb),
        ColourLevel::None => Color::Reset,
    }
}

fn distance(a: [u8; 3], b: [u8; 3]) -> i32 {
    (0..3).map(|i| WEIGHTS[i] * (i32::from(a[i]) - i32::from(b[i])).pow(2)).sum()
}

/// Returns the nearest of the cube and of the greys; the first sixteen are left out, since people change them.
fn nearest_indexed(rgb: [u8; 3]) -> u8 {
    let step = |value: u8| (0..CUBE.len()).min_by_key(|i| CUBE[*i].abs_diff(value)).unwrap_or(0);
    let steps = rgb.map(step);
    let in_cube = steps.map(|i| CUBE[i]);
    let mean = rgb.iter().map(|value| u32::from(*value)).sum::<u32>() / 3;
    let grey = (mean.saturating_sub(u32::from(GREYS.0)) + u32::from(GREYS.1) / 2) / u32::from(GREYS.1);
    let grey = u8::try_from(grey).unwrap_or(u8::MAX).min(GREYS.2 - 1);
    let grey_value = GREYS.0 + grey * GREYS.1;
    if distance([grey_value; 3], rgb) < distance(in_cube, rgb) {
        return GREYS_AT + grey;
    }
    steps.iter().fold(0, |index, step| index * 6 + u8::try_from(*step).unwrap_or(0)) + CUBE_AT
}

fn nearest_named(rgb: [u8; 3]) -> Color {
    SIXTEEN.iter().min_by_key(|(value, _)| distance(*value, rgb)).map_or(Color::Reset, |(_, colour)| *colour)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_of_the_cube_and_the_greys_find_themselves() {
        // Source: xterm's 256 colours: 16 + 36 r + 6 g + b, greys from 232.
        assert_eq!(nearest([255, 0, 0], ColourLevel::Indexed), Color::Indexed(196));
        assert_eq!(nearest([95, 135, 175], ColourLevel::Indexed), Color::Indexed(67));
        assert_eq!(nearest([8, 8, 8], ColourLevel::Indexed), Color::Indexed(232));
        assert_eq!(nearest([238, 238, 238], ColourLevel::Indexed), Color::Indexed(255));
        assert_eq!(nearest([255, 255, 255], ColourLevel::Indexed), Color::Indexed(231));
    }

    #[test]
    fn few_colours_are_the_nearest_ones_and_none_is_none() {
        assert_eq!(nearest([250, 10, 10], ColourLevel::Sixteen), Color::LightRed);
        assert_eq!(nearest([120, 130, 125], ColourLevel::Sixteen), Color::DarkGray);
        assert_eq!(nearest([1, 2, 3], ColourLevel::Full), Color::Rgb(1, 2, 3));
        assert_eq!(nearest([1, 2, 3], ColourLevel::None), Color::Reset);
    }
}
