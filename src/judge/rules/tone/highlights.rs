//! tone.highlights: featureless white, except sparkle and lights.

use crate::brief::requirements::Level;
use crate::judge::metrics::tones::white_at_edge_is_meant;
use crate::judge::metrics::whereabouts;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::risk::Risk;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases;
use crate::judge::subject::Area;
use crate::measure::evidence::{BlownShare, FieldTone, MEAN_STEPS};
use crate::measure::{Evidence, WHITE_CODE};
use crate::units::{Share, show};
use num_rational::Ratio;

/// Share of the limit allowed in one region. Source: ours.
const ONE_REGION: Ratio<i128> = Ratio::new_raw(1, 2);
/// Share of the picture above which hard-edged white at the frame counts: less is a gap of sky, a corner of a window.
/// Source: ours.
const AT_EDGE_PERCENT: i128 = 3;
/// Share of the picture with one channel alone at the top that deserves a note. Source: ours.
const SINGLE_PERCENT: i128 = 2;
/// Value of a wholly blown field, of 255.
const FULL: f64 = 255.0;
/// Code from which a channel is at the top, as when counting.
const TOP: u64 = WHITE_CODE as u64;
/// Green code from which red at the top is light rather than colour: yellow, orange, sunset. Source: ours.
const WARM_GREEN: u64 = 140;

