//! Levels of 16-bit pictures.

/// The highest level.
pub const WHITE: f32 = 65535.0;
/// Levels of a 16-bit picture for one of an 8-bit picture.
pub const WIDE_STEP: u16 = 257;

/// Rounds a value to the nearest level, within 0 and white.
pub fn level(value: f32) -> u16 {
    (value.clamp(0.0, WHITE) + 0.5) as u16
}

/// Returns the value below which this share of all values is.
pub fn quantile(values: &mut [f32], share: f64) -> f32 {
    let at = ((values.len() as f64 * share).round() as usize).clamp(1, values.len()) - 1;
    *values.select_nth_unstable_by(at, f32::total_cmp).1
}
