//! The dishes once more, for note cards and place cards: other sides of the same tables.
use super::leeks::scene as leeks_table;
use super::props::look;
use super::{barley_broth, buckwheat_crepes, oyster_board, plum_tart, spread};
use crate::demo::camera::Look;
use crate::demo::tree::Scene;
use crate::demo::vector::{Vec3, vec3};

/// Between two frames of one moment the camera moves round by this much, radians.
const NEXT_FRAME: f32 = 0.01;

fn seen(mut scene: Scene, change: impl Fn(Look) -> Look) -> Scene {
    scene.look = change(scene.look);
    scene
}

pub fn tart() -> Scene {
    seen(plum_tart::scene(), |look| Look { turn: -0.34, pitch: 0.96, field: 0.57, lens: 0.036, ..look })
}

/// Across a folded card.
pub fn tart_across() -> Scene {
    seen(plum_tart::scene(), |look| Look { turn: 0.62, pitch: 0.74, field: 0.50, lens: 0.036, ..look })
}

pub fn leeks() -> Scene {
    seen(leeks_table(), |look| Look { turn: 0.42, pitch: 0.92, field: 0.60, lens: 0.036, ..look })
}

pub fn broth() -> Scene {
    seen(barley_broth::scene(), |look| Look { turn: -0.12, pitch: 0.86, field: 0.56, lens: 0.036, ..look })
}

/// Sharp from front to back, so that edges are crisp everywhere.
pub fn crepes() -> Scene {
    seen(buckwheat_crepes::scene(), |look| Look { turn: -0.30, pitch: 0.70, field: 0.54, lens: 0.012, ..look })
}

pub fn oysters() -> Scene {
    seen(oyster_board::scene(), |look| Look { turn: -0.42, pitch: 0.94, field: 0.50, lens: 0.030, ..look })
}

/// Where the camera looks along the laid table, one place after the other.
const PLACES: [Vec3; 6] = [
    vec3(-0.95, 0.15, 2.05),
    vec3(2.35, 0.25, 1.35),
    vec3(-2.7, 0.10, 1.0),
    vec3(1.2, 0.05, 3.0),
    vec3(2.9, 0.05, 4.2),
    vec3(-3.4, 0.05, 3.7),
];

/// One place of the table laid for all, in one light and with one lens.
pub fn place<const PLACE: usize>() -> Scene {
    let target = PLACES[PLACE];
    seen(spread::scene(), |wide| Look {
        target,
        focus: target + vec3(0.0, 0.1, 0.2),
        distance: 9.0,
        field: 0.40,
        pitch: 0.86,
        turn: 0.10,
        lens: 0.048,
        exposure: look().exposure,
        ..wide
    })
}

/// The first place a moment later.
pub fn first_place_again() -> Scene {
    seen(place::<0>(), |look| Look { turn: look.turn + NEXT_FRAME, ..look })
}
