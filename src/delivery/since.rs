//! An earlier delivery of the same order, and the changes since: in files, names, and what is ordered of each.

use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::io;
use std::path::{Path, PathBuf};

use crate::brief::PrintId;
use crate::files;
use crate::units::words::{of_system, visible};

use super::contents::{EARLIER_RECORD, MAX_LIST_BYTES, RECORD};
use super::held_pictures::HeldPictures;
use super::left_out::LeftOutPart;
use super::order_change::{OrderChange, PrintChange};
use super::ordered::orders_of;
use super::plan::{DeliveryPlan, PlannedPicture};
use super::record::{Record, RecordedPicture};
use super::repeated::RepeatedOrders;
use super::terms::{self, ChangedTerm};
use crate::decisions::sent::OrderTerms;
use crate::decisions::sent::OrderedPrint;
use crate::reading::check_report::CheckReport;

/// What the printer already holds of an order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PrinterHoldings {
    /// The pictures, by name.
    pub pictures: BTreeMap<String, RecordedPicture>,
    /// The order's terms; `None` if the record does not hold them.
    pub terms: Option<OrderTerms>,
    /// When it was made, as RFC 3339.
    pub made: String,
    /// Its number among the deliveries of its day; 0 where nobody recorded it.
    pub number: u32,
    /// What it repeated of deliveries before it; `None` if nothing.
    pub(super) repeats: Option<RepeatedOrders>,
}

/// A picture's change since the earlier delivery.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum PictureChange {
    /// Not delivered before.
    #[default]
    New,
    /// Another file had its place.
    Replaces {
        /// The other's checksum.
        sha256: String,
        /// The other's name, if it is another.
        name: Option<String>,
    },
    /// The same file had another name, which no picture has now; holds that name.
    Renamed(String),
    /// The same file with a different order.
    Ordered,
    /// The printer already holds it and its order is the same: it is not sent again.
    Unchanged,
}

/// The differences between a plan and an earlier delivery.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Comparison {
    changes: HashMap<String, PictureComparison>,
    /// Names that the printer holds and that are no longer in the order.
    pub withdrawn: Vec<String>,
    /// What the printer holds of the part of the order that this delivery leaves out.
    pub left_out: Vec<RecordedPicture>,
    /// Names that the printer holds and that the order no longer has: withdrawn, or another name now.
    pub given_up: Vec<String>,
    /// The order's terms that differ.
    pub terms: Vec<ChangedTerm>,
}

/// How many pictures of a plan the printer holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PictureCounts {
    /// Held, with the same order.
    pub unchanged: usize,
    /// Another file, name or order.
    pub changed: usize,
    /// Not held.
    pub new: usize,
    /// Held, and no longer in the order.
    pub withdrawn: usize,
}

/// A picture against the earlier delivery.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct PictureComparison {
    change: PictureChange,
    /// What has become of its prints.
    prints: Vec<PrintChange>,
    /// Names of prints that were ordered of it and still are.
    kept: Vec<String>,
    /// Orders that stay as they are, since this delivery leaves their prints out.
    unchanged: Vec<OrderedPrint>,
    /// The copies that were ordered before of each of its orders, by the order's words; new ones are not in it.
    copies_before: BTreeMap<String, Option<u32>>,
    /// Its orders that were there before and differ in copies, caption or name at most, likewise.
    repeated: BTreeMap<String, Vec<Option<u32>>>,
}

/// What a picture without earlier orders has.
static NONE_BEFORE: BTreeMap<String, Option<u32>> = BTreeMap::new();

/// Why an earlier delivery cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum EarlierError {
    /// The folder is not there, or holds no record.
    #[error("{}: there is no delivery in it; name the folder of an earlier delivery, or write last",
        visible(&.0.to_string_lossy()))]
    NoDelivery(PathBuf),
    /// The system reported an error.
    #[error("{}: {}; name the folder of an earlier delivery, or write last", visible(&path.to_string_lossy()),
        of_system(error))]
    Io {
        /// The file.
        path: PathBuf,
        /// The system's error.
        error: io::Error,
    },
    /// The record has the name that earlier versions gave it.
    #[error("{}: is now called {RECORD}; rename it", visible(&path.to_string_lossy()))]
    EarlierName {
        /// The file.
        path: PathBuf,
    },
    /// The file is not a record.
    #[error("{}: is not the record of a delivery: {why}", visible(&path.to_string_lossy()))]
    NoRecord {
        /// The file.
        path: PathBuf,
        /// The fault in the record.
        why: String,
    },
}

