//! A scene and the tree of boxes through which rays find what they meet.
//! The table is the plane y = 0 and stands outside the tree. Next: `light`.
use super::camera::Look;
use super::shapes::{NEAREST, Ray, Thing};
use super::vector::{Vec3, greater, vec3};

/// The table's place in `Hit::thing`.
pub const TABLE: u32 = u32::MAX;

/// A branch is cut down to this many things.
const LEAF: usize = 2;

/// Each side of a cut holds at least one thing in so many.
const LEAST_SHARE: usize = 5;

/// Deeper than any such tree over a million things.
const DEEPEST: usize = 64;

/// The box round nothing.
const EMPTY: (Vec3, Vec3) =
    (Vec3 { x: f32::MAX, y: f32::MAX, z: f32::MAX }, Vec3 { x: f32::MIN, y: f32::MIN, z: f32::MIN });

/// What a ray met first.
#[derive(Clone, Copy, Debug)]
pub struct Hit {
    pub distance: f32,
    pub normal: Vec3,
    /// Index into the scene's things, or `TABLE`.
    pub thing: u32,
}

struct Node {
    low: Vec3,
    high: Vec3,
    /// The second branch; the first one follows its parent.
    right: u32,
    first: u32,
    count: u32,
    axis: Axis,
}

#[derive(Clone, Copy)]
enum Axis {
    X,
    Y,
    Z,
}

impl Axis {
    fn of(self, v: Vec3) -> f32 {
        match self {
            Axis::X => v.x,
            Axis::Y => v.y,
            Axis::Z => v.z,
        }
    }
}

/// A laid table, and how it is looked at.
pub struct Scene {
    pub things: Vec<Thing>,
    pub look: Look,
    nodes: Vec<Node>,
}

impl Scene {
    pub fn new(mut things: Vec<Thing>, look: Look) -> Scene {
        let mut nodes = Vec::new();
        grow(&mut things, 0, &mut nodes);
        Scene { things, look, nodes }
    }

    /// The nearest meeting within `reach`.
    pub fn first(&self, ray: &Ray, reach: f32) -> Option<Hit> {
        let mut best = self.on_the_table(ray, reach);
        let mut limit = best.map_or(reach, |hit| hit.distance);
        self.visit(ray, &mut limit, |index, thing, limit| {
            if let Some(met) = thing.meet(ray, *limit) {
                *limit = met.distance;
                best = Some(Hit { distance: met.distance, normal: met.normal, thing: index });
            }
            false
        });
        best
    }

    /// Where the ray meets this one thing, whatever stands before it.
    pub fn meeting(&self, ray: &Ray, thing: u32, reach: f32) -> Option<Hit> {
        let Some(known) = self.things.get(thing as usize) else {
            return self.on_the_table(ray, reach);
        };
        let met = known.meet(ray, reach)?;
        Some(Hit { distance: met.distance, normal: met.normal, thing })
    }

    /// Whether anything stands in the way within `reach`.
    pub fn blocked(&self, ray: &Ray, reach: f32) -> bool {
        if self.on_the_table(ray, reach).is_some() {
            return true;
        }
        let mut limit = reach;
        self.visit(ray, &mut limit, |_, thing, limit| thing.meet(ray, *limit).is_some())
    }

    fn on_the_table(&self, ray: &Ray, reach: f32) -> Option<Hit> {
        let distance = -ray.from.y / ray.along.y;
        let met = ray.along.y < 0.0 && distance > NEAREST && distance < reach;
        met.then_some(Hit { distance, normal: vec3(0.0, 1.0, 0.0), thing: TABLE })
    }

