//! RGB encodings worked with by their numbers: codes to L*, a*, b* (white D50, as the ICC's connection space has it),
//! and colours that an encoding cannot hold to those it can.

use std::sync::OnceLock;

use super::Encoding;
use super::encoding::Curve;
use super::lab;

/// White of the connection space, XYZ. Source: ICC.1:2022, section 7.2.16.
const WHITE: [f64; 3] = [0.9642, 1.0, 0.8249];
/// A channel may exceed 0 to 1 by this much and still be in gamut: rounding of 8-bit codes. Source: ours.
const ROUNDING: f64 = 5e-4;

/// Steps from one code to the next at which the light is computed.
const STEPS: usize = 16;

/// An encoding ready to be worked with.
pub struct Rgb {
    /// Light at each step between two codes, see [`STEPS`].
    light: &'static [f64],
    /// The curve from code to light, exactly.
    curve: Curve,
    /// XYZ of linear light, row by row.
    to_xyz: [[f64; 3]; 3],
    /// Its inverse.
    from_xyz: [[f64; 3]; 3],
}

impl Rgb {
    /// Creates the conversions of an encoding.
    pub fn new(encoding: Encoding) -> Rgb {
        let colorants = encoding.colorants_d50();
        let to_xyz = std::array::from_fn(|axis| std::array::from_fn(|channel| colorants[channel][axis]));
        Rgb { light: light_of(encoding), curve: encoding.curve(), to_xyz, from_xyz: inverse(&to_xyz) }
    }

    /// Returns the L*, a*, b* of codes from 0 to 255, fractions allowed.
    pub fn lab(&self, codes: [f64; 3]) -> [f64; 3] {
        of_xyz(times(&self.to_xyz, codes.map(|code| self.light_at(code))))
    }

    /// Returns the codes of a colour, 0 to 255, not rounded; each channel is clipped to what the encoding can hold.
    pub fn codes(&self, colour: [f64; 3]) -> [f64; 3] {
        times(&self.from_xyz, to_xyz(colour)).map(|light| self.curve.code(light.clamp(0.0, 1.0)) * 255.0)
    }

    /// Returns the light of a code, 0 to 255, interpolated linearly between two steps: off by three millionths at most,
    /// where ProPhoto's curve begins.
    fn light_at(&self, code: f64) -> f64 {
        let at = code.clamp(0.0, 255.0) * STEPS as f64;
        let below = (at as usize).min(255 * STEPS - 1);
        let (low, high) = (self.light[below], self.light[below + 1]);
        low + (high - low) * (at - below as f64)
    }

    /// Returns the nearest colour in gamut, clipped channel by channel as a relative colorimetric conversion between
    /// such encodings does; `None` where the colour itself is in gamut.
    pub fn nearest_if_outside(&self, colour: [f64; 3]) -> Option<[f64; 3]> {
        let light = times(&self.from_xyz, to_xyz(colour));
        let within = light.iter().all(|light| (-ROUNDING..=1.0 + ROUNDING).contains(light));
        (!within).then(|| of_xyz(times(&self.to_xyz, light.map(|light| light.clamp(0.0, 1.0)))))
    }
}

/// Returns the light at every step of an encoding's codes. Tabulated: computing a power for each colour would dominate
/// the cost.
fn light_of(encoding: Encoding) -> &'static [f64] {
    static TABLES: [OnceLock<Vec<f64>>; Encoding::ALL.len()] = [const { OnceLock::new() }; Encoding::ALL.len()];
    let place = Encoding::ALL.iter().position(|other| *other == encoding).unwrap_or(0);
    TABLES[place].get_or_init(|| {
        let most = (255 * STEPS) as f64;
        (0..=255 * STEPS).map(|step| encoding.curve().linear(step as f64 / most)).collect()
    })
}

/// Returns the connection space's white, XYZ.
pub(super) const fn white_xyz() -> [f64; 3] {
    WHITE
}

