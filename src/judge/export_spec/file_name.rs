//! The name to give an exported file: one that its print's pattern takes, that passes the rule of names, and that no
//! other print takes.

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::picture_patterns::{Pattern, PictureSelector};
use crate::brief::{Brief, Print};
use crate::judge::rules::file::format::export_format;
use crate::judge::rules::file::name::is_suitable;
use crate::judge::rules::set::missing::fit_words;
use crate::picture::facts::Format;
use crate::units::words::visible;

/// Most letters that a suggested name takes from its print's name. Own choice: with the pattern's own letters it stays
/// below the limit of names.
const MAX_LETTERS: usize = 60;

/// The name of an exported file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileName {
    /// A name that fits; `None` where the print takes several pictures, or none could be found.
    pub suggested: Option<String>,
    /// The folder that it belongs into, inside the folder of exports; `None` where the order has no versions. Foreign
    /// text.
    pub folder: Option<Arc<str>>,
    /// Which names fit, in words; foreign text in it is escaped.
    pub fits: String,
    /// Number of prints that the file of this name serves.
    pub prints: usize,
}

impl FileName {
    /// Returns the name in words.
    pub fn words(&self) -> String {
        let Some(name) = &self.suggested else { return self.fits.clone() };
        let name = match &self.folder {
            Some(folder) => format!("{}, in {}", visible(name), visible(folder)),
            None => visible(name).into_owned(),
        };
        match self.prints {
            0 | 1 => name,
            prints => format!("{name} (one file for {prints} prints: the one with the most pixels serves all)"),
        }
    }
}

