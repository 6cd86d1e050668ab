//! What an order says beside its pictures: who prints, for whom, by when, and how.

use crate::brief::Brief;
use crate::decisions::sent::OrderTerms;
use crate::units::words::visible;

use crate::report::days;

/// What the term is about whose text is a date.
const DUE: &str = "files due at the printer";

/// A term that differs from an earlier delivery's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChangedTerm {
    /// What it is about.
    pub about: &'static str,
    before: Option<String>,
    now: Option<String>,
}

/// Returns the terms of a brief.
pub(super) fn terms(brief: &Brief) -> OrderTerms {
    let margins = &brief.requirements.margins;
    OrderTerms {
        title: brief.title.clone(),
        printer: brief.printer.clone(),
        from: brief.from.clone(),
        due: brief.due.clone(),
        colour_correction: brief.colour_correction.clone(),
        transfer: brief.requirements.delivery.transfer.clone(),
        safe_margin: Some(margins.safe.show(margins.unit)),
    }
}

/// Returns the terms that differ from earlier ones.
pub(super) fn compare_terms(now: OrderTerms, before: OrderTerms) -> Vec<ChangedTerm> {
    let pairs = named_terms(before).into_iter().zip(named_terms(now)).filter(|((_, before), (_, now))| before != now);
    pairs.map(|((about, before), (_, now))| ChangedTerm { about, before, now }).collect()
}

fn named_terms(terms: OrderTerms) -> [(&'static str, Option<String>); 7] {
    [
        ("title", terms.title),
        ("printer", terms.printer),
        ("from", terms.from),
        (DUE, terms.due),
        ("colour correction", terms.colour_correction),
        ("transfer", terms.transfer),
        ("safe margin", terms.safe_margin),
    ]
}

impl ChangedTerm {
    /// Describes the term and what it was, without control characters.
    pub(super) fn words(&self) -> String {
        let said = |text: &Option<String>, none: &str| match text {
            Some(day) if self.about == DUE => days::in_words(day),
            Some(text) => visible(text).into_owned(),
            None => none.to_owned(),
        };
        format!("{}: {}; before: {}", self.about, said(&self.now, "no longer given"), said(&self.before, "not given"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing::brief;

    #[test]
    fn a_term_that_changed_is_named_with_what_it_was() {
        let of = |text: &str| terms(&brief(&format!("{text}\n[[print]]\nsize = \"8 x 10 in\"\n")));
        let words = |now: &str, before: &str| -> Vec<String> {
            compare_terms(of(now), of(before)).iter().map(ChangedTerm::words).collect()
        };
        assert!(words("title = \"Low Water\"", "title = \"Low Water\"").is_empty());
        assert_eq!(
            words("due = 2026-12-18\ncolour_correction = \"none\\u001b[31m\"", "due = 2026-12-11\nfrom = \"Maren\""),
            [
                "from: no longer given; before: Maren",
                "files due at the printer: 18 December 2026; before: 11 December 2026",
                &format!("colour correction: {}; before: not given", visible("none\u{1b}[31m")),
            ]
        );
        assert_eq!(
            words("[delivery]\ntransfer = \"by post\"\n[margins]\nsafe = \"5 mm\"", "[margins]\nsafe = \"3 mm\""),
            ["transfer: by post; before: not given", "safe margin: 5 mm; before: 3 mm"]
        );
        assert_eq!(words("printer = \"Corrow Lane\"", "title = \"Low Water\"").len(), 2);
    }
}
