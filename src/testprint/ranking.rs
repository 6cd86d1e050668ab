//! Ranks pictures by their need of a test print: large sizes, many copies, what the brief requires, and what only paper
//! shows.

use std::collections::HashSet;

use crate::brief::Print;
use crate::brief::requirements::Level;
use crate::judge::model::row::{Row, RowState};
use crate::judge::model::rule::{Rule, RuleGroup};
use crate::judge::rules::detail::{enlarged, halo};
use crate::judge::rules::file::jpeg_quality;
use crate::judge::rules::tone::shadows;
use crate::units::words::visible;
use crate::units::{Length, Share, show};

/// Length of the longer side from which a print is large: 16 in. Common practice, no source.
const LARGE: Length = Length::from_um(406_400);
/// Copies from which a mistake is expensive. Own choice.
const MANY: u32 = 20;
/// Share of its limit from which a value is near it. Own choice.
const NEAR: f64 = 0.7;
/// Share of the picture outside the paper's gamut that merits a look. Source: ours, as colour.gamut's note.
const OUTSIDE: f64 = 0.01;
/// A paper's black is weak from this L*, relative to its white: about D 1.7, matte and uncoated stock. Own choice.
const WEAK_BLACK_L: f64 = 15.0;
/// Share of the picture in the lower third of the scale from which it is dark. Own choice.
const DARK: f64 = 0.5;
/// The lower third for [`DARK`]: steps of the histogram of 50.
const DARK_STEPS: usize = 17;

/// The weight of a reason. Own choice: a person's request counts most, then what may go wrong, then the cost.
const REQUIRED: u32 = 100;
/// Weight of a risk; see [`REQUIRED`].
const DOUBTFUL: u32 = 4;
/// Weight of cost; see [`REQUIRED`].
const COSTLY: u32 = 2;

/// A reason to make a test print of a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct RankingReason {
    /// The reason's weight.
    pub weight: u32,
    /// The reason in words; foreign text is escaped.
    pub words: String,
}

/// A row with all its reasons.
#[derive(Clone, Debug, PartialEq)]
pub struct RankedRow {
    /// The row's index.
    pub row: usize,
    /// The reasons, heaviest first.
    pub reasons: Vec<RankingReason>,
}

impl RankedRow {
    /// Returns the total weight of the reasons.
    pub fn weight(&self) -> u32 {
        self.reasons.iter().map(|reason| reason.weight).sum()
    }

    /// True if the cost of its print is the only reason.
    pub fn is_costly_alone(&self) -> bool {
        self.reasons.iter().all(|reason| reason.weight == COSTLY) && !self.reasons.is_empty()
    }

    /// True if the brief requires a test print.
    pub fn is_required(&self) -> bool {
        self.reasons.iter().any(|reason| reason.weight == REQUIRED)
    }

    /// Returns the reasons in words.
    pub fn words(&self) -> String {
        let words: Vec<&str> = self.reasons.iter().map(|reason| reason.words.as_str()).collect();
        if words.is_empty() { "chosen by hand".to_owned() } else { words.join("; ") }
    }
}

/// Ranks rows by their weight, one per picture: the print for which it needs a test most. Leaves out rows that must be
/// fixed first, that have no reasons, or whose test print has been seen.
pub fn rank<'a>(rows: &[Row], print_of: &dyn Fn(&Row) -> Option<&'a Print>) -> Vec<RankedRow> {
    let mut all: Vec<RankedRow> = rows
        .iter()
        .enumerate()
        .filter(|(_, row)| may_be_tested(row) && !row.test_print.is_seen())
        .filter_map(|(at, row)| Some(RankedRow { row: at, reasons: find_reasons(row, print_of(row)?) }))
        .filter(|one| one.weight() > 0)
        .collect();
    // Rows of equal weight stay in the brief's order.
    all.sort_by_key(|one| std::cmp::Reverse(one.weight()));
    let mut pictures = HashSet::new();
    all.retain(|one| pictures.insert(&rows[one.row].key.picture));
    all
}

/// True if a row's picture may be tested: it is read, is for a print, and nothing must be fixed first.
pub fn may_be_tested(row: &Row) -> bool {
    matches!(row.state, RowState::Pass | RowState::Warn)
}

