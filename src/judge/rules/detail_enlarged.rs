//! detail.enlarged: pixels made by interpolation.

use crate::brief::asked::Level;
use crate::judge::answers::detail::{Enlargement, LINE_LEAST, NATIVE_ENDS, enlargement};
use crate::judge::density::{from_original, largest_prints};
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::measure::evidence::Detail;
use crate::picture::facts::Format;
use crate::units::{Share, show};

/// Where detail that ends so early is worth a note by itself, as a share of what the pixels could hold. Source: ours.
const ENDS_EARLY: f64 = 0.40;
/// Edges wider than this, in pixels, are soft by focus, and more noise than this, in codes, hides where detail ends.
const SOFT_PX: f64 = 3.0;
/// See [`SOFT_PX`].
const GRAINY: f64 = 4.0;

pub static RULE: Rule = Rule {
    id: "detail.enlarged",
    question: "Are its pixels real, and not made by enlarging?",
    level: Level::Should,
    why: "interpolated pixels satisfy the count and hold no detail: in print the picture is as soft as the small one \
          was",
    page: "Enlarging by interpolation leaves a periodic trace, a spectral line, and detail that ends early; both \
           together tell the scale. Doubling leaves every other pixel smoother; in a JPEG that trace is only a note. \
           An early end of detail alone may be soft focus or a soft lens: a note. Over the brief's enlarged (1.2 x) \
           it is a should. Exact doubling after strong compression, heavy noise, and enlargers that invent detail \
           leave no trace that is found here.",
    keys: &["detail.enlarged"],
    source: "Gallagher, CRV 2005; Mahdian and Saic, IEEE TIFS 2008; thresholds ours: no camera's own file of 66 is \
             blamed",
    samples: Samples { holds: "a camera file, reduced for the page", fails: "2400 x 3000 px made of 1333 x 1667" },
    silences: &[],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let detail = &evidence.detail;
    let Some(resampled) = detail.resampled else {
        return Outcome::NotAnswered("the picture is too small to tell".to_owned());
    };
    let Some(found) = enlargement(detail) else {
        return Outcome::fails(Breach {
            about: "resampled".to_owned(),
            at_most: Some(Level::Note),
            numbers: Some((resampled.line, LINE_LEAST, "times")),
            short: "resampled".to_owned(),
            what: "it was resized by interpolation; too little detail to tell whether up or down".to_owned(),
            mend: format!("if it was enlarged, {}", from_original(case)),
        });
    };
    let most = case.print.asked.detail.enlarged;
    if found.factor > most {
        let in_jpeg = found.by_doubling && case.facts.format == Format::Jpeg;
        return Outcome::fails(enlarged(case, found, most, in_jpeg.then_some(Level::Note)));
    }
    match detail.detail_ends {
        Some(ends) if ends < ENDS_EARLY && !told_otherwise(detail) => Outcome::fails(early(case, ends)),
        _ => Outcome::Holds,
    }
}

/// Whether soft focus or grain explain an early end: they are told by rules of their own.
fn told_otherwise(detail: &Detail) -> bool {
    let soft = detail.focus.as_ref().is_some_and(|focus| focus.sharp_px > SOFT_PX);
    soft || detail.noise.is_some_and(|noise| noise > GRAINY)
}

fn enlarged(case: &Case, found: Enlargement, most: f64, at_most: Option<Level>) -> Breach {
    let worth = worth(case, found.factor);
    let (shown, limit) = show::numbers_apart(found.factor, most);
    Breach {
        at_most,
        numbers: Some((found.factor, most, "times")),
        short: format!("enlarged {shown} x"),
        what: format!(
            "it was enlarged {shown} x by interpolation; {limit} x may be. It is as good as a file of {}{}",
            show::pixels(worth),
            carried(case, worth)
        ),
        mend: mend(case, worth),
        ..Breach::default()
    }
}

/// The export that helps, or the largest print where none does.
fn mend(case: &Case, worth: (u32, u32)) -> String {
    let wanted = case.print.asked.density.wanted;
    let needed = case.placement.needed_px(wanted);
    if worth.0 >= needed.0 && worth.1 >= needed.1 {
        return format!("export it at {} (for {}): it holds enough for that", show::pixels(needed), show::ppi(wanted));
    }
    format!("{}; if it has not, no export helps: {}", from_original(case), largest_prints(case, worth))
}

