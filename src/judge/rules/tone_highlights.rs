//! tone.highlights: featureless white, sparkle apart.

use crate::brief::asked::Level;
use crate::judge::answers::whereabouts;
use crate::judge::rule::{Ask, Breach, Case, Outcome, Rule, Samples};
use crate::measure::Evidence;
use crate::units::{Share, show};
use num_rational::Ratio;

/// One region may have half of what all together may have. Source: ours.
const ONE_REGION: (i128, i128) = (1, 2);
/// Share of the picture with one channel alone at the top from which it is worth a note. Source: ours.
const SINGLE_PERCENT: i128 = 2;
/// A field counts as blown on the subject from so much of it, of 255.
const FULL: f64 = 255.0;

pub static RULE: Rule = Rule {
    id: "tone.highlights",
    question: "Is nothing blown out but sparkle?",
    level: Level::Should,
    why: "featureless white prints as bare paper: no ink, no texture, and an edge where the dish should go on; where \
          one colour alone is full, its texture flattens",
    page: "Pixels with every channel at the top of the scale (254 and 255 of 255) are gathered in cells of 4 x 4; \
           connected areas larger than 0.05 % of the picture are blown, anything smaller is sparkle and welcome on \
           glass, glaze and metal. All blown areas together may be as large as the brief's lost_highlights, a single \
           one half of it. With ground = \"white\", white and near-white that reach the frame's edge are meant. One \
           channel alone at the top on more than 2 % is a note: it flattens petals, berries and red sauces; so are \
           flat areas just below white. Whether white is wanted is your choice: accept it then.",
    keys: &["tone.lost_highlights", "print.ground"],
    source: "common practice, no source; compared on camera files: a studio picture shows none",
    samples: Samples { holds: "0.3 % sparkle on a glaze", fails: "3.1 % of the picture in one white patch" },
    silences: &[],
    ask: Ask::Row(ask),
};

fn ask(case: &Case) -> Outcome {
    let evidence = match case.evidence() {
        Ok(evidence) => evidence,
        Err(outcome) => return outcome,
    };
    let lost = Share::measured(case.answers.highlights_lost.unwrap_or(0.0));
    let limit = case.print.asked.tone.lost_highlights;
    let clipped = &evidence.clipped;
    let largest = if case.print.ground.is_some() { clipped.largest_inside } else { clipped.largest };
    let one_most = Share::from_ratio(limit.ratio() * Ratio::new(ONE_REGION.0, ONE_REGION.1));
    let mut breaches = Vec::new();
    if lost > limit || Share::measured(largest) > one_most && lost > Share::zero() {
        breaches.push(blown(case, evidence, lost, limit, Share::measured(largest), one_most));
    }
    breaches.extend(single(clipped.single));
    let meant = if case.print.ground.is_some() { clipped.pulled_down_at_edge } else { 0.0 };
    breaches.extend(pulled_down(clipped.pulled_down - meant, limit));
    Outcome::of(breaches)
}

fn blown(case: &Case, evidence: &Evidence, lost: Share, limit: Share, largest: Share, one_most: Share) -> Breach {
    let by_all = lost > limit;
    let (measured, asked) = if by_all { (lost, limit) } else { (largest, one_most) };
    let (shown, asked_shown) = show::shares_apart(measured, asked);
    let area = case.subject.map(|subject| subject.area);
    let meant = case.print.ground.is_some();
    let fields = evidence.places.placed().map(|(field, place)| {
        let blown = if meant { place.blown.saturating_sub(place.blown_at_edge) } else { place.blown };
        (field, f64::from(blown) / FULL)
    });
    let place = whereabouts::apposed(fields, area);
    let what = if by_all {
        format!("{shown} of the picture is featureless white{place}; {asked_shown} may be")
    } else {
        format!("one white area covers {shown} of the picture{place}; {asked_shown} may be in one piece")
    };
    let sparkle = show::share(Share::measured(evidence.clipped.sparkle));
    Breach {
        numbers: Some((measured.as_f64(), asked.as_f64(), "share")),
        short: format!("{shown} white"),
        what: format!("{what} (sparkle apart: {sparkle})"),
        mend:
            "bring the highlights down from the raw file until the area shows texture, and leave the sparkle; if the \
               white is meant, accept it, or say ground = \"white\" for the print"
                .to_owned(),
        ..Breach::default()
    }
}

