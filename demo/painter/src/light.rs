//! The light of the room: one tall window at ten o'clock, a little behind the table, pale cards at the right and in
//! front, dim walls.
use crate::vector::{Vec3, max_fast, soft_step, vec3};

/// The light of the room besides the window.
pub struct Light {
    /// Factor on the light from walls and cards: the fill light.
    pub fill: f32,
}

impl Light {
    /// Returns the light from an unobstructed direction: walls, the pale cards, the rest of the daylight.
    pub fn ambient(&self, along: Vec3) -> Vec3 {
        let walls = vec3(0.060, 0.060, 0.064) * (0.5 + 0.5 * along.y);
        let cards = vec3(0.075, 0.068, 0.058) * soft_step(0.0, 1.0, along.x + 0.6 * along.z);
        let daylight = vec3(0.10, 0.106, 0.118) * soft_step(0.1, 1.0, -along.x);
        (walls + cards + daylight) * self.fill
    }
}

/// Window radiance, a warm daylight; a lit white comes to about 0.25 before exposure.
pub const WINDOW_RADIANCE: Vec3 = vec3(74.0, 68.5, 60.0);
const WINDOW_MIDDLE: Vec3 = vec3(-7.2, 5.9, -6.3);
const WINDOW_ACROSS: Vec3 = vec3(0.6585, 0.0, -0.7526);
const WINDOW_FACING: Vec3 = vec3(0.7526, 0.0, 0.6585);
const WINDOW_WIDTH: f32 = 7.0;
const WINDOW_HEIGHT: f32 = 7.4;

/// Radiance of the window in a mirror.
const WINDOW_IN_MIRROR: Vec3 = vec3(8.2, 7.7, 7.1);

/// Three points that represent the whole window where no shadow is needed.
const WINDOW_SAMPLES: [(f32, f32); 3] = [(0.25, 0.3), (0.75, 0.45), (0.5, 0.85)];

/// Returns a point on the window; both shares in 0..1.
pub fn window_point(across: f32, upwards: f32) -> Vec3 {
    WINDOW_MIDDLE + WINDOW_ACROSS * (WINDOW_WIDTH * (across - 0.5)) + vec3(0.0, WINDOW_HEIGHT * (upwards - 0.5), 0.0)
}

/// Returns the share of the window's light that falls on an unshaded surface at `place`. `wrap` lets light creep round
/// the edge of shade, as it does in flesh and butter.
pub fn window_form_factor(place: Vec3, normal: Vec3, wrap: f32) -> f32 {
    let mut sum = 0.0;
    for (across, upwards) in WINDOW_SAMPLES {
        let to_window = window_point(across, upwards) - place;
        let inverse = 1.0 / to_window.length();
        let on_surface = (normal.dot(to_window) * inverse + wrap) / (1.0 + wrap);
        let from_window = -to_window.dot(WINDOW_FACING) * inverse;
        sum += max_fast(on_surface, 0.0) * max_fast(from_window, 0.0) * (inverse * inverse);
    }
    sum * (1.0 / WINDOW_SAMPLES.len() as f32)
}

/// The green of [`Light::ambient`] at an open place, at fill 1: a reference for how enclosed others are.
pub const OPEN_AMBIENT: f32 = 0.09;

/// Returns the room as a surface of this roughness mirrors it: the window with its glazing bars, the cards, the walls.
pub fn reflection(place: Vec3, along: Vec3, roughness: f32) -> Vec3 {
    let walls = vec3(0.20, 0.19, 0.185) * (0.25 + 0.75 * soft_step(-0.2, 1.0, along.y));
    let card = vec3(0.34, 0.32, 0.29) * soft_step(0.35, 0.95, along.x);
    let front = soft_step(0.1, 0.9, -along.z) * soft_step(0.6, -0.7, along.x);
    let room = walls + card + vec3(0.30, 0.30, 0.30) * front;
    let towards = along.dot(WINDOW_FACING);
    // Grazing or facing away: the window cannot be seen.
    if towards > -0.05 {
        return room;
    }
    let distance = (WINDOW_MIDDLE - place).dot(WINDOW_FACING) / towards;
    let at = place + along * distance - WINDOW_MIDDLE;
    let across = at.dot(WINDOW_ACROSS) / WINDOW_WIDTH + 0.5;
    let upwards = at.y / WINDOW_HEIGHT + 0.5;
    // Roughness widens every edge of the window and dims all of it.
    let soft = 0.012 + roughness * 0.8;
    let inside = |x: f32| soft_step(-soft, soft, x) * soft_step(-soft, soft, 1.0 - x);
    let bar = |x: f32, at: f32| {
        let beside = soft_step(0.0, 0.02 + soft, (x - at).abs());
        1.0 - (1.0 - beside) * (0.03 / (0.03 + soft)).min(1.0)
    };
    let bars = bar(across, 0.5) * bar(upwards, 0.36) * bar(upwards, 0.70);
    let seen = inside(across) * inside(upwards) * bars / (1.0 + 6.0 * roughness);
    room + WINDOW_IN_MIRROR * seen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_side_towards_the_window_is_the_bright_one() {
        let place = vec3(0.0, 0.5, 0.0);
        let lit = window_form_factor(place, vec3(-0.7, 0.5, -0.5).unit(), 0.0);
        let away = window_form_factor(place, vec3(0.7, 0.2, 0.7).unit(), 0.0);
        assert!(lit > 0.004 && away == 0.0, "{lit} {away}");
        let edge_of_shade = vec3(0.7, 0.0, -0.7).unit();
        let wrapped = window_form_factor(place, edge_of_shade, 0.4);
        assert!(wrapped > window_form_factor(place, edge_of_shade, 0.0));
    }
}
