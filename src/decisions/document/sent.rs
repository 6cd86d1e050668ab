//! Deliveries and the pictures that the printer holds, in their tables.

use std::collections::BTreeMap;

use toml_edit::{Array, InlineTable, Table, Value};

use crate::decisions::index::DecisionIndex;
use crate::decisions::sent::{OrderParts, OrderTerms, OrderedPrint, SentDelivery, SentPicture};

use super::reader::DocumentReader;
use super::values::{put, quoted};

/// What to do about a table that cannot be read.
const RESTORE: &str = "restore the file from version control; without this table plateside forgets what it says";

/// Writes a delivery into its table; other content is kept.
pub(super) fn fill_delivery(table: &mut Table, delivery: &SentDelivery) {
    let terms = &delivery.terms;
    put(table, "number", Some(Value::from(i64::from(delivery.number))));
    put(table, "batch", delivery.batch.map(|batch| Value::from(i64::from(batch))));
    put(table, "pictures", Some(Value::from(i64::from(delivery.pictures))));
    put(table, "received", delivery.received.as_deref().map(quoted));
    for (key, value) in [
        ("printer", &terms.printer),
        ("transfer", &terms.transfer),
        ("title", &terms.title),
        ("from", &terms.from),
        ("due", &terms.due),
        ("colour_correction", &terms.colour_correction),
        ("safe_margin", &terms.safe_margin),
    ] {
        put(table, key, value.as_deref().map(quoted));
    }
    put(table, "sums", Some(quoted(&delivery.sums)));
}

/// Writes a picture that the printer holds into its table; other content is kept.
pub(super) fn fill_picture(table: &mut Table, picture: &SentPicture) {
    put(table, "picture", Some(quoted(&picture.picture)));
    put(table, "bytes", Some(quoted(&picture.sha256)));
    let orders = picture.orders.as_ref();
    put(table, "orders", orders.map(|orders| Value::Array(orders.iter().map(order_table).collect::<Array>())));
}

fn order_table(order: &OrderedPrint) -> Value {
    let mut table = InlineTable::new();
    table.insert("print", quoted(&order.print));
    table.insert("words", quoted(&order.words));
    if let Some(parts) = &order.parts {
        if let Some(copies) = parts.copies {
            table.insert("copies", Value::from(i64::from(copies)));
        }
        if let Some(caption) = &parts.caption {
            table.insert("caption", quoted(caption));
        }
        let mut details = InlineTable::new();
        for (about, words) in &parts.details {
            details.insert(about, quoted(words));
        }
        table.insert("details", Value::InlineTable(details));
    }
    Value::InlineTable(table)
}

impl DocumentReader<'_> {
    /// Reads one delivery.
    pub(super) fn delivery(&mut self, table: &Table, decided: &mut DecisionIndex) {
        let start = table.span().map_or(0, |span| span.start);
        let before = self.problems.len();
        let mut text = |key: &str| self.text_at(table, key).map(str::to_owned);
        let (when, folder) = (text("when"), text("folder"));
        let (sums, received) = (text("sums").unwrap_or_default(), text("received"));
        let terms = OrderTerms {
            title: text("title"),
            printer: text("printer"),
            from: text("from"),
            due: text("due"),
            colour_correction: text("colour_correction"),
            transfer: text("transfer"),
            safe_margin: text("safe_margin"),
        };
        let (number, batch) = (self.count_at(table, "number"), self.count_at(table, "batch"));
        let pictures = self.count_at(table, "pictures").unwrap_or_default();
        if self.problems.len() > before {
            return;
        }
        let Some(((when, folder), number)) = when.zip(folder).zip(number) else {
            return self.wrong(start, "a delivery without its when, folder or number", RESTORE);
        };
        let delivery = SentDelivery { when, folder, number, batch, pictures, sums, received, terms };
        if !decided.log(delivery) {
            self.wrong(start, "this delivery is listed twice", "keep one of the two [[delivery]] and delete the other");
        }
    }

    /// Reads one picture that the printer holds.
    pub(super) fn sent(&mut self, table: &Table, decided: &mut DecisionIndex) {
        let start = table.span().map_or(0, |span| span.start);
        let before = self.problems.len();
        let mut text = |key: &str| self.text_at(table, key).map(str::to_owned);
        let (name, sha256, picture) = (text("name"), text("bytes"), text("picture").unwrap_or_default());
        let orders = table.get("orders").map(|item| {
            let orders: Option<Vec<OrderedPrint>> =
                item.as_array().and_then(|orders| orders.iter().map(order_of).collect());
            if orders.is_none() {
                self.wrong(item.span().map_or(start, |span| span.start), "these orders cannot be read", RESTORE);
            }
            orders.unwrap_or_default()
        });
        if self.problems.len() > before {
            return;
        }
        let Some((name, sha256)) = name.zip(sha256) else {
            return self.wrong(start, "a picture that was sent without its name or bytes", RESTORE);
        };
        if !decided.hold(SentPicture { name, picture, sha256, orders }) {
            self.wrong(start, "this picture is listed twice", "keep one of the two [[sent]] and delete the other");
        }
    }

    /// Reads a whole number.
    fn count_at(&mut self, table: &Table, key: &str) -> Option<u32> {
        let item = table.get(key)?;
        let count = item.as_integer().and_then(|count| u32::try_from(count).ok());
        if count.is_none() {
            let at = item.span().map_or(0, |span| span.start);
            self.wrong(at, &format!("{key} must be a whole number"), &format!("write {key} = 1, without quotes"));
        }
        count
    }
}

