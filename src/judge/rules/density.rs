//! Effective density against a limit: the comparison and the words shared by both density rules.

pub mod minimum;
pub mod tag;
pub mod target;
use num_rational::Ratio;

use crate::judge::model::check::{Breach, Case};
use crate::judge::model::finding::FixNumbers;
use crate::judge::rules::phrases::{other_way, printed_size};
use crate::units::{Ppi, Size, show};

/// Share of a density that is forgiven: one per cent. Source: honest rounding of exporters and labs; ours.
const FORGIVEN: (i128, i128) = (1, 100);

/// A density compared with a limit.
#[derive(Clone, Debug, PartialEq)]
pub enum DensityStatus {
    /// At or over it.
    Reached,
    /// Under it by no more than is forgiven; the difference in words.
    Nearly(String),
    /// Under it.
    Under,
}

/// Compares the effective density with a limit. The required pixels, rounded as exporters round, reach the limit; one
/// pixel fewer on each axis and one per cent less are forgiven.
pub fn standing(case: &Case, limit: Ppi) -> Option<DensityStatus> {
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
        return Some(DensityStatus::Nearly(format!("{have} for {required}: one pixel less than asked")));
    }
    if fit.density >= limit.times(Ratio::from_integer(1) - Ratio::new(FORGIVEN.0, FORGIVEN.1)) {
        return Some(DensityStatus::Nearly(format!("{have} for {required}: within 1 %")));
    }
    Some(DensityStatus::Under)
}

/// Returns the breach of a density under its limit. `asked` makes the limit's words, such as `at least 240 ppi asked`.
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

/// Returns the pixels that reach the wanted density, and those that reach a lower limit.
fn exports(case: &Case, limit: Ppi) -> Vec<(u32, u32)> {
    let wanted = case.print.requirements.density.target;
    let lower = (limit != wanted).then(|| case.placement.needed_px(limit));
    std::iter::once(case.placement.needed_px(wanted)).chain(lower).collect()
}

/// Returns the numbers for the export dialog, the target of each, and the largest print of the file as it is.
fn fix(case: &Case, limit: Ppi) -> String {
    let density = &case.print.requirements.density;
    let wanted = show::pixels(case.placement.needed_px(density.target));
    let mut fix = other_way(case.print, case.placement, |turned| turned.density >= limit);
    fix.push_str(&format!(
        "export at {wanted} (for {}) if your original has them after the crop",
        show::ppi(density.target)
    ));
    if limit != density.target {
        let least = show::pixels(case.placement.needed_px(limit));
        fix.push_str(&format!(", or at the least {least} (for {})", show::ppi(limit)));
    }
    fix.push_str("; do not enlarge to get there");
    if let Some(fit) = case.placement.fit.as_ref() {
        match case.placement.carried(fit.picture_px, limit) {
            Some(size) => {
                fix.push_str(&format!("; as it is, it prints at most {} at {}", size.show(), show::ppi(limit)));
            }
            None => fix.push_str("; as it is, it carries no print of this shape"),
        }
    }
    fix
}

/// Returns the advice to export from the original, for a picture whose pixels are not all real.
pub fn from_original(case: &Case) -> String {
    let wanted = case.print.requirements.density.target;
    format!(
        "export it from the original at {} (for {}) if it has them after the crop, without enlarging",
        show::pixels(case.placement.needed_px(wanted)),
        show::ppi(wanted)
    )
}

/// Returns the largest prints from this many real pixels at the wanted and at the least density, where there are any.
pub fn largest_prints(case: &Case, held_px: (u32, u32)) -> Vec<(Size, Ppi)> {
    let density = &case.print.requirements.density;
    let carried = |ppi: Ppi| Some((case.placement.carried(held_px, ppi)?, ppi));
    let mut prints: Vec<(Size, Ppi)> = [density.target, density.minimum].into_iter().filter_map(carried).collect();
    prints.dedup();
    prints
}

/// Returns the largest prints in words.
pub fn largest_prints_words(prints: &[(Size, Ppi)]) -> String {
    let words: Vec<String> =
        prints.iter().map(|(size, ppi)| format!("{} at {}", size.show(), show::ppi(*ppi))).collect();
    match words.as_slice() {
        [] => "it carries no print of this shape".to_owned(),
        words => format!("it prints at most {}", words.join(", or ")),
    }
}
