//! What has become of the orders for a picture since an earlier delivery.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::hash::Hash;

use crate::units::show;
use crate::units::words::visible;

use super::ordered::size_and_page;
use crate::decisions::sent::OrderedPrint;

/// What has become of one print of a picture. Foreign text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PrintChange {
    /// It was not ordered before; the print's name.
    Added(String),
    /// It is no longer ordered; the print's name, or its whole order where another print has that name.
    Withdrawn(String),
    /// Another number of copies is ordered.
    Copies {
        /// The print's name.
        print: String,
        /// The earlier number.
        before: Option<u32>,
        /// The number now.
        now: Option<u32>,
    },
    /// Its caption is another.
    Caption,
    /// It has another name.
    Renamed {
        /// The earlier name.
        before: String,
        /// The name now.
        now: String,
    },
    /// Something else of it is ordered differently.
    Detail {
        /// What was ordered; `None` if nothing was said of it.
        before: Option<String>,
        /// What is ordered now; `None` if nothing is said of it.
        now: Option<String>,
    },
    /// It is ordered differently, and the record does not hold in what; the earlier order.
    Differs(String),
}

/// The earlier orders for a picture, parted by what has become of them.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct OrderChange {
    /// What has become of single prints; empty if the order is the same.
    pub(super) changes: Vec<PrintChange>,
    /// Names of prints that were ordered and still are.
    pub(super) kept: Vec<String>,
    /// Orders that stay as they are, since this delivery leaves their prints out.
    pub(super) unchanged: Vec<OrderedPrint>,
    /// The copies that were ordered before of each order of now, by its words; those that are new are not in it.
    pub(super) copies_before: BTreeMap<String, Option<u32>>,
    /// The orders of now that were there before and differ in copies, caption or name at most: by their words, the
    /// copies before of each of those with these words.
    pub(super) repeated: BTreeMap<String, Vec<Option<u32>>>,
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
    /// Returns the change of orders that were there before, as nobody recorded them.
    pub(super) fn unknown(now: &[OrderedPrint]) -> OrderChange {
        let copies_before = now.iter().map(|one| (one.words.clone(), None)).collect();
        let mut repeated: BTreeMap<String, Vec<Option<u32>>> = BTreeMap::new();
        now.iter().for_each(|one| repeated.entry(one.words.clone()).or_default().push(None));
        OrderChange { copies_before, repeated, ..OrderChange::default() }
    }

    /// Compares the orders of an earlier delivery with those of this one and those of the prints that it leaves out.
    pub(super) fn of(before: Vec<OrderedPrint>, now: &[OrderedPrint], left_out: &[OrderedPrint]) -> OrderChange {
        let mut same = Counts::of(now.iter().map(|one| one.words.as_str()));
        let mut words_left_out = Counts::of(left_out.iter().map(|one| one.words.as_str()));
        let mut prints_left_out = Counts::of(left_out.iter().map(|one| one.print.as_str()));
        let (stay, before): (Vec<_>, Vec<_>) = before.into_iter().partition(|one| same.take(&one.words));
        let (mut unchanged, others): (Vec<_>, Vec<_>) =
            before.into_iter().partition(|one| words_left_out.take(&one.words));
        for one in &unchanged {
            prints_left_out.take(&one.print);
        }
        // The order of a print that is left out may have changed meanwhile: the delivery that sends it says so.
        let (changed_since, gone): (Vec<_>, Vec<_>) =
            others.into_iter().partition(|one| prints_left_out.take(&one.print));
        unchanged.extend(changed_since);
        let more: Vec<&OrderedPrint> = now.iter().filter(|one| same.take(&one.words)).collect();
        let matched = MatchedOrders::of(gone.iter().collect(), more);
        let pairs = stay.iter().map(|one| (one, one)).chain(matched.pairs.iter().copied());
        let copies_of = |one: &OrderedPrint| one.parts.as_ref().and_then(|parts| parts.copies);
        let pairs: Vec<OrderPair> = pairs.collect();
        let copies_before = pairs.iter().map(|(before, now)| (now.words.clone(), copies_of(before))).collect();
        let details = |one: &OrderedPrint| one.parts.as_ref().map(|parts| parts.details.clone());
        let mut repeated: BTreeMap<String, Vec<Option<u32>>> = BTreeMap::new();
        for (before, now) in &pairs {
            if before.words == now.words || details(before).is_some() && details(before) == details(now) {
                repeated.entry(now.words.clone()).or_default().push(copies_of(before));
            }
        }
        let changes = matched.changes(now);
        let added: HashSet<&str> = changes.iter().filter_map(PrintChange::added).collect();
        let kept = now.iter().filter(|one| !added.contains(one.print.as_str())).chain(&unchanged);
        let kept = kept.map(|one| one.print.clone()).collect();
        OrderChange { changes, kept, unchanged, copies_before, repeated }
    }
}

