//! Unnamed files, for data that does not fit into memory: the system frees them when the program ends, however it ends.

use std::fs::File;
use std::path::Path;

/// Creates an empty file in the first of these folders that accepts it, otherwise in the system's temporary folder;
/// `None` where none accepts it.
pub fn create<'a>(mut folders: impl Iterator<Item = &'a Path>) -> Option<File> {
    let beside = folders.find_map(|folder| tempfile::tempfile_in(folder).ok());
    beside.or_else(|| tempfile::tempfile().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_that_is_not_there_is_passed_over_and_no_name_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let folders = [folder.path().join("gone"), folder.path().to_owned()];
        assert!(create(folders.iter().map(AsRef::as_ref)).is_some());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }
}
