//! file.name: names that are safe on every system.

use std::collections::BTreeMap;

use regex::Regex;

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, BreachSink, Case, JudgedOrder, OrderBreach, RuleCheck, RuleOutcome};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{few, named};
use crate::units::show;
use crate::units::words::visible;

/// Longest name that is not reported, in characters. Source: common practice; systems allow 255 bytes.
const LONGEST_NAME: usize = 100;
/// Names reserved by one widespread system, and those that it reserves with a digit from 1 to 9 after them. Source:
/// Microsoft's naming rules for files.
const RESERVED: [&str; 4] = ["con", "prn", "aux", "nul"];
const RESERVED_PORTS: [&str; 2] = ["com", "lpt"];

pub static RULE: Rule = Rule {
    id: "file.name",
    group: RuleGroup::File,
    title: "",
    question: "Is it named as asked, in characters that every system keeps?",
    level: Level::Note,
    why: "blanks, accents and signs are changed on the way, and then the picture list no longer fits the files",
    page: "With `name` or `name_pattern` in the brief the name without its ending must follow it. Without, it must \
           keep to the portable letters A to Z, a to z, 0 to 9, dot, underscore and hyphen, not begin with a hyphen \
           or dot, have one ending only, and not be longer than 100 characters. Two names that differ only in case \
           are said too: on many systems they are one file.",
    fix: "",
    misses: "",
    keys: &["file.name", "file.name_pattern"],
    source: "POSIX.1 Portable Filename Character Set; the length: common practice",
    samples: RuleExamples { holds: "p012-plum-tart.jpg", fails: "P 012 crêpes FINAL(2).tif.jpg" },
    unit: "",
    depends_on: Dependence::Bytes,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::RowAndOrder(check, alike);

fn check(case: &Case) -> RuleOutcome {
    let key = &case.submission.key;
    let (name, stem) = (key.file_name(), key.stem());
    let shown = visible(name).into_owned();
    let mut breaches = Vec::new();
    let mut say = |about: &str, short: &str, found: String, fix: String| {
        breaches.push(Breach { about: about.to_owned(), short: short.to_owned(), found, fix, ..Breach::default() });
    };
    if !case.submission.name_is_utf8 {
        say(
            "encoding",
            "name unreadable",
            format!("the name {shown} is not written in UTF-8"),
            "name it anew with plain letters; as it is it cannot be delivered".to_owned(),
        );
        return RuleOutcome::of(breaches);
    }
    let required = &case.print.requirements.file.name;
    match required.pattern.as_deref().map(|pattern| Regex::new(&format!("^(?:{pattern})$"))) {
        Some(Ok(pattern)) => {
            if !pattern.is_match(stem) {
                let wanted = match (&required.words, &required.pattern) {
                    (Some(words), _) => visible(words).into_owned(),
                    (None, pattern) => format!("the pattern {}", visible(pattern.as_deref().unwrap_or_default())),
                };
                say("pattern", "name", format!("{shown} does not follow \"{wanted}\""), rename(stem));
            }
        }
        Some(Err(_)) | None => {
            if !stem.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-')) || stem.starts_with('-')
            {
                say("characters", "name", format!("{shown} has characters that not every system keeps"), rename(stem));
            }
            if let Some((_, inner)) = stem.rsplit_once('.')
                && is_picture_ending(inner)
            {
                say("endings", "two endings", format!("{shown} has two endings"), rename(stem));
            }
        }
    }
    if is_reserved(&stem.to_lowercase()) {
        say(
            "reserved",
            "reserved name",
            format!("{shown} is a name that some systems keep for themselves"),
            rename(stem),
        );
    }
    let length = name.chars().count();
    if length > LONGEST_NAME {
        let found = format!(
            "the name has {}; over {LONGEST_NAME} it may be cut",
            show::count(length, "character", "characters")
        );
        say("length", "long name", found, "use a shorter name".to_owned());
    }
    RuleOutcome::of(breaches)
}

/// Reports names of the order that differ only in case.
fn alike(order: &JudgedOrder, report: BreachSink) {
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
    let names = named(&pictures, ToString::to_string);
    (pictures.len() > 1).then(|| OrderBreach {
        rows: rows.iter().map(|row| row.key.clone()).collect(),
        breach: Breach {
            about: "case".to_owned(),
            short: "same name".to_owned(),
            found: format!("{names} differ only in case: on many systems they are one file"),
            fix: "rename one of them".to_owned(),
            ..Breach::default()
        },
        pictures: few(pictures),
    })
}

fn is_picture_ending(text: &str) -> bool {
    matches!(text.to_lowercase().as_str(), "jpg" | "jpeg" | "tif" | "tiff" | "png" | "psd" | "webp" | "heic")
}

/// Returns the advice, with a name that follows it.
fn rename(stem: &str) -> String {
    let plain = slug::slugify(stem);
    if plain.is_empty() {
        "name it in plain letters and digits".to_owned()
    } else {
        format!("name it for example {plain}")
    }
}

/// Returns true if some system keeps a name, in lower case and without its ending, for itself.
fn is_reserved(stem: &str) -> bool {
    let is_port = |port: &&str| matches!(stem.strip_prefix(*port).map(str::as_bytes), Some([b'1'..=b'9']));
    RESERVED.contains(&stem) || RESERVED_PORTS.iter().any(is_port)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{Bench, abouts, brief, delivered};

    #[test]
    fn portable_names_hold_where_nothing_is_asked() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.named("p012-plum_tart.v2.jpg").ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.named("cr\u{ea}pes.jpg").ask(check)), ["characters"]);
        assert_eq!(abouts(&bench.named("plum tart.jpg").ask(check)), ["characters"]);
        assert_eq!(abouts(&bench.named("-a.jpg").ask(check)), ["characters"]);
        assert_eq!(abouts(&bench.named("a.tif.jpg").ask(check)), ["endings"]);
        for reserved in ["aux.jpg", "CON.jpg", "com9.jpg", "Lpt3.jpg"] {
            assert_eq!(abouts(&bench.named(reserved).ask(check)), ["reserved"], "{reserved}");
        }
        for sound in ["com0.jpg", "com10.jpg", "lpt.jpg"] {
            assert_eq!(bench.named(sound).ask(check), RuleOutcome::Passed, "{sound}");
        }
    }

    #[test]
    fn names_that_differ_only_in_case_are_said_on_both_rows() {
        let all = brief("[[print]]\nsize = \"8 x 10 in\"");
        let rows = judge(&all, &[delivered("Tart.jpg", 2400, 3000), delivered("tart.jpg", 2400, 3000)]).rows;
        assert!(rows.iter().all(|row| row.findings.iter().any(|f| f.about == "case")));
    }

    #[test]
    fn the_longest_name_still_holds() {
        let bench = Bench::new("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.named(&format!("{}.jpg", "a".repeat(96))).ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.named(&format!("{}.jpg", "a".repeat(97))).ask(check)), ["length"]);
    }

    #[test]
    fn an_asked_pattern_replaces_the_portable_letters() {
        let bench = Bench::new("[file]\nname_pattern = \"p[0-9]{3}-[a-z-]+\"\n[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(bench.named("p012-plum-tart.jpg").ask(check), RuleOutcome::Passed);
        assert_eq!(abouts(&bench.named("p012-plum-tart-2b.jpg").ask(check)), ["pattern"]);
        let RuleOutcome::Failed(breaches) = bench.named("Plum Tart.jpg").ask(check) else { panic!("must fail") };
        assert_eq!(breaches[0].fix, "name it for example plum-tart");
    }
}
