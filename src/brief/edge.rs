//! What becomes of a print's edge: what `edge` says, else the margin that one edge alone uses, else what is usual for
//! the process. Such a margin beside another edge is refused, so that no margin is ever passed over in silence.

use super::layers::{EffectiveLayers, Layer, LocatedValue};
use super::origin::Origin;
use super::requirements::{BorderFit, Edge, WrapSides};
use super::values::{MarginValue, Value};
use crate::units::Length;

/// The key that states it by name.
pub(super) const EDGE: &str = "margins.edge";
/// The keys that one edge alone uses, in the order of the key table.
pub(super) const KEYS: &[(&str, Edge)] = &[
    ("margins.bleed", Edge::Bleed),
    ("margins.border", Edge::Border),
    ("margins.fit", Edge::Border),
    ("margins.wrap", Edge::Wrap),
    ("margins.sides", Edge::Wrap),
    ("margins.includes_bleed", Edge::Bleed),
];

/// The edge of a print, and the key that states it.
pub(super) struct StatedEdge {
    pub(super) edge: Edge,
    /// The path of the key: `margins.edge`, or one of [`KEYS`].
    pub(super) key: &'static str,
    pub(super) origin: Origin,
}

impl StatedEdge {
    /// True if the key `edge` itself states it.
    pub(super) fn is_outright(&self) -> bool {
        self.key == EDGE
    }
}

/// Returns the edge that the brief states: by `edge`, else by a margin that one edge alone uses, the print's own before
/// its version's, and that before the order's; `None` where it states neither. A margin of the brief comes before the
/// edge of a printer's sheet, and any margin before the edge of a starter, which nobody has said.
pub(super) fn find_stated(view: EffectiveLayers<'_>) -> Option<StatedEdge> {
    let by_margin = |layer: &Layer| {
        let stated = KEYS.iter().filter_map(|(key, edge)| Some((stated_by(layer, key)?, *key, *edge)));
        let (entry, key, edge) = stated.min_by_key(|(entry, ..)| entry.distance())?;
        Some((StatedEdge { edge, key, origin: entry.origin.clone() }, entry.distance()))
    };
    let outright = view.entry(EDGE).and_then(|entry| {
        let Value::Word(word) = &entry.value else { return None };
        Some((StatedEdge { edge: Edge::from_word(word)?, key: EDGE, origin: entry.origin.clone() }, entry.distance()))
    });
    let own = view.print.and_then(by_margin).or_else(|| view.version.and_then(by_margin));
    let is_order_s = own.is_none();
    match (outright, own.or_else(|| by_margin(view.order))) {
        (Some((outright, far)), Some((margin, near))) => {
            let counts = near < far && (is_order_s || outright.origin.is_open());
            Some(if counts { margin } else { outright })
        }
        (outright, margin) => outright.or(margin).map(|(stated, _)| stated),
    }
}

/// True if an edge uses a key: all but those of other edges.
pub(super) fn uses(edge: Edge, key: &str) -> bool {
    KEYS.iter().all(|(one, of)| *one != key || *of == edge)
}

/// Returns the value that a layer has for one of [`KEYS`]; `None` too for a margin of zero, which every edge satisfies.
pub(super) fn stated_by<'a>(layer: &'a Layer, key: &str) -> Option<&'a LocatedValue> {
    layer.get(key).filter(|entry| match &entry.value {
        Value::Length(length, _) | Value::Sides(MarginValue::All(length, _)) => *length != Length::ZERO,
        Value::Sides(MarginValue::By(sides, _)) => sides.iter().any(|(_, length)| *length != Length::ZERO),
        // What every edge does.
        Value::Word(word) => ![BorderFit::default().word(), WrapSides::default().word()].contains(word),
        _ => true,
    })
}
