//! A check as JSON. All types of the output are defined here, so that internal types may change freely; within a
//! version no key changes its meaning, unknown facts are `null`, and new keys may be added.

use std::fmt::Write as _;

use serde::Serialize;

use crate::brief::requirements::Edge;
use crate::brief::{Origins, Print};
use crate::judge::metrics::PrintMetrics;
use crate::judge::metrics::crop::CropPlan;
use crate::judge::placement::Placement;
use crate::judge::{Row, Totals};
use crate::picture::facts::{EmbeddedProfile, JpegFacts, MetadataText};
use crate::picture::{CaptureTime, Facts};
use crate::reading::check_report::CheckReport;
use crate::units::words;

mod brief;
mod finding;
mod test_print;
mod to_do;

use brief::BriefOut;
use finding::FindingOut;
use test_print::TestPrintOut;
use to_do::ToDoOut;

/// Version of this format.
const VERSION: u32 = 1;

/// Writes the check as one JSON object.
pub fn write(report: &CheckReport) -> Vec<u8> {
    text(&Check::of(report))
}

/// Writes any value as JSON in UTF-8, with a line feed at the end. Characters that act on a line (controls, direction
/// marks) become JSON escapes, so that the text is safe to display and still holds the true name.
pub fn text(value: &impl Serialize) -> Vec<u8> {
    let text = serde_json::to_string_pretty(value).expect("plain structs with text keys always serialise");
    let mut safe = String::with_capacity(text.len() + 1);
    for c in text.chars() {
        if c != '\n' && words::acts_on_line(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                write!(safe, "\\u{unit:04x}").expect("a String takes every write");
            }
        } else {
            safe.push(c);
        }
    }
    safe.push('\n');
    safe.into_bytes()
}

#[derive(Serialize)]
struct Check<'a> {
    plateside: u32,
    version: &'static str,
    made: &'a str,
    folder: &'a str,
    brief: BriefOut<'a>,
    order_findings: Vec<FindingOut<'a>>,
    to_do: Vec<ToDoOut>,
    rows: Vec<RowOut<'a>>,
    totals: TotalsOut,
}

#[derive(Serialize)]
struct RowOut<'a> {
    picture: Option<&'a str>,
    print: Option<&'a str>,
    print_id: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    version: Option<&'a str>,
    group: Option<&'a str>,
    state: &'static str,
    remark: Option<&'a str>,
    /// What to export for a print without a picture.
    export: Option<&'a str>,
    sha256: Option<&'a str>,
    geometry: Option<GeometryOut>,
    facts: Option<FactsOut<'a>>,
    measures: MeasuresOut,
    findings: Vec<FindingOut<'a>>,
    within_tolerance: Vec<WithinToleranceOut<'a>>,
    passed: Vec<&'static str>,
    not_checked: Vec<NotCheckedOut<'a>>,
    subject: Option<SubjectOut>,
    test_print: Option<TestPrintOut<'a>>,
}

#[derive(Serialize)]
struct GeometryOut {
    size_mm: [f64; 2],
    bleed_mm: [f64; 4],
    needed_px: [u32; 2],
    rotated: bool,
    copies: u32,
    page: Option<u32>,
    /// The right-hand page of a spread.
    #[serde(skip_serializing_if = "Option::is_none")]
    last_page: Option<u32>,
    crop_lost_sides: Option<[f64; 4]>,
    crop_box: Option<[f64; 4]>,
}

#[derive(Serialize)]
struct FactsOut<'a> {
    format: &'static str,
    compression: String,
    width_px: u32,
    height_px: u32,
    model: &'static str,
    bits: u16,
    alpha: bool,
    layers: bool,
    pages: u32,
    orientation: u8,
    tag_ppi: Option<[f64; 2]>,
    bytes: u64,
    profile: Option<ProfileOut<'a>>,
    /// A colour space that the file claims without a profile.
    claim: Option<ClaimOut>,
    exif_colour_space: Option<u16>,
    jpeg: Option<JpegOut<'a>>,
    creator: Option<&'a str>,
    copyright: Option<&'a str>,
    caption: Option<&'a str>,
    location: Option<bool>,
    taken: Option<&'a str>,
}

