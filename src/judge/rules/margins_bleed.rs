//! margins.bleed: is this the finished size, or the finished size plus bleed?

use num_rational::Ratio;

use crate::brief::asked::{Edge, Level};
use crate::judge::placement::Placement;
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::judge::rules::density_tag::length_by_tag;
use crate::units::{Length, Share, Size, show};

/// How far a length may be from the asked one: 0.2 mm, since 3 mm and 1/8 in are often taken for one another.
/// Source: ours, from that difference.
const LENGTH_WITHIN: Length = Length::from_um(200);
/// How far pixels may be from the asked number, an axis: one, by rounding.
const PIXELS_WITHIN: u32 = 1;

pub static RULE: Rule = Rule {
    id: "margins.bleed",
    question: "Was it exported with the bleed, and not at the finished size?",
    level: Level::Should,
    why: "without picture beyond the cut, the smallest shift of the knife leaves a white edge; enlarged to cover, the \
          crop is lost",
    page: "Told by the pixels at the wanted or the least density, by the size that the resolution tag gives, and by \
           the shape, each compared with the finished size and with the finished size plus bleed; 0.2 mm and one \
           pixel are forgiven. Where none of them can tell, there is no answer.",
    keys: &["margins.edge", "margins.bleed", "margins.includes_bleed", "print.size"],
    source: "3 mm or 1/8 in a side: printers' guides agree; the tolerance is ours",
    samples: Samples {
        holds: "2551 x 3142 px at 300 ppi for 210 x 260 mm with 3 mm bleed",
        fails: "2480 x 3071 px at 300 ppi for the same",
    },
    silences: &["density.wanted", "density.tag"],
    ask: Ask::Row(ask),
};

/// Which of the two sizes a picture has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    WithBleed,
    FinishedSize,
}

fn ask(case: &Case) -> Outcome {
    let placement = case.placement;
    if case.print.asked.margins.edge != Edge::Bleed || placement.outset.is_zero() {
        return Outcome::NotAsked;
    }
    match by_pixels(case).or_else(|| by_tag(case)).or_else(|| by_shape(case)) {
        Some(Told::WithBleed) => Outcome::Holds,
        Some(Told::FinishedSize) => Outcome::fails(breach(case)),
        None => Outcome::NotAnswered(
            "it cannot be told from pixels, tag or shape whether the bleed is in the picture".to_owned(),
        ),
    }
}

fn by_pixels(case: &Case) -> Option<Told> {
    let density = &case.print.asked.density;
    [density.wanted, density.least].into_iter().find_map(|ppi| {
        let (w, h) = case.facts.upright_px();
        let near = |size: Size| {
            ppi.pixels(size.width).abs_diff(w) <= PIXELS_WITHIN && ppi.pixels(size.height).abs_diff(h) <= PIXELS_WITHIN
        };
        told(near(case.placement.frame()), near(case.placement.finished))
    })
}

fn by_tag(case: &Case) -> Option<Told> {
    let (across, down) = case.facts.upright_tag()?;
    let (w, h) = case.facts.upright_px();
    let (w, h) = (length_by_tag(w, across)?, length_by_tag(h, down)?);
    let near = |size: Size| size.width.distance(w) <= LENGTH_WITHIN && size.height.distance(h) <= LENGTH_WITHIN;
    told(near(case.placement.frame()), near(case.placement.finished))
}

/// The shape tells where one pixel more or less of width, and half a pixel of rounding, cannot make the one shape the
/// other.
fn by_shape(case: &Case) -> Option<Told> {
    let (w, h) = case.facts.upright_px();
    let fits = |size: Size| {
        let down_over_across = Ratio::new(i128::from(size.height.nm()), i128::from(size.width.nm()));
        let off = Ratio::from_integer(i128::from(w)) * down_over_across - Ratio::from_integer(i128::from(h));
        let within = Ratio::from_integer(i128::from(PIXELS_WITHIN)) * down_over_across + Ratio::new(1, 2);
        off <= within && off >= -within
    };
    told(fits(case.placement.frame()), fits(case.placement.finished))
}

fn told(with_bleed: bool, finished: bool) -> Option<Told> {
    match (with_bleed, finished) {
        (true, false) => Some(Told::WithBleed),
        (false, true) => Some(Told::FinishedSize),
        _ => None,
    }
}

