//! The prints of a brief by their ids, so that thousands of rows each find theirs without a search.

use std::collections::HashMap;

use super::model::{Brief, Print, PrintId};

/// The prints, each found without going through the others.
#[derive(Clone, Debug)]
pub struct PrintsById<'a>(HashMap<&'a PrintId, &'a Print>);

impl<'a> PrintsById<'a> {
    /// The prints of a brief.
    pub fn of(brief: &'a Brief) -> PrintsById<'a> {
        PrintsById(brief.prints.iter().map(|print| (&print.id, print)).collect())
    }

    /// The print of an id, as a row has it; `None` where no print wants its picture.
    pub fn get(&self, id: Option<&PrintId>) -> Option<&'a Print> {
        self.0.get(id?).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::parse;
    use crate::units::growth::grows_less_than_square;
    use std::path::Path;

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
