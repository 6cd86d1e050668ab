//! The bounding volume hierarchy: a binary tree of boxes, through which rays find the few objects near them.
use crate::object::Object;
use crate::ray::Ray;
use crate::vector::{Vec3, max_fast};

/// Number of objects at which a branch is no longer divided.
const LEAF: usize = 2;

/// Each side of a cut holds at least one in this many objects.
const LEAST_ONE_IN: usize = 5;

/// Depth beyond any such tree over a million objects.
const DEEPEST: usize = 64;

/// The empty bounding box.
const EMPTY: (Vec3, Vec3) =
    (Vec3 { x: f32::MAX, y: f32::MAX, z: f32::MAX }, Vec3 { x: f32::MIN, y: f32::MIN, z: f32::MIN });

struct Node {
    low: Vec3,
    high: Vec3,
    /// Index of the second branch; the first one follows its parent.
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

/// The tree over a list of objects, which it sorts in its own order.
pub struct Bvh {
    nodes: Vec<Node>,
}

impl Bvh {
    /// Sorts the objects so that each branch holds a contiguous run of them.
    pub fn build(objects: &mut [Object]) -> Bvh {
        let mut nodes = Vec::new();
        grow(objects, 0, &mut nodes);
        Bvh { nodes }
    }

    /// Walks the boxes that the ray crosses, the nearer first, and passes their objects with their indices to `enough`
    /// until that returns true, or no box nearer than the limit remains.
    pub fn visit(
        &self,
        objects: &[Object],
        ray: &Ray,
        limit: &mut f32,
        mut enough: impl FnMut(u32, &Object, &mut f32) -> bool,
    ) -> bool {
        let steps = ray.along.inverse();
        let (mut waiting, mut top) = ([0u32; DEEPEST], 1);
        while top > 0 {
            top -= 1;
            let at = waiting[top];
            let node = &self.nodes[at as usize];
            let (a, b) = ((node.low - ray.from) * steps, (node.high - ray.from) * steps);
            let near = max_fast(a.min(b).largest(), 0.0);
            if near > a.max(b).smallest() || near >= *limit {
                continue;
            }
            if node.count > 0 {
                for index in node.first..node.first + node.count {
                    if enough(index, &objects[index as usize], limit) {
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

/// Adds the branch over these objects, which start at `first` in the whole list.
fn grow(objects: &mut [Object], first: u32, nodes: &mut Vec<Node>) {
    let (low, high) = objects.iter().fold(EMPTY, |(low, high), object| (low.min(object.low), high.max(object.high)));
    let me = nodes.len();
    nodes.push(Node { low, high, right: 0, first, count: objects.len() as u32, axis: Axis::X });
    if objects.len() <= LEAF {
        return;
    }
    let (axis, cut) = cheapest_cut(objects);
    along(objects, axis);
    let (left, right) = objects.split_at_mut(cut);
    (nodes[me].axis, nodes[me].count) = (axis, 0);
    grow(left, first, nodes);
    nodes[me].right = nodes.len() as u32;
    grow(right, first + cut as u32, nodes);
}

/// Sorts objects by their middles on this axis.
fn along(objects: &mut [Object], axis: Axis) {
    objects.sort_by(|a, b| axis.of(a.low + a.high).total_cmp(&axis.of(b.low + b.high)));
}

/// Returns the axis, and the number of objects before the cut, that leave rays the least to try: the chance of entering
/// a branch grows with its box's surface, and the cost with its contents (surface area heuristic). Only the middle cuts
/// are tried, so that the tree stays shallow.
fn cheapest_cut(objects: &mut [Object]) -> (Axis, usize) {
    let count = objects.len();
    let least = count.div_ceil(LEAST_ONE_IN);
    let mut best = (f32::MAX, Axis::X, count / 2);
    for axis in [Axis::X, Axis::Y, Axis::Z] {
        along(objects, axis);
        let before = surfaces(objects.iter());
        let after = surfaces(objects.iter().rev());
        for cut in least..=count - least {
            let cost = before[cut - 1] * cut as f32 + after[count - cut - 1] * (count - cut) as f32;
            if cost < best.0 {
                best = (cost, axis, cut);
            }
        }
    }
    (best.1, best.2)
}

/// Returns half the surface of the box round the first object, the first two, and so on.
fn surfaces<'a>(objects: impl Iterator<Item = &'a Object>) -> Vec<f32> {
    let (mut low, mut high) = EMPTY;
    objects
        .map(|object| {
            (low, high) = (low.min(object.low), high.max(object.high));
            let size = high - low;
            size.x * size.y + size.y * size.z + size.z * size.x
        })
        .collect()
}
