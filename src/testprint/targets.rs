//! Measuring targets of a sheet: a wedge of lightness, a strip for the grey balance.

use crate::colour::SheetColours;

/// Lightness between steps of the wedge, L*. Own choice: 21 steps.
const STEP: f64 = 5.0;
/// Largest error in the space's rendering of a step for it to be shown, L*.
const MAX_OFF: f64 = 0.5;
/// Lightness of the grey balance, L*: a middle grey, on which a cast shows first.
const GREY: f64 = 50.0;
/// Distance of the neighbours from neutral, in a* and b*: clearly visible, and about what a lab accepts. Own choice.
const CAST: f64 = 4.0;

/// Returns the steps of the wedge, L* relative to the paper's white: those within the space, from black to white.
pub fn wedge(colours: &SheetColours<'_>) -> Vec<f64> {
    let steps = (100.0 / STEP) as usize;
    let all = (0..=steps).map(|step| step as f64 * STEP);
    all.filter(|light| (colours.clip_to_gamut([*light, 0.0, 0.0])[0] - light).abs() <= MAX_OFF).collect()
}

/// Returns the patches of the grey balance with their labels: neutral in the middle.
pub fn greys() -> [(&'static str, [f64; 3]); 7] {
    let patch = |a: f64, b: f64| [GREY, a * CAST, b * CAST];
    [
        ("greener", patch(-1.0, 0.0)),
        ("yellower", patch(0.0, 1.0)),
        ("warmer", patch(0.7, 0.7)),
        ("neutral", patch(0.0, 0.0)),
        ("cooler", patch(-0.7, -0.7)),
        ("bluer", patch(0.0, -1.0)),
        ("redder", patch(1.0, 0.0)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Encoding, SheetSpace};

    #[test]
    fn a_screens_space_holds_the_whole_wedge() {
        let sheet = SheetColours::new(SheetSpace::Rgb(Encoding::Srgb));
        let steps = wedge(&sheet);
        assert_eq!((steps.len(), steps[0], steps[20]), (21, 0.0, 100.0));
    }

    #[test]
    fn neutral_lies_in_the_middle_and_its_neighbours_are_off_on_both_sides() {
        let all = greys();
        assert_eq!(all[3], ("neutral", [50.0, 0.0, 0.0]));
        let sum = |axis: usize| all.iter().map(|(_, colour)| colour[axis]).sum::<f64>();
        assert!(sum(1).abs() < 1e-9 && sum(2).abs() < 1e-9);
    }
}
