//! The look of a surface at a point: colour, relief, roughness, how it reflects and transmits light. One file per
//! family; numbers are linear colours, found by trial on a screen.
mod baked;
mod crockery;
mod fish;
mod pantry;
mod produce;
mod roots;
mod surface;
mod table;

use crate::noise::noise3;
use crate::object::Material;
use crate::scene::{Hit, Scene, TABLE};
use crate::vector::{Vec3, vec3};
pub use surface::Surface;
use surface::{Point, bump};

/// Point size (units of 10 cm) above which the finest relief does not show.
const FINEST_RELIEF: f32 = 0.004;

/// Returns the surface that was hit; `footprint` is the size that one point covers, in units.
pub fn surface_at(scene: &Scene, hit: &Hit, place: Vec3, footprint: f32) -> Surface {
    if hit.object == TABLE {
        return table::surface(&scene.table, place, footprint);
    }
    let object = &scene.objects[hit.object as usize];
    let seed = vec3(object.seed, object.seed * 0.7, -object.seed);
    let local = object.local(place);
    let point = Point { object, place, local, normal: hit.normal, tint: object.tint, seed };
    let surface = of_material(&point);
    let smooth = [Material::Glaze, Material::Metal, Material::Broth].contains(&object.material);
    if footprint < FINEST_RELIEF && !smooth { roughen(surface, &point) } else { surface }
}

/// Adds fine tone and relief, which show at 1:1: no solid food is smooth at a tenth of a millimetre.
fn roughen(mut surface: Surface, point: &Point) -> Surface {
    let (value, slope) = noise3(point.local * 120.0 + point.seed);
    surface.colour = surface.colour * (1.0 + 0.08 * value);
    surface.normal = bump(surface.normal, slope, 0.012 + 0.04 * surface.roughness);
    surface
}

fn of_material(point: &Point) -> Surface {
    match point.object.material {
        Material::Glaze => crockery::glaze(point),
        Material::Metal => crockery::metal(point),
        Material::Board => crockery::board(point),
        Material::Pastry => baked::pastry(point),
        Material::Custard => baked::custard(point),
        Material::Crepe => baked::crepe(point),
        Material::Rye => baked::rye(point),
        Material::Plum => produce::plum(point),
        Material::Berry => produce::berry(point),
        Material::Lemon => produce::lemon(point),
        Material::Leaf => produce::leaf(point),
        Material::Carrot => roots::carrot(point),
        Material::Leek => roots::leek(point),
        Material::Beetroot => roots::beetroot(point),
        Material::Radish => roots::radish(point),
        Material::Broth => pantry::broth(point),
        Material::Barley => pantry::barley(point),
        Material::Butter | Material::Salt => pantry::butter(point),
        Material::Crust => pantry::crust(point),
        Material::Shell => fish::shell(point),
        Material::Oyster => fish::oyster(point),
        Material::SmokedSkin => fish::smoked_skin(point),
        Material::SmokedFlesh => fish::smoked_flesh(point),
    }
}

/// Returns the colour that an object adds to light bouncing off it.
pub fn mean_colour(scene: &Scene, object: u32) -> Vec3 {
    if object == TABLE {
        return scene.table.linen.mix(scene.table.wood, 0.5);
    }
    let object = &scene.objects[object as usize];
    match object.material {
        Material::Pastry => vec3(0.5, 0.28, 0.12),
        Material::Plum => vec3(0.3, 0.05, 0.03),
        Material::Crepe => vec3(0.62, 0.38, 0.17),
        Material::Shell => vec3(0.6, 0.58, 0.55),
        Material::Metal => vec3(0.3, 0.3, 0.3),
        Material::Rye => vec3(0.16, 0.085, 0.04),
        Material::SmokedSkin => vec3(0.22, 0.20, 0.14),
        _ => object.tint,
    }
}