/// Flat near-white is a note: it may be white that was pulled down after clipping, or a smooth light ground.
fn pulled_down(share: f64, limit: Share) -> Option<Breach> {
    let share = Share::measured(share);
    if share <= limit {
        return None;
    }
    let (shown, limit_shown) = show::shares_apart(share, limit);
    Some(Breach {
        about: "flat".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((share.as_f64(), limit.as_f64(), "share")),
        short: format!("{shown} flat"),
        what: format!(
            "{shown} of the picture is flat, without texture, just below white; from {limit_shown} it is worth a look"
        ),
        mend: "a smooth light ground is fine; white that was pulled down after clipping has no texture to bring back: \
               take it from the raw file"
            .to_owned(),
    })
}

fn single(channels: [f64; 3]) -> Option<Breach> {
    let limit = Share::percent(SINGLE_PERCENT);
    let names = ["red", "green", "blue"];
    let (most, name) = channels.into_iter().zip(names).max_by(|one, other| one.0.total_cmp(&other.0))?;
    let most = Share::measured(most);
    if most <= limit {
        return None;
    }
    let (shown, limit_shown) = show::shares_apart(most, limit);
    Some(Breach {
        about: name.to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((most.as_f64(), limit.as_f64(), "share")),
        short: format!("{name} {shown}"),
        what: format!(
            "{name} alone is at the top of the scale on {shown} of the picture; from {limit_shown} it is worth \
                       a look"
        ),
        mend: "look at petals, berries and red sauces there: if their texture is gone, take saturation or exposure \
               back a little before exporting"
            .to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{Bench, abouts};
    use crate::measure::Grid;
    use crate::measure::evidence::Place;

    fn white(blown: f64, at_edge: f64, largest: f64) -> Bench {
        Bench::new("[[print]]\nsize = \"8 x 10 in\"").evidence(|e| {
            (e.clipped.blown, e.clipped.blown_at_edge) = (blown, at_edge);
            (e.clipped.largest, e.clipped.largest_inside) = (largest, largest.min(blown - at_edge));
            e.clipped.sparkle = 0.001;
        })
    }

    #[test]
    fn one_per_cent_in_all_and_half_of_it_in_one_piece_is_the_limit() {
        assert_eq!(white(0.01, 0.0, 0.005).ask(ask), Outcome::Holds);
        assert!(matches!(white(0.0101, 0.0, 0.005).ask(ask), Outcome::Fails(_)));
        let Outcome::Fails(breaches) = white(0.006, 0.0, 0.0051).ask(ask) else { panic!("one piece is too large") };
        assert_eq!(breaches[0].short, "0.51 % white");
    }

    #[test]
    fn the_words_say_how_much_where_and_what_sparkle_is() {
        let mut places = Grid::filled(10, 10, Place::default());
        places.fields[44].blown = 255;
        let Outcome::Fails(breaches) = white(0.031, 0.0, 0.02).evidence(|e| e.places = places).ask(ask) else {
            panic!("it is blown")
        };
        assert_eq!(
            breaches[0].what,
            "3.1 % of the picture is featureless white, mostly in the centre; 1 % may be (sparkle apart: 0.1 %)"
        );
    }

    #[test]
    fn a_white_ground_is_meant_where_the_brief_says_so() {
        let ground = Bench::new("[[print]]\nsize = \"8 x 10 in\"\nground = \"white\"")
            .evidence(|e| (e.clipped.blown, e.clipped.blown_at_edge, e.clipped.largest) = (0.4, 0.4, 0.4));
        assert_eq!(ground.ask(ask), Outcome::Holds);
        assert!(matches!(white(0.4, 0.4, 0.4).ask(ask), Outcome::Fails(_)));
    }

    #[test]
    fn a_flat_light_ground_is_a_note() {
        let flat = |share: f64| white(0.0, 0.0, 0.0).evidence(|e| e.clipped.pulled_down = share).ask(ask);
        assert_eq!(flat(0.01), Outcome::Holds);
        assert!(matches!(flat(0.02), Outcome::Fails(b) if b[0].at_most == Some(Level::Note)));
        let meant = Bench::new("[[print]]\nsize = \"8 x 10 in\"\nground = \"white\"")
            .evidence(|e| (e.clipped.pulled_down, e.clipped.pulled_down_at_edge) = (0.4, 0.4));
        assert_eq!(meant.ask(ask), Outcome::Holds);
    }

    #[test]
    fn one_channel_alone_is_a_note() {
        let red = |share: f64| {
            Bench::new("[[print]]\nsize = \"8 x 10 in\"").evidence(|e| e.clipped.single = [share, 0.0, 0.0]).ask(ask)
        };
        assert_eq!(red(0.02), Outcome::Holds);
        let Outcome::Fails(breaches) = red(0.021) else { panic!("it is a note") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("red", Some(Level::Note)));
        assert_eq!(abouts(&red(0.021)), ["red"]);
    }
}
