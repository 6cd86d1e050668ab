//! set.decisions: what was decided for a print that the brief no longer has, or that no longer takes the picture.

use std::collections::{BTreeMap, HashMap, HashSet};

use crate::brief::picture_patterns::PictureSelector;
use crate::brief::requirements::Level;
use crate::brief::{Print, PrintId, PrintsById};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::model::submission::Submission;
use crate::judge::rules::phrases::{first_named, name_pictures};
use crate::judge::subject::Area;
use crate::picture::PictureKey;
use crate::units::words::visible;

/// The rule's words.
pub static RULE: Rule = Rule {
    id: "set.decisions",
    group: RuleGroup::Set,
    title: "Decision without its print",
    question: "Does every decision belong to a print of the brief that takes its picture?",
    level: Level::Must,
    why: "a test print that was not good enough, or a subject's box, no longer counts",
    page: "It reports boxes of the subject, accepted findings and remarks on test prints that were kept for one print \
           of a picture, where no print of the brief has that id now, where the print with that id takes other \
           pictures now, or where several prints of the picture have one name and size and no `id`, so that their \
           order decides which is meant. A print without `id` takes its id from its name and size, so renaming the \
           print breaks the link. It is a must, or a should where only accepted findings and good test prints are \
           concerned: those findings are open again.",
    fix: "Give each print an id of its own, or withdraw the decision and decide again.",
    misses: "Decisions about pictures that are not in the folder are not reported, nor are those about a picture that \
             no print takes, as long as their print is in the brief.",
    keys: &["print.id", "print.name", "print.picture"],
    source: "ours",
    samples: RuleExamples {
        passes: "a box on p1.jpg for the print wall, and a print with id = \"wall\" that takes it",
        fails: "a box on p1.jpg for the print wall, and no print with that id, or one that takes p2*",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

/// Why a decision no longer reaches the print that it was kept for, or may not.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Cause {
    /// No print has its id.
    Gone,
    /// The print with its id does not take the picture, and another one does.
    TakesOthers,
    /// Several prints of the picture differ in nothing but their place in the brief.
    AmbiguousId,
}

/// One decision about a picture for one print.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Decision<'a> {
    Remark {
        is_approved: bool,
        when: &'a str,
        sha256: &'a str,
    },
    /// The sides, as bits.
    Box([u64; 4]),
    Finding {
        rule: &'a str,
        about: &'a str,
        sha256: &'a str,
    },
}

/// A decision whose loss could let a wrong picture pass: a test print that was not good enough, or a subject's box.
#[derive(Clone, Copy, PartialEq)]
enum LostSafeguard {
    NotGood,
    Box,
}

impl Decision<'_> {
    fn lost_safeguard(&self) -> Option<LostSafeguard> {
        match self {
            Decision::Remark { is_approved: false, .. } => Some(LostSafeguard::NotGood),
            Decision::Box(_) => Some(LostSafeguard::Box),
            Decision::Remark { .. } | Decision::Finding { .. } => None,
        }
    }
}

/// The decisions that do not reach one print for one cause; `lost_safeguard` is the first of them that is one.
#[derive(Default)]
struct UnreachedDecisions {
    pictures: Vec<PictureKey>,
    lost_safeguard: Option<LostSafeguard>,
}

/// The decisions about a picture, by the print that they were kept for.
type ByPrint<'a> = BTreeMap<&'a PrintId, Vec<Decision<'a>>>;

/// The prints that take a picture.
#[derive(Default)]
struct PrintsOfPicture<'a> {
    ids: HashSet<&'a PrintId>,
    /// How many of them share one id.
    sharing: HashMap<&'a PrintId, usize>,
}

fn check(order: &JudgedOrder, report: BreachSink) {
    let decided: Vec<&Submission> = order.files.iter().filter(|file| file.decided_prints().next().is_some()).collect();
    if decided.is_empty() {
        return;
    }
    let prints = PrintsById::of(order.brief);
    let prints_of_picture = prints_of_pictures(order, &decided, &prints);
    // A picture that was copied or renamed has what was decided on its bytes under either name: one of them suffices.
    let mut reached: HashSet<(&PrintId, Decision)> = HashSet::new();
    let mut others: Vec<(&Submission, &PrintId, Cause, Vec<Decision>)> = Vec::new();
    for file in decided {
        for (id, decisions) in decisions(file) {
            match cause(file, prints.get(Some(id)), &prints_of_picture[&file.key]) {
                None => reached.extend(decisions.into_iter().map(|one| (id, one))),
                Some(cause) => others.push((file, id, cause, decisions)),
            }
        }
    }
    let mut unreached_decisions: BTreeMap<(&PrintId, Cause), UnreachedDecisions> = BTreeMap::new();
    for (file, id, cause, mut decisions) in others {
        decisions.retain(|one| cause != Cause::TakesOthers || !reached.contains(&(id, *one)));
        if !decisions.is_empty() {
            let unreached = unreached_decisions.entry((id, cause)).or_default();
            unreached.pictures.push(file.key.clone());
            unreached.lost_safeguard = unreached.lost_safeguard.or(decisions.iter().find_map(Decision::lost_safeguard));
        }
    }
    unreached_decisions.into_iter().map(|((id, cause), of)| breach(&visible(&id.0), cause, of)).for_each(report);
}