/// Returns the pictures that went with a delivery, from its record.
///
/// # Errors
/// The record is missing or is not a record.
pub fn sent_pictures(folder: &Path) -> Result<Vec<RecordedPicture>, EarlierError> {
    Ok(read_record(folder)?.pictures.into_iter().filter(|one| one.sent).collect())
}

/// Reads the record of an earlier delivery.
///
/// # Errors
/// The record is missing or is not a record.
pub fn read(folder: &Path) -> Result<PrinterHoldings, EarlierError> {
    let Record { pictures, terms, made, number, repeats, .. } = read_record(folder)?;
    let pictures = pictures.into_iter().map(|one| (one.name.clone(), one)).collect();
    Ok(PrinterHoldings { pictures, terms, made, number, repeats })
}

fn read_record(folder: &Path) -> Result<Record, EarlierError> {
    let path = folder.join(RECORD);
    let text = match files::read_text(&path, MAX_LIST_BYTES) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound && folder.join(EARLIER_RECORD).exists() => {
            return Err(EarlierError::EarlierName { path: folder.join(EARLIER_RECORD) });
        }
        Err(error) if error.get_ref().is_some() => return Err(EarlierError::NoRecord { path, why: error.to_string() }),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            return Err(EarlierError::NoDelivery(folder.to_owned()));
        }
        Err(error) => return Err(EarlierError::Io { path, error }),
    };
    serde_json::from_str(&text).map_err(|error| EarlierError::NoRecord { path, why: parse_error_words(&error) })
}

/// Explains why, and where, a text is not a record.
fn parse_error_words(error: &serde_json::Error) -> String {
    use serde_json::error::Category;
    let what = match error.classify() {
        Category::Eof => return "it ends too early".to_owned(),
        Category::Data => "a value is missing or of the wrong kind",
        Category::Syntax | Category::Io => "not valid JSON",
    };
    format!("{what} (line {}, column {})", error.line(), error.column())
}

