//! An order on disk: the brief, and the decisions about it.

use std::path::Path;
use std::sync::Arc;

use crate::brief::{self, Brief, Problem};
use crate::judge::configurable_ids;

use super::model::Decisions;

/// A brief with its decisions.
#[derive(Clone, Debug)]
pub struct Order {
    /// The brief, with its list of prints and its profiles.
    pub brief: Arc<Brief>,
    /// The decisions about its pictures.
    pub decisions: Decisions,
}

impl Order {
    /// Reads a brief and the decisions beside it.
    ///
    /// # Errors
    /// All problems of the brief, otherwise all problems of the decisions: a decision that cannot be read must not be
    /// ignored silently.
    pub fn read(brief: &Path) -> Result<Order, Vec<Problem>> {
        let brief = Arc::new(brief::read(brief, &configurable_ids())?);
        let decisions = super::read(&brief.path)?;
        Ok(Order { brief, decisions })
    }

    /// True if the brief, with its list and profiles, or the decisions differ from what was read.
    pub fn has_changed(&self) -> bool {
        let is_same =
            Order::read(&self.brief.path).is_ok_and(|now| now.brief == self.brief && now.decisions == self.decisions);
        !is_same
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::path_beside;
    use std::fs;

    #[test]
    fn an_order_that_changed_since_it_was_read_is_known() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("b.toml");
        fs::write(&path, "prints = \"list.csv\"\n").unwrap();
        let list =
            |size: &str| fs::write(room.path().join("list.csv"), format!("picture,size\na.jpg,{size}\n")).unwrap();
        list("8 x 10 in");
        let order = Order::read(&path).unwrap_or_else(|problems| panic!("{problems:?}"));
        assert!(!order.has_changed());
        list("16 x 20 in");
        assert!(order.has_changed());
        list("8 x 10 in");
        assert!(!order.has_changed());
        fs::write(path_beside(&path), "version = [").unwrap();
        assert!(order.has_changed());
    }
}