pub static RULE: Rule = Rule {
    id: "tone.highlights",
    group: RuleGroup::Tone,
    title: "Blown highlights",
    question: "Is nothing blown out except sparkle and lights?",
    level: Level::Should,
    why: "featureless white prints as bare paper, and a colour at its limit prints flat: texture and edges are lost",
    page: "Cells of 4 x 4 pixels with every channel at 254 or 255 of 255 are joined into areas. An area over 0.05 % of \
           the picture is blown; a smaller one is sparkle, welcome on glass, glaze and metal. Blown areas with a hard \
           edge, or with texture round them, may together cover tone.lost_highlights of the brief (usual: 1 %), and a \
           single one half of that. Those that touch the frame count once they are more than 3 % of the picture \
           together. White that fades out smoothly, still nearly white three cells further out, is a light or a hazy \
           sky: a note, as is less white at the frame. In a subject's box white of any kind counts. White that reaches \
           the frame is left out with background = \"white\", and where a white border is part of the picture. One \
           channel alone at the top on more than 2 % of the picture is a note, and so are flat areas just below white.",
    fix: "Bring the highlights down from the raw file until they show texture. Accept white that is meant to be white.",
    misses: "It cannot tell white that is meant, such as a lamp with a hard edge or a white cloth, from white that was \
             lost. It does not know what the raw file still holds.",
    keys: &["tone.lost_highlights", "print.background"],
    source: "common practice, nothing published; soft edges ours, from photographs of the sun, lamps, clouds and \
             petals",
    samples: RuleExamples { passes: "0.3 % sparkle on a glaze", fails: "3.1 % of the picture in one white patch" },
    unit: "share",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { wants_test_print: true, risk: Some(Risk::Highlights), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let limit = case.print.requirements.tone.lost_highlights;
    let clipped = &evidence.clipped;
    let meant = white_at_edge_is_meant(case.print.background, &evidence.appearance);
    let at_edge = if meant { BlownShare::default() } else { clipped.hard_at_edge };
    let counts_edge = Share::measured(at_edge.share) > Share::percent(AT_EDGE_PERCENT);
    let (counted, excused) = if counts_edge {
        let both = BlownShare {
            share: clipped.hard.share + at_edge.share,
            largest: clipped.hard.largest.max(at_edge.largest),
        };
        (both, clipped.soft.share)
    } else {
        (clipped.hard, clipped.soft.share + at_edge.share)
    };
    let one_most = Share::from_ratio(limit.ratio() * ONE_REGION);
    let (lost, largest) = (Share::measured(counted.share), Share::measured(counted.largest));
    // One cause, one finding: white that counts anyway names its place; the box is checked for white otherwise excused.
    let white = if lost > limit || largest > one_most {
        let (all, largest) = (LimitedShare { share: lost, limit }, LimitedShare { share: largest, limit: one_most });
        Some(blown_breach(case, evidence, all, largest, counts_edge))
    } else {
        let on_subject = case.subject.and_then(|subject| on_subject(case, evidence, subject.area, limit));
        let excused = Share::measured(excused);
        on_subject.or_else(|| (excused > limit).then(|| lights_breach(case, evidence, excused, limit, meant)))
    };
    let mut breaches: Vec<Breach> = white.into_iter().collect();
    breaches.extend(single_channel_breach(evidence));
    let at_edge_meant = if meant { clipped.pulled_down_at_edge } else { 0.0 };
    breaches.extend(pulled_down_breach(case, clipped.pulled_down - at_edge_meant, limit));
    RuleOutcome::of(breaches)
}

/// Returns the share of a field that is white and counts, 0 to 1.
fn counted_share(field: &FieldTone, counts_edge: bool) -> f64 {
    let hard = field.blown.saturating_sub(field.blown_softly);
    let counted = if counts_edge { hard } else { hard.saturating_sub(field.blown_at_edge) };
    f64::from(counted) / FULL
}

/// Returns a limit that follows from the brief's largest share of featureless white, in words.
fn at_most(case: &Case, shown: &str) -> String {
    phrases::limit_words(case.print, "tone.lost_highlights", &format!("at most {shown}"))
}

/// Checks white of any kind on the subject, as a share of its box.
fn on_subject(case: &Case, evidence: &Evidence, area: Area, limit: Share) -> Option<Breach> {
    let (mut all, mut white) = (0.0, 0.0);
    for (field, place) in evidence.field_tones.placed() {
        let inside = area.share_within(field);
        all += inside;
        white += inside * f64::from(place.blown) / FULL;
    }
    let share = Share::measured(if all > 0.0 { white / all } else { 0.0 });
    if share <= limit {
        return None;
    }
    let (shown, limit_shown) = show::shares_apart(share, limit);
    Some(Breach {
        about: "subject".to_owned(),
        numbers: Some((share.as_f64(), limit.as_f64())),
        short: "white on subject".to_owned(),
        found: format!("{shown} of the subject is featureless white; {}", at_most(case, &limit_shown)),
        fix: "bring the highlights down from the raw file until the subject shows texture there\nor accept it if the \
              white is meant"
            .to_owned(),
        ..Breach::default()
    })
}

/// Returns a note on lights, and small white at the frame.
fn lights_breach(case: &Case, evidence: &Evidence, share: Share, limit: Share, meant: bool) -> Breach {
    let (shown, limit_shown) = show::shares_apart(share, limit);
    let fields = evidence.field_tones.placed().map(|(field, place)| {
        let at_edge = if meant { 0 } else { place.blown_at_edge };
        (field, f64::from(place.blown_softly.max(at_edge)) / FULL)
    });
    let place = whereabouts::parenthesis(fields, case.subject.map(|subject| subject.area));
    Breach {
        about: "light".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((share.as_f64(), limit.as_f64())),
        short: format!("{shown} soft white"),
        found: format!(
            "{shown} of the picture is white that fades out softly, or a little white at the frame{place}; {}",
            at_most(case, &limit_shown)
        ),
        fix: "accept it if it is the sun, a lamp or a gap of sky\nor, if it is part of the subject, bring the \
              highlights down there from the raw file"
            .to_owned(),
        ..Breach::default()
    }
}

/// A measured share and the most that it may be.
#[derive(Clone, Copy)]
struct LimitedShare {
    share: Share,
    limit: Share,
}

fn blown_breach(
    case: &Case,
    evidence: &Evidence,
    all: LimitedShare,
    largest: LimitedShare,
    counts_edge: bool,
) -> Breach {
    let by_all = all.share > all.limit;
    let LimitedShare { share: measured, limit: required } = if by_all { all } else { largest };
    let (shown, limit_shown) = show::shares_apart(measured, required);
    let area = case.subject.map(|subject| subject.area);
    let place = whereabouts::parenthesis(
        evidence.field_tones.placed().map(|(field, place)| (field, counted_share(place, counts_edge))),
        area,
    );
    let (what, limit) = if by_all {
        ("of the picture is featureless white", at_most(case, &limit_shown))
    } else {
        ("of the picture is one white area", at_most(case, &format!("{limit_shown} in one area")))
    };
    let sparkle = show::share(Share::measured(evidence.clipped.sparkle));
    let mut fix = "bring the highlights down from the raw file until the area shows texture, and leave the sparkle \
                   white"
        .to_owned();
    let hard = evidence.clipped.hard;
    if counts_edge && Share::measured(hard.share) <= all.limit && Share::measured(hard.largest) <= largest.limit {
        fix.push_str("\nor write background = \"white\" for the print, if the white at the frame is the background");
    }
    fix.push_str("\nor accept it if the white is meant");
    Breach {
        numbers: Some((measured.as_f64(), required.as_f64())),
        short: format!("{shown} white"),
        found: format!("{shown} {what}{place} (sparkle, not counted: {sparkle}); {limit}"),
        fix,
        ..Breach::default()
    }
}

/// Checks flat near-white, only a note: it may be white that was pulled down after clipping, or a smooth light ground.
fn pulled_down_breach(case: &Case, share: f64, limit: Share) -> Option<Breach> {
    let share = Share::measured(share);
    if share <= limit {
        return None;
    }
    let (shown, limit_shown) = show::shares_apart(share, limit);
    Some(Breach {
        about: "flat".to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((share.as_f64(), limit.as_f64())),
        short: "flat highlights".to_owned(),
        found: format!(
            "{shown} of the picture is just below white and without texture; {}",
            at_most(case, &limit_shown)
        ),
        fix: "accept it if the background is meant to be light and smooth\nor bring the texture back from the raw file"
            .to_owned(),
        ..Breach::default()
    })
}

fn single_channel_breach(evidence: &Evidence) -> Option<Breach> {
    let limit = Share::percent(SINGLE_PERCENT);
    let names = ["red", "green", "blue"];
    let channels = evidence.clipped.single_channel.into_iter().zip(names).enumerate();
    let (channel, (most, name)) = channels.max_by(|(_, one), (_, other)| one.0.total_cmp(&other.0))?;
    let most = Share::measured(most);
    if most <= limit {
        return None;
    }
    let (shown, limit_shown) = show::shares_apart(most, limit);
    let there = match channel {
        0 if green_beside_red(evidence).is_some_and(|green| green >= WARM_GREEN) => {
            "yellow petals, egg, citrus or a warm sky"
        }
        0 => "petals, berries or red sauces",
        1 => "leaves or herbs",
        _ => "sky, water or blue glaze",
    };
    Some(Breach {
        about: name.to_owned(),
        at_most: Some(Level::Note),
        numbers: Some((most.as_f64(), limit.as_f64())),
        short: format!("{name} clipped"),
        found: format!(
            "{name} alone is at the top of the scale on {shown} of the picture; usual: at most {limit_shown}"
        ),
        fix: format!(
            "look for lost texture in {there}\nthen take saturation or exposure back a little before exporting\nor \
             accept it if the texture is there"
        ),
        ..Breach::default()
    })
}

/// Returns the mean green code of the colours whose red alone is at the top; `None` where colours are not in the
/// picture's own codes.
fn green_beside_red(evidence: &Evidence) -> Option<u64> {
    if evidence.counted_in.is_some() {
        return None;
    }
    let codes = |colour: u16| u64::from(colour) / MEAN_STEPS;
    let red = evidence.colours.iter().filter(|colour| {
        let [red, green, blue] = colour.mean.map(codes);
        red >= TOP && green.min(blue) < TOP
    });
    let (sum, count) = red.fold((0, 0), |(sum, count), colour| {
        let weight = u64::from(colour.count);
        (sum + codes(colour.mean[1]) * weight, count + weight)
    });
    (count > 0).then(|| sum / count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, abouts};
    use crate::measure::Grid;
    use crate::measure::evidence::{Border, Colour};

    const PRINT: &str = "[[print]]\nsize = \"8 x 10 in\"";

    fn white_for(brief: &str, [hard, at_edge, soft]: [f64; 3], largest: f64) -> RuleBench {
        RuleBench::new(brief).evidence(|e| {
            let clipped = &mut e.clipped;
            (clipped.blown, clipped.blown_at_edge) = (hard + at_edge + soft, at_edge);
            clipped.hard = BlownShare { share: hard, largest: largest.min(hard) };
            clipped.hard_at_edge = BlownShare { share: at_edge, largest: largest.min(at_edge) };
            clipped.soft = BlownShare { share: soft, largest: largest.min(soft) };
            clipped.sparkle = 0.001;
        })
    }

    fn white(kinds: [f64; 3], largest: f64) -> RuleBench {
        white_for(PRINT, kinds, largest)
    }

    fn level(outcome: &RuleOutcome) -> Option<Level> {
        match outcome {
            RuleOutcome::Failed(breaches) => breaches[0].at_most,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn one_per_cent_in_all_and_half_of_it_in_one_piece_is_the_limit() {
        assert_eq!(white([0.01, 0.0, 0.0], 0.005).ask(check), RuleOutcome::Passed);
        assert_eq!(level(&white([0.0101, 0.0, 0.0], 0.005).ask(check)), None);
        let RuleOutcome::Failed(breaches) = white([0.006, 0.0, 0.0], 0.0051).ask(check) else {
            panic!("one piece is too large")
        };
        assert_eq!(breaches[0].short, "0.51 % white");
    }

    #[test]
    fn the_words_say_how_much_where_and_what_sparkle_is() {
        let mut places = Grid::filled(10, 10, FieldTone::default());
        places.fields[44].blown = 255;
        let RuleOutcome::Failed(breaches) =
            white([0.031, 0.0, 0.0], 0.02).evidence(|e| e.field_tones = places).ask(check)
        else {
            panic!("it is blown")
        };
        assert_eq!(
            breaches[0].found,
            "3.1 % of the picture is featureless white, mostly in the centre (sparkle, not counted: 0.1 %); usual: at \
             most 1 %"
        );
    }

    #[test]
    fn white_at_the_frame_counts_above_three_per_cent_and_lights_are_a_note() {
        assert_eq!(abouts(&white([0.0, 0.03, 0.0], 0.02).ask(check)), ["light"]);
        assert_eq!(level(&white([0.0, 0.03, 0.0], 0.02).ask(check)), Some(Level::Note));
        assert_eq!(level(&white([0.0, 0.031, 0.0], 0.02).ask(check)), None);
        assert_eq!(level(&white([0.0, 0.0, 0.12], 0.12).ask(check)), Some(Level::Note));
        assert_eq!(white([0.005, 0.0, 0.01], 0.005).ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn white_on_the_subject_is_no_light() {
        let mut places = Grid::filled(10, 10, FieldTone::default());
        (places.fields[44].blown, places.fields[44].blown_softly) = (128, 128);
        let sun = white([0.0, 0.0, 0.005], 0.005).evidence(|e| e.field_tones = places);
        assert_eq!(sun.ask(check), RuleOutcome::Passed);
        // Arithmetic: half of one of the four fields in the box, 128 / 255 / 4.
        let RuleOutcome::Failed(breaches) = sun.subject(0.4, 0.4, 0.6, 0.6).ask(check) else {
            panic!("it is on the subject")
        };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("subject", None));
        assert_eq!(breaches[0].found, "12.5 % of the subject is featureless white; usual: at most 1 %");
        assert_eq!(sun.subject(0.0, 0.0, 0.2, 0.2).ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn a_white_background_and_a_painted_border_are_meant() {
        let ground = white_for(&format!("{PRINT}\nbackground = \"white\""), [0.0, 0.4, 0.0], 0.4);
        assert_eq!(ground.ask(check), RuleOutcome::Passed);
        assert_eq!(level(&white([0.0, 0.4, 0.0], 0.4).ask(check)), None);
        let border = Some(Border { from: 0.0, to: 0.05 });
        assert_eq!(
            white([0.0, 0.4, 0.0], 0.4).evidence(|e| e.appearance.border = [border; 4]).ask(check),
            RuleOutcome::Passed
        );
    }

    #[test]
    fn a_flat_light_background_is_a_note() {
        let flat = |share: f64| white([0.0; 3], 0.0).evidence(|e| e.clipped.pulled_down = share).ask(check);
        assert_eq!(flat(0.01), RuleOutcome::Passed);
        assert!(matches!(flat(0.02), RuleOutcome::Failed(b) if b[0].at_most == Some(Level::Note)));
        let meant = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"\nbackground = \"white\"")
            .evidence(|e| (e.clipped.pulled_down, e.clipped.pulled_down_at_edge) = (0.4, 0.4));
        assert_eq!(meant.ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn one_channel_alone_is_a_note() {
        let red = |share: f64| {
            RuleBench::new("[[print]]\nsize = \"8 x 10 in\"")
                .evidence(|e| e.clipped.single_channel = [share, 0.0, 0.0])
                .ask(check)
        };
        assert_eq!(red(0.02), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = red(0.021) else { panic!("it is a note") };
        assert_eq!((breaches[0].about.as_str(), breaches[0].at_most), ("red", Some(Level::Note)));
        assert_eq!(abouts(&red(0.021)), ["red"]);
        let of = |channel: usize, mean: [u16; 3]| {
            let found = RuleBench::new(PRINT).evidence(|e| {
                e.clipped.single_channel[channel] = 0.1;
                e.colours = vec![Colour { mean: mean.map(|code| code * 256), count: 9 }];
            });
            let RuleOutcome::Failed(breaches) = found.ask(check) else { panic!("it is a note") };
            breaches[0].fix.clone()
        };
        assert!(of(0, [255, 40, 30]).contains("red sauces"));
        assert!(of(0, [255, 190, 90]).contains("a warm sky"));
        assert!(of(2, [120, 190, 255]).contains("sky, water"));
    }
}
