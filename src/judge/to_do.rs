//! What to do about an order, by cause: findings with the same cause and the same cure are one thing to do, and all
//! that one export preset fixes is one thing to do.

pub mod lines;

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::brief::{Brief, Print, PrintsById};
use crate::judge::export_spec;
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::model::finding::Finding;
use crate::judge::model::row::Row;
use crate::judge::model::rule::Rule;
use crate::judge::rules;
use crate::picture::PictureKey;

/// One thing to do, and what it puts right.
#[derive(Clone, Debug, PartialEq)]
pub struct ToDo {
    /// The highest level of its findings: must or should.
    pub level: Level,
    /// What is wrong: musts before shoulds, and the cause of the most pictures first.
    pub causes: Vec<Cause>,
    /// What to do.
    pub cure: Cure,
    /// Number of findings that it puts right.
    pub findings: usize,
}

/// What is wrong with some pictures.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// The rule that finds it.
    pub rule: &'static Rule,
    /// The highest level of its findings.
    pub level: Level,
    /// In words: `no creator`, `too few pixels`.
    pub words: String,
    /// The pictures, by name, each with its own value where it has one: `214 ppi`. Empty where it is about the order as
    /// a whole.
    pub pictures: BTreeMap<PictureKey, String>,
}

/// What to do about some causes.
#[derive(Clone, Debug, PartialEq)]
pub enum Cure {
    /// Export the pictures again with these settings: one preset sets them all.
    Preset(Vec<ExportSetting>),
    /// This action is the same for every picture.
    Action(String),
    /// Every picture has numbers of its own, which its finding gives; the rule's general advice.
    EachItsOwn(&'static str),
}

impl ToDo {
    /// Returns the number of pictures that it puts right.
    pub fn picture_count(&self) -> usize {
        self.causes.iter().flat_map(|cause| cause.pictures.keys()).collect::<BTreeSet<_>>().len()
    }

    /// True if it puts right more than the one finding that a row or the order shows anyway.
    pub const fn joins_several(&self) -> bool {
        self.findings > 1
    }
}

/// Returns what to do about an order, from its rows and the findings on the order as a whole: musts before shoulds, and
/// what fixes the most pictures first. Notes and accepted findings need nothing done.
pub fn to_do<'a>(
    brief: &Brief,
    rows: impl IntoIterator<Item = &'a Row>,
    order_findings: &'a [Arc<Finding>],
) -> Vec<ToDo> {
    let prints = PrintsById::of(brief);
    let (mut by_preset, mut by_cause) = (ByPreset::default(), ByCause::default());
    for row in rows {
        let (Some(picture), print) = (&row.key.picture, prints.get(row.key.print.as_ref())) else { continue };
        for finding in row.findings.iter().filter(|finding| is_to_do(finding)) {
            match print.filter(|print| finding.is_fixed_by_export && setting_of(finding.rule, print).is_some()) {
                Some(print) => by_preset.add(print, finding, picture),
                None => by_cause.add(finding, [picture]),
            }
        }
    }
    for finding in order_findings.iter().filter(|finding| is_to_do(finding)) {
        by_cause.add(finding, &finding.pictures);
    }
    let mut all: Vec<ToDo> = by_preset.finish().chain(by_cause.finish()).collect();
    all.sort_by_cached_key(|one| {
        let first = one.causes.first().map(|cause| rules::position(cause.rule));
        (std::cmp::Reverse((one.level, one.picture_count())), first)
    });
    all
}

fn is_to_do(finding: &Finding) -> bool {
    finding.level > Level::Note
}

/// Returns the export setting that a rule needs for a print.
fn setting_of(rule: &Rule, print: &Print) -> Option<ExportSetting> {
    rule.uses.export_setting?(print)
}

/// Causes with their pictures, collected finding by finding.
#[derive(Default)]
struct Causes {
    level: Option<Level>,
    findings: usize,
    /// By the rule's position and the words, so that they come in the order of the rules.
    found: BTreeMap<(usize, String), Cause>,
}

impl Causes {
    fn add<'a>(&mut self, finding: &Finding, pictures: impl IntoIterator<Item = &'a PictureKey>) {
        self.level = self.level.max(Some(finding.level));
        self.findings += 1;
        let words = cause_words(finding);
        let cause = self.found.entry((rules::position(finding.rule), words)).or_insert_with_key(|(_, words)| Cause {
            rule: finding.rule,
            level: finding.level,
            words: words.clone(),
            pictures: BTreeMap::new(),
        });
        cause.level = cause.level.max(finding.level);
        cause.pictures.extend(pictures.into_iter().map(|picture| (picture.clone(), finding.short.clone())));
    }

    fn finish(self, cure: Cure) -> ToDo {
        let mut causes: Vec<Cause> = self.found.into_values().collect();
        causes.sort_by_key(|cause| std::cmp::Reverse((cause.level, cause.pictures.len())));
        ToDo { level: self.level.unwrap_or(Level::Note), causes, cure, findings: self.findings }
    }
}

