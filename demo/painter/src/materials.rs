//! What a surface looks like at a point: colour, relief, roughness, how it mirrors and lets light
//! through. One file a family; numbers are linear colours and found by trial at the screen.
mod baked;
mod crockery;
mod fish;
mod pantry;
mod produce;
mod roots;
mod table;

use super::noise::noise3;
use super::shapes::{Shape, Thing};
use super::tree::{Hit, Scene, TABLE};
use super::vector::{Vec3, ZERO, vec3};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    Glaze,
    Metal,
    Board,
    Pastry,
    Custard,
    Crepe,
    Rye,
    Plum,
    Berry,
    Lemon,
    Leaf,
    Carrot,
    Leek,
    Beetroot,
    Radish,
    Broth,
    Barley,
    Butter,
    Salt,
    Crust,
    Shell,
    Oyster,
    SmokedSkin,
    SmokedFlesh,
}

/// What light does at a point.
#[derive(Clone, Copy)]
pub struct Surface {
    pub colour: Vec3,
    pub normal: Vec3,
    /// 0 a mirror, 1 chalk.
    pub roughness: f32,
    /// Share of the light mirrored when looked at straight.
    pub mirror: f32,
    /// How far light creeps round the edge of shade, 0..1.
    pub wrap: f32,
    /// Colour of the light that comes through from behind.
    pub glow: Vec3,
}

impl Surface {
    /// Something plain, for a material to change.
    fn plain(colour: Vec3, normal: Vec3) -> Surface {
        Surface { colour, normal, roughness: 0.3, mirror: 0.04, wrap: 0.0, glow: ZERO }
    }

    fn gloss(mut self, roughness: f32, mirror: f32, wrap: f32) -> Surface {
        (self.roughness, self.mirror, self.wrap) = (roughness, mirror, wrap);
        self
    }
}

/// Points larger than this (units of 10 cm) do not show the finest relief.
const GRITTY: f32 = 0.004;

/// A ball flatter than this half height, in units of 10 cm, is a cut face.
const DISC: f32 = 0.02;

/// A ball thicker than this half height is no slice.
const SLICE: f32 = 0.10;

/// A point of a thing, as its material sees it.
struct Point<'a> {
    thing: &'a Thing,
    /// In the scene's axes.
    place: Vec3,
    /// In the thing's own axes, from its centre.
    local: Vec3,
    normal: Vec3,
    tint: Vec3,
    /// Added to noise coordinates.
    seed: Vec3,
}

impl Point<'_> {
    fn plain(&self) -> Surface {
        Surface::plain(self.tint, self.normal)
    }

    fn in_radii(&self) -> Vec3 {
        self.thing.in_radii(self.local)
    }

    /// A direction of the thing's own axes in the scene's.
    fn to_scene(&self, direction: Vec3) -> Vec3 {
        self.thing.axes().to_world(direction)
    }

    /// Whether this is no slice but a whole root or its rounded half.
    fn is_thick(&self) -> bool {
        matches!(&self.thing.shape, Shape::Ball(ball) if ball.radii.y > SLICE)
    }

    /// Whether this is the flat disc that closes a halved fruit or stem.
    fn is_cut_face(&self) -> bool {
        matches!(&self.thing.shape, Shape::Ball(ball) if ball.radii.y < DISC)
    }
}

/// Tilts a normal against a slope.
fn tilted(normal: Vec3, slope: Vec3, strength: f32) -> Vec3 {
    (normal - (slope - normal * slope.dot(normal)) * strength).unit()
}

/// The surface that was hit; `footprint` is the size, in units, of what one point stands for.
pub fn surface(scene: &Scene, hit: &Hit, place: Vec3, footprint: f32) -> Surface {
    if hit.thing == TABLE {
        return table::table(&scene.look, place, footprint);
    }
    let thing = &scene.things[hit.thing as usize];
    let seed = vec3(thing.seed, thing.seed * 0.7, -thing.seed);
    let local = thing.local(place);
    let point = Point { thing, place, local, normal: hit.normal, tint: thing.tint, seed };
    let surface = of_material(&point);
    let smooth = [Material::Glaze, Material::Metal, Material::Broth].contains(&thing.material);
    if footprint < GRITTY && !smooth { gritty(surface, &point) } else { surface }
}

/// Nothing solid that one eats is smooth at a tenth of a millimetre: fine tone and relief, which show at 1:1.
fn gritty(mut surface: Surface, point: &Point) -> Surface {
    let (value, slope) = noise3(point.local * 120.0 + point.seed);
    surface.colour = surface.colour * (1.0 + 0.08 * value);
    surface.normal = tilted(surface.normal, slope, 0.012 + 0.04 * surface.roughness);
    surface
}

fn of_material(point: &Point) -> Surface {
    match point.thing.material {
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

/// What a thing gives to the light that bounces off it.
pub fn mean_colour(scene: &Scene, thing: u32) -> Vec3 {
    if thing == TABLE {
        return scene.look.cloth.mix(scene.look.wood, 0.5);
    }
    let thing = &scene.things[thing as usize];
    match thing.material {
        Material::Pastry => vec3(0.5, 0.28, 0.12),
        Material::Plum => vec3(0.3, 0.05, 0.03),
        Material::Crepe => vec3(0.62, 0.38, 0.17),
        Material::Shell => vec3(0.6, 0.58, 0.55),
        Material::Metal => vec3(0.3, 0.3, 0.3),
        Material::Rye => vec3(0.16, 0.085, 0.04),
        Material::SmokedSkin => vec3(0.22, 0.20, 0.14),
        _ => thing.tint,
    }
}