fn early(case: &Case, ends: f64) -> Breach {
    let worth = worth(case, (NATIVE_ENDS / ends).max(1.0));
    let shown = show::share(Share::measured(ends));
    Breach {
        about: "soft".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((ends, ENDS_EARLY, "share")),
        short: format!("detail to {shown}"),
        what: format!(
            "detail ends at {shown} of what these pixels could hold: as good as a file of {}{}",
            show::pixels(worth),
            carried(case, worth)
        ),
        mend: "look at it at 100 %: it may be soft focus, noise reduction or an enlargement".to_owned(),
    }
}

/// Pixels that hold as much.
fn worth(case: &Case, factor: f64) -> (u32, u32) {
    let (w, h) = case.facts.upright_px();
    let of = |px: u32| (f64::from(px) / factor).round().max(1.0) as u32;
    (of(w), of(h))
}

/// The largest print that so many pixels carry.
fn carried(case: &Case, px: (u32, u32)) -> String {
    let wanted = case.print.asked.density.wanted;
    match case.placement.carried(px, wanted) {
        Some(size) => format!(", {} at {}", size.show(), show::ppi(wanted)),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::Bench;
    use crate::measure::evidence::Resampled;

    fn traced(line: f64, doubling: f64, ends: Option<f64>) -> Bench {
        Bench::new("[[print]]\nsize = \"8 x 10 in\"").evidence(|e| {
            e.detail.resampled = Some(Resampled { line, at: 1.0 - 1.0 / 1.8, doubling });
            e.detail.detail_ends = ends;
        })
    }

    #[test]
    fn a_line_with_an_early_end_is_an_enlargement() {
        assert_eq!(traced(7.9, 0.0, Some(0.45)).ask(ask), Outcome::Holds);
        assert_eq!(traced(30.0, 0.0, Some(0.61)).ask(ask), Outcome::Holds);
        let Outcome::Fails(breaches) = traced(8.0, 0.0, Some(0.45)).ask(ask) else { panic!("it was enlarged") };
        assert_eq!(
            breaches[0].what,
            "it was enlarged 1.8 x by interpolation; 1.2 x may be. It is as good as a file of 1333 x 1667 px, 4.438 x \
             5.5 in at 300 ppi"
        );
        assert_eq!(breaches[0].at_most, None);
        assert_eq!(
            breaches[0].mend,
            "export it from the original at 2400 x 3000 px (for 300 ppi) if it has them after the crop, without \
             enlarging; if it has not, no export helps: it prints at most 4.438 x 5.5 in at 300 ppi, or 5.5 x 6.938 in \
             at 240 ppi"
        );
        let Outcome::Fails(breaches) = traced(30.0, 0.0, Some(0.33)).px(6000, 7500).ask(ask) else {
            panic!("enlarged")
        };
        assert_eq!(breaches[0].mend, "export it at 2400 x 3000 px (for 300 ppi): it holds enough for that");
    }

    #[test]
    fn doubling_is_sure_only_without_lossy_compression() {
        assert!(
            matches!(traced(2.0, 0.2, Some(0.42)).ask(ask), Outcome::Fails(b) if b[0].at_most == Some(Level::Note))
        );
        let png = traced(2.0, 0.2, Some(0.42)).with(|f| f.format = Format::Png);
        assert!(matches!(png.ask(ask), Outcome::Fails(b) if b[0].at_most.is_none() && b[0].short == "enlarged 2 x"));
    }

    #[test]
    fn an_early_end_or_a_line_alone_only_notes() {
        assert!(
            matches!(traced(2.0, 0.0, Some(0.39)).ask(ask), Outcome::Fails(b) if b[0].at_most == Some(Level::Note))
        );
        assert_eq!(traced(2.0, 0.0, Some(0.40)).ask(ask), Outcome::Holds);
        assert_eq!(traced(2.0, 0.0, Some(0.2)).evidence(|e| e.detail.noise = Some(4.1)).ask(ask), Outcome::Holds);
        assert!(matches!(traced(9.0, 0.0, None).ask(ask), Outcome::Fails(b) if b[0].short == "resampled"));
    }
}