/// Returns the L*, a*, b* of XYZ, white D50.
pub(super) fn of_xyz(xyz: [f64; 3]) -> [f64; 3] {
    let [x, y, z] = std::array::from_fn(|axis| (lab::lightness(xyz[axis] / WHITE[axis]) + 16.0) / 116.0);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// Returns the XYZ of L*, a*, b*, white D50.
pub(super) fn to_xyz([light, a, b]: [f64; 3]) -> [f64; 3] {
    let y = (light + 16.0) / 116.0;
    let shares = [y + a / 500.0, y, y - b / 200.0];
    std::array::from_fn(|axis| WHITE[axis] * lab::light(116.0 * shares[axis] - 16.0))
}

fn times(matrix: &[[f64; 3]; 3], vector: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row.iter().zip(vector).map(|(factor, value)| factor * value).sum())
}

fn inverse(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let minor = |row: usize, column: usize| {
        let (r1, r2) = ((row + 1) % 3, (row + 2) % 3);
        let (c1, c2) = ((column + 1) % 3, (column + 2) % 3);
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let determinant: f64 = (0..3).map(|column| m[0][column] * minor(0, column)).sum();
    std::array::from_fn(|row| std::array::from_fn(|column| minor(column, row) / determinant))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::difference::delta_e_2000;

    #[test]
    fn white_black_and_mid_grey_have_their_lightness() {
        for encoding in Encoding::ALL {
            let rgb = Rgb::new(encoding);
            let near = |codes: f64, wanted: f64| {
                let found = rgb.lab([codes; 3]);
                assert!((found[0] - wanted).abs() < 0.02 && found[1].hypot(found[2]) < 0.05, "{encoding:?}: {found:?}");
            };
            near(255.0, 100.0);
            near(0.0, 0.0);
        }
        // Source: ISO/TS 22028-4: codes of eciRGB v2 are L* on 255.
        assert!((Rgb::new(Encoding::EciRgbV2).lab([127.5; 3])[0] - 50.0).abs() < 0.01);
    }

    #[test]
    fn light_between_steps_is_the_curves() {
        // Arithmetic: where ProPhoto's line (slope 1/16) meets its power (slope 0.1125) a step of 1/4080 is off by at
        // most a quarter of 0.05 / 4080.
        for encoding in Encoding::ALL {
            let rgb = Rgb::new(encoding);
            for at in 0..=25_500 {
                let code = f64::from(at) / 100.0;
                let (found, wanted) = (rgb.light_at(code), encoding.curve().linear(code / 255.0));
                assert!((found - wanted).abs() < 3.1e-6, "{encoding:?} {code}: {found} against {wanted}");
            }
        }
    }

    #[test]
    fn srgb_red_has_its_published_colour() {
        // Source: worked from IEC 61966-2-1 with Bradford adaptation to D50: 54.29, 80.80, 69.89.
        let red = Rgb::new(Encoding::Srgb).lab([255.0, 0.0, 0.0]);
        assert!(red.iter().zip([54.29, 80.80, 69.89]).all(|(one, other)| (one - other).abs() < 0.03), "{red:?}");
    }

    #[test]
    fn a_wider_encoding_holds_a_smaller_one_and_not_the_other_way() {
        let (small, wide) = (Rgb::new(Encoding::Srgb), Rgb::new(Encoding::AdobeRgb));
        let corners = (0..8u8).map(|bits| [0, 1, 2].map(|bit| f64::from(bits >> bit & 1) * 255.0));
        assert!(corners.clone().all(|corner| wide.nearest_if_outside(small.lab(corner)).is_none()));
        let green = wide.lab([0.0, 255.0, 0.0]);
        let held = small.nearest_if_outside(green).unwrap();
        assert!(delta_e_2000(green, held) > 2.0);
        assert!(small.nearest_if_outside(small.lab([12.0, 200.0, 99.0])).is_none());
        assert!(small.nearest_if_outside(held).is_none());
    }
}
