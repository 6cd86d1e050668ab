//! Every rule, in the order of findings. A new rule is one file here, one `mod` line and one line of the list.

pub(crate) mod colour;
pub(crate) mod density;
pub(crate) mod detail;
pub(crate) mod file;
pub(crate) mod margins;
pub(crate) mod phrases;
pub(crate) mod proof;
pub(crate) mod set;
pub(crate) mod size;
pub(crate) mod tone;

use super::model::rule::{Rule, RuleCheck};

/// Every rule.
pub static RULES: &[&Rule] = &[
    &file::readable::RULE,
    &file::format::RULE,
    &file::depth::RULE,
    &file::layers::RULE,
    &file::jpeg_quality::RULE,
    &file::bytes::RULE,
    &file::name::RULE,
    &file::orientation::RULE,
    &file::credit::RULE,
    &file::location::RULE,
    &size::shape::RULE,
    &density::least::RULE,
    &density::wanted::RULE,
    &density::tag::RULE,
    &colour::model::RULE,
    &colour::profile::RULE,
    &colour::gamut::RULE,
    &colour::misread::RULE,
    &colour::ink::RULE,
    &tone::dark::RULE,
    &tone::highlights::RULE,
    &tone::shadows::RULE,
    &tone::paper::RULE,
    &margins::bleed::RULE,
    &margins::trim::RULE,
    &margins::safe::RULE,
    &margins::fold::RULE,
    &margins::frame::RULE,
    &detail::focus::RULE,
    &detail::halo::RULE,
    &detail::enlarged::RULE,
    &detail::noise::RULE,
    &detail::blocks::RULE,
    &proof::testprint::RULE,
    &set::missing::RULE,
    &set::extra::RULE,
    &set::rows::RULE,
    &set::unlisted::RULE,
    &set::versions::RULE,
    &set::duplicate::RULE,
    &set::mixed::RULE,
    &set::outlier::RULE,
];

/// The rule of an id.
pub fn find(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}

/// Whether the rule of an id is asked of the order as a whole alone: what it says of a row changes with other rows.
pub fn is_of_order(id: &str) -> bool {
    find(id).is_some_and(|rule| matches!(rule.ask, RuleCheck::Order(_)))
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    #[test]
    fn every_file_of_the_folder_is_on_the_list_once() {
        let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src/judge/rules"));
        let named = |path: &Path| path.file_stem().unwrap().to_str().unwrap().to_owned();
        let inside = |path: &Path| std::fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path());
        let mut files: Vec<String> = inside(folder)
            .filter(|path| path.is_dir())
            .flat_map(|group| inside(&group).map(move |file| format!("{}.{}", named(&group), named(&file))))
            // What rules of a group share asks nothing.
            .filter(|name| name != "margins.subject_intrusion")
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
