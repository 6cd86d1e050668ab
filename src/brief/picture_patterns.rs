//! Which pictures a print takes: patterns over names, in which a number ends where its digits end.

use std::fmt;

use globset::{Glob, GlobBuilder, GlobMatcher};
use memchr::memmem;
use unicode_normalization::UnicodeNormalization;

/// Which pictures a print takes.
#[derive(Clone, Debug, PartialEq)]
pub enum PictureSelector {
    /// Exactly one picture.
    One(Pattern),
    /// Any number of pictures.
    Many(Pattern),
    /// Every picture that no other print names.
    Rest,
}

/// A pattern over a picture's name: `*` any letters, `?` one letter; every other letter is itself, brackets too. Case
/// does not count. Without a `/` it is matched against the file's name alone, and with or without the extension. `p12*`
/// is not `p120`.
#[derive(Clone)]
pub struct Pattern {
    text: String,
    matcher: Matcher,
    is_over_path: bool,
}

impl Pattern {
    /// Checks and keeps a pattern.
    ///
    /// # Errors
    /// What is wrong with it, in words.
    pub fn new(text: &str) -> Result<Pattern, String> {
        let text: String = text.trim().nfc().collect();
        if text.is_empty() {
            return Err("an empty pattern matches nothing".to_owned());
        }
        let glob = GlobBuilder::new(&to_glob(&text.to_lowercase()))
            .literal_separator(true)
            .backslash_escape(false)
            .empty_alternates(true)
            .build()
            .map_err(|error| error.kind().to_string())?;
        let matcher = Prefix::of(&text.to_lowercase()).map_or_else(|| Matcher::glob(&text, &glob), Matcher::Prefix);
        Ok(Pattern { is_over_path: text.contains('/'), matcher, text })
    }

    /// True if a picture's path in the folder (`/`-separated, NFC) is meant.
    pub fn matches(&self, path: &str) -> bool {
        let name = if self.is_over_path { path } else { path.rsplit('/').next().unwrap_or(path) };
        // The matcher itself knows the case of ASCII letters only.
        self.matches_lower(&name.to_lowercase())
    }

    /// Returns the same of a name in lower case, or of a path where [`Pattern::is_over_path`].
    pub fn matches_lower(&self, name: &str) -> bool {
        let stem = || name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        self.matcher.may_match(name) && (self.matcher.is_match(name) || self.matcher.is_match(stem()))
    }

    /// Returns the lower-case letters that whatever it matches begins with: a name, or a path where
    /// [`Pattern::is_over_path`].
    pub fn beginning(&self) -> String {
        let lower = self.text.to_lowercase();
        let end = lower.find(SPECIAL).unwrap_or(lower.len());
        lower[..end].to_owned()
    }

    /// True if it is matched against a whole path.
    pub fn is_over_path(&self) -> bool {
        self.is_over_path
    }

    /// Returns the pattern as written.
    pub fn as_str(&self) -> &str {
        &self.text
    }
}

/// How a pattern is matched. Lists of thousands of prints name their pictures by a beginning: those need no matcher of
/// their own, which takes some 9 KB.
#[derive(Clone)]
enum Matcher {
    Prefix(Prefix),
    /// A pattern, and letters without which nothing matches it.
    Glob(GlobMatcher, Box<memmem::Finder<'static>>),
}

impl Matcher {
    fn glob(text: &str, glob: &Glob) -> Matcher {
        let text = text.to_lowercase();
        Matcher::Glob(glob.compile_matcher(), Box::new(memmem::Finder::new(longest_letters(&text)).into_owned()))
    }

    /// True if a name can match at all: of thousands of patterns a few letters exclude most.
    fn may_match(&self, name: &str) -> bool {
        match self {
            Matcher::Prefix(_) => true,
            Matcher::Glob(_, letters) => letters.find(name.as_bytes()).is_some(),
        }
    }

    fn is_match(&self, name: &str) -> bool {
        match self {
            Matcher::Prefix(prefix) => prefix.is_match(name),
            Matcher::Glob(glob, _) => glob.is_match(name),
        }
    }
}

/// Returns the longest literal part of a pattern, which every match contains.
fn longest_letters(text: &str) -> &str {
    text.split(SPECIAL).rev().max_by_key(|letters| letters.len()).unwrap_or_default()
}

/// Letters that mean more than themselves.
const SPECIAL: [char; 2] = ['*', '?'];

/// Plain letters, and at most one `*` behind them.
#[derive(Clone)]
struct Prefix {
    letters: String,
    is_open: bool,
}

impl Prefix {
    /// Of a pattern that is no more than that.
    fn of(text: &str) -> Option<Prefix> {
        let (letters, is_open) = text.strip_suffix('*').map_or((text, false), |letters| (letters, true));
        let is_plain = !letters.is_empty() && !letters.contains(SPECIAL);
        is_plain.then(|| Prefix { letters: letters.to_owned(), is_open })
    }

    fn is_match(&self, name: &str) -> bool {
        let after_digit = self.letters.ends_with(|letter: char| letter.is_ascii_digit());
        name.strip_prefix(self.letters.as_str()).is_some_and(|rest| {
            let goes_on = after_digit && rest.starts_with(|letter: char| letter.is_ascii_digit());
            rest.is_empty() || (self.is_open && !goes_on && !rest.contains('/'))
        })
    }
}

impl PartialEq for Pattern {
    fn eq(&self, other: &Pattern) -> bool {
        self.text == other.text
    }
}

impl fmt::Debug for Pattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.text)
    }
}

