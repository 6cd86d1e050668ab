//! Connected regions of marked cells; cells that touch at a corner are connected.

/// A connected region of cells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ConnectedRegion {
    /// Cells in it.
    pub cells: u32,
    /// Of these, cells of kind 1.
    pub white: u32,
    /// True if it touches the outermost cells.
    pub is_at_edge: bool,
}

/// A run of marked cells in one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CellRun {
    /// The row.
    pub row: usize,
    /// The first cell.
    pub from: usize,
    /// The cell after the last.
    pub to: usize,
    /// Its region, by number.
    pub region: usize,
}

/// Finds the regions of the cells of some kinds, and the runs that they are made of.
pub fn regions(cells: &[u8], across: usize, is_marked: impl Fn(u8) -> bool) -> (Vec<ConnectedRegion>, Vec<CellRun>) {
    // Until all rows are seen, `region` is the run's own node in `parents`.
    let mut parents: Vec<usize> = Vec::new();
    let mut runs: Vec<CellRun> = Vec::new();
    let (mut above, mut here) = (0..0, 0..0);
    for (row, cells) in cells.chunks_exact(across.max(1)).enumerate() {
        let mut at = 0;
        while let Some(from) = cells[at..].iter().position(|kind| is_marked(*kind)).map(|ahead| at + ahead) {
            at = cells[from..].iter().position(|kind| !is_marked(*kind)).map_or(across, |ahead| from + ahead);
            let node = parents.len();
            parents.push(node);
            // Runs above that touch this one, corners too.
            for run in runs[above.clone()].iter().filter(|run| run.from <= at && from <= run.to) {
                join(&mut parents, run.region, node);
            }
            runs.push(CellRun { row, from, to: at, region: node });
        }
        (above, here) = (here.end..runs.len(), here.end..runs.len());
    }
    let mut numbers = vec![usize::MAX; parents.len()];
    let mut found: Vec<ConnectedRegion> = Vec::new();
    let down = cells.len() / across.max(1);
    for run in &mut runs {
        let root = root(&mut parents, run.region);
        if numbers[root] == usize::MAX {
            numbers[root] = found.len();
            found.push(ConnectedRegion::default());
        }
        run.region = numbers[root];
        let region = &mut found[run.region];
        region.cells += (run.to - run.from) as u32;
        let white = cells[run.row * across + run.from..run.row * across + run.to].iter().filter(|kind| **kind == 1);
        region.white += white.count() as u32;
        region.is_at_edge |= run.from == 0 || run.row == 0 || run.to == across || run.row + 1 == down;
    }
    (found, runs)
}

fn root(parents: &mut [usize], mut node: usize) -> usize {
    while parents[node] != node {
        parents[node] = parents[parents[node]];
        node = parents[node];
    }
    node
}

fn join(parents: &mut [usize], one: usize, other: usize) {
    let (one, other) = (root(parents, one), root(parents, other));
    parents[one.max(other)] = one.min(other);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(picture: &[&str]) -> Vec<u32> {
        let cells: Vec<u8> = picture.iter().flat_map(|row| row.bytes().map(|c| u8::from(c == b'#'))).collect();
        let mut sizes: Vec<u32> =
            regions(&cells, picture[0].len(), |kind| kind != 0).0.iter().map(|region| region.cells).collect();
        sizes.sort_unstable();
        sizes
    }

    #[test]
    fn corners_connect_and_gaps_do_not() {
        assert_eq!(of(&["#...", ".#..", "...#"]), [1, 2]);
        assert_eq!(of(&["#.#", "#.#", "###"]), [7]);
        assert_eq!(of(&["#.#.#", ".....", "#.#.#"]), [1; 6]);
        assert_eq!(of(&["..#", ".#.", "#.."]), [3]);
        assert_eq!(of(&["#", ".", "#"]), [1, 1]);
    }

    #[test]
    fn a_region_knows_its_runs_and_whether_it_touches_the_edge() {
        let cells = [0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 2];
        let (found, runs) = regions(&cells, 4, |kind| kind != 0);
        assert!(!found[0].is_at_edge && found[1].is_at_edge);
        assert_eq!((found[0].white, found[1].white), (1, 0));
        assert_eq!(
            runs,
            [CellRun { row: 1, from: 1, to: 2, region: 0 }, CellRun { row: 2, from: 3, to: 4, region: 1 }]
        );
    }
}
