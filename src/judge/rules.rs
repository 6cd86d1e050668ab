//! Every rule, in the order of findings. A new rule is one file here, one `mod` line and one line of the list.

use super::rule::Rule;

/// Every rule.
pub static RULES: &[&Rule] = &[];

/// The rule of an id.
pub fn find(id: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.id == id)
}
