//! Deliveries in words, for the prompt and the screen: what would be sent, what was written, why nothing was.

use std::path::Path;

use crate::decisions::KeepError;
use crate::decisions::sent::{SentDelivery, SentLog};
use crate::picture::PictureKey;
use crate::report::brief_words;
use crate::units::styled::{Line, Style};
use crate::units::{show, words};

use super::log::SentBefore;
use super::numbering::delivery_name;
use super::preview::DeliverySummary;
use super::receipt::{DeliveryNotices, Receipt, Refusal, Written};
use super::since::PictureCounts;
use super::verify::Differences;
use crate::report::days;

/// Describes what was written, with remarks.
pub fn receipt(receipt: &Receipt) -> Vec<Line> {
    let into = receipt.into.display();
    let mut lines = match &receipt.written {
        Written::NothingNew(since) => {
            return vec![Line::plain(format!("nothing is new since {since}: nothing was written"))];
        }
        Written::ArchiveAlone => vec![Line::plain(format!("{into} is already there, unchanged"))],
        Written::Delivery { pictures, bytes, notices: remarks } => {
            let head = Line::of(Style::Good, format!("{} written", show::count(*pictures, "picture", "pictures")))
                .and(Style::Plain, format!(" to {into} ({})", show::bytes(*bytes)));
            [vec![head], notice_lines(remarks)].concat()
        }
    };
    lines.extend(receipt.archive.as_deref().map(archive));
    lines.extend(receipt.unlogged.iter().flat_map(|why| unlogged_lines(why, &receipt.into)));
    lines.push(Line::of(Style::Dim, "after the transfer, check the copy: plateside verify FOLDER"));
    lines
}

/// Says why a delivery is not remembered, and what to do the next time.
fn unlogged_lines(why: &KeepError, into: &Path) -> [Line; 2] {
    let what = format!("the delivery is whole, but it is not remembered: {}", words::error_with_causes(why));
    let fix = format!("the next time, use --since {} instead of --since last", into.display());
    [Line::of(Style::Bad, what), Line::plain(fix).indented(2, 2)]
}

/// Says what was sent before, how what is chosen now compares with it, and what the choice means; `other` is how to
/// choose only what changed.
pub fn sent_before(before: &SentBefore, other: &str) -> Vec<Line> {
    let PictureCounts { unchanged, changed, new, withdrawn } = before.counts;
    let counts = [(unchanged, "unchanged"), (changed, "changed"), (new, "new"), (withdrawn, "withdrawn")];
    let counts = counts.into_iter().filter(|(count, _)| *count > 0).map(|(count, word)| format!("{count} {word}"));
    let counts: Vec<String> = counts.collect();
    let mut lines = vec![Line::plain(format!("sent {}: {}", delivery(&before.last), counts.join(", ")))];
    if before.sends_all && unchanged > 0 {
        let words = "unchanged pictures go again, and the note says that they are not ordered twice";
        lines.push(Line::of(Style::Dim, format!("{words}; {other} sends only what changed")));
    }
    lines
}

/// Names a delivery of the log: its day, to whom it went, and whether it was received.
fn delivery(sent: &SentDelivery) -> String {
    let to = sent.terms.printer.as_deref().map(|printer| format!(" to {}", words::visible(printer)));
    let received = sent.received.as_deref().map(|day| format!(", received {}", days::in_words(day)));
    format!("{}{}{}", delivery_name(sent), to.unwrap_or_default(), received.unwrap_or_default())
}

