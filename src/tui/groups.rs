//! The main number of each group of rules: the failing one, or else the group's most important metric.

use crate::judge::metrics::PrintMetrics;
use crate::judge::{Finding, Row, RuleGroup};
use crate::tui::numbers;

/// Enlargement from which a cell mentions it; less is within the measure's own error. Own choice.
const ENLARGED_FROM: f64 = 1.05;

/// Returns the group's finding of the highest level that has words for a cell.
pub fn finding(group: RuleGroup, row: &Row) -> Option<&Finding> {
    let of_group = |finding: &&Finding| finding.rule.group == group && !finding.short.is_empty();
    // The first of the highest level: findings are in the order of the rules.
    row.findings.iter().map(AsRef::as_ref).filter(of_group).rev().max_by_key(|finding| finding.level)
}

/// Returns the group's most important metric: the share of tones lost, times enlarged or halo, what is near the cut;
/// `None` for groups without a column.
pub fn metric(group: RuleGroup, metrics: &PrintMetrics) -> Option<String> {
    match group {
        RuleGroup::Tone => {
            let lost = [metrics.highlights_lost, metrics.shadows_lost];
            lost.iter().any(Option::is_some).then(|| {
                let share: f64 = lost.into_iter().flatten().sum();
                numbers::share(share)
            })
        }
        RuleGroup::Detail => match (metrics.enlarged, metrics.halo) {
            (Some(times), _) if times >= ENLARGED_FROM => Some(format!("{} larger", numbers::times(times))),
            (_, halo) => halo.map(|halo| format!("halo {}", numbers::share(halo))),
        },
        RuleGroup::Margins => metrics.importance_in_safe.map(|share| format!("{} near cut", numbers::share(share))),
        RuleGroup::File
        | RuleGroup::Size
        | RuleGroup::Density
        | RuleGroup::Colour
        | RuleGroup::Proof
        | RuleGroup::Version
        | RuleGroup::Set => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::requirements::Level;
    use crate::judge::RowState;
    use crate::judge::testing;
    use crate::tui::tests::order::plain_row;

    #[test]
    fn the_loudest_finding_of_the_group_comes_first() {
        let mut row = Row::clone(&plain_row("plum", RowState::Pass).row);
        let of = |id, level, short: &str| Finding { level, short: short.to_owned(), ..testing::finding(id) };
        let findings = [
            of("tone.highlights", Level::Note, "1.2 % blown"),
            of("tone.shadows", Level::Should, "18.1 % blocked"),
            of("tone.paper", Level::Should, "matte"),
            of("tone.dark", Level::Must, ""),
        ];
        row.findings = findings.into_iter().map(Into::into).collect();
        assert_eq!(finding(RuleGroup::Tone, &row).unwrap().short, "18.1 % blocked");
        assert!(finding(RuleGroup::Detail, &row).is_none());
    }

    #[test]
    fn answers_stand_in_where_nothing_fails() {
        let metrics = PrintMetrics {
            highlights_lost: Some(0.004),
            shadows_lost: Some(0.0),
            halo: Some(0.04),
            enlarged: Some(1.0),
            importance_in_safe: Some(0.02),
            ..PrintMetrics::default()
        };
        let all = [RuleGroup::Tone, RuleGroup::Detail, RuleGroup::Margins];
        assert_eq!(all.map(|group| metric(group, &metrics).unwrap()), ["0.4 %", "halo 4 %", "2 % near cut"]);
        let enlarged = PrintMetrics { enlarged: Some(1.6), ..metrics };
        assert_eq!(metric(RuleGroup::Detail, &enlarged).unwrap(), "1.6 x larger");
        assert!(all.iter().all(|group| metric(*group, &PrintMetrics::default()).is_none()));
    }
}
