//! The brief of the next order: an earlier brief without what belonged to that order alone, its comments kept.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::short_form::NamedList;
use super::toml_value::quote;

/// What stands at the end in place of the earlier prints.
const PRINTS: &str = "\
# [[print]]                          # the prints of this order
# name = \"...\"
# size = \"210 x 260 mm\"
";

/// Keys that belong to one order alone, so that the days of their answers do, too.
const OF_ONE_ORDER: [&str; 2] = ["title", "due"];

/// Returns the text of an earlier brief without its title, its due date and its prints; with `list` as its picture
/// list. `moved` gives the path of a file that it names as the new brief shall name it, if that is another. `None`
/// where the prints cannot be told from the rest.
pub(super) fn of(earlier: &str, list: Option<NamedList<'_>>, moved: impl Fn(&str) -> Option<String>) -> Option<String> {
    let table = DeTable::parse(earlier).ok()?;
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    let mut prints_at = None;
    let path = |value: &Spanned<DeValue<'_>>| Some((value.span(), quote(&moved(value.get_ref().as_str()?)?)));
    for (name, value) in table.get_ref() {
        let whole = name.span().start..value.span().end;
        match name.get_ref().as_ref() {
            "title" => edits.push((whole, "# title = \"...\"".to_owned())),
            "due" => edits.push((whole, "# due = ...".to_owned())),
            "prints" => prints_at = Some(whole),
            "prints_sheet" => edits.push((whole, "# prints_sheet = \"...\"".to_owned())),
            "print" if earlier[name.span().end..].trim_start().starts_with('=') => edits.push((whole, String::new())),
            "answered" => {
                let days = value.get_ref().as_table().into_iter().flat_map(|days| days.iter());
                let of_order = days.filter(|(key, _)| OF_ONE_ORDER.contains(&key.get_ref().as_ref()));
                edits.extend(of_order.map(|(key, day)| (key.span().start..day.span().end, String::new())));
            }
            "sheet" => edits.extend(path(value)),
            "paper" => edits.extend(profile(value).and_then(path)),
            "papers" => {
                let papers = value.get_ref().as_table().into_iter().flat_map(|papers| papers.iter());
                edits.extend(papers.filter_map(|(_, paper)| path(profile(paper)?)));
            }
            _ => {}
        }
    }
    let listed = list.map(|list| {
        let lines: Vec<String> = std::iter::once(list.line()).chain(list.sheet_line()).collect();
        lines.join("\n")
    });
    match (prints_at, listed) {
        (Some(at), listed) => edits.push((at, listed.unwrap_or_else(|| "# prints = \"...\"".to_owned()))),
        (None, Some(listed)) => edits.push((first_key(table.get_ref()), format!("{listed}\n"))),
        (None, None) => {}
    }
    edits.sort_by_key(|(at, _)| std::cmp::Reverse(at.start));
    let mut text = earlier.to_owned();
    edits.into_iter().for_each(|(at, instead)| text.replace_range(at, &instead));
    let mut text = without_prints(&text);
    if list.is_none() {
        text = format!("{}\n\n{PRINTS}", text.trim_end());
    }
    says_the_rest(&text, earlier).then_some(text)
}

/// Returns the profile of a paper's table.
fn profile<'t, 'i>(paper: &'t Spanned<DeValue<'i>>) -> Option<&'t Spanned<DeValue<'i>>> {
    paper.get_ref().as_table()?.get("profile")
}

/// Returns the place before the first key, as an empty range.
fn first_key(table: &DeTable<'_>) -> Range<usize> {
    let keys = table.iter().filter(|(_, value)| !value.get_ref().is_table() && !value.get_ref().is_array());
    let at = keys.map(|(name, _)| name.span().start).min().unwrap_or(0);
    at..at
}

/// Returns a text without its `[[print]]` tables and the tables of those; the comments above the next table stay.
fn without_prints(text: &str) -> String {
    let mut kept = String::with_capacity(text.len());
    let mut in_print = false;
    // Comments and blank lines of a print, which may belong to the table below.
    let mut above = String::new();
    for line in text.split_inclusive('\n') {
        let words = line.trim_start();
        if let Some(table) = words.strip_prefix('[') {
            let name = table.trim_start_matches('[').split([']', '.']).next().unwrap_or_default();
            in_print = name.trim() == "print";
            if !in_print {
                kept.push_str(&above);
            }
            above.clear();
        } else if in_print && !words.is_empty() && !words.starts_with('#') {
            above.clear();
        } else if in_print {
            above.push_str(line);
        }
        if !in_print {
            kept.push_str(line);
        }
    }
    kept
}

