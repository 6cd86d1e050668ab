//! The handbook: a page for each rule, each key of the brief, each word of the screen and of the trade; and their list.

use std::collections::BTreeSet;

use crate::brief::{key_table, trade_terms};
use crate::judge::model::rule::RuleGroup;
use crate::judge::rules;
use crate::report::glossary::{self, GlossaryEntry};
use crate::units::spelling;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;

mod commands;
mod formats;
mod index;
mod key_lists;
mod lists;
mod pages;
mod related;
mod screen;
mod topic;
mod topics;

pub use index::index;

/// Returns the page of a name: a list; a group of rules or a table of keys; a rule, a key or both if they share the
/// name; a word of the screen or of the trade; a name without its group or table.
///
/// # Errors
/// If nothing has that name: the nearest name if there is one, and how to list all.
pub fn page(name: &str) -> Result<Vec<Line>, String> {
    let name = name.trim().to_lowercase();
    let singular = || of_name(name.strip_suffix('s')?);
    of_name(&name).or_else(singular).ok_or_else(|| unknown(&name))
}

/// Returns the page of a name in small letters.
fn of_name(name: &str) -> Option<Vec<Line>> {
    let list = match name {
        "rules" => Some(index::all_rules()),
        "brief" | "keys of the brief" => Some(index::all_keys()),
        _ => group(name),
    };
    let word = || glossary::find(name).map(|entry| word_page(name, entry));
    let topic = || topics::find(name).map(topic::Topic::page);
    let path = || join_pages(of_path(name));
    // EXTRA and MISSING are states first, then the rules of these names.
    let state = || screen::STATES.entry_page(name);
    let last = || join_pages(state().into_iter().chain(ending_with(name).flat_map(of_path)).collect());
    let trade = || {
        let keys = trade_terms::key("", name).into_iter().chain(trade_terms::keys_with_value(name));
        let paths: BTreeSet<&str> = keys.map(|key| key.path).collect();
        join_pages(paths.into_iter().flat_map(of_path).collect())
    };
    list.or_else(path).or_else(word).or_else(topic).or_else(last).or_else(|| topics::entry_page(name)).or_else(trade)
}

/// Returns the rules of a group and the keys of a table, with a key of the table's own name, as one page.
fn group(name: &str) -> Option<Vec<Line>> {
    let group = RuleGroup::ALL.into_iter().find(|group| group.word() == name).map(index::group_lines);
    let table = key_table::table(name).filter(|table| !table.name.is_empty()).map(index::table_lines);
    let key = key_table::find(name).filter(|_| table.is_some()).map(pages::key_page);
    join_pages(group.into_iter().chain(table).chain(key).collect())
}

/// Returns the pages of a full path: the rule's, the key's, or both.
fn of_path(path: &str) -> Vec<Vec<Line>> {
    // Any path under [rules] has the same entry; it is shown only for those that name a rule.
    let no_rule = path.strip_prefix("rules.").is_some_and(|id| id != "*" && rules::find(id).is_none());
    let key = key_table::find(path).filter(|_| !no_rule);
    rules::find(path).map(pages::rule_page).into_iter().chain(key.map(pages::key_page)).collect()
}

/// Returns the page of a word of the trade, with the rules and keys it leads to.
fn word_page(word: &str, entry: &GlossaryEntry) -> Vec<Line> {
    let mut lines = vec![Line::of(Style::Head, entry.words.join(", ")), Line::plain(entry.about)];
    let mut seen = BTreeSet::new();
    let names: Vec<&str> =
        ending_with(word).chain(entry.see.iter().copied()).filter(|name| seen.insert(*name)).collect();
    lines.extend(related::lines(names.iter().copied()));
    lines
}

/// Returns the paths of rules and keys whose name, without group or table, is the word; each once.
fn ending_with(word: &str) -> impl Iterator<Item = &'static str> {
    let paths: BTreeSet<&'static str> = paths().filter(|path| path.rsplit('.').next() == Some(word)).collect();
    paths.into_iter()
}

/// Returns the ids of all rules, then the paths of all keys.
fn paths() -> impl Iterator<Item = &'static str> {
    rules::all().map(|rule| rule.id).chain(key_table::all().map(|key| key.path))
}

/// Joins pages into one; `None` without any.
fn join_pages(pages: Vec<Vec<Line>>) -> Option<Vec<Line>> {
    (!pages.is_empty()).then(|| pages.join(&Line::blank()))
}

