//! set.seam: parts of one picture that do not meet.

use std::collections::{BTreeMap, HashMap};

use crate::brief::requirements::Level;
use crate::brief::{Print, PrintId};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::placement::Placement;
use crate::measure::seam::{Seam, compare};
use crate::units::{Length, show};

/// Difference in height from which two parts count as unequal: above what rounding between inches and millimetres
/// makes. Source: ours.
const HEIGHTS_WITHIN: Length = Length::from_um(500);
/// Agreement, of 1, from which two parts go on from one another. Source: ours; see the rule's page.
const MIN_AGREEMENT: f64 = 0.5;
/// How much better two parts must agree shifted than as they are. Source: ours.
const AGREES_MORE: f64 = 0.1;
/// Shift from which one part lies higher than the other, as a share of the height: 1.5 rows of 256. Source: ours.
const MAX_SHIFT: f64 = 0.006;
/// Standard deviation, in levels, below which an edge has nothing to compare. Source: ours.
const MIN_STRUCTURE: f64 = 2.0;
/// Step of lightness at the seam, in levels of 255, that is seen. Source: ours.
const MAX_LIGHTER: f64 = 4.0;
/// The same of red, green or blue beside it. Source: ours.
const MAX_TINT: f64 = 6.0;

pub static RULE: Rule = Rule {
    id: "set.seam",
    group: RuleGroup::Set,
    title: "Parts do not meet",
    question: "Do the parts of a spread or a triptych go on from one another?",
    level: Level::Should,
    why: "the eye follows lines across a seam: a step, a break or another tone there is the first thing seen",
    page: "Prints with the same group are parts of one picture, left to right in the order of the brief; so are the \
           two halves of a spread from a picture list. Neighbours must be equally high, to 0.5 mm. Where they meet at \
           the finished size, whatever the bleed, the last column of one and the first of the next are compared in \
           256 rows: their fine structure must agree to 0.5 of 1; a better agreement with one of them 0.6 % to 6 % of \
           the height higher or lower is a step. The tones may differ by 4 levels (of 255), red, green or blue by 6. \
           With a gap, or white between the parts, part of the picture may be left out there, so only parts that \
           agree as they are have their tones compared.",
    fix: "Develop the whole picture, and cut it into its parts last: with one crop, at the seam, each part with its \
          bleed from the other.",
    misses: "Edges without structure, such as a plain backdrop, are compared by their tones alone. A step within 0.6 % \
             of the height passes, and so does one in a gap. Parts above one another are not compared, nor are parts \
             of which the bleed is more than 16 % of the width.",
    keys: &["print.group", "print.gap", "margins.bleed"],
    source: "normalised cross-correlation, textbook; limits ours, set on photographs and proved on others",
    samples: RuleExamples {
        passes: "the two pages of a spread, cut from one picture at the spine",
        fails: "the right page 5 mm lower than the left one, or a third of a stop lighter",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    // The parts of one version of the order are one picture.
    let mut groups: BTreeMap<(Option<&str>, &str), Vec<&Print>> = BTreeMap::new();
    for print in &order.brief.prints {
        if let Some(group) = &print.group {
            let version = print.version.as_ref().map(|version| &*version.name);
            groups.entry((version, group)).or_default().push(print);
        }
    }
    if groups.is_empty() {
        return;
    }
    let mut rows_of: HashMap<&PrintId, Vec<&Row>> = HashMap::new();
    for row in order.rows.iter().filter(|row| row.group.is_some() && row.key.picture.is_some()) {
        if let Some(print) = &row.key.print {
            rows_of.entry(print).or_default().push(row);
        }
    }
    // Several pictures for one part are reported by set.versions.
    let only = |print: &Print| match rows_of.get(&print.id).map(Vec::as_slice) {
        Some([row]) => Some(*row),
        _ => None,
    };
    for pair in groups.values().flat_map(|parts| parts.windows(2)) {
        let [left, right] = pair else { continue };
        let (Some(one), Some(other)) = (only(left), only(right)) else { continue };
        let Some(found) = SeamParts::of(left, one, other).map(|parts| parts.breaches()) else { continue };
        for breach in found {
            report(OrderBreach {
                rows: vec![one.key.clone(), other.key.clone()],
                pictures: [one, other].into_iter().filter_map(|row| row.key.picture.clone()).collect(),
                breach,
            });
        }
    }
}

/// Two neighbouring parts.
struct SeamParts<'a> {
    rows: [&'a Row; 2],
    names: [String; 2],
    placements: [&'a Placement; 2],
    has_gap: bool,
}

impl<'a> SeamParts<'a> {
    fn of(left: &Print, one: &'a Row, other: &'a Row) -> Option<SeamParts<'a>> {
        let placements = [one.placement.as_deref()?, other.placement.as_deref()?];
        let white = placements[0].outset.right < Length::ZERO || placements[1].outset.left < Length::ZERO;
        let name = |row: &Row| row.key.picture.as_ref().map(ToString::to_string).unwrap_or_default();
        Some(SeamParts {
            rows: [one, other],
            names: [name(one), name(other)],
            placements,
            has_gap: left.gap.is_some() || white,
        })
    }

    fn breaches(&self) -> Vec<Breach> {
        if let Some(heights) = self.heights() {
            return vec![heights];
        }
        let [one, other] = self.rows.map(|row| row.edges.as_deref());
        let edges = one.and_then(|edges| edges.right.as_ref()).zip(other.and_then(|edges| edges.left.as_ref()));
        let Some(seam) = edges.map(|(left, right)| compare(left, right)) else { return Vec::new() };
        let goes_on = seam.structure < MIN_STRUCTURE || seam.agrees >= MIN_AGREEMENT;
        let is_shifted = seam.structure >= MIN_STRUCTURE
            && seam.agrees_shifted >= MIN_AGREEMENT
            && seam.agrees_shifted >= seam.agrees + AGREES_MORE
            && seam.shift.abs() > MAX_SHIFT;
        match (is_shifted, goes_on) {
            (true, _) if !self.has_gap => vec![self.step(&seam)],
            (_, false) if !self.has_gap => vec![self.other_picture()],
            (_, true) => self.lightness(&seam).or_else(|| self.colour(&seam)).into_iter().collect(),
            _ => Vec::new(),
        }
    }

    fn heights(&self) -> Option<Breach> {
        let [left, right] = self.placements.map(|placement| placement.finished);
        let off = left.height - right.height;
        let off = off.max(-off);
        (off > HEIGHTS_WITHIN).then(|| Breach {
            about: "heights".to_owned(),
            numbers: Some((off.mm(), HEIGHTS_WITHIN.mm())),
            unit: Some("mm"),
            short: "unequal heights".to_owned(),
            found: format!(
                "{} is {} high, and {} beside it {}; usual: equal heights",
                self.names[0],
                show::length(left.height, left.unit),
                self.names[1],
                show::length(right.height, left.unit)
            ),
            fix: "give both prints one height in the brief, then export them again".to_owned(),
            ..Breach::default()
        })
    }

    fn step(&self, seam: &Seam) -> Breach {
        let [left, right] = &self.names;
        let height = self.placements[1].finished.height;
        let (found, limit) = (seam.shift.abs() * height.mm(), MAX_SHIFT * height.mm());
        let (shown, shown_limit) = show::numbers_apart(found, limit);
        let (lies, crop) = if seam.shift > 0.0 { ("lower", "down") } else { ("higher", "up") };
        let density = self.placements[1].fit.map_or(0.0, |fit| fit.density.as_f64());
        let px = (found / Length::from_um(25_400).mm() * density).round();
        Breach {
            about: "step".to_owned(),
            numbers: Some((found, limit)),
            unit: Some("mm"),
            short: format!("{shown} mm {lies}"),
            found: format!(
                "{right} lies {shown} mm {lies} than {left} where they meet; usual: within {shown_limit} mm"
            ),
            fix: format!("move the crop of {right} {shown} mm ({px} px) {crop}\nor {}", self.cut_again()),
            ..Breach::default()
        }
    }

    fn other_picture(&self) -> Breach {
        let [left, right] = &self.names;
        Breach {
            about: "join".to_owned(),
            short: "parts do not meet".to_owned(),
            found: format!("{right} does not go on from {left} where they meet: another picture, crop or scale"),
            fix: format!("check that both files are parts of one picture\n{}", self.cut_again()),
            ..Breach::default()
        }
    }

    /// The way that always helps, with its numbers.
    fn cut_again(&self) -> String {
        let [left, right] = self.placements.map(|placement| placement.finished);
        let length = |length: Length| show::length(length, left.unit);
        format!(
            "crop the whole picture to {} x {}, cut it {} from the left, and give each part its bleed from the other",
            length(left.width + right.width),
            length(left.height),
            length(left.width)
        )
    }

    fn lightness(&self, seam: &Seam) -> Option<Breach> {
        let word = if seam.lighter > 0.0 { "lighter" } else { "darker" };
        self.tone(seam.lighter.abs(), MAX_LIGHTER, word)
    }

    fn colour(&self, seam: &Seam) -> Option<Breach> {
        let words = [("redder", "less red"), ("greener", "more magenta"), ("bluer", "yellower")];
        let strongest = seam.tint.into_iter().zip(words).max_by(|(a, _), (b, _)| a.abs().total_cmp(&b.abs()));
        let (tint, (more, less)) = strongest?;
        self.tone(tint.abs(), MAX_TINT, if tint > 0.0 { more } else { less })
    }

    fn tone(&self, found: f64, limit: f64, word: &str) -> Option<Breach> {
        let [left, right] = &self.names;
        let (shown, shown_limit) = show::numbers_apart(found, limit);
        (found > limit).then(|| Breach {
            about: "tone".to_owned(),
            numbers: Some((found, limit)),
            unit: Some("levels"),
            short: format!("{word} at the seam"),
            found: format!(
                "{right} is {word} than {left} along the seam, by {shown} levels (of 255); usual: within {shown_limit}"
            ),
            fix: "develop both parts with the same settings, best as one picture that you cut last".to_owned(),
            ..Breach::default()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::{brief, ids, sound_submission, with_evidence};
    use crate::judge::{Submission, judge};
    use crate::measure::Grid;

    /// A picture whose every row has a grey of its own, by the number of the row of 256.
    fn part(name: &str, code: impl Fn(f64) -> u8) -> Submission {
        let fields: Vec<[u8; 3]> = (0..256 * 32).map(|at| [code((at / 32) as f64); 3]).collect();
        let end = Grid { across: 32, down: 256, fields };
        with_evidence(sound_submission(name, 2481, 3071), |e| e.appearance.ends = [end.clone(), end.clone()])
    }

    fn stripes(y: f64) -> u8 {
        (120.0 + 50.0 * (y / 3.1).sin() + 40.0 * (y * y / 900.0).sin()) as u8
    }

    fn other(y: f64) -> u8 {
        (128.0 + 60.0 * (y * y / 210.0).cos()) as u8
    }

    fn order(keys: &str, height: &str) -> String {
        format!(
            "[[print]]\nsize = \"210 x 260 mm\"\npicture = \"a*\"\ngroup = \"pair\"\n{keys}\n[[print]]\nsize = \"210 x \
             {height} mm\"\npicture = \"b*\"\ngroup = \"pair\""
        )
    }

    fn found(text: &str, right: Submission) -> Vec<String> {
        let rows = judge(&brief(text), &[part("a.jpg", stripes), right]).rows;
        let of = |row: &Row| -> Vec<String> {
            row.findings.iter().filter(|one| one.rule == &RULE).map(|one| one.found.clone()).collect()
        };
        assert_eq!(of(&rows[0]), of(&rows[1]), "both parts carry it");
        of(&rows[0])
    }

    #[test]
    fn parts_that_go_on_pass_and_a_step_is_measured() {
        let text = order("", "260");
        assert_eq!(found(&text, part("b.jpg", stripes)), <[&str; 0]>::default());
        // 5 of 256 rows of 260 mm are 5.1 mm.
        let words = found(&text, part("b.jpg", |y| stripes(y - 5.0)));
        assert!(words[0].starts_with("b.jpg lies 5") && words[0].contains(" mm lower than a.jpg"), "{words:?}");
        let words = found(&text, part("b.jpg", |y| stripes(y + 5.0)));
        assert!(words[0].contains(" mm higher than a.jpg"), "{words:?}");
    }

    #[test]
    fn another_picture_is_told_unless_a_gap_may_hide_what_lies_between() {
        let words = found(&order("", "260"), part("b.jpg", other));
        assert_eq!(words, ["b.jpg does not go on from a.jpg where they meet: another picture, crop or scale"]);
        assert_eq!(found(&order("gap = \"20 mm\"", "260"), part("b.jpg", other)), <[&str; 0]>::default());
    }

    #[test]
    fn another_tone_is_told_with_and_without_a_gap() {
        for keys in ["", "gap = \"20 mm\""] {
            let words = found(&order(keys, "260"), part("b.jpg", |y| stripes(y) + 12));
            assert_eq!(words, ["b.jpg is lighter than a.jpg along the seam, by 12 levels (of 255); usual: within 4"]);
            assert_eq!(found(&order(keys, "260"), part("b.jpg", |y| stripes(y) + 4)), <[&str; 0]>::default());
        }
    }

    #[test]
    fn unequal_heights_are_said_once_and_instead_of_all_else() {
        let words = found(&order("", "270"), part("b.jpg", other));
        assert_eq!(words, ["a.jpg is 260 mm high, and b.jpg beside it 270 mm; usual: equal heights"]);
        assert!(found(&order("", "260.4"), part("b.jpg", stripes)).is_empty());
    }

    #[test]
    fn halves_that_look_alike_are_no_duplicates_and_prints_without_a_group_no_parts() {
        let alone = order("", "260").replace("group = \"pair\"", "");
        let alike = |name: &str| with_evidence(part(name, stripes), |e| e.appearance.small = Grid::filled(1, 1, 0));
        let both = [alike("a.jpg"), alike("b.jpg")];
        assert_eq!(ids(&judge(&brief(&alone), &both).rows[1]), ["set.duplicate"]);
        assert_eq!(ids(&judge(&brief(&order("", "260")), &both).rows[1]), <[&str; 0]>::default());
    }
}
