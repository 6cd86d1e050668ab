//! The lists of the text, and the keys that name a table of each.

use std::collections::BTreeMap;

use toml_edit::{Item, Table};

use crate::brief::PrintId;
use crate::decisions::model::DecisionChange;
use crate::picture::PictureKey;

use super::values::quoted;

/// The key that names a picture.
const PICTURE: &str = "picture";

/// A list of tables.
pub(super) struct List {
    /// The name in double brackets above each table.
    pub(super) head: &'static str,
    /// The keys that name a table.
    keys: &'static [&'static str],
    /// True if a change belongs in one of its tables.
    holds: fn(&DecisionChange) -> bool,
}

/// The name of a table: the values of the list's keys, in their order.
pub(super) type TableName = Vec<Option<String>>;

/// Changes of one list by the names of their tables.
pub(super) type ByName<'c> = BTreeMap<TableName, &'c DecisionChange>;

/// All lists, in the order in which they are started.
pub(super) static LISTS: [List; 5] = [
    List { head: "subject", keys: &[PICTURE, "print"], holds: |change| matches!(change, DecisionChange::Box(_)) },
    List {
        head: "accepted",
        keys: &[PICTURE, "print", "rule", "about"],
        holds: |change| matches!(change, DecisionChange::Finding(_)),
    },
    List { head: "seen", keys: &[PICTURE, "print"], holds: |change| matches!(change, DecisionChange::TestPrint(_)) },
    List { head: "delivery", keys: &["when", "folder"], holds: |change| matches!(change, DecisionChange::Delivery(_)) },
    List { head: "sent", keys: &["name"], holds: |change| matches!(change, DecisionChange::Sent(_)) },
];

impl List {
    /// The list's tables, in the order of the text.
    pub(super) fn tables<'d>(&self, document: &'d Table) -> impl Iterator<Item = &'d Table> {
        document.get(self.head).and_then(Item::as_array_of_tables).into_iter().flatten()
    }

    pub(super) fn name_of(&self, table: &Table) -> TableName {
        // An empty `about` counts as absent, as in a change.
        let says = |key: &str, text: &str| key != "about" || !text.is_empty();
        let text = |key: &&str| table.get(key)?.as_str().filter(|text| says(key, text)).map(str::to_owned);
        let mut name: TableName = self.keys.iter().map(text).collect();
        if self.keys[0] == PICTURE {
            // The picture is the same under any spelling in the file.
            name[0] = name[0].take().map(|picture| PictureKey::from_text(&picture).as_str().to_owned());
        }
        name
    }

    /// Creates a table of that name, below a blank line.
    pub(super) fn new_table(&self, name: &TableName) -> Table {
        let mut table = Table::new();
        table.decor_mut().set_prefix("\n");
        for (key, value) in self.keys.iter().zip(name) {
            if let Some(value) = value {
                table.insert(key, Item::Value(quoted(value)));
            }
        }
        table
    }

    /// Returns the last change of each name.
    pub(super) fn changes_of<'c>(&self, changes: &'c [DecisionChange]) -> ByName<'c> {
        changes.iter().filter(|change| (self.holds)(change)).map(|change| (change_name(change), change)).collect()
    }
}

fn change_name(change: &DecisionChange) -> TableName {
    let of_print = |print: &Option<PrintId>| print.as_ref().map(|print| print.0.to_string());
    let of_picture = |picture: &PictureKey| Some(picture.as_str().to_owned());
    match change {
        DecisionChange::Box(change) => vec![of_picture(&change.picture), of_print(&change.print)],
        DecisionChange::Finding(change) => {
            let about = Some(change.about.clone()).filter(|about| !about.is_empty());
            vec![of_picture(&change.picture), of_print(&change.print), Some(change.rule.clone()), about]
        }
        DecisionChange::TestPrint(change) => vec![of_picture(&change.picture), of_print(&change.print)],
        DecisionChange::Delivery(delivery) => vec![Some(delivery.when.clone()), Some(delivery.folder.clone())],
        DecisionChange::Sent(change) => vec![Some(change.name.clone())],
    }
}