/// An earlier order and the one that took its place.
type OrderPair<'a> = (&'a OrderedPrint, &'a OrderedPrint);

/// Orders that are gone and orders that are new, matched as far as one took the place of another.
struct MatchedOrders<'a> {
    pairs: Vec<OrderPair<'a>>,
    /// Earlier orders in whose place there is none.
    gone: Vec<&'a OrderedPrint>,
    /// Orders that took nothing's place.
    more: Vec<&'a OrderedPrint>,
}

impl<'a> MatchedOrders<'a> {
    fn of(gone: Vec<&'a OrderedPrint>, more: Vec<&'a OrderedPrint>) -> MatchedOrders<'a> {
        let (of_name, gone, more) =
            pair_orders(gone, more, |one| Some(one.print.as_str()).filter(|name| !name.is_empty()));
        // A print with another name is still the same one where all else is the same, or size and page at least.
        let (alike, gone, more) = pair_orders(gone, more, |one| one.parts.as_ref().map(|parts| &parts.details));
        let (in_its_place, gone, more) = pair_orders(gone, more, |one| one.parts.as_ref().map(size_and_page));
        MatchedOrders { pairs: [of_name, alike, in_its_place].concat(), gone, more }
    }

    /// Says what has become of the orders, among all that are ordered now.
    fn changes(self, now: &[OrderedPrint]) -> Vec<PrintChange> {
        let names: HashSet<&str> = now.iter().map(|one| one.print.as_str()).collect();
        let withdrawn = |one: &OrderedPrint| match one.print.as_str() {
            "" => PrintChange::Differs(one.words.clone()),
            name if names.contains(name) => PrintChange::Withdrawn(one.words.clone()),
            name => PrintChange::Withdrawn(name.to_owned()),
        };
        let mut changes: Vec<PrintChange> = self.gone.into_iter().map(withdrawn).collect();
        changes.extend(self.pairs.into_iter().flat_map(|(before, now)| differences(before, now)));
        changes.extend(self.more.into_iter().map(|one| PrintChange::Added(one.print.clone())));
        changes
    }
}

/// Pairs orders that have something in common, and returns those that are left on either side.
fn pair_orders<'a, C: Hash + Eq>(
    before: Vec<&'a OrderedPrint>,
    now: Vec<&'a OrderedPrint>,
    common: fn(&'a OrderedPrint) -> Option<C>,
) -> (Vec<OrderPair<'a>>, Vec<&'a OrderedPrint>, Vec<&'a OrderedPrint>) {
    let mut places: HashMap<C, Vec<usize>> = HashMap::new();
    for (at, one) in now.iter().enumerate().rev() {
        if let Some(shared) = common(one) {
            places.entry(shared).or_default().push(at);
        }
    }
    let (mut pairs, mut gone, mut taken) = (Vec::new(), Vec::new(), HashSet::new());
    for one in before {
        match common(one).and_then(|shared| places.get_mut(&shared)?.pop()) {
            Some(at) => {
                taken.insert(at);
                pairs.push((one, now[at]));
            }
            None => gone.push(one),
        }
    }
    let more = now.into_iter().enumerate().filter(|(at, _)| !taken.contains(at)).map(|(_, one)| one).collect();
    (pairs, gone, more)
}

