//! What to do about the order by cause, shown in place of the details.

use std::sync::Arc;

use crate::judge::Finding;
use crate::judge::to_do::lines::of_to_do;
use crate::judge::to_do::to_do;
use crate::live::Snapshot;
use crate::live::snapshot::TableRow;
use crate::units::styled::{Line, Style};

/// The last list made: it is made again only for other rows.
#[derive(Debug, Default)]
pub struct ToDoPane {
    last: Option<Made>,
}

/// A list, and what it was made from.
#[derive(Debug)]
struct Made {
    rows: Arc<[Arc<TableRow>]>,
    order_findings: Arc<[Arc<Finding>]>,
    lines: Vec<Line>,
}

impl ToDoPane {
    /// Returns what to do about the order. Rows whose new export is not checked yet are left out: what was found in the
    /// earlier one may be fixed.
    pub fn lines(&mut self, snapshot: &Snapshot) -> Vec<Line> {
        let Snapshot { rows, order_findings, brief, .. } = snapshot;
        let of_same = |last: &&Made| Arc::ptr_eq(&last.rows, rows) && Arc::ptr_eq(&last.order_findings, order_findings);
        if let Some(last) = self.last.as_ref().filter(of_same) {
            return last.lines.clone();
        }
        let judged = rows.iter().filter(|row| !row.is_outdated).map(|row| row.row.as_ref());
        let all = to_do(brief, judged, order_findings);
        let mut lines = vec![Line::of(Style::Strong, "to do, by cause"), Line::blank()];
        if all.is_empty() {
            lines.push(Line::plain("nothing to fix in the pictures that are checked"));
        }
        for one in &all {
            lines.extend(of_to_do(one));
            lines.push(Line::blank());
        }
        let (rows, order_findings) = (Arc::clone(rows), Arc::clone(order_findings));
        self.last = Some(Made { rows, order_findings, lines: lines.clone() });
        lines
    }
}
