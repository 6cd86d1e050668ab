//! The two sides at which a part of a group meets its neighbours.

use crate::judge::metrics::cut_lines::CutLines;
use crate::judge::placement::Placement;
use crate::measure::Evidence;
use crate::measure::seam::{SeamEdge, Side};

/// The left and the right edge of a print's picture where it is cut, as far as they could be measured.
#[derive(Clone, Debug, PartialEq)]
pub struct PartEdges {
    /// Where it meets the part on its left.
    pub left: Option<SeamEdge>,
    /// Where it meets the part on its right.
    pub right: Option<SeamEdge>,
}

impl PartEdges {
    /// Returns the edges of a picture at the finished size of its print; `None` while there is no picture.
    pub fn of(placement: &Placement, evidence: &Evidence) -> Option<PartEdges> {
        let [left, top, right, bottom] = CutLines::centred(placement)?.finished;
        let edge = |side, at| SeamEdge::of(&evidence.appearance.ends, side, at, (top, bottom));
        Some(PartEdges { left: edge(Side::Left, left), right: edge(Side::Right, right) })
    }
}