/// Returns what must be fixed before a row's picture is tested; `None` if nothing.
pub fn to_fix_first(row: &Row) -> Option<RankingReason> {
    let first = row.findings.first().map(|finding| first_part(&finding.found)).unwrap_or_default();
    (!may_be_tested(row)).then(|| RankingReason { weight: 0, words: format!("fix first: {first}") })
}

/// Returns the reasons to test a row's picture; empty if there are none.
pub fn find_reasons(row: &Row, print: &Print) -> Vec<RankingReason> {
    let mut found: Vec<RankingReason> = Vec::new();
    let mut say = |weight: u32, words: String| found.push(RankingReason { weight, words });
    if print.requires_test_print {
        say(REQUIRED, "the brief requires one".to_owned());
    }
    if print.size.width.max(print.size.height) >= LARGE {
        say(COSTLY, format!("large: {}", print.size.show()));
    }
    if print.copies >= MANY {
        let copies = show::count(print.copies as usize, "copy", "copies");
        say(COSTLY, format!("the order will be {copies}"));
    }
    let shows = |rule: &Rule| {
        !matches!(rule.group, RuleGroup::File | RuleGroup::Version | RuleGroup::Set) || *rule == jpeg_quality::RULE
    };
    for one in row.accepted.iter().filter(|one| one.finding.level >= Level::Should && shows(one.finding.rule)) {
        say(DOUBTFUL, format!("accepted: {}", first_part(&one.finding.found)));
    }
    for finding in row.findings.iter().filter(|finding| finding.level >= Level::Should) {
        if finding.rule.uses.wants_test_print {
            say(DOUBTFUL, first_part(&finding.found));
        }
    }
    let warns = |rule: &Rule| row.findings.iter().any(|one| one.rule == rule && one.level >= Level::Should);
    find_doubts(row, print, &warns).into_iter().for_each(|words| say(DOUBTFUL, words));
    found.sort_by_key(|reason| std::cmp::Reverse(reason.weight));
    found
}

/// Returns what was measured, without what is required.
fn first_part(what: &str) -> String {
    visible(what.split("; ").next().unwrap_or(what)).into_owned()
}