impl PrinterHoldings {
    /// Compares a plan with this delivery. What the plan leaves out of the order is neither changed nor withdrawn.
    pub fn compare(&self, report: &CheckReport, plan: &DeliveryPlan) -> Comparison {
        let prints = report.prints();
        let left_out_part = LeftOutPart::of(report, &prints, plan);
        let names: HashSet<&str> = plan.pictures.iter().map(|sent| sent.name.as_str()).collect();
        let mut others = HeldPictures::of(self.pictures.values().filter(|held| !names.contains(held.name.as_str())));
        let names_of_prints: HashMap<&PrintId, Cow<str>> =
            report.brief.prints.iter().map(|print| (&print.id, print.name_with_version())).collect();
        let prints_of = |sent: &PlannedPicture| {
            let rows = sent.rows.iter().filter_map(|at| prints.get(report.rows.get(*at)?.key.print.as_ref()));
            rows.filter_map(|print| names_of_prints.get(&print.id).map(|name| &**name)).collect()
        };
        let under_other_names = plan.pictures.iter().filter(|sent| !self.pictures.contains_key(&sent.name));
        let under_other_names = under_other_names.map(|sent| (sent, prints_of(sent))).collect();
        let replaced = others.take_replaced(under_other_names, &left_out_part);
        let (left_out, gone): (Vec<_>, Vec<_>) = others.into_rest().partition(|held| left_out_part.has(held));
        let withdrawn: Vec<String> = gone.into_iter().map(|held| held.name.clone()).collect();
        let given_up = replaced.values().map(|held| held.name.clone()).chain(withdrawn.iter().cloned()).collect();
        let by_content: HashMap<&str, &RecordedPicture> =
            self.pictures.values().map(|held| (held.sha256.as_str(), held)).collect();
        let compared = |sent: &PlannedPicture| {
            let held = self.pictures.get(&sent.name).or_else(|| replaced.get(sent.name.as_str()).copied());
            let now = orders_of(report, &prints, &sent.rows);
            // Where names were exchanged, its orders are found with the content.
            let is_for = |held: &RecordedPicture| now.iter().any(|one| held.prints.contains(&one.print));
            let of_content = by_content.get(sent.sha256.as_str()).copied().filter(|one| is_for(one));
            let ordered = of_content.filter(|_| !held.is_some_and(is_for)).or(held);
            let order = ordered.map(|held| match held.orders() {
                Some(before) => OrderChange::of(before, &now, left_out_part.orders(sent)),
                None => OrderChange::unknown(&now),
            });
            let OrderChange { changes: prints, kept, unchanged, copies_before, repeated } = order.unwrap_or_default();
            let Some(held) = held else {
                return PictureComparison { copies_before, repeated, ..PictureComparison::default() };
            };
            let other_name = (held.name != sent.name).then(|| held.name.clone());
            let change = match held {
                _ if held.sha256 != sent.sha256 => {
                    PictureChange::Replaces { sha256: held.sha256.clone(), name: other_name }
                }
                _ if held.name != sent.name => PictureChange::Renamed(held.name.clone()),
                _ if !prints.is_empty() => PictureChange::Ordered,
                _ => PictureChange::Unchanged,
            };
            PictureComparison { change, prints, kept, unchanged, copies_before, repeated }
        };
        let changes = plan.pictures.iter().map(|sent| (sent.name.clone(), compared(sent))).collect();
        let changed_since = |before| terms::compare_terms(terms::terms(&report.brief), before);
        Comparison {
            changes,
            withdrawn,
            left_out: left_out.into_iter().map(RecordedPicture::carried_along).collect(),
            given_up,
            terms: self.terms.clone().map(changed_since).unwrap_or_default(),
        }
    }
}

/// Returns the pictures of a plan that are sent: all, or those in which the printer's holdings differ from it.
pub(super) fn pictures_to_send<'a>(plan: &'a DeliveryPlan, comparison: Option<&Comparison>) -> Vec<&'a PlannedPicture> {
    let must_be_sent = |one: &&PlannedPicture| comparison.is_none_or(|comparison| comparison.must_be_sent(one));
    plan.pictures.iter().filter(must_be_sent).collect()
}

impl Comparison {
    /// True if the printer has to be told of something.
    pub fn is_news(&self) -> bool {
        let is_unchanged = |one: &PictureComparison| one.change == PictureChange::Unchanged;
        !self.withdrawn.is_empty() || !self.terms.is_empty() || !self.changes.values().all(is_unchanged)
    }

    /// Counts the pictures by what has become of them.
    pub fn counts(&self) -> PictureCounts {
        let mut counts = PictureCounts { withdrawn: self.withdrawn.len(), ..PictureCounts::default() };
        for one in self.changes.values() {
            match one.change {
                PictureChange::Unchanged => counts.unchanged += 1,
                PictureChange::New => counts.new += 1,
                PictureChange::Replaces { .. } | PictureChange::Renamed(_) | PictureChange::Ordered => {
                    counts.changed += 1
                }
            }
        }
        counts
    }

    /// Returns the copies that were ordered before of each of a picture's orders, by the order's words; orders that are
    /// new are not in it.
    pub(super) fn ordered_before(&self, sent: &PlannedPicture) -> &BTreeMap<String, Option<u32>> {
        self.changes.get(&sent.name).map_or(&NONE_BEFORE, |one| &one.copies_before)
    }

