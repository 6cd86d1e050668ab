//! The templates of the note and of the client's page, and the parts that both have.

use serde::Serialize;

use crate::report::html::{self, Template};

const TEMPLATES: [Template; 4] = [
    ("note", include_str!("note.html")),
    ("page", include_str!("page.html")),
    ("frame", include_str!("frame.html")),
    ("legend", include_str!("legend.html")),
];

/// Renders the template of a name with these values.
///
/// # Errors
/// The template is wrong, which a test rules out.
pub(super) fn render(name: &str, values: &impl Serialize) -> Result<Vec<u8>, minijinja::Error> {
    html::render(&TEMPLATES, name, values)
}
