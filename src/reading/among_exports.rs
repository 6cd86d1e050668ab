//! New folders of the program's own must not lie among the exports where the brief takes pictures from sub-folders, nor
//! in the folder of a version:
//! what is written into them would be taken for pictures of the order.

use std::fs;
use std::path::{Path, PathBuf, absolute};

use crate::brief::Brief;
use crate::picture::PictureKey;
use crate::picture::facts::Format;
use crate::reading::scan::{ScanFilter, scan};

/// A new folder would lie among the exports.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "{}: is inside the folder of exports, so its files would be taken for pictures of the order; name a folder \
     outside {}",
    into.display(), folder.display()
)]
pub struct AmongExports {
    /// The new folder.
    pub into: PathBuf,
    /// The folder of the exports.
    pub folder: PathBuf,
}

/// Checks that a folder that does not exist yet would not be read as part of the exports.
///
/// # Errors
/// The brief takes pictures from sub-folders, and the new folder would be inside the exports; or from the folders of
/// versions, and it would be one of those or inside one.
pub fn check_outside(into: &Path, folder: &Path, brief: &Brief) -> Result<(), AmongExports> {
    let (beside, exports) = (absolute_path(beside(into)), absolute_path(folder));
    let new = into.file_name().map_or(beside.clone(), |name| beside.join(name));
    let is_of_version = brief.order_versions.iter().any(|version| new.starts_with(exports.join(&*version.folder)));
    if is_of_version || brief.includes_subfolders && beside.starts_with(exports) {
        return Err(AmongExports { into: into.to_owned(), folder: folder.to_owned() });
    }
    Ok(())
}

/// As [`check_outside`], where no folder of exports is named: one that holds pictures counts as such, from the place
/// of the new folder up to the folder of the brief, which is not looked at.
///
/// # Errors
/// As [`check_outside`].
pub fn check_outside_any(into: &Path, brief: &Brief) -> Result<(), AmongExports> {
    let (beside, home) = (absolute_path(beside(into)), absolute_path(self::beside(&brief.path)));
    let steps = beside.strip_prefix(&home).map_or(1, |below| below.components().count());
    let exports =
        beside.ancestors().take(steps).find(|folder| brief.includes_subfolders && holds_pictures(folder, brief));
    exports.map_or(Ok(()), |folder| check_outside(into, folder, brief))
}

/// True if pictures lie in a folder itself.
fn holds_pictures(folder: &Path, brief: &Brief) -> bool {
    let filter = ScanFilter { ignore: brief.ignore.clone(), ..ScanFilter::default() };
    let is_picture = |key: &PictureKey| {
        let extension = key.extension().unwrap_or_default().to_lowercase();
        Format::ALL.iter().any(|format| format.extensions().contains(&extension.as_str()))
    };
    scan(folder, &filter).is_ok_and(|scan| scan.files.keys().any(is_picture))
}

/// Returns the folder that a path lies in.
fn beside(path: &Path) -> &Path {
    path.parent().filter(|beside| !beside.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Returns the path without links or, if there is no such file yet, the absolute path.
fn absolute_path(path: &Path) -> PathBuf {
    fs::canonicalize(path).or_else(|_| absolute(path)).unwrap_or_else(|_| path.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::testing::brief;

    fn brief_with_subfolders(room: &Path) -> Brief {
        Brief { path: room.join("brief.toml"), ..brief("subfolders = true\n[[print]]\nsize = \"8 x 10 in\"\n") }
    }

    #[test]
    fn a_folder_among_the_exports_is_known_by_any_path() {
        let room = tempfile::tempdir().unwrap();
        let exports = room.path().join("exports");
        fs::create_dir_all(exports.join("sub")).unwrap();
        let brief = brief_with_subfolders(room.path());
        let is_refused = |into: PathBuf| check_outside(&into, &exports, &brief).is_err();
        assert!(is_refused(exports.join("out")) && is_refused(exports.join("sub/../out")));
        assert!(!is_refused(room.path().join("exports-out")) && !is_refused(exports.join("../out")));
        let flat = Brief { includes_subfolders: false, ..brief.clone() };
        assert_eq!(check_outside(&exports.join("out"), &exports, &flat), Ok(()));
    }

    #[test]
    fn where_no_exports_are_named_a_folder_that_holds_pictures_counts_as_exports() {
        let room = tempfile::tempdir().unwrap();
        let exports = room.path().join("exports");
        fs::create_dir_all(exports.join("sub")).unwrap();
        fs::write(exports.join("notes.txt"), "").unwrap();
        let brief = brief_with_subfolders(room.path());
        let refused = |into: &str| check_outside_any(&room.path().join(into), &brief).map_err(|error| error.folder);
        assert_eq!(refused("exports/frames"), Ok(()), "there is no picture yet");
        fs::write(exports.join("a.JPG"), "").unwrap();
        fs::write(room.path().join("b.jpg"), "").unwrap();
        let exports = fs::canonicalize(&exports).unwrap();
        assert_eq!(refused("exports/frames"), Err(exports.clone()));
        assert_eq!(refused("exports/sub/frames"), Err(exports));
        assert_eq!(refused("frames"), Ok(()), "beside the brief");
    }
}
