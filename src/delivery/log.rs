//! The log of an order's deliveries: what the printer holds by all of them, what one more adds, and the printer's word
//! that one arrived.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::decisions::sent::{OrderedPrint, SentDelivery, SentLog, SentPicture};
use crate::decisions::{self, DecisionChange, KeepError, SentChange, problem_words};
use crate::files;
use crate::units::words::visible;

use super::contents::SUMS;
use super::record::RecordedPicture;
use super::since::{Comparison, PictureCounts, PrinterHoldings};
use crate::report::days;

/// What was sent of an order before a delivery.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SentBefore {
    /// The latest delivery.
    pub last: Arc<SentDelivery>,
    /// How what is chosen of the order compares with all that the printer holds.
    pub counts: PictureCounts,
    /// True if everything that is chosen goes again, whether the printer has it or not.
    pub sends_all: bool,
}

impl SentBefore {
    /// Returns what was sent before, from the log and the comparison with it; `None` if nothing was.
    pub(super) fn of(log: &SentLog, log_comparison: Option<&Comparison>, sends_all: bool) -> Option<SentBefore> {
        let (last, comparison) = log.deliveries.last().zip(log_comparison)?;
        Some(SentBefore { last: Arc::clone(last), counts: comparison.counts(), sends_all })
    }
}

/// Why what the printer said cannot be noted.
#[derive(Debug, thiserror::Error)]
pub enum ReceivedError {
    /// The decisions cannot be read.
    #[error("{}", problem_words(.0))]
    Mistakes(Vec<crate::brief::Problem>),
    /// Nothing was sent.
    #[error("no delivery of this order is remembered")]
    NothingSent,
    /// The log has no delivery of this folder.
    #[error("{}: is not remembered as a delivery of this order; plateside deliver BRIEF --list lists them",
        visible(&.0.to_string_lossy()))]
    NotSent(PathBuf),
    /// The day is before the one on which it was sent; both in words.
    #[error("{0} is before the delivery was sent, {1}; write the day on which the printer confirmed it")]
    BeforeSent(String, String),
    /// It cannot be written.
    #[error(transparent)]
    Keep(#[from] KeepError),
}

/// Returns what the printer holds by all deliveries; `None` if there was none.
pub(super) fn held_by_printer(log: &SentLog) -> Option<PrinterHoldings> {
    let last = log.deliveries.last()?;
    let pictures = log.held.values().map(|one| (one.name.clone(), RecordedPicture::of_log(one))).collect();
    let (terms, made) = (Some(last.terms.clone()), last.when.clone());
    Some(PrinterHoldings { pictures, terms, made, number: last.number, repeats: None })
}

/// What a delivery changes in what the printer holds.
pub(super) struct LogUpdate<'a> {
    pub(super) log: &'a SentLog,
    /// The delivery.
    pub(super) delivery: SentDelivery,
    /// Every picture of the plan and of what it leaves out, as its record holds them.
    pub(super) recorded: Vec<RecordedPicture>,
    /// The names of those that go with it.
    pub(super) sent_names: HashSet<&'a str>,
    /// What it says to the printer of an earlier delivery.
    pub(super) comparison: Option<&'a Comparison>,
}

impl LogUpdate<'_> {
    /// Returns the changes to keep. A name is only given up once the printer was told so: what a delivery does not
    /// mention, the printer still holds.
    pub(super) fn changes(self) -> Vec<DecisionChange> {
        let told = self.comparison.map(|comparison| comparison.given_up.as_slice()).unwrap_or_default();
        let gone = told.iter().filter(|name| self.log.held.contains_key(name.as_str()));
        let mut changes: Vec<DecisionChange> = gone.map(|name| sent_change(name, None)).collect();
        for one in &self.recorded {
            let held = self.log.held.get(&one.name);
            if !self.sent_names.contains(one.name.as_str()) && held.is_some() {
                continue;
            }
            let mut now = one.to_log();
            if self.comparison.is_none() {
                now.orders = with_unmentioned(now.orders, held);
            }
            changes.push(sent_change(&one.name, Some(now)));
        }
        changes.push(DecisionChange::Delivery(Box::new(self.delivery)));
        changes
    }
}

/// Adds earlier orders for prints that a delivery says nothing of.
fn with_unmentioned(now: Option<Vec<OrderedPrint>>, held: Option<&Arc<SentPicture>>) -> Option<Vec<OrderedPrint>> {
    let before = held.and_then(|held| held.orders.as_deref()).unwrap_or_default();
    now.map(|mut now| {
        let prints: HashSet<String> = now.iter().map(|one| one.print.clone()).collect();
        now.extend(before.iter().filter(|one| !prints.contains(&one.print)).cloned());
        now
    })
}

fn sent_change(name: &str, picture: Option<SentPicture>) -> DecisionChange {
    DecisionChange::Sent(SentChange { name: name.to_owned(), picture: picture.map(Box::new) })
}

/// Returns a folder's path as the log keeps it.
pub(super) fn folder_text(folder: &Path) -> String {
    std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned()).to_string_lossy().into_owned()
}

