//! Measures of a picture's pixels, independent of any print: as lines for reading and as JSON.

use serde::Serialize;

use crate::judge::metrics::detail::enlargement;
use crate::measure::Evidence;
use crate::measure::evidence::{Crossed, Halo};
use crate::units::styled::Line;
use crate::units::{Share, show};

use super::facts::labelled;

/// Formats the measures that follow a picture's facts.
pub fn lines(evidence: &Evidence) -> Vec<Line> {
    let percent = |share: f64| show::share(Share::measured(share));
    let (clipped, detail) = (&evidence.clipped, &evidence.detail);
    let mut words = vec![("white", format!("{} blown, {} sparkle", percent(clipped.blown), percent(clipped.sparkle)))];
    if let Some(focus) = &detail.focus {
        words.push(("edges", format!("{:.1} px at the sharpest, {:.1} px overall", focus.sharp_px, focus.overall_px)));
    }
    if let Some(halo) = detail.halo {
        words.push((
            "halo",
            format!("{} of an edge's step, {} wide", percent(halo.share()), show::measured(halo.width_px(), "px")),
        ));
    }
    if let Some(found) = enlargement(detail).filter(|found| found.factor > 1.0) {
        let (sure, least) = (found.how_sure(), if found.is_known { "" } else { "at least " });
        words.push(("enlarged", format!("{sure} {least}{:.1} x", found.factor)));
    }
    if let Some(ends) = detail.detail_ends {
        words.push(("detail", format!("up to {} of what the pixels could hold", percent(ends))));
    }
    if let Some(noise) = detail.noise {
        words.push(("noise", format!("{noise:.1} levels of 255")));
    }
    if let Some(grain) = detail.grain {
        words.push((
            "grain",
            format!("{:.1} levels of 255 over 3 px, {:.1} at half the size", grain.fine, grain.coarse),
        ));
    }
    words.into_iter().map(|(label, text)| labelled(label, text)).collect()
}

/// One picture's measures in JSON.
#[derive(Serialize)]
pub struct MeasuresOut {
    picture: String,
    sha256: String,
    white: f64,
    blown: f64,
    blown_at_edge: f64,
    blown_softly: f64,
    largest: f64,
    regions: u32,
    sparkle: f64,
    pulled_down: f64,
    pulled_down_at_edge: f64,
    single: [f64; 3],
    cells: Option<u32>,
    halo: Option<f64>,
    halo_px: Option<f64>,
    halo_isolated: Option<f64>,
    halo_p90: Option<f64>,
    halo_edges: Option<u32>,
    halo_swing: Option<f64>,
    edge_px: Option<f64>,
    edge_overall_px: Option<f64>,
    edge_straight: Option<Crossed>,
    edge_diagonal: Option<Crossed>,
    line: Option<f64>,
    line_at: Option<f64>,
    line_depth: Option<f64>,
    doubling: Option<f64>,
    mirrored: Option<f64>,
    pairs: Option<f64>,
    agreement: Option<[f64; 4]>,
    detail_ends: Option<f64>,
    noise: Option<f64>,
    grain_fine: Option<f64>,
    grain_coarse: Option<f64>,
    blocks_excess: Option<f64>,
    blocks_ratio: Option<f64>,
    blocks_phase: Option<(u8, u8)>,
    lightness: f32,
    neutral: Option<(f32, f32)>,
    steps: String,
    waves: String,
    flush: [f32; 4],
}

/// Writes the measures of some pictures as a JSON list.
pub fn json(pictures: &[MeasuresOut]) -> Vec<u8> {
    super::json::text(&pictures)
}

/// Returns the measures of a picture by its name. Fields may be added; unknown values are `null`.
pub fn of(picture: String, evidence: &Evidence) -> MeasuresOut {
    let (clipped, detail, look) = (&evidence.clipped, &evidence.detail, &evidence.appearance);
    let (halo, focus) = (detail.halo.as_ref(), detail.focus.as_ref());
    let isolated = halo.and_then(|halo| halo.isolated);
    let (resampled, blocks) = (detail.resampled.as_ref(), detail.blocks.as_ref());
    MeasuresOut {
        picture,
        sha256: evidence.sha256.clone(),
        white: clipped.white,
        blown: clipped.blown,
        blown_at_edge: clipped.blown_at_edge,
        blown_softly: clipped.soft.share,
        largest: clipped.largest,
        regions: clipped.regions,
        sparkle: clipped.sparkle,
        pulled_down: clipped.pulled_down,
        pulled_down_at_edge: clipped.pulled_down_at_edge,
        single: clipped.single_channel,
        cells: evidence.tone.as_ref().map(|tone| tone.cell_count),
        halo: halo.map(Halo::share),
        halo_px: halo.map(Halo::width_px),
        halo_isolated: isolated.map(|isolated| isolated.share),
        halo_p90: isolated.map(|isolated| isolated.p90),
        halo_edges: isolated.map(|isolated| isolated.edges),
        halo_swing: halo.and_then(|halo| halo.swing).map(|swing| swing.times),
        edge_px: focus.map(|focus| focus.sharp_px),
        edge_overall_px: focus.map(|focus| focus.overall_px),
        edge_straight: focus.and_then(|focus| focus.straight),
        edge_diagonal: focus.and_then(|focus| focus.diagonal),
        line: resampled.map(|found| found.line),
        line_at: resampled.map(|found| found.at),
        line_depth: resampled.map(|found| found.depth),
        doubling: resampled.map(|found| found.doubling),
        mirrored: resampled.map(|found| found.signs.mirrored),
        pairs: resampled.map(|found| found.signs.pairs),
        agreement: resampled.map(|found| found.signs.agreement),
        detail_ends: detail.detail_ends,
        noise: detail.noise,
        grain_fine: detail.grain.map(|grain| grain.fine),
        grain_coarse: detail.grain.map(|grain| grain.coarse),
        blocks_excess: blocks.map(|blocks| blocks.excess),
        blocks_ratio: blocks.map(|blocks| blocks.ratio),
        blocks_phase: blocks.map(|blocks| blocks.phase),
        lightness: look.lightness,
        neutral: look.neutral,
        steps: format!("{:016x}", look.difference_hash),
        waves: format!("{:016x}", look.frequency_hash),
        flush: look.contour_at_side,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_answer_is_null_and_not_in_the_lines() {
        let evidence = Evidence::nothing("ab");
        let value: serde_json::Value = serde_json::from_slice(&json(&[of("a.jpg".to_owned(), &evidence)])).unwrap();
        assert_eq!((&value[0]["halo"], &value[0]["blown"]), (&serde_json::Value::Null, &serde_json::json!(0.0)));
        assert_eq!(lines(&evidence).len(), 1);
    }
}
