//! The camera: its position, its focus, and the rays through its pixels.
use crate::frame::Frame;
use crate::ray::Ray;
use crate::vector::{Vec3, vec3};

/// A camera that looks at a table. Lengths in units of 10 cm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// The point in the middle of the picture.
    pub target: Vec3,
    /// Distance from the target to the lens.
    pub distance: f32,
    /// Angle above the table, in radians.
    pub pitch: f32,
    /// Angle round the vertical through the target, in radians, from the near side of the table to the right.
    pub yaw: f32,
    /// Angle along the picture's longer side, in radians.
    pub field_of_view: f32,
    /// A point in the plane of focus.
    pub focus: Vec3,
    /// Size of the lens opening: the circle of confusion of something at infinity, as a share of the picture's longer
    /// side.
    pub aperture: f32,
    /// Factor on linear light before tone mapping.
    pub exposure: f32,
}

impl Camera {
    /// Projects a point of the scene into a picture of this frame, in px from its top left corner.
    pub fn project(&self, place: Vec3, frame: &Frame) -> (f32, f32) {
        View::new(self, frame).project(place)
    }
}

/// A camera with its axes calculated for one frame.
pub struct View {
    /// Position of the lens.
    pub eye: Vec3,
    /// Direction of the picture's middle.
    pub ahead: Vec3,
    /// Size of the picture, px.
    pub width: usize,
    pub height: usize,
    /// Size of a pixel at distance 1.
    pub pixel: f32,
    right: Vec3,
    up: Vec3,
    shift_px: (f32, f32),
    aperture_px: f32,
    focus_depth: f32,
}

impl View {
    /// Calculates the camera's axes and scales for this frame.
    pub fn new(camera: &Camera, frame: &Frame) -> View {
        let (width, height) = (frame.width_px, frame.height_px);
        let ((sin_yaw, cos_yaw), (sin_pitch, cos_pitch)) = (camera.yaw.sin_cos(), camera.pitch.sin_cos());
        let back = vec3(sin_yaw * cos_pitch, sin_pitch, cos_yaw * cos_pitch);
        let eye = camera.target + back * camera.distance;
        let ahead = -back;
        let right = ahead.cross(vec3(0.0, 1.0, 0.0)).unit();
        View {
            eye,
            ahead,
            width,
            height,
            pixel: 2.0 * (camera.field_of_view * 0.5).tan() / width.max(height) as f32,
            right,
            up: right.cross(ahead),
            shift_px: frame.shift_px,
            aperture_px: camera.aperture * width.max(height) as f32,
            focus_depth: (camera.focus - eye).dot(ahead),
        }
    }

    /// Returns the ray through this point of the picture, in px from its top left corner.
    pub fn ray(&self, x: f32, y: f32) -> Ray {
        let across = (x - self.width as f32 * 0.5 - self.shift_px.0) * self.pixel;
        let upwards = (self.height as f32 * 0.5 - y + self.shift_px.1) * self.pixel;
        let along = (self.ahead + self.right * across + self.up * upwards).unit();
        Ray { from: self.eye, along }
    }

    /// Returns the diameter in px to which the lens spreads a point at this depth.
    pub fn blur(&self, depth: f32) -> f32 {
        self.aperture_px * (depth - self.focus_depth).abs() / depth
    }

    /// Returns the distance of a point ahead of the lens.
    pub fn depth(&self, place: Vec3) -> f32 {
        (place - self.eye).dot(self.ahead)
    }

    /// Projects a point to px from the top left corner: the inverse of [`View::ray`].
    fn project(&self, place: Vec3) -> (f32, f32) {
        let from_eye = place - self.eye;
        let scale = 1.0 / (from_eye.dot(self.ahead) * self.pixel);
        let (across, upwards) = (from_eye.dot(self.right) * scale, from_eye.dot(self.up) * scale);
        (self.width as f32 * 0.5 + self.shift_px.0 + across, self.height as f32 * 0.5 + self.shift_px.1 - upwards)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CAMERA: Camera = Camera {
        target: vec3(0.0, 0.10, 0.0),
        distance: 9.0,
        pitch: 0.82,
        yaw: 0.22,
        field_of_view: 0.42,
        focus: vec3(0.0, 0.2, 0.55),
        aperture: 0.048,
        exposure: 5.8,
    };

    const STRAIGHT: Frame = Frame::new(300, 400);
    const SHIFTED: Frame = Frame { shift_px: (7.0, -12.0), ..STRAIGHT };

    #[test]
    fn a_shift_moves_the_picture_by_exactly_its_pixels() {
        let (straight, shifted) = (View::new(&CAMERA, &STRAIGHT), View::new(&CAMERA, &SHIFTED));
        for (x, y) in [(0.5, 0.5), (150.0, 200.0), (271.5, 33.5)] {
            assert_eq!(straight.ray(x, y).along, shifted.ray(x + 7.0, y - 12.0).along);
            assert_ne!(straight.ray(x, y).along, shifted.ray(x + 6.0, y - 12.0).along);
        }
    }

    #[test]
    fn a_place_is_seen_where_its_ray_began() {
        let ray = View::new(&CAMERA, &SHIFTED).ray(71.5, 302.0);
        let (x, y) = CAMERA.project(ray.at(8.0), &SHIFTED);
        assert!((x - 71.5).abs() < 0.01 && (y - 302.0).abs() < 0.01);
    }

    #[test]
    fn what_lies_in_the_plane_of_focus_is_sharp() {
        let view = View::new(&CAMERA, &STRAIGHT);
        assert!(view.blur(view.depth(CAMERA.focus)) < 1e-4);
        assert!(view.blur(view.depth(CAMERA.focus) + 1.0) > 1.0);
    }
}
