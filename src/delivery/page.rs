//! A check as a single page for a client.

use crate::report::checked::CheckedPictures;

use super::note::Note;
use super::plan::{DeliveredPicture, listed};
use super::thumbnail;

/// Renders the page: every picture that is for a print, in any state. HTML in one file.
///
/// # Errors
/// The template is wrong, which a test rules out.
pub fn page(checked: &CheckedPictures) -> Result<Vec<u8>, minijinja::Error> {
    let small = |one: &DeliveredPicture| thumbnail::of(checked.file(&one.picture)?);
    Note::of_check(&checked.report, &listed(checked), &small).html()
}
