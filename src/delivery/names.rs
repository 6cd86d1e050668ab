//! File names of pictures in a delivery.

use unicode_normalization::UnicodeNormalization;

use crate::brief::Print;
use crate::files::names::{leaves_nothing, plain};
use crate::judge::Row;
use crate::picture::PictureKey;

/// Longest name in bytes that every file system accepts. Source: NAME_MAX of POSIX systems, and of NTFS in UTF-16
/// units.
const MAX_BYTES: usize = 255;

/// Why a picture cannot have a name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NameError {
    /// The picture's own name is not UTF-8.
    #[error("its name is not valid UTF-8; rename it")]
    NotText,
    /// The name is too long.
    #[error("its delivered name \"{0}\" would be longer than {MAX_BYTES} bytes")]
    TooLong(String),
    /// Nothing is left of the name.
    #[error("the brief's rename = \"{0}\" leaves nothing of its name")]
    Empty(String),
    /// The picture's own name has an extension and nothing else that every system accepts.
    #[error("its name has no letter or digit before the extension; rename it")]
    Signs,
}

/// Returns the name of a row's picture in the delivery: from the brief's template with the file's own extension,
/// otherwise its own name without its folders. Characters not allowed in file names become hyphens.
///
/// # Errors
/// No valid name results.
pub fn of(row: &Row, print: &Print, key: &PictureKey, name_is_utf8: bool) -> Result<String, NameError> {
    if !name_is_utf8 {
        return Err(NameError::NotText);
    }
    let name = match &print.requirements.delivery.rename {
        None if key.extension().is_some() && leaves_nothing(key.stem()) => return Err(NameError::Signs),
        None => plain(key.file_name()),
        Some(template) => {
            let stem = fill_in(template, row, print, key);
            if leaves_nothing(&stem) || stem.chars().all(|c| matches!(c, '.' | '-' | '_' | ' ')) {
                return Err(NameError::Empty(template.clone()));
            }
            let stem = plain(&stem);
            match key.extension() {
                Some(extension) => plain(&format!("{stem}.{extension}")),
                None => stem,
            }
        }
    };
    if name.len() > MAX_BYTES { Err(NameError::TooLong(name)) } else { Ok(name) }
}

fn fill_in(template: &str, row: &Row, print: &Print, key: &PictureKey) -> String {
    let number = |number: Option<u32>| number.map(|number| number.to_string()).unwrap_or_default();
    let values = [
        ("{page}", row.page.map(|page| page.to_string()).unwrap_or_default()),
        ("{name}", print.name.clone()),
        ("{id}", print.base_id.0.to_string()),
        ("{picture}", key.stem().to_owned()),
        ("{batch}", number(print.batch)),
        ("{copies}", print.copies.to_string()),
    ];
    // Piece by piece, so that a value that looks like a placeholder stays as it is.
    let mut filled = String::new();
    let mut rest = template;
    while let Some(at) = rest.find('{') {
        filled.push_str(&rest[..at]);
        rest = &rest[at..];
        match values.iter().find(|(name, _)| rest.starts_with(name)) {
            Some((name, value)) => {
                filled.push_str(value);
                rest = &rest[name.len()..];
            }
            None => {
                filled.push('{');
                rest = &rest[1..];
            }
        }
    }
    filled.push_str(rest);
    filled
}

/// Folds a name for comparison: case and Unicode form do not count on many systems.
pub fn fold_case(name: &str) -> String {
    name.nfkc().flat_map(char::to_lowercase).nfc().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;
    use std::sync::Arc;

    fn named(rename: Option<&str>, picture: &str) -> Result<String, NameError> {
        let report = sample::report();
        let mut print = report.brief.prints[0].clone();
        Arc::make_mut(&mut print.requirements).delivery.rename = rename.map(str::to_owned);
        let row = Row { page: print.page, ..report.rows[0].clone() };
        of(&row, &print, &PictureKey::from_text(picture), true)
    }

    #[test]
    fn the_template_is_filled_and_the_extension_stays() {
        assert_eq!(named(None, "sub/a b.JPG").unwrap(), "a b.JPG");
        assert_eq!(named(Some("{page}-{name}"), "x.tif").unwrap(), "12-p012 plum tart.tif");
        assert_eq!(named(Some("{picture}_{copies}"), "x.tif").unwrap(), "x_1.tif");
        assert_eq!(named(Some("{picture}"), "{name}.tif").unwrap(), "{name}.tif");
        assert_eq!(named(Some("{page}"), "x.jp:g\u{202e}").unwrap(), "12.jp-g-");
        assert_eq!(named(Some("{batch}"), "x.tif"), Err(NameError::Empty("{batch}".to_owned())));
    }

    #[test]
    fn a_name_of_signs_alone_is_refused_rather_than_reduced_to_its_extension() {
        for name in ["*.jpg", "?.jpg", "-.jpg", " .jpg", "sub/--.jpg"] {
            assert_eq!(named(None, name), Err(NameError::Signs), "{name}");
            assert!(matches!(named(Some("{picture}"), name), Err(NameError::Empty(_))), "{name}");
        }
        assert_eq!(named(None, "_.jpg").unwrap(), "_.jpg");
        assert_eq!(named(None, "\u{20ac}.jpg").unwrap(), "\u{20ac}.jpg");
    }

    #[test]
    fn a_name_that_no_disk_takes_is_refused() {
        assert!(matches!(named(None, &format!("{}.jpg", "a".repeat(254))), Err(NameError::TooLong(_))));
    }

    #[test]
    fn names_that_differ_in_case_or_form_alone_are_one() {
        assert_eq!(fold_case("Plum.JPG"), fold_case("plum.jpg"));
        assert_eq!(fold_case("cre\u{302}pes.jpg"), fold_case("cr\u{ea}pes.jpg"));
        assert_ne!(fold_case("a.jpg"), fold_case("b.jpg"));
    }
}