/// Lists the deliveries of an order, the latest last.
pub fn log(log: &SentLog) -> Vec<Line> {
    if log.deliveries.is_empty() {
        return vec![Line::plain("no delivery of this order is remembered")];
    }
    let of = |one: &SentDelivery| {
        let batch = one.batch.map(|batch| format!("batch {batch}, ")).unwrap_or_default();
        let way = one.terms.transfer.as_deref().map(|way| format!(", {}", words::visible(way))).unwrap_or_default();
        let pictures = show::count(one.pictures as usize, "picture", "pictures");
        let head = Line::of(Style::Strong, delivery(one)).and(Style::Plain, format!(": {batch}{pictures}{way}"));
        let gone = if Path::new(&one.folder).is_dir() { "" } else { "  (no longer there)" };
        [head, Line::of(Style::Dim, format!("{}{gone}", words::visible(&one.folder))).indented(2, 2)]
    };
    let mut lines: Vec<Line> = log.deliveries.iter().flat_map(|one| of(one)).collect();
    let held = show::count(log.held.len(), "picture", "pictures");
    lines.push(Line::plain(format!("the printer now has {held} of this order")));
    lines
}

/// Says that the printer confirmed a delivery.
pub fn received(sent: &SentDelivery) -> Vec<Line> {
    vec![Line::plain(format!("noted: sent {}", delivery(sent)))]
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

/// Describes what would be sent, or that the printer has it all.
pub fn summary(summary: &DeliverySummary) -> Vec<Line> {
    if !summary.is_news {
        let before = summary.before.as_ref().map(|before| sent_before(before, "the other choice"));
        let nothing = Line::plain("the printer has all of it: nothing would be written");
        return before.unwrap_or_default().into_iter().chain([nothing]).collect();
    }
    let pictures = show::count(summary.pictures, "picture goes", "pictures go");
    let prints = show::count(summary.prints, "print", "prints");
    let head = Line::of(Style::Good, pictures).and(Style::Plain, format!(" for {prints}"));
    let before = summary.before.as_ref().map(|before| sent_before(before, "the other choice")).unwrap_or_default();
    [vec![head], before, notice_lines(&summary.notices)].concat()
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

fn notice_lines(notices: &DeliveryNotices) -> Vec<Line> {
    let mut lines = Vec::new();
    if !notices.withdrawn.is_empty() {
        let names: Vec<_> = notices.withdrawn.iter().map(|name| words::visible(name)).collect();
        let count = show::count(names.len(), "picture", "pictures");
        lines.push(Line::of(Style::Warn, format!("{count} withdrawn, do not print: {}", names.join(", "))));
    }
    if !notices.withdrawn_prints.is_empty() {
        let prints = notices.withdrawn_prints.join(", ");
        lines.push(Line::of(Style::Warn, format!("withdrawn, do not print: {prints}")));
    }
    if !notices.changed.is_empty() {
        let changed = notices.changed.join(", ");
        lines.push(Line::plain(format!("changed since the earlier delivery, and on the note: {changed}")));
    }
    if notices.warned > 0 {
        let count = show::count(notices.warned, "print has warnings", "prints have warnings");
        let named = match notices.told {
            0 => ", which the note leaves out".to_owned(),
            some => format!("; the note names those of {}", show::count(some, "print", "prints")),
        };
        lines.push(Line::of(Style::Warn, format!("{count}{named}")));
    }
    if notices.accepted > 0 {
        let words = show::count(notices.accepted, "finding", "findings");
        let noted = "the note lists those that the printer needs to know about";
        lines.push(Line::plain(format!("{words} accepted; {noted}")));
    }
    if notices.untested > 0 {
        let words = show::count(notices.untested, "print needs", "prints need");
        lines.push(Line::of(
            Style::Warn,
            format!("{words} a test print, and no test print of this export has been looked at"),
        ));
    }
    if notices.seen_earlier > 0 {
        let words = show::count(notices.seen_earlier, "print goes", "prints go");
        let words = format!("{words} as a new export: the test print that you looked at was of an earlier one");
        lines.push(Line::of(Style::Warn, words));
    }
    if notices.names_nobody {
        let words = "the note gives no contact; add from = \"name, how to reach you\" to the brief";
        lines.push(Line::of(Style::Dim, words.to_owned()));
    }
    if !notices.extra.is_empty() {
        let extra: Vec<String> = notices.extra.iter().map(PictureKey::to_string).collect();
        let them = if extra.len() == 1 { "it" } else { "them" };
        lines.push(Line::of(Style::Dim, format!("not sent, because no print takes {them}: {}", extra.join(", "))));
    }
    lines
}
