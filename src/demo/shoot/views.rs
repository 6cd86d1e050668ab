//! Views of the dishes for the shoot's pictures, where they differ from the dish's own view.

use painter::{Camera, Scene, Vec3, dishes, vec3};

/// Angle in radians by which the camera moves round between two frames of one moment.
const NEXT_FRAME: f32 = 0.01;

fn seen(mut scene: Scene, change: impl Fn(Camera) -> Camera) -> Scene {
    scene.camera = change(scene.camera);
    scene
}

/// Shows the plate alone, close up, in an upright picture.
pub(super) fn beetroot_close() -> Scene {
    seen(dishes::beetroot(), |camera| Camera {
        target: vec3(0.35, 0.12, 0.10),
        focus: vec3(0.35, 0.20, 0.50),
        distance: 7.5,
        yaw: 0.45,
        pitch: 0.72,
        field_of_view: 0.52,
        ..camera
    })
}

/// Shows one slice filling an upright picture.
pub(super) fn mackerel_close() -> Scene {
    seen(dishes::salted_mackerel(), |camera| Camera {
        target: vec3(0.05, 0.20, -0.05),
        focus: vec3(0.05, 0.32, 0.34),
        distance: 6.4,
        field_of_view: 0.40,
        pitch: 0.62,
        yaw: 0.30,
        aperture: 0.028,
        ..camera
    })
}

/// Shows the board across a landscape picture.
pub(super) fn oysters_across() -> Scene {
    let target = vec3(0.05, 0.10, -0.12);
    seen(dishes::oyster_board(), |camera| Camera { target, field_of_view: 0.48, pitch: 0.78, ..camera })
}

/// Shows a second frame of that board, with the camera moved round and closer.
pub(super) fn oysters_again() -> Scene {
    seen(oysters_across(), |camera| Camera {
        target: vec3(0.45, 0.15, 0.30),
        focus: vec3(0.45, 0.30, 0.55),
        distance: 7.0,
        yaw: 0.48,
        pitch: 0.68,
        field_of_view: 0.40,
        ..camera
    })
}

/// Shows the long table from its right corner, from lower down.
pub(super) fn table_corner() -> Scene {
    seen(dishes::long_table(), |camera| Camera {
        target: vec3(0.9, 0.1, 0.6),
        focus: vec3(1.4, 0.4, 1.4),
        distance: 13.0,
        yaw: 0.85,
        pitch: 0.66,
        ..camera
    })
}

pub(super) fn tart_card() -> Scene {
    seen(dishes::plum_tart(), |camera| Camera {
        yaw: -0.34,
        pitch: 0.96,
        field_of_view: 0.57,
        aperture: 0.036,
        ..camera
    })
}

/// Shows the tart across a folded card.
pub(super) fn tart_across() -> Scene {
    seen(dishes::plum_tart(), |camera| Camera {
        yaw: 0.62,
        pitch: 0.74,
        field_of_view: 0.50,
        aperture: 0.036,
        ..camera
    })
}

pub(super) fn leeks_card() -> Scene {
    seen(dishes::leeks(), |camera| Camera { yaw: 0.42, pitch: 0.92, field_of_view: 0.60, aperture: 0.036, ..camera })
}

pub(super) fn broth_card() -> Scene {
    seen(dishes::barley_broth(), |camera| Camera {
        yaw: -0.12,
        pitch: 0.86,
        field_of_view: 0.56,
        aperture: 0.036,
        ..camera
    })
}

/// Shows the crepes sharp from front to back, so that edges are crisp everywhere.
pub(super) fn crepes_card() -> Scene {
    seen(dishes::buckwheat_crepes(), |camera| Camera {
        yaw: -0.30,
        pitch: 0.70,
        field_of_view: 0.54,
        aperture: 0.012,
        ..camera
    })
}

pub(super) fn oysters_card() -> Scene {
    seen(dishes::oyster_board(), |camera| Camera {
        yaw: -0.42,
        pitch: 0.94,
        field_of_view: 0.50,
        aperture: 0.030,
        ..camera
    })
}

/// Points at which the camera looks along the laid table, place by place.
const PLACES: [Vec3; 6] = [
    vec3(-0.95, 0.15, 2.05),
    vec3(2.35, 0.25, 1.35),
    vec3(-2.7, 0.10, 1.0),
    vec3(1.2, 0.05, 3.0),
    vec3(2.9, 0.05, 4.2),
    vec3(-3.4, 0.05, 3.7),
];

/// Shows one place setting of the long table; all share one light and one lens.
pub(super) fn place<const PLACE: usize>() -> Scene {
    let target = PLACES[PLACE];
    seen(dishes::long_table(), |camera| Camera {
        target,
        focus: target + vec3(0.0, 0.1, 0.2),
        distance: 9.0,
        field_of_view: 0.40,
        pitch: 0.86,
        yaw: 0.10,
        aperture: 0.048,
        ..camera
    })
}

/// Shows the first place setting a moment later.
pub(super) fn first_place_again() -> Scene {
    seen(place::<0>(), |camera| Camera { yaw: camera.yaw + NEXT_FRAME, ..camera })
}
