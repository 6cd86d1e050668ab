//! The vocabulary: words that were given up for the trade's own, and where no text that a person reads may hold them.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use regex::Regex;

/// Words given up, as a pattern, and what is said instead.
const OLD: &[(&str, &str)] = &[
    (r"mend(s|ed|ing)?", "fix"),
    (r"desks?", "the live table, plateside, a window"),
    (r"lays?|laid|laying", "write, deliver"),
    (r"handovers?|hand(s|ed|ing)? (it |them |the order )?over", "deliver, delivery"),
    (r"lets? (it |a finding |the finding )?stand|stands? accepted|what stands", "accept"),
    (r"tell(s|ing)? of|told|does not tell", "detected, reports"),
    (r"not answered|unanswered", "not checked"),
    (r"forgiv(es|en|ing)|forgive", "within tolerance"),
    (r"ranks?", "level"),
    (r"shadows? (that )?merges?|merging shadows|merged shadows", "block up"),
    (r"codes", "levels (of 255)"),
    (r"turned|turns? (red|green|pass|warn|fix)", "changed; rotated"),
    (r"shapes?", "aspect ratio"),
    (r"small pictures?", "thumbnail"),
    (r"calm(er|ly)?", "smooth"),
    (r"anew", "again"),
    (r"otherwise", "differently, else"),
    (r"dear(er|est)?", "expensive"),
    (r"in the hand|by hand held|good for", "at arm's length, on a wall"),
    (r"wanted|unwanted", "target"),
    (r"at the least|least density", "at least, the minimum"),
    (r"black[_ ]d\b|black density|density of (the )?black", "Dmax"),
    (r"ground", "background"),
    (r"theirs|by us", "by the designer, by the photographer"),
    (r"drab|crisp", "muted, harsh"),
    (r"electrophotography", "toner"),
    (r"--choose", "--only"),
    (r"asked again|(is|are|was|were|be) asked|\d+ asked|asked (of|by)", "required; usual; open again"),
];

/// Texts in which an old word has its place, and the word.
const PLACES: &[(&str, &str, &str)] = &[
    ("src/brief/renamed.rs", "*", "it leads from the old words to the new"),
    ("src/brief/trade_terms.rs", "electrophotography", "the trade's longer word for toner is understood"),
    ("src/brief/trade_terms.rs", "black density", "the trade's other word for Dmax is understood"),
    ("src/report/glossary.rs", "shape", "it leads to the aspect ratio"),
    ("src/report/glossary.rs", "black density", "it leads to Dmax"),
    ("src/delivery/contents.rs", "handover", "the earlier name of the record"),
    ("src/tui/keys/own.rs", "hand-over", "the earlier name of an action"),
    ("src/tui/keys/own.rs", "mend", "the earlier names of actions"),
    ("src/cli/usage_errors.rs", "--choose", "it leads to the new option"),
    ("src/brief/answer/everyday.rs", "by us", "a printer's own words are understood"),
    ("DEVELOPERS.md", "*", "its glossary and its changelog name what went before"),
];

/// A literal or a comment of Rust; comments are matched so that quotes in them begin nothing.
static TOKEN: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r##"(?s)//[^\n]*|r#"(.*?)"#|r"([^"]*)"|"((?:[^"\\]|\\.)*)"|'(?:[^'\\\n]|\\.[^'\n]{0,8})'"##).unwrap()
});

#[test]
fn what_people_read_holds_none_of_the_old_words() {
    let old: Vec<(Regex, &str)> = OLD
        .iter()
        .map(|(old, now)| (Regex::new(&format!(r"(?i)(^|[^\w-]){}($|[^\w-])", grouped(old))).unwrap(), *now))
        .collect();
    let mut faults = Vec::new();
    for (path, line, text) in read_by_people() {
        for (pattern, now) in &old {
            let Some(found) = pattern.find(&text) else { continue };
            let word = found.as_str().trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
            let has_its_place = |(of, which, _): &&(&str, &str, &str)| {
                path == *of && (*which == "*" || word.contains(which.trim_matches('-')))
            };
            if !PLACES.iter().any(|place| has_its_place(&place)) {
                faults.push(format!("{path}:{line}: \"{word}\" is {now} now: {}", text.trim()));
            }
        }
    }
    assert!(faults.is_empty(), "{} texts hold old words\n{}\n", faults.len(), faults.join("\n"));
}

/// A pattern in one group, whatever it parts.
fn grouped(pattern: &str) -> String {
    format!("(?:{pattern})")
}

/// Every text that a person reads, with its file and line: literals of the program but for its tests, the note's page,
/// the starters, the README, the screens as drawn.
fn read_by_people() -> Vec<(String, usize, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders: Vec<PathBuf> = ["src", "briefs"].map(|folder| root.join(folder)).into();
    let mut files = vec![root.join("README.md"), root.join("DEVELOPERS.md")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
            if entry.is_dir() { folders.push(entry) } else { files.push(entry) }
        }
    }
    files.sort();
    let mut texts = Vec::new();
    for file in files {
        let path = file.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
        let Ok(text) = fs::read_to_string(&file) else { continue };
        let is_test =
            path.contains("/tests/") || ["tests.rs", "testing.rs", "sample.rs"].iter().any(|end| path.ends_with(end));
        match file.extension().and_then(|extension| extension.to_str()) {
            Some("rs") if !is_test => texts.extend(literals(&text).map(|(line, text)| (path.clone(), line, text))),
            Some("md" | "toml" | "html" | "snap") => {
                texts.extend(text.lines().enumerate().map(|(at, line)| (path.clone(), at + 1, line.to_owned())));
            }
            _ => {}
        }
    }
    texts
}

/// The literals of a Rust text before its tests, each with its line.
fn literals(text: &str) -> impl Iterator<Item = (usize, String)> {
    let code = text.find("#[cfg(test)]\nmod ").map_or(text, |at| &text[..at]);
    TOKEN.captures_iter(code).filter_map(move |found| {
        let literal = (1..=3).find_map(|group| found.get(group))?;
        let line = code[..literal.start()].matches('\n').count() + 1;
        let words = literal.as_str().replace("\\n", " ").replace("\\\"", "\"");
        Some((line, words.split_whitespace().filter(|word| *word != "\\").collect::<Vec<_>>().join(" ")))
    })
}

#[test]
fn literals_are_found_between_comments_and_characters() {
    let text = "// a \"comment\"\nlet a = ('\"', \"one \\\n    two\", r#\"three \"3\"\"#);\n#[cfg(test)]\nmod tests { \"four\" }";
    let found: Vec<(usize, String)> = literals(text).collect();
    assert_eq!(found, [(2, "one two".to_owned()), (3, "three \"3\"".to_owned())]);
}
