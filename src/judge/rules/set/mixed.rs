//! set.mixed: one order, one colour space.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::colour::{model, profile};
use crate::picture::facts::{ColourModel, EmbeddedProfile, Facts};
use crate::units::words::{shorten, visible};

/// Most characters shown of a profile's own name.
const SHOWN_CHARACTERS: usize = 32;
/// Most pictures named for each space; more are counted.
const NAMED_PICTURES: usize = 3;

pub static RULE: Rule = Rule {
    id: "set.mixed",
    group: RuleGroup::Set,
    title: "Mixed colour spaces",
    question: "Is the whole order in one colour space?",
    level: Level::Should,
    why: "a mixed order is often printed as if every file matched the first",
    page: "The colour spaces of all pictures that fit a print are compared, each taken from its profile's numbers or \
           from its claim. Pictures that already fail colour.model or colour.profile are left out. Where the brief \
           itself allows several spaces it is a note. Versions of an order are compared each by itself.",
    fix: "Export all pictures in one space, or ask the printer whether a mixed order is welcome.",
    misses: "Profiles that are none of the published spaces are compared by name: the same colours under two names \
             count as two spaces.",
    keys: &["colour.space"],
    source: "common practice; nothing published",
    samples: RuleExamples { passes: "twelve pictures in sRGB", fails: "eleven in sRGB and one in Adobe RGB (1998)" },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    let versions: BTreeSet<Option<&str>> = order.brief.prints.iter().map(version_of).collect();
    versions.into_iter().for_each(|version| check_version(order, version, report));
}

fn version_of(print: &Print) -> Option<&str> {
    print.version.as_ref().map(|version| &*version.name)
}

/// Checks one version of the order, or the whole order where it has none.
fn check_version(order: &JudgedOrder, version: Option<&str>, report: BreachSink) {
    let mut by_space: BTreeMap<String, Vec<&Row>> = BTreeMap::new();
    let is_here = |row: &&Arc<Row>| row.key.print.is_some() && row.version.as_deref() == version;
    let sound = order.rows.iter().filter(is_here).filter(|row| !colour_fails(row));
    for row in sound {
        if let Some(facts) = &row.facts {
            by_space.entry(space(facts)).or_default().push(row);
        }
    }
    if by_space.len() < 2 {
        return;
    }
    let mut spaces: Vec<(String, Vec<&Row>)> = by_space.into_iter().collect();
    spaces.sort_by_key(|(_, rows)| std::cmp::Reverse(rows.len()));
    let counts: Vec<String> =
        spaces.iter().map(|(space, rows)| format!("{} in {space}{}", rows.len(), name_rows(rows))).collect();
    let odd: Vec<_> =
        spaces[1..].iter().flat_map(|(_, rows)| rows.iter().filter_map(|row| row.key.picture.clone())).collect();
    let whole = version.map_or("the order".to_owned(), |version| format!("the version {}", visible(version)));
    report(OrderBreach {
        rows: Vec::new(),
        pictures: odd,
        breach: Breach {
            about: version.unwrap_or_default().to_owned(),
            at_most: allows_several(order, version).then_some(Level::Note),
            short: format!("{} colour spaces", spaces.len()),
            found: format!("{whole} is mixed: {}; usual: one colour space", counts.join(", ")),
            fix: format!(
                "export all pictures in {}, where the brief allows it\nif the printer takes a mixed order, write \
                 \"set.mixed\" = \"off\" below [rules] in the brief",
                spaces[0].0
            ),
            ..Breach::default()
        },
    });
}

/// True if the brief itself requires more than one space, in one list or from print to print.
fn allows_several(order: &JudgedOrder, version: Option<&str>) -> bool {
    let prints = order.brief.prints.iter().filter(|print| version_of(print) == version);
    let mut required = prints.flat_map(|print| &print.requirements.colour.spaces);
    let first = required.next();
    required.any(|space| Some(space) != first)
}

fn colour_fails(row: &Row) -> bool {
    row.findings.iter().any(|finding| [&model::RULE, &profile::RULE].contains(&finding.rule))
}

/// Returns the space of a picture in words.
fn space(facts: &Facts) -> String {
    match (&facts.profile, facts.encoding()) {
        (_, Some(encoding)) => encoding.name().to_owned(),
        (EmbeddedProfile::Embedded(profile), None) => visible(&shorten(profile.name(), SHOWN_CHARACTERS)).into_owned(),
        _ if facts.model == ColourModel::Rgb => "RGB without a profile".to_owned(),
        _ => format!("{} without a profile", facts.model.name()),
    }
}

/// Returns the names of a few pictures; empty for the majority.
fn name_rows(rows: &[&Row]) -> String {
    if rows.len() > NAMED_PICTURES {
        return String::new();
    }
    let names: Vec<String> = rows.iter().filter_map(|row| row.key.picture.as_ref()).map(ToString::to_string).collect();
    format!(" ({})", names.join(", "))
}

#[cfg(test)]
mod tests {
    use crate::brief::requirements::Level;
    use crate::colour::Encoding;
    use crate::judge::testing::{brief, profile, sound_submission, with_facts};
    use crate::judge::{Judgement, judge};
    use crate::picture::facts::EmbeddedProfile;

    fn order(space: &str) -> Judgement {
        let text = format!("[colour]\nspace = {space}\n[[print]]\nsize = \"8 x 10 in\"");
        let wide = |f: &mut crate::picture::Facts| f.profile = EmbeddedProfile::Embedded(profile(Encoding::AdobeRgb));
        judge(
            &brief(&text),
            &[
                sound_submission("a.jpg", 2400, 3000),
                with_facts(sound_submission("b.jpg", 2400, 3001), wide),
                sound_submission("c.jpg", 2401, 3000),
            ],
        )
    }

    #[test]
    fn a_mixed_order_that_the_brief_allows_is_a_note() {
        let mixed = order("[\"srgb\", \"adobe rgb\"]");
        assert_eq!(mixed.order_findings.len(), 1);
        assert_eq!(mixed.order_findings[0].level, Level::Note);
        assert!(mixed.order_findings[0].found.contains("(b.jpg)"), "{}", mixed.order_findings[0].found);
    }

    #[test]
    fn prints_that_require_different_spaces_make_a_mixed_order_a_note() {
        let text = "[[print]]\nsize = \"8 x 10 in\"\npicture = \"a\"\n[[print]]\nsize = \"8 x 10 in\"\npicture = \
                    \"b\"\n[print.colour]\nspace = \"adobe rgb\"";
        let wide = |f: &mut crate::picture::Facts| f.profile = EmbeddedProfile::Embedded(profile(Encoding::AdobeRgb));
        let files = [sound_submission("a.jpg", 2400, 3000), with_facts(sound_submission("b.jpg", 2400, 3001), wide)];
        let levels: Vec<Level> = judge(&brief(text), &files).order_findings.iter().map(|one| one.level).collect();
        assert_eq!(levels, [Level::Note]);
    }

    #[test]
    fn a_cause_that_is_said_on_the_row_is_not_said_again() {
        assert!(order("\"srgb\"").order_findings.is_empty());
    }
}
