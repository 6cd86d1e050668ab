//! Finds the name that a picture given by its path has in a check of the export folder.

use std::path::{Path, PathBuf};

use crate::picture::PictureKey;
use crate::units::words;

/// The reason why a picture's name in the order is not known.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NamingError {
    /// The brief takes pictures from sub-folders, and the watched folder is not given.
    #[error("this brief takes pictures from sub-folders: name the watched folder with --folder FOLDER")]
    WhichFolder,
    /// The picture is not in the folder.
    #[error(
        "{}: not in {}; name the watched folder with --folder",
        words::visible(&picture.to_string_lossy()),
        words::visible(&folder.to_string_lossy())
    )]
    Elsewhere {
        /// The picture.
        picture: PathBuf,
        /// The folder of exports.
        folder: PathBuf,
    },
}

/// Returns the picture's key below the export folder, and whether its name is UTF-8. Without a folder its own is taken,
/// which a brief with `subfolders` does not allow.
///
/// # Errors
/// When it is in another folder, or no folder is named where one must be.
pub fn key_of(picture: &Path, folder: Option<&Path>, subfolders: bool) -> Result<(PictureKey, bool), NamingError> {
    let Some(folder) = folder else {
        if subfolders {
            return Err(NamingError::WhichFolder);
        }
        return Ok(PictureKey::of(picture.file_name().map_or(picture, Path::new)));
    };
    let absolute = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let elsewhere = |_| NamingError::Elsewhere { picture: picture.to_owned(), folder: folder.to_owned() };
    absolute(picture).strip_prefix(absolute(folder)).map(PictureKey::of).map_err(elsewhere)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_in_a_sub_folder_keeps_its_place_in_its_name() {
        let picture = Path::new("exports/mains/a.jpg");
        let name = |folder: Option<&str>, subfolders| {
            key_of(picture, folder.map(Path::new), subfolders).map(|(key, _)| key.as_str().to_owned())
        };
        assert_eq!(name(Some("exports"), true).as_deref(), Ok("mains/a.jpg"));
        assert_eq!(name(None, true), Err(NamingError::WhichFolder));
        assert_eq!(name(None, false).as_deref(), Ok("a.jpg"), "only the folder itself is read");
        assert!(matches!(name(Some("others"), true), Err(NamingError::Elsewhere { .. })));
    }
}
