//! Promises of the judge as a whole, tried on many pictures and prints.

use proptest::prelude::*;

use crate::brief::Brief;
use crate::judge::testing::{brief, delivered, with_facts};
use crate::judge::{Delivered, Finding, Row, judge};
use crate::picture::facts::{Orientation, ResolutionTag};

fn one(brief: &Brief, file: Delivered) -> Row {
    judge(brief, &[file]).rows.swap_remove(0)
}

fn has(row: &Row, rule: &str) -> bool {
    row.findings.iter().any(|finding| finding.rule == rule)
}

/// Briefs of every kind of edge.
fn orders() -> impl Strategy<Value = Brief> {
    prop_oneof![
        Just("[[print]]\nsize = \"8 x 10 in\""),
        Just(
            "[paper]\nstock = \"coated\"\n[margins]\nedge = \"bleed\"\nbleed = \"3 mm\"\n[[print]]\nsize = \"210 x \
              260 mm\""
        ),
        Just("[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"11 x 14 in\""),
        Just(
            "[paper]\nstock = \"canvas\"\n[margins]\nedge = \"wrap\"\ndepth = \"38 mm\"\n[[print]]\nsize = \"500 x \
              700 mm\""
        ),
        Just("[density]\nwanted = \"200 ppi\"\nleast = \"150 ppi\"\n[[print]]\nsize = \"60 x 85 mm\""),
    ]
    .prop_map(brief)
}

/// What is found, without the words about how it is stored.
fn found(row: &Row) -> Vec<Finding> {
    row.findings.iter().filter(|finding| finding.rule != "file.orientation").cloned().collect()
}

/// The first `W x H px` of a text.
fn pixels_in(text: &str) -> (u32, u32) {
    let pattern = regex::Regex::new(r"(\d+) x (\d+) px").unwrap();
    let caught = pattern.captures(text).unwrap();
    (caught[1].parse().unwrap(), caught[2].parse().unwrap())
}

proptest! {
    #[test]
    fn one_picture_gives_the_same_findings_under_all_eight_orientation_tags(
        brief in orders(), w in 300_u32..6_000, h in 300_u32..6_000, tag_ppi in 60_u32..400
    ) {
        let upright = with_facts(delivered("a.jpg", w, h), |f| {
            f.tag = Some(ResolutionTag { x_ppi: f64::from(tag_ppi), y_ppi: f64::from(tag_ppi) });
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
    fn doing_what_the_mend_says_removes_the_finding(brief in orders(), w in 300_u32..6_000, h in 300_u32..6_000) {
        let row = one(&brief, delivered("a.jpg", w, h));
        for rule in ["density.least", "density.wanted", "size.shape", "margins.bleed"] {
            let Some(finding) = row.findings.iter().find(|finding| finding.rule == rule) else { continue };
            let (w, h) = pixels_in(&finding.mend);
            let mended = one(&brief, delivered("a.jpg", w, h));
            prop_assert!(!has(&mended, rule), "{rule}: {} -> {:?}", finding.mend, mended.findings);
        }
    }

    #[test]
    fn the_least_export_that_the_mend_names_is_enough(brief in orders(), w in 300_u32..3_000, h in 300_u32..3_000) {
        let row = one(&brief, delivered("a.jpg", w, h));
        if let Some(finding) = row.findings.iter().find(|finding| finding.rule == "density.least") {
            let least = finding.mend.split("at the least").nth(1);
            if let Some(least) = least {
                let (w, h) = pixels_in(least);
                prop_assert!(!has(&one(&brief, delivered("a.jpg", w, h)), "density.least"));
            }
        }
    }

    #[test]
    fn no_failing_density_is_printed_equal_to_its_limit(brief in orders(), w in 300_u32..6_000, h in 300_u32..6_000) {
        let row = one(&brief, delivered("a.jpg", w, h));
        let densities = ["density.least", "density.wanted"];
        for finding in row.findings.iter().filter(|finding| densities.contains(&finding.rule)) {
            let asked = finding.what.split(';').nth(1).unwrap();
            let limit = asked.trim().trim_start_matches("at least ").split(" ppi").next().unwrap();
            let shown = finding.short.trim_end_matches(" ppi");
            prop_assert_ne!(shown, limit, "{}", finding.what);
        }
    }

    #[test]
    fn loosening_a_limit_never_makes_it_worse(w in 300_u32..3_000, h in 300_u32..3_000, least in 100_u32..300) {
        let asked = |least: u32| {
            brief(&format!("[density]\nwanted = \"300 ppi\"\nleast = \"{least} ppi\"\n[[print]]\nsize = \"8 x 10 in\""))
        };
        let strict = one(&asked(least), delivered("a.jpg", w, h));
        let loose = one(&asked(least - 20), delivered("a.jpg", w, h));
        prop_assert!(!has(&loose, "density.least") || has(&strict, "density.least"));
        prop_assert!(loose.state >= strict.state, "{:?} after {:?}", loose.state, strict.state);
    }
}

#[test]
fn the_judge_says_the_same_twice() {
    let brief =
        brief("[[print]]\nsize = \"8 x 10 in\"\npictures = \"p*\"\n[[print]]\nsize = \"5 x 7 in\"\npicture = \"q\"");
    let folder = [delivered("p1.jpg", 2400, 3600), delivered("p2.jpg", 900, 900), delivered("x.jpg", 10, 10)];
    assert_eq!(judge(&brief, &folder), judge(&brief, &folder));
}
