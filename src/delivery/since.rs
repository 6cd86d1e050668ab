//! An earlier delivery of the same order, and the changes since: in files, names, and what is ordered of each.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::io;
use std::path::{Path, PathBuf};

use serde::Deserialize;

use crate::files;
use crate::units::words::{of_system, visible};

use super::contents::{EARLIER_RECORD, LARGEST_LIST_BYTES, RECORD};
use super::ordered::ordered;
use super::plan::{DeliveredPicture, DeliveryPlan};
use crate::report::Report;

/// The pictures that the printer already holds, by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EarlierDelivery(pub BTreeMap<String, EarlierPicture>);

/// A picture that the printer already holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EarlierPicture {
    /// SHA-256 of the file.
    pub sha256: String,
    /// The orders for this picture, one line per print; `None` if the record does not hold them.
    pub ordered: Option<Vec<String>>,
}

/// A picture's change since the earlier delivery.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PictureChange {
    /// Not delivered before.
    New,
    /// Another picture had this name; the other's checksum.
    Replaces(String),
    /// The same file had another name, which no picture has now; holds that name and the orders that no longer apply.
    Renamed(String, Vec<String>),
    /// The same file with a different order; holds the orders that no longer apply.
    Ordered(Vec<String>),
    /// The printer already holds it and its order is the same: it is not sent again.
    Unchanged,
}

/// The differences between a plan and an earlier delivery.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Comparison {
    changes: HashMap<String, PictureChange>,
    /// Names that the printer holds and that are no longer in the order.
    pub withdrawn: Vec<String>,
    /// What the printer holds of the part of the order that is not selected.
    pub left_out: BTreeMap<String, EarlierPicture>,
}

/// Why an earlier delivery cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum EarlierError {
    /// The system reported an error.
    #[error("{}: {}; name the folder of an earlier delivery", visible(&path.to_string_lossy()), of_system(error))]
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

#[derive(Deserialize)]
struct RecordIn {
    pictures: Vec<PictureIn>,
}

#[derive(Deserialize)]
struct PictureIn {
    name: String,
    sha256: String,
    ordered: Option<Vec<String>>,
    /// True if it went with this delivery, false if the printer has it from an earlier one.
    #[serde(default)]
    sent: bool,
}

/// Returns the names of the pictures that went with a delivery, from its record.
///
/// # Errors
/// The record is missing or is not a record.
pub fn sent(folder: &Path) -> Result<Vec<String>, EarlierError> {
    let all = record(folder)?.pictures.into_iter();
    Ok(all.filter(|one| one.sent).map(|one| one.name).collect())
}

/// Reads the record of an earlier delivery.
///
/// # Errors
/// The record is missing or is not a record.
pub fn read(folder: &Path) -> Result<EarlierDelivery, EarlierError> {
    let held = |one: PictureIn| (one.name, EarlierPicture { sha256: one.sha256, ordered: one.ordered });
    Ok(EarlierDelivery(record(folder)?.pictures.into_iter().map(held).collect()))
}

fn record(folder: &Path) -> Result<RecordIn, EarlierError> {
    let path = folder.join(RECORD);
    let text = match files::read_text(&path, LARGEST_LIST_BYTES) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound && folder.join(EARLIER_RECORD).exists() => {
            return Err(EarlierError::EarlierName { path: folder.join(EARLIER_RECORD) });
        }
        Err(error) if error.get_ref().is_some() => return Err(EarlierError::NoRecord { path, why: error.to_string() }),
        Err(error) => return Err(EarlierError::Io { path, error }),
    };
    serde_json::from_str(&text).map_err(|error| EarlierError::NoRecord { path, why: why_none(&error) })
}

/// Explains why, and where, a text is not a record.
fn why_none(error: &serde_json::Error) -> String {
    use serde_json::error::Category;
    let what = match error.classify() {
        Category::Eof => return "it ends too early".to_owned(),
        Category::Data => "a value is missing or of the wrong kind",
        Category::Syntax | Category::Io => "not valid JSON",
    };
    format!("{what} (line {}, column {})", error.line(), error.column())
}

