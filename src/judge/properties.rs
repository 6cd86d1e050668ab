//! Properties of judging as a whole, tested on many pictures and prints.

use std::path::Path;

use crate::units::show;
use proptest::prelude::*;

use crate::brief::picture_patterns::PictureSelector;
use crate::brief::requirements::{Level, Space};
use crate::brief::starter::STARTERS;
use crate::brief::{Brief, Print, parse};
use crate::judge::placement::Placement;
use crate::judge::rules::density::{minimum, target};
use crate::judge::rules::detail::enlarged;
use crate::judge::rules::file::orientation;
use crate::judge::rules::margins::bleed;
use crate::judge::rules::size::aspect;
use crate::judge::testing::{brief, profile, sound_submission, with_evidence, with_facts};
use crate::judge::{Finding, Row, RowState, Rule, Submission, configurable_ids, judge};
use crate::measure::evidence::{BlockSigns, Resampled};
use crate::picture::facts::{EmbeddedProfile, MetadataSource, Orientation, ResolutionTag};

fn one(brief: &Brief, file: Submission) -> Row {
    judge(brief, &[file]).rows.swap_remove(0)
}

fn has(row: &Row, rule: &Rule) -> bool {
    finding_of(row, rule).is_some()
}

fn finding_of<'a>(row: &'a Row, rule: &Rule) -> Option<&'a Finding> {
    row.findings.iter().map(AsRef::as_ref).find(|finding| finding.rule == rule)
}

/// Briefs of every kind of edge.
fn orders() -> impl Strategy<Value = Brief> {
    texts().prop_map(brief)
}

fn texts() -> impl Strategy<Value = &'static str> {
    prop_oneof![
        Just("[[print]]\nsize = \"8 x 10 in\""),
        Just(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n[[print]]\nsize = \"210 x \
              260 mm\""
        ),
        Just("[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"11 x 14 in\""),
        Just(
            "[margins]\nfit = \"inside\"\nborder = { top = \"1 in\", right = \"1 in\", bottom = \"2 in\", \
             left = \"1 in\" }\n[[print]]\nsize = \"11 x 14 in\""
        ),
        Just(
            "[paper]\nstock = \"canvas\"\n[margins]\nedge = \"wrap\"\nwrap = \"38 mm\"\n[[print]]\nsize = \"500 x \
              700 mm\""
        ),
        Just("[[print]]\nsize = \"8 x 10 in\"\nrotate = false"),
        Just("[density]\ntarget = \"200 ppi\"\nminimum = \"150 ppi\"\n[[print]]\nsize = \"60 x 85 mm\""),
    ]
}

/// Returns the findings, without those about the stored orientation.
fn found(row: &Row) -> Vec<std::sync::Arc<Finding>> {
    row.findings.iter().filter(|finding| *finding.rule != orientation::RULE).cloned().collect()
}

/// Rules whose fix is a number of pixels to export at.
const SIZED: [&Rule; 5] = [&minimum::RULE, &target::RULE, &aspect::RULE, &bleed::RULE, &enlarged::RULE];

/// Returns a picture with the traces of enlargement by a factor; unchanged if the factor is below 1.3.
fn with_traces(file: Submission, times: f64) -> Submission {
    let signs = BlockSigns { agreement: [0.1, 0.1, 0.5, 0.2], ..BlockSigns::default() };
    let traces = Resampled { line: 30.0, at: 1.0 - 1.0 / times, depth: 0.1, doubling: 0.0, signs };
    let ends = 0.6 / times;
    if times < 1.3 {
        return file;
    }
    with_evidence(file, |evidence| {
        (evidence.detail.resampled, evidence.detail.detail_ends) = (Some(traces), Some(ends))
    })
}

/// Resolution tags: none, a screen's, and those of prints.
fn tags() -> impl Strategy<Value = Option<ResolutionTag>> {
    let of = |ppi: f64| Some(ResolutionTag { x_ppi: ppi, y_ppi: ppi });
    prop_oneof![Just(None), Just(of(72.0)), Just(of(240.0)), Just(of(300.0))]
}

