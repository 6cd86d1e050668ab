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
            return vec![Line::plain(format!("nothing is new since {}: nothing was written", since.display()))];
        }
        Written::ArchiveAlone => vec![Line::plain(format!("{into} is already there, unchanged"))],
        Written::Delivery { pictures, bytes, remarks } => {
            let head = Line::of(Style::Good, format!("{} written", show::count(*pictures, "picture", "pictures")))
                .and(Style::Plain, format!(" to {into} ({})", show::bytes(*bytes)));
            [vec![head], of_remarks(remarks)].concat()
        }
    };
    lines.extend(receipt.archive.as_deref().map(archive));
    lines.push(Line::of(Style::Dim, "after the transfer, check the copy with plateside verify and its folder"));
    lines
}

fn archive(zip: &Path) -> Line {
    Line::plain(format!("as one archive: {}", zip.display()))
}

/// Explains why nothing was written.
pub fn refusal(refusal: &Refusal) -> Vec<Line> {
    match refusal {
        Refusal::Mistakes(problems) => brief_words::problems(problems),
        Refusal::NotReady(reasons) => not_ready("Nothing was written", reasons),
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

/// Explains why nothing can be sent, under a head such as "Nothing was written".
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
    lines.push(Line::plain(format!("{} as delivered", show::count(found.sound, "file is", "files are"))));
    lines
}

fn of_remarks(remarks: &Remarks) -> Vec<Line> {
    let mut lines = Vec::new();
    if !remarks.withdrawn.is_empty() {
        let names: Vec<_> = remarks.withdrawn.iter().map(|name| words::visible(name)).collect();
        let count = show::count(names.len(), "picture", "pictures");
        lines.push(Line::of(Style::Warn, format!("{count} withdrawn, do not print: {}", names.join(", "))));
    }
    if !remarks.withdrawn_prints.is_empty() {
        let prints = remarks.withdrawn_prints.join(", ");
        lines.push(Line::of(Style::Warn, format!("withdrawn, do not print: {prints}")));
    }
    if !remarks.changed.is_empty() {
        let changed = remarks.changed.join(", ");
        lines.push(Line::plain(format!("changed since the earlier delivery, and on the note: {changed}")));
    }
    if remarks.warned > 0 {
        lines.push(Line::of(Style::Warn, show::count(remarks.warned, "print has warnings", "prints have warnings")));
    }
    if remarks.accepted > 0 {
        let words = show::count(remarks.accepted, "finding", "findings");
        let noted = "the note lists those that the printer must know";
        lines.push(Line::plain(format!("{words} accepted; {noted}")));
    }
    if remarks.untested > 0 {
        let words = show::count(remarks.untested, "print needs", "prints need");
        lines.push(Line::of(
            Style::Warn,
            format!("{words} a test print, and no test print of this export has been looked at"),
        ));
    }
    if remarks.names_nobody {
        let words = "the note gives no contact; add from = \"name, how to reach you\" to the brief";
        lines.push(Line::of(Style::Dim, words.to_owned()));
    }
    if !remarks.extra.is_empty() {
        let extra: Vec<String> = remarks.extra.iter().map(PictureKey::to_string).collect();
        let them = if extra.len() == 1 { "it" } else { "them" };
        lines.push(Line::of(Style::Dim, format!("not sent, because no print takes {them}: {}", extra.join(", "))));
    }
    lines
}
