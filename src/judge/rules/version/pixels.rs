//! version.pixels: versions that require the same pixels have others.

use crate::brief::PrintsById;
use crate::brief::requirements::Level;
use crate::judge::matching::siblings::{LookCompared, SiblingPicture, compared};
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::row::Row;
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::version::crop;
use crate::units::show;

/// Most pixels a side by which two exports of one size differ: each program rounds in its own way. Own choice.
const ROUNDING_PX: u32 = 2;

pub static RULE: Rule = Rule {
    id: "version.pixels",
    group: RuleGroup::Version,
    title: "Versions of other pixels",
    question: "Do versions that require the same pixels have the same?",
    level: Level::Should,
    why: "one of them was exported with other settings, and is softer on paper than the other",
    page: "Two versions of a print are compared where both require the same: the same size with bleed at the same \
           target density, as in `density.target`. Their pixels may then differ by 2 a side. Where their pictures or \
           crops differ, only that is reported.",
    fix: "Export both versions at the same pixel size.",
    misses: "Versions with targets or bleed of their own are not compared.",
    keys: &["density.target", "margins.bleed"],
    source: "ours",
    samples: RuleExamples {
        passes: "2551 x 3142 px in both versions",
        fails: "2551 x 3142 px as masters, 1700 x 2094 px for the press",
    },
    unit: "px",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

fn check(order: &JudgedOrder, report: BreachSink) {
    let prints = PrintsById::of(order.brief);
    let required_px = |row: &Row| {
        let density = &prints.get(row.key.print.as_ref())?.requirements.density;
        Some(row.placement.as_ref()?.needed_px(density.target))
    };
    for ((first, other), look) in compared(order) {
        let is_said = match look {
            LookCompared::Another => true,
            LookCompared::Same(frame) => crop::differs(first.row, other.row, frame),
            LookCompared::Unknown => false,
        };
        if !is_said && required_px(first.row) == required_px(other.row) {
            breach(&first, &other).into_iter().for_each(&mut *report);
        }
    }
}

fn breach(first: &SiblingPicture, other: &SiblingPicture) -> Option<OrderBreach> {
    let px = |one: &SiblingPicture| Some(one.row.facts.as_ref()?.upright_px());
    let (one, two) = (px(first)?, px(other)?);
    if one.0.abs_diff(two.0) <= ROUNDING_PX && one.1.abs_diff(two.1) <= ROUNDING_PX {
        return None;
    }
    let (a, b) = (first.row.key.picture.as_ref()?, other.row.key.picture.as_ref()?);
    let larger = if one.0 >= two.0 { one } else { two };
    Some(OrderBreach {
        rows: [first, other].map(|one| one.row.key.clone()).to_vec(),
        pictures: vec![a.clone(), b.clone()],
        breach: Breach {
            short: "other pixels".to_owned(),
            found: format!(
                "{a} has {} and {b} {}; both versions of this print require the same",
                show::pixels(one),
                show::pixels(two)
            ),
            fix: format!("export both from the original at {}, without enlarging", show::pixels(larger)),
            ..Breach::default()
        },
    })
}

#[cfg(test)]
mod tests {
    use crate::judge::judge;
    use crate::judge::matching::siblings::testing::TWO;
    use crate::judge::testing::{brief, sound_submission};

    fn said(versions: &str, press: (u32, u32)) -> usize {
        let text = format!("{versions}[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"\n");
        let files = [sound_submission("cmyk/p012.jpg", press.0, press.1), sound_submission("rgb/p012.jpg", 2400, 3000)];
        let rows = judge(&brief(&text), &files).rows;
        rows.iter().flat_map(|row| &row.findings).filter(|one| one.rule.id == "version.pixels").count()
    }

    #[test]
    fn pixels_are_compared_where_both_versions_require_the_same() {
        assert_eq!((said(TWO, (2800, 3500)), said(TWO, (2402, 2998))), (2, 0));
        assert_eq!(said(&format!("{TWO}density.target = \"350 ppi\"\n"), (2800, 3500)), 0);
    }
}