/// True if a text says what another does, but for what belongs to one order and the paths of files.
fn says_the_rest(text: &str, earlier: &str) -> bool {
    let rest = |text: &str| {
        let mut table = text.parse::<toml::Table>().ok()?;
        for key in ["title", "due", "prints", "prints_sheet", "print", "sheet", "paper", "papers"] {
            table.remove(key);
        }
        if let Some(days) = table.get_mut("answered").and_then(toml::Value::as_table_mut) {
            OF_ONE_ORDER.iter().for_each(|key| drop(days.remove(*key)));
        }
        Some(table)
    };
    let has_print = text.parse::<toml::Table>().is_ok_and(|table| table.contains_key("print"));
    !has_print && rest(text).is_some() && rest(text) == rest(earlier)
}

#[cfg(test)]
mod tests {
    use super::*;

    const EARLIER: &str = "\
# Plates for the book.
title = \"Low Water Suppers\"   # the first batch
due = 2026-12-18
sheet = \"corrow-lane.toml\"

[paper]
stock = \"coated\"   # as printed in spring
profile = \"icc/press.icc\"

# Twelve of them.
[[print]]
name = \"plum tart\"
size = \"A4\"
[print.density]
minimum = \"200 ppi\"

# What the printer wants.
[file]
formats = [\"tiff\"]

[[print]]
size = \"A5\"
";

    const PAGES: NamedList<'_> = NamedList { path: "pages.csv", sheet: None };

    #[test]
    fn what_the_printer_wants_stays_and_what_was_one_orders_goes() {
        let text = of(EARLIER, None, |_| None).unwrap();
        let expected = "\
# Plates for the book.
# title = \"...\"   # the first batch
# due = ...
sheet = \"corrow-lane.toml\"

[paper]
stock = \"coated\"   # as printed in spring
profile = \"icc/press.icc\"

# Twelve of them.

# What the printer wants.
[file]
formats = [\"tiff\"]

# [[print]]                          # the prints of this order
# name = \"...\"
# size = \"210 x 260 mm\"
";
        assert_eq!(text, expected);
    }

    #[test]
    fn the_day_of_an_answer_about_one_order_goes_with_it() {
        let earlier =
            "due = 2026-12-18\n[answered]\ndue = 2026-11-30\n\"paper.stock\" = 2026-11-30\n[[print]]\nsize = \"A4\"\n";
        let next: toml::Table = of(earlier, None, |_| None).unwrap().parse().unwrap();
        let days: Vec<&String> = next["answered"].as_table().unwrap().keys().collect();
        assert_eq!(days, ["paper.stock"]);
    }

    #[test]
    fn a_list_takes_the_place_of_the_prints_and_files_are_found_from_elsewhere() {
        let text = of(EARLIER, Some(PAGES), |path| path.ends_with(".icc").then(|| format!("/jobs/{path}"))).unwrap();
        let table: toml::Table = text.parse().unwrap();
        assert_eq!(table["prints"].as_str(), Some("pages.csv"));
        assert_eq!(table["paper"]["profile"].as_str(), Some("/jobs/icc/press.icc"));
        assert_eq!(table["sheet"].as_str(), Some("corrow-lane.toml"));
        let listed = of("prints = \"old.csv\" # by the designer\n", Some(PAGES), |_| None).unwrap();
        assert_eq!(listed, "prints = \"pages.csv\" # by the designer\n");
        let sheet = NamedList { path: "pages.xlsx", sheet: Some("Plates") };
        let named = of("prints = \"old.xlsx\"\nprints_sheet = \"Pages\"\n", Some(sheet), |_| None).unwrap();
        assert_eq!(named, "prints = \"pages.xlsx\"\nprints_sheet = \"Plates\"\n# prints_sheet = \"...\"\n");
        let inline = of("print = [{ size = \"A4\" }]\nfrom = \"x\"\n", None, |_| None).unwrap();
        assert!(inline.starts_with("\nfrom = \"x\"\n"), "{inline}");
    }
}
