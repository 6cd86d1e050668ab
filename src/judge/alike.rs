//! Pictures that look the same: the same picture exported twice, or the next frame.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::brief::Print;
use crate::brief::asked::Level;
use crate::brief::picks::Picks;
use crate::judge::row::Row;
use crate::judge::rule::{Breach, Order, OrderBreach};

/// Characters of a capture time down to its second.
const SECOND_CHARACTERS: usize = "2026-11-02T10:21:07".len();

/// Asks which pictures with different bytes look the same. Only ever a question: no fingerprint tells a new export from
/// the next frame on a tripod.
pub fn ask(order: &Order) -> Vec<OrderBreach> {
    let seen: Vec<&Row> = order.rows.iter().map(Arc::as_ref).filter(|row| row.impression.is_some()).collect();
    let mut by_key: BTreeMap<(u8, u64), Vec<usize>> = BTreeMap::new();
    for (at, row) in seen.iter().enumerate() {
        for key in row.impression.iter().flat_map(|look| look.keys()) {
            by_key.entry(key).or_default().push(at);
        }
    }
    let mut pairs: BTreeSet<(usize, usize)> = BTreeSet::new();
    for together in by_key.values() {
        for (place, one) in together.iter().enumerate() {
            let others = together[place + 1..].iter().filter(|other| looks_like(order, seen[*one], seen[**other]));
            pairs.extend(others.map(|other| (*one, *other)));
        }
    }
    // Each picture asks about the nearest one before it alone, so that a series makes a chain and no heap.
    let mut asked: BTreeMap<usize, usize> = BTreeMap::new();
    for (one, other) in pairs {
        asked.insert(other, one);
    }
    asked.into_iter().map(|(other, one)| question(seen[one], seen[other])).collect()
}

/// Whether two rows hold different files of one look. Two pictures for one print are told as such already.
fn looks_like(order: &Order, one: &Row, other: &Row) -> bool {
    let differ = one.key.picture != other.key.picture && one.sha256 != other.sha256;
    let takes_one = |print: &Print| Some(&print.id) == one.key.print.as_ref() && matches!(print.picks, Picks::One(_));
    let versions = one.key.print == other.key.print && order.brief.prints.iter().any(takes_one);
    differ
        && !versions
        && one.impression.as_ref().zip(other.impression.as_ref()).is_some_and(|(one, other)| one.is_like(other))
}

/// Only a note, even of one moment: one exposure is exported for several sizes on purpose. Capture times, and names
/// where there are no times, decide which question it is.
fn question(one: &Row, other: &Row) -> OrderBreach {
    let pictures: Vec<_> = [one, other].into_iter().filter_map(|row| row.key.picture.clone()).collect();
    let names: Vec<String> = pictures.iter().map(ToString::to_string).collect();
    let taken = |row: &Row| row.facts.as_ref().and_then(|facts| facts.taken.clone());
    let asked = match (taken(one), taken(other)) {
        (Some(one), Some(other)) if one_moment(&one, &other) => {
            " and were taken at the same moment: is it the same picture twice?"
        }
        (Some(_), Some(_)) => " and were taken at different moments: is one the next frame?",
        _ if names.windows(2).all(|pair| one_stem(&pair[0], &pair[1])) => {
            ", and so do their names: is it the same picture twice?"
        }
        _ => ": is it the same picture, or the next frame?",
    };
    OrderBreach {
        rows: vec![other.key.clone()],
        breach: Breach {
            about: "look".to_owned(),
            at_most: Some(Level::Note),
            short: "looks alike".to_owned(),
            what: format!("{} look alike{asked}", names.join(" and ")),
            mend: "if one of them was exported twice under another name, export the picture that was meant".to_owned(),
            ..Breach::default()
        },
        pictures,
    }
}

/// Whether two capture times, `2026-11-02T10:21:07.25+01:00`, are one moment: to the second, and to its fraction where
/// both have one.
fn one_moment(one: &str, other: &str) -> bool {
    let parts = |time: &str| {
        let (second, rest) = time.split_at_checked(SECOND_CHARACTERS).unwrap_or((time, ""));
        let digits = rest.strip_prefix('.').unwrap_or("");
        (second.to_owned(), digits.split(|c: char| !c.is_ascii_digit()).next().unwrap_or("").to_owned())
    };
    let ((one, one_part), (other, other_part)) = (parts(one), parts(other));
    one == other && (one_part.is_empty() || other_part.is_empty() || one_part == other_part)
}

/// Whether one name is the other with something added, as `p012` and `p012-2`.
fn one_stem(one: &str, other: &str) -> bool {
    let stem = |name: &str| name.rsplit_once('.').map_or(name, |(stem, _)| stem).to_lowercase();
    let (one, other) = (stem(one), stem(other));
    let (short, long) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    let rest = long.strip_prefix(&short);
    rest.is_some_and(|rest| rest.chars().next().is_none_or(|c| !c.is_alphanumeric()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{brief, delivered, with_evidence, with_facts};
    use crate::measure::Grid;

    fn questions(waves: &[(u64, &str)]) -> Vec<String> {
        let text: String = (0..waves.len())
            .map(|at| format!("[[print]]\nname = \"p{at}\"\nsize = \"8 x 10 in\"\npicture = \"p{at}*\"\n"))
            .collect();
        let files: Vec<_> = waves
            .iter()
            .enumerate()
            .map(|(at, (waves, taken))| {
                let file = with_facts(delivered(&format!("p{at}.jpg"), 2400, 3000), |f| {
                    f.taken = Some((*taken).to_owned());
                });
                with_evidence(file, |e| {
                    (e.look.waves, e.look.small) = (*waves, Grid::filled(1, 1, 0));
                })
            })
            .collect();
        let rows = judge(&brief(&text), &files).rows;
        let of_rule = |row: &Row| row.findings.iter().find(|f| f.rule == "set.duplicate").map(|f| f.what.clone());
        rows.iter().filter_map(of_rule).collect()
    }

    #[test]
    fn pictures_that_look_alike_are_a_question_with_their_times() {
        let now = "2026-11-02T10:21:07";
        assert_eq!(
            questions(&[(0, now), (0x3f, now), (u64::MAX, now)]),
            ["p0.jpg and p1.jpg look alike and were taken at the same moment: is it the same picture twice?"]
        );
        let later = questions(&[(0, now), (0, "2026-11-02T10:21:09")]);
        assert!(later[0].ends_with("taken at different moments: is one the next frame?"), "{later:?}");
    }

    #[test]
    fn a_moment_is_told_to_the_second_and_its_fraction_where_both_have_one() {
        assert!(one_moment("2026-11-02T10:21:07", "2026-11-02T10:21:07.25+01:00"));
        assert!(one_moment("2026-11-02T10:21:07.25", "2026-11-02T10:21:07.25+01:00"));
        assert!(!one_moment("2026-11-02T10:21:07.25", "2026-11-02T10:21:07.5"));
        assert!(!one_moment("2026-11-02T10:21:07", "2026-11-02T10:21:08"));
        assert!(one_moment("", ""));
    }

    #[test]
    fn names_of_one_stem_are_told() {
        assert!(one_stem("p012.jpg", "P012-2.jpg") && one_stem("p012.jpg", "p012.tif"));
        assert!(!one_stem("p012.jpg", "p0125.jpg") && !one_stem("p012.jpg", "p013.jpg"));
    }

    #[test]
    fn a_series_asks_once_a_picture() {
        let now = "2026-11-02T10:21:07";
        assert_eq!(questions(&[(0, now); 5]).len(), 4);
    }
}
