//! The result of reading the folder once.

use std::sync::Arc;

use crate::judge::model::submission::Submission;
use crate::picture::unlisted::Unlisted;

/// The folder's contents, as input to judging.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FolderContents {
    /// Its files, in the order of their keys; those that the brief ignores are left out.
    pub files: Vec<Submission>,
    /// Entries that were left out and may belong to the order.
    pub unlisted: Arc<Unlisted>,
}
