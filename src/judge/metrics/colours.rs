//! Effects of another colour space on a picture's colours: those out of gamut, and the appearance when the codes are
//! read as that space's. Calculated for the colours that occur, so that the cost does not grow with the picture.

use serde::{Deserialize, Serialize};

use crate::brief::requirements::Space;
use crate::colour::{Encoding, NumberMeaning, NumberReader, PaperProfile, Rgb, delta_e_2000};
use crate::measure::Evidence;
use crate::measure::cube::misread;
use crate::measure::evidence::{Colour, Misread};
use crate::picture::Facts;
use crate::picture::facts::{ColourModel, EmbeddedProfile};

/// Delta E 2000 from which a change is clearly seen. Source: grades of the trade's glossaries: 1 is seen by a trained
/// eye, 2 just clearly, 3 is distinct.
pub const SEEN: f64 = 2.0;

/// Colours out of gamut. Shares are of the picture; differences are Delta E 2000 from the nearest colour in gamut.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct OutOfGamut {
    /// Share that changes clearly visibly.
    pub share: f64,
    /// Mean change over the whole picture.
    pub mean_delta_e: f64,
    /// Change that 95 of 100 parts of the picture do not exceed.
    pub percentile_95: f64,
    /// Largest change.
    pub largest: f64,
}

/// Returns the required space to compare a picture's colours with; `None` where it already is in one, or none is
/// required.
pub fn target(facts: &Facts, evidence: &Evidence, required: &[Space]) -> Option<Encoding> {
    let source = match evidence.counted_in.filter(|_| is_rgb(facts)) {
        Some(numbers) => numbers,
        None => NumberMeaning::Codes(encoding_of(facts)?),
    };
    required_other_than(source, required)
}

/// Returns the required space that a picture's codes may be mistaken for.
pub fn target_misread(facts: &Facts, evidence: &Evidence, required: &[Space]) -> Option<Encoding> {
    match evidence.as_srgb {
        Some(_) => required_other_than(NumberMeaning::Lab, required),
        None => required_other_than(NumberMeaning::Codes(encoding_of(facts)?), required),
    }
}

fn required_other_than(source: NumberMeaning, required: &[Space]) -> Option<Encoding> {
    let mut spaces = required.iter().filter_map(|space| space.rgb());
    let target = spaces.next()?;
    let other = |encoding: Encoding| source != NumberMeaning::Codes(encoding);
    (other(target) && spaces.all(other)).then_some(target)
}

/// True if its codes are RGB.
pub fn is_rgb(facts: &Facts) -> bool {
    matches!(facts.model, ColourModel::Rgb | ColourModel::Palette)
}

/// True if a picture is stored as RGB and grey throughout, R = G = B in every colour counted: every space holds greys,
/// so that conversion loses nothing.
pub fn is_grey_as_rgb(facts: &Facts, evidence: &Evidence) -> bool {
    let is_grey = |codes: &[u16; 3]| codes.iter().all(|code| *code == codes[0]);
    let counted = evidence.colours.iter().map(|colour| &colour.mean);
    facts.model == ColourModel::Rgb
        && evidence.counted_in.is_none()
        && !evidence.colours.is_empty()
        && counted.chain(&evidence.most_saturated.fields).all(is_grey)
}

/// Returns the encoding of a picture's codes; `None` for a picture that is not RGB or whose profile's numbers are not
/// those of a known space.
fn encoding_of(facts: &Facts) -> Option<Encoding> {
    facts.encoding().filter(|_| is_rgb(facts))
}

/// Returns how a picture's counted numbers are read: as its profile converted them, in its own encoding, or in the
/// required one where the file has none; `None` where it is unknown.
pub fn read_as(facts: &Facts, evidence: &Evidence, required: &[Space]) -> Option<NumberMeaning> {
    let required = required.iter().find_map(|space| space.rgb());
    let silent = facts.model == ColourModel::Rgb && facts.profile == EmbeddedProfile::None && facts.claim.is_none();
    evidence.counted_in.or_else(|| encoding_of(facts).or(required.filter(|_| silent)).map(NumberMeaning::Codes))
}

