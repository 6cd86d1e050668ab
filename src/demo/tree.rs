//! A scene and the tree of boxes through which rays find what they meet.
//! The table is the plane y = 0 and stands outside the tree. Next: `light`.
use super::camera::Look;
use super::shapes::{NEAREST, Ray, Thing};
use super::vector::{Vec3, grey, vec3};

/// The table's place in `Hit::thing`.
pub const TABLE: u32 = u32::MAX;

/// A branch is halved down to this many things.
const LEAF: usize = 2;

/// Deeper than any tree of halves over the things that memory holds.
const DEEPEST: usize = 40;

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

    fn longest(size: Vec3) -> Axis {
        if size.x > size.y.max(size.z) {
            Axis::X
        } else if size.y > size.z {
            Axis::Y
        } else {
            Axis::Z
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
            let near = a.min(b).largest().max(0.0);
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
    let empty = (grey(f32::MAX), grey(f32::MIN));
    let (low, high) = things.iter().fold(empty, |(low, high), thing| (low.min(thing.low), high.max(thing.high)));
    let me = nodes.len();
    let axis = Axis::longest(high - low);
    nodes.push(Node { low, high, right: 0, first, count: things.len() as u32, axis });
    if things.len() <= LEAF {
        return;
    }
    things.sort_by(|a, b| axis.of(a.low + a.high).total_cmp(&axis.of(b.low + b.high)));
    let half = things.len() / 2;
    let (left, right) = things.split_at_mut(half);
    nodes[me].count = 0;
    grow(left, first, nodes);
    nodes[me].right = nodes.len() as u32;
    grow(right, first + half as u32, nodes);
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