#[derive(Serialize)]
struct ProfileOut<'a> {
    description: Option<&'a str>,
    class: Option<&'static str>,
    space: Option<&'static str>,
    known_as: Option<&'static str>,
    sha256: Option<&'a str>,
    /// Why an embedded profile cannot be trusted.
    fault: Option<&'a str>,
}

#[derive(Serialize)]
struct ClaimOut {
    known_as: &'static str,
    by: &'static str,
}

#[derive(Serialize)]
struct JpegOut<'a> {
    quality: u8,
    subsampling: &'a str,
    progressive: bool,
}

/// Every measure that the format defines; those not measured yet are `null`.
#[derive(Default, Serialize)]
struct MeasuresOut {
    effective_ppi: Option<f64>,
    crop_lost: Option<f64>,
    highlights_lost: Option<f64>,
    specular: Option<f64>,
    shadows_lost: Option<f64>,
    /// Median L* of the file.
    median_l: Option<f64>,
    /// Share that prints near the paper's black.
    near_black: Option<f64>,
    halo: Option<f64>,
    halo_mm: Option<f64>,
    edge_mm: Option<f64>,
    enlarged: Option<f64>,
    noise: Option<f64>,
    out_of_space: Option<f64>,
    out_of_paper: Option<f64>,
    delta_e_mean: Option<f64>,
    delta_e_95: Option<f64>,
    delta_e_largest: Option<f64>,
    paper_delta_e_mean: Option<f64>,
    paper_delta_e_95: Option<f64>,
    paper_delta_e_largest: Option<f64>,
    ink_max: Option<f64>,
    importance_in_trim: Option<f64>,
    importance_in_safe: Option<f64>,
}

/// The subject, which must not be cut: left, top, right, bottom as shares of the upright picture.
#[derive(Serialize)]
struct SubjectOut {
    #[serde(rename = "box")]
    sides: [f64; 4],
    from: &'static str,
}

#[derive(Serialize)]
struct WithinToleranceOut<'a> {
    rule: &'static str,
    found: &'a str,
}

#[derive(Serialize)]
struct NotCheckedOut<'a> {
    rule: &'static str,
    reason: &'a str,
}

#[derive(Serialize)]
struct TotalsOut {
    pass: usize,
    warn: usize,
    fix: usize,
    missing: usize,
    extra: usize,
    pending: usize,
    accepted: usize,
}

