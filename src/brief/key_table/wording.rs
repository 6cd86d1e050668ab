//! Values of keys in words, as `brief show` writes them.

/// What is shown for a value that is not given.
const NONE: &str = "none";

/// What is shown where nobody has said anything; never an instruction.
pub const NOT_SAID: &str = "not said";

/// Returns a text, or that nobody has said anything.
pub(super) fn or_not_said(text: Option<&str>) -> String {
    text.unwrap_or(NOT_SAID).to_owned()
}

/// Returns a value, or that there is none.
pub(super) fn or_none(value: Option<impl ToString>) -> String {
    value.map_or_else(|| NONE.to_owned(), |value| value.to_string())
}

/// `yes` or `no`.
pub(super) fn yes_no(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}

/// Returns values with commas between them, or that there is none.
pub(super) fn list_values(values: impl IntoIterator<Item = impl ToString>) -> String {
    let values: Vec<String> = values.into_iter().map(|value| value.to_string()).collect();
    if values.is_empty() { NONE.to_owned() } else { values.join(", ") }
}
