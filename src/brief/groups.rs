//! Groups: prints that are parts of one picture, such as the panels of a triptych or the two pages of a spread.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::units::spelling::nearest;
use crate::units::{Length, show};

use super::layers::Layer;
use super::model::Print;
use super::origin::Origin;
use super::picture_patterns::PictureSelector;
use super::source::TextPosition;
use super::sources::BriefSources;
use super::toml_value::quote;

/// The key that names a group.
const GROUP: &str = "print.group";
/// The key that gives the distance between its parts.
const GAP: &str = "print.gap";

/// The groups of a brief, as its prints name them.
#[derive(Default)]
pub(super) struct Groups {
    /// By the group's name and the version of the order.
    by_name: BTreeMap<(Arc<str>, Option<Arc<str>>), Group>,
    /// The places of mistakes that have been reported: each version has the same.
    reported: BTreeSet<TextPosition>,
}

struct Group {
    /// Where its first part names it.
    place: TextPosition,
    /// The indices of its prints, left to right.
    parts: Vec<usize>,
    /// The gap that a part gives, and where that comes from.
    gap: Option<(Length, Origin)>,
}

impl Groups {
    /// Adds a print, which will have this index; says what is wrong with it as a part.
    pub(super) fn add(&mut self, reading: &mut BriefSources<'_>, layer: &Layer, print: &Print, index: usize) {
        let (named, gap) = (layer.get(GROUP), layer.get(GAP));
        let (Some(name), Some(named)) = (&print.group, named) else {
            if let Some(gap) = gap {
                let what = "gap is the distance between the parts of a group, and this print is in none";
                self.report(reading, gap.place, what, "write group = \"triptych\" in each part, or take gap out");
            }
            return;
        };
        if !matches!(print.pictures, PictureSelector::One(_)) {
            let what = "a part of a group takes exactly one picture";
            self.report(reading, named.place, what, "picture = \"p012-left*\" in this print, or take group out");
        }
        let new = || Group { place: named.place, parts: Vec::new(), gap: None };
        let version = print.version.as_ref().map(|version| version.name.clone());
        let group = self.by_name.entry((name.clone(), version)).or_insert_with(new);
        group.parts.push(index);
        let (Some(length), Some(entry)) = (print.gap, gap) else { return };
        match &group.gap {
            Some((other, _)) if *other != length => {
                let shown = |length: Length| show::length(length, print.size.unit);
                let what = format!("the gap is {} here and {} in another part", shown(length), shown(*other));
                self.report(
                    reading,
                    entry.place,
                    &what,
                    "a group has one gap: keep it in one part, take out the others",
                );
            }
            _ => group.gap = Some((length, entry.origin.clone())),
        }
    }

    fn report(&mut self, reading: &mut BriefSources<'_>, place: TextPosition, what: &str, fix: &str) {
        if self.reported.insert(place) {
            reading.report(place, what, fix);
        }
    }

    /// Gives every part the gap of its group; says which groups have one part only.
    pub(super) fn share_gaps(mut self, reading: &mut BriefSources<'_>, prints: &mut [(Option<TextPosition>, Print)]) {
        let groups = std::mem::take(&mut self.by_name);
        for ((name, _), group) in &groups {
            if group.parts.len() == 1 {
                let others = groups.keys().map(|(name, _)| &**name).filter(|other| *other != &**name);
                let fix = match nearest(name, others) {
                    Some(near) => format!("group = {}", quote(near)),
                    None => format!("write group = {} in its other parts, or take it out", quote(name)),
                };
                self.report(reading, group.place, &format!("only one print is in the group \"{name}\""), &fix);
            }
            let Some((gap, origin)) = &group.gap else { continue };
            for part in &group.parts {
                let Some((_, print)) = prints.get_mut(*part).filter(|(_, print)| print.gap.is_none()) else { continue };
                print.gap = Some(*gap);
                print.origins.set(GAP, origin.clone());
            }
        }
    }
}
