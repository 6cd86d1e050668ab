//! The sizes at which a picture can be printed, and how far away each may be viewed.

use num_rational::Ratio;

use crate::brief::requirements::{DensityRequirements, Level};
use crate::brief::{Brief, MIN_DISTANCE_PPI, PPI_CM, Print, USUAL_PPI};
use crate::judge::model::rule::Rule;
use crate::judge::placement::Placement;
use crate::judge::rules::density::{ENOUGH_OF_DENSITY, minimum};
use crate::units::size::{self, LAB_CM, LAB_IN};
use crate::units::{Length, LengthUnit, Ppi, Share, Size};

pub mod lines;

/// A hand-held print with fewer pixels is plainly soft, even if a brief allows it. Common practice, no source.
const MIN_IN_HAND_PPI: u32 = 240;
/// Usual ISO sizes, A5 to A0. Source: ISO 216:2007.
const ISO_A: std::ops::RangeInclusive<usize> = 0..=5;

/// A print size, filled by a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct CarriedSize {
    /// The names of the brief's prints of this size, in its order; foreign text. Empty for a usual size.
    pub prints: Vec<String>,
    /// The finished size, rotated with the picture.
    pub size: Size,
    /// Pixels per inch on paper.
    pub density: Ppi,
    /// Share of the picture that the size's aspect ratio cuts off.
    pub lost: Share,
    /// The use that its density allows.
    pub viewing: ViewingUse,
    /// The brief's verdict on its density; `None` for a usual size.
    pub required: Option<SizeVerdict>,
}

/// How a density compares with a print's requirements.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeVerdict {
    /// At least the target.
    OnTarget,
    /// At least the minimum.
    AboveMinimum,
    /// Less than the minimum.
    BelowMinimum,
}

impl SizeVerdict {
    /// Compares a density with a print's; any is enough where the brief gives `density.minimum` no weight.
    fn of(density: Ppi, print: &Print) -> SizeVerdict {
        let required = &print.requirements.density;
        let weighs = |rule: &Rule| print.requirements.levels.get(rule.id).is_none_or(|level| *level >= Level::Should);
        match density {
            density if density >= required.target.times(ENOUGH_OF_DENSITY) => SizeVerdict::OnTarget,
            density if density >= required.minimum.times(ENOUGH_OF_DENSITY) || !weighs(&minimum::RULE) => {
                SizeVerdict::AboveMinimum
            }
            _ => SizeVerdict::BelowMinimum,
        }
    }
}

/// The use that a print's density allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ViewingUse {
    /// To be held: at least the target.
    ArmsLength,
    /// To be held, a little soft: at least the minimum.
    ArmsLengthSoft,
    /// To hang, seen from this distance or further.
    Wall(Length),
    /// To hang so far away that people would step closer to see it.
    TooCoarse(Length),
}

impl ViewingUse {
    /// Returns the use of a density. The distance is where single pixels are no longer seen: one an arc minute. A brief
    /// that allows less, for a print that hangs far away, does not make it fit to be held; only a halftone needs no
    /// finer.
    fn of(density: Ppi, required: Option<&DensityRequirements>) -> ViewingUse {
        let (mut wanted, mut least) = (Ppi::whole(USUAL_PPI), Ppi::whole(MIN_IN_HAND_PPI));
        if let Some(required) = required {
            let halftone = required.ruling_lpi.is_some();
            wanted = if halftone { required.target } else { wanted.max(required.target) };
            least = if halftone { required.minimum } else { least.max(required.minimum) };
        }
        let from = || {
            let cm = (Ratio::from_integer(PPI_CM) / density.ratio()).ceil().to_integer();
            Length::from_mm(i64::try_from(cm * 10).unwrap_or(i64::MAX / 2_000_000))
        };
        match density {
            density if density >= wanted.times(ENOUGH_OF_DENSITY) => ViewingUse::ArmsLength,
            density if density >= least.times(ENOUGH_OF_DENSITY) => ViewingUse::ArmsLengthSoft,
            density if density >= Ppi::whole(MIN_DISTANCE_PPI) => ViewingUse::Wall(from()),
            _ => ViewingUse::TooCoarse(from()),
        }
    }
}

/// Returns the sizes of the brief's prints in its order, then by area the usual sizes that no print has. Empty for a
/// picture without pixels.
pub fn largest_sizes(brief: Option<&Brief>, upright_px: (u32, u32)) -> Vec<CarriedSize> {
    let prints =
        brief.iter().flat_map(|brief| &brief.prints).map(|print| (Some(print), Placement::of(print, upright_px)));
    let usual = usual_sizes().into_iter().map(|size| (None, Placement::without_margins(size, upright_px)));
    let mut all: Vec<CarriedSize> = Vec::new();
    for (print, placement) in prints.chain(usual) {
        let Some(fit) = placement.fit else { continue };
        let limits = print.map(|print| &*print.requirements).or(brief.map(|brief| &brief.requirements));
        let viewing = ViewingUse::of(fit.density, limits.map(|required| &required.density));
        let required = print.map(|print| SizeVerdict::of(fit.density, print));
        let mut prints: Vec<String> = print.iter().map(|print| print.name_with_version().into_owned()).collect();
        let new = CarriedSize {
            prints: Vec::new(),
            size: placement.finished,
            density: fit.density,
            lost: fit.lost,
            viewing,
            required,
        };
        let numbers = |one: &CarriedSize| (one.size, one.density, one.lost, one.viewing);
        let same =
            |one: &&mut CarriedSize| numbers(one) == numbers(&new) && (required.is_none() || one.required == required);
        match all.iter_mut().find(same) {
            Some(one) => one.prints.append(&mut prints),
            None => all.push(CarriedSize { prints, ..new }),
        }
    }
    all
}