impl EarlierDelivery {
    /// Compares a plan with this delivery.
    pub fn compared(&self, report: &Report, plan: &DeliveryPlan) -> Comparison {
        let names: BTreeSet<&str> = plan.sent.iter().map(|sent| sent.name.as_str()).collect();
        // A picture that is not selected may have another name by now, where the brief renames.
        let others: HashSet<&str> = plan.left_out.iter().flat_map(|one| [&*one.name, &*one.sha256]).collect();
        let of_others = |name: &str, held: &EarlierPicture| others.contains(name) || others.contains(&*held.sha256);
        let unmatched = self.0.iter().filter(|(name, _)| !names.contains(name.as_str()));
        let (left_out, gone): (Vec<_>, Vec<_>) = unmatched.partition(|(name, held)| of_others(name, held));
        let gone = gone.into_iter();
        let mut gone: BTreeMap<&str, &str> = gone.map(|(name, held)| (name.as_str(), held.sha256.as_str())).collect();
        let mut by_content: HashMap<&str, &str> = gone.iter().map(|(name, sha256)| (*sha256, *name)).collect();
        let prints = report.prints();
        let mut changes = HashMap::new();
        for sent in &plan.sent {
            let change = match self.0.get(&sent.name) {
                Some(held) => held.change(sent, &ordered(&report.rows, &prints, sent)),
                None => match by_content.remove(sent.sha256.as_str()) {
                    Some(old) => {
                        gone.remove(old);
                        let before =
                            self.0.get(old).and_then(|held| held.no_longer(&ordered(&report.rows, &prints, sent)));
                        PictureChange::Renamed(old.to_owned(), before.unwrap_or_default())
                    }
                    None => PictureChange::New,
                },
            };
            changes.insert(sent.name.clone(), change);
        }
        let left_out = left_out.into_iter().map(|(name, held)| (name.clone(), held.clone())).collect();
        Comparison { changes, withdrawn: gone.into_keys().map(str::to_owned).collect(), left_out }
    }
}

impl Comparison {
    /// True if the printer holds exactly this plan.
    pub fn is_the_same(&self) -> bool {
        self.withdrawn.is_empty()
            && self.left_out.is_empty()
            && self.changes.values().all(|change| *change == PictureChange::Unchanged)
    }
}

impl EarlierPicture {
    fn change(&self, sent: &DeliveredPicture, now: &[String]) -> PictureChange {
        if self.sha256 != sent.sha256 {
            return PictureChange::Replaces(self.sha256.clone());
        }
        self.no_longer(now).map_or(PictureChange::Unchanged, PictureChange::Ordered)
    }

    /// Returns orders that no longer apply, if the orders differ.
    fn no_longer(&self, now: &[String]) -> Option<Vec<String>> {
        let before = self.ordered.as_ref().filter(|before| *before != now)?;
        let now: HashSet<&String> = now.iter().collect();
        Some(before.iter().filter(|line| !now.contains(line)).cloned().collect())
    }
}

impl Comparison {
    /// Returns how a picture compares with the earlier delivery.
    pub fn change(&self, sent: &DeliveredPicture) -> PictureChange {
        self.changes.get(&sent.name).cloned().unwrap_or(PictureChange::New)
    }