/// Says in what a print's order differs from the earlier one.
fn differences(before: &OrderedPrint, now: &OrderedPrint) -> Vec<PrintChange> {
    let parts = before.parts.as_ref().zip(now.parts.as_ref());
    // A record that was written before details were kept has none.
    let Some((one, other)) = parts.filter(|(one, _)| !one.details.is_empty()) else {
        return vec![PrintChange::Differs(before.words.clone())];
    };
    let renamed = PrintChange::Renamed { before: before.print.clone(), now: now.print.clone() };
    let copies = PrintChange::Copies { print: now.print.clone(), before: one.copies, now: other.copies };
    let changes = [
        (before.print != now.print).then_some(renamed),
        (one.copies != other.copies).then_some(copies),
        (one.caption != other.caption).then_some(PrintChange::Caption),
    ];
    let abouts: BTreeSet<&String> = one.details.keys().chain(other.details.keys()).collect();
    let pairs = abouts.into_iter().map(|about| (one.details.get(about), other.details.get(about)));
    let details = pairs.filter(|(before, now)| before != now);
    let details = details.map(|(before, now)| PrintChange::Detail { before: before.cloned(), now: now.cloned() });
    changes.into_iter().flatten().chain(details).collect()
}

/// Describes a detail of an order, and what it was before.
fn detail_words(before: Option<&str>, now: Option<&str>) -> String {
    match (before, now) {
        (Some(before), Some(now)) => format!("{}; before: {}", visible(now), visible(before)),
        (None, Some(now)) => format!("now {}", visible(now)),
        (before, None) => format!("no longer {}", visible(before.unwrap_or_default())),
    }
}

/// Describes a number of copies and the one before. A number instead of another stands between `joint` and `end`.
fn copies_words(before: Option<u32>, now: Option<u32>, joint: &str, end: &str) -> String {
    let of = |copies: u32| show::count(copies as usize, "copy", "copies");
    match (before, now) {
        (Some(before), Some(now)) => format!("{}{joint}instead of {before}{end}", of(now)),
        (None, Some(now)) => format!("{}; before: no number of copies", of(now)),
        (before, None) => format!("no number of copies any more; before: {}", of(before.unwrap_or_default())),
    }
}

impl PrintChange {
    pub(super) fn is_added(&self) -> bool {
        self.added().is_some()
    }

    fn added(&self) -> Option<&str> {
        if let PrintChange::Added(print) = self { Some(print) } else { None }
    }

    /// Returns what a print is called that is no longer ordered.
    pub(super) fn withdrawn(&self) -> Option<&str> {
        if let PrintChange::Withdrawn(print) = self { Some(print) } else { None }
    }

    /// Describes the change beside its picture, with the print where the picture has several; without control
    /// characters.
    pub(super) fn words(&self, is_one_of_several: bool) -> String {
        match self {
            PrintChange::Added(print) => format!("one more print: {}", visible(print)),
            PrintChange::Withdrawn(print) => format!("withdrawn, do not print: {}", visible(print)),
            PrintChange::Copies { print, before, now } => {
                let of = if is_one_of_several { format!("{}: ", visible(print)) } else { String::new() };
                format!("{of}{}", copies_words(*before, *now, ", ", ", not in addition"))
            }
            PrintChange::Caption => "its caption has changed; the number of copies has not".to_owned(),
            PrintChange::Renamed { .. } => self.renamed_words().unwrap_or_default(),
            PrintChange::Detail { before, now } => detail_words(before.as_deref(), now.as_deref()),
            PrintChange::Differs(before) => format!("the order has changed; before: {}", visible(before)),
        }
    }

    /// Describes a change of a print's name; `None` for any other change.
    pub(super) fn renamed_words(&self) -> Option<String> {
        let PrintChange::Renamed { before, now } = self else { return None };
        let (before, now) = (visible(before), visible(now));
        Some(format!("the print is now called {now}; before: {before}; nothing is withdrawn"))
    }

