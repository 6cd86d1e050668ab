//! Pages made from templates: one file each, no script, nothing fetched. All text is escaped.

use minijinja::{AutoEscape, Environment};
use serde::Serialize;

/// A template: its name, by which others include it, and its text.
pub type Template = (&'static str, &'static str);

/// The parts that all pages share.
const SHARED: [Template; 2] = [("head", include_str!("head.html")), ("style", include_str!("style.css"))];

/// A space at which no line is broken.
const UNBROKEN: char = '\u{a0}';
/// What stays on the line of the number before it.
const UNITS: [&str; 16] =
    ["copy", "copies", "x", "%", "mm", "cm", "m", "in", "ft", "pt", "px", "ppi", "bit", "kB", "MB", "GB"];
/// The months, which stay on the line of their day.
const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Renders the template of a name among `templates` with these values.
///
/// # Errors
/// The template is wrong, which a test rules out.
pub fn render(templates: &[Template], name: &str, values: &impl Serialize) -> Result<Vec<u8>, minijinja::Error> {
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.add_filter("unbroken", unbroken);
    for (name, text) in SHARED.iter().chain(templates) {
        environment.add_template(name, text)?;
    }
    Ok(environment.get_template(name)?.render(values)?.into_bytes())
}

/// Keeps sizes, numbers with their units, and dates on one line: `210 x 260 mm`, `100 %`, `30 November 2026`.
fn unbroken(text: &str) -> String {
    let mut joined = String::with_capacity(text.len());
    let mut before = "";
    let mut before_is_month = false;
    for (at, word) in text.split(' ').enumerate() {
        let bare = word.trim_end_matches(|c: char| c.is_ascii_punctuation() && c != '%');
        let of_number = before.ends_with(|c: char| c.is_ascii_digit());
        let is_month = of_number && MONTHS.contains(&bare);
        let is_number = word.starts_with(|c: char| c.is_ascii_digit());
        let joins = is_month || of_number && UNITS.contains(&bare) || is_number && (before == "x" || before_is_month);
        if at > 0 {
            joined.push(if joins { UNBROKEN } else { ' ' });
        }
        joined.push_str(word);
        (before, before_is_month) = (word, is_month);
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_units_and_dates_stay_on_one_line() {
        let parts = |text: &str| unbroken(text).split(' ').map(|part| part.replace(UNBROKEN, " ")).collect::<Vec<_>>();
        assert_eq!(parts("at 100 %, 3 mm bleed"), ["at", "100 %,", "3 mm", "bleed"]);
        assert_eq!(parts("scaled to 40 x 30 cm"), ["scaled", "to", "40 x 30 cm"]);
        assert_eq!(parts("by 30 November 2026"), ["by", "30 November 2026"]);
        assert_eq!(parts("p12 of 2026"), ["p12", "of", "2026"]);
        assert_eq!(parts(""), [""]);
    }
}
