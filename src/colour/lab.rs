//! Lightness and colour as people see them: CIELAB (CIE 15, ISO 11664-4), and what a density is in it.

use std::sync::LazyLock;

/// Light of each sRGB code, 0 to 1.
static LIGHT_OF_CODE: LazyLock<[f64; 256]> =
    LazyLock::new(|| std::array::from_fn(|code| super::encoding::SRGB_CURVE.linear(code as f64 / 255.0)));

/// Below this share of the white's light L* is a straight line. Source: CIE 15: 216/24389.
const STRAIGHT_BELOW: f64 = 216.0 / 24_389.0;
/// Slope of that line. Source: CIE 15: 24389/27.
const SLOPE: f64 = 24_389.0 / 27.0;

/// Returns the L*, 0 to 100, of a share of the white's light, 0 to 1.
pub fn lightness(light: f64) -> f64 {
    if light > STRAIGHT_BELOW { 116.0 * pxfm::f_cbrt(light) - 16.0 } else { SLOPE * light }
}

/// Returns the share of the white's light, 0 to 1, of an L*.
pub fn light(lightness: f64) -> f64 {
    if lightness > SLOPE * STRAIGHT_BELOW { ((lightness + 16.0) / 116.0).powi(3) } else { lightness / SLOPE }
}

/// Returns the L* of a density on a perfect white: light = 10 ^ -D.
pub fn of_density(density: f64) -> f64 {
    lightness(10f64.powf(-density))
}

/// Returns the light of sRGB codes by channel, and together as Y, 0 to 1. Source: IEC 61966-2-1.
pub fn light_of_srgb(code: [u8; 3]) -> ([f64; 3], f64) {
    let [r, g, b] = code.map(|code| LIGHT_OF_CODE[usize::from(code)]);
    ([r, g, b], 0.212_672_9 * r + 0.715_152_2 * g + 0.072_175 * b)
}

/// Converts sRGB codes to L*, a*, b*, white D65. Source: IEC 61966-2-1 for the curve and the matrix.
pub fn of_srgb(code: [u8; 3]) -> [f32; 3] {
    let ([r, g, b], y) = light_of_srgb(code);
    let x = (0.412_456_4 * r + 0.357_576_1 * g + 0.180_437_5 * b) / 0.950_47;
    let z = (0.019_333_9 * r + 0.119_192 * g + 0.950_304_1 * b) / 1.088_83;
    let [fx, fy, fz] = [x, y, z].map(|light| (lightness(light) + 16.0) / 116.0);
    [116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)].map(|v| v as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn densities_have_their_published_lightness() {
        // Source: the CIE formula, worked out: D and L*.
        for (density, wanted) in [(1.4, 23.61), (1.6, 17.97), (1.8, 13.14), (2.0, 8.99), (2.3, 4.53), (0.1, 91.43)] {
            assert!((of_density(density) - wanted).abs() < 0.01, "D {density}");
        }
        // Source: ICC.1, perceptual reference medium black: relative Y 0.003 473 1, L* 3.137.
        assert!((lightness(0.003_473_1) - 3.137).abs() < 0.001);
        for l in [0.0, 3.0, 8.0, 20.0, 99.0] {
            assert!((lightness(light(l)) - l).abs() < 1e-9);
        }
    }

    #[test]
    fn srgb_codes_have_their_published_lab() {
        // Source: IEC 61966-2-1 and CIE 15, worked out: mid grey code 128 is L* 53.585; red is 53.24, 80.09, 67.20.
        let grey = of_srgb([128; 3]);
        assert!((grey[0] - 53.585).abs() < 0.01 && grey[1].abs() < 0.01 && grey[2].abs() < 0.02);
        let red = of_srgb([255, 0, 0]);
        let near = red.iter().zip([53.24, 80.09, 67.20]).all(|(found, wanted)| (found - wanted).abs() < 0.05);
        assert!(near, "{red:?}");
    }
}