/// Returns the cause of a finding: its own words, or the title of its rule as part of a sentence.
fn cause_words(finding: &Finding) -> String {
    if !finding.cause.is_empty() {
        return finding.cause.clone();
    }
    let title = finding.rule.title;
    let mut letters = title.chars();
    match (letters.next(), letters.clone().next()) {
        // An abbreviation stays as it is.
        (Some(first), Some(second)) if second.is_lowercase() => first.to_lowercase().chain(letters).collect(),
        _ => title.to_owned(),
    }
}

/// What export presets fix, by all that the preset of the print sets: pictures of one preset are exported together.
#[derive(Default)]
struct ByPreset {
    found: HashMap<Vec<ExportSetting>, (Causes, Vec<ExportSetting>)>,
}

impl ByPreset {
    fn add(&mut self, print: &Print, finding: &Finding, picture: &PictureKey) {
        let (causes, needed) = self.found.entry(export_spec::preset(print)).or_default();
        causes.add(finding, [picture]);
        let setting = setting_of(finding.rule, print).filter(|setting| !needed.contains(setting));
        needed.extend(setting);
    }

    fn finish(self) -> impl Iterator<Item = ToDo> {
        self.found.into_iter().map(|(all, (causes, mut needed))| {
            needed.sort_by_key(|setting| all.iter().position(|one| one == setting));
            causes.finish(Cure::Preset(needed))
        })
    }
}

/// What is done picture by picture, by cause and then by the first action of the fix.
#[derive(Default)]
struct ByCause {
    found: BTreeMap<(usize, String), BTreeMap<String, Causes>>,
}

impl ByCause {
    fn add<'a>(&mut self, finding: &Finding, pictures: impl IntoIterator<Item = &'a PictureKey>) {
        let key = (rules::position(finding.rule), cause_words(finding));
        let action = finding.fix.lines().next().unwrap_or_default().to_owned();
        self.found.entry(key).or_default().entry(action).or_default().add(finding, pictures);
    }

    /// Actions for one picture each are joined: only the numbers differ then.
    fn finish(self) -> impl Iterator<Item = ToDo> {
        self.found.into_values().flat_map(|actions| {
            let is_of_one = |causes: &Causes| causes.found.values().all(|cause| cause.pictures.len() <= 1);
            let (single, shared): (Vec<_>, Vec<_>) = actions.into_iter().partition(|(_, causes)| is_of_one(causes));
            let joined = match single.len() {
                0 => None,
                1 => single.into_iter().next().map(|(action, causes)| causes.finish(Cure::Action(action))),
                _ => Some(join(single.into_iter().map(|(_, causes)| causes))),
            };
            let shared = shared.into_iter().map(|(action, causes)| causes.finish(Cure::Action(action)));
            shared.chain(joined).collect::<Vec<_>>()
        })
    }
}

