//! Connected regions of marked cells; cells that touch at a corner are connected.

/// A region.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Region {
    /// Cells in it.
    pub cells: u32,
    /// Of these, cells of kind 1.
    pub white: u32,
    /// Whether it touches the outermost cells.
    pub at_edge: bool,
}

/// A run of marked cells in one row: where it begins and ends, and its node.
#[derive(Clone, Copy)]
struct Run {
    from: usize,
    to: usize,
    node: u32,
}

/// The regions, and for each cell 0 or one more than the number of its region.
pub fn regions(cells: &[u8], across: usize) -> (Vec<Region>, Vec<u32>) {
    let mut parents: Vec<u32> = Vec::new();
    let mut numbers = vec![0u32; cells.len()];
    let (mut above, mut here): (Vec<Run>, Vec<Run>) = (Vec::new(), Vec::new());
    for (y, row) in cells.chunks_exact(across).enumerate() {
        here.clear();
        let mut at = 0;
        while at < across {
            if row[at] == 0 {
                at += 1;
                continue;
            }
            let from = at;
            while at < across && row[at] != 0 {
                at += 1;
            }
            let node = parents.len() as u32;
            parents.push(node);
            // Runs above that touch this one, corners too.
            for run in above.iter().filter(|run| run.from <= at && from <= run.to) {
                join(&mut parents, run.node, node);
            }
            numbers[y * across + from..y * across + at].fill(node + 1);
            here.push(Run { from, to: at, node });
        }
        std::mem::swap(&mut above, &mut here);
    }
    let mut named = vec![u32::MAX; parents.len()];
    let mut found: Vec<Region> = Vec::new();
    let down = cells.len() / across.max(1);
    for (at, number) in numbers.iter_mut().enumerate().filter(|(_, number)| **number > 0) {
        let root = root(&mut parents, *number - 1) as usize;
        if named[root] == u32::MAX {
            named[root] = found.len() as u32;
            found.push(Region::default());
        }
        let region = &mut found[named[root] as usize];
        let (x, y) = (at % across, at / across);
        region.cells += 1;
        region.white += u32::from(cells[at] == 1);
        region.at_edge |= x == 0 || y == 0 || x + 1 == across || y + 1 == down;
        *number = named[root] + 1;
    }
    (found, numbers)
}

fn root(parents: &mut [u32], mut node: u32) -> u32 {
    while parents[node as usize] != node {
        let parent = parents[node as usize];
        parents[node as usize] = parents[parent as usize];
        node = parents[node as usize];
    }
    node
}

fn join(parents: &mut [u32], one: u32, other: u32) {
    let (one, other) = (root(parents, one), root(parents, other));
    parents[one.max(other) as usize] = one.min(other);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(picture: &[&str]) -> Vec<u32> {
        let cells: Vec<u8> = picture.iter().flat_map(|row| row.bytes().map(|c| u8::from(c == b'#'))).collect();
        let mut sizes: Vec<u32> = regions(&cells, picture[0].len()).0.iter().map(|region| region.cells).collect();
        sizes.sort_unstable();
        sizes
    }

    #[test]
    fn corners_connect_and_gaps_do_not() {
        assert_eq!(of(&["#...", ".#..", "...#"]), [1, 2]);
        assert_eq!(of(&["#.#", "#.#", "###"]), [7]);
        assert_eq!(of(&["#.#.#", ".....", "#.#.#"]), [1; 6]);
        assert_eq!(of(&["..#", ".#.", "#.."]), [3]);
    }

    #[test]
    fn a_region_knows_whether_it_touches_the_edge() {
        let cells = [0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 2];
        let (found, numbers) = regions(&cells, 4);
        assert_eq!(found.len(), 2);
        assert!(!found[0].at_edge && found[1].at_edge);
        assert_eq!((found[0].white, found[1].white, numbers[5], numbers[11]), (1, 0, 1, 2));
    }
}
