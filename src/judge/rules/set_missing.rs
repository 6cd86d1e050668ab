//! set.missing: a print without a picture. The rule is a row's state.

use crate::brief::Print;
use crate::brief::asked::Level;
use crate::brief::picks::Picks;
use crate::judge::rule::{Ask, Rule, Samples};
use crate::units::words::visible;

/// The rule: its words stand here, its state is given by the pairing.
pub static RULE: Rule = Rule {
    id: "set.missing",
    question: "Has every print its picture?",
    level: Level::Must,
    why: "a page without its picture stops the whole book",
    page: "Every print of the brief that no picture of the folder answers is a row of its own with the state MISSING. \
           It is no fault while the shoot goes on; `check --complete` makes it one.",
    keys: &["print.picture", "print.pictures", "prints"],
    source: "the brief's own list",
    samples: Samples {
        holds: "p012-plum-tart.jpg for picture = \"p012*\"",
        fails: "only p120-crepes.jpg in the folder",
    },
    silences: &[],
    ask: Ask::State,
};

/// What a MISSING row says of itself.
pub fn remark(print: &Print) -> String {
    match &print.picks {
        Picks::One(pattern) => format!("no picture yet whose name fits \"{}\"", visible(pattern.as_str())),
        Picks::Many(pattern) => format!("no pictures yet whose names fit \"{}\"", visible(pattern.as_str())),
        Picks::Rest => "no picture yet in the folder".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::print;

    #[test]
    fn a_missing_row_names_the_pattern_that_waits() {
        let print = print("[[print]]\nsize = \"8 x 10 in\"\npicture = \"p012*\"");
        assert_eq!(remark(&print), "no picture yet whose name fits \"p012*\"");
    }
}
