//! A drawn box, and its place in another export of the same picture.

use std::cell::OnceCell;
use std::collections::HashMap;
use std::sync::Arc;

use crate::judge::model::evidence_handle::EvidenceHandle;
use crate::judge::subject::{Area, BoxOrigin, Subject};
use crate::measure::alignment::{PlacedFrame, align};
use crate::measure::{Evidence, Grid};

/// Width left of a box along a side that an export cropped away: a sliver at that edge, so that the loss is seen. Twice
/// the step of the four decimals stored.
const SLIVER: f64 = 0.000_2;

/// A box that a person drew, and the picture it was drawn on.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnBox {
    /// The box, in four decimals.
    pub area: Area,
    /// SHA-256 of the bytes it was drawn on, lower-case hexadecimal; empty where unknown.
    pub sha256: String,
    /// Small grey picture of those bytes; empty where there is none.
    pub grey_thumbnail: Grid<u8>,
}

impl DrawnBox {
    /// Returns a box drawn on the picture with this evidence; `None` where four decimals leave nothing of it.
    pub fn on(evidence: &Evidence, area: Area) -> Option<DrawnBox> {
        let area = area.round()?;
        Some(DrawnBox { area, sha256: evidence.sha256.clone(), grey_thumbnail: evidence.appearance.small.clone() })
    }
}

/// An export that boxes are carried to. Its evidence is fetched once, and each picture that boxes were drawn on is
/// aligned with it once, for any number of prints with boxes of their own.
#[derive(Debug)]
pub struct Carrying<'a> {
    evidence_handle: Option<&'a EvidenceHandle>,
    evidence: OnceCell<Option<Arc<Evidence>>>,
    /// Alignments by small grey picture: its width and codes.
    frames: HashMap<(usize, &'a [u8]), Option<PlacedFrame>>,
}

