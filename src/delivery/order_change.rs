//! What has become of the orders for a picture since an earlier delivery.

use std::collections::HashMap;

use super::ordered::OrderedPrint;

/// The earlier orders for a picture, parted by what has become of them.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct OrderChange {
    /// True if anything is ordered that was not, or was ordered that is no longer.
    pub(super) is_changed: bool,
    /// Orders that no longer apply, in words.
    pub(super) no_longer: Vec<String>,
    /// Orders that stay as they are, since this delivery leaves their prints out.
    pub(super) stays: Vec<OrderedPrint>,
}

/// How often each text is left to be matched.
struct Counts<'a>(HashMap<&'a str, usize>);

impl<'a> Counts<'a> {
    fn of(texts: impl Iterator<Item = &'a str>) -> Counts<'a> {
        let mut counts = HashMap::new();
        texts.for_each(|text| *counts.entry(text).or_default() += 1);
        Counts(counts)
    }

    /// True if the text was left; it is left once less from then on.
    fn take(&mut self, text: &str) -> bool {
        let left = self.0.get_mut(text).filter(|left| **left > 0);
        left.map(|left| *left -= 1).is_some()
    }
}

impl OrderChange {
    /// Compares the orders of an earlier delivery with those of this one and those of the prints that it leaves out.
    pub(super) fn of(before: Vec<OrderedPrint>, now: &[OrderedPrint], left_out: &[OrderedPrint]) -> OrderChange {
        let mut same = Counts::of(now.iter().map(|one| one.words.as_str()));
        let mut words_left_out = Counts::of(left_out.iter().map(|one| one.words.as_str()));
        let mut prints_left_out = Counts::of(left_out.iter().map(|one| one.print.as_str()));
        let before: Vec<OrderedPrint> = before.into_iter().filter(|one| !same.take(&one.words)).collect();
        let (mut stays, others): (Vec<_>, Vec<_>) = before.into_iter().partition(|one| words_left_out.take(&one.words));
        for one in &stays {
            prints_left_out.take(&one.print);
        }
        // The order of a print that is left out may have changed meanwhile: the delivery that sends it says so.
        let (changed_since, gone): (Vec<_>, Vec<_>) =
            others.into_iter().partition(|one| prints_left_out.take(&one.print));
        stays.extend(changed_since);
        let is_more = same.0.values().any(|left| *left > 0);
        let no_longer: Vec<String> = gone.into_iter().map(|one| one.words).collect();
        OrderChange { is_changed: is_more || !no_longer.is_empty(), no_longer, stays }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::growth::grows_less_than_square;

    fn orders(lines: &[(&str, u32)]) -> Vec<OrderedPrint> {
        let order = |(print, copies): &(&str, u32)| OrderedPrint {
            words: format!("{print}, {copies} copies"),
            print: (*print).to_owned(),
        };
        lines.iter().map(order).collect()
    }

    #[test]
    fn what_is_ordered_differently_is_known_with_what_it_was() {
        let of = |before: &[(&str, u32)], now: &[(&str, u32)]| {
            let change = OrderChange::of(orders(before), &orders(now), &[]);
            assert!(change.stays.is_empty());
            (change.is_changed, change.no_longer.len())
        };
        assert_eq!(of(&[("wall", 1), ("page", 2)], &[("page", 2), ("wall", 1)]), (false, 0));
        assert_eq!(of(&[("wall", 1)], &[("wall", 2)]), (true, 1));
        assert_eq!(of(&[("wall", 1)], &[("wall", 1), ("wall", 1)]), (true, 0));
        assert_eq!(of(&[("wall", 1), ("wall", 1)], &[("wall", 1)]), (true, 1));
    }

    #[test]
    fn orders_of_prints_that_are_left_out_stay_and_are_not_replaced() {
        let of = |before: &[(&str, u32)], now: &[(&str, u32)], left_out: &[(&str, u32)]| {
            let change = OrderChange::of(orders(before), &orders(now), &orders(left_out));
            let words = |one: OrderedPrint| one.words;
            (change.is_changed, change.no_longer, change.stays.into_iter().map(words).collect::<Vec<_>>())
        };
        let lines = |lines: &[(&str, u32)]| orders(lines).into_iter().map(|one| one.words).collect::<Vec<_>>();
        let one = [("one", 1)];
        assert_eq!(of(&one, &[("two", 1)], &one), (true, vec![], lines(&one)), "for more prints");
        assert_eq!(of(&[("one", 1), ("two", 1)], &[("two", 1)], &one), (false, vec![], lines(&one)));
        assert_eq!(of(&one, &[("two", 1)], &[("one", 5)]), (true, vec![], lines(&one)), "it is not of this delivery");
        // Two prints that are called alike: the one whose order is known stays.
        let (before, now) = ([("page", 1), ("page", 2)], [("page", 3)]);
        assert_eq!(of(&before, &now, &[("page", 1)]), (true, lines(&[("page", 2)]), lines(&[("page", 1)])));
    }

    #[test]
    fn orders_are_compared_at_the_cost_of_their_number_and_not_of_its_square() {
        let many = |count: usize| {
            let of = |name: &str| {
                let order = |at: usize| OrderedPrint { words: format!("{name}, {at} copies"), print: name.to_owned() };
                (0..count).map(order).collect::<Vec<_>>()
            };
            (of("page"), of("wall"), of("shelf"))
        };
        grows_less_than_square(500, many, |(before, now, left_out)| {
            let count = before.len();
            assert_eq!(OrderChange::of(before, &now, &left_out).no_longer.len(), count);
        });
    }
}