fn order_of(value: &Value) -> Option<OrderedPrint> {
    let table = value.as_inline_table()?;
    let text = |key: &str| table.get(key).and_then(Value::as_str).map(str::to_owned);
    let copies = table.get("copies").and_then(Value::as_integer).and_then(|copies| u32::try_from(copies).ok());
    let details = table.get("details").and_then(Value::as_inline_table);
    let detail = |(about, words): (&str, &Value)| Some((about.to_owned(), words.as_str()?.to_owned()));
    let details: Option<BTreeMap<String, String>> = details.and_then(|details| details.iter().map(detail).collect());
    let parts = details.map(|details| OrderParts { copies, caption: text("caption"), details });
    Some(OrderedPrint { words: text("words")?, print: text("print")?, parts })
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::decisions::document::{apply_changes, read};
    use crate::decisions::model::{DecisionChange, SentChange};

    fn delivery(number: u32) -> SentDelivery {
        let terms = OrderTerms { printer: Some("Corrow Lane \"Press\"".to_owned()), ..OrderTerms::default() };
        SentDelivery {
            when: format!("2026-11-30T10:00:0{number}Z"),
            folder: "/orders/d\u{1b}".to_owned(),
            number,
            batch: Some(2),
            pictures: 12,
            sums: "ab".to_owned(),
            received: None,
            terms,
        }
    }

    fn picture(name: &str) -> SentPicture {
        let details = [("safe margin", "5 \"mm\""), ("size", "8 x 10 in")];
        let details = details.map(|(about, words)| (about.to_owned(), words.to_owned())).into();
        let parts = OrderParts { copies: Some(3), caption: Some("a\nb".to_owned()), details };
        let order = OrderedPrint { words: "wall, 3 copies".to_owned(), print: "wall".to_owned(), parts: Some(parts) };
        let orders = Some(vec![order.clone(), OrderedPrint { parts: None, ..order }]);
        SentPicture { name: name.to_owned(), picture: "a.jpg".to_owned(), sha256: "aa".to_owned(), orders }
    }

    fn held(name: &str, picture: Option<SentPicture>) -> DecisionChange {
        DecisionChange::Sent(SentChange { name: name.to_owned(), picture: picture.map(Box::new) })
    }

    #[test]
    fn what_was_sent_is_read_as_it_was_written() {
        let path = Path::new("a.decisions.toml");
        let changes = [
            DecisionChange::Delivery(Box::new(delivery(2))),
            DecisionChange::Delivery(Box::new(delivery(1))),
            held("b.jpg", Some(picture("b.jpg"))),
            held("a.jpg", Some(picture("a.jpg"))),
        ];
        let (text, decisions) = apply_changes("", path, &changes).unwrap();
        assert_eq!(read(&text, path).unwrap(), decisions);
        assert!(!text.contains('\u{1b}'), "{text}");
        let log = &decisions.sent;
        assert_eq!(log.deliveries.iter().map(|one| one.as_ref().clone()).collect::<Vec<_>>(), [1, 2].map(delivery));
        assert_eq!(log.held["a.jpg"].as_ref(), &picture("a.jpg"));
        // A confirmation, and a picture that is withdrawn.
        let received = SentDelivery { received: Some("2026-12-01".to_owned()), ..delivery(1) };
        let (text, decisions) =
            apply_changes(&text, path, &[DecisionChange::Delivery(Box::new(received)), held("a.jpg", None)]).unwrap();
        assert_eq!(read(&text, path).unwrap(), decisions);
        assert_eq!((text.matches("\n[[delivery]]").count(), text.matches("\n[[sent]]").count()), (2, 1), "{text}");
        assert_eq!(decisions.sent.deliveries[0].received.as_deref(), Some("2026-12-01"));
    }

    #[test]
    fn what_cannot_be_read_is_named_with_its_line() {
        let one = |text: &str| {
            let text = format!("version = 1\n{text}");
            let wrong = read(&text, Path::new("a.decisions.toml")).unwrap_err();
            assert_eq!(wrong.len(), 1, "{wrong:?}");
            (wrong[0].line, wrong[0].what.clone())
        };
        assert_eq!(one("[[delivery]]\nwhen = \"x\"\n").1, "a delivery without its when, folder or number");
        assert_eq!(one("[[delivery]]\nnumber = \"x\"\n"), (3, "number must be a whole number".to_owned()));
        assert_eq!(one("[[sent]]\nname = \"a\"\n").1, "a picture that was sent without its name or bytes");
        assert_eq!(one("[[sent]]\nname = \"a\"\nbytes = \"b\"\norders = [1]\n").0, 5);
        let twice = "[[sent]]\nname = \"a\"\nbytes = \"b\"\n";
        assert_eq!(one(&format!("{twice}{twice}")).1, "this picture is listed twice");
    }
}