impl<'a> Carrying<'a> {
    /// Begins carrying to an export; `None` while its pixels are not known: every box carried there is doubtful then.
    pub fn to(evidence_handle: Option<&'a EvidenceHandle>) -> Carrying<'a> {
        Carrying { evidence_handle, evidence: OnceCell::new(), frames: HashMap::new() }
    }

    /// Returns a box's place in the export.
    pub fn carry(&mut self, drawn: &'a DrawnBox) -> Subject {
        let doubtful = Subject { area: drawn.area, origin: BoxOrigin::Doubtful };
        let Some(evidence_handle) = self.evidence_handle else { return doubtful };
        if evidence_handle.sha256 == drawn.sha256 {
            return Subject { area: drawn.area, origin: BoxOrigin::Drawn };
        }
        let evidence = self.evidence.get_or_init(|| evidence_handle.evidence());
        let find_frame =
            || evidence.as_ref().and_then(|evidence| align(&drawn.grey_thumbnail, &evidence.appearance.small));
        let frame =
            *self.frames.entry((drawn.grey_thumbnail.across, &drawn.grey_thumbnail.fields)).or_insert_with(find_frame);
        let carried = frame.and_then(|frame| within(drawn.area, frame));
        carried.map_or(doubtful, |area| Subject { area, origin: BoxOrigin::Carried })
    }
}

/// Returns a box moved into another frame, clipped to it.
fn within(area: Area, frame: PlacedFrame) -> Option<Area> {
    let along = |low: f64, high: f64, from: f64, to: f64| {
        let inside = |at: f64| ((at - from) / (to - from)).clamp(0.0, 1.0);
        let (low, high) = (inside(low), inside(high));
        if high - low >= SLIVER { (low, high) } else { (low.min(1.0 - SLIVER), high.max(SLIVER)) }
    };
    let (left, right) = along(area.left, area.right, frame[0], frame[2]);
    let (top, bottom) = along(area.top, area.bottom, frame[1], frame[3]);
    Area::new(left, top, right, bottom)?.round()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::EvidenceSource;
    use std::sync::atomic::{AtomicUsize, Ordering};

    fn area(left: f64, top: f64, right: f64, bottom: f64) -> Area {
        Area::new(left, top, right, bottom).unwrap()
    }

    fn evidence(sha256: &str, small: Grid<u8>) -> Evidence {
        let mut evidence = Evidence::nothing(sha256);
        evidence.appearance.small = small;
        evidence
    }

    fn evidence_handle(sha256: &str, small: Grid<u8>) -> EvidenceHandle {
        EvidenceHandle::in_memory(evidence(sha256, small))
    }

    fn carried(drawn: &DrawnBox, evidence_handle: Option<&EvidenceHandle>) -> Subject {
        Carrying::to(evidence_handle).carry(drawn)
    }

    #[test]
    fn an_export_is_fetched_once_for_all_its_boxes() {
        #[derive(Debug)]
        struct Fetched(Evidence, AtomicUsize);
        impl EvidenceSource for Fetched {
            fn evidence(&self) -> Option<Arc<Evidence>> {
                self.1.fetch_add(1, Ordering::SeqCst);
                Some(Arc::new(self.0.clone()))
            }
        }
        let export = evidence("b", patches(0, 48));
        let fetched = Arc::new(Fetched(export.clone(), AtomicUsize::new(0)));
        let evidence_handle = EvidenceHandle::stored(&export, fetched.clone());
        let boxes = [0.1, 0.2, 0.3]
            .map(|left| DrawnBox::on(&evidence("a", patches(0, 48)), area(left, 0.25, 0.75, 0.5)).unwrap());
        let mut carrying = Carrying::to(Some(&evidence_handle));
        assert!(boxes.iter().all(|drawn| carrying.carry(drawn).origin == BoxOrigin::Carried));
        assert_eq!((fetched.1.load(Ordering::SeqCst), carrying.frames.len()), (1, 1));
    }

    /// Patches, each of its own lightness, six cells a side.
    fn patches(left: usize, across: usize) -> Grid<u8> {
        let patch = |at: usize| {
            let (x, y) = ((at % across + left) / 6, at / across / 6);
            (((x * 31 + y * 17 + x * y * 7) * 37) % 211 + 20) as u8
        };
        Grid { across, down: 48, fields: (0..across * 48).map(patch).collect() }
    }

    #[test]
    fn on_the_same_bytes_it_is_drawn_whatever_they_look_like() {
        let drawn = DrawnBox::on(&evidence("a", Grid::default()), area(0.2, 0.3, 0.7, 0.8)).unwrap();
        assert_eq!(carried(&drawn, Some(&evidence_handle("a", Grid::default()))).origin, BoxOrigin::Drawn);
        assert_eq!(carried(&drawn, Some(&evidence_handle("b", Grid::default()))).origin, BoxOrigin::Doubtful);
        assert_eq!(carried(&drawn, None), Subject { area: area(0.2, 0.3, 0.7, 0.8), origin: BoxOrigin::Doubtful });
    }

    #[test]
    fn the_same_frame_keeps_the_coordinates_and_a_crop_moves_them() {
        let drawn = DrawnBox::on(&evidence("a", patches(0, 48)), area(0.5, 0.25, 0.75, 0.5)).unwrap();
        let again = carried(&drawn, Some(&evidence_handle("b", patches(0, 48))));
        assert_eq!(again, Subject { area: area(0.5, 0.25, 0.75, 0.5), origin: BoxOrigin::Carried });
        // A quarter cut off at the left: what was at 1/2 is at 1/3.
        let cropped = carried(&drawn, Some(&evidence_handle("b", patches(12, 36))));
        assert_eq!(cropped.origin, BoxOrigin::Carried);
        assert!((cropped.area.left - 1.0 / 3.0).abs() < 0.015 && (cropped.area.right - 2.0 / 3.0).abs() < 0.015);
        assert!((cropped.area.top - 0.25).abs() < 0.015);
    }

    #[test]
    fn a_cropped_subject_is_kept_at_the_edge() {
        let frame = [0.4, 0.0, 1.0, 1.0];
        assert_eq!(within(area(0.1, 0.2, 0.7, 0.8), frame), Some(area(0.0, 0.2, 0.5, 0.8)));
        let gone = within(area(0.1, 0.2, 0.3, 0.8), frame).unwrap();
        assert!(gone.left == 0.0 && gone.right <= 0.001, "{gone:?}");
        let gone = within(area(0.1, 0.2, 0.3, 0.8), [-1.0, 0.0, 0.05, 1.0]).unwrap();
        assert!(gone.right == 1.0 && gone.left >= 0.999, "{gone:?}");
    }
}