/// Returns doubts that break no rule but only paper will settle.
fn find_doubts(row: &Row, print: &Print, warns: &dyn Fn(&Rule) -> bool) -> Vec<String> {
    let (metrics, required) = (&row.metrics, &print.requirements);
    let near =
        |value: Option<f64>, limit: f64, rule: &Rule| value.filter(|value| *value >= NEAR * limit && !warns(rule));
    let share = |value: f64| show::share(Share::measured(value));
    let mut doubts = Vec::new();
    let limit = required.tone.lost_shadows.as_f64();
    if let Some(lost) = near(metrics.shadows_lost, limit, &shadows::RULE).filter(|lost| *lost > 0.0) {
        doubts.push(format!("{} of its shadow detail blocks up on this paper", share(lost)));
    } else if let Some(tones) = row.tones.as_ref().filter(|tones| tones.black_l >= WEAK_BLACK_L) {
        let dark: f64 = tones.histogram.iter().take(DARK_STEPS).map(|step| f64::from(*step)).sum();
        if dark >= DARK {
            doubts.push(format!("{} of it is dark, and this paper's black is weak", share(dark)));
        }
    }
    if let Some(outside) = metrics.outside_paper.filter(|outside| outside.share >= OUTSIDE) {
        doubts.push(format!("{} of it is outside the paper's gamut", share(outside.share)));
    }
    if let Some(halo) = near(metrics.halo, required.detail.halo.as_f64(), &halo::RULE) {
        doubts.push(format!("halos of {}, near the limit", share(halo)));
    }
    if let Some(factor) =
        near(metrics.enlarged, required.detail.enlarged, &enlarged::RULE).filter(|factor| *factor > 1.0)
    {
        doubts.push(format!("already enlarged {}", show::measured(factor, "x")));
    }
    doubts
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::judge::acceptance::{Acceptance, AcceptedFinding, AcceptedValues};
    use crate::judge::judge;
    use crate::judge::testing::{brief, sound_submission, with_evidence};
    use crate::measure::evidence::{Halo, Overshoot};
    use crate::units::growth::grows_less_than_square;

    fn ranks(text: &str, halo: f64) -> Vec<(String, String)> {
        let brief = brief(text);
        let with_halo = |name: &str| {
            with_evidence(sound_submission(name, 4800, 6000), |evidence| {
                let isolated = Some(Overshoot { share: halo, p90: halo, width_px: 3.0, edges: 900 });
                evidence.detail.halo = Some(Halo { isolated, swing: None });
            })
        };
        let rows = judge(&brief, &["a.jpg", "b.jpg", "c.jpg"].map(with_halo)).rows;
        let print_of = |row: &Row| brief.prints.iter().find(|print| Some(&print.id) == row.key.print.as_ref());
        let found = rank(&rows, &print_of);
        found.iter().map(|one| (rows[one.row].print_name.clone(), one.words())).collect()
    }

    #[test]
    fn what_is_required_comes_first_then_what_is_large_or_many() {
        let found = ranks(
            "[[print]]\nname = \"card\"\nsize = \"4 x 5 in\"\npicture = \"a.jpg\"\ncopies = 250\n\
             [[print]]\nname = \"wall\"\nsize = \"16 x 20 in\"\npicture = \"b.jpg\"\ncopies = 20\n\
             [[print]]\nname = \"page\"\nsize = \"8 x 10 in\"\npicture = \"c.jpg\"\ntestprint = true\n",
            0.02,
        );
        let names: Vec<&str> = found.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["page", "wall", "card"]);
        assert_eq!(found[1].1, "large: 16 x 20 in; the order will be 20 copies");
    }

    #[test]
    fn a_picture_without_doubts_needs_none() {
        assert_eq!(ranks("[[print]]\nsize = \"8 x 10 in\"", 0.02), []);
    }

    #[test]
    fn an_accepted_container_is_no_reason() {
        let order = brief("[file]\nformats = [\"tiff\"]\n[[print]]\nsize = \"8 x 10 in\"");
        let mut row = judge(&order, &[sound_submission("a.jpg", 2400, 3000)]).rows.swap_remove(0);
        let acceptance = Acceptance {
            print: None,
            rule: "file.format".to_owned(),
            about: String::new(),
            reason: "the lab takes it".to_owned(),
            by: "Maren".to_owned(),
            allowed_by: None,
            when: String::new(),
            is_on_note: false,
            bound: AcceptedValues::default(),
        };
        let accepted = |finding| AcceptedFinding { finding, acceptance: Arc::new(acceptance.clone()) };
        row.accepted = std::mem::take(&mut row.findings).into_iter().map(accepted).collect();
        assert_eq!(row.accepted.len(), 1);
        assert_eq!(find_reasons(&row, &order.prints[0]), []);
    }

    #[test]
    fn a_value_near_its_limit_is_a_doubt_and_a_warning_is_said_once() {
        let found = ranks("[[print]]\nsize = \"8 x 10 in\"\npictures = \"*\"", 0.2);
        assert_eq!(found.len(), 3);
        assert!(found[0].1.contains("halos of 20 %"), "{found:?}");
        let found = ranks("[[print]]\nsize = \"8 x 10 in\"\npictures = \"*\"", 0.3);
        assert!(found[0].1.contains("30 %") && !found[0].1.contains("near the limit"), "{found:?}");
    }

    #[test]
    fn a_picture_for_two_prints_is_tested_for_the_one_that_needs_it_most() {
        let found = ranks(
            "[[print]]\nname = \"card\"\nsize = \"4 x 5 in\"\npicture = \"a.jpg\"\ncopies = 30\n\
             [[print]]\nname = \"wall\"\nsize = \"16 x 20 in\"\npicture = \"a.jpg\"\ntestprint = true\n",
            0.02,
        );
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, "wall");
    }

    #[test]
    fn the_ranking_costs_by_the_rows_and_not_by_their_square() {
        let rows = |count: usize| {
            let order = brief("[[print]]\nsize = \"16 x 20 in\"\ntestprint = true");
            let row = judge(&order, &[sound_submission("a.jpg", 4800, 6000)]).rows.swap_remove(0);
            let of = |at: usize| {
                let picture = Some(crate::picture::PictureKey::from_text(&format!("{at}.jpg")));
                Row { key: crate::judge::RowKey { picture, ..row.key.clone() }, ..row.clone() }
            };
            ((0..count).map(of).collect::<Vec<Row>>(), order)
        };
        grows_less_than_square(1_000, rows, |(rows, order): (Vec<Row>, crate::brief::Brief)| {
            assert_eq!(rank(&rows, &|_| order.prints.first()).len(), rows.len());
        });
    }
}