/// Returns the prints that take each of some pictures.
fn prints_of_pictures<'a>(
    order: &JudgedOrder<'a>,
    pictures: &[&'a Submission],
    prints: &PrintsById<'a>,
) -> HashMap<&'a PictureKey, PrintsOfPicture<'a>> {
    let mut takers: HashMap<&PictureKey, PrintsOfPicture> =
        pictures.iter().map(|file| (&file.key, PrintsOfPicture::default())).collect();
    for row in order.rows {
        let of_picture = row.key.picture.as_ref().and_then(|picture| takers.get_mut(picture));
        if let (Some(of_picture), Some(print)) = (of_picture, prints.get(row.key.print.as_ref())) {
            of_picture.ids.insert(&print.id);
            if let Some(shared) = &print.shared_id {
                *of_picture.sharing.entry(shared).or_default() += 1;
            }
        }
    }
    takers
}

/// Returns why what was decided about a picture for a print does not reach it; `None` where it does, or where no print
/// takes the picture. `takers` are the prints that do.
fn cause(file: &Submission, print: Option<&Print>, takers: &PrintsOfPicture) -> Option<Cause> {
    let Some(print) = print else { return Some(Cause::Gone) };
    let is_shared = || print.shared_id.as_ref().is_some_and(|shared| takers.sharing.get(shared) > Some(&1));
    match &print.pictures {
        _ if takers.ids.contains(&print.id) => is_shared().then_some(Cause::AmbiguousId),
        _ if takers.ids.is_empty() => None,
        // An earlier version of the picture that it takes.
        PictureSelector::One(pattern) | PictureSelector::Many(pattern) if pattern.matches(file.key.as_str()) => None,
        _ => Some(Cause::TakesOthers),
    }
}

fn decisions(file: &Submission) -> ByPrint<'_> {
    let remarks = file.test_print_remarks.iter().filter_map(|one| {
        Some((
            one.print.as_ref()?,
            Decision::Remark { is_approved: one.is_approved, when: &one.when, sha256: &one.sha256 },
        ))
    });
    let findings = file.acceptances.iter().filter_map(|one| {
        let (rule, about, sha256) = (&one.rule, &one.about, &one.bound.sha256);
        Some((one.print.as_ref()?, Decision::Finding { rule, about, sha256 }))
    });
    let of_box = |area: Area| Decision::Box(area.sides().map(f64::to_bits));
    let boxes = file.subjects.of_prints.iter().map(|(print, subject)| (print, of_box(subject.area)));
    let mut by_print = ByPrint::new();
    for (print, one) in remarks.chain(findings).chain(boxes) {
        by_print.entry(print).or_default().push(one);
    }
    by_print
}