/// The names that the prints of a brief take.
#[derive(Debug)]
pub struct FileNames<'a> {
    /// The prints of one picture each, by the letters that its name begins with, in lower case.
    by_beginning: HashMap<(Option<&'a str>, String), Vec<&'a Pattern>>,
    /// For each pattern, the first print of it and how many there are.
    by_pattern: HashMap<(Option<&'a str>, &'a str), (&'a Print, usize)>,
}

/// Returns the folder of a print's version: each has its own files.
fn folder_of(print: &Print) -> Option<&str> {
    print.version.as_ref().map(|version| &*version.folder)
}

impl<'a> FileNames<'a> {
    /// Reads the patterns of a brief.
    pub fn of(brief: &'a Brief) -> FileNames<'a> {
        let mut names = FileNames { by_beginning: HashMap::new(), by_pattern: HashMap::new() };
        for print in &brief.prints {
            let PictureSelector::One(pattern) = &print.pictures else { continue };
            let folder = folder_of(print);
            let known = names.by_pattern.entry((folder, pattern.as_str())).or_insert((print, 0));
            known.1 += 1;
            if known.1 == 1 {
                names.by_beginning.entry((folder, pattern.beginning())).or_default().push(pattern);
            }
        }
        names
    }

    /// Returns the name to give the file of a print.
    pub fn of_print(&self, print: &Print) -> FileName {
        let folder = print.version.as_ref().map(|version| version.folder.clone());
        let PictureSelector::One(pattern) = &print.pictures else {
            return FileName { suggested: None, folder, fits: fit_words(print), prints: 1 };
        };
        let key = (folder_of(print), pattern.as_str());
        let (first, prints) = self.by_pattern.get(&key).copied().unwrap_or((print, 1));
        let fitting: Vec<String> = candidates(pattern, &first.name, export_format(print))
            .into_iter()
            .filter(|name| pattern.matches(name) && is_suitable(print, stem(name)))
            .collect();
        let is_free = |name: &&String| !self.is_taken_by_another(name, pattern, folder_of(print));
        let suggested = fitting.iter().find(is_free).or(fitting.first());
        FileName { suggested: suggested.cloned(), folder, fits: fit_words(print), prints }
    }

    /// True if a print with another pattern takes a name in this folder too.
    fn is_taken_by_another(&self, name: &str, own: &Pattern, folder: Option<&str>) -> bool {
        let path = name.to_lowercase();
        let file = path.rsplit('/').next().unwrap_or(&path);
        let takes = |text: &str, is_over_path: bool| {
            let beginnings = text.char_indices().map(|(at, _)| &text[..at]).chain([text]);
            let mut near =
                beginnings.filter_map(|beginning| self.by_beginning.get(&(folder, beginning.to_owned()))).flatten();
            near.any(|other| other != &own && other.is_over_path() == is_over_path && other.matches_lower(text))
        };
        takes(file, false) || takes(&path, true)
    }
}

/// Returns the last part of a path, without its extension.
fn stem(name: &str) -> &str {
    let file = name.rsplit('/').next().unwrap_or(name);
    file.rsplit_once('.').map_or(file, |(stem, _)| stem)
}

/// Returns names that a pattern may take, made of it and of its print's name; the best first.
fn candidates(pattern: &Pattern, print_name: &str, format: Option<Format>) -> Vec<String> {
    let (folder, last) = match pattern.as_str().rsplit_once('/') {
        Some((folder, last)) => (format!("{folder}/"), last),
        None => (String::new(), pattern.as_str()),
    };
    let usual = format.map_or("jpg", |format| format.extensions()[0]);
    let of_picture = |extension: &str| Format::ALL.iter().any(|one| one.extensions().contains(&extension));
    let (body, extension) = match last.rsplit_once('.') {
        Some((body, extension)) if of_picture(&extension.to_lowercase()) => (body, extension),
        _ => (last, usual),
    };
    let slug = slug::slugify(print_name);
    let slug = slug.get(..MAX_LETTERS.min(slug.len())).unwrap_or(&slug).trim_end_matches('-');
    let stems = [slug.to_owned(), filled(body, slug), slug::slugify(filled(body, slug))];
    let underscored = stems.iter().map(|stem| stem.replace('-', "_"));
    let spelt = stems
        .iter()
        .cloned()
        .chain(underscored)
        .chain([filled(body, "")])
        .flat_map(|stem| [stem.clone(), stem.to_lowercase()]);
    spelt.map(|stem| format!("{folder}{stem}.{extension}")).collect()
}

/// Fills the gaps of a pattern: its last `*` with words, every other `*` with nothing, and `?` with a digit.
fn filled(pattern: &str, words: &str) -> String {
    let Some((before, after)) = pattern.rsplit_once('*') else { return pattern.replace('?', "1") };
    let plain = |part: &str| part.replace('*', "").replace('?', "1");
    let (before, after) = (plain(before), plain(after));
    let hyphen = |is_between_words: bool| if is_between_words && !words.is_empty() { "-" } else { "" };
    let first = hyphen(before.ends_with(char::is_alphanumeric));
    let second = hyphen(after.starts_with(char::is_alphanumeric));
    format!("{before}{first}{words}{second}{after}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::brief;
    use crate::units::growth::grows_less_than_square;

    /// Returns the names suggested for prints with these keys.
    fn names(keys: &[&str]) -> Vec<Option<String>> {
        let prints: String = keys.iter().map(|keys| format!("[[print]]\nsize = \"8 x 10 in\"\n{keys}\n")).collect();
        let brief = brief(&prints);
        let names = FileNames::of(&brief);
        brief.prints.iter().map(|print| names.of_print(print).suggested).collect()
    }

    fn name(keys: &str) -> String {
        names(&[keys]).swap_remove(0).unwrap_or_default()
    }

    #[test]
    fn a_name_is_made_of_the_pattern_and_of_the_print_s_name() {
        for (pattern, wanted) in [
            ("p012*", "p012-plum-tart.jpg"),
            ("p012-*", "p012-plum-tart.jpg"),
            ("p012_*_final", "p012_plum-tart_final.jpg"),
            ("*tart*", "plum-tart.jpg"),
            ("p012-plum-tart", "p012-plum-tart.jpg"),
            ("P012.tif", "P012.tif"),
            ("p0??*", "p011-plum-tart.jpg"),
            ("wall[1]*", ""),
            ("rgb/p012*", "rgb/p012-plum-tart.jpg"),
        ] {
            let suggested = name(&format!("name = \"plum tart\"\npicture = \"{pattern}\""));
            assert_eq!(suggested, wanted, "{pattern}");
        }
        assert_eq!(name("name = \"p012 plum tart\"\npicture = \"p012*\""), "p012-plum-tart.jpg", "not twice");
        assert_eq!(name("name = \"Cr\u{ea}pes\"\npicture = \"p036*\""), "p036-crepes.jpg");
    }

    #[test]
    fn the_spelling_that_the_brief_requires_is_kept() {
        let of = |file: &str, pattern: &str| {
            let text = format!(
                "[file]\n{file}\n[[print]]\nname = \"Plum tart\"\nsize = \"8 x 10 in\"\npicture = \"{pattern}\""
            );
            let brief = brief(&text);
            FileNames::of(&brief).of_print(&brief.prints[0]).suggested
        };
        assert_eq!(of("name = \"lower case, digits, hyphen\"", "P012*").as_deref(), Some("p012-plum-tart.jpg"));
        assert_eq!(of("name = \"lower case, digits, underscore\"", "p012*").as_deref(), Some("p012_plum_tart.jpg"));
        assert_eq!(of("name_pattern = \"p[0-9]{3}\"", "p012*").as_deref(), Some("p012.jpg"));
        assert_eq!(of("name_pattern = \"[0-9]{9}\"", "p012*"), None, "none is better than a wrong one");
        assert_eq!(of("formats = \"tiff\"", "p012*").as_deref(), Some("p012-plum-tart.tif"));
    }

    #[test]
    fn no_other_print_takes_the_name_and_one_picture_has_one_name() {
        let apart = names(&["name = \"p12 tart\"\npicture = \"*12*\"", "name = \"tart\"\npicture = \"p12-tart*\""]);
        assert_eq!(apart[0].as_deref(), Some("12-p12-tart.jpg"), "p12-tart.jpg is the other's");
        let shared = ["name = \"large\"\npicture = \"tart*\"", "name = \"small\"\npicture = \"tart*\""];
        assert_eq!(names(&shared), [Some("tart-large.jpg".to_owned()), Some("tart-large.jpg".to_owned())]);
        assert_eq!(names(&["pictures = \"wall-*\"", ""]), [None, None]);
        let versions = brief(
            "[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n\
             [[version]]\nname = \"press\"\nfolder = \"cmyk/final\"\n\
             [[print]]\nname = \"tart\"\nsize = \"8 x 10 in\"\npicture = \"p012*\"\n",
        );
        let names = FileNames::of(&versions);
        let of_versions: Vec<String> = versions.prints.iter().map(|print| names.of_print(print).words()).collect();
        assert_eq!(of_versions, ["p012-tart.jpg, in rgb", "p012-tart.jpg, in cmyk/final"], "two files of one name");
    }

    #[test]
    fn thousands_of_names_cost_by_their_number_and_not_by_its_square() {
        let prints = |count: usize| {
            let print =
                |at: usize| format!("[[print]]\nsize = \"8 x 10 in\"\nname = \"n{at}\"\npicture = \"p{at:05}*\"\n");
            brief(&(0..count).map(print).collect::<String>())
        };
        grows_less_than_square(500, prints, |brief| {
            let names = FileNames::of(&brief);
            assert!(brief.prints.iter().all(|print| names.of_print(print).suggested.is_some()));
        });
    }
}
