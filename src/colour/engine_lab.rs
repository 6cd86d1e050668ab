//! L*, a*, b* in the colour engine's numbers of 16 bits.

use super::rgb::white_xyz;

/// The engine's whole scale: L* 100, or full ink or light.
pub(super) const WHOLE: f64 = 65_535.0;
/// The least a* and b* of the engine's numbers. Source: ICC.1:2022, section 6.3.4.2 (the 16-bit encoding of PCSLAB).
const AB_FROM: f64 = -128.0;
/// Steps of the engine's numbers in one unit of a* or b*. Source: as above.
const AB_STEPS: f64 = 257.0;

/// Returns the white of the connection space.
pub(super) fn white() -> lcms2::CIExyY {
    let [x, y, z] = white_xyz();
    let sum = x + y + z;
    lcms2::CIExyY { x: x / sum, y: y / sum, Y: 1.0 }
}

/// Converts L*, a*, b* to the engine's numbers; values beyond its scale are clipped.
pub(super) fn to_engine([light, a, b]: [f64; 3]) -> [u16; 3] {
    let ab = |value: f64| (value - AB_FROM) * AB_STEPS;
    // Rounded and within the scale: the cast keeps every number.
    [light / 100.0 * WHOLE, ab(a), ab(b)].map(|number| number.round().clamp(0.0, WHOLE) as u16)
}

/// Converts the engine's numbers to L*, a*, b*.
pub(super) fn from_engine([light, a, b]: [u16; 3]) -> [f64; 3] {
    let ab = |number: u16| f64::from(number) / AB_STEPS + AB_FROM;
    [f64::from(light) / WHOLE * 100.0, ab(a), ab(b)]
}
