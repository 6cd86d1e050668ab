//! Every rule, in the order of findings. A new rule needs one file here, one `mod` line in its group and one line in
//! the list.

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
pub(crate) mod version;

use crate::judge::model::check::RuleCheck;
use crate::judge::model::rule::Rule;

/// Every rule with its check.
pub static CHECKS: &[(&Rule, RuleCheck)] = &[
    (&file::readable::RULE, file::readable::CHECK),
    (&file::format::RULE, file::format::CHECK),
    (&file::depth::RULE, file::depth::CHECK),
    (&file::layers::RULE, file::layers::CHECK),
    (&file::jpeg_quality::RULE, file::jpeg_quality::CHECK),
    (&file::bytes::RULE, file::bytes::CHECK),
    (&file::name::RULE, file::name::CHECK),
    (&file::orientation::RULE, file::orientation::CHECK),
    (&file::credit::RULE, file::credit::CHECK),
    (&file::location::RULE, file::location::CHECK),
    (&size::aspect::RULE, size::aspect::CHECK),
    (&density::minimum::RULE, density::minimum::CHECK),
    (&density::target::RULE, density::target::CHECK),
    (&density::tag::RULE, density::tag::CHECK),
    (&colour::model::RULE, colour::model::CHECK),
    (&colour::profile::RULE, colour::profile::CHECK),
    (&colour::gamut::RULE, colour::gamut::CHECK),
    (&colour::misread::RULE, colour::misread::CHECK),
    (&colour::ink::RULE, colour::ink::CHECK),
    (&tone::dark::RULE, tone::dark::CHECK),
    (&tone::highlights::RULE, tone::highlights::CHECK),
    (&tone::shadows::RULE, tone::shadows::CHECK),
    (&tone::paper::RULE, tone::paper::CHECK),
    (&margins::bleed::RULE, margins::bleed::CHECK),
    (&margins::trim::RULE, margins::trim::CHECK),
    (&margins::safe::RULE, margins::safe::CHECK),
    (&margins::fold::RULE, margins::fold::CHECK),
    (&margins::frame::RULE, margins::frame::CHECK),
    (&detail::focus::RULE, detail::focus::CHECK),
    (&detail::halo::RULE, detail::halo::CHECK),
    (&detail::enlarged::RULE, detail::enlarged::CHECK),
    (&detail::noise::RULE, detail::noise::CHECK),
    (&detail::blocks::RULE, detail::blocks::CHECK),
    (&proof::testprint::RULE, proof::testprint::CHECK),
    (&version::picture::RULE, version::picture::CHECK),
    (&version::crop::RULE, version::crop::CHECK),
    (&version::pixels::RULE, version::pixels::CHECK),
    (&version::age::RULE, version::age::CHECK),
    (&version::folder::RULE, version::folder::CHECK),
    (&set::missing::RULE, set::missing::CHECK),
    (&set::extra::RULE, set::extra::CHECK),
    (&set::rows::RULE, set::rows::CHECK),
    (&set::unlisted::RULE, set::unlisted::CHECK),
    (&set::decisions::RULE, set::decisions::CHECK),
    (&set::versions::RULE, set::versions::CHECK),
    (&set::duplicate::RULE, set::duplicate::CHECK),
    (&set::seam::RULE, set::seam::CHECK),
    (&set::mixed::RULE, set::mixed::CHECK),
    (&set::outlier::RULE, set::outlier::CHECK),
];

/// Returns every rule, in the order of findings.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    CHECKS.iter().map(|(rule, _)| *rule)
}

/// Returns the rule with an id from outside: a brief, a decisions file, the command line.
pub fn find(id: &str) -> Option<&'static Rule> {
    all().find(|rule| rule.id == id)
}

/// Returns a rule's position in the order of findings.
pub fn position(rule: &Rule) -> usize {
    all().position(|other| other == rule).unwrap_or(CHECKS.len())
}

/// True if a rule checks only the order as a whole: its findings about a row change with other rows.
pub fn is_of_order(rule: &Rule) -> bool {
    CHECKS.iter().any(|(other, check)| *other == rule && matches!(check, RuleCheck::Order(_)))
}

/// Returns the ids of the rules whose level a brief may set: all but those found by pairing, and the one about
/// unreadable files, without which no other rule can be checked.
pub fn configurable_ids() -> Vec<&'static str> {
    let may = |(rule, check): &&(&Rule, RuleCheck)| !matches!(check, RuleCheck::Pairing) && !rule.uses.is_unreadable;
    CHECKS.iter().filter(may).map(|(rule, _)| rule.id).collect()
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
            // Code shared by the rules of a group is not a rule.
            .filter(|name| name != "margins.subject_intrusion")
            .collect();
        files.sort();
        let mut ids: Vec<&str> = all().map(|rule| rule.id).collect();
        ids.sort_unstable();
        assert_eq!(files, ids);
    }

    #[test]
    fn every_rule_says_all_that_its_page_needs() {
        for rule in all() {
            assert!(rule.id.starts_with(&format!("{}.", rule.group.word())), "{}", rule.id);
            assert!(rule.question.ends_with('?'), "{}", rule.id);
            for (what, text) in [
                ("why", rule.why),
                ("page", rule.page),
                ("source", rule.source),
                ("passes", rule.samples.passes),
                ("fails", rule.samples.fails),
            ] {
                assert!(!text.trim().is_empty(), "{} has no {what}", rule.id);
            }
        }
    }
}
