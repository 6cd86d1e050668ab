//! The handbook: pages of rules, entries of the brief's keys, terms of the trade, and the list of all rules by group.

use std::collections::BTreeSet;

use crate::brief::key::BriefKey;
use crate::brief::key_table;
use crate::brief::trade_terms;
use crate::judge::model::rule::{Rule, RuleGroup};
use crate::judge::rules;
use crate::report::glossary;
use crate::units::spelling;
use crate::units::styled::{Line, Style};

use super::tried;

/// Width of the labels of a page, in columns.
const LABEL: usize = 10;
/// Width of a rule's id in the list, in columns.
const ID: usize = 20;

/// Returns the page of a name: a rule, a key of the brief, or both if they share it; a name without its group or table;
/// a state, a level or a term of the trade, with the related pages.
///
/// # Errors
/// If nothing has that name: what to do, with the nearest name if there is one.
pub fn page(name: &str) -> Result<Vec<Line>, String> {
    let name = name.trim().to_lowercase();
    if let Some(lines) = group(&name) {
        return Ok(lines);
    }
    let mut pages = of_path(&name);
    if pages.is_empty() {
        pages = of_word(&name);
    }
    if pages.is_empty() { Err(unknown(&name)) } else { Ok(pages.join(&Line::blank())) }
}

/// Returns the pages of a full path: the rule's, the key's, or both.
fn of_path(path: &str) -> Vec<Vec<Line>> {
    // Any path under [rules] has the same entry; it is shown only for those that name a rule.
    let no_rule = path.strip_prefix("rules.").is_some_and(|id| id != "*" && rules::find(id).is_none());
    let key = key_table::find(path).filter(|_| !no_rule);
    rules::find(path).map(rule_page).into_iter().chain(key.map(key_page)).collect()
}

/// Returns the pages of a word: its entry in the glossary, then every path that ends with it, otherwise the trade's
/// term. An entry without pages of its own name shows the pages it leads to.
fn of_word(word: &str) -> Vec<Vec<Line>> {
    let entry = glossary::find(word);
    let last = |path: &'static str| path.rsplit('.').next().filter(|last| *last == word).map(|_| path);
    let rules = rules::all().filter_map(|rule| last(rule.id));
    let mut paths: Vec<&str> = rules.chain(key_table::all().filter_map(|key| last(key.path))).collect();
    paths.extend(entry.into_iter().flat_map(|entry| entry.see));
    if paths.is_empty() && entry.is_none() {
        paths.extend(
            trade_terms::key("", word).into_iter().chain(trade_terms::keys_with_value(word)).map(|key| key.path),
        );
    }
    // A rule and a key with the same path share their pages.
    let mut seen = BTreeSet::new();
    paths.retain(|path| seen.insert(*path));
    let said = entry.map(|entry| {
        let head = Line::of(Style::Head, entry.words.join(", "));
        vec![head, Line::plain(entry.about)]
    });
    said.into_iter().chain(paths.into_iter().flat_map(of_path)).collect()
}

/// Lists every rule by group.
pub fn index() -> Vec<Line> {
    let mut lines = vec![Line::plain(
        "Every question that is asked of a picture, with the level it has unless the brief says otherwise.",
    )];
    for group in RuleGroup::ALL {
        lines.push(Line::blank());
        lines.extend(group_lines(group));
    }
    lines.push(Line::blank());
    lines.push(Line::of(
        Style::Dim,
        "plateside explain RULE opens a rule's page; keys of the brief, states and words of the trade have one too.",
    ));
    lines
}

/// Formats a group's heading and its rules.
fn group_lines(group: RuleGroup) -> Vec<Line> {
    let heading = Line::of(Style::Head, group.word()).and(Style::Dim, format!("  {}", group.about()));
    let rules = rules::all().filter(|rule| rule.group == group).map(rule_line);
    std::iter::once(heading).chain(rules).collect()
}

fn group(name: &str) -> Option<Vec<Line>> {
    let group = RuleGroup::ALL.into_iter().find(|group| group.word() == name);
    let table = key_table::table(name).filter(|table| !table.name.is_empty());
    let mut lines = group.map(group_lines).unwrap_or_default();
    if let Some(table) = table {
        lines.extend(group.map(|_| Line::blank()));
        lines.push(Line::of(Style::Head, format!("[{name}]")).and(Style::Dim, "  keys of the brief"));
        lines.extend(table.keys.iter().map(|key| {
            Line::of(Style::Strong, format!("{:ID$}", key.path))
                .and(Style::Plain, format!("  {}", key.about))
                .indented(2, ID + 2)
        }));
    }
    (!lines.is_empty()).then_some(lines)
}

fn rule_line(rule: &Rule) -> Line {
    Line::of(Style::Strong, format!("{:ID$}", rule.id))
        .and(Style::Dim, format!("  {:6}", rule.level.word()))
        .and(Style::Plain, format!("  {}", rule.question))
        .indented(2, ID + 10)
}

fn rule_page(rule: &Rule) -> Vec<Line> {
    let mut lines = vec![
        Line::of(Style::Head, rule.id).and(Style::Dim, format!("  a rule, level {}", rule.level.word())),
        Line::plain(rule.question),
        Line::blank(),
        labelled("why", rule.why),
        labelled("how", rule.page),
        labelled("holds", rule.samples.holds),
        labelled("fails", rule.samples.fails),
        labelled("source", rule.source),
    ];
    lines.extend(tried::of_rule(rule.id).map(|text| labelled("tried", &text)));
    if !rule.silences.is_empty() {
        lines.push(labelled("silences", &rule.silences.iter().map(|rule| rule.id).collect::<Vec<_>>().join(", ")));
    }
    if !rule.keys.is_empty() {
        lines.push(Line::blank());
        lines.push(Line::of(Style::Dim, "It reads from the brief:"));
        lines.extend(rule.keys.iter().map(|path| key_line(path)));
    }
    lines.push(Line::blank());
    lines.push(
        Line::of(Style::Dim, "Its level is changed in the brief under [rules]: ")
            .and(Style::Plain, format!("\"{}\" = \"must\"", rule.id))
            .and(Style::Dim, ", \"should\", \"note\" or \"off\""),
    );
    lines
}

