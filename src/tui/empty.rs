//! The words of a table that has no rows to show.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::live::Snapshot;
use crate::live::snapshot::Watching;
use crate::tui::strokes;
use crate::tui::theme::Theme;
use crate::tui::view_state::ViewState;
use crate::tui::wrapped::wrapped;
use crate::units::styled::{Line, Style};

/// Explains why there are no rows.
pub fn draw(buffer: &mut Buffer, area: Rect, snapshot: &Snapshot, view: &ViewState, theme: &Theme) {
    let width = area.width.saturating_sub(4);
    let rows = lines(snapshot, view).into_iter().flat_map(|line| wrapped(&line, width.into()));
    for (y, row) in (area.y + 1..area.bottom()).zip(rows) {
        strokes::row(buffer, (area.x + 2, y), width, &row, theme);
    }
}

fn lines(snapshot: &Snapshot, view: &ViewState) -> Vec<Line> {
    let folder = snapshot.folder.display().to_string();
    let (head, next) = if snapshot.watching == Watching::Gone {
        (format!("The folder {folder} is gone"), "plateside waits for it; its rows come back with it".to_owned())
    } else if snapshot.watching == Watching::NotPermitted {
        let next = format!("Give yourself permission, for example with chmod u+rx {folder}; plateside keeps trying");
        (format!("No permission to read the folder {folder}"), next)
    } else if !snapshot.rows.is_empty() {
        (format!("No row matches \"{}\"", view.filter), "Esc shows every row again".to_owned())
    } else if snapshot.brief.prints.is_empty() {
        let path = snapshot.brief.path.display();
        ("The brief has no prints".to_owned(), format!("Add a [[print]] with its size to {path} and save it"))
    } else {
        (format!("No pictures in {folder} yet"), "Export into it: each picture is checked as it arrives".to_owned())
    };
    vec![Line::of(Style::Strong, head), Line::of(Style::Dim, next)]
}
