//! A check for reading: what must be fixed, picture by picture, then warnings, missing and extra pictures, then one
//! line per picture with nothing to fix. The reason for a rule is given once per rule, not per row.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::brief::requirements::Level;
use crate::brief::{BriefFinding, PrintsById};
use crate::judge::acceptance::AcceptedFinding;
use crate::judge::model::row::NotChecked;
use crate::judge::model::test_print::TestPrint;
use crate::judge::to_do::lines::of_to_do;
use crate::judge::{Finding, Row, RowState};
use crate::reading::check_report::CheckReport;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// The closing sentence of every check.
pub const LAST_WORD: &str = "The printer's own specification and a hard proof have the last word.";

/// Columns by which findings are indented from a picture's name.
const INDENT: usize = 2;
/// Width of the labels of a finding's parts, in columns.
const LABEL: usize = 8;
/// Width of a state's word, in columns.
const STATE: usize = 8;

/// Sections in reading order.
const SECTIONS: [(RowState, &str); 7] = [
    (RowState::Fix, "To fix"),
    (RowState::Warn, "With warnings"),
    (RowState::Missing, "Missing"),
    (RowState::Extra, "Not in the brief"),
    (RowState::Arriving, "Still arriving, not checked yet"),
    (RowState::Checking, "Not checked yet"),
    (RowState::Pass, "Nothing to fix"),
];

/// Formats the check as lines.
pub fn lines(report: &CheckReport) -> Vec<Line> {
    let mut explained = BTreeSet::new();
    let prints = report.prints();
    let mut lines = opening(report);
    if !report.brief.findings.is_empty() {
        lines.push(Line::blank());
        lines.push(Line::of(Style::Head, "The brief"));
        lines.extend(report.brief.findings.iter().flat_map(remark));
    }
    for (state, heading) in SECTIONS {
        if state == RowState::Missing {
            order(report, &mut explained, &mut lines);
        }
        let rows: Vec<&Row> = report.rows.iter().filter(|row| row.state == state).collect();
        if rows.is_empty() {
            continue;
        }
        lines.push(Line::blank());
        lines.push(Line::of(Style::Head, heading));
        for row in rows {
            lines.push(row_line(row, &prints));
            if state != RowState::Pass {
                findings(&row.findings, &mut explained, &mut lines);
            }
            lines.extend(row.accepted.iter().map(accepted));
            lines.extend(row.test_print.words().map(|words| test_print(&row.test_print, &words)));
        }
        if state == RowState::Missing {
            let brief = report.brief.path.to_string_lossy();
            let words = format!("plateside spec {brief} lists what to export for each, with a name and all settings");
            lines.push(Line::of(Style::Dim, words).indented(INDENT, 0));
        }
    }
    lines.extend(to_do(report));
    lines.push(Line::blank());
    lines.push(totals(report));
    lines.extend(unknown_lines(&report.rows));
    lines.push(Line::of(Style::Dim, LAST_WORD));
    lines
}

/// Formats what to do by cause, as far as one action puts right several findings: a single one stands with its row.
fn to_do(report: &CheckReport) -> Vec<Line> {
    let joined: Vec<Line> = report.to_do().iter().filter(|one| one.joins_several()).flat_map(of_to_do).collect();
    if joined.is_empty() {
        return joined;
    }
    [Line::blank(), Line::of(Style::Head, "To do, by cause: what settles several findings at once")]
        .into_iter()
        .chain(joined)
        .collect()
}

fn opening(report: &CheckReport) -> Vec<Line> {
    let brief = &report.brief;
    let mut head = Line::of(Style::Head, brief.title.as_deref().unwrap_or("Check"));
    if let Some(printer) = &brief.printer {
        head = head.and(Style::Plain, format!(" for {printer}"));
    }
    if let Some(due) = &brief.due {
        head = head.and(Style::Plain, format!(", due {due}"));
    }
    let path = brief.path.to_string_lossy();
    vec![head, Line::of(Style::Dim, format!("brief {path}, pictures in {}", report.folder))]
}

/// Formats a row in one line: state, picture, print, and remarks that matter even with nothing to fix.
fn row_line(row: &Row, prints: &PrintsById<'_>) -> Line {
    let word = row.state.word();
    let picture = row.key.picture.as_ref().map(|picture| picture.as_str());
    let print = print_words(row, prints);
    let line = Line::of(row.state.style(), format!("{word:STATE$}"));
    let mut line = match picture {
        Some(picture) if print.is_empty() => line.and(Style::Strong, picture),
        Some(picture) => line.and(Style::Strong, picture).and(Style::Plain, format!("  for {print}")),
        None => line.and(Style::Strong, print),
    };
    if row.state == RowState::Pass
        && let Some(fit) = row.placement.as_ref().and_then(|placement| placement.fit)
    {
        line = line.and(Style::Plain, format!(", {}", show::ppi(fit.density)));
    }
    // Nothing else is known of a file that cannot be read; the finding gives the reason.
    let unread = row.findings.iter().any(|finding| finding.rule.uses.is_unreadable);
    let own: Vec<&NotChecked> = row.own_not_checked().collect();
    if !own.is_empty() && !unread {
        line = line.and(Style::Plain, format!(", {} not checked", own.len()));
        line = line.and(Style::Dim, format!(" ({})", reasons(&own)));
    }
    // Next to something to fix, tolerated deviations are no news.
    if row.state == RowState::Pass {
        for tolerated in &row.within_tolerance {
            line = line.and(Style::Dim, format!("; within tolerance: {}", tolerated.what));
        }
        for note in &row.findings {
            line = line.and(Style::Dim, format!("; note: {}", note.found));
        }
    }
    let remarks: Vec<&str> = row.remarks().collect();
    if !remarks.is_empty() {
        line = line.and(Style::Plain, format!(": {}", remarks.join("; ")));
    }
    line.indented(0, STATE)
}

