//! What another colour space makes of a picture's colours: what it cannot hold, and how the picture looks when its
//! codes are read as that space's. Asked of the colours that occur, so that the cost does not grow with the picture.

use std::sync::Arc;

use crate::brief::Print;
use crate::brief::asked::Space;
use crate::colour::{Encoding, PaperProfile, Rgb, delta_e_2000};
use crate::measure::evidence::{Colour, MEAN_STEPS};
use crate::measure::{Evidence, Grid};
use crate::picture::Facts;
use crate::picture::facts::{Model, Profile};

/// Delta E 2000 from which a change is clearly seen. Source: grades of the trade's glossaries: 1 is seen by a trained
/// eye, 2 just clearly, 3 is distinct.
pub const SEEN: f64 = 2.0;

/// What a space cannot hold. Shares are of the picture; differences are Delta E 2000 against the nearest colour held.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outside {
    /// Share that is clearly seen to change.
    pub share: f64,
    /// Mean over the whole picture.
    pub mean: f64,
    /// 95 of 100 parts of the picture change by no more.
    pub most_of: f64,
    /// The largest.
    pub largest: f64,
}

/// How a picture looks when its codes are read as another space's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Misread {
    /// Mean chroma that is left, as a share of the true one.
    pub chroma_left: f64,
    /// Mean Delta E 2000.
    pub mean: f64,
}

/// Between which encodings a picture's colours are compared; `None` where there is nothing to compare.
pub fn way(facts: &Facts, asked: &[Space]) -> Option<(Encoding, Encoding)> {
    let mut spaces = asked.iter().filter_map(|space| match space {
        Space::Rgb(encoding) => Some(*encoding),
        Space::Grey | Space::Cmyk | Space::Paper => None,
    });
    let target = spaces.next()?;
    let source = meant(facts)?;
    (source != target && spaces.all(|other| other != source)).then_some((source, target))
}

/// The encoding of a picture's codes; `None` where it is no RGB picture, or its profile is none that is known by its
/// numbers.
fn meant(facts: &Facts) -> Option<Encoding> {
    facts.encoding().filter(|_| matches!(facts.model, Model::Rgb | Model::Palette))
}

/// The encoding that a picture's codes are read by: its own, or the asked one where it says nothing; `None` as for
/// [`way`].
pub fn read_as(facts: &Facts, asked: &[Space]) -> Option<Encoding> {
    let asked = asked.iter().find_map(|space| match space {
        Space::Rgb(encoding) => Some(*encoding),
        Space::Grey | Space::Cmyk | Space::Paper => None,
    });
    let silent = facts.model == Model::Rgb && facts.profile == Profile::None && facts.claim.is_none();
    meant(facts).or(asked.filter(|_| silent))
}

/// Whether a picture is in a space that is asked.
pub fn is_asked(facts: &Facts, asked: &[Space]) -> bool {
    meant(facts).is_some_and(|encoding| asked.contains(&Space::Rgb(encoding)))
}

/// Whether a picture's colours are in a space that is not known by its numbers.
pub fn unknown(facts: &Facts) -> bool {
    facts.model == Model::Rgb && facts.encoding().is_none() && matches!(facts.profile, Profile::Embedded(_))
}

/// What `target` cannot hold of colours in `source`.
pub fn outside(colours: &[Colour], source: Encoding, target: Encoding) -> Outside {
    let (from, to) = (Rgb::new(source), Rgb::new(target));
    let changes = colours.iter().filter_map(|one| change(&from, &to, one.codes()).map(|change| (change, one.count)));
    summed(changes.collect(), colours)
}

/// What a paper cannot hold of colours in `source`. Black point compensation is taken out first: that the whole scale
/// is squeezed to the paper's black is no loss of colour.
pub fn outside_paper(colours: &[Colour], source: Encoding, paper: &PaperProfile) -> Outside {
    let changes = paper_changes(colours, source, paper);
    summed(changes.into_iter().zip(colours).map(|(change, one)| (change, one.count)).collect(), colours)
}

/// How much each colour changes on a paper.
fn paper_changes(colours: &[Colour], source: Encoding, paper: &PaperProfile) -> Vec<f64> {
    let from = Rgb::new(source);
    let wanted: Vec<[f64; 3]> = colours.iter().map(|one| paper.compensated(from.lab(one.codes()))).collect();
    wanted.iter().zip(paper.held(&wanted)).map(|(wanted, held)| delta_e_2000(*wanted, held)).collect()
}

