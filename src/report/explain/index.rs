//! The list of all pages of the handbook, and the lists of all rules and of all keys of the brief.

use crate::brief::key::BriefKey;
use crate::brief::key_table::{self, Table};
use crate::judge::model::rule::{Rule, RuleGroup};
use crate::judge::rules;
use crate::report::glossary;
use crate::units::styled::{Line, Style};

use super::related::{ID, key_line, rule_line};
use super::topics::TOPICS;

/// Width of a list's name, in columns.
const NAME: usize = 18;

/// Lists every page: rules by group, keys of the brief by table, topics with their entries, words of the trade.
pub fn index() -> Vec<Line> {
    let mut lines = vec![
        Line::plain("The handbook. Type plateside explain and a name from this list."),
        Line::blank(),
        Line::of(Style::Head, "Rules").and(Style::Dim, "  what may be found, the name of the rule, its usual level"),
    ];
    for group in RuleGroup::ALL {
        lines.push(group_heading(group));
        lines.extend(rules_of(group).map(rule_line));
    }
    lines.extend([Line::blank(), Line::of(Style::Head, "Keys of the brief")]);
    lines.extend(key_table::TABLES.iter().map(|table| {
        let name = |key: &BriefKey| if key.name() == "*" { key.path } else { key.name() };
        let names: Vec<&str> = table.keys.iter().map(name).collect();
        named_line(&table_name(table), &names.join(", "))
    }));
    lines.extend([Line::blank(), Line::of(Style::Head, "Further pages")]);
    lines.extend(TOPICS.iter().map(|topic| {
        let entries = || topic.entries.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
        named_line(topic.names[0], &topic.summary.map_or_else(entries, str::to_owned))
    }));
    lines.push(named_line("rules", "every rule with the question it answers"));
    lines.push(named_line("brief", "every key of the brief with what it says"));
    lines.extend([Line::blank(), Line::of(Style::Head, "Words of the trade")]);
    let words: Vec<&str> = glossary::ENTRIES.iter().map(|entry| entry.words[0]).collect();
    lines.push(Line::plain(words.join(", ")).indented(2, 0));
    lines
}

/// Lists every rule with its question.
pub fn all_rules() -> Vec<Line> {
    let mut lines = vec![
        Line::of(Style::Head, "rules").and(Style::Dim, "  every rule, its usual level, and the question it answers"),
        Line::plain("plateside explain RULE says how it is measured and where its limits come from."),
    ];
    for group in RuleGroup::ALL {
        lines.push(Line::blank());
        lines.extend(group_lines(group));
    }
    lines.push(Line::blank());
    lines.extend(key_table::table("rules").into_iter().flat_map(table_lines));
    lines
}

/// Lists every key of the brief with what it says.
pub fn all_keys() -> Vec<Line> {
    let mut lines = vec![
        Line::of(Style::Head, "brief").and(Style::Dim, "  every key of the brief"),
        Line::plain(
            "The brief is a text file in TOML that says what the printer asked for. A key that it leaves out has its \
             usual value. plateside explain KEY says which, and where it comes from.",
        ),
    ];
    for table in key_table::TABLES {
        lines.push(Line::blank());
        lines.extend(table_lines(table));
    }
    lines
}

/// Formats a group's heading and its rules with their questions.
pub fn group_lines(group: RuleGroup) -> Vec<Line> {
    let questions = rules_of(group).map(|rule| {
        Line::of(Style::Strong, format!("{:ID$}", rule.id))
            .and(Style::Dim, format!("{:8}", rule.level.word()))
            .and(Style::Plain, rule.question)
            .indented(2, ID + 8)
    });
    std::iter::once(group_heading(group)).chain(questions).collect()
}

/// Formats a table's heading and its keys.
pub fn table_lines(table: &Table) -> Vec<Line> {
    let heading = Line::of(Style::Head, table_name(table)).and(Style::Dim, "  keys of the brief");
    std::iter::once(heading).chain(table.keys.iter().map(key_line)).collect()
}

fn group_heading(group: RuleGroup) -> Line {
    Line::of(Style::Head, group.word()).and(Style::Dim, format!("  {}", group.about()))
}

fn rules_of(group: RuleGroup) -> impl Iterator<Item = &'static Rule> {
    rules::all().filter(move |rule| rule.group == group)
}

fn table_name(table: &Table) -> String {
    if table.name.is_empty() { "at the top".to_owned() } else { format!("[{}]", table.name) }
}

fn named_line(name: &str, list: &str) -> Line {
    Line::of(Style::Strong, format!("{name:NAME$}")).and(Style::Plain, list).indented(2, NAME)
}