proptest! {
    #[test]
    fn one_picture_gives_the_same_findings_under_all_eight_orientation_tags(
        brief in orders(), w in 300_u32..6_000, h in 300_u32..6_000, tag_ppi in 60_u32..400
    ) {
        let upright = with_facts(sound_submission("a.jpg", w, h), |f| {
            f.resolution_tag = Some(ResolutionTag { x_ppi: f64::from(tag_ppi), y_ppi: f64::from(tag_ppi) });
        });
        let expected = found(&one(&brief, upright.clone()));
        for tag in 2..=8 {
            let stored = with_facts(upright.clone(), |f| {
                f.orientation = Orientation::from_tag(tag).unwrap();
                if f.orientation.swaps_sides() {
                    (f.width_px, f.height_px) = (h, w);
                }
            });
            prop_assert_eq!(&found(&one(&brief, stored)), &expected, "tag {}", tag);
        }
    }

    #[test]
    fn doing_what_the_fix_says_removes_the_finding_and_makes_nothing_worse(
        text in texts(), w in 300_u32..6_000, h in 300_u32..6_000, tag_ppi in tags(), times in 1.0_f64..4.0
    ) {
        let order = brief(text);
        let file = with_traces(with_facts(sound_submission("a.jpg", w, h), |f| f.resolution_tag = tag_ppi), times);
        let row = one(&order, file);
        for finding in row.findings.iter().filter(|finding| SIZED.contains(&finding.rule)) {
            let (rule, fix) = (finding.rule, &finding.fix);
            prop_assert!(!finding.fix_numbers.exports.is_empty(), "{:?} says no pixels", rule);
            for &(w, h) in &finding.fix_numbers.exports {
                prop_assert!(fix.contains(&show::pixels((w, h))), "{:?} does not say {} x {}: {}", rule, w, h, fix);
                let fixed = one(&order, sound_submission("a.jpg", w, h));
                prop_assert!(!has(&fixed, rule), "{:?}: {} -> {:?}", rule, fix, fixed.findings);
                let musts = fixed.findings.iter().filter(|one| one.level == Level::Must);
                for must in musts {
                    prop_assert!(has(&row, must.rule), "{:?}: {} -> {}", rule, fix, must.found);
                }
                prop_assert!(fixed.state >= row.state, "{:?}: {} -> {:?}", rule, fix, fixed.findings);
            }
        }
    }

    #[test]
    fn the_largest_print_named_for_an_enlarged_picture_passes(
        text in texts(), w in 300_u32..6_000, h in 300_u32..6_000, times in 1.3_f64..4.0
    ) {
        let order = brief(text);
        let wanted_ppi = order.prints[0].requirements.density.target;
        let row = one(&order, with_traces(sound_submission("a.jpg", w, h), times));
        let Some(finding) = finding_of(&row, &enlarged::RULE) else { return Ok(()) };
        let held = [w, h].map(|px| (f64::from(px) / times).ceil() as u32);
        let size = regex::Regex::new(r#"size = "[^"]*""#).unwrap();
        for (largest, ppi) in &finding.fix_numbers.largest_prints {
            let named = format!("{} at {}", largest.show(), show::ppi(*ppi));
            prop_assert!(finding.fix.contains(&named), "{} is not said: {}", named, finding.fix);
            // The size is named in the orientation of the print.
            let stands = if text.contains("rotate = ") { "" } else { "\nrotate = false" };
            let smaller = size.replace(text, format!("size = \"{}\"{stands}", largest.show()));
            // On a print of a few millimetres the margins leave nothing.
            let Ok(smaller) = parse(&smaller, Path::new("test.toml"), None, &configurable_ids()) else { continue };
            let row = one(&smaller, sound_submission("a.jpg", held[0], held[1]));
            prop_assert!(!has(&row, &minimum::RULE), "{} -> {:?}", finding.fix, row.findings);
            prop_assert!(*ppi != wanted_ppi || !has(&row, &target::RULE), "{} -> {:?}", finding.fix, row.findings);
        }
        // Where it names no size, the picture holds enough for the print, or no size of its shape can be filled.
        let placement = Placement::of(&order.prints[0], (w, h));
        let needed = placement.needed_px(wanted_ppi);
        let largest = placement.largest_print((held[0], held[1]), wanted_ppi);
        let holds_enough = held[0] >= needed.0 && held[1] >= needed.1;
        let prints = &finding.fix_numbers.largest_prints;
        prop_assert!(!prints.is_empty() || holds_enough || largest.is_none(), "{}", finding.fix);
    }

    #[test]
    fn every_export_that_a_finding_of_too_few_pixels_names_is_enough(
        brief in orders(), w in 300_u32..3_000, h in 300_u32..3_000
    ) {
        let row = one(&brief, sound_submission("a.jpg", w, h));
        if let Some(finding) = finding_of(&row, &minimum::RULE) {
            let density = &brief.prints[0].requirements.density;
            let named = if density.minimum == density.target { 1 } else { 2 };
            prop_assert_eq!(finding.fix_numbers.exports.len(), named);
            for &(w, h) in &finding.fix_numbers.exports {
                prop_assert!(!has(&one(&brief, sound_submission("a.jpg", w, h)), &minimum::RULE), "{} x {}", w, h);
            }
        }
    }

    #[test]
    fn no_failing_density_is_printed_equal_to_its_limit(brief in orders(), w in 300_u32..6_000, h in 300_u32..6_000) {
        let row = one(&brief, sound_submission("a.jpg", w, h));
        let number = regex::Regex::new(r"[0-9.]+").unwrap();
        for finding in [&minimum::RULE, &target::RULE].into_iter().filter_map(|rule| finding_of(&row, rule)) {
            let limit = finding.required.unwrap();
            prop_assert!(finding.measured.unwrap() < limit);
            let shown: f64 = number.find(&finding.short).unwrap().as_str().parse().unwrap();
            prop_assert!((shown - finding.measured.unwrap()).abs() <= 1.0, "{}", finding.short);
            // Any number in the text that could be the limit must differ from the measured one.
            let said: Vec<f64> = number.find_iter(&finding.found).filter_map(|one| one.as_str().parse().ok()).collect();
            let limits: Vec<&f64> = said.iter().filter(|one| **one != shown && (**one - limit).abs() <= 1.0).collect();
            prop_assert!(said.contains(&shown) && !limits.is_empty(), "{} for {}", finding.found, limit);
        }
    }

    #[test]
    fn loosening_a_limit_never_makes_it_worse(w in 300_u32..3_000, h in 300_u32..3_000, least in 100_u32..300) {
        let required = |least: u32| {
            let density = format!("[density]\ntarget = \"300 ppi\"\nminimum = \"{least} ppi\"\n");
            brief(&format!("{density}[[print]]\nsize = \"8 x 10 in\""))
        };
        let strict = one(&required(least), sound_submission("a.jpg", w, h));
        let loose = one(&required(least - 20), sound_submission("a.jpg", w, h));
        prop_assert!(!has(&loose, &minimum::RULE) || has(&strict, &minimum::RULE));
        prop_assert!(loose.state >= strict.state, "{:?} after {:?}", loose.state, strict.state);
    }
}

#[test]
fn judging_twice_gives_equal_rows() {
    let brief =
        brief("[[print]]\nsize = \"8 x 10 in\"\npictures = \"p*\"\n[[print]]\nsize = \"5 x 7 in\"\npicture = \"q\"");
    let folder = [
        sound_submission("p1.jpg", 2400, 3600),
        sound_submission("p2.jpg", 900, 900),
        sound_submission("x.jpg", 10, 10),
    ];
    assert_eq!(judge(&brief, &folder), judge(&brief, &folder));
}

/// Returns a sound export: the required pixels give or take one, the required space and kind, credited, with the right
/// tag.
fn sound_export(print: &Print, number: usize, off_px: i64) -> Submission {
    let placement = Placement::of_print(print);
    let wanted = print.requirements.density.target;
    let (w, h) = placement.needed_px(wanted);
    let px = |px: u32| u32::try_from(i64::from(px) + off_px).unwrap();
    let name = match &print.pictures {
        PictureSelector::One(pattern) | PictureSelector::Many(pattern) => {
            pattern.as_str().replace('*', &format!("plum-tart-{number}"))
        }
        PictureSelector::Rest => format!("plum-tart-{number}"),
    };
    with_facts(sound_submission(&format!("{name}.jpg"), px(w), px(h)), |f| {
        f.resolution_tag = Some(ResolutionTag { x_ppi: wanted.as_f64(), y_ppi: wanted.as_f64() });
        for field in [&mut f.credits.creator, &mut f.credits.copyright, &mut f.credits.caption] {
            field.sources = vec![(MetadataSource::Xmp, "Imogen Tarrow".to_owned())];
        }
        if let Space::Rgb(encoding) = print.requirements.colour.spaces[0] {
            f.profile = EmbeddedProfile::Embedded(profile(encoding));
        }
    })
}

/// A starter must be usable: of sound exports at most one in ten may leave PASS, all rules together.
#[test]
fn sound_exports_pass_every_starter() {
    for starter in STARTERS {
        let brief = brief(starter.text);
        let prints = brief.prints.iter().enumerate();
        let files: Vec<Submission> = prints
            .flat_map(|(at, print)| [-1, 0, 1].map(|off| sound_export(print, 3 * at + (off + 1) as usize, off)))
            .collect();
        let rows = judge(&brief, &files).rows;
        let left: Vec<&Row> = rows.iter().filter(|row| row.state != RowState::Pass).collect();
        assert!(left.len() * 10 <= rows.len(), "{}: {:#?}", starter.name, left[0].findings);
    }
}
