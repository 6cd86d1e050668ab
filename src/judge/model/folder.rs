//! What one look at the folder gave.

use std::sync::Arc;

use crate::judge::model::submission::Submission;
use crate::picture::unlisted::Unlisted;

/// The folder as the judge sees it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FolderContents {
    /// Its files, in the order of their keys; those that the brief ignores are left out.
    pub files: Vec<Submission>,
    /// What was passed over and may belong to the order.
    pub unlisted: Arc<Unlisted>,
}
