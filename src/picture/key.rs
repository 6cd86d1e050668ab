//! What a picture is called: its path relative to the watched folder.

use std::ffi::OsStr;
use std::fmt;
use std::path::Path;
use std::sync::Arc;

use unicode_normalization::UnicodeNormalization;

/// A picture's path relative to the folder, `/`-separated, in NFC. The bytes of a part that is not UTF-8 are escaped,
/// as in `p\xff.jpg`; a name whose own letters look like that has its backslashes doubled, so that neither is taken for
/// the other.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PictureKey(Arc<str>);

impl PictureKey {
    /// Creates a key from a path relative to the watched folder. Also returns true if every part of it was UTF-8.
    pub fn of(relative: &Path) -> (PictureKey, bool) {
        let mut whole = true;
        let parts: Vec<String> = relative
            .components()
            .map(|part| {
                let (text, utf8) = part_text(part.as_os_str());
                whole &= utf8;
                text
            })
            .collect();
        (PictureKey(parts.join("/").into()), whole)
    }

    /// Creates a key from text that is one already, as in JSON or on the command line.
    pub fn from_text(text: &str) -> PictureKey {
        PictureKey(text.nfc().collect::<String>().into())
    }

    /// Returns the key as text; foreign text, show it through [`crate::units::words::visible`].
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Returns the last part: the file's name.
    pub fn file_name(&self) -> &str {
        self.0.rsplit('/').next().unwrap_or(&self.0)
    }

    /// Returns the file's name without its last extension.
    pub fn stem(&self) -> &str {
        let name = self.file_name();
        name.rsplit_once('.').map_or(name, |(stem, _)| if stem.is_empty() { name } else { stem })
    }

    /// Returns the last extension, if there is one.
    pub fn extension(&self) -> Option<&str> {
        self.file_name().rsplit_once('.').filter(|(stem, _)| !stem.is_empty()).map(|(_, extension)| extension)
    }
}

fn part_text(part: &OsStr) -> (String, bool) {
    match part.to_str() {
        Some(text) if looks_escaped(text) => (text.replace('\\', "\\\\").nfc().collect(), true),
        Some(text) => (text.nfc().collect(), true),
        None => (part.as_encoded_bytes().escape_ascii().to_string(), false),
    }
}

/// True if a name's own letters look like an escaped byte that is no ASCII: `\x80` to `\xff`.
fn looks_escaped(text: &str) -> bool {
    let mut after = text.match_indices("\\x").map(|(at, sign)| &text.as_bytes()[at + sign.len()..]);
    after.any(|digits| matches!(digits, [b'8'..=b'9' | b'a'..=b'f', b'0'..=b'9' | b'a'..=b'f', ..]))
}

impl fmt::Display for PictureKey {
    /// Writes it escaped, safe to look at.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&crate::units::words::visible(&self.0))
    }
}

impl fmt::Debug for PictureKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", &*self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_picture_has_one_key_however_its_accents_are_stored() {
        let (composed, _) = PictureKey::of(Path::new("cr\u{ea}pe.jpg"));
        let (decomposed, _) = PictureKey::of(Path::new("cre\u{302}pe.jpg"));
        assert_eq!(composed, decomposed);
    }

    #[cfg(unix)]
    #[test]
    fn a_name_that_is_not_utf8_is_escaped_and_said() {
        use std::os::unix::ffi::OsStrExt;
        let (key, utf8) = PictureKey::of(Path::new(OsStr::from_bytes(b"web/p\xff.jpg")));
        assert_eq!((key.as_str(), utf8), ("web/p\\xff.jpg", false));
    }

    #[cfg(unix)]
    #[test]
    fn a_byte_that_is_no_letter_and_letters_that_spell_it_are_two_keys() {
        use std::os::unix::ffi::OsStrExt;
        let names: [&[u8]; 6] =
            [b"p\xff.jpg", b"p\\xff.jpg", b"p\\\\xff.jpg", b"p\\xff\xff.jpg", b"p\\xff\\xff.jpg", b"p\\x7f.jpg"];
        let keys = names.map(|name| PictureKey::of(Path::new(OsStr::from_bytes(name))).0);
        for (at, key) in keys.iter().enumerate() {
            assert!(!keys[..at].contains(key), "{key} is there twice");
        }
        assert_eq!(keys[5].as_str(), "p\\x7f.jpg", "a name that cannot be mistaken stays as it is");
    }

    #[test]
    fn names_and_stems() {
        let key = PictureKey::from_text("web/p012-plum-tart.tif.jpg");
        assert_eq!(
            (key.file_name(), key.stem(), key.extension()),
            ("p012-plum-tart.tif.jpg", "p012-plum-tart.tif", Some("jpg"))
        );
        assert_eq!(PictureKey::from_text(".hidden").extension(), None);
    }
}