/// Lists what could not be checked since the brief lacks what it takes, once for all pictures.
fn unknown_lines(rows: &[Row]) -> Vec<Line> {
    let wanting = rows.iter().flat_map(|row| row.not_checked.iter()).filter(|one| one.brief_lacks_it);
    let missing: BTreeSet<(&str, &str)> = wanting.map(|one| (one.rule.id, one.reason.as_str())).collect();
    missing
        .into_iter()
        .map(|(rule, reason)| Line::of(Style::Plain, format!("Not checked for any picture: {reason}  [{rule}]")))
        .collect()
}

/// Names the rules that were not checked and the reason; a reason shared by all is given once, without their names.
fn reasons(rules: &[&NotChecked]) -> String {
    match rules {
        [first, _, ..] if rules.iter().all(|one| one.reason == first.reason) => first.reason.clone(),
        _ => rules.iter().map(|one| format!("{}: {}", one.rule.id, one.reason)).collect::<Vec<_>>().join("; "),
    }
}

fn print_words(row: &Row, prints: &PrintsById<'_>) -> String {
    if row.key.print.is_none() {
        return String::new();
    }
    let id = prints.id_beside_name(row.key.print.as_ref()).map(|id| format!(" ({id})"));
    let mut words = format!("{}{}", row.name_with_version(), id.unwrap_or_default());
    if let Some(placement) = &row.placement {
        let size = placement.finished.show();
        if row.print_name != size {
            words = format!("{words}, {size}");
        }
        if placement.is_turned {
            words.push_str(", rotated");
        }
    }
    if row.copies > 1 {
        words = format!("{words}, {}", show::count(row.copies as usize, "copy", "copies"));
    }
    words
}

/// Formats the state of a test print; one of this export that nobody has seen still needs action.
fn test_print(of: &TestPrint, words: &str) -> Line {
    let style = if of.is_open() { Style::Warn } else { Style::Dim };
    Line::of(style, format!("test print {words}")).indented(INDENT, LABEL)
}

/// Formats an accepted finding: always shown, and apart from open ones.
fn accepted(one: &AcceptedFinding) -> Line {
    let AcceptedFinding { finding, acceptance } = one;
    Line::of(Style::Dim, format!("{:LABEL$}", "found"))
        .and(Style::Plain, finding.found.as_str())
        .and(Style::Dim, format!("  [{}]; accepted {}", finding.rule.id, acceptance.words()))
        .indented(INDENT, LABEL)
}

/// Formats a value of the brief that cannot be used, by its key and line.
fn remark(remark: &BriefFinding) -> [Line; 2] {
    let BriefFinding { key, level, problem } = remark;
    [
        first_line(*level, &problem.what, &format!("{key} ({})", problem.place())),
        labelled_line("fix", Style::Plain, &problem.fix),
    ]
}

/// Formats a finding with its source in brackets.
fn first_line(level: Level, what: &str, source: &str) -> Line {
    let style = match level {
        Level::Must => Style::Bad,
        Level::Should => Style::Warn,
        Level::Note | Level::Off => Style::Dim,
    };
    Line::of(style, format!("{:LABEL$}", "found"))
        .and(Style::Plain, what)
        .and(Style::Dim, format!("  [{} {source}]", level.word()))
        .indented(INDENT, LABEL)
}

fn labelled_line(label: &str, style: Style, text: &str) -> Line {
    Line::of(Style::Dim, format!("{label:LABEL$}")).and(style, text).indented(INDENT, LABEL)
}

/// Formats what to do, one action a line.
fn fix_lines(fix: &str) -> impl Iterator<Item = Line> {
    fix.lines().enumerate().map(|(at, action)| labelled_line(if at == 0 { "fix" } else { "" }, Style::Plain, action))
}

fn findings(findings: &[Arc<Finding>], told: &mut BTreeSet<&'static str>, lines: &mut Vec<Line>) {
    for finding in findings {
        let about = if finding.about.is_empty() { String::new() } else { format!(" ({})", finding.about) };
        lines.push(first_line(finding.level, &finding.found, &format!("{}{about}", finding.rule.id)));
        lines.extend(fix_lines(&finding.fix));
        if let Some(again) = &finding.lapsed {
            lines.push(labelled_line("", Style::Strong, &format!("open again: {}", again.words())));
        }
        if told.insert(finding.rule.id) {
            lines.push(labelled_line("why", Style::Plain, finding.rule.why));
        }
    }
}

