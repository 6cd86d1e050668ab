//! Suggestions of the unclaimed picture that a print without one may mean, by nearly matching names.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use crate::brief::picture_patterns::PictureSelector;
use crate::brief::{Brief, Print};
use crate::judge::matching::pairing::{Pairing, UnpairedReason};
use crate::judge::model::submission::Submission;

/// Fewest letters of a word that tells names apart. Own choice.
const WORD: usize = 4;
/// Fewest letters of a print's only such word. Own choice.
const LONG_WORD: usize = 6;
/// Most pictures compared with one print's words: a word that more pictures share suggests none. Own choice.
const MAX_LOOKED_AT: usize = 16;

/// Nearly matching pairs of prints without a picture and pictures without a print: indices into the brief and the
/// folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NameSuggestions {
    /// For each print, its picture.
    pub picture_of: BTreeMap<usize, usize>,
    /// For each picture, the first print that it may be for.
    pub print_of: BTreeMap<usize, usize>,
}

impl NameSuggestions {
    /// Returns the suggestions for a folder that was paired with a brief.
    pub fn of(brief: &Brief, folder: &[Submission], paired: &Pairing) -> NameSuggestions {
        let waiting = paired.of_print.iter().enumerate().filter(|(_, pictures)| pictures.is_empty());
        let unasked = paired.extra.iter().filter(|(_, why)| *why == UnpairedReason::Unasked).map(|(at, _)| *at);
        // Another name makes no picture of a text.
        let pictures = unasked.filter(|at| folder[*at].no_picture_words().is_none());
        let mut by_version: HashMap<Option<usize>, Vec<usize>> = HashMap::new();
        pictures.for_each(|at| by_version.entry(brief.version_at(folder[at].key.as_str())).or_default().push(at));
        let names: HashMap<Option<&str>, UnclaimedNames> = by_version
            .into_iter()
            .map(|(version, files)| {
                let folder_of = version.and_then(|at| brief.order_versions.get(at)).map(|version| &*version.folder);
                (folder_of, UnclaimedNames::of(folder, files.into_iter()))
            })
            .collect();
        let mut near = NameSuggestions::default();
        for (print, _) in waiting {
            let own = brief.prints[print].version.as_ref().map(|version| &*version.folder);
            if let Some(picture) = names.get(&own).and_then(|names| names.nearest(&brief.prints[print])) {
                near.picture_of.insert(print, picture);
                near.print_of.entry(picture).or_insert(print);
            }
        }
        near
    }
}

/// The names of pictures that no print wants, indexed by number and by word.
struct UnclaimedNames {
    /// Lower case, sorted, each with its index in the folder.
    sorted: Vec<(String, usize)>,
    by_number: HashMap<(String, u64), usize>,
    by_word: HashMap<String, Vec<usize>>,
}

impl UnclaimedNames {
    fn of(folder: &[Submission], unasked: impl Iterator<Item = usize>) -> UnclaimedNames {
        let mut names = UnclaimedNames { sorted: Vec::new(), by_number: HashMap::new(), by_word: HashMap::new() };
        for at in unasked {
            let name = folder[at].key.stem().to_lowercase();
            if let Some(number) = split_number(&name) {
                names.by_number.entry(number).or_insert(at);
            }
            for word in words(&name) {
                names.by_word.entry(word).or_default().push(at);
            }
            names.sorted.push((name, at));
        }
        names.sorted.sort_unstable();
        names
    }

    fn nearest(&self, print: &Print) -> Option<usize> {
        let (PictureSelector::One(pattern) | PictureSelector::Many(pattern)) = &print.pictures else { return None };
        let beginning = pattern.beginning();
        let by_number = || split_number(&beginning).and_then(|number| self.by_number.get(&number).copied());
        let begins = || {
            let from = self.sorted.partition_point(|(name, _)| *name < beginning);
            let (name, at) = self.sorted.get(from)?;
            (!beginning.is_empty() && name.starts_with(&beginning)).then_some(*at)
        };
        by_number().or_else(begins).or_else(|| self.by_words(&print.name.to_lowercase()))
    }

