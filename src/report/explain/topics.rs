//! Every page of the handbook that lists things.

use crate::units::styled::Line;

use super::topic::Topic;
use super::{commands, formats, key_lists, lists, screen};

/// Every topic, in the order of the list of all pages.
pub static TOPICS: &[&Topic] = &[
    &screen::STATES,
    &screen::LEVELS,
    &screen::OUTCOMES,
    &screen::REQUIRED_OR_USUAL,
    &screen::MARKS,
    &screen::COLUMNS,
    &screen::VIEWS,
    &key_lists::KEYS,
    &key_lists::BOX_KEYS,
    &lists::PICTURE_LIST,
    &commands::COMMANDS,
    &commands::DELIVERY_FILES,
    &formats::STATUS,
    &formats::JSON,
];

/// Finds the topic of a name in small letters.
pub fn find(name: &str) -> Option<&'static Topic> {
    TOPICS.iter().copied().find(|topic| topic.names.contains(&name))
}

/// Formats the page of an entry of a topic.
pub fn entry_page(name: &str) -> Option<Vec<Line>> {
    TOPICS.iter().find_map(|topic| topic.entry_page(name))
}

/// Returns the names of all topics and of their entries.
pub fn names() -> impl Iterator<Item = &'static str> {
    TOPICS.iter().flat_map(|topic| topic.names.iter().copied().chain(topic.entries.iter().map(|(name, _)| *name)))
}