fn order(report: &CheckReport, told: &mut BTreeSet<&'static str>, lines: &mut Vec<Line>) {
    if report.order_findings.is_empty() {
        return;
    }
    lines.push(Line::blank());
    lines.push(Line::of(Style::Head, "The order as a whole"));
    findings(&report.order_findings, told, lines);
}

fn totals(report: &CheckReport) -> Line {
    let totals = &report.totals;
    let counts = [
        (totals.fix, RowState::Fix, "to fix"),
        (totals.warn, RowState::Warn, "with warnings"),
        (totals.missing, RowState::Missing, "missing"),
        (totals.extra, RowState::Extra, "not in the brief"),
        (totals.pending, RowState::Checking, "not checked yet"),
        (totals.pass, RowState::Pass, "with nothing to fix"),
    ];
    let rows = show::count(report.rows.len(), "row", "rows");
    let mut line = Line::of(Style::Strong, format!("{rows}: "));
    let mut first = true;
    for (count, state, words) in counts.into_iter().filter(|(count, ..)| *count > 0) {
        let comma = if first { "" } else { ", " };
        line = line.and(Style::Plain, comma).and(state.style(), format!("{count} {words}"));
        first = false;
    }
    if first { Line::of(Style::Strong, "No prints in the brief and no pictures in the folder") } else { line }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing;
    use crate::report::sample;

    fn text(report: &CheckReport) -> String {
        lines(report).iter().map(|line| format!("{}{}\n", " ".repeat(line.indent), line.text())).collect()
    }

    #[test]
    fn a_check_reads_from_the_worst_to_the_best() {
        insta::assert_snapshot!(text(&sample::report()).replace('\u{1b}', "<esc>"), @r"
        Low Water Suppers for Corrow Lane Press, due 2026-12-18
        brief low-water.toml, pictures in exports

        To fix
        FIX     p012-plum-tart.jpg  for p012 plum tart, 210 x 260 mm
          found   214 ppi at 210 x 260 mm; at least 240 ppi required  [must density.minimum]
          fix     export at 2551 x 3142 px
          why     why density.minimum matters
          found   214 ppi at 210 x 260 mm; at least 240 ppi required  [note file.name]
          fix     export at 2551 x 3142 px
          why     why file.name matters

        With warnings
        WARN    p014-broth<esc>c.jpg  for p014 barley broth, 210 x 260 mm
          found   214 ppi at 210 x 260 mm; at least 240 ppi required  [should file.credit]
          fix     export at 2551 x 3142 px
          why     why file.credit matters

        The order as a whole
          found   214 ppi at 210 x 260 mm; at least 240 ppi required  [should set.mixed]
          fix     export at 2551 x 3142 px
          why     why set.mixed matters

        Missing
        MISSING p018 oyster board, 210 x 260 mm
          plateside spec low-water.toml lists what to export for each, with a name and all settings

        Not in the brief
        EXTRA   =evil().jpg: no print wants it

        Nothing to fix
        PASS    p016-leeks.jpg  for p016 leeks, 210 x 260 mm, 300 ppi, 1 not checked (margins.bleed: unclear)

        5 rows: 1 to fix, 1 with warnings, 1 missing, 1 not in the brief, 1 with nothing to fix
        The printer's own specification and a hard proof have the last word.
        ");
    }

    #[test]
    fn a_reason_that_all_rules_share_is_said_once() {
        let because =
            |id, reason: &str| NotChecked { rule: testing::rule(id), reason: reason.to_owned(), brief_lacks_it: false };
        let (one, other) = (because("file.depth", "no header"), because("file.name", "no header"));
        assert_eq!(reasons(&[&one, &other]), "no header");
        assert_eq!(
            reasons(&[&one, &because("margins.bleed", "unclear")]),
            "file.depth: no header; margins.bleed: unclear"
        );
    }

    #[test]
    fn the_reason_of_an_unreadable_file_comes_first() {
        let mut report = sample::report();
        report.rows.truncate(1);
        report.rows[0].findings.truncate(1);
        Arc::make_mut(&mut report.rows[0].findings[0]).rule = testing::rule("file.readable");
        report.rows[0].not_checked =
            [NotChecked { rule: testing::rule("file.depth"), reason: "no header".to_owned(), brief_lacks_it: false }]
                .into();
        assert!(!text(&report).contains("not checked"), "{}", text(&report));
    }

    #[test]
    fn why_is_said_once_a_rule() {
        let mut report = sample::report();
        report.rows[1].findings = report.rows[0].findings.clone();
        let text = text(&report);
        assert_eq!(text.matches("why density.minimum matters").count(), 1);
        assert_eq!(text.matches("[must density.minimum]").count(), 2);
    }

    #[test]
    fn an_empty_folder_says_so() {
        let mut report = sample::report();
        report.rows.clear();
        report.order_findings.clear();
        report.totals = crate::judge::Totals::default();
        assert!(text(&report).contains("No prints in the brief and no pictures in the folder"));
    }
}
