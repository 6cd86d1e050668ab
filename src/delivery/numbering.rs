//! Which delivery of an order this is, in words: two deliveries of one day are told apart by their numbers.

use crate::decisions::sent::{SentDelivery, SentLog};

use super::repeated::RepeatedOrders;
use super::since::PrinterHoldings;
use crate::report::days;

/// Ordinals in words, from the first on.
const ORDINALS: [&str; 10] =
    ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"];

/// Which delivery it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DeliveryNumber {
    /// When it was made, as RFC 3339.
    pub made: String,
    /// Its number among the deliveries of its day, from 1; 0 where nobody recorded it.
    pub number: u32,
    /// The batch that it is, if it is one.
    pub batch: Option<u32>,
    /// The earlier delivery that it follows, in words; empty if there is none.
    pub follows: String,
    /// What it sends again; `None` if nothing, or if it says what has changed since.
    pub(super) repeats: Option<RepeatedOrders>,
}

impl DeliveryNumber {
    /// Numbers a delivery made now, after those of the log and the one that it follows.
    pub(super) fn next(
        made: &str,
        batch: Option<u32>,
        log: &SentLog,
        earlier: Option<&PrinterHoldings>,
    ) -> DeliveryNumber {
        let known = log.deliveries.iter().map(|one| (one.when.as_str(), one.number));
        let known = known.chain(earlier.map(|one| (one.made.as_str(), one.number)));
        let of_today = known.filter(|(when, _)| days::are_one(when, made)).map(|(_, number)| number);
        DeliveryNumber::of(made, of_today.max().unwrap_or_default() + 1, batch, earlier)
    }

    /// Describes a delivery whose number is known.
    pub(super) fn of(made: &str, number: u32, batch: Option<u32>, earlier: Option<&PrinterHoldings>) -> DeliveryNumber {
        let follows = earlier.map(|earlier| followed_words(earlier, made)).unwrap_or_default();
        DeliveryNumber { made: made.to_owned(), number, batch, follows, repeats: None }
    }

    /// Says which delivery it is, with its day.
    pub(super) fn words(&self) -> String {
        match self.number {
            0 | 1 => format!("written on {}", days::in_words(&self.made)),
            number => format!("{} of {}", ordinal(number), days::in_words(&self.made)),
        }
    }
}

/// Names the earlier delivery that one made at this time follows.
fn followed_words(earlier: &PrinterHoldings, made: &str) -> String {
    let day = days::in_words(&earlier.made);
    match earlier.number {
        0 => format!("the delivery of {day}"),
        number if days::are_one(&earlier.made, made) => format!("the {} of the same day", ordinal(number)),
        1 => format!("the delivery of {day}"),
        number => format!("the {} of {day}", ordinal(number)),
    }
}

/// Names a delivery of the log, with its day: `30 November 2026`, `second delivery of 30 November 2026`.
pub(super) fn delivery_name(delivery: &SentDelivery) -> String {
    let day = days::in_words(&delivery.when);
    match delivery.number {
        0 | 1 => day,
        number => format!("{day} ({})", ordinal(number)),
    }
}

/// `second delivery`, `delivery 11`.
fn ordinal(number: u32) -> String {
    let word = (number as usize).checked_sub(1).and_then(|at| ORDINALS.get(at));
    word.map_or_else(|| format!("delivery {number}"), |word| format!("{word} delivery"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    #[test]
    fn deliveries_of_one_day_are_told_apart_and_the_followed_one_is_named() {
        let sent =
            |when: &str, number| Arc::new(SentDelivery { when: when.to_owned(), number, ..SentDelivery::default() });
        let mut log = SentLog::default();
        // The middle of a day is in it everywhere but near the date line.
        let now = "2026-11-30T12:00:30Z";
        let next = |log: &SentLog| DeliveryNumber::next(now, None, log, None);
        assert_eq!(next(&log).words(), "written on 30 November 2026");
        log.deliveries = vec![sent("2026-11-20T12:00:00Z", 4), sent("2026-11-30T12:00:00Z", 1)];
        assert_eq!(next(&log).words(), "second delivery of 30 November 2026");
        log.deliveries.push(sent("2026-11-30T12:00:10Z", 10));
        assert_eq!(next(&log).words(), "delivery 11 of 30 November 2026");
        let of = |made: &str, number| {
            followed_words(&PrinterHoldings { made: made.to_owned(), number, ..PrinterHoldings::default() }, now)
        };
        assert_eq!(of("2026-11-30T12:00:00Z", 1), "the first delivery of the same day");
        assert_eq!(of("2026-11-30T12:00:10Z", 10), "the tenth delivery of the same day");
        assert_eq!(of("2026-11-20T12:00:00Z", 4), "the fourth delivery of 20 November 2026");
        assert_eq!(of("2026-11-20T12:00:00Z", 1), "the delivery of 20 November 2026");
        assert_eq!(of("2026-11-30T12:00:00Z", 0), "the delivery of 30 November 2026");
        // A record says its number, too, where no log does.
        let earlier = PrinterHoldings { made: now.to_owned(), number: 2, ..PrinterHoldings::default() };
        assert_eq!(DeliveryNumber::next(now, None, &SentLog::default(), Some(&earlier)).number, 3);
    }
}