    /// Returns what a delivery of all these pictures repeats of earlier ones; `None` if the printer has nothing of it.
    pub(super) fn repeated(&self, sent: &[PlannedPicture]) -> Option<RepeatedOrders> {
        let mut repeated = RepeatedOrders::default();
        let mut is_known = false;
        for one in sent {
            is_known |= self.change(one) != PictureChange::New;
            let orders = self.changes.get(&one.name).map(|one| &one.repeated).filter(|orders| !orders.is_empty());
            let count: usize = orders.map_or(0, |orders| orders.values().map(Vec::len).sum());
            repeated.has_others |= count < one.rows.len();
            repeated.copies.extend(orders.map(|orders| (one.name.clone(), orders.clone())));
            let words = self.change_words(one);
            repeated.changes.extend((!words.is_empty()).then(|| (one.name.clone(), words)));
        }
        let files = self.withdrawn.iter().map(|name| visible(name).into_owned());
        let all: Vec<&PlannedPicture> = sent.iter().collect();
        repeated.withdrawn = files.chain(self.withdrawn_prints(&all)).collect();
        (is_known || !repeated.copies.is_empty() || !repeated.withdrawn.is_empty()).then_some(repeated)
    }

    /// Describes a picture's change since the earlier delivery.
    pub(super) fn change_words(&self, sent: &PlannedPicture) -> String {
        let prints = self.prints(sent);
        let file = match self.change(sent) {
            PictureChange::New => "new".to_owned(),
            PictureChange::Replaces { name: None, .. } => "replaces the file that you have under this name".to_owned(),
            PictureChange::Replaces { name: Some(old), .. } => {
                format!("replaces the file that you have as {}", visible(&old))
            }
            PictureChange::Renamed(old) => format!("the same file as {}, which this name replaces", visible(&old)),
            PictureChange::Ordered if prints.iter().all(PrintChange::is_added) => {
                return "the same file as before, for more prints".to_owned();
            }
            PictureChange::Ordered => "the same file as before".to_owned(),
            PictureChange::Unchanged => return String::new(),
        };
        let words = prints.iter().map(|one| one.words(sent.rows.len() > 1));
        [file].into_iter().chain(words).collect::<Vec<String>>().join("; ")
    }

    /// Returns the order's terms that have changed, each in words, without control characters.
    pub fn changed_terms(&self) -> Vec<String> {
        self.terms.iter().map(ChangedTerm::words).collect()
    }

    /// Returns how a picture compares with the earlier delivery.
    pub fn change(&self, sent: &PlannedPicture) -> PictureChange {
        self.changes.get(&sent.name).map_or(PictureChange::New, |one| one.change.clone())
    }

    /// Returns what has become of a picture's prints since the earlier delivery.
    pub(super) fn prints(&self, sent: &PlannedPicture) -> &[PrintChange] {
        self.changes.get(&sent.name).map(|one| one.prints.as_slice()).unwrap_or_default()
    }

    /// Names the prints that are no longer ordered of pictures that are still in the order, one line a picture, with
    /// what is still to be printed of it; without control characters.
    pub(super) fn withdrawn_prints(&self, sent: &[&PlannedPicture]) -> Vec<String> {
        let line = |sent: &&PlannedPicture| {
            let withdrawn = |change: &PrintChange| change.withdrawn().map(|print| visible(print).into_owned());
            let gone: Vec<String> = self.prints(sent).iter().filter_map(withdrawn).collect();
            let kept = self.changes.get(&sent.name).map(|one| one.kept.as_slice()).unwrap_or_default();
            let stay = match kept {
                [] => String::new(),
                [one] => format!(" ({} stays)", visible(one)),
                several => format!(" ({} stay)", visible(&several.join("; "))),
            };
            (!gone.is_empty()).then(|| format!("{} as {}{stay}", visible(&sent.name), gone.join("; ")))
        };
        sent.iter().filter_map(line).collect()
    }

    /// Returns the earlier orders for a picture that stay as they are, since this delivery leaves their prints out.
    pub(super) fn unchanged_orders(&self, sent: &PlannedPicture) -> &[OrderedPrint] {
        self.changes.get(&sent.name).map(|one| one.unchanged.as_slice()).unwrap_or_default()
    }

    /// True if a picture must be sent: the printer does not hold it, or its order differs.
    pub fn must_be_sent(&self, sent: &PlannedPicture) -> bool {
        self.change(sent) != PictureChange::Unchanged
    }
}

#[cfg(test)]
mod tests;