fn key_line(path: &str) -> Line {
    let line = Line::of(Style::Strong, format!("{path:ID$}"));
    match key_table::find(path) {
        Some(key) => line.and(Style::Plain, format!("  {} (without it: {})", key.about, key.default)),
        None => line,
    }
    .indented(2, ID + 2)
}

fn key_page(key: &BriefKey) -> Vec<Line> {
    let place = match key.table() {
        "" => "above the first table".to_owned(),
        table => format!("in [{table}]"),
    };
    let print = if key_table::is_in_print(key) && key.table() != "print" { ", or in a print" } else { "" };
    let mut lines = vec![
        Line::of(Style::Head, key.path).and(Style::Dim, format!("  a key of the brief, {place}{print}")),
        Line::plain(key.about),
        Line::blank(),
        labelled("value", &key.kind.words()),
        labelled("example", &key.line(key.example)),
        labelled("without", key.default),
        labelled("source", key.source),
    ];
    if let Some(question) = key.question {
        lines.push(labelled("to ask", question));
    }
    lines
}

fn labelled(label: &str, text: &str) -> Line {
    Line::of(Style::Dim, format!("{label:LABEL$}")).and(Style::Plain, text).indented(0, LABEL)
}

fn unknown(name: &str) -> String {
    let ids = rules::all().map(|rule| rule.id).chain(key_table::all().map(|key| key.path));
    let shown = crate::units::words::visible(name);
    match spelling::nearest(name, ids) {
        Some(near) => format!("there is no rule and no key \"{shown}\"; did you mean \"{near}\"?"),
        None => format!("there is no rule and no key \"{shown}\"; plateside explain lists all rules"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(lines: &[Line]) -> String {
        lines.iter().map(|line| line.text() + "\n").collect()
    }

    #[test]
    fn the_list_holds_every_rule_once_under_its_group() {
        let text = text(&index());
        for rule in rules::all() {
            assert_eq!(text.matches(&format!("{:ID$}", rule.id)).count(), 1, "{}", rule.id);
        }
    }

    #[test]
    fn every_rule_and_every_key_has_a_page() {
        for rule in rules::all() {
            let text = text(&page(rule.id).unwrap());
            assert!(text.contains(rule.question) && text.contains(rule.source), "{}", rule.id);
        }
        for key in key_table::all() {
            let text = text(&page(key.path).unwrap());
            assert!(text.contains(key.default) && text.contains(key.about), "{}", key.path);
        }
    }

    #[test]
    fn every_key_that_a_rule_names_is_a_key() {
        for rule in rules::all() {
            for path in rule.keys {
                assert!(key_table::find(path).is_some(), "{} reads {path}", rule.id);
            }
        }
    }

    #[test]
    fn a_slip_of_the_hand_is_answered_with_the_nearest_name() {
        assert_eq!(
            page("density.minimun").unwrap_err(),
            "there is no rule and no key \"density.minimun\"; did you mean \"density.minimum\"?"
        );
        assert!(page("zzzzzz").unwrap_err().contains("lists all rules"));
        assert!(page("rules.density.minimun").is_err());
    }

    #[test]
    fn a_word_opens_the_pages_that_it_means() {
        let heads = |word: &str| -> Vec<String> {
            let is_head = |line: &&Line| line.spans.first().is_some_and(|span| span.style == Style::Head);
            page(word).unwrap().iter().filter(is_head).map(|line| line.spans[0].text.clone()).collect()
        };
        for (word, pages) in [
            ("edge", &["margins.edge"][..]),
            ("rename", &["delivery.rename"]),
            ("dpi", &["dpi, dots per inch", "density.target", "density.target", "density.minimum", "density.minimum"]),
            ("FIX", &["FIX"]),
            ("pass", &["PASS"]),
            ("must", &["must", "rules.*"]),
            ("halo", &["detail.halo", "detail.halo"]),
            ("name", &["file.name", "file.name", "print.name"]),
            ("borderless", &["margins.edge"]),
            ("glossy", &["paper.surface"]),
            ("qty", &["print.copies"]),
            ("TAC", &["TAC, TIC, total ink, total area coverage", "paper.ink_limit", "colour.ink"]),
            ("delivery", &["[delivery]"]),
            ("bleed", &["bleed", "margins.bleed", "margins.bleed"]),
        ] {
            assert_eq!(heads(word), pages, "{word}");
        }
    }

    #[test]
    fn the_glossary_leads_to_pages_and_says_each_word_once() {
        let mut words: Vec<String> = Vec::new();
        for entry in glossary::ENTRIES {
            assert!(entry.see.iter().all(|path| !of_path(path).is_empty()), "{:?}", entry.see);
            assert!(!entry.about.ends_with('.'), "{}", entry.about);
            words.extend(entry.words.iter().map(|word| word.to_lowercase()));
        }
        let count = words.len();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), count);
    }

    #[test]
    fn a_group_lists_its_rules_and_its_keys() {
        let text = text(&page("density").unwrap());
        assert!(text.contains("density.tag") && text.contains("density.ruling"));
    }
}