fn breach(case: &Case) -> Breach {
    let placement = case.placement;
    let unit = case.print.asked.margins.unit;
    let bleed = placement.outset.each().into_iter().max().unwrap_or_default();
    let (finished, frame) = (placement.finished, placement.frame());
    let wanted = case.print.asked.density.wanted;
    Breach {
        numbers: Some((0.0, bleed.mm(), "mm")),
        short: "no bleed".to_owned(),
        what: format!(
            "this is the finished size, {}, without bleed; to bleed it is enlarged {} and loses {} at each cut side",
            finished.show(),
            enlarged_by(placement),
            show::length(bleed, unit)
        ),
        mend: format!(
            "export at {} ({} with bleed) for {}, with picture that may be cut away on every side",
            show::pixels(placement.needed_px(wanted)),
            frame.show(),
            show::ppi(wanted)
        ),
        ..Breach::default()
    }
}

/// How much the finished size must grow to cover the bleed, on the axis that needs more.
fn enlarged_by(placement: &Placement) -> String {
    let (finished, frame) = (placement.finished, placement.frame());
    let grows =
        |frame: Length, finished: Length| Ratio::new(i128::from((frame - finished).nm()), i128::from(finished.nm()));
    let most = grows(frame.width, finished.width).max(grows(frame.height, finished.height));
    show::share(Share::from_ratio(most))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;
    use crate::picture::facts::ResolutionTag;

    const PAGE: &str = "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n\
                        [[print]]\nsize = \"210 x 260 mm\"";

    fn tagged(bench: &Bench, w: u32, h: u32, ppi: Option<f64>) -> Outcome {
        bench.px(w, h).with(|f| f.tag = ppi.map(|ppi| ResolutionTag { x_ppi: ppi, y_ppi: ppi })).ask(ask)
    }

    #[test]
    fn pixels_at_the_wanted_density_tell() {
        let page = Bench::new(PAGE);
        assert_eq!(tagged(&page, 2551, 3142, None), Outcome::Holds);
        assert_eq!(tagged(&page, 2552, 3142, None), Outcome::Holds);
        let Outcome::Fails(breaches) = tagged(&page, 2480, 3071, None) else { panic!("the finished size must fail") };
        assert_eq!(
            breaches[0].what,
            "this is the finished size, 210 x 260 mm, without bleed; to bleed it is enlarged 2.9 % and loses 3 mm at \
             each cut side"
        );
        assert!(breaches[0].mend.starts_with("export at 2551 x 3142 px (216 x 266 mm with bleed) for 300 ppi"));
    }

    #[test]
    fn the_tag_tells_where_pixels_do_not() {
        let page = Bench::new(PAGE);
        // 216 x 266 mm and 210 x 260 mm at 360 ppi.
        assert_eq!(tagged(&page, 3061, 3770, Some(360.0)), Outcome::Holds);
        assert!(matches!(tagged(&page, 2976, 3685, Some(360.0)), Outcome::Fails(_)));
    }

    #[test]
    fn an_eighth_of_an_inch_passes_for_three_millimetres() {
        // 8.5 x 10.5 in of picture: 215.9 x 266.7 mm against 216 x 266 mm is too far; 216.35 x 266.35 is not.
        let page = Bench::new(PAGE);
        assert_eq!(tagged(&page, 3066, 3775, Some(360.0)), Outcome::Holds);
    }

    #[test]
    fn the_shape_tells_last_and_may_not_know() {
        let page = Bench::new(PAGE);
        assert_eq!(tagged(&page, 4320, 5320, Some(72.0)), Outcome::Holds);
        assert!(matches!(tagged(&page, 4200, 5200, Some(72.0)), Outcome::Fails(_)));
        assert!(matches!(tagged(&page, 4000, 6000, Some(72.0)), Outcome::NotAnswered(_)));
        let square = Bench::new(&PAGE.replace("210 x 260", "200 x 200"));
        assert!(matches!(tagged(&square, 3000, 3000, Some(72.0)), Outcome::NotAnswered(_)));
    }

    #[test]
    fn without_bleed_nothing_is_asked() {
        assert_eq!(Bench::new("[[print]]\nsize = \"8 x 10 in\"").ask(ask), Outcome::NotAsked);
    }
}
