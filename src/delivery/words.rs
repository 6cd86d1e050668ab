//! Deliveries in words, for the prompt and the screen: what would be sent, what was written, why nothing was.

use std::path::Path;

use crate::picture::PictureKey;
use crate::report::brief_words;
use crate::units::styled::{Line, Style};
use crate::units::{show, words};

use super::preview::DeliverySummary;
use super::receipt::{Receipt, Refusal, Remarks, Written};
use super::verify::Differences;

/// Describes what was written, with remarks.
pub fn receipt(receipt: &Receipt) -> Vec<Line> {
    let into = receipt.into.display();
    let mut lines = match &receipt.written {
        Written::NothingNew(since) => {
            return vec![Line::plain(format!("nothing is new since {}: nothing was laid", since.display()))];
        }
        Written::ArchiveAlone => vec![Line::plain(format!("{into} lies there as it was laid"))],
        Written::Delivery { pictures, bytes, remarks } => {
            let head = Line::of(Style::Good, format!("{} laid", show::count(*pictures, "picture", "pictures")))
                .and(Style::Plain, format!(" in {into} ({})", show::bytes(*bytes)));
            [vec![head], of_remarks(remarks)].concat()
        }
    };
    lines.extend(receipt.archive.as_deref().map(archive));
    lines.push(Line::of(Style::Dim, format!("plateside verify {into} proves it after the transfer")));
    lines
}

fn archive(zip: &Path) -> Line {
    Line::plain(format!("as one archive: {}", zip.display()))
}

/// Explains why nothing was written.
pub fn refusal(refusal: &Refusal) -> Vec<Line> {
    match refusal {
        Refusal::Mistakes(problems) => brief_words::problems(problems),
        Refusal::NotReady(reasons) => not_ready("Nothing was laid", reasons),
        other => vec![Line::of(Style::Bad, words::error_with_causes(other))],
    }
}

/// Describes what would be sent.
pub fn summary(summary: &DeliverySummary) -> Vec<Line> {
    let pictures = show::count(summary.pictures, "picture goes", "pictures go");
    let prints = show::count(summary.prints, "print", "prints");
    let head = Line::of(Style::Good, pictures).and(Style::Plain, format!(" for {prints}"));
    [vec![head], of_remarks(&summary.remarks)].concat()
}

/// Explains why nothing can be sent, under a head such as "Nothing was laid".
pub fn not_ready(head: &str, reasons: &[String]) -> Vec<Line> {
    let count = show::count(reasons.len(), "reason", "reasons");
    let mut lines = vec![Line::of(Style::Bad, format!("{head}, for {count}:"))];
    lines.extend(reasons.iter().map(|reason| Line::plain(reason.as_str()).indented(2, 2)));
    lines
}

/// Lists differences from what was written.
pub fn differences(found: &Differences) -> Vec<Line> {
    let bad = |word: &str, rest: &str| Line::of(Style::Bad, format!("{word:9}")).and(Style::Plain, rest);
    let mut lines = Vec::new();
    for (word, names) in [("changed", &found.changed), ("missing", &found.missing), ("added", &found.added)] {
        lines.extend(names.iter().map(|name| bad(word, name)));
    }
    lines.extend(found.unread.iter().map(|(name, why)| bad("unread", &format!("{name}: {why}"))));
    lines.push(Line::plain(format!("{} as laid", show::count(found.sound, "file is", "files are"))));
    lines
}

fn of_remarks(remarks: &Remarks) -> Vec<Line> {
    let mut lines = Vec::new();
    if !remarks.withdrawn.is_empty() {
        let names: Vec<_> = remarks.withdrawn.iter().map(|name| words::visible(name)).collect();
        let count = show::count(names.len(), "picture", "pictures");
        lines.push(Line::of(Style::Warn, format!("{count} withdrawn, do not print: {}", names.join(", "))));
    }
    if !remarks.changed.is_empty() {
        let changed = remarks.changed.join(", ");
        lines.push(Line::plain(format!("changed since the earlier delivery, and on the note: {changed}")));
    }
    if remarks.warned > 0 {
        let words = show::count(remarks.warned, "row is with warnings", "rows are with warnings");
        lines.push(Line::of(Style::Warn, format!("{words}: the note says so")));
    }
    if remarks.accepted > 0 {
        let words = show::count(remarks.accepted, "finding stands", "findings stand");
        lines.push(Line::plain(format!("{words} accepted: the note says who and why")));
    }
    if remarks.untested > 0 {
        let words = show::count(remarks.untested, "print was", "prints were");
        lines.push(Line::of(
            Style::Warn,
            format!("{words} to be seen on a test print first, and nobody has of this export"),
        ));
    }
    if remarks.names_nobody {
        let words = "the note names nobody to ask: from = \"name, how to reach you\" in the brief puts you on it";
        lines.push(Line::of(Style::Dim, words.to_owned()));
    }
    if !remarks.extra.is_empty() {
        let extra: Vec<String> = remarks.extra.iter().map(PictureKey::to_string).collect();
        lines.push(Line::of(Style::Dim, format!("not sent, no print wants them: {}", extra.join(", "))));
    }
    lines
}