    /// True if a picture must be sent: the printer does not hold it, or its order differs.
    pub fn goes(&self, sent: &DeliveredPicture) -> bool {
        self.change(sent) != PictureChange::Unchanged
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::picture::PictureKey;
    use crate::report::sample;
    use crate::units::growth::grows_less_than_square;

    fn sent(name: &str, sha256: &str) -> DeliveredPicture {
        let picture = PictureKey::from_text(name);
        DeliveredPicture {
            name: name.to_owned(),
            picture,
            path: PathBuf::from(name),
            sha256: sha256.to_owned(),
            rows: vec![0],
        }
    }

    #[test]
    fn only_a_record_is_read() {
        let room = tempfile::tempdir().unwrap();
        assert!(matches!(read(room.path()), Err(EarlierError::Io { .. })));
        let large = fs::File::create(room.path().join(RECORD)).unwrap();
        large.set_len(LARGEST_LIST_BYTES + 1).unwrap();
        assert!(
            matches!(read(room.path()), Err(EarlierError::NoRecord { why, .. }) if why.contains("is larger than 64 MB"))
        );
        for (text, said) in [
            ("{}", "a value is missing or of the wrong kind (line 1, column 2)"),
            ("{\"pictures\": [{\"name\": 3}]}", "a value is missing"),
            ("[1]", "a value is missing"),
            ("{\"pictures\":\n nothing}", "not valid JSON (line 2, column 3)"),
            ("{\"pictures\": [", "it ends too early"),
        ] {
            fs::write(room.path().join(RECORD), text).unwrap();
            let Err(EarlierError::NoRecord { why, .. }) = read(room.path()) else { panic!("{text} is no record") };
            assert!(why.starts_with(said) && !why.contains("RecordIn"), "{why}");
        }
    }

    #[test]
    fn new_changed_renamed_and_unchanged_pictures_are_distinguished() {
        let room = tempfile::tempdir().unwrap();
        // A record written before orders were part of it.
        let record = r#"{"pictures":[{"name":"a.jpg","sha256":"aa"},{"name":"b.jpg","sha256":"bb"},
            {"name":"c.jpg","sha256":"cc"},{"name":"d.jpg","sha256":"dd"}]}"#;
        fs::write(room.path().join(RECORD), record).unwrap();
        let plan = DeliveryPlan {
            sent: vec![sent("a.jpg", "aa"), sent("b.jpg", "b2"), sent("c-new.jpg", "cc"), sent("e.jpg", "ee")],
            left_out: Vec::new(),
            extra: Vec::new(),
        };
        let compared = read(room.path()).unwrap().compared(&sample::report(), &plan);
        let changes: Vec<PictureChange> = plan.sent.iter().map(|sent| compared.change(sent)).collect();
        let wanted = [
            PictureChange::Unchanged,
            PictureChange::Replaces("bb".to_owned()),
            PictureChange::Renamed("c.jpg".to_owned(), Vec::new()),
            PictureChange::New,
        ];
        assert_eq!((changes.as_slice(), compared.withdrawn.as_slice()), (&wanted[..], &["d.jpg".to_owned()][..]));
    }

    #[test]
    fn what_is_not_selected_is_not_withdrawn() {
        let held = |sha256: &str| EarlierPicture { sha256: sha256.to_owned(), ordered: None };
        let names = [("a.jpg", "aa"), ("b.jpg", "bb"), ("c-old.jpg", "cc"), ("d.jpg", "dd")];
        let earlier = EarlierDelivery(names.map(|(name, sha256)| (name.to_owned(), held(sha256))).into());
        let plan = DeliveryPlan {
            sent: vec![sent("a.jpg", "a2")],
            left_out: vec![sent("b.jpg", "b2"), sent("c.jpg", "cc")],
            extra: Vec::new(),
        };
        let compared = earlier.compared(&sample::report(), &plan);
        assert_eq!(compared.withdrawn, ["d.jpg"]);
        assert_eq!(compared.left_out.keys().collect::<Vec<_>>(), ["b.jpg", "c-old.jpg"]);
        assert!(!compared.is_the_same());
    }

    #[test]
    fn a_changed_order_of_the_same_file_names_the_earlier_one() {
        let (report, plan) = (
            sample::report(),
            DeliveryPlan { sent: vec![sent("a.jpg", "aa")], left_out: Vec::new(), extra: Vec::new() },
        );
        let earlier = |ordered: Vec<String>| {
            EarlierDelivery(
                [("a.jpg".to_owned(), EarlierPicture { sha256: "aa".to_owned(), ordered: Some(ordered) })].into(),
            )
        };
        let now = ordered(&report.rows, &report.prints(), &plan.sent[0]);
        assert_eq!(earlier(now.clone()).compared(&report, &plan).change(&plan.sent[0]), PictureChange::Unchanged);
        let old = vec!["wall, 8 x 10 in, 9 copies".to_owned()];
        let compared = earlier(old.clone()).compared(&report, &plan);
        assert_eq!(compared.change(&plan.sent[0]), PictureChange::Ordered(old));
        assert!(compared.goes(&plan.sent[0]));
        // One more print, and none removed.
        assert_eq!(
            earlier(Vec::new()).compared(&report, &plan).change(&plan.sent[0]),
            PictureChange::Ordered(Vec::new())
        );
    }

    #[test]
    fn what_is_no_longer_ordered_of_a_picture_costs_by_its_prints_and_not_by_their_square() {
        let lines = |count: usize| {
            let line = |of: &str, at: usize| format!("{of}, 8 x 10 in, {at} copies");
            let now: Vec<String> = (0..count).map(|at| line("wall", at)).collect();
            (
                EarlierPicture {
                    sha256: String::new(),
                    ordered: Some((0..count).map(|at| line("page", at)).collect()),
                },
                now,
            )
        };
        grows_less_than_square(500, lines, |(held, now): (EarlierPicture, Vec<String>)| {
            assert_eq!(held.no_longer(&now).unwrap().len(), now.len());
        });
    }
}