/// Returns the pattern as the matcher reads it: every `*` that follows a digit refuses a further digit, and letters
/// that mean something to the matcher alone are themselves.
fn to_glob(text: &str) -> String {
    let mut bounded = String::with_capacity(text.len() + 16);
    let mut after_digit = false;
    for letter in text.chars() {
        match letter {
            '*' if after_digit => bounded.push_str("{,[!0-9]*}"),
            '*' | '?' => bounded.push(letter),
            _ => bounded.push_str(&globset::escape(letter.encode_utf8(&mut [0; 4]))),
        }
        after_digit = letter.is_ascii_digit();
    }
    bounded
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matches(pattern: &str, path: &str) -> bool {
        Pattern::new(pattern).unwrap().matches(path)
    }

    #[test]
    fn a_beginning_is_matched_as_a_pattern_would_be() {
        let names =
            ["p12.jpg", "p120.jpg", "p12-tart.jpg", "p12", "p1", "sub/p12.jpg", "q12.jpg", "p12é.tif", "tart.jpg"];
        for text in ["p12*", "p1*", "p*", "p12", "p12.jpg", "tart", "tart*", "sub/p12*", "sub/*", "p12é*"] {
            let pattern = Pattern::new(text).unwrap();
            assert!(matches!(pattern.matcher, Matcher::Prefix(_)), "{text}");
            let glob = GlobBuilder::new(&to_glob(text))
                .literal_separator(true)
                .backslash_escape(false)
                .empty_alternates(true)
                .build();
            let as_glob = Pattern { matcher: Matcher::glob(text, &glob.unwrap()), ..pattern.clone() };
            for name in names {
                assert_eq!(pattern.matches(name), as_glob.matches(name), "{text} on {name}");
            }
        }
        assert!(matches!(Pattern::new("p?2*").unwrap().matcher, Matcher::Glob(..)));
    }

    #[test]
    fn whatever_a_pattern_matches_begins_with_its_beginning() {
        for (text, beginning) in
            [("P12*", "p12"), ("tart", "tart"), ("*12", ""), ("sub/w?b*", "sub/w"), ("a{b,c}*", "a{b,c}")]
        {
            assert_eq!(Pattern::new(text).unwrap().beginning(), beginning);
        }
    }

    #[test]
    fn the_longest_letters_are_those_that_a_pattern_cannot_do_without() {
        for (text, letters) in
            [("*", ""), ("*p012*", "p012"), ("a?plum*tart", "plum"), ("?[ab]*1", "[ab]"), ("sub/*é", "sub/")]
        {
            assert_eq!(longest_letters(text), letters, "{text}");
        }
        assert!(matches("*PLUM*", "a-Plum.jpg") && !matches("*plum*", "prune.jpg"));
    }

    #[test]
    fn brackets_and_backslashes_are_letters_of_a_name() {
        for name in ["photo[1].jpg", "menu {v2}.jpg", "a[!b].jpg", "a{1,2}.jpg", "a\\b.jpg", "p[12.jpg", "[].jpg"] {
            assert!(matches(name, name), "{name}");
            let (stem, _) = name.split_once('.').unwrap();
            assert!(matches(&format!("?{}*", &stem[1..]), name), "{name}");
        }
        for (pattern, other) in [
            ("photo[1].jpg", "photo1.jpg"),
            ("?hoto[1]*", "photo1.jpg"),
            ("menu {v2}.jpg", "menu v2.jpg"),
            ("a?{1,2}.jpg", "ab1.jpg"),
            ("?\\b.jpg", "ab.jpg"),
        ] {
            assert!(!matches(pattern, other), "{pattern} on {other}");
        }
    }

    #[test]
    fn a_number_ends_where_its_digits_end() {
        assert!(matches("p12*", "p12-tart.jpg"));
        assert!(matches("p12*", "p12.jpg"));
        assert!(!matches("p12*", "p120.jpg"));
        assert!(!matches("p12*", "p120-tart.jpg"));
        assert!(matches("*12*", "tart-12-b.jpg"));
        assert!(matches("p[12]*", "p[12]0.jpg"), "a bracket is no digit");
    }

    #[test]
    fn names_match_with_or_without_extension_and_in_any_case() {
        assert!(matches("p012-plum-tart", "P012-Plum-Tart.JPG"));
        assert!(matches("p012-plum-tart.jpg", "p012-plum-tart.jpg"));
        assert!(!matches("p012-plum-tart.jpg", "p012-plum-tart.tif"));
        assert!(matches("wall-*", "sub/wall-1.tif"));
        assert!(!matches("sub/wall-*", "wall-1.tif"));
        assert!(matches("cr\u{ea}pes*", "cr\u{ea}pes.jpg"));
        assert!(matches("Cr\u{ea}pes*", "CR\u{ca}PES.jpg"));
    }

    #[test]
    fn a_broken_pattern_says_so() {
        assert!(Pattern::new(" ").is_err());
    }
}
