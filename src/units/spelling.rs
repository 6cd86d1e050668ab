//! Suggestions of known words for misspelt ones.

use strsim::osa_distance;

/// Largest share of wrong letters in a misspelling: two in five, at least one. Own trial.
const SLIPS_OF_LETTERS: (usize, usize) = (2, 5);
/// Letters from which a word may be the beginning of a longer one.
const BEGINNING: usize = 3;
/// Longest word compared; longer ones are not misspellings.
const MAX_COMPARED: usize = 64;

/// Returns the known word nearest to an unknown one, if that can be a misspelling.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    let letters = word.chars().count();
    if letters > MAX_COMPARED {
        return None;
    }
    let most = (letters * SLIPS_OF_LETTERS.0 / SLIPS_OF_LETTERS.1).max(1);
    let begins = |one: &str| letters >= BEGINNING && one.starts_with(&word);
    // Distance counts letters added, left out, changed or swapped with a neighbour.
    let near = known.into_iter().map(|one| (osa_distance(&word, one), one));
    let near = near.filter(|(slips, one)| *slips <= most || begins(one));
    near.min_by_key(|(slips, one)| (!begins(one), *slips)).map(|(_, one)| one)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_hand_finds_its_word() {
        assert_eq!(nearest("wantd", ["wanted", "least"]), Some("wanted"));
        assert_eq!(nearest("baord", ["board", "bread"]), Some("board"));
        assert_eq!(nearest("copys", ["caption", "copies"]), Some("copies"));
        assert_eq!(nearest("mat", ["gloss", "matte"]), Some("matte"));
        assert_eq!(nearest("density.min", ["density.tag", "density.minimum"]), Some("density.minimum"));
        assert_eq!(nearest("jpg", ["tiff", "jpeg", "png"]), Some("jpeg"));
        assert_eq!(nearest("colour", ["surface", "stock"]), None);
        assert_eq!(nearest(&"a".repeat(65), ["a"]), None);
    }
}