    /// Returns the one picture whose name has every word of a print's name.
    fn by_words(&self, name: &str) -> Option<usize> {
        let needed = words(name);
        if needed.len() < 2 && needed.iter().all(|word| word.chars().count() < LONG_WORD) {
            return None;
        }
        let having: Option<Vec<&Vec<usize>>> = needed.iter().map(|word| self.by_word.get(word)).collect();
        let having = having?;
        let fewest = having.iter().min_by_key(|places| places.len()).filter(|few| few.len() <= MAX_LOOKED_AT)?;
        let mut all = fewest.iter().filter(|at| having.iter().all(|places| places.binary_search(at).is_ok()));
        let found = all.next().copied();
        found.filter(|_| all.next().is_none())
    }
}

/// Returns the letters at the start of a name and the number after them, without leading zeros: `p034-tart` is p, 34.
fn split_number(name: &str) -> Option<(String, u64)> {
    let digits = name.find(|letter: char| letter.is_ascii_digit())?;
    let (letters, rest) = name.split_at(digits);
    let end = rest.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(rest.len());
    let letters = letters.trim_end_matches(['-', '_', ' ', '0']).to_owned();
    Some((letters, rest[..end].parse().ok()?))
}

/// Returns the words of a name that tell it from others.
fn words(name: &str) -> BTreeSet<String> {
    let all = name.split(|letter: char| !letter.is_alphabetic());
    all.filter(|word| word.chars().count() >= WORD).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::matching::pairing::pair;
    use crate::judge::testing::{brief, sound_submission};

    fn near(prints: &[(&str, &str)], names: &[&str]) -> Vec<(usize, usize)> {
        let text: String = prints
            .iter()
            .map(|(name, picture)| {
                format!("[[print]]\nname = \"{name}\"\nsize = \"8 x 10 in\"\npicture = \"{picture}\"\n")
            })
            .collect();
        let (brief, folder) =
            (brief(&text), names.iter().map(|name| sound_submission(name, 2400, 3000)).collect::<Vec<_>>());
        NameSuggestions::of(&brief, &folder, &pair(&brief, &folder)).picture_of.into_iter().collect()
    }

    #[test]
    fn a_number_written_differently_is_nearly_the_name() {
        assert_eq!(near(&[("crêpes", "p034*")], &["p34-crepes.jpg"]), [(0, 0)]);
        assert_eq!(near(&[("crêpes", "p034*")], &["p-034 crepes.jpg"]), [(0, 0)]);
        assert_eq!(near(&[("crêpes", "p034*")], &["p35-crepes.jpg", "q34.jpg"]), []);
    }

    #[test]
    fn a_longer_number_is_suggested_for_a_name() {
        assert_eq!(near(&[("all", "p0*")], &["p013-tart.jpg"]), [(0, 0)]);
    }

    #[test]
    fn the_words_of_a_print_s_name_tell_its_picture_where_one_alone_has_them() {
        let print = [("p031 barley broth", "p031*")];
        assert_eq!(near(&print, &["barley-broth-final.jpg", "barley.jpg"]), [(0, 0)]);
        assert_eq!(near(&print, &["barley-broth.jpg", "broth-of-barley.jpg"]), [], "which of the two nobody knows");
        assert_eq!(near(&[("wall", "w1*")], &["wall.jpg"]), [], "one short word is in many names");
    }

    #[test]
    fn what_has_its_picture_or_its_print_is_not_asked() {
        assert_eq!(near(&[("tart", "p012*")], &["p012-tart.jpg", "p12-tart.jpg"]), []);
        let rest = brief("[[print]]\nsize = \"8 x 10 in\"");
        assert_eq!(NameSuggestions::of(&rest, &[], &pair(&rest, &[])), NameSuggestions::default());
    }
}
