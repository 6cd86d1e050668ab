//! A small invented check with rows in every state, for the tests of this module.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::brief::{Brief, Print};
use crate::judge::acceptance::{Acceptance, AcceptedFinding};
use crate::judge::metrics::PrintMetrics;
use crate::judge::model::row::NotChecked;
use crate::judge::placement::Placement;
use crate::judge::{Finding, Row, RowKey, RowState, Rule, Totals, evaluate, testing};
use crate::picture::facts::{Credits, JpegFacts, MetadataSource, MetadataText, ResolutionTag};
use crate::picture::{CaptureTime, Facts, PictureKey};
use crate::reading::check_report::CheckReport;

/// An invented cookbook of four pages.
const BRIEF: &str = r#"
title = "Low Water Suppers"
printer = "Corrow Lane Press"
due = 2026-12-18

[paper]
stock = "coated"
process = "offset"

[margins]
bleed = "3 mm"
safe = "5 mm"

[[print]]
name = "p012 plum tart"
page = 12
picture = "p012*"
size = "210 x 260 mm"

[[print]]
name = "p014 barley broth"
page = 14
picture = "p014*"
size = "210 x 260 mm"

[[print]]
name = "p016 leeks"
page = 16
picture = "p016*"
size = "210 x 260 mm"

[[print]]
name = "p018 oyster board"
page = 18
picture = "p018*"
size = "210 x 260 mm"
"#;

/// Returns the cookbook's brief.
pub fn brief() -> Brief {
    Brief { path: "low-water.toml".into(), ..testing::brief(BRIEF) }
}

/// Returns the facts of a sound JPEG of a page with bleed.
pub fn facts(width_px: u32, height_px: u32) -> Facts {
    Facts {
        resolution_tag: Some(ResolutionTag { x_ppi: 300.0, y_ppi: 300.0 }),
        bytes: 4_213_377,
        exif_colour_space: Some(1),
        jpeg: Some(JpegFacts {
            quality: 92,
            is_exact: true,
            subsampling: "4:4:4".to_owned(),
            is_progressive: false,
            adobe_transform: None,
            stray_bytes: 0,
        }),
        credits: Credits {
            creator: MetadataText { sources: vec![(MetadataSource::Xmp, "Fennimore Quay".to_owned())] },
            ..Credits::default()
        },
        taken: CaptureTime::from_iso("2026-11-02T10:21:07"),
        ..testing::facts(width_px, height_px)
    }
}

/// Creates a finding of a rule by its id, always about too few pixels, with a reason that names the id.
pub fn finding(id: &str, level: Level, pictures: &[&str]) -> Finding {
    let why = format!("why {id} matters").leak();
    Finding {
        rule: Box::leak(Box::new(Rule { why, ..*testing::rule(id) })),
        level,
        pictures: pictures.iter().map(|picture| PictureKey::from_text(picture)).collect(),
        measured: Some(214.0),
        required: Some(240.0),
        unit: "ppi",
        short: "214 ppi".to_owned(),
        found: "214 ppi at 210 x 260 mm; at least 240 ppi required".to_owned(),
        fix: "export at 2551 x 3142 px".to_owned(),
        ..testing::finding(id)
    }
}

/// Creates a row of a print and a picture.
pub fn row(print: Option<&Print>, picture: Option<&str>, state: RowState) -> Row {
    let facts = facts(2551, 3142);
    let placement = print.map(|print| match picture {
        Some(_) => Placement::of(print, facts.upright_px()),
        None => Placement::of_print(print),
    });
    let key = RowKey { print: print.map(|print| print.id.clone()), picture: picture.map(PictureKey::from_text) };
    Row {
        copies: 1,
        state,
        sha256: picture.map(|_| "ef".repeat(32)),
        pixel_digest: picture.map(|_| "cd".repeat(32)),
        metrics: placement.as_ref().map(PrintMetrics::of).unwrap_or_default(),
        placement: placement.map(Arc::new),
        facts: picture.map(|_| Arc::new(facts)),
        passed: [testing::rule("file.readable")].into(),
        ..evaluate::empty_row(key, print)
    }
}

/// Creates a check of `count` prints, each with its picture and nothing to fix.
pub fn many(count: usize) -> CheckReport {
    let print =
        |at: usize| format!("[[print]]\nname = \"p{at:05}\"\nsize = \"210 x 260 mm\"\npicture = \"p{at:05}*\"\n");
    let brief = testing::brief(&(0..count).map(print).collect::<String>());
    let picture = |at: usize| format!("p{at:05}.jpg");
    let of = |(at, print): (usize, &Print)| row(Some(print), Some(&picture(at)), RowState::Pass);
    let rows: Vec<Row> = brief.prints.iter().enumerate().map(of).collect();
    CheckReport { totals: Totals::of(&rows), order_findings: Vec::new(), brief: Arc::new(brief), rows, ..report() }
}

/// Returns the paths of a check's pictures.
pub fn files(report: &CheckReport) -> HashMap<PictureKey, (PathBuf, bool)> {
    let keys = report.rows.iter().filter_map(|row| row.key.picture.clone());
    keys.map(|key| (key.clone(), (key.as_str().into(), true))).collect()
}

/// Creates a check with every closed state in it.
pub fn report() -> CheckReport {
    let brief = brief();
    let mut fix = row(Some(&brief.prints[0]), Some("p012-plum-tart.jpg"), RowState::Fix);
    fix.findings = vec![
        finding("density.minimum", Level::Must, &["p012-plum-tart.jpg"]).into(),
        finding("file.name", Level::Note, &["p012-plum-tart.jpg"]).into(),
    ];
    let mut warn = row(Some(&brief.prints[1]), Some("p014-broth\u{1b}c.jpg"), RowState::Warn);
    warn.findings = vec![finding("file.credit", Level::Should, &["p014-broth\u{1b}c.jpg"]).into()];
    let mut pass = row(Some(&brief.prints[2]), Some("p016-leeks.jpg"), RowState::Pass);
    pass.not_checked =
        [NotChecked { rule: testing::rule("margins.bleed"), reason: "unclear".to_owned(), brief_lacks_it: false }]
            .into();
    let missing = row(Some(&brief.prints[3]), None, RowState::Missing);
    let mut extra = row(None, Some("=evil().jpg"), RowState::Extra);
    extra.pairing_note = "no print wants it".to_owned();
    let rows = vec![fix, warn, pass, missing, extra];
    CheckReport {
        totals: Totals::of(&rows),
        order_findings: vec![finding("set.mixed", Level::Should, &["p012-plum-tart.jpg", "p016-leeks.jpg"]).into()],
        brief: Arc::new(brief),
        folder: "exports".to_owned(),
        rows,
        made: "2026-11-25T10:00:00Z".to_owned(),
    }
}

/// A finding of a rule of level must that was accepted, perhaps with somebody's permission.
pub fn accepted(rule: &str, allowed_by: Option<&str>) -> AcceptedFinding {
    let acceptance = Acceptance {
        print: None,
        rule: rule.to_owned(),
        about: String::new(),
        reason: "the client wants it".to_owned(),
        by: "Maren".to_owned(),
        allowed_by: allowed_by.map(str::to_owned),
        when: "2026-11-30".to_owned(),
        is_on_note: false,
        bound: Default::default(),
    };
    let finding = finding(rule, Level::Must, &[]).into();
    AcceptedFinding { finding, acceptance: acceptance.into() }
}