    /// Returns under which head a list of changes names a picture, and how, by the name of its file; `None` for a print
    /// that is withdrawn, which has its own list.
    pub(super) fn listed(&self, file: &str, is_one_of_several: bool) -> Option<(ListHead, String)> {
        match self {
            PrintChange::Added(print) => Some((ListHead::More, format!("{file} ({})", visible(print)))),
            PrintChange::Withdrawn(_) => None,
            PrintChange::Copies { print, before, now } => {
                let of = if is_one_of_several { format!(" as {}", visible(print)) } else { String::new() };
                Some((ListHead::Order, format!("{file}{of} ({})", copies_words(*before, *now, " ", ""))))
            }
            PrintChange::Caption => Some((ListHead::Caption, file.to_owned())),
            PrintChange::Renamed { before, now } => {
                Some((ListHead::Renamed, format!("{file} (now called {}; before: {})", visible(now), visible(before))))
            }
            PrintChange::Detail { before, now } => {
                Some((ListHead::Order, format!("{file} ({})", detail_words(before.as_deref(), now.as_deref()))))
            }
            PrintChange::Differs(_) => Some((ListHead::Order, file.to_owned())),
        }
    }
}

/// The heads under which changed pictures are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum ListHead {
    /// What is ordered has changed.
    Order,
    /// Prints were added.
    More,
    /// The caption has changed.
    Caption,
    /// The print has another name.
    Renamed,
}