/// True if a picture carries the paper's own profile: the paper holds all its colours, since it defined them.
pub fn is_papers_own(facts: &Facts, paper: &PaperProfile) -> bool {
    matches!(&facts.profile, EmbeddedProfile::Embedded(profile) if profile.sha256 == paper.facts().sha256)
}

/// True if a picture is in a required space.
pub fn is_in_required(facts: &Facts, required: &[Space]) -> bool {
    encoding_of(facts).is_some_and(|encoding| required.contains(&Space::Rgb(encoding)))
}

/// Colours converted to Lab once, for use in several questions.
pub struct SeenColours<'a> {
    colours: &'a [Colour],
    /// L*, a*, b* of each colour.
    lab: Vec<[f64; 3]>,
}

impl<'a> SeenColours<'a> {
    /// Converts colours from numbers of this meaning.
    pub fn of(colours: &'a [Colour], numbers: NumberMeaning) -> SeenColours<'a> {
        let reader = NumberReader::new(numbers);
        SeenColours { colours, lab: colours.iter().map(|one| reader.lab(one.mean)).collect() }
    }

    /// Returns the colours outside an encoding's gamut, and the names of the one or two that change most.
    pub fn in_space(&self, target: Encoding) -> (OutOfGamut, String) {
        self.summarise(&space_changes(&self.lab, target))
    }

    /// Returns the colours outside a paper's gamut. Black point compensation is removed first: that the whole scale is
    /// squeezed to the paper's black is not a loss of colour.
    pub fn on_paper(&self, paper: &PaperProfile) -> (OutOfGamut, String) {
        self.summarise(&paper_changes(&self.lab, paper))
    }

    /// Returns their appearance when the codes are read as `target`'s.
    pub fn misread(&self, target: Encoding) -> Misread {
        let wrongly = NumberReader::new(NumberMeaning::Codes(target));
        let pairs = self.lab.iter().zip(self.colours);
        misread(pairs.map(|(truly, colour)| ((*truly, wrongly.lab(colour.mean)), colour.count)))
    }

    fn summarise(&self, changes: &[f64]) -> (OutOfGamut, String) {
        (self.sum_changes(changes), self.names(changes))
    }

    /// Summarises changes, one for each colour, over the whole picture.
    fn sum_changes(&self, changes: &[f64]) -> OutOfGamut {
        let counted = changes.iter().copied().zip(self.colours.iter().map(|one| one.count));
        let mut changed: Vec<(f64, u32)> = counted.filter(|(change, _)| *change > 0.0).collect();
        changed.sort_unstable_by(|one, other| other.0.total_cmp(&one.0));
        let all = self.colours.iter().map(|one| f64::from(one.count)).sum::<f64>().max(1.0);
        let over = changed.iter().take_while(|(change, _)| *change > SEEN);
        let mut beyond = 0.0;
        let twentieth = changed.iter().find(|(_, count)| {
            beyond += f64::from(*count) / all;
            beyond > 0.05
        });
        OutOfGamut {
            share: over.map(|(_, count)| u64::from(*count)).sum::<u64>() as f64 / all,
            mean_delta_e: changed.iter().fold(0.0, |sum, (change, count)| sum + change * f64::from(*count)) / all,
            percentile_95: twentieth.map_or(0.0, |(change, _)| *change),
            largest: changed.first().map_or(0.0, |(change, _)| *change),
        }
    }

    /// Returns `strong greens and deep blues`.
    fn names(&self, changes: &[f64]) -> String {
        let mut weights: Vec<(String, f64)> = Vec::new();
        let seen = changes.iter().zip(self.colours.iter().zip(&self.lab)).filter(|(change, _)| **change > SEEN);
        for (change, (colour, lab)) in seen {
            let name = name(*lab);
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
}

/// Returns the change of each colour in an encoding; 0 where it is in gamut.
pub fn space_changes(lab: &[[f64; 3]], target: Encoding) -> Vec<f64> {
    let to = Rgb::new(target);
    lab.iter().map(|colour| to.nearest_if_outside(*colour).map_or(0.0, |held| delta_e_2000(*colour, held))).collect()
}

/// Returns the change of each colour on a paper.
pub fn paper_changes(lab: &[[f64; 3]], paper: &PaperProfile) -> Vec<f64> {
    let wanted: Vec<[f64; 3]> = lab.iter().map(|colour| paper.compensate_black_point(*colour)).collect();
    wanted.iter().zip(paper.clip_to_gamut(&wanted)).map(|(wanted, held)| delta_e_2000(*wanted, held)).collect()
}

/// Returns L*, a*, b* of the strongest colour of each field.
pub fn strongest(evidence: &Evidence, numbers: NumberMeaning) -> Vec<[f64; 3]> {
    let reader = NumberReader::new(numbers);
    evidence.most_saturated.fields.iter().map(|numbers| reader.lab(*numbers)).collect()
}

/// True if an RGB space is required.
pub fn has_rgb(required: &[Space]) -> bool {
    required.iter().any(|space| space.rgb().is_some())
}

/// Hue angles, in degrees of a* and b*, up to which a colour has a name. Source: positions of sRGB's and painters'
/// colours; common practice.
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

/// L* below which a colour is deep. Own choice.
const DEEP: f64 = 40.0;
/// L* above which a colour is light. Own choice.
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

    const ADOBE: NumberMeaning = NumberMeaning::Codes(Encoding::AdobeRgb);

    fn colour(codes: [u16; 3], count: u32) -> Colour {
        Colour { mean: codes.map(|code| code * 256), count }
    }

    #[test]
    fn a_green_beyond_srgb_counts_with_its_share_and_its_name() {
        let colours = [colour([0, 255, 0], 10), colour([128; 3], 90)];
        let (found, names) = SeenColours::of(&colours, ADOBE).in_space(Encoding::Srgb);
        assert_eq!(found.share, 0.1);
        assert!(found.largest > SEEN && (found.mean_delta_e - found.largest / 10.0).abs() < 1e-12, "{found:?}");
        assert_eq!(found.percentile_95, found.largest);
        assert_eq!(names, "light greens");
        assert_eq!(SeenColours::of(&colours[1..], ADOBE).in_space(Encoding::Srgb).0, OutOfGamut::default());
    }

    #[test]
    fn what_a_larger_space_is_asked_for_is_held() {
        let colours = [colour([0, 255, 0], 1), colour([255, 0, 0], 1), colour([0, 0, 255], 1)];
        assert_eq!(
            SeenColours::of(&colours, NumberMeaning::Codes(Encoding::Srgb)).in_space(Encoding::AdobeRgb).0.share,
            0.0
        );
    }

    #[test]
    fn a_paper_of_srgb_cannot_hold_what_srgb_cannot() {
        let paper = PaperProfile::new(&crate::colour::paper_profile::printer_of(Encoding::Srgb)).unwrap();
        let colours = [colour([0, 255, 0], 10), colour([128; 3], 90)];
        let seen = SeenColours::of(&colours, ADOBE);
        let ((one, names), (other, _)) = (seen.on_paper(&paper), seen.in_space(Encoding::Srgb));
        assert_eq!(one.share, other.share);
        assert!((one.largest - other.largest).abs() < 0.2, "{one:?} {other:?}");
        assert_eq!(names, "light greens");
    }

    #[test]
    fn wide_codes_read_as_srgb_lose_colour() {
        let misread = |colours: &[Colour]| SeenColours::of(colours, ADOBE).misread(Encoding::Srgb);
        let found = misread(&[colour([180, 60, 50], 1)]);
        assert!(found.chroma_left < 0.95 && found.mean_delta_e > 2.0, "{found:?}");
        let grey = misread(&[colour([128; 3], 1)]);
        assert!(grey.mean_delta_e < 1.0, "{grey:?}");
        assert_eq!(misread(&[]).chroma_left, 1.0);
    }
}
