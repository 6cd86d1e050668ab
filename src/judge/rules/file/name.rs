//! file.name: names that are safe on every system.

use std::collections::BTreeMap;

use regex::Regex;

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, BreachSink, Case, JudgedOrder, OrderBreach, RuleCheck, RuleOutcome};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{NAMED, first_named, join_with_and, limit_words, name_pictures};
use crate::units::show;
use crate::units::words::visible;

/// Longest name that is not reported, in characters. Source: common practice; systems allow 255 bytes.
const MAX_NAME: usize = 100;
/// Names reserved by one widespread system, and those that it reserves with a digit from 1 to 9 after them. Source:
/// Microsoft's naming rules for files.
const RESERVED: [&str; 4] = ["con", "prn", "aux", "nul"];
const RESERVED_PORTS: [&str; 2] = ["com", "lpt"];
/// The characters of portable names, in words.
const PORTABLE: &str = "A to Z, a to z, 0 to 9, dot, underscore and hyphen";

pub static RULE: Rule = Rule {
    id: "file.name",
    group: RuleGroup::File,
    title: "Unsuitable file name",
    question: "Is the file named as required, in characters that every system keeps?",
    level: Level::Note,
    why: "spaces and accents change on the way; the list no longer matches",
    page: "With name or name_pattern in the brief, the name without its extension must follow it. Without, it may hold \
           only A to Z, a to z, 0 to 9, dot, underscore and hyphen, must not begin with a hyphen, and has one \
           extension. In both cases it has at most 100 characters, is not a name that some system reserves, and \
           differs from every other name in more than capitals. There is no tolerance.",
    fix: "Rename the file, or change the name in the export dialog. The finding suggests a name where it can.",
    misses: "It does not see whether the name belongs to what the picture shows.",
    keys: &["file.name", "file.name_pattern"],
    source: "POSIX.1 Portable Filename Character Set; the length: common practice",
    samples: RuleExamples { passes: "p012-plum-tart.jpg", fails: "P 012 crêpes FINAL(2).tif.jpg" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses { export_setting: Some(export_setting), ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::RowAndOrder(check, report_clashing_names);

fn export_setting(print: &Print) -> Option<ExportSetting> {
    let required = &print.requirements.file.name;
    let (key, value) = match (&required.words, &required.pattern) {
        (Some(words), _) => ("file.name", format!("only {}", spelling(words))),
        (None, Some(pattern)) => ("file.name_pattern", format!("that match \"{}\"", visible(pattern))),
        (None, None) => return None,
    };
    Some(ExportSetting::of(print, key, "file names", value))
}

/// True if a name without its extension passes for a print.
pub fn is_suitable(print: &Print, stem: &str) -> bool {
    let required = print.requirements.file.name.pattern.as_deref();
    let is_spelt_well = match required.map(|pattern| Regex::new(&format!("^(?:{pattern})$"))) {
        Some(Ok(pattern)) => pattern.is_match(stem),
        Some(Err(_)) | None => !stem.is_empty() && stem.chars().all(is_portable) && !stem.starts_with('-'),
    };
    let inner = stem.rsplit_once('.').map(|(_, inner)| inner);
    is_spelt_well && !inner.is_some_and(is_picture_extension) && !is_reserved(&stem.to_lowercase())
}

fn check(case: &Case) -> RuleOutcome {
    let key = &case.submission.key;
    let (name, stem) = (key.file_name(), key.stem());
    let shown = visible(name).into_owned();
    let rename = |plain: &str| rename(plain, key.extension());
    let mut breaches = Vec::new();
    let mut say = |about: &str, short: &str, found: String, fix: String| {
        breaches.push(Breach { about: about.to_owned(), short: short.to_owned(), found, fix, ..Breach::default() });
    };
    if !case.submission.name_is_utf8 {
        say(
            "encoding",
            "name unreadable",
            format!("the name {shown} is not valid UTF-8; usual: UTF-8"),
            "rename it with plain letters and digits".to_owned(),
        );
        return RuleOutcome::of(breaches);
    }
    let required = &case.print.requirements.file.name;
    match required.pattern.as_deref().map(|pattern| Regex::new(&format!("^(?:{pattern})$"))) {
        Some(Ok(pattern)) => {
            if !pattern.is_match(stem) {
                let required = match (&required.words, &required.pattern) {
                    (Some(words), _) => portable_name(case, words),
                    (None, pattern) => {
                        let pattern = visible(pattern.as_deref().unwrap_or_default());
                        limit_words(case.print, "file.name_pattern", &format!("a name that matches \"{pattern}\""))
                    }
                };
                let plain = slug::slugify(stem);
                let fix =
                    if pattern.is_match(&plain) { rename(&plain) } else { "rename it to match the pattern".to_owned() };
                say("pattern", "wrong name", format!("named {shown}; {required}"), fix);
            }
        }
        Some(Err(_)) | None => {
            let plain = slug::slugify(stem);
            if !stem.chars().all(is_portable) {
                let found = format!("{shown} has {}; usual: only {PORTABLE}", unsafe_characters(stem));
                say("characters", "unsafe name", found, rename(&plain));
            } else if stem.starts_with('-') {
                let found = format!("{shown} begins with a hyphen; usual: a letter or a digit first");
                say("characters", "unsafe name", found, rename(&plain));
            }
            if let Some((_, inner)) = stem.rsplit_once('.')
                && is_picture_extension(inner)
            {
                say("endings", "two extensions", format!("{shown} has two extensions; usual: one"), rename(&plain));
            }
        }
    }
    if is_reserved(&stem.to_lowercase()) {
        say(
            "reserved",
            "reserved name",
            format!("{shown} is a name that some systems reserve; usual: any other name"),
            rename(&format!("{}-1", slug::slugify(stem))),
        );
    }
    let length = name.chars().count();
    if length > MAX_NAME {
        let found = format!("a name of {}; usual: at most {MAX_NAME}", show::count(length, "character", "characters"));
        say("length", "long name", found, format!("shorten the name to {MAX_NAME} characters or fewer"));
    }
    RuleOutcome::of(breaches)
}

/// Reports names of the order that differ only in case.
fn report_clashing_names(order: &JudgedOrder, report: BreachSink) {
    let mut by_name: BTreeMap<String, Vec<&Row>> = BTreeMap::new();
    for row in order.rows {
        if let Some(picture) = &row.key.picture {
            by_name.entry(picture.as_str().to_lowercase()).or_default().push(row);
        }
    }
    by_name.into_values().filter_map(|rows| one_name(&rows)).for_each(report);
}

fn one_name(rows: &[&Row]) -> Option<OrderBreach> {
    let mut pictures: Vec<_> = rows.iter().filter_map(|row| row.key.picture.clone()).collect();
    pictures.sort();
    pictures.dedup();
    let names = name_pictures(&pictures, ToString::to_string);
    (pictures.len() > 1).then(|| OrderBreach {
        rows: rows.iter().map(|row| row.key.clone()).collect(),
        breach: Breach {
            about: "case".to_owned(),
            short: "same name".to_owned(),
            found: format!("{names} differ only in capitals: on many systems they are one file; usual: other names"),
            fix: "rename one of them".to_owned(),
            ..Breach::default()
        },
        pictures: first_named(pictures),
    })
}

fn is_picture_extension(text: &str) -> bool {
    matches!(text.to_lowercase().as_str(), "jpg" | "jpeg" | "tif" | "tiff" | "png" | "psd" | "webp" | "heic")
}

/// Returns the advice, with a name in plain letters and the file's own extension.
fn rename(plain: &str, extension: Option<&str>) -> String {
    if plain.is_empty() {
        return "rename it with plain letters and digits".to_owned();
    }
    let extension = extension.map(|extension| format!(".{}", visible(extension))).unwrap_or_default();
    format!("rename it, for example to {plain}{extension}")
}

/// Returns a spelling of names: `lower case, digits and hyphen`.
fn spelling(words: &str) -> String {
    let words: Vec<_> = words.split([',', ';']).flat_map(|part| part.split(" and ")).map(str::trim).collect();
    visible(&join_with_and(&words)).into_owned()
}

/// Returns the spelling of names as a limit: `only lower case, digits and hyphen allowed`.
fn portable_name(case: &Case, words: &str) -> String {
    let words = spelling(words);
    if case.print.origins.of("file.name").is_open() {
        format!("usual: only {words}")
    } else {
        format!("only {words} allowed")
    }
}

/// True if every system keeps a character of a name.
const fn is_portable(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-')
}

/// Names the characters of a name that some systems change: `spaces`, `spaces, "ê" and "("`.
fn unsafe_characters(stem: &str) -> String {
    let mut words: Vec<String> = Vec::new();
    for c in stem.chars().filter(|c| !is_portable(*c)) {
        let word = if c == ' ' { "spaces".to_owned() } else { format!("\"{}\"", visible(c.encode_utf8(&mut [0; 4]))) };
        if !words.contains(&word) {
            words.push(word);
        }
    }
    let more = words.len().saturating_sub(NAMED);
    words.truncate(NAMED);
    if more > 0 {
        words.push(show::count(more, "more", "more"));
    }
    join_with_and(&words)
}

/// Returns true if some system reserves a name, in lower case and without its extension.
fn is_reserved(stem: &str) -> bool {
    let is_port = |port: &&str| matches!(stem.strip_prefix(*port).map(str::as_bytes), Some([b'1'..=b'9']));
    RESERVED.contains(&stem) || RESERVED_PORTS.iter().any(is_port)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{RuleBench, abouts, brief, sound_submission};

    #[test]
    fn portable_names_pass_where_nothing_is_required() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with_name("p012-plum_tart.v2.jpg").ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with_name("cr\u{ea}pes.jpg").ask(check)), ["characters"]);
        assert_eq!(abouts(&bench.with_name("plum tart.jpg").ask(check)), ["characters"]);
        assert_eq!(abouts(&bench.with_name("-a.jpg").ask(check)), ["characters"]);
        assert_eq!(abouts(&bench.with_name("a.tif.jpg").ask(check)), ["endings"]);
        for reserved in ["aux.jpg", "CON.jpg", "com9.jpg", "Lpt3.jpg"] {
            assert_eq!(abouts(&bench.with_name(reserved).ask(check)), ["reserved"], "{reserved}");
        }
        for sound in ["com0.jpg", "com10.jpg", "lpt.jpg"] {
            assert_eq!(bench.with_name(sound).ask(check), RuleOutcome::Passed, "{sound}");
        }
    }

    #[test]
    fn names_that_differ_only_in_capitals_are_reported_on_both_rows() {
        let all = brief("[[print]]\nsize = \"8 x 10 in\"");
        let rows =
            judge(&all, &[sound_submission("Tart.jpg", 2400, 3000), sound_submission("tart.jpg", 2400, 3000)]).rows;
        assert!(rows.iter().all(|row| row.findings.iter().any(|f| f.about == "case")));
    }

    #[test]
    fn the_longest_name_still_holds() {
        let bench = RuleBench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with_name(&format!("{}.jpg", "a".repeat(96))).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with_name(&format!("{}.jpg", "a".repeat(97))).ask(check)), ["length"]);
    }

    #[test]
    fn what_is_unsafe_in_a_name_is_named_and_a_spelling_is_said_in_words() {
        let found = |brief: &str, name: &str| match RuleBench::new(brief).with_name(name).ask(check) {
            RuleOutcome::Failed(mut breaches) => breaches.swap_remove(0),
            other => panic!("{other:?}"),
        };
        let free = "[[print]]\nsize = \"8 x 10 in\"";
        let spaced = found(free, "P 012 cr\u{ea}pes (2).jpg");
        let unsafe_ones = " has spaces, \"\u{ea}\", \"(\" and \")\"; usual: only A to Z";
        assert!(spaced.found.contains(unsafe_ones), "{}", spaced.found);
        assert_eq!(spaced.fix, "rename it, for example to p-012-crepes-2.jpg");
        let spelt = "[file]\nname = \"lower case, digits, hyphen\"\n[[print]]\nsize = \"8 x 10 in\"";
        let named = "named P012.jpg; only lower case, digits and hyphen allowed";
        assert_eq!(found(spelt, "P012.jpg").found, named);
    }

    #[test]
    fn a_required_pattern_replaces_the_portable_letters() {
        let bench = RuleBench::new("[file]\nname_pattern = \"p[0-9]{3}-[a-z-]+\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.with_name("p012-plum-tart.jpg").ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.with_name("p012-plum-tart-2b.jpg").ask(check)), ["pattern"]);
        let RuleOutcome::Failed(breaches) = bench.with_name("Plum Tart.jpg").ask(check) else { panic!("must fail") };
        assert_eq!(breaches[0].found, "named Plum Tart.jpg; a name that matches \"p[0-9]{3}-[a-z-]+\" required");
        assert_eq!(breaches[0].fix, "rename it to match the pattern", "plum-tart would not");
        let RuleOutcome::Failed(breaches) = bench.with_name("P012 Plum Tart.jpg").ask(check) else {
            panic!("must fail")
        };
        assert_eq!(breaches[0].fix, "rename it, for example to p012-plum-tart.jpg");
    }
}