impl ListHead {
    /// Returns the head in words, by whether the file is a new one.
    pub(super) const fn words(self, is_new_file: bool) -> &'static str {
        match (self, is_new_file) {
            (ListHead::Order, false) => "order changed, files as before",
            (ListHead::Order, true) => "replaced, and the order changed (use the new file)",
            (ListHead::More, false) => "more prints of files that you have",
            (ListHead::More, true) => "replaced, with more prints (use the new file)",
            (ListHead::Caption, false) => "caption changed, same file",
            (ListHead::Caption, true) => "replaced, and the caption changed (use the new file)",
            (ListHead::Renamed, false) => "print renamed, nothing withdrawn",
            (ListHead::Renamed, true) => "replaced, and the print renamed (use the new file)",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::sent::OrderParts;
    use crate::units::growth::grows_less_than_square;

    fn orders(lines: &[(&str, u32)]) -> Vec<OrderedPrint> {
        let order = |(print, copies): &(&str, u32)| OrderedPrint {
            words: format!("{print}, {copies} copies"),
            print: (*print).to_owned(),
            parts: None,
        };
        lines.iter().map(order).collect()
    }

    #[test]
    fn what_is_ordered_differently_is_known_with_what_it_was() {
        let of = |before: &[(&str, u32)], now: &[(&str, u32)]| {
            let change = OrderChange::of(orders(before), &orders(now), &[]);
            assert!(change.unchanged.is_empty());
            let is_gone = |one: &&PrintChange| !matches!(one, PrintChange::Added(_));
            (!change.changes.is_empty(), change.changes.iter().filter(is_gone).count())
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
            (change.changes, change.unchanged.into_iter().map(words).collect::<Vec<_>>())
        };
        let added = |name: &str| PrintChange::Added(name.to_owned());
        let lines = |lines: &[(&str, u32)]| orders(lines).into_iter().map(|one| one.words).collect::<Vec<_>>();
        let one = [("one", 1)];
        assert_eq!(of(&one, &[("two", 1)], &one), (vec![added("two")], lines(&one)), "for more prints");
        assert_eq!(of(&[("one", 1), ("two", 1)], &[("two", 1)], &one), (vec![], lines(&one)));
        assert_eq!(
            of(&one, &[("two", 1)], &[("one", 5)]),
            (vec![added("two")], lines(&one)),
            "it is not of this delivery"
        );
        // Two prints that are called alike: the one whose order is known stays.
        let (before, now) = ([("page", 1), ("page", 2)], [("page", 3)]);
        let differs = PrintChange::Differs("page, 2 copies".to_owned());
        assert_eq!(of(&before, &now, &[("page", 1)]), (vec![differs], lines(&[("page", 1)])));
    }

    #[test]
    fn copies_caption_and_prints_that_are_taken_out_are_said_in_words_of_their_own() {
        let order = |print: &str, copies: u32, caption: Option<&str>, size: &str| {
            let details =
                [("size", size), ("paper", "matte")].map(|(about, words)| (about.to_owned(), words.to_owned()));
            OrderedPrint {
                words: format!("{print}, {copies} copies, {size}, {caption:?}"),
                print: print.to_owned(),
                parts: Some(OrderParts {
                    copies: Some(copies),
                    caption: caption.map(str::to_owned),
                    details: details.into(),
                }),
            }
        };
        let lustre = order("lustre", 50, None, "card");
        let of = |before: &[OrderedPrint], now: &[OrderedPrint]| OrderChange::of(before.to_vec(), now, &[]);
        let words = |change: &OrderChange| change.changes.iter().map(|one| one.words(false)).collect::<Vec<_>>();
        let uncoated = order("uncoated", 20, None, "other card");
        let change = of(&[lustre.clone(), uncoated.clone()], std::slice::from_ref(&lustre));
        assert_eq!(change.changes, [PrintChange::Withdrawn("uncoated".to_owned())]);
        assert_eq!(change.kept, ["lustre"]);
        let change = of(std::slice::from_ref(&lustre), &[order("lustre", 60, Some("Rye"), "card"), uncoated.clone()]);
        let said = [
            "60 copies, instead of 50, not in addition",
            "its caption has changed; the number of copies has not",
            "one more print: uncoated",
        ];
        assert_eq!((words(&change), change.kept), (said.map(str::to_owned).to_vec(), vec!["lustre".to_owned()]));
        // Another name or another size is named, and is no withdrawal.
        let one = |now: OrderedPrint| words(&of(std::slice::from_ref(&lustre), &[now]));
        let renamed = "the print is now called silk; before: lustre; nothing is withdrawn";
        assert_eq!(one(order("silk", 50, None, "card")), [renamed]);
        assert_eq!(one(order("lustre", 50, None, "large card")), ["large card; before: card"]);
        let mut uncoated = order("silk", 50, None, "card");
        let details = &mut uncoated.parts.as_mut().unwrap().details;
        details.insert("paper".to_owned(), "uncoated".to_owned());
        details.insert("folds".to_owned(), "fold 74 mm from the left".to_owned());
        assert_eq!(one(uncoated), [renamed, "now fold 74 mm from the left", "uncoated; before: matte"]);
        // A record of before details were kept holds the words alone.
        let mut earlier = lustre.clone();
        earlier.parts = Some(OrderParts { copies: Some(50), ..OrderParts::default() });
        let change = of(&[earlier], &[order("lustre", 50, None, "large card")]);
        assert_eq!(change.changes, [PrintChange::Differs(lustre.words.clone())]);
        // Of two prints with one name the order says which.
        let before = [lustre.clone(), order("lustre", 9, None, "large")];
        let change = of(&before, std::slice::from_ref(&lustre));
        assert_eq!(change.changes, [PrintChange::Withdrawn(before[1].words.clone())]);
    }

    #[test]
    fn orders_are_compared_at_the_cost_of_their_number_and_not_of_its_square() {
        let many = |count: usize| {
            let of = |name: &str| {
                let order = |at: usize| OrderedPrint {
                    words: format!("{name}, {at} copies"),
                    print: name.to_owned(),
                    parts: None,
                };
                (0..count).map(order).collect::<Vec<_>>()
            };
            (of("page"), of("wall"), of("shelf"))
        };
        grows_less_than_square(500, many, |(before, now, left_out)| {
            let count = before.len();
            assert_eq!(OrderChange::of(before, &now, &left_out).changes.len(), 2 * count);
        });
    }
}
