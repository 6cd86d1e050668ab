//! version.crop: the versions of a print show different parts of the picture.

use crate::brief::requirements::Level;
use crate::judge::matching::siblings::{LookCompared, SiblingPicture, compared};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::join_with_and;
use crate::measure::alignment::PlacedFrame;
use crate::units::{Length, Share, show};

/// Most by which the finished edges of two versions may lie apart, as a share of the side in per cent. Source: ours; in
/// the trial of `measure/alignment.rs` edges were off by 1.3 % at most.
const MOST_APART_PERCENT: i128 = 2;
/// The sides of a frame, in its order.
const SIDES: [&str; 4] = ["left", "top", "right", "bottom"];

pub static RULE: Rule = Rule {
    id: "version.crop",
    group: RuleGroup::Version,
    title: "Versions cropped differently",
    question: "Is each print cropped the same in every version?",
    level: Level::Should,
    why: "the client agreed to one crop, and gets another in one of the versions",
    page: "The picture of each version is aligned with that of the first version that has one, by light and dark. \
           Their finished edges, without bleed, may lie 2 % of the side apart. Versions with other bleed are compared \
           by what remains after the cut.",
    fix: "Export both versions from the same crop.",
    misses: "Less than 2 % of a side. A picture that is not recognised in the other is not compared, nor is one whose \
             cut is not known.",
    keys: &["version.folder", "margins.bleed"],
    source: "ours: 45 pictures cropped by 5 to 30 % and found again to 1.3 % of the side",
    samples: RuleExamples {
        passes: "both versions show the whole plate",
        fails: "cmyk/p012.tif shows 6 % less on the left than rgb/p012.tif",
    },
    unit: "share",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    for ((first, other), look) in compared(order) {
        if let LookCompared::Same(frame) = look
            && let Some(breach) = breach(&first, &other, frame)
        {
            report(breach);
        }
    }
}

/// Returns true if two versions of a print are cropped differently; what they show of each other is known.
pub fn differs(first: &Row, other: &Row, frame: PlacedFrame) -> bool {
    most_apart(&apart(first, other, frame).unwrap_or_default()) > Share::percent(MOST_APART_PERCENT)
}

fn breach(first: &SiblingPicture, other: &SiblingPicture, frame: PlacedFrame) -> Option<OrderBreach> {
    let limit = Share::percent(MOST_APART_PERCENT);
    let apart = apart(first.row, other.row, frame)?;
    let most = most_apart(&apart);
    if most <= limit {
        return None;
    }
    let (a, b) = (first.row.key.picture.as_ref()?, other.row.key.picture.as_ref()?);
    let side = |(name, apart): (&str, &f64)| {
        let (words, _) = show::shares_apart(Share::measured(apart.abs()), limit);
        let more = if *apart > 0.0 { "less" } else { "more" };
        (Share::measured(apart.abs()) > limit).then(|| format!("{words} {more} at the {name}"))
    };
    let sides: Vec<String> = SIDES.into_iter().zip(&apart).filter_map(side).collect();
    let limit_words = show::shares_apart(most, limit).1;
    Some(OrderBreach {
        rows: [first, other].map(|one| one.row.key.clone()).to_vec(),
        pictures: vec![a.clone(), b.clone()],
        breach: Breach {
            numbers: Some((most.as_f64(), limit.as_f64())),
            short: "other crop".to_owned(),
            found: format!(
                "{b} shows {} than {a}, another version of this print; usual: at most {limit_words} apart",
                join_with_and(&sides)
            ),
            fix: "export both versions from the same crop".to_owned(),
            ..Breach::default()
        },
    })
}

fn most_apart(apart: &[f64; 4]) -> Share {
    Share::measured(apart.iter().map(|one| one.abs()).fold(0.0, f64::max))
}

/// Returns by how much the finished edges of the other version lie inside those of the first (below 0: outside), left,
/// top, right and bottom, as shares of the first's finished sides; `frame` is where the other lies in the first. `None`
/// where the cut of one is not known.
fn apart(first: &Row, other: &Row, frame: PlacedFrame) -> Option<[f64; 4]> {
    let (first, own) = (finished(first)?, finished(other)?);
    let along = |from: f64, to: f64, at: f64| from + at * (to - from);
    let other = [
        along(frame[0], frame[2], own[0]),
        along(frame[1], frame[3], own[1]),
        along(frame[0], frame[2], own[2]),
        along(frame[1], frame[3], own[3]),
    ];
    let (across, down) = (first[2] - first[0], first[3] - first[1]);
    Some([
        (other[0] - first[0]) / across,
        (other[1] - first[1]) / down,
        (first[2] - other[2]) / across,
        (first[3] - other[3]) / down,
    ])
}

/// Returns the finished edges of a row's picture as shares of its sides: left, top, right, bottom.
fn finished(row: &Row) -> Option<[f64; 4]> {
    let placement = row.placement.as_ref()?;
    let (frame, out) = (placement.frame(), placement.outset);
    let share = |length: Length, of: Length| length.nm() as f64 / of.nm() as f64;
    Some([
        share(out.left, frame.width),
        share(out.top, frame.height),
        1.0 - share(out.right, frame.width),
        1.0 - share(out.bottom, frame.height),
    ])
}

#[cfg(test)]
mod tests {
    use crate::judge::judge;
    use crate::judge::matching::siblings::testing::{TWO, WHOLE, look};
    use crate::judge::testing::brief;

    const PRINT: &str = "[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"\n";

    fn found(versions: &str, press: [f64; 4]) -> Vec<String> {
        let files = [look("cmyk/p012.jpg", 1, press), look("rgb/p012.jpg", 1, WHOLE)];
        let rows = judge(&brief(&format!("{versions}{PRINT}")), &files).rows;
        let of = |row: &crate::judge::Row| {
            row.findings.iter().find(|one| one.rule.id == "version.crop").map(|one| one.found.clone())
        };
        rows.iter().filter_map(of).collect()
    }

    #[test]
    fn a_tighter_crop_in_one_version_is_said_on_both_rows() {
        let said = found(TWO, [0.125, 0.0, 1.0, 1.0]);
        assert_eq!(said.len(), 2, "{said:?}");
        let words =
            (said[0].starts_with("cmyk/p012.jpg shows 12"), said[0].contains(" less at the left than rgb/p012.jpg"));
        assert_eq!(words, (true, true), "{said:?}");
        assert_eq!(found(TWO, WHOLE), [""; 0]);
        assert_eq!(found(TWO, [0.01, 0.0, 1.0, 1.0]), [""; 0], "within tolerance");
    }

    #[test]
    fn bleed_of_one_version_is_no_other_crop() {
        // 8 x 10 in finished, and half an inch of bleed around it.
        let finished = [1.0 / 18.0, 1.0 / 22.0, 17.0 / 18.0, 21.0 / 22.0];
        let bleed = TWO.replace("folder = \"rgb\"\n", "folder = \"rgb\"\nmargins.bleed = \"0.5 in\"\n");
        assert_eq!(found(&bleed, finished), [""; 0]);
        assert_eq!((found(TWO, finished).len(), found(&bleed, WHOLE).len()), (2, 2));
    }
}
