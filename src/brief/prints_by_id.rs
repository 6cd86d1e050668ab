//! The prints of a brief by their ids, so that thousands of rows each find theirs without a search; and by the words
//! that a person has for them.

use std::collections::HashMap;

use super::model::{Brief, Print, PrintId};

/// The prints, each found without going through the others.
#[derive(Clone, Debug)]
pub struct PrintsById<'a> {
    by_id: HashMap<&'a PrintId, &'a Print>,
    /// How many prints of a version have a name.
    of_name: HashMap<(Option<&'a str>, &'a str), usize>,
}

/// A person's word for a print is the name of several.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the brief has {count} prints named \"{name}\"; name one by its id: {ids}")]
pub struct SeveralPrints {
    /// The name, as typed.
    name: String,
    /// Number of prints of that name.
    count: usize,
    /// Their ids, in words.
    ids: String,
}

/// Most ids that an error lists.
const MAX_LISTED: usize = 12;

impl Brief {
    /// Returns the print that a person calls by its id, or by its name where no other print has that name; `None` if
    /// there is none.
    ///
    /// # Errors
    /// Several prints have that name.
    pub fn print_called(&self, word: &str) -> Result<Option<&Print>, SeveralPrints> {
        if let Some(print) = self.prints.iter().find(|print| &*print.id.0 == word) {
            return Ok(Some(print));
        }
        let named: Vec<&Print> = self.prints.iter().filter(|print| print.name == word).collect();
        if named.len() <= 1 {
            return Ok(named.first().copied());
        }
        let listed: Vec<&str> = named.iter().take(MAX_LISTED).map(|print| &*print.id.0).collect();
        let more = if named.len() > MAX_LISTED { ", ..." } else { "" };
        Err(SeveralPrints { name: word.to_owned(), count: named.len(), ids: format!("{}{more}", listed.join(", ")) })
    }

    /// Returns the id of the print that a word means; the word itself where no print is called that: the brief may once
    /// have had one of that id.
    ///
    /// # Errors
    /// Several prints have that name.
    pub fn print_id_of(&self, word: &str) -> Result<PrintId, SeveralPrints> {
        Ok(self.print_called(word)?.map_or_else(|| PrintId(word.into()), |print| print.id.clone()))
    }
}

/// A print's name with that of its version: two versions of a print have one name, and each is told by its version.
fn name_in_version(print: &Print) -> (Option<&str>, &str) {
    (print.version.as_ref().map(|version| &*version.name), &print.name)
}

impl<'a> PrintsById<'a> {
    /// Returns the prints of a brief.
    pub fn of(brief: &'a Brief) -> PrintsById<'a> {
        let by_id = brief.prints.iter().map(|print| (&print.id, print)).collect();
        let mut of_name = HashMap::new();
        brief.prints.iter().for_each(|print| *of_name.entry(name_in_version(print)).or_default() += 1);
        PrintsById { by_id, of_name }
    }

    /// Returns the print of an id, as a row has it; `None` where no print wants its picture.
    pub fn get(&self, id: Option<&PrintId>) -> Option<&'a Print> {
        self.by_id.get(id?).copied()
    }

    /// Returns the id of a print whose name does not tell which print of its version it is.
    pub fn id_beside_name(&self, id: Option<&PrintId>) -> Option<&'a str> {
        let print = self.get(id)?;
        self.of_name.get(&name_in_version(print)).filter(|count| **count > 1).map(|_| &*print.id.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::parse;
    use crate::units::growth::grows_less_than_square;
    use std::path::Path;

    #[test]
    fn a_print_is_called_by_its_id_or_by_a_name_that_it_alone_has() {
        let text = "[[print]]\nname = \"wall\"\nsize = \"8 x 10 in\"\n[[print]]\nname = \"wall\"\nsize = \"A4\"\n\
                    [[print]]\nname = \"card\"\nsize = \"A6\"\n[[print]]\nname = \"small\"\nid = \"other\"\n\
                    size = \"A6\"\n[[print]]\nname = \"other\"\nid = \"large\"\nsize = \"A3\"\n";
        let brief = parse(text, Path::new("test.toml"), None, &[]).unwrap();
        let called = |word: &str| brief.print_called(word).map(|print| print.map(|print| print.id.to_string()));
        assert_eq!(called("card"), Ok(Some("card".to_owned())));
        assert_eq!(called("other"), Ok(Some("other".to_owned())), "an id comes first");
        assert_eq!(called("nobody"), Ok(None));
        let ids: Vec<&str> = brief.prints.iter().map(|print| &*print.id.0).collect();
        let said = format!("the brief has 2 prints named \"wall\"; name one by its id: {}, {}", ids[0], ids[1]);
        assert_eq!(called("wall").unwrap_err().to_string(), said);
        assert_eq!(called(ids[1]), Ok(Some(ids[1].to_owned())));
        let prints = PrintsById::of(&brief);
        assert_eq!(prints.id_beside_name(Some(&brief.prints[1].id)), Some(ids[1]));
        assert_eq!(prints.id_beside_name(Some(&brief.prints[2].id)), None);
    }

    #[test]
    fn a_print_is_found_at_the_same_cost_however_many_there_are() {
        let print = |at| format!("[[print]]\nname = \"p{at}\"\nsize = \"8 x 10 in\"\n");
        let many = |count: usize| {
            let text: String = (0..count).map(print).collect();
            parse(&text, Path::new("test.toml"), None, &[]).unwrap()
        };
        grows_less_than_square(500, many, |brief| {
            let prints = PrintsById::of(&brief);
            assert!(brief.prints.iter().all(|print| prints.get(Some(&print.id)) == Some(print)));
            assert_eq!(prints.get(None), None);
        });
    }
}