fn usual_sizes() -> Vec<Size> {
    let sizes = |pairs: &[(i64, i64)], one: Length, unit: LengthUnit| -> Vec<Size> {
        pairs.iter().map(|(width, height)| Size::new(one * *width, one * *height, unit)).collect()
    };
    let inches = sizes(&LAB_IN, Length::from_um(25_400), LengthUnit::Inch);
    let centimetres = sizes(&LAB_CM, Length::from_mm(10), LengthUnit::Centimetre);
    let iso = sizes(&size::ISO_A[ISO_A], Length::from_mm(1), LengthUnit::Millimetre);
    let mut all: Vec<Size> = inches.into_iter().chain(centimetres).chain(iso).collect();
    all.sort_by(|one, other| (one.width.mm() * one.height.mm()).total_cmp(&(other.width.mm() * other.height.mm())));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::brief;

    fn found(text: &str, px: (u32, u32), size: &str) -> CarriedSize {
        let all = largest_sizes(Some(&brief(text)), px);
        all.into_iter().find(|one| one.size.show() == size).unwrap_or_else(|| panic!("{size} is not there"))
    }

    #[test]
    fn a_size_has_its_density_its_loss_and_its_use() {
        let any = "[[print]]\nname = \"card\"\nsize = \"5 x 7 in\"";
        // Source: arithmetic: 8 x 10 in at 300 ppi are 2400 x 3000 px; a 2:3 frame as 4:5 loses a sixth.
        let one = found(any, (2400, 3000), "8 x 10 in");
        assert_eq!((one.density, one.lost, one.viewing), (Ppi::whole(300), Share::zero(), ViewingUse::ArmsLength));
        assert_eq!(found(any, (2400, 3600), "8 x 10 in").lost.ratio(), Ratio::new(1, 6));
        // 240 of 300 is the least; 150 ppi are seen from 58.2 cm (8732 / 150), rounded up.
        assert_eq!(found(any, (1920, 2400), "8 x 10 in").viewing, ViewingUse::ArmsLengthSoft);
        assert_eq!(found(any, (2400, 3000), "16 x 20 in").viewing, ViewingUse::Wall(Length::from_mm(590)));
        assert!(matches!(found(any, (2368, 2960), "16 x 20 in").viewing, ViewingUse::TooCoarse(_)));
    }

    #[test]
    fn sizes_rotate_with_the_picture_and_the_briefs_prints_come_first() {
        let text = "[density]\ntarget = \"200 ppi\"\n[[print]]\nname = \"wall\"\nsize = \"16 x 20 in\"\nrotate = true\n\
                    [[print]]\nname = \"wall two\"\nsize = \"16 x 20 in\"\nrotate = true";
        let all = largest_sizes(Some(&brief(text)), (4000, 3200));
        assert_eq!((all[0].prints.join(" "), all[0].size.show().as_str()), ("wall wall two".to_owned(), "20 x 16 in"));
        // Source: arithmetic: 8732 / 200, rounded up.
        assert_eq!(
            (all[0].viewing, all[0].required),
            (ViewingUse::Wall(Length::from_mm(440)), Some(SizeVerdict::OnTarget))
        );
        assert!(all[1..].iter().all(|one| one.prints.is_empty() && one.size.width >= one.size.height));
        // The usual list does not repeat the size of a print.
        assert_eq!(all.len(), LAB_IN.len() + LAB_CM.len() + ISO_A.count());
    }

    #[test]
    fn what_the_brief_requires_is_one_thing_and_the_viewing_distance_another() {
        let of = |density: &str| {
            let text = format!("[[print]]\nname = \"wall\"\nsize = \"16 x 20 in\"\n{density}");
            let one = largest_sizes(Some(&brief(&text)), (2400, 3000)).remove(0);
            (one.viewing, one.required.unwrap())
        };
        let wall = ViewingUse::Wall(Length::from_mm(590));
        assert_eq!(of(""), (wall, SizeVerdict::BelowMinimum));
        assert_eq!(of("density.distance = \"100 cm\""), (wall, SizeVerdict::OnTarget));
        assert_eq!(
            of("density.target = \"160 ppi\"\ndensity.minimum = \"100 ppi\""),
            (wall, SizeVerdict::AboveMinimum)
        );
        // A halftone of 75 lpi prints no finer than twice its ruling.
        assert_eq!(of("density.ruling = \"75 lpi\""), (ViewingUse::ArmsLength, SizeVerdict::OnTarget));
    }
}
