//! Effective density against a limit: the comparison and the words shared by both density rules.

pub mod minimum;
pub mod tag;
pub mod target;
use num_rational::Ratio;

use crate::judge::model::check::{Breach, Case};
use crate::judge::model::finding::FixNumbers;
use crate::judge::rules::phrases::{FIX_LINES, other_way, printed_size};
use crate::units::{Ppi, Size, show};

/// Share of a required density that is enough: one per cent less is within tolerance. Source: ours, from the rounding
/// of exporters and labs.
pub const ENOUGH_OF_DENSITY: Ratio<i128> = Ratio::new_raw(99, 100);

/// A density compared with a limit.
#[derive(Clone, Debug, PartialEq)]
pub enum DensityStatus {
    /// At or over it.
    Reached,
    /// Under it and within tolerance; the difference in words.
    Nearly(String),
    /// Under it.
    Under,
}

/// Compares the effective density with a limit. The required pixels, rounded as exporters round, reach the limit; one
/// pixel fewer on each axis and one per cent less are within tolerance.
pub fn status_at(case: &Case, limit: Ppi) -> Option<DensityStatus> {
    let fit = case.placement.fit.as_ref()?;
    let needed = case.placement.needed_px(limit);
    let has_needed = fit.picture_px.0 >= needed.0 && fit.picture_px.1 >= needed.1;
    if fit.density >= limit || has_needed {
        return Some(DensityStatus::Reached);
    }
    let (have, required) = show::ppi_apart(fit.density, limit);
    let frame = case.placement.frame();
    let one_more = |px: u32, length| Ppi::over(px.saturating_add(1), length).is_some_and(|ppi| ppi >= limit);
    if one_more(fit.picture_px.0, frame.width) && one_more(fit.picture_px.1, frame.height) {
        return Some(DensityStatus::Nearly(format!("{have} for {required} ppi: one pixel short")));
    }
    if fit.density >= limit.times(ENOUGH_OF_DENSITY) {
        return Some(DensityStatus::Nearly(format!("{have} for {required} ppi: within 1 %")));
    }
    Some(DensityStatus::Under)
}

/// Returns the breach of a density under its limit. `required` makes the limit's words, such as `at least 240 ppi
/// required`.
pub fn breach(case: &Case, limit: Ppi, required: impl FnOnce(&str) -> String) -> Breach {
    let Some(fit) = case.placement.fit.as_ref() else { return Breach::default() };
    let (have, limit_shown) = show::ppi_apart(fit.density, limit);
    Breach {
        numbers: Some((fit.density.as_f64(), limit.as_f64())),
        short: have.clone(),
        found: format!(
            "{have} at {}; {}",
            printed_size(case.print, case.placement),
            required(&format!("{limit_shown} ppi"))
        ),
        fix: fix(case, limit),
        fix_numbers: FixNumbers { exports: exports(case, limit), ..FixNumbers::default() },
        ..Breach::default()
    }
}

/// Returns the pixels that reach the target, and those that reach a lower limit.
fn exports(case: &Case, limit: Ppi) -> Vec<(u32, u32)> {
    let target = case.print.requirements.density.target;
    let lower = (limit != target).then(|| case.placement.needed_px(limit));
    std::iter::once(case.placement.needed_px(target)).chain(lower).collect()
}

/// Returns the numbers for the export dialog, at the target and at a lower limit, then the largest print of the file as
/// it is.
fn fix(case: &Case, limit: Ppi) -> String {
    let target = case.print.requirements.density.target;
    let mut actions: Vec<String> =
        other_way(case.print, case.placement, |rotated| rotated.density >= limit).into_iter().collect();
    actions.push(from_original(case));
    if limit != target {
        let lowest = show::pixels(case.placement.needed_px(limit));
        actions.push(format!("if it has fewer pixels, export at {lowest} or more ({})", show::ppi(limit)));
    }
    let fit = case.placement.fit.as_ref();
    if let Some(size) = fit.and_then(|fit| case.placement.largest_print(fit.picture_px, limit)) {
        actions.push(format!("or print this file no larger than {} ({})", size.show(), show::ppi(limit)));
    }
    actions.truncate(FIX_LINES);
    actions.join("\n")
}

/// Returns the advice to export from the original, with the pixels of the target.
pub fn from_original(case: &Case) -> String {
    let target = case.print.requirements.density.target;
    format!(
        "export from the original at {} ({}), without enlarging",
        show::pixels(case.placement.needed_px(target)),
        show::ppi(target)
    )
}

/// Returns the largest prints from this many real pixels at the target and at the minimum, where there are any.
pub fn largest_prints(case: &Case, held_px: (u32, u32)) -> Vec<(Size, Ppi)> {
    let density = &case.print.requirements.density;
    let carried = |ppi: Ppi| Some((case.placement.largest_print(held_px, ppi)?, ppi));
    let mut prints: Vec<(Size, Ppi)> = [density.target, density.minimum].into_iter().filter_map(carried).collect();
    prints.dedup();
    prints
}

/// Returns the advice to print smaller.
pub fn largest_prints_words(prints: &[(Size, Ppi)]) -> String {
    let words: Vec<String> =
        prints.iter().map(|(size, ppi)| format!("{} at {}", size.show(), show::ppi(*ppi))).collect();
    match words.as_slice() {
        [] => "or use another picture".to_owned(),
        words => format!("or print it no larger than {}", words.join(", or ")),
    }
}
