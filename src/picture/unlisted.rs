//! What a scan of the folder left out, although it may be a picture of the order or hold some.

use std::collections::BTreeMap;

use super::PictureKey;

/// Everything that was passed over, by its path relative to the watched folder.
pub type Unlisted = BTreeMap<PictureKey, NotListed>;

/// Why something was passed over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotListed {
    /// A folder that cannot be read, or not to its end; what the system says.
    Unreadable(String),
    /// A link to a folder elsewhere: such are not entered.
    LinkedFolder,
    /// A folder nested too deep: deeper ones are not entered.
    TooDeep(usize),
    /// A link that leads nowhere.
    DeadLink,
    /// No file but something else, such as a pipe; what it is.
    NoFile(&'static str),
    /// Several files have what is one name to people; only one of them is listed. How each is spelt, in ASCII.
    SameName(Vec<String>),
}