/// Changes of some of the colours, each with its pixels, over the whole picture.
fn summed(mut changes: Vec<(f64, u32)>, colours: &[Colour]) -> Outside {
    changes.sort_unstable_by(|one, other| other.0.total_cmp(&one.0));
    let all = colours.iter().map(|one| f64::from(one.count)).sum::<f64>().max(1.0);
    let over = changes.iter().take_while(|(change, _)| *change > SEEN);
    let mut beyond = 0.0;
    let twentieth = changes.iter().find(|(_, count)| {
        beyond += f64::from(*count) / all;
        beyond > 0.05
    });
    Outside {
        share: over.map(|(_, count)| u64::from(*count)).sum::<u64>() as f64 / all,
        mean: changes.iter().fold(0.0, |sum, (change, count)| sum + change * f64::from(*count)) / all,
        most_of: twentieth.map_or(0.0, |(change, _)| *change),
        largest: changes.first().map_or(0.0, |(change, _)| *change),
    }
}

/// How much a colour changes; `None` where it is held.
fn change(from: &Rgb, to: &Rgb, codes: [f64; 3]) -> Option<f64> {
    let colour = from.lab(codes);
    to.held(colour).map(|held| delta_e_2000(colour, held))
}

/// How colours in `source` look when they are read as `target`.
pub fn misread(colours: &[Colour], source: Encoding, target: Encoding) -> Misread {
    let (truly, wrongly) = (Rgb::new(source), Rgb::new(target));
    let (mut chroma, mut left, mut change, mut all) = (0.0, 0.0, 0.0, 0.0);
    for colour in colours {
        let (one, other) = (truly.lab(colour.codes()), wrongly.lab(colour.codes()));
        let count = f64::from(colour.count);
        all += count;
        chroma += count * one[1].hypot(one[2]);
        left += count * other[1].hypot(other[2]);
        change += count * delta_e_2000(one, other);
    }
    Misread { chroma_left: if chroma > 0.0 { left / chroma } else { 1.0 }, mean: change / f64::max(all, 1.0) }
}

/// Fields whose strongest colour a space cannot hold, each with how much it changes.
pub fn fields(evidence: &Evidence, source: Encoding, target: Encoding) -> impl Iterator<Item = ([f64; 4], f64)> {
    let (from, to) = (Rgb::new(source), Rgb::new(target));
    evidence.strongest.placed().map(move |(field, codes)| {
        let change = change(&from, &to, codes.map(f64::from)).filter(|change| *change > SEEN);
        (field, change.unwrap_or(0.0))
    })
}

/// Which fields hold a colour that is clearly seen to change.
#[derive(Clone, Debug, PartialEq)]
pub struct LostColours {
    /// In the asked space; `None` where no RGB space is asked.
    pub space: Option<Arc<Grid<bool>>>,
    /// On the paper; `None` without its profile.
    pub paper: Option<Arc<Grid<bool>>>,
}

impl LostColours {
    /// Of a picture for a print; `None` where its colours are not known by their numbers.
    pub fn of(print: &Print, facts: &Facts, evidence: &Evidence) -> Option<LostColours> {
        let asked = &print.asked.colour.spaces;
        let source = read_as(facts, asked)?;
        let strongest = &evidence.strongest;
        let grid = |fields: Vec<bool>| Some(Arc::new(Grid { across: strongest.across, down: strongest.down, fields }));
        let space = match way(facts, asked) {
            Some((source, target)) => grid(fields(evidence, source, target).map(|(_, change)| change > 0.0).collect()),
            None if asked.iter().any(|space| matches!(space, Space::Rgb(_))) => {
                grid(vec![false; strongest.fields.len()])
            }
            None => None,
        };
        let paper = print.asked.paper.printer.as_deref().and_then(|printer| {
            let whole =
                |codes: &[u8; 3]| Colour { mean: codes.map(|code| u16::from(code) * MEAN_STEPS as u16), count: 1 };
            let colours: Vec<Colour> = strongest.fields.iter().map(whole).collect();
            grid(paper_changes(&colours, source, printer).into_iter().map(|change| change > SEEN).collect())
        });
        Some(LostColours { space, paper })
    }
}

/// The names of what changes most when `target` has to hold it, one or two: `strong greens and deep blues`.
pub fn named(colours: &[Colour], source: Encoding, target: Encoding) -> String {
    let (from, to) = (Rgb::new(source), Rgb::new(target));
    names(colours, &from, |one| change(&from, &to, one.codes()))
}

/// The same of a paper.
pub fn named_on_paper(colours: &[Colour], source: Encoding, paper: &PaperProfile) -> String {
    let mut changes = paper_changes(colours, source, paper).into_iter();
    names(colours, &Rgb::new(source), |_| changes.next())
}