impl<'a> Check<'a> {
    fn of(report: &'a CheckReport) -> Check<'a> {
        let prints = report.prints();
        let Totals { pass, warn, fix, missing, extra, pending, accepted } = report.totals;
        Check {
            plateside: VERSION,
            version: env!("CARGO_PKG_VERSION"),
            made: &report.made,
            folder: &report.folder,
            brief: BriefOut::of(&report.brief),
            order_findings: report
                .order_findings
                .iter()
                .map(|one| FindingOut::of(one, &report.brief.origins))
                .collect(),
            to_do: report.to_do().into_iter().map(ToDoOut::of).collect(),
            rows: report
                .rows
                .iter()
                .map(|row| RowOut::of(prints.get(row.key.print.as_ref()), row, &report.brief.origins))
                .collect(),
            totals: TotalsOut { pass, warn, fix, missing, extra, pending, accepted },
        }
    }
}

impl<'a> RowOut<'a> {
    /// A row; `order` says where the order's values come from, which hold where there is no print.
    fn of(print: Option<&Print>, row: &'a Row, order: &Origins) -> RowOut<'a> {
        let origins = print.map_or(order, |print| &print.origins);
        RowOut {
            picture: row.key.picture.as_ref().map(|picture| picture.as_str()),
            print: row.key.print.as_ref().map(|_| row.print_name.as_str()),
            print_id: row.key.print.as_ref().map(|id| &*id.0),
            version: row.version.as_deref(),
            group: row.group.as_deref(),
            state: row.state.word(),
            remark: Some(row.pairing_note.as_str()).filter(|remark| !remark.is_empty()),
            export: Some(row.export.as_str()).filter(|export| !export.is_empty()),
            sha256: row.sha256.as_deref(),
            geometry: print.zip(row.placement.as_deref()).map(|(print, on)| GeometryOut::of(print, on, row.crop)),
            facts: row.facts.as_deref().map(FactsOut::of),
            measures: MeasuresOut::of(&row.metrics),
            findings: row
                .findings
                .iter()
                .map(|one| FindingOut::of(one, origins))
                .chain(row.accepted.iter().map(|one| FindingOut::accepted(one, origins)))
                .collect(),
            within_tolerance: row
                .within_tolerance
                .iter()
                .map(|one| WithinToleranceOut { rule: one.rule.id, found: &one.what })
                .collect(),
            passed: row.passed.iter().map(|rule| rule.id).collect(),
            not_checked: row
                .not_checked
                .iter()
                .map(|one| NotCheckedOut { rule: one.rule.id, reason: &one.reason })
                .collect(),
            subject: row.subject.map(|on| SubjectOut { sides: on.area.sides(), from: on.origin.word() }),
            test_print: TestPrintOut::of(&row.test_print),
        }
    }
}

impl GeometryOut {
    fn of(print: &Print, placement: &Placement, window: Option<CropPlan>) -> GeometryOut {
        let margins = &print.requirements.margins;
        let bleed_mm = match margins.edge {
            Edge::Bleed => margins.bleed.each().map(|side| side.mm()),
            Edge::Borderless | Edge::Border | Edge::Wrap => [0.0; 4],
        };
        let (width, height) = placement.needed_px(print.requirements.density.target);
        GeometryOut {
            size_mm: [placement.finished.width.mm(), placement.finished.height.mm()],
            bleed_mm,
            needed_px: [width, height],
            rotated: placement.is_turned,
            copies: print.copies,
            page: print.page.map(|page| page.first),
            last_page: print.page.filter(|page| page.is_spread()).map(|page| page.last),
            crop_lost_sides: placement.fit.map(|fit| fit.lost_sides.map(|side| side.as_f64())),
            crop_box: window.and_then(|plan| plan.rectangle(placement)),
        }
    }
}

impl<'a> FactsOut<'a> {
    fn of(facts: &'a Facts) -> FactsOut<'a> {
        let of = |field: &'a MetadataText| field.text();
        FactsOut {
            format: facts.format.word(),
            compression: facts.compression.word(),
            width_px: facts.width_px,
            height_px: facts.height_px,
            model: facts.model.word(),
            bits: facts.bits,
            alpha: facts.has_alpha,
            layers: facts.has_layers,
            pages: facts.pages,
            orientation: facts.orientation.tag(),
            tag_ppi: facts.resolution_tag.map(|tag| [tag.x_ppi, tag.y_ppi]),
            bytes: facts.bytes,
            profile: ProfileOut::of(&facts.profile),
            claim: facts
                .claim
                .as_ref()
                .map(|claim| ClaimOut { known_as: claim.encoding.word(), by: claim.source.name() }),
            exif_colour_space: facts.exif_colour_space,
            jpeg: facts.jpeg.as_ref().map(JpegOut::of),
            creator: of(&facts.credits.creator),
            copyright: of(&facts.credits.copyright),
            caption: of(&facts.credits.caption),
            location: facts.has_location,
            taken: facts.taken.as_ref().map(CaptureTime::as_str),
        }
    }
}

impl<'a> ProfileOut<'a> {
    fn of(profile: &'a EmbeddedProfile) -> Option<ProfileOut<'a>> {
        let none =
            ProfileOut { description: None, class: None, space: None, known_as: None, sha256: None, fault: None };
        match profile {
            EmbeddedProfile::None => None,
            EmbeddedProfile::Broken(fault) => Some(ProfileOut { fault: Some(fault), ..none }),
            EmbeddedProfile::Embedded(profile) => Some(ProfileOut {
                description: Some(&profile.description),
                class: Some(profile.class.word()),
                space: Some(profile.space.word()),
                known_as: profile.known_as.map(|encoding| encoding.word()),
                sha256: Some(&profile.sha256),
                ..none
            }),
        }
    }
}

impl<'a> JpegOut<'a> {
    fn of(jpeg: &'a JpegFacts) -> JpegOut<'a> {
        JpegOut { quality: jpeg.quality, subsampling: &jpeg.subsampling, progressive: jpeg.is_progressive }
    }
}

impl MeasuresOut {
    fn of(metrics: &PrintMetrics) -> MeasuresOut {
        MeasuresOut {
            effective_ppi: metrics.effective_ppi,
            crop_lost: metrics.crop_lost,
            highlights_lost: metrics.highlights_lost,
            specular: metrics.specular,
            shadows_lost: metrics.shadows_lost,
            median_l: metrics.median_l,
            near_black: metrics.near_black,
            halo: metrics.halo,
            halo_mm: metrics.halo_mm,
            edge_mm: metrics.edge_mm,
            enlarged: metrics.enlarged,
            noise: metrics.noise,
            ink_max: metrics.ink_most,
            out_of_space: metrics.outside.map(|outside| outside.share),
            out_of_paper: metrics.outside_paper.map(|outside| outside.share),
            delta_e_mean: metrics.outside.map(|outside| outside.mean_delta_e),
            delta_e_95: metrics.outside.map(|outside| outside.percentile_95),
            delta_e_largest: metrics.outside.map(|outside| outside.largest),
            paper_delta_e_mean: metrics.outside_paper.map(|outside| outside.mean_delta_e),
            paper_delta_e_95: metrics.outside_paper.map(|outside| outside.percentile_95),
            paper_delta_e_largest: metrics.outside_paper.map(|outside| outside.largest),
            importance_in_trim: metrics.importance_in_trim,
            importance_in_safe: metrics.importance_in_safe,
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::report::{measured, sample, sizes};

    fn written() -> (String, Value) {
        let text = String::from_utf8(write(&sample::report())).unwrap();
        let value = serde_json::from_str(&text).unwrap();
        (text, value)
    }

    #[test]
    fn a_row_says_its_geometry_facts_and_findings() {
        let (_, value) = written();
        let row = &value["rows"][0];
        assert_eq!((&row["picture"], &row["print"]), (&json!("p012-plum-tart.jpg"), &json!("p012 plum tart")));
        // 216 x 266 mm at 300 ppi, rounded to the nearest pixel (arithmetic).
        assert_eq!(row["geometry"]["needed_px"], json!([2551, 3142]));
        assert_eq!(row["geometry"]["bleed_mm"], json!([3.0, 3.0, 3.0, 3.0]));
        assert_eq!(row["facts"]["profile"]["known_as"], json!("srgb"));
        assert_eq!(row["findings"][0]["level"], json!("must"));
        assert_eq!(value["totals"]["missing"], json!(1));
    }

    #[test]
    fn what_is_not_known_is_null_and_not_left_out() {
        let (_, value) = written();
        let (missing, extra) = (&value["rows"][3], &value["rows"][4]);
        for key in ["picture", "facts", "sha256", "subject"] {
            assert_eq!(missing.get(key), Some(&Value::Null), "{key}");
        }
        assert_eq!(missing["geometry"]["size_mm"], json!([210.0, 260.0]));
        assert_eq!((extra.get("print"), extra.get("geometry")), (Some(&Value::Null), Some(&Value::Null)));
        assert_eq!(value["rows"][0]["measures"].get("out_of_paper"), Some(&Value::Null));
    }

    #[test]
    fn names_are_true_once_read_and_safe_as_text() {
        let name = "gpj.\u{202e}\u{1b}[2J\u{7f}\u{9b}\u{e0041}x";
        let picture = crate::picture::PictureKey::from_text(name);
        let mut report = sample::report();
        report.rows[1].key.picture = Some(picture);
        let evidence = crate::measure::Evidence::nothing("abc");
        let sizes = sizes::PictureSizes { picture: name.to_owned(), upright_px: (1, 1), carried: Vec::new() };
        for (bytes, place) in [
            (write(&report), "/rows/1/picture"),
            (measured::json(&[measured::of(name.to_owned(), &evidence)]), "/0/picture"),
            (sizes::json(&[sizes]), "/0/picture"),
            (text(&json!([name])), "/0"),
        ] {
            let text = String::from_utf8(bytes).unwrap();
            assert!(text.chars().all(|c| c == '\n' || !words::acts_on_line(c)), "{text:?}");
            let value: Value = serde_json::from_str(&text).unwrap();
            assert_eq!(value.pointer(place), Some(&json!(name)), "{text}");
        }
    }
}
