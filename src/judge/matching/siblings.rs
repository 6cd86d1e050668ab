//! The pictures of one print in the versions of an order, which are compared with each other.

use std::collections::HashMap;
use std::sync::Arc;

use rayon::prelude::*;

use crate::brief::picture_patterns::PictureSelector;
use crate::brief::{PrintId, PrintsById};
use crate::judge::model::check::JudgedOrder;
use crate::judge::model::evidence_handle::EvidenceHandle;
use crate::judge::model::row::Row;
use crate::measure::alignment::PlacedFrame;
use crate::picture::PictureKey;

/// A picture of a print in one version.
#[derive(Clone, Copy, Debug)]
pub struct SiblingPicture<'a> {
    /// The row of the picture for its print.
    pub row: &'a Row,
    /// The version's place among the versions of the order.
    pub version: usize,
    handle: Option<&'a Arc<EvidenceHandle>>,
}

/// The pictures of one print, by versions: of a print that takes one picture, that one; of others, those whose names
/// are the same without the extension.
#[derive(Clone, Debug)]
pub struct Siblings<'a> {
    /// What the versions of the print have in common.
    pub base_id: &'a PrintId,
    /// The pictures, in the order of the versions; never two of one version.
    pub pictures: Vec<SiblingPicture<'a>>,
    /// The versions in which the print has pictures, but not this one.
    pub absent_in: Vec<usize>,
}

/// Two pictures of one print: that of the first version that has one, and that of another.
pub type SiblingPair<'a> = (SiblingPicture<'a>, SiblingPicture<'a>);

/// Returns the pictures of each print by versions, in the brief's order; nothing where the order has no versions. Of a
/// print that takes one picture and has several in one version nobody knows which is meant: it is left out.
pub fn siblings<'a>(order: &JudgedOrder<'a>) -> Vec<Siblings<'a>> {
    if order.brief.order_versions.len() < 2 {
        return Vec::new();
    }
    let prints = PrintsById::of(order.brief);
    let handles: HashMap<&PictureKey, &Arc<EvidenceHandle>> =
        order.files.iter().filter_map(|file| Some((&file.key, file.evidence_handle()?))).collect();
    let mut groups: Vec<Siblings> = Vec::new();
    let mut places: HashMap<(&PrintId, String), usize> = HashMap::new();
    let mut versions_of: HashMap<&PrintId, Vec<usize>> = HashMap::new();
    for row in order.rows {
        let (Some(print), Some(key)) = (prints.get(row.key.print.as_ref()), row.key.picture.as_ref()) else { continue };
        let Some(version) = order.brief.version_at(key.as_str()) else { continue };
        let name = match print.pictures {
            PictureSelector::One(_) => String::new(),
            PictureSelector::Many(_) | PictureSelector::Rest => {
                let inside = order.brief.order_versions[version].path_inside(key.as_str()).unwrap_or_default();
                inside.rsplit_once('.').map_or(inside, |(stem, _)| stem).to_lowercase()
            }
        };
        let place = *places.entry((&print.base_id, name)).or_insert(groups.len());
        if place == groups.len() {
            groups.push(Siblings { base_id: &print.base_id, pictures: Vec::new(), absent_in: Vec::new() });
        }
        groups[place].pictures.push(SiblingPicture { row, version, handle: handles.get(key).copied() });
        let of_print = versions_of.entry(&print.base_id).or_default();
        if !of_print.contains(&version) {
            of_print.push(version);
        }
    }
    let complete = |mut group: Siblings<'a>| {
        group.pictures.sort_by_key(|picture| picture.version);
        let is_twice = group.pictures.windows(2).any(|two| two[0].version == two[1].version);
        let has = |version: &usize| group.pictures.iter().any(|picture| picture.version == *version);
        group.absent_in = versions_of[group.base_id].iter().copied().filter(|version| !has(version)).collect();
        (!is_twice).then_some(group)
    };
    groups.into_iter().filter_map(complete).collect()
}

/// Returns every picture with that of the first version of its print.
pub fn pairs<'a>(order: &JudgedOrder<'a>) -> Vec<SiblingPair<'a>> {
    let of_group = |group: Siblings<'a>| {
        let first = group.pictures.first().copied();
        group.pictures.into_iter().skip(1).filter_map(move |other| Some((first?, other)))
    };
    siblings(order).into_iter().flat_map(of_group).collect()
}

