//! tone.dark: pictures that print too dark on this paper.

use crate::brief::requirements::Level;
use crate::judge::metrics::darkness::{DARK_L, DarkCause, Darkness, LIT_L};
use crate::judge::metrics::tones::PaperBlack;
use crate::judge::model::check::{Breach, Case, RuleCheck, RuleOutcome};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::paper;
use crate::units::{Share, show};

pub static RULE: Rule = Rule {
    id: "tone.dark",
    group: RuleGroup::Tone,
    title: "Too dark for paper",
    question: "Is it light enough for this paper?",
    level: Level::Should,
    why: "paper does not glow: a moody screen picture comes back too dark",
    page: "The median L* of the picture is taken, or of the subject where its box is drawn, and put on this paper as \
           for tone.shadows. On matte and uncoated papers, whose black is lighter than L* 16, the picture is too dark \
           where the median prints less than 10 L* above that black. On glossy and lustre papers a dark background \
           passes as long as something in the picture is lit. On any paper the picture is too dark where nothing is \
           lit and the median is below L* 36. Lit means that the lightest 2 % reach L* 55 in the file.",
    fix: "Lift the midtones before exporting, by the stops that the finding names. Accept a picture that is meant to \
          be dark, and let a test print decide.",
    misses: "It cannot tell a picture that is meant to be dark from one that is underexposed. It does not know the \
             light in which the print will be seen.",
    keys: &["paper.dmax", "paper.white", "paper.stock", "paper.surface", "paper.process"],
    source: "ISO 18619 for the paper, CIE 15 for L*; limits ours, from photographs as exposed and two and three stops \
             under",
    samples: RuleExamples {
        passes: "a plate in a dark room on lustre: median L* 12, the plate L* 80",
        fails: "median L* 16 on uncoated paper, 5 L* above its black",
    },
    unit: "L*",
    depends_on: Dependence::Pixels,
    silences: &[],
    uses: RuleUses { wants_test_print: true, ..RuleUses::NONE },
};

pub const CHECK: RuleCheck = RuleCheck::Row(check);

fn check(case: &Case) -> RuleOutcome {
    let Some(evidence) = case.evidence else { return case.without_evidence() };
    let black = PaperBlack::of(&case.print.requirements.paper);
    let area = case.subject.map(|subject| subject.area);
    let Some(dark) = Darkness::of(evidence, area, black) else {
        return RuleOutcome::NotChecked("the picture is too small to measure".to_owned());
    };
    dark.cause().map_or(RuleOutcome::Passed, |cause| RuleOutcome::failed(breach(case, dark, cause, black)))
}

fn breach(case: &Case, dark: Darkness, cause: DarkCause, black: PaperBlack) -> Breach {
    let whole = if case.subject.is_some() { "the subject" } else { "the picture" };
    let near = show::share(Share::measured(dark.near_black));
    let (numbers, found) = match cause {
        DarkCause::NearBlack => {
            let (above, required) = show::numbers_apart(dark.above_black, DARK_L);
            let found = format!(
                "half of {whole} is L* {:.0} or darker: at most {above} L* above the black of {}, and {near} of \
                 {whole} looks black; usual: at least {required} L* above",
                dark.median_l,
                paper(case.print)
            );
            ((dark.above_black, DARK_L), found)
        }
        DarkCause::Unlit => {
            let (lightest, required) = show::numbers_apart(dark.lightest_l, LIT_L);
            let found = format!(
                "half of {whole} is L* {:.0} or darker, and its lightest parts reach only L* {lightest}; usual: at \
                 least L* {required}",
                dark.median_l
            );
            ((dark.lightest_l, LIT_L), found)
        }
    };
    let stops = dark.stops(black);
    Breach {
        numbers: Some((numbers.0, numbers.1)),
        short: "too dark".to_owned(),
        found,
        fix: format!(
            "lift the midtones by about {} before exporting, to a median near L* {:.0}\nor accept it if it is meant \
             to be dark and a test print looks right",
            stops_words(stops),
            dark.lifted_l(stops)
        ),
        ..Breach::default()
    }
}

/// Returns stops in words: `1 stop`, `1.5 stops`.
fn stops_words(stops: f64) -> String {
    if stops <= 1.0 { format!("{stops} stop") } else { format!("{stops} stops") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{RuleBench, tone};

    const UNCOATED: &str = "[paper]\nstock = \"uncoated\"\n[[print]]\nsize = \"200 x 250 mm\"";
    const LUSTRE: &str = "[[print]]\nsize = \"8 x 10 in\"";

    /// Nine tenths of the picture have one code, the rest another.
    fn dark(brief: &str, most: u8, rest: u8) -> RuleBench {
        let mut found = tone(&[]);
        found.luma.fill(0);
        (found.luma[usize::from(most)], found.luma[usize::from(rest)]) = (90, 10);
        RuleBench::new(brief).evidence(|e| e.tone = Some(found))
    }

    #[test]
    fn a_dark_portrait_is_too_dark_for_uncoated_paper_and_not_for_lustre() {
        let RuleOutcome::Failed(breaches) = dark(UNCOATED, 20, 190).ask(check) else { panic!("it is too dark") };
        assert_eq!((breaches[0].short.as_str(), breaches[0].at_most), ("too dark", None));
        assert_eq!(dark(LUSTRE, 20, 190).ask(check), RuleOutcome::Passed);
        assert_eq!(dark(UNCOATED, 90, 190).ask(check), RuleOutcome::Passed);
    }

    #[test]
    fn the_words_give_the_numbers_and_the_lift() {
        let RuleOutcome::Failed(breaches) = dark(UNCOATED, 45, 190).ask(check) else { panic!("it is too dark") };
        // Arithmetic: code 45 is L* 18.4; its light 0.0262 prints 5.6 above the black of D 1.28 under L* 95.7.
        assert!(breaches[0].found.starts_with("half of the picture is L* 18 or darker: at most 5."), "{breaches:?}");
        assert!(
            breaches[0].fix.starts_with("lift the midtones by about 1 stop before exporting, to a median near L* ")
        );
    }

    #[test]
    fn two_stops_under_is_said_on_any_paper() {
        let RuleOutcome::Failed(breaches) = dark(LUSTRE, 60, 125).ask(check) else { panic!("nothing is lit") };
        assert!(breaches[0].found.contains("its lightest parts reach only L* "), "{breaches:?}");
    }

    #[test]
    fn the_subject_is_what_counts_where_it_is_drawn() {
        use crate::measure::Grid;
        use crate::measure::evidence::FieldTone;
        let mut places = Grid::filled(10, 10, FieldTone { mean: 10, ..FieldTone::default() });
        places.fields[44].mean = 150;
        let bench = dark(UNCOATED, 10, 150).evidence(|e| e.field_tones = places);
        assert_eq!(bench.subject(0.4, 0.4, 0.5, 0.5).ask(check), RuleOutcome::Passed);
        let RuleOutcome::Failed(breaches) = bench.subject(0.0, 0.0, 0.3, 0.3).ask(check) else {
            panic!("it is too dark")
        };
        assert!(breaches[0].found.starts_with("half of the subject is L* "), "{breaches:?}");
    }
}
