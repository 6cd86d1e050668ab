//! What a file is to a brief, and the values that were read from it.

use std::sync::Arc;

use super::layers::{Layer, Papers};
use super::source::TextPosition;
use super::values::SizeNames;

/// What a file is to the brief.
#[derive(Clone, Debug)]
pub(super) enum FileRole {
    /// The brief itself.
    Brief,
    /// A printer's sheet: its place among them, and the name of its file.
    Sheet(usize, Arc<str>),
    /// A starter, and the place at which it is named.
    Starter(&'static str, TextPosition),
}

/// What one `[[print]]` or `[[version]]` says, or one row of a list, with the place of its header.
pub(super) type HeadedLayer = (TextPosition, Layer);

/// The values of a brief, each well formed; layers are not yet put together.
#[derive(Default)]
pub(super) struct ParsedBrief {
    pub(super) order: Layer,
    pub(super) papers: Papers,
    /// Each `[[print]]` with the place of its header.
    pub(super) prints: Vec<HeadedLayer>,
    /// Each `[[version]]` likewise.
    pub(super) versions: Vec<HeadedLayer>,
    pub(super) sizes: SizeNames,
}

/// Keys of one order, which a printer's sheet cannot have.
const OF_ONE_ORDER: &[&str] =
    &["title", "due", "ignore", "subfolders", "versions", "prints", "prints_sheet", "print", "version"];

/// Whether a key is about one order, so that no printer's sheet can have it.
pub(super) fn is_of_one_order(path: &str) -> bool {
    OF_ONE_ORDER.contains(&path)
}
