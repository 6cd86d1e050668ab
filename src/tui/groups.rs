//! The telling number of each group of rules: what fails, or the group's most telling answer.

use crate::judge::metrics::PrintMetrics;
use crate::judge::{Finding, Row};
use crate::tui::numbers;

/// From here on a picture counts as enlarged in a cell; below it is the measure's own doubt. Own choice.
const ENLARGED_FROM: f64 = 1.05;

/// A group of rules with a column of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Lost highlights and shadows.
    Tone,
    /// Focus, halos, enlargement, noise.
    Detail,
    /// What lies where cutting and binding take.
    Margins,
}

impl Group {
    /// What the ids of its rules begin with.
    pub const fn prefix(self) -> &'static str {
        match self {
            Group::Tone => "tone.",
            Group::Detail => "detail.",
            Group::Margins => "margins.",
        }
    }

    /// The loudest finding that a cell can show.
    pub fn finding(self, row: &Row) -> Option<&Finding> {
        let of_group = |finding: &&Finding| finding.rule.starts_with(self.prefix()) && !finding.short.is_empty();
        // The first of the loudest: rules stand in their order.
        row.findings.iter().map(AsRef::as_ref).filter(of_group).rev().max_by_key(|finding| finding.level)
    }

    /// The answer that says most: the share of tones lost, times enlarged or halo, what lies near the cut.
    pub fn answer(self, answers: &PrintMetrics) -> Option<String> {
        match self {
            Group::Tone => {
                let lost = [answers.highlights_lost, answers.shadows_lost];
                lost.iter().any(Option::is_some).then(|| {
                    let share: f64 = lost.into_iter().flatten().sum();
                    numbers::share(share)
                })
            }
            Group::Detail => match (answers.enlarged, answers.halo) {
                (Some(times), _) if times >= ENLARGED_FROM => Some(format!("{} larger", numbers::times(times))),
                (_, halo) => halo.map(|halo| format!("halo {}", numbers::share(halo))),
            },
            Group::Margins => answers.importance_in_safe.map(|share| format!("{} near", numbers::share(share))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::requirements::Level;
    use crate::judge::RowState;
    use crate::tui::tests::desk::{plain_row, too_coarse};

    #[test]
    fn the_loudest_finding_of_the_group_comes_first() {
        let mut row = Row::clone(&plain_row("plum", RowState::Pass).row);
        let finding = |rule, level, short: &str| Finding { rule, level, short: short.to_owned(), ..too_coarse() };
        let findings = [
            finding("tone.highlights", Level::Note, "1.2 % blown"),
            finding("tone.shadows", Level::Should, "18.1 % merge"),
            finding("tone.paper", Level::Should, "matte"),
            finding("tone.other", Level::Must, ""),
        ];
        row.findings = findings.into_iter().map(Into::into).collect();
        assert_eq!(Group::Tone.finding(&row).unwrap().short, "18.1 % merge");
        assert!(Group::Detail.finding(&row).is_none());
    }

    #[test]
    fn answers_stand_in_where_nothing_fails() {
        let answers = PrintMetrics {
            highlights_lost: Some(0.004),
            shadows_lost: Some(0.0),
            halo: Some(0.04),
            enlarged: Some(1.0),
            importance_in_safe: Some(0.02),
            ..PrintMetrics::default()
        };
        let all = [Group::Tone, Group::Detail, Group::Margins];
        assert_eq!(all.map(|group| group.answer(&answers).unwrap()), ["0.4 %", "halo 4 %", "2 % near"]);
        let enlarged = PrintMetrics { enlarged: Some(1.6), ..answers };
        assert_eq!(Group::Detail.answer(&enlarged).unwrap(), "1.6 x larger");
        assert!(all.iter().all(|group| group.answer(&PrintMetrics::default()).is_none()));
    }
}
