//! What a scan of the folder left out, although it may be a picture of the order or hold some.

use std::collections::BTreeMap;

use super::PictureKey;
use crate::units::show;

/// Most files listed in one folder; a folder with more is not an order. No source.
pub const MAX_FILES: usize = 50_000;

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
    /// There is no such folder, which a version of the order names.
    NoVersionFolder,
    /// Several files have what is one name to people; only one of them is listed. How each is spelt, in ASCII.
    SameName(Vec<String>),
}

/// Returns the message for a folder with more files than are listed, and the remedy.
pub fn cut_off_words() -> (String, &'static str) {
    let most = show::count(MAX_FILES, "file", "files");
    let what = format!("the folder holds more than {most}; the rest are not checked");
    (what, "split the folder, or leave files out in the brief: ignore = [\"web/*\"]")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_message_names_the_limit() {
        assert!(cut_off_words().0.contains("50000 files"), "{}", cut_off_words().0);
    }
}
