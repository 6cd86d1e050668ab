//! The one line about what just happened, in words.

use crate::decisions::DecisionChange;
use crate::picture::PictureKey;
use crate::units::show;

use super::rows::ChangedStates;

/// Events since the rows were last judged.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecentEvents {
    /// True if the brief was read again.
    pub is_brief_read: bool,
    /// Pictures whose subject was drawn or removed.
    pub drawn: Vec<PictureKey>,
    /// Number of findings accepted.
    pub accepted: usize,
    /// Number withdrawn.
    pub withdrawn: usize,
    /// The rows that decisions left out because they had changed, in words.
    pub left_out: Vec<String>,
    /// Files never seen before.
    pub arrived: Vec<PictureKey>,
    /// Number that arrived shortly before these.
    pub arrived_before: usize,
    /// Files with other bytes than before.
    pub changed: Vec<PictureKey>,
    /// Files that are gone.
    pub gone: Vec<PictureKey>,
    /// Files renamed with the same content: from, to.
    pub moved: Vec<(PictureKey, PictureKey)>,
}

impl RecentEvents {
    /// True if no file appeared, changed, disappeared or was renamed.
    pub fn files_are_as_before(&self) -> bool {
        self.arrived.is_empty() && self.changed.is_empty() && self.gone.is_empty() && self.moved.is_empty()
    }

    /// Records decisions that were written, and the rows that they left out, in words.
    pub fn record(&mut self, changes: Vec<DecisionChange>, left_out: Vec<String>) {
        self.left_out.extend(left_out);
        for change in changes {
            match change {
                DecisionChange::Box(change) => self.drawn.push(change.picture),
                DecisionChange::Finding(change) if change.acceptance.is_some() => self.accepted += 1,
                DecisionChange::Finding(_) => self.withdrawn += 1,
                // The live table never makes one itself.
                DecisionChange::TestPrint(_) | DecisionChange::Delivery(_) | DecisionChange::Sent(_) => {}
            }
        }
    }

    /// Adds later events.
    pub fn add(&mut self, later: RecentEvents) {
        self.is_brief_read |= later.is_brief_read;
        self.drawn.extend(later.drawn);
        self.accepted += later.accepted;
        self.withdrawn += later.withdrawn;
        self.left_out.extend(later.left_out);
        self.arrived.extend(later.arrived);
        self.arrived_before += later.arrived_before;
        self.changed.extend(later.changed);
        self.gone.extend(later.gone);
        self.moved.extend(later.moved);
    }
}

/// Describes the events in one line, the user's actions before their effects; `None` if there were none. What a
/// decision left out is said whatever else happened.
pub fn words(happened: &RecentEvents, changed: &ChangedStates) -> Option<String> {
    let left_out = happened.left_out.iter().map(|words| format!("left out: {words}"));
    let said: Vec<String> = main_words(happened, changed).into_iter().chain(left_out).collect();
    (!said.is_empty()).then(|| said.join("; "))
}

/// Describes the rows that a decision leaves out: why the first of them is, and how many more there are; `new_rows` of
/// them came after the decision's rows were counted.
pub fn left_out(reasons: &[String], new_rows: usize) -> Option<String> {
    let rows = |count: usize, more: &str| show::count(count, &format!("{more}row"), &format!("{more}rows"));
    match reasons {
        [] if new_rows == 0 => None,
        [] => Some(format!("{} that came meanwhile", rows(new_rows, ""))),
        [why] if new_rows == 0 => Some(why.clone()),
        [why, others @ ..] => Some(format!("{why}, and {}", rows(others.len() + new_rows, "more "))),
    }
}

fn main_words(happened: &RecentEvents, changed: &ChangedStates) -> Option<String> {
    let rows = match changed.rows {
        0 => "no row changed".to_owned(),
        n => format!("{} changed", show::count(n, "row", "rows")),
    };
    if happened.is_brief_read {
        return Some(format!("brief read again: {rows}"));
    }
    if let [picture] = happened.drawn.as_slice() {
        return Some(format!("subject of {picture} saved: {rows}"));
    }
    if happened.accepted + happened.withdrawn > 0 {
        let (count, done) = match happened.accepted {
            0 => (happened.withdrawn, "no longer accepted"),
            accepted => (accepted, "accepted"),
        };
        return Some(format!("{} {done}: {rows}", show::count(count, "finding", "findings")));
    }
    if let [(from, to)] = happened.moved.as_slice() {
        return Some(format!("{from} renamed to {to}"));
    }
    let one_or_many = |keys: &[PictureKey], before: usize, one: &str, many: &str| match keys {
        [] => None,
        [key] if before == 0 => Some(format!("{key} {one}")),
        keys => Some(format!("{} {many}", show::count(keys.len() + before, "picture", "pictures"))),
    };
    one_or_many(&happened.arrived, happened.arrived_before, "arrived", "arrived")
        .or_else(|| one_or_many(&happened.changed, 0, "was exported again", "were exported again"))
        .or_else(|| one_or_many(&happened.gone, 0, "is gone", "are gone"))
        .or_else(|| match happened.moved.len() {
            0 => None,
            n => Some(format!("{} renamed", show::count(n, "picture", "pictures"))),
        })
        .or_else(|| match (changed.rows, &changed.last) {
            (1, Some((key, from, to))) => {
                let picture = key.picture.as_ref().map_or_else(|| "a print".to_owned(), ToString::to_string);
                Some(format!("{picture}: {} changed to {}", from.word(), to.word()))
            }
            (0, _) => None,
            _ => Some(rows),
        })
}

/// Describes a brief with mistakes, which is not used.
pub fn brief_is_broken(problems: usize) -> String {
    format!("the brief has {}; its last good version stays in use", show::count(problems, "mistake", "mistakes"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_named_and_many_are_counted() {
        let key = PictureKey::from_text;
        let changed = ChangedStates { rows: 23, last: None };
        let said = |happened: RecentEvents| words(&happened, &changed);
        let arrived =
            |keys: &[&str]| RecentEvents { arrived: keys.iter().map(|k| key(k)).collect(), ..RecentEvents::default() };
        assert_eq!(said(arrived(&["p012-plum-tart.jpg"])).as_deref(), Some("p012-plum-tart.jpg arrived"));
        assert_eq!(said(arrived(&["a.jpg", "b.jpg"])).as_deref(), Some("2 pictures arrived"));
        assert_eq!(said(RecentEvents::default()).as_deref(), Some("23 rows changed"));
        let brief = RecentEvents { is_brief_read: true, ..arrived(&["a.jpg"]) };
        assert_eq!(said(brief).as_deref(), Some("brief read again: 23 rows changed"));
        assert_eq!(words(&RecentEvents::default(), &ChangedStates::default()), None);
    }
}
