//! A check as one page for a client.

use crate::report::checked::CheckedPictures;

use super::note::Note;
use super::plan::{DeliveredPicture, listed};
use super::thumbnail;

/// The page: every picture that a print wants, whatever its state. HTML in one file.
///
/// # Errors
/// The template does not fit, which a test excludes.
pub fn page(checked: &CheckedPictures) -> Result<Vec<u8>, minijinja::Error> {
    let small = |one: &DeliveredPicture| thumbnail::of(checked.file(&one.picture)?);
    Note::of_check(&checked.report, &listed(checked), &small).html()
}
