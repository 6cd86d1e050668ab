//! Every rule, in the order of findings. A new rule is one file here, one `mod` line and one line of the list.

mod colour_gamut;
mod colour_ink;
mod colour_misread;
mod colour_model;
mod colour_profile;
mod density_least;
mod density_tag;
mod density_wanted;
mod detail_blocks;
mod detail_enlarged;
mod detail_focus;
mod detail_halo;
mod detail_noise;
mod file_bytes;
mod file_credit;
mod file_depth;
mod file_format;
mod file_jpeg_quality;
mod file_layers;
mod file_location;
mod file_name;
mod file_orientation;
mod file_readable;
mod margins_bleed;
mod margins_fold;
mod margins_frame;
mod margins_safe;
mod margins_trim;
mod proof_testprint;
mod set_duplicate;
pub mod set_extra;
pub mod set_missing;
mod set_mixed;
mod set_outlier;
pub mod set_rows;
pub mod set_unlisted;
mod set_versions;
mod size_shape;
mod tone_dark;
mod tone_highlights;
mod tone_paper;
mod tone_shadows;

use super::rule::{Ask, Rule};

/// Every rule.
pub static RULES: &[&Rule] = &[
    &file_readable::RULE,
    &file_format::RULE,
    &file_depth::RULE,
    &file_layers::RULE,
    &file_jpeg_quality::RULE,
    &file_bytes::RULE,
    &file_name::RULE,
    &file_orientation::RULE,
    &file_credit::RULE,
    &file_location::RULE,
    &size_shape::RULE,
    &density_least::RULE,
    &density_wanted::RULE,
    &density_tag::RULE,
    &colour_model::RULE,
    &colour_profile::RULE,
    &colour_gamut::RULE,
    &colour_misread::RULE,
    &colour_ink::RULE,
    &tone_dark::RULE,
    &tone_highlights::RULE,
    &tone_shadows::RULE,
    &tone_paper::RULE,
    &margins_bleed::RULE,
    &margins_trim::RULE,
    &margins_safe::RULE,
    &margins_fold::RULE,
    &margins_frame::RULE,
    &detail_focus::RULE,
    &detail_halo::RULE,
    &detail_enlarged::RULE,
    &detail_noise::RULE,
    &detail_blocks::RULE,
    &proof_testprint::RULE,
    &set_missing::RULE,
    &set_extra::RULE,
    &set_rows::RULE,
    &set_unlisted::RULE,
    &set_versions::RULE,
    &set_duplicate::RULE,
    &set_mixed::RULE,
    &set_outlier::RULE,
];

/// The rule of an id.
pub fn find(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}

/// Whether the rule of an id is asked of the order as a whole alone: what it says of a row changes with other rows.
pub fn is_of_order(id: &str) -> bool {
    find(id).is_some_and(|rule| matches!(rule.ask, Ask::Order(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_folder_is_on_the_list_once() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/judge/rules");
        let mut files: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path().file_stem().unwrap().to_str().unwrap().replacen('_', ".", 1))
            .collect();
        files.sort();
        let mut ids: Vec<&str> = RULES.iter().map(|rule| rule.id).collect();
        ids.sort_unstable();
        assert_eq!(files, ids);
    }

    #[test]
    fn every_rule_says_all_that_its_page_needs() {
        for rule in RULES {
            assert!(rule.question.ends_with('?'), "{}", rule.id);
            for (what, text) in [
                ("why", rule.why),
                ("page", rule.page),
                ("source", rule.source),
                ("holds", rule.samples.holds),
                ("fails", rule.samples.fails),
            ] {
                assert!(!text.trim().is_empty(), "{} has no {what}", rule.id);
            }
            assert!(rule.silences.iter().all(|id| find(id).is_some()), "{} silences an unknown rule", rule.id);
        }
    }
}
