//! The record of a delivery, `delivery.json`: everything that the printer then holds of the order, for programs and for
//! the next delivery.

use serde::{Deserialize, Serialize};

use crate::decisions::sent::{OrderParts, OrderTerms, OrderedPrint, SentPicture};

use super::repeated::RepeatedOrders;

/// A record. Only what a later delivery cannot do without must be in one that is read.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Record {
    /// Version of the format.
    #[serde(default)]
    pub(super) plateside: u32,
    /// Version of the program.
    #[serde(default)]
    pub(super) version: String,
    /// Time of the check, as RFC 3339.
    #[serde(default)]
    pub(super) made: String,
    /// Its number among the deliveries of its day, from 1; 0 in a record that was written before it was part of it.
    #[serde(default)]
    pub(super) number: u32,
    /// `None` in a record that was written before terms were part of it.
    pub(super) terms: Option<OrderTerms>,
    #[serde(default)]
    pub(super) brief_sha256: String,
    /// What it repeats of earlier deliveries; `None` if nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) repeats: Option<RepeatedOrders>,
    pub(super) pictures: Vec<RecordedPicture>,
    /// Names that the printer must not print any more.
    #[serde(default)]
    pub(super) withdrawn: Vec<String>,
    /// Pictures of the folder that belong to no print.
    #[serde(default)]
    pub(super) not_sent: Vec<String>,
}

/// A picture that the printer holds.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RecordedPicture {
    /// The file's name in the delivery, behind the folder of its version if it has one.
    pub name: String,
    /// The picture's name in the folder of exports.
    #[serde(default)]
    pub picture: String,
    /// The version of the order that it belongs to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub order_version: Option<String>,
    /// SHA-256 of the file.
    pub sha256: String,
    /// True if it went with this delivery, false if the printer has it from an earlier one.
    #[serde(default)]
    pub sent: bool,
    /// SHA-256 of the file that had its name before.
    pub replaces: Option<String>,
    /// The name that the same file had before.
    pub renamed: Option<String>,
    /// The orders for it, one line per print; `None` in a record that was written before orders were part of it.
    pub ordered: Option<Vec<String>>,
    /// The names of its prints, in the order of `ordered`.
    #[serde(default)]
    pub prints: Vec<String>,
    /// The parts of the orders, in the order of `ordered`.
    #[serde(default)]
    pub(super) parts: Vec<Option<OrderParts>>,
    /// The state of the worst of its rows.
    #[serde(default)]
    pub state: String,
    /// The number of accepted findings.
    #[serde(default)]
    pub accepted: usize,
}

impl RecordedPicture {
    /// Returns the picture as a later delivery records it that leaves it out.
    pub(super) fn carried_along(&self) -> RecordedPicture {
        RecordedPicture { sent: false, replaces: None, renamed: None, ..self.clone() }
    }

    /// Returns the picture as the log of deliveries keeps it.
    pub(super) fn to_log(&self) -> SentPicture {
        let orders = self.orders();
        SentPicture { name: self.name.clone(), picture: self.picture.clone(), sha256: self.sha256.clone(), orders }
    }

    /// Returns a picture of the log as a record holds it.
    pub(super) fn of_log(held: &SentPicture) -> RecordedPicture {
        let orders = held.orders.as_deref().unwrap_or_default();
        RecordedPicture {
            name: held.name.clone(),
            picture: held.picture.clone(),
            sha256: held.sha256.clone(),
            ordered: held.orders.as_ref().map(|orders| orders.iter().map(|one| one.words.clone()).collect()),
            prints: orders.iter().map(|one| one.print.clone()).collect(),
            parts: orders.iter().map(|one| one.parts.clone()).collect(),
            ..RecordedPicture::default()
        }
    }

    /// Returns the orders with the prints that they are for.
    pub(super) fn orders(&self) -> Option<Vec<OrderedPrint>> {
        let lines = self.ordered.as_ref()?;
        let print = |at: usize| self.prints.get(at).filter(|_| self.prints.len() == lines.len()).cloned();
        let parts = |at: usize| self.parts.get(at).filter(|_| self.parts.len() == lines.len()).cloned().flatten();
        let order = |(at, words): (usize, &String)| OrderedPrint {
            words: words.clone(),
            print: print(at).unwrap_or_default(),
            parts: parts(at),
        };
        Some(lines.iter().enumerate().map(order).collect())
    }
}