/// Joins the same cause in several pictures, each of which needs something else done.
fn join(all: impl Iterator<Item = Causes>) -> ToDo {
    let mut joined = Causes::default();
    for Causes { level, findings, found } in all {
        joined.level = joined.level.max(level);
        joined.findings += findings;
        for (key, mut cause) in found {
            match joined.found.get_mut(&key) {
                Some(known) => known.pictures.append(&mut cause.pictures),
                None => drop(joined.found.insert(key, cause)),
            }
        }
    }
    let fix = joined.found.values().next().map_or("", |cause| cause.rule.fix);
    joined.finish(Cure::EachItsOwn(fix))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Encoding;
    use crate::judge::judge;
    use crate::judge::model::submission::Submission;
    use crate::judge::rules::set::mixed;
    use crate::judge::testing::{brief, profile, sound_submission, with_facts};
    use crate::picture::facts::{EmbeddedProfile, MetadataSource};
    use crate::units::growth::grows_less_than_square;

    /// Every picture of the folder as a print of 8 x 10 in, with its creator.
    const CREDITED: &str = "[file]\ncredit = \"creator\"\n[[print]]\nsize = \"8 x 10 in\"";

    fn credited(file: Submission) -> Submission {
        with_facts(file, |facts| facts.credits.creator.sources = vec![(MetadataSource::Xmp, "Maren".to_owned())])
    }

    fn in_adobe_rgb(file: Submission) -> Submission {
        with_facts(file, |facts| facts.profile = EmbeddedProfile::Embedded(profile(Encoding::AdobeRgb)))
    }

    /// What to do about some pictures, without what is said of the set.
    fn of(text: &str, files: &[Submission]) -> Vec<ToDo> {
        let brief = brief(text);
        let judged = judge(&brief, files);
        let mut all = to_do(&brief, &judged.rows, &judged.order_findings);
        all.retain(|one| one.causes.iter().all(|cause| *cause.rule != mixed::RULE));
        all
    }

    fn causes(one: &ToDo) -> Vec<String> {
        one.causes.iter().map(Cause::words_with_count).collect()
    }

    #[test]
    fn what_one_preset_fixes_is_one_thing_to_do() {
        let sound = |at: usize| sound_submission(&format!("p{at}.jpg"), 2400, 3000);
        let files = [sound(0), sound(1), in_adobe_rgb(sound(2)), in_adobe_rgb(credited(sound(3))), credited(sound(4))];
        let all = of(CREDITED, &files);
        assert_eq!(all.len(), 1, "{all:#?}");
        assert_eq!((all[0].level, all[0].picture_count()), (Level::Must, 4));
        assert_eq!(causes(&all[0]), ["2 pictures: profile Adobe RGB (1998)", "3 pictures: no creator"]);
        let settings =
            ["metadata: included, with creator filled in", "colour space: convert to sRGB, and embed the profile"];
        assert_eq!(all[0].cure.actions(), settings);
        assert_eq!(all[0].cure.words(4)[0], "one export preset fixes them all:");
        assert_eq!(all[0].causes[0].picture_names(), "p2.jpg, p3.jpg");
        assert!(of(CREDITED, &[credited(sound(0))]).is_empty(), "nothing to do");
    }

    #[test]
    fn prints_with_other_settings_need_another_preset() {
        let text = "[file]\ncredit = \"creator\"\n[[print]]\nsize = \"8 x 10 in\"\npicture = \"a\"\n[[print]]\nsize = \
                    \"8 x 10 in\"\npicture = \"b\"\npaper.surface = \"matte\"";
        let all = of(text, &[sound_submission("a.jpg", 2400, 3000), sound_submission("b.jpg", 2400, 3000)]);
        assert_eq!(all.iter().map(ToDo::picture_count).collect::<Vec<_>>(), [1, 1]);
    }

    #[test]
    fn the_same_action_is_said_once_and_single_numbers_are_joined() {
        let prints = "[[print]]\nsize = \"8 x 10 in\"\npictures = \"a*\"\n[[print]]\nsize = \"4 x 5 in\"\npictures = \
                      \"b*\"\n[[print]]\nsize = \"5 x 7 in\"\npictures = \"c*\"";
        let files = [("a1", 800, 1000), ("a2", 810, 1012), ("b", 400, 500), ("c", 500, 700)]
            .map(|(name, w, h)| sound_submission(&format!("{name}.jpg"), w, h));
        let all = of(prints, &files);
        let same = "export from the original at 2400 x 3000 px (300 ppi), without enlarging";
        assert_eq!(all[0].cure, Cure::Action(same.to_owned()));
        assert_eq!(causes(&all[0]), ["2 pictures: too few pixels"]);
        assert_eq!(all[0].causes[0].picture_names(), "a1.jpg (100 ppi), a2.jpg (101 ppi)");
        assert!(matches!(all[1].cure, Cure::EachItsOwn(_)), "{:?}", all[1].cure);
        assert_eq!(causes(&all[1]), ["2 pictures: too few pixels"]);
        assert_eq!(all.len(), 2);
    }

    #[test]
    fn musts_come_first_and_then_what_fixes_the_most_pictures() {
        let soft = |at: usize| credited(sound_submission(&format!("s{at}.jpg"), 1920, 2400));
        let coarse = credited(sound_submission("c.jpg", 800, 1000));
        let files: Vec<Submission> = (0..3).map(soft).chain([coarse, sound_submission("n.jpg", 2400, 3000)]).collect();
        let all = of(CREDITED, &files);
        let levels: Vec<(Level, usize)> = all.iter().map(|one| (one.level, one.picture_count())).collect();
        assert_eq!(levels, [(Level::Must, 1), (Level::Should, 3), (Level::Should, 1)], "{all:#?}");
    }

    #[test]
    fn a_list_costs_by_its_findings_and_not_by_their_square() {
        let many = |count: usize| {
            let files = (0..count).map(|at| sound_submission(&format!("p{at:05}.jpg"), 800, 1000));
            let brief = brief(CREDITED);
            let judged = judge(&brief, &files.collect::<Vec<_>>());
            (brief, judged)
        };
        grows_less_than_square(200, many, |(brief, judged)| {
            assert_eq!(to_do(&brief, &judged.rows, &[])[0].picture_count(), judged.rows.len());
        });
    }
}