fn breach(id: &str, cause: Cause, unreached: UnreachedDecisions) -> OrderBreach {
    let pictures = name_pictures(&unreached.pictures, |picture| visible(picture.as_str()).into_owned());
    let (what, take_back) = match unreached.lost_safeguard {
        Some(LostSafeguard::NotGood) => (
            "a test print that was not good enough",
            format!(
                "or take the remark back: plateside testprint BRIEF FOLDER --only PICTURE --print \"{id}\" --withdraw"
            ),
        ),
        Some(LostSafeguard::Box) => {
            ("a subject's box", format!("or remove the box: plateside subject BRIEF PICTURE --print \"{id}\" --remove"))
        }
        None => ("what was decided", format!("or delete what names \"{id}\" from the decisions")),
    };
    let (short, found, fix) = match cause {
        Cause::Gone => (
            "print is gone",
            format!("{what} counts for no print; no print has the id \"{id}\""),
            format!("write id = \"{id}\" below the [[print]] that it is for\n{take_back}"),
        ),
        Cause::TakesOthers => (
            "other picture",
            format!("{what} was kept for the print \"{id}\", which takes other pictures now"),
            format!(
                "write id = \"{id}\" below the [[print]] that it is for, another below the one that has it now\n\
                 {take_back}"
            ),
        ),
        Cause::AmbiguousId => (
            "which print",
            format!(
                "{what} was kept for the print \"{id}\", which only its place in the brief tells from another with \
                 its name and size"
            ),
            format!("give each of these prints an id of its own: id = \"{id}\" below the one that it is for"),
        ),
    };
    let is_must = unreached.lost_safeguard.is_some() || cause == Cause::AmbiguousId;
    OrderBreach {
        rows: Vec::new(),
        pictures: first_named(unreached.pictures),
        breach: Breach {
            about: id.to_owned(),
            at_most: (!is_must).then_some(Level::Should),
            short: short.to_owned(),
            found: format!("{pictures}: {found}"),
            fix,
            ..Breach::default()
        },
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::judge::judge;
    use crate::judge::model::test_print::TestPrintRemark;
    use crate::judge::subject::{BoxOrigin, Subject, Subjects};
    use crate::judge::testing::{brief, sound_submission};

    fn seen(print: &str, is_approved: bool) -> Submission {
        let remark = TestPrintRemark {
            print: Some(PrintId(print.into())),
            saw: "blocked up".to_owned(),
            is_approved,
            by: "Maren".to_owned(),
            when: "2026-11-30T10:00:00Z".to_owned(),
            sha256: "aa".to_owned(),
            pixel_digest: String::new(),
        };
        Submission { test_print_remarks: Arc::new([Arc::new(remark)]), ..sound_submission("a.jpg", 2400, 3000) }
    }

    fn named_print(name: &str, picture: &str) -> String {
        format!("[[print]]\nname = \"{name}\"\nsize = \"8 x 10 in\"\npicture = \"{picture}\"\n")
    }

    fn found(name: &str, file: Submission) -> Vec<(Level, String)> {
        found_in(&named_print(name, "*"), &[file])
    }

    fn found_in(text: &str, files: &[Submission]) -> Vec<(Level, String)> {
        let findings = judge(&brief(text), files).order_findings;
        findings.iter().filter(|one| *one.rule == RULE).map(|one| (one.level, one.found.clone())).collect()
    }

    #[test]
    fn a_renamed_print_does_not_lose_what_was_decided_for_it_without_a_word() {
        assert_eq!(found("wall", seen("wall", false)), []);
        let words = "a.jpg: a test print that was not good enough counts for no print; no print has the id \"wall\"";
        assert_eq!(found("large wall", seen("wall", false)), [(Level::Must, words.to_owned())]);
        assert_eq!(found("large wall", seen("wall", true)).first().map(|(level, _)| *level), Some(Level::Should));
    }

    #[test]
    fn a_decision_for_a_print_that_takes_another_picture_now_is_reported() {
        let other = sound_submission("b.jpg", 2400, 3000);
        let of = |a: &str, b: &str, file: Submission| {
            found_in(&(named_print(a, "a*") + &named_print(b, "b*")), &[file, other.clone()])
        };
        assert_eq!(of("wall", "desk", seen("wall", false)), []);
        let words =
            |what: &str| format!("a.jpg: {what} was kept for the print \"wall\", which takes other pictures now");
        let bad = words("a test print that was not good enough");
        assert_eq!(of("desk", "wall", seen("wall", false)), [(Level::Must, bad)]);
        assert_eq!(of("desk", "wall", seen("wall", true)), [(Level::Should, words("what was decided"))]);
        let subject = Subject { area: Area::new(0.0, 0.0, 1.0, 1.0).unwrap(), origin: BoxOrigin::Drawn };
        let subjects = Subjects { of_picture: None, of_prints: [(PrintId("wall".into()), subject)].into() };
        let boxed = Submission { subjects: Arc::new(subjects), ..sound_submission("a.jpg", 2400, 3000) };
        assert_eq!(of("desk", "wall", boxed), [(Level::Must, words("a subject's box"))]);
    }

    #[test]
    fn a_picture_that_is_no_longer_used_or_has_a_copy_in_use_is_not_reported() {
        let wall = named_print("wall", "a*");
        let earlier = seen("wall", false);
        let newer = Submission { modified_ns: 9, ..sound_submission("a-2.jpg", 2400, 3000) };
        assert_eq!(found_in(&format!("versions = \"newest\"\n{wall}"), &[newer, earlier.clone()]), []);
        let copy = Submission {
            test_print_remarks: earlier.test_print_remarks.clone(),
            ..sound_submission("b.jpg", 2400, 3000)
        };
        assert_eq!(found_in(&(wall + &named_print("desk", "b*")), &[earlier, copy.clone()]), []);
        assert_eq!(found_in(&named_print("wall", "a*"), &[copy]), [], "no print takes it");
    }

    #[test]
    fn a_decision_for_one_of_two_prints_that_only_their_order_tells_apart_is_reported() {
        let two = |first: &str, second: &str| {
            format!("{}{first}{}{second}", named_print("card", "a*"), named_print("card", "a*"))
        };
        let first = "card-8-x-10-in";
        assert_eq!(found_in(&two("id = \"gloss\"\n", "id = \"matte\"\n"), &[seen("matte", false)]), []);
        assert_eq!(found_in(&two("", "id = \"matte\"\n"), &[seen(first, false)]), []);
        for id in [first, "card-8-x-10-in-2"] {
            let found = found_in(&two("", ""), &[seen(id, true)]);
            assert_eq!(found.len(), 1);
            assert_eq!(found[0].0, Level::Must);
            assert!(found[0].1.contains("only its place in the brief tells"), "{found:?}");
        }
        let apart = named_print("card", "a*") + &named_print("card", "b*");
        assert_eq!(found_in(&apart, &[seen(first, false), sound_submission("b.jpg", 2400, 3000)]), []);
    }
}
