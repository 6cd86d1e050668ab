//! Text from a file, a file name or a brief, made safe to display.

use std::borrow::Cow;
use std::fmt::Display;

/// Writes control characters, direction marks and other invisible characters as escapes, so that nothing in a file or
/// its name can move the cursor, change colours or reorder a line.
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(acts_on_line) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if acts_on_line(c) {
            shown.extend(c.escape_default());
        } else {
            shown.push(c);
        }
    }
    Cow::Owned(shown)
}

/// True if a character acts on the line rather than being visible in it: controls (Unicode Cc), line and paragraph
/// separators, zero-width and direction characters, tags, and private or unassigned fillers.
pub fn acts_on_line(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}'
        )
}

/// Returns at most `most` characters of a text, with an ellipsis if it was cut.
pub fn shorten(text: &str, most: usize) -> Cow<'_, str> {
    match text.char_indices().nth(most) {
        None => Cow::Borrowed(text),
        Some((at, _)) => Cow::Owned(format!("{}…", text[..at].trim_end())),
    }
}

/// Returns the system's words for an error, without its number and library additions: `No such file or directory`.
pub fn of_system(error: impl Display) -> String {
    const NUMBER: &str = " (os error ";
    let words = error.to_string();
    let numbered = |at: &usize| words[at + NUMBER.len()..].starts_with(|c: char| c.is_ascii_digit());
    let Some(at) = words.find(NUMBER).filter(numbered) else { return words };
    match &words[..at] {
        "No space left on device" => "the disk is full".to_owned(),
        "Disk quota exceeded" => "your disk quota is full".to_owned(),
        said => said.to_owned(),
    }
}

/// Returns an error and its causes in one line, each once; foreign text is escaped.
pub fn error_with_causes(error: &(dyn std::error::Error + 'static)) -> String {
    let mut said: Vec<String> = Vec::new();
    for error in std::iter::successors(Some(error), |error| error.source()) {
        let words = visible(&of_system(error)).into_owned();
        // An error that quotes its own cause already includes it.
        if !said.last().is_some_and(|last| last.contains(&words)) {
            said.push(words);
        }
    }
    said.join(": ")
}

/// Returns the message for a named picture that does not exist.
pub fn no_such_picture(path: &std::path::Path) -> String {
    match path.parent().filter(|folder| folder.as_os_str().is_empty()) {
        Some(_) => {
            format!("there is no such file; write its path, for example exports/{}", visible(&path.to_string_lossy()))
        }
        None => "there is no such file; check its name and its folder".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_systems_error_is_said_without_its_number() {
        let gone = std::fmt::from_fn(|f| f.write_str("No such file or directory (os error 2)"));
        assert_eq!(of_system(gone), "No such file or directory");
        assert_eq!(of_system("it is (os error) free"), "it is (os error) free");
        let full = std::io::Error::from_raw_os_error(28);
        assert_eq!(of_system(&full), "the disk is full");
        assert_eq!(of_system(format!("{full} at path \"/p/.plateside-demo-x\"")), "the disk is full");
    }

    #[test]
    fn nothing_in_a_name_reaches_the_terminal_as_a_command() {
        assert_eq!(visible("p\u{1b}[31m.jpg"), "p\\u{1b}[31m.jpg");
        assert_eq!(visible("a\nb"), "a\\nb");
        assert_eq!(visible("gpj.\u{202e}x"), "gpj.\\u{202e}x");
        assert!(matches!(visible("crêpe – 12.jpg"), Cow::Borrowed(_)));
    }

    #[test]
    fn long_texts_end_in_an_ellipsis() {
        assert_eq!(shorten("plum tart", 4), "plum…");
        assert_eq!(shorten("plum", 4), "plum");
    }
}
