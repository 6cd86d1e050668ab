//! Where the camera stands, what it focuses on, and the rays through its pixels. Next: `light`.
use super::shapes::Ray;
use super::vector::{Vec3, vec3};

/// Farther than anything in a scene.
pub const FAR: f32 = 60.0;

/// What a picture is besides its things: view, focus, light, cloth. Lengths in units of 10 cm.
#[derive(Clone, Copy)]
pub struct Look {
    /// The point in the middle of the picture.
    pub target: Vec3,
    /// From the target to the lens.
    pub distance: f32,
    /// Radians above the table.
    pub pitch: f32,
    /// Radians round the table.
    pub turn: f32,
    /// Radians along the picture's longer side.
    pub field: f32,
    /// A point in the plane of focus.
    pub focus: Vec3,
    /// Size of the lens opening: the circle of confusion of something at infinity, as a share
    /// of the picture's longer side at focus distance.
    pub lens: f32,
    /// Factor on the light before the tone curve.
    pub exposure: f32,
    /// Factor on the light from the room.
    pub fill: f32,
    /// Linear colours of the table and of the linen on it.
    pub wood: Vec3,
    pub cloth: Vec3,
    /// The linen begins here (towards the camera), turned by this many radians.
    pub cloth_edge: f32,
    pub cloth_turn: f32,
}

/// A camera on its stand, ready for one picture size.
pub struct View {
    pub eye: Vec3,
    pub ahead: Vec3,
    pub width: usize,
    pub height: usize,
    /// Size of a pixel at distance 1.
    pub pixel: f32,
    right: Vec3,
    up: Vec3,
    shift: (f32, f32),
    lens: f32,
    focus_depth: f32,
}

impl View {
    /// `shift_px` moves the whole picture right and down by that much without turning the camera,
    /// as a shifted lens does: one step is exact to the pixel, and perspective does not change.
    pub fn new(look: &Look, width: usize, height: usize, shift_px: (f32, f32)) -> View {
        let ((sin_turn, cos_turn), (sin_pitch, cos_pitch)) = (look.turn.sin_cos(), look.pitch.sin_cos());
        let back = vec3(sin_turn * cos_pitch, sin_pitch, cos_turn * cos_pitch);
        let eye = look.target + back * look.distance;
        let ahead = -back;
        let right = ahead.cross(vec3(0.0, 1.0, 0.0)).unit();
        View {
            eye,
            ahead,
            width,
            height,
            pixel: 2.0 * (look.field * 0.5).tan() / width.max(height) as f32,
            right,
            up: right.cross(ahead),
            shift: shift_px,
            lens: look.lens * width.max(height) as f32,
            focus_depth: (look.focus - eye).dot(ahead),
        }
    }

    /// The ray through this place of the picture, in px from its top left corner.
    pub fn ray(&self, x: f32, y: f32) -> Ray {
        let across = (x - self.width as f32 * 0.5 - self.shift.0) * self.pixel;
        let upwards = (self.height as f32 * 0.5 - y + self.shift.1) * self.pixel;
        let along = (self.ahead + self.right * across + self.up * upwards).unit();
        Ray { from: self.eye, along }
    }

    /// Diameter in px to which the lens spreads a point at this depth.
    pub fn blur(&self, depth: f32) -> f32 {
        self.lens * (depth - self.focus_depth).abs() / depth
    }

    pub fn depth(&self, place: Vec3) -> f32 {
        (place - self.eye).dot(self.ahead)
    }
}

#[cfg(test)]
impl View {
    /// Where a place is seen, in px from the top left corner: the way back of [`View::ray`].
    pub fn seen(&self, place: Vec3) -> (f32, f32) {
        let from_eye = place - self.eye;
        let scale = 1.0 / (from_eye.dot(self.ahead) * self.pixel);
        let (across, upwards) = (from_eye.dot(self.right) * scale, from_eye.dot(self.up) * scale);
        (self.width as f32 * 0.5 + self.shift.0 + across, self.height as f32 * 0.5 + self.shift.1 - upwards)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::dishes::props::look;

    #[test]
    fn a_shift_moves_the_picture_by_exactly_its_pixels() {
        let straight = View::new(&look(), 300, 400, (0.0, 0.0));
        let shifted = View::new(&look(), 300, 400, (7.0, -12.0));
        for (x, y) in [(0.5, 0.5), (150.0, 200.0), (271.5, 33.5)] {
            assert_eq!(straight.ray(x, y).along, shifted.ray(x + 7.0, y - 12.0).along);
            assert_ne!(straight.ray(x, y).along, shifted.ray(x + 6.0, y - 12.0).along);
        }
    }

    #[test]
    fn a_place_is_seen_where_its_ray_began() {
        let view = View::new(&look(), 300, 400, (7.0, -12.0));
        let ray = view.ray(71.5, 302.0);
        let (x, y) = view.seen(ray.at(8.0));
        assert!((x - 71.5).abs() < 0.01 && (y - 302.0).abs() < 0.01);
    }

    #[test]
    fn what_lies_in_the_plane_of_focus_is_sharp() {
        let look = look();
        let view = View::new(&look, 300, 400, (0.0, 0.0));
        assert!(view.blur(view.depth(look.focus)) < 1e-4);
        assert!(view.blur(view.depth(look.focus) + 1.0) > 1.0);
    }
}
