//! Colour difference as people see it: CIEDE2000 (CIE 142:2001, ISO/CIE 11664-6), with its three factors at 1.

/// 25 to the seventh power, where the formula turns chroma's weight.
const FULL_TURN: f64 = 6_103_515_625.0;

/// Returns the Delta E 2000 of two colours in L*, a*, b*; both with the same white.
pub fn delta_e_2000(one: [f64; 3], other: [f64; 3]) -> f64 {
    let (chroma_one, chroma_other) = (chroma(one[1], one[2]), chroma(other[1], other[2]));
    let seventh = ((chroma_one + chroma_other) / 2.0).powi(7);
    let stretch = 1.0 + 0.5 * (1.0 - (seventh / (seventh + FULL_TURN)).sqrt());
    let (a_one, a_other) = (stretch * one[1], stretch * other[1]);
    let (c_one, c_other) = (chroma(a_one, one[2]), chroma(a_other, other[2]));
    let (h_one, h_other) = (hue(a_one, one[2]), hue(a_other, other[2]));
    let grey = c_one * c_other == 0.0;

    let turn = h_other - h_one;
    let turn = match turn {
        _ if grey => 0.0,
        turn if turn > 180.0 => turn - 360.0,
        turn if turn < -180.0 => turn + 360.0,
        turn => turn,
    };
    let mean_hue = match h_one + h_other {
        sum if grey => sum,
        sum if (h_one - h_other).abs() <= 180.0 => sum / 2.0,
        sum if sum < 360.0 => sum / 2.0 + 180.0,
        sum => sum / 2.0 - 180.0,
    };
    let (mean_light, mean_chroma) = ((one[0] + other[0]) / 2.0, (c_one + c_other) / 2.0);
    let weight = weight(mean_hue);
    let from_middle = (mean_light - 50.0).powi(2);
    let light = (other[0] - one[0]) / (1.0 + 0.015 * from_middle / (20.0 + from_middle).sqrt());
    let saturation = (c_other - c_one) / (1.0 + 0.045 * mean_chroma);
    let hue = 2.0 * (c_one * c_other).sqrt() * (turn.to_radians() / 2.0).sin() / (1.0 + 0.015 * mean_chroma * weight);
    let seventh = mean_chroma.powi(7);
    let blue = 60.0 * (-((mean_hue - 275.0) / 25.0).powi(2)).exp();
    let rotation = -2.0 * (seventh / (seventh + FULL_TURN)).sqrt() * blue.to_radians().sin();
    (light * light + saturation * saturation + hue * hue + rotation * saturation * hue).max(0.0).sqrt()
}

/// Returns the weight of hue, T in the standard: 1 - 0.17 cos(h - 30) + 0.24 cos 2h + 0.32 cos(3h + 6) - 0.20 cos(4h -
/// 63). The multiples of the angle come from its sine and cosine, since this is asked of every colour of a picture.
fn weight(hue: f64) -> f64 {
    /// Cosine and sine of 30, 6 and 63 degrees.
    const TURNS: [(f64, f64); 3] = [
        (0.866_025_403_784_438_6, 0.5),
        (0.994_521_895_368_273_3, 0.104_528_463_267_653_47),
        (0.453_990_499_739_546_8, 0.891_006_524_188_367_9),
    ];
    let (sin, cos) = hue.to_radians().sin_cos();
    let (sin_2, cos_2) = (2.0 * sin * cos, cos * cos - sin * sin);
    let (sin_3, cos_3) = (sin_2 * cos + cos_2 * sin, cos_2 * cos - sin_2 * sin);
    let (sin_4, cos_4) = (2.0 * sin_2 * cos_2, cos_2 * cos_2 - sin_2 * sin_2);
    let [one, three, four] = TURNS;
    1.0 - 0.17 * (cos * one.0 + sin * one.1) + 0.24 * cos_2 + 0.32 * (cos_3 * three.0 - sin_3 * three.1)
        - 0.20 * (cos_4 * four.0 + sin_4 * four.1)
}