fn unknown(name: &str) -> String {
    let words = glossary::ENTRIES.iter().flat_map(|entry| entry.words.iter().copied());
    // A single letter or a sign is near to anything.
    let readable = |name: &&str| name.chars().filter(|c| c.is_alphabetic()).count() > 1;
    let known: Vec<&str> = paths().chain(words).chain(topics::names()).filter(readable).collect();
    let small: Vec<String> = known.iter().map(|name| name.to_lowercase()).collect();
    let near = spelling::nearest(name, small.iter().map(String::as_str));
    let near = near.and_then(|near| small.iter().position(|name| name == near)).map(|at| known[at]);
    let meant = near.map(|near| format!("; did you mean {near}?")).unwrap_or(".".to_owned());
    format!("the handbook has no page \"{}\"{meant} plateside explain lists every page", visible(name))
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::related::{ID, TITLE};
    use super::topics::TOPICS;
    use super::*;
    use crate::brief::requirements::Level;
    use crate::judge::RowState;
    use crate::report::{Exit, json, sample};

    fn text(lines: &[Line]) -> String {
        lines.iter().map(|line| line.text() + "\n").collect()
    }

    /// The first words of the page's lines in a style.
    fn first_in(style: Style, word: &str) -> Vec<String> {
        let page = page(word).unwrap_or_else(|error| panic!("{error}"));
        let first = |line: &Line| line.spans.first().filter(|span| span.style == style).map(|span| span.text.clone());
        page.iter().filter_map(first).collect()
    }

    #[test]
    fn the_list_holds_every_rule_once_by_title_id_and_level_in_the_order_of_findings() {
        let lines = index();
        let listed: Vec<String> = lines.iter().filter(|line| line.spans.len() == 3).map(Line::text).collect();
        let expected: Vec<String> =
            rules::all().map(|rule| format!("{:TITLE$}{:ID$}{}", rule.title, rule.id, rule.level.word())).collect();
        assert_eq!(listed, expected);
    }

    #[test]
    fn every_name_of_the_list_has_a_page() {
        let text = text(&index());
        let tables = key_table::TABLES.iter().map(|table| table.name).filter(|name| !name.is_empty());
        let words = glossary::ENTRIES.iter().map(|entry| entry.words[0]);
        let groups = RuleGroup::ALL.map(RuleGroup::word);
        for name in tables.chain(words).chain(groups).chain(topics::names()).chain(["rules", "brief"]) {
            assert!(page(name).is_ok(), "{name}");
        }
        for key in key_table::all() {
            assert!(text.contains(key.name()), "{}", key.path);
        }
        for entry in glossary::ENTRIES {
            assert!(text.contains(entry.words[0]), "{:?}", entry.words);
        }
    }

    #[test]
    fn the_page_of_all_rules_has_each_with_its_level_and_its_question() {
        let lines = page("rules").unwrap();
        let listed: Vec<String> = lines.iter().filter(|line| line.spans.len() == 3).map(Line::text).collect();
        let expected: Vec<String> =
            rules::all().map(|rule| format!("{:ID$}{:8}{}", rule.id, rule.level.word(), rule.question)).collect();
        assert_eq!(listed, expected);
    }

    #[test]
    fn a_level_is_offered_only_where_a_brief_may_change_it() {
        for rule in rules::all() {
            let offered = text(&page(rule.id).unwrap()).contains(&format!("\"{}\" = \"must\"", rule.id));
            assert_eq!(offered, rules::configurable_ids().contains(&rule.id), "{}", rule.id);
        }
    }

    #[test]
    fn the_page_of_the_brief_has_every_key_with_what_it_says() {
        let text = text(&page("brief").unwrap());
        for key in key_table::all() {
            assert!(text.contains(&format!("{:ID$}{}", key.path, key.about)), "{}", key.path);
        }
    }

    #[test]
    fn every_rule_has_a_title_a_fix_and_what_it_misses() {
        let has = |text: &str| !text.trim().is_empty();
        let bare = rules::all().filter(|rule| !(has(rule.title) && has(rule.fix) && has(rule.misses)));
        let bare: Vec<&str> = bare.map(|rule| rule.id).collect();
        assert!(bare.is_empty(), "without title, fix or misses: {}", bare.join(", "));
        let capital = |rule: &&'static crate::judge::Rule| !rule.title.starts_with(char::is_uppercase);
        let small: Vec<&str> = rules::all().filter(capital).map(|rule| rule.title).collect();
        assert!(small.is_empty(), "titles without a capital: {small:?}");
    }

    #[test]
    fn a_page_of_a_rule_goes_from_what_is_found_to_its_keys() {
        let page = page("density.target").unwrap();
        let labels: Vec<String> = page.iter().map(|line| line.text().trim().to_owned()).collect();
        let place =
            |label: &str| labels.iter().position(|line| line.starts_with(label)).unwrap_or_else(|| panic!("{label}"));
        let order = ["found", "fix", "why", "measured", "passes", "misses", "source", "Keys of the brief"].map(place);
        assert!(order.is_sorted(), "{order:?}");
    }

    #[test]
    fn every_rule_and_every_key_has_a_page() {
        for rule in rules::all() {
            let text = text(&page(rule.id).unwrap());
            let parts = [rule.title, rule.question, rule.samples.fails, rule.fix, rule.why, rule.page, rule.misses];
            assert!(parts.iter().all(|part| text.contains(part)) && text.contains(rule.source), "{}", rule.id);
            for key in rule.keys {
                assert!(text.contains(&format!("{key:ID$}")), "{}: {key}", rule.id);
            }
        }
        for key in key_table::all() {
            let text = text(&page(key.path).unwrap());
            let default = if key.default == key_table::NOT_SAID { "none" } else { key.default };
            assert!(text.contains(default) && text.contains(key.about), "{}", key.path);
        }
    }

    #[test]
    fn a_key_that_a_print_may_have_is_shown_as_a_print_writes_it() {
        let page = text(&page("margins.edge").unwrap());
        assert!(page.contains("in a print margins.edge = \"border\""), "{page}");
        assert!(!text(&super::page("print.size").unwrap()).contains("in a print "), "it has no other form");
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
    fn a_slip_of_the_hand_is_answered_with_the_nearest_name_and_with_how_to_list_all() {
        for (slip, meant) in [
            ("density.minimun", "density.minimum"),
            ("blead", "bleed"),
            ("soft prof", "soft proof"),
            ("WRAN", "WARN"),
            ("not chekced", "not checked"),
        ] {
            let slipped = slip.to_lowercase();
            let expected = format!(
                "the handbook has no page \"{slipped}\"; did you mean {meant}? plateside explain lists every page"
            );
            assert_eq!(page(slip).unwrap_err(), expected);
        }
        assert!(page("").unwrap_err().ends_with("\". plateside explain lists every page"));
        let far = "the handbook has no page \"zzzzzz\". plateside explain lists every page";
        assert_eq!(page("zzzzzz").unwrap_err(), far);
        assert!(page("rules.density.minimun").is_err());
    }

    #[test]
    fn a_word_opens_the_pages_that_it_means() {
        for (word, pages) in [
            ("edge", &["margins.edge"][..]),
            ("rename", &["delivery.rename"]),
            ("dpi", &["dpi, dots per inch"]),
            ("FIX", &["FIX"]),
            ("pass", &["PASS"]),
            ("must", &["must"]),
            ("!", &["!"]),
            ("lost tones", &["lost tones"]),
            ("Halos", &["halo, halos"]),
            ("soft proofs", &["soft proof, soft proofing"]),
            ("usual", &["usual"]),
            ("json", &["json"]),
            ("glossy", &["paper.surface"]),
            ("qty", &["print.copies"]),
            ("TAC", &["TAC, TIC, total ink, total area coverage"]),
            ("delivery", &["[delivery]"]),
            ("bleed", &["bleed"]),
            ("accept", &["accept"]),
            ("orders.csv", &["orders.csv"]),
            ("MESSAGE.txt", &["MESSAGE.txt"]),
            ("block up", &["shadows, blocked shadows, shadows block up, block up, blocked up"]),
        ] {
            assert_eq!(first_in(Style::Head, word), pages, "{word}");
        }
        for state in ["EXTRA", "MISSING"] {
            let heads = first_in(Style::Head, state);
            assert!(heads[0] == state && heads.len() == 2, "{heads:?}");
        }
        let name = first_in(Style::Head, "name");
        assert_eq!(name[1..], ["file.name", "print.name", "version.name"]);
    }

    #[test]
    fn a_word_of_the_trade_names_its_rules_and_keys() {
        for (word, rules_and_keys) in [
            ("dpi", &["density.target", "density.minimum", "density.target", "density.minimum"][..]),
            ("must", &["rules.*"]),
            ("halo", &["detail.halo", "detail.halo"]),
            ("borderless", &["margins.trim", "margins.edge", "margins.cut_tolerance"]),
            ("TAC", &["colour.ink", "paper.ink_limit"]),
        ] {
            let page = page(word).unwrap();
            let strong = page.iter().flat_map(|line| &line.spans).filter(|span| span.style == Style::Strong);
            let named: Vec<&str> = strong.map(|span| span.text.trim()).collect();
            assert_eq!(named, rules_and_keys, "{word}");
        }
    }

    #[test]
    fn what_people_bring_from_the_trade_has_a_page() {
        let words = "dpi, ppi, bleed, resolution, gamut, TAC, Dmax, soft proof, hard proof, borderless, sRGB, \
                     profile, trim, safe, gutter, halo, sharpening, moire, moiré, aspect ratio, crop, ICC, CMYK, RGB, \
                     noise, grain, upscaling, megapixels, crop marks, dot gain, PDF, raw, banding, 16 bit, layers, \
                     IPTC, GPS, spine, spread, fold, glossy, matte, offset, inkjet, giclée, canvas, TIFF, JPEG, EXIF, \
                     focus, highlights, shadows, clipping, calibration, rebate, TIC, total ink, lpi, perceptual, \
                     subject, brief, copies, caption, credit, orientation, duplicates, states, levels, marks, views, \
                     columns, required, usual, not checked, accepted, json, status, keys, rules";
        let without: Vec<&str> = words.split(", ").filter(|word| page(word).is_err()).collect();
        assert!(without.is_empty(), "{without:?}");
    }

    #[test]
    fn every_link_leads_to_a_page_and_every_word_stands_once() {
        let mut words: Vec<String> = Vec::new();
        let entries = glossary::ENTRIES.iter().map(|entry| (entry.words, entry.about, entry.see));
        for (names, about, see) in entries.chain(TOPICS.iter().map(|topic| (topic.names, topic.about, topic.see))) {
            assert!(see.iter().all(|name| page(name).is_ok()), "{names:?}: {see:?}");
            assert!(about.ends_with('.'), "{about}");
            words.extend(names.iter().map(|word| word.to_lowercase()));
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

    #[test]
    fn the_states_and_levels_of_the_pages_are_those_of_the_program() {
        let names =
            |topic: &str| topics::find(topic).unwrap().entries.iter().map(|(name, _)| *name).collect::<Vec<_>>();
        let states = [
            RowState::Fix,
            RowState::Missing,
            RowState::Warn,
            RowState::Extra,
            RowState::Arriving,
            RowState::Checking,
            RowState::Pass,
        ];
        assert_eq!(names("states"), states.map(RowState::word));
        assert_eq!(names("levels"), [Level::Must, Level::Should, Level::Note, Level::Off].map(Level::word));
    }

    #[test]
    fn the_page_of_the_exit_status_has_each() {
        // Source of 2 and 13: POSIX, SIGINT and SIGPIPE.
        let all = [Exit::Clean, Exit::ToFix, Exit::CouldNot, Exit::Signal(2), Exit::Signal(13)];
        let listed = topics::find("status").unwrap().entries.iter().map(|(status, _)| *status);
        assert!(listed.eq(all.map(|exit| exit.status().to_string())));
    }

    #[test]
    fn the_page_of_the_json_names_every_key_of_it() {
        fn keys(value: &Value, into: &mut BTreeSet<String>) {
            match value {
                Value::Object(map) => map.iter().for_each(|(key, value)| {
                    into.insert(key.clone());
                    keys(value, into);
                }),
                Value::Array(values) => values.iter().for_each(|value| keys(value, into)),
                _ => {}
            }
        }
        let mut all = BTreeSet::new();
        keys(&serde_json::from_slice(&json::write(&sample::report())).unwrap(), &mut all);
        let page = text(&page("json").unwrap());
        let words: BTreeSet<&str> = page.split(|c: char| !c.is_ascii_alphanumeric() && c != '_').collect();
        let missing: Vec<&String> = all.iter().filter(|key| !words.contains(key.as_str())).collect();
        assert!(missing.is_empty() && all.len() > 60, "{missing:?} of {}", all.len());
    }
}