fn names(colours: &[Colour], from: &Rgb, mut change: impl FnMut(&Colour) -> Option<f64>) -> String {
    let mut weights: Vec<(String, f64)> = Vec::new();
    for colour in colours {
        let Some(change) = change(colour).filter(|change| *change > SEEN) else { continue };
        let name = name(from.lab(colour.codes()));
        let weight = change * f64::from(colour.count);
        match weights.iter_mut().find(|(known, _)| *known == name) {
            Some((_, sum)) => *sum += weight,
            None => weights.push((name, weight)),
        }
    }
    weights.sort_by(|one, other| other.1.total_cmp(&one.1));
    let most = weights.first().map_or(0.0, |(_, weight)| *weight);
    let names: Vec<&str> =
        weights.iter().take(2).filter(|(_, weight)| *weight >= most / 3.0).map(|(name, _)| name.as_str()).collect();
    names.join(" and ")
}

/// Hue angles, in degrees of a* and b*, up to which a colour has a name. Source: where sRGB's and the painter's colours
/// lie; common practice.
const HUES: [(f64, &str); 9] = [
    (15.0, "pinks"),
    (50.0, "reds"),
    (75.0, "oranges"),
    (105.0, "yellows"),
    (170.0, "greens"),
    (235.0, "blue-greens"),
    (300.0, "blues"),
    (335.0, "purples"),
    (360.0, "pinks"),
];

/// L* below and above which a colour is deep or light. Own choice.
const DEEP: f64 = 40.0;
/// See [`DEEP`].
const LIGHT: f64 = 75.0;

fn name([light, a, b]: [f64; 3]) -> String {
    let hue = b.atan2(a).to_degrees().rem_euclid(360.0);
    let hue = HUES.iter().find(|(to, _)| hue < *to).map_or("pinks", |(_, name)| name);
    let depth = match light {
        light if light < DEEP => "deep",
        light if light > LIGHT => "light",
        _ => "strong",
    };
    format!("{depth} {hue}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn colour(codes: [u16; 3], count: u32) -> Colour {
        Colour { mean: codes.map(|code| code * 256), count }
    }

    #[test]
    fn a_green_beyond_srgb_counts_with_its_share_and_its_name() {
        let colours = [colour([0, 255, 0], 10), colour([128; 3], 90)];
        let found = outside(&colours, Encoding::AdobeRgb, Encoding::Srgb);
        assert_eq!(found.share, 0.1);
        assert!(found.largest > SEEN && (found.mean - found.largest / 10.0).abs() < 1e-12, "{found:?}");
        assert_eq!(found.most_of, found.largest);
        assert_eq!(named(&colours, Encoding::AdobeRgb, Encoding::Srgb), "light greens");
        assert_eq!(outside(&colours[1..], Encoding::AdobeRgb, Encoding::Srgb), Outside::default());
    }

    #[test]
    fn what_a_larger_space_is_asked_for_is_held() {
        let colours = [colour([0, 255, 0], 1), colour([255, 0, 0], 1), colour([0, 0, 255], 1)];
        assert_eq!(outside(&colours, Encoding::Srgb, Encoding::AdobeRgb).share, 0.0);
    }

    #[test]
    fn a_paper_of_srgb_cannot_hold_what_srgb_cannot() {
        let paper = PaperProfile::new(&crate::colour::paper::printer_of(Encoding::Srgb)).unwrap();
        let colours = [colour([0, 255, 0], 10), colour([128; 3], 90)];
        let (one, other) = (
            outside_paper(&colours, Encoding::AdobeRgb, &paper),
            outside(&colours, Encoding::AdobeRgb, Encoding::Srgb),
        );
        assert_eq!(one.share, other.share);
        assert!((one.largest - other.largest).abs() < 0.2, "{one:?} {other:?}");
        assert_eq!(named_on_paper(&colours, Encoding::AdobeRgb, &paper), "light greens");
    }

    #[test]
    fn wide_codes_read_as_srgb_lose_colour() {
        let found = misread(&[colour([180, 60, 50], 1)], Encoding::AdobeRgb, Encoding::Srgb);
        assert!(found.chroma_left < 0.95 && found.mean > 2.0, "{found:?}");
        let grey = misread(&[colour([128; 3], 1)], Encoding::AdobeRgb, Encoding::Srgb);
        assert!(grey.mean < 1.0, "{grey:?}");
        assert_eq!(misread(&[], Encoding::AdobeRgb, Encoding::Srgb).chroma_left, 1.0);
    }
}
