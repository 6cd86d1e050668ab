//! Test prints in words for the prompt: which pictures need one, what was written, what was stored.

use std::path::Path;

use crate::decisions;
use crate::judge::model::test_print::TestPrint;
use crate::units::show;
use crate::units::styled::{Line, Style};

use super::candidates::Candidates;
use super::ranking::RankedRow;
use super::sheet::BY_EYE;
use super::write::SheetsReceipt;

/// Lists the rows that need a test print, and why; how sheets are made.
pub fn ranking(candidates: &Candidates<'_>, all: &[RankedRow]) -> Vec<Line> {
    // Rows listed only for many copies or a large size would hide the few that are doubtful; named ones are always
    // shown.
    let folds = candidates.chosen.is_empty();
    let (folded, listed): (Vec<_>, Vec<_>) = all.iter().partition(|one| folds && one.is_costly_alone());
    let mut lines = rows(candidates, &listed);
    if !folded.is_empty() {
        let names: Vec<String> = folded.iter().map(|one| candidates.name(one)).collect();
        let count = show::count(
            folded.len(),
            "more is only large or has many copies",
            "more are only large or have many copies",
        );
        lines.push(Line::plain(format!("{count}: {}", names.join(", "))).indented(0, 4));
    }
    if all.is_empty() {
        lines.push(Line::plain(candidates.none_needed_words()));
    } else {
        lines.push(Line::of(Style::Dim, "write sheets of them with --onto \"8 x 10 in\" --into DIR"));
    }
    lines
}

/// Lists what was written, and the rows on no sheet.
pub fn sheets(candidates: &Candidates<'_>, receipt: &SheetsReceipt, into: &Path) -> Vec<Line> {
    let mut lines = rows(candidates, &receipt.tested.iter().collect::<Vec<_>>());
    let count = show::count(receipt.sheets, "sheet", "sheets");
    lines.push(Line::of(Style::Good, format!("{count} written")).and(Style::Plain, format!(" to {}", into.display())));
    if receipt.left > 0 {
        let more = show::count(receipt.left, "more picture is on no sheet", "more pictures are on no sheet");
        let all = receipt.tested.len() + receipt.left;
        lines.push(Line::of(Style::Warn, format!("{more}; --most {all} takes all")));
    }
    lines.push(Line::of(Style::Dim, BY_EYE));
    lines
}

/// Confirms that remarks were stored.
pub fn lines_of_kept(count: usize, is_approved: bool, brief: &Path) -> Vec<Line> {
    let good = if is_approved { "" } else { " and not good enough" };
    change_lines(count, &format!("seen{good}, kept in"), brief)
}

/// Confirms that remarks were withdrawn.
pub fn lines_of_withdrawn(count: usize, brief: &Path) -> Vec<Line> {
    change_lines(count, "no longer recorded as seen in", brief)
}

fn change_lines(count: usize, done: &str, brief: &Path) -> Vec<Line> {
    let count = show::count(count, "test print", "test prints");
    vec![Line::plain(format!("{count} {done} {}", decisions::path_beside(brief).display()))]
}

/// Lists rows with their reasons, numbered from 1.
fn rows(candidates: &Candidates<'_>, listed: &[&RankedRow]) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for (at, one) in listed.iter().enumerate() {
        lines.push(Line::of(Style::Strong, format!("{:>2}  {}", at + 1, candidates.name(one))));
        lines.push(Line::plain(one.words()).indented(4, 4));
        let test_print = &candidates.report().rows[one.row].test_print;
        let words = match test_print {
            TestPrint::Required if one.is_required() => Some("not seen yet".to_owned()),
            _ => test_print.words().map(|words| format!("test print {words}")),
        };
        lines.extend(words.map(|words| Line::of(Style::Dim, words).indented(4, 4)));
    }
    lines
}