/// Returns the distance from grey; a library's `hypot`, safe for numbers that no colour has, is several times slower.
fn chroma(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// Returns the hue angle in degrees, 0 to 360; 0 for grey.
fn hue(a: f64, b: f64) -> f64 {
    let angle = if a == 0.0 && b == 0.0 { 0.0 } else { b.atan2(a).to_degrees() };
    if angle < 0.0 { angle + 360.0 } else { angle }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// L*, a*, b* of two colours, and their difference. Source: G. Sharma, W. Wu, E. N. Dalal, Color Research and
    /// Application 30(1), 2005, table 1 (four decimals).
    const PUBLISHED: [[f64; 7]; 34] = [
        [50.0, 2.6772, -79.7751, 50.0, 0.0, -82.7485, 2.0425],
        [50.0, 3.1571, -77.2803, 50.0, 0.0, -82.7485, 2.8615],
        [50.0, 2.8361, -74.02, 50.0, 0.0, -82.7485, 3.4412],
        [50.0, -1.3802, -84.2814, 50.0, 0.0, -82.7485, 1.0],
        [50.0, -1.1848, -84.8006, 50.0, 0.0, -82.7485, 1.0],
        [50.0, -0.9009, -85.5211, 50.0, 0.0, -82.7485, 1.0],
        [50.0, 0.0, 0.0, 50.0, -1.0, 2.0, 2.3669],
        [50.0, -1.0, 2.0, 50.0, 0.0, 0.0, 2.3669],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.0009, 7.1792],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.001, 7.1792],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.0011, 7.2195],
        [50.0, 2.49, -0.001, 50.0, -2.49, 0.0012, 7.2195],
        [50.0, -0.001, 2.49, 50.0, 0.0009, -2.49, 4.8045],
        [50.0, -0.001, 2.49, 50.0, 0.001, -2.49, 4.8045],
        [50.0, -0.001, 2.49, 50.0, 0.0011, -2.49, 4.7461],
        [50.0, 2.5, 0.0, 50.0, 0.0, -2.5, 4.3065],
        [50.0, 2.5, 0.0, 73.0, 25.0, -18.0, 27.1492],
        [50.0, 2.5, 0.0, 61.0, -5.0, 29.0, 22.8977],
        [50.0, 2.5, 0.0, 56.0, -27.0, -3.0, 31.903],
        [50.0, 2.5, 0.0, 58.0, 24.0, 15.0, 19.4535],
        [50.0, 2.5, 0.0, 50.0, 3.1736, 0.5854, 1.0],
        [50.0, 2.5, 0.0, 50.0, 3.2972, 0.0, 1.0],
        [50.0, 2.5, 0.0, 50.0, 1.8634, 0.5757, 1.0],
        [50.0, 2.5, 0.0, 50.0, 3.2592, 0.335, 1.0],
        [60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644],
        [63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.263],
        [61.2901, 3.7196, -5.3901, 61.4292, 2.248, -4.962, 1.8731],
        [35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645],
        [22.7233, 20.0904, -46.694, 23.0331, 14.973, -42.5619, 2.0373],
        [36.4612, 47.858, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146],
        [90.8027, -2.0831, 1.441, 91.1528, -1.6435, 0.0447, 1.4441],
        [90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381],
        [6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377],
        [2.0776, 0.0795, -1.135, 0.9033, -0.0636, -0.5514, 0.9082],
    ];

    #[test]
    fn the_published_pairs_come_out() {
        for [l1, a1, b1, l2, a2, b2, wanted] in PUBLISHED {
            let (one, other) = ([l1, a1, b1], [l2, a2, b2]);
            for found in [delta_e_2000(one, other), delta_e_2000(other, one)] {
                assert!((found - wanted).abs() < 1e-4, "{one:?} {other:?}: {found}, published {wanted}");
            }
        }
    }

    #[test]
    fn a_colour_differs_from_itself_by_nothing() {
        for colour in [[0.0; 3], [50.0, 20.0, -30.0], [100.0, 0.0, 0.0]] {
            assert_eq!(delta_e_2000(colour, colour), 0.0);
        }
    }
}