/// How two pictures of one print compare by their looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LookCompared {
    /// The second shows this frame of the first.
    Same(PlacedFrame),
    /// It is hardly the same picture.
    Another,
    /// Not known: not read yet, or neither recognised nor clearly another.
    Unknown,
}

/// Returns the pairs with how their looks compare, which is found once for two files and kept.
pub fn compared<'a>(order: &JudgedOrder<'a>) -> Vec<(SiblingPair<'a>, LookCompared)> {
    pairs(order).into_par_iter().map(|pair| (pair, compare(&pair))).collect()
}

fn compare((first, other): &SiblingPair) -> LookCompared {
    let (Some(one), Some(two)) = (first.handle, other.handle) else { return LookCompared::Unknown };
    if one.sha256 == two.sha256 {
        return LookCompared::Same([0.0, 0.0, 1.0, 1.0]);
    }
    match two.frame_in(one) {
        Some(frame) => LookCompared::Same(frame),
        None => match (&one.impression, &two.impression) {
            (Some(one), Some(two)) if one.is_another(two) => LookCompared::Another,
            _ => LookCompared::Unknown,
        },
    }
}

#[cfg(test)]
pub mod testing {
    //! Pictures in two versions, for the tests of rules.

    use crate::judge::Submission;
    use crate::judge::testing::{sound_submission, with_evidence};
    use crate::measure::Grid;

    /// Two versions: masters in rgb, press in cmyk.
    pub const TWO: &str =
        "[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n[[version]]\nname = \"press\"\nfolder = \"cmyk\"\n";

    /// Cells a side of the painted thumbnails.
    const CELLS: usize = 96;
    /// The whole of a scene.
    pub const WHOLE: [f64; 4] = [0.0, 0.0, 1.0, 1.0];

    /// Returns a picture of scene number `scene`, of which it shows the frame from left and top to right and bottom, as
    /// shares of the sides.
    pub fn look(name: &str, scene: u64, [left, top, right, bottom]: [f64; 4]) -> Submission {
        let cells = |share: f64| (share * CELLS as f64).round() as usize;
        let (across, down) = (cells(right - left), cells(bottom - top));
        let place = |at: usize, of: usize, from: f64, to: f64| from + (at as f64 + 0.5) / of as f64 * (to - from);
        let cell =
            |at: usize| shade(scene, place(at % across, across, left, right), place(at / across, down, top, bottom));
        let small = Grid { across, down, fields: (0..across * down).map(cell).collect() };
        let hash = scene.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        let file = sound_submission(name, 2400, 3000);
        with_evidence(file, |e| {
            (e.appearance.frequency_hash, e.appearance.difference_hash) = (hash, hash.rotate_left(7));
            e.appearance.small = small;
        })
    }

    /// Returns the lightness of a scene at a place: blots of its own here and there.
    fn shade(scene: u64, x: f64, y: f64) -> u8 {
        let mut state = scene.wrapping_mul(0x2545_f491_4f6c_dd1d) | 1;
        let mut random = || {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        let mut light = 0.5;
        for _ in 0..40 {
            let (across, down, size, strength) = (random(), random(), 0.03 + 0.1 * random(), random() - 0.5);
            light += strength * (-((x - across).powi(2) + (y - down).powi(2)) / (2.0 * size * size)).exp();
        }
        (light.clamp(0.0, 1.0) * 255.0) as u8
    }
}

#[cfg(test)]
mod tests {
    use super::testing::TWO;
    use crate::judge::testing::{brief, sound_submission, with_sha256};
    use crate::judge::{Submission, judge};
    use crate::picture::PictureKey;
    use crate::units::growth::grows_less_than_square;

    #[test]
    fn prints_in_two_versions_cost_by_their_number_and_not_by_its_square() {
        let order = |count: usize| {
            let print = |at| format!("[[print]]\nname = \"p{at}\"\nsize = \"8 x 10 in\"\npicture = \"p{at}\"\n");
            let text = TWO.to_owned() + &(0..count).map(print).collect::<String>();
            let one = sound_submission("a.jpg", 2400, 3000);
            let file = |name: String| {
                let key = PictureKey::from_text(&name);
                with_sha256(Submission { key, ..one.clone() }, &name)
            };
            let files: Vec<Submission> = ["cmyk", "rgb"]
                .iter()
                .flat_map(|of| (0..count).map(move |at| format!("{of}/p{at}.jpg")))
                .map(file)
                .collect();
            (brief(&text), files)
        };
        grows_less_than_square(250, order, |(brief, files)| {
            assert_eq!(judge(&brief, &files).rows.len(), brief.prints.len());
        });
    }
}
