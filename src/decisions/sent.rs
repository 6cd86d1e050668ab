//! What was sent to the printer: every delivery of an order, and what the printer holds by now.
//!
//! What the printer holds is kept picture by picture, so that a delivery can be compared with it after the folders of
//! the earlier ones are gone. Its size follows from the order, not from the number of deliveries.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

/// The deliveries of an order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SentLog {
    /// Every delivery, the earliest first.
    pub deliveries: Vec<Arc<SentDelivery>>,
    /// The pictures that the printer holds, by their names there.
    pub held: BTreeMap<String, Arc<SentPicture>>,
}

/// A delivery that was written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SentDelivery {
    /// When it was made, as RFC 3339: the time in its record.
    pub when: String,
    /// Its folder, as an absolute path; it may be gone.
    pub folder: String,
    /// Its number among the deliveries of its day, from 1.
    pub number: u32,
    /// The batch that it was, if it was one.
    pub batch: Option<u32>,
    /// The number of pictures that went with it.
    pub pictures: u32,
    /// SHA-256 of its list of checksums.
    pub sums: String,
    /// The day on which the printer confirmed that it arrived whole, year-month-day.
    pub received: Option<String>,
    /// The order's terms, among them to whom it went and by which way.
    pub terms: OrderTerms,
}

/// A picture that the printer holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SentPicture {
    /// The file's name in the delivery.
    pub name: String,
    /// The picture's name in the folder of exports.
    pub picture: String,
    /// SHA-256 of the file.
    pub sha256: String,
    /// What is ordered of it; `None` if it was sent before orders were recorded.
    pub orders: Option<Vec<OrderedPrint>>,
}

/// The terms of an order, as the brief words them; foreign text.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct OrderTerms {
    /// The name of the job.
    pub title: Option<String>,
    /// Who prints.
    pub printer: Option<String>,
    /// Who sends the pictures.
    pub from: Option<String>,
    /// The day on which the files are due.
    pub due: Option<String>,
    /// What was agreed about colour correction.
    pub colour_correction: Option<String>,
    /// How the files reach the printer.
    pub transfer: Option<String>,
    /// The order's safe margin, in words.
    pub safe_margin: Option<String>,
}

/// The order for one print of a picture. Foreign text.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct OrderedPrint {
    /// The order in words.
    pub words: String,
    /// The print's name.
    pub print: String,
    /// `None` in a record that was written before parts were kept.
    pub parts: Option<OrderParts>,
}

/// The parts of an order whose change is said in words of its own. Foreign text.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct OrderParts {
    /// The number of copies; `None` where nobody ordered one.
    #[serde(default)]
    pub copies: Option<u32>,
    /// The caption.
    pub caption: Option<String>,
    /// Everything else but the print's name: what it is about, and the order in words.
    #[serde(default)]
    pub details: BTreeMap<String, String>,
}
