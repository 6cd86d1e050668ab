//! What changed between two moments of the desk, row by row: for `watch --lines`, night runs and screen readers.

use std::collections::HashMap;

use crate::judge::{RowKey, State};

use super::snapshot::{DeskRow, Snapshot, Watching};

/// One change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// A row came, turned or went.
    Row {
        /// Which row.
        key: RowKey,
        /// The print's name; foreign text; empty where no print wants the picture.
        print_name: String,
        /// Its state before; `None` for a new row.
        from: Option<State>,
        /// Its state now; `None` for a row that is gone.
        to: Option<State>,
        /// The first of its findings: what was measured and asked.
        finding: Option<String>,
    },
    /// The folder went, came back, or is watched another way.
    Folder(Watching),
    /// The brief on disk has so many mistakes; none any more with 0.
    Brief(usize),
}

/// What changed, in the order of the rows: first the desk as a whole, then rows there are, then rows that are gone.
pub fn changes(before: &Snapshot, after: &Snapshot) -> Vec<Change> {
    let mut changes = Vec::new();
    if before.watching != after.watching {
        changes.push(Change::Folder(after.watching.clone()));
    }
    if before.brief_problems != after.brief_problems {
        changes.push(Change::Brief(after.brief_problems.len()));
    }
    let mut left: HashMap<&RowKey, &DeskRow> = before.rows.iter().map(|row| (&row.row.key, row.as_ref())).collect();
    for row in after.rows.iter() {
        let was = left.remove(&row.row.key);
        let from = was.map(DeskRow::state_now);
        let to = row.state_now();
        let finding = row.row.findings.first().filter(|_| !row.dimmed).map(|finding| finding.what.clone());
        let before = was.and_then(|was| was.row.findings.first()).map(|finding| &finding.what);
        let said_otherwise = was.is_some_and(|was| !was.dimmed) && !row.dimmed && before != finding.as_ref();
        if from != Some(to) || said_otherwise {
            changes.push(change(row, from, Some(to), finding));
        }
    }
    let gone = before.rows.iter().filter(|row| left.contains_key(&row.row.key));
    changes.extend(gone.map(|row| change(row, Some(row.state_now()), None, None)));
    changes
}

fn change(row: &DeskRow, from: Option<State>, to: Option<State>, finding: Option<String>) -> Change {
    Change::Row { key: row.row.key.clone(), print_name: row.row.print_name.clone(), from, to, finding }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::testing::{BRIEF, brief};
    use crate::judge::judge;
    use crate::judge::testing::delivered;
    use std::sync::Arc;

    /// A desk with these pictures: name, width, whether an older verdict is dimmed.
    fn desk(pictures: &[(&str, u32, bool)]) -> Snapshot {
        let brief = Arc::new(brief(BRIEF));
        let files: Vec<_> = pictures.iter().map(|(name, width, _)| delivered(name, *width, 3000)).collect();
        let judged = judge(&brief, &files);
        let row = |(row, (_, _, dimmed)): (_, &(&str, u32, bool))| {
            Arc::new(DeskRow { row, dimmed: *dimmed, arriving_bytes: None, before: None })
        };
        Snapshot {
            generation: 2,
            brief,
            brief_problems: Vec::new().into(),
            accepted_problems: Vec::new().into(),
            folder: "exports".into(),
            watching: Watching::Notified,
            rows: judged.rows.into_iter().zip(pictures).map(row).collect(),
            order_findings: Vec::new().into(),
            totals: crate::judge::Totals::default(),
            work: crate::desk::snapshot::Work::default(),
            newest: None,
            notice: None,
        }
    }

    fn told(before: &Snapshot, after: &Snapshot) -> Vec<(String, Option<State>, Option<State>, bool)> {
        let row = |change| match change {
            Change::Row { key, from, to, finding, .. } => {
                (key.picture.unwrap().to_string(), from, to, finding.is_some())
            }
            other => panic!("{other:?}"),
        };
        changes(before, after).into_iter().map(row).collect()
    }

    #[test]
    fn what_came_turned_and_went_is_told_once() {
        let before = desk(&[("a.jpg", 2400, false), ("b.jpg", 2400, false), ("c.jpg", 2400, false)]);
        let after = desk(&[("a.jpg", 2400, false), ("c.jpg", 900, false), ("d.jpg", 2400, false)]);
        let wanted = [
            ("c.jpg".to_owned(), Some(State::Pass), Some(State::Fix), true),
            ("d.jpg".to_owned(), None, Some(State::Pass), false),
            ("b.jpg".to_owned(), Some(State::Pass), None, false),
        ];
        assert_eq!(told(&before, &after), wanted);
        assert_eq!(told(&after, &after), []);
    }

    #[test]
    fn an_old_verdict_is_not_told_as_the_new_files() {
        let (before, after) = (desk(&[("a.jpg", 900, false)]), desk(&[("a.jpg", 900, true)]));
        assert_eq!(told(&before, &after), [("a.jpg".to_owned(), Some(State::Fix), Some(State::Checking), false)]);
    }
}