    /// Walks the boxes that the ray crosses, the nearer first, until `meet` says it is enough.
    fn visit(&self, ray: &Ray, limit: &mut f32, mut meet: impl FnMut(u32, &Thing, &mut f32) -> bool) -> bool {
        let steps = ray.along.inverse();
        let (mut waiting, mut top) = ([0u32; DEEPEST], 1);
        while top > 0 {
            top -= 1;
            let at = waiting[top];
            let node = &self.nodes[at as usize];
            let (a, b) = ((node.low - ray.from) * steps, (node.high - ray.from) * steps);
            let near = greater(a.min(b).largest(), 0.0);
            if near > a.max(b).smallest() || near >= *limit {
                continue;
            }
            if node.count > 0 {
                for index in node.first..node.first + node.count {
                    if meet(index, &self.things[index as usize], limit) {
                        return true;
                    }
                }
            } else if top + 2 <= DEEPEST {
                let (left, right) = (at + 1, node.right);
                let backwards = node.axis.of(ray.along) < 0.0;
                (waiting[top], waiting[top + 1]) = if backwards { (left, right) } else { (right, left) };
                top += 2;
            }
        }
        false
    }
}

/// Adds the branch over these things, which start at `first` in the whole list.
fn grow(things: &mut [Thing], first: u32, nodes: &mut Vec<Node>) {
    let (low, high) = things.iter().fold(EMPTY, |(low, high), thing| (low.min(thing.low), high.max(thing.high)));
    let me = nodes.len();
    nodes.push(Node { low, high, right: 0, first, count: things.len() as u32, axis: Axis::X });
    if things.len() <= LEAF {
        return;
    }
    let (axis, cut) = cheapest_cut(things);
    along(things, axis);
    let (left, right) = things.split_at_mut(cut);
    (nodes[me].axis, nodes[me].count) = (axis, 0);
    grow(left, first, nodes);
    nodes[me].right = nodes.len() as u32;
    grow(right, first + cut as u32, nodes);
}

/// In the order of their middles on this axis.
fn along(things: &mut [Thing], axis: Axis) {
    things.sort_by(|a, b| axis.of(a.low + a.high).total_cmp(&axis.of(b.low + b.high)));
}

/// The axis, and the number of things before the cut, that leave rays the least to try: a branch is entered
/// as often as its box is large to the eye, and then costs as much as it holds (surface area heuristic).
/// Only the middle part of the cuts is tried, so that the tree stays shallow.
fn cheapest_cut(things: &mut [Thing]) -> (Axis, usize) {
    let count = things.len();
    let least = count.div_ceil(LEAST_SHARE);
    let mut best = (f32::MAX, Axis::X, count / 2);
    for axis in [Axis::X, Axis::Y, Axis::Z] {
        along(things, axis);
        let before = surfaces(things.iter());
        let after = surfaces(things.iter().rev());
        for cut in least..=count - least {
            let cost = before[cut - 1] * cut as f32 + after[count - cut - 1] * (count - cut) as f32;
            if cost < best.0 {
                best = (cost, axis, cut);
            }
        }
    }
    (best.1, best.2)
}

/// Half the surface of the box round the first, the first two, and so on.
fn surfaces<'a>(things: impl Iterator<Item = &'a Thing>) -> Vec<f32> {
    let (mut low, mut high) = EMPTY;
    things
        .map(|thing| {
            (low, high) = (low.min(thing.low), high.max(thing.high));
            let size = high - low;
            size.x * size.y + size.y * size.z + size.z * size.x
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::dishes;

    #[test]
    fn the_tree_finds_what_a_plain_search_finds() {
        let scene = dishes::plum_tart::scene();
        for i in 0..400 {
            let (a, b) = (i as f32 * 0.37, i as f32 * 0.11);
            let ray = Ray {
                from: vec3(4.0 * a.sin(), 6.0, 4.0 * a.cos()),
                along: vec3(-0.5 * a.sin() + 0.2 * b.cos(), -1.0, -0.5 * a.cos()).unit(),
            };
            let plain = scene.things.iter().filter_map(|t| t.meet(&ray, 60.0));
            let plain = plain.map(|m| m.distance).fold(-ray.from.y / ray.along.y, f32::min);
            let found = scene.first(&ray, 60.0).expect("the table at least");
            assert_eq!(found.distance, plain);
            assert!(scene.blocked(&ray, 60.0));
        }
    }
}