/// Finds a delivery in the log by its folder, also where that was moved: then by its list of checksums.
pub(super) fn find<'a>(log: &'a SentLog, folder: &Path) -> Option<&'a Arc<SentDelivery>> {
    let sums = files::sha256(&folder.join(SUMS)).ok();
    let is_same = |one: &&Arc<SentDelivery>| sums.as_ref().is_some_and(|sums| *sums == one.sums);
    let path = folder_text(folder);
    let of_path = || log.deliveries.iter().rev().find(|one| sums.is_none() && one.folder == path);
    log.deliveries.iter().rev().find(is_same).or_else(of_path)
}

/// Notes the day on which the printer confirmed that a delivery arrived whole: the one in this folder, otherwise the
/// latest. Returns the delivery.
///
/// # Errors
/// There is no such delivery, or the note cannot be kept.
pub fn note_received(brief: &Path, folder: Option<&Path>, day: &str) -> Result<SentDelivery, ReceivedError> {
    let log = decisions::read(brief).map_err(ReceivedError::Mistakes)?.sent;
    let last = log.deliveries.last().ok_or(ReceivedError::NothingSent)?;
    let delivery = match folder {
        None => last,
        Some(folder) => find(&log, folder).ok_or_else(|| ReceivedError::NotSent(folder.to_owned()))?,
    };
    if days::is_before(day, &delivery.when) {
        return Err(ReceivedError::BeforeSent(days::in_words(day), days::in_words(&delivery.when)));
    }
    let delivery = SentDelivery { received: Some(day.to_owned()), ..delivery.as_ref().clone() };
    decisions::keep(brief, &[DecisionChange::Delivery(Box::new(delivery.clone()))])?;
    Ok(delivery)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn order(print: &str) -> OrderedPrint {
        OrderedPrint { words: format!("{print}, 1 copy"), print: print.to_owned(), parts: None }
    }

    fn picture(name: &str, sha256: &str, prints: &[&str]) -> SentPicture {
        let orders = Some(prints.iter().map(|print| order(print)).collect());
        SentPicture { name: name.to_owned(), picture: name.to_owned(), sha256: sha256.to_owned(), orders }
    }

    fn log(pictures: &[SentPicture]) -> SentLog {
        let held = pictures.iter().map(|one| (one.name.clone(), Arc::new(one.clone()))).collect();
        SentLog { held, deliveries: vec![Arc::default()] }
    }

    /// What the printer holds after a delivery of these pictures, by name.
    fn after(
        log: &SentLog,
        recorded: &[SentPicture],
        sent_names: &[&str],
        comparison: Option<&Comparison>,
    ) -> Vec<(String, Option<SentPicture>)> {
        let update = LogUpdate {
            log,
            delivery: SentDelivery::default(),
            recorded: recorded.iter().map(RecordedPicture::of_log).collect(),
            sent_names: sent_names.iter().copied().collect(),
            comparison,
        };
        let sent = |change| if let DecisionChange::Sent(one) = change { Some((one.name, one.picture)) } else { None };
        let sent = update.changes().into_iter().filter_map(sent);
        sent.map(|(name, picture)| (name, picture.map(|picture| *picture))).collect()
    }

    #[test]
    fn the_log_is_what_the_printer_holds_and_reads_like_a_record() {
        assert_eq!(held_by_printer(&SentLog::default()), None);
        let one = picture("a.jpg", "aa", &["wall", "page"]);
        let earlier = held_by_printer(&log(std::slice::from_ref(&one))).unwrap();
        assert_eq!(earlier.pictures["a.jpg"].to_log(), one);
    }

    #[test]
    fn what_a_delivery_does_not_mention_the_printer_still_holds() {
        let log = log(&[picture("a.jpg", "aa", &["wall", "page"]), picture("old.jpg", "oo", &["wall"])]);
        let now = picture("a.jpg", "a2", &["wall"]);
        // Everything once more, and not a word of earlier deliveries.
        let both = picture("a.jpg", "a2", &["wall", "page"]);
        assert_eq!(after(&log, std::slice::from_ref(&now), &["a.jpg"], None), [("a.jpg".to_owned(), Some(both))]);
        let mut told = Comparison::default();
        told.given_up = vec!["old.jpg".to_owned(), "never.jpg".to_owned()];
        let expected = [("old.jpg".to_owned(), None), ("a.jpg".to_owned(), Some(now.clone()))];
        assert_eq!(after(&log, std::slice::from_ref(&now), &["a.jpg"], Some(&told)), expected);
        // Compared with an older folder it did not go: the printer holds what went later.
        assert_eq!(after(&log, std::slice::from_ref(&now), &[], Some(&Comparison::default())), []);
        // Of a delivery before the log, the printer holds it all the same.
        let unknown = SentLog::default();
        let first = after(&unknown, std::slice::from_ref(&now), &[], Some(&Comparison::default()));
        assert_eq!(first, [("a.jpg".to_owned(), Some(now))]);
    }
}
