//! The pane for accepting a finding or taking that back: which finding, why, and who allowed it if the brief says must.

use std::sync::Arc;

use crossterm::event::MouseEvent;
use ratatui::layout::Position;

use crate::brief::requirements::Level;
use crate::judge::acceptance::{AcceptanceReason, AcceptedValues, NotAcceptable};
use crate::judge::{Finding, Row, RowKey};
use crate::live::snapshot::{AcceptRequest, LiveCommand, ShownRow, TableRow};
use crate::tui::action::{AcceptAction, Action};
use crate::tui::keys::Context;
use crate::tui::mode::{Mode, Reply};
use crate::tui::screen_state::ScreenState;
use crate::tui::typing;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Suggested reasons that are often right, to choose instead of typing.
const SUGGESTED: [&str; 4] = ["intended", "the client wants it", "the designer crops it", "the printer will see to it"];
/// Most characters of a reason and of a name: a line or two of a note.
const LONGEST: usize = 200;

/// The pane in which a finding is accepted.
#[derive(Debug)]
pub struct AcceptPane {
    /// The row of the findings.
    row: RowKey,
    /// SHA-256 of the file in which they were found.
    sha256: Option<String>,
    /// True if the row is gone from the table: nothing can be accepted then.
    is_gone: bool,
    /// Why nothing can be accepted in this row, if so. The pane opens all the same, because the letters of a reason
    /// would be commands elsewhere.
    closed: Option<&'static str>,
    choices: Vec<Choice>,
    at: usize,
    /// True if it applies to the same finding of every marked or shown row.
    every: bool,
    reason: String,
    suggested: usize,
    /// The name typed for who allowed it, once the pane asks for that.
    allowed_by: Option<String>,
}

/// The rows in which a finding can be accepted at once.
#[derive(Clone, Copy, Debug)]
struct AcceptScope {
    /// True if a person marked these rows; else they are the rows that the filter shows.
    marked: bool,
    /// Number of these rows.
    rows: usize,
    /// Number of these with the finding.
    with_it: usize,
}

/// A finding of the row.
#[derive(Debug)]
struct Choice {
    rule: &'static str,
    about: String,
    what: String,
    level: Level,
    /// Who accepted it and why, if it is accepted.
    accepted: Option<String>,
    /// Why it cannot be accepted for any reason, if so.
    cannot: Option<NotAcceptable>,
}

impl Mode for AcceptPane {
    fn context(&self) -> Context {
        Context::Accept
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        let Action::Accept(action) = action else { return Reply::Pass };
        // The typed text is kept: it may be meant for this row.
        if action == AcceptAction::Accept && self.every && self.scope(state).with_it == 0 {
            return Reply::Taken;
        }
        let asks = matches!(action, AcceptAction::Accept | AcceptAction::TakeBack);
        let meant = state.rows_meant().filter(|_| self.every && asks);
        let rows: Vec<ShownRow> = meant.map(|row| ShownRow::of(&row.row)).collect();
        let reply = self.obey(action, &rows, state.signature());
        // Marks serve one decision; a decision about this row alone keeps them.
        if self.every && matches!(reply, Reply::Close(Some(_))) {
            state.view.unmark();
        }
        reply
    }

    fn is_typing(&self) -> bool {
        true
    }

    fn write(&mut self, text: &str, _state: &mut ScreenState) -> Reply {
        self.add(text);
        Reply::Taken
    }

    fn point(&mut self, mouse: &MouseEvent, state: &mut ScreenState) -> Reply {
        let at = Position { x: mouse.column, y: mouse.row };
        // The row stays selected.
        if state.areas.is_some_and(|areas| areas.table.contains(at)) { Reply::Ignored } else { Reply::Pass }
    }

    fn take_up(&mut self, state: &ScreenState) -> bool {
        self.is_gone = !state.has_row(&self.row);
        true
    }

    fn row(&self) -> Option<&RowKey> {
        Some(&self.row).filter(|_| !self.is_gone)
    }

    fn pane(&self, state: &ScreenState) -> Option<Vec<Line>> {
        Some(self.lines(self.scope(state)))
    }
}

impl AcceptPane {
    /// Opens the pane on a row; `every` is true if rows are marked.
    pub fn of(row: &Row, every: bool) -> AcceptPane {
        let choice = |finding: &Finding, accepted: Option<String>| Choice {
            // What has not been read yet may have been by the time a reason is typed.
            cannot: AcceptedValues::of(finding, row).err().filter(|why| *why == NotAcceptable::Unreadable),
            rule: finding.rule.id,
            about: finding.about.clone(),
            what: finding.found.clone(),
            level: finding.level,
            accepted,
        };
        let open = row.findings.iter().map(|finding| choice(finding, None));
        let kept = row.accepted.iter().map(|one| choice(&one.finding, Some(one.acceptance.words())));
        let choices: Vec<Choice> = open.chain(kept).collect();
        let again = row.findings.first().and_then(|finding| finding.again.as_ref());
        let reason = again.map(|again| again.acceptance.reason.clone()).unwrap_or_default();
        let is_empty = choices.is_empty() || row.key.picture.is_none();
        let closed = is_empty.then_some("This row has no findings: nothing to accept.");
        let ShownRow { key, sha256 } = ShownRow::of(row);
        AcceptPane {
            row: key,
            sha256,
            is_gone: false,
            closed,
            choices,
            at: 0,
            every,
            reason,
            suggested: 0,
            allowed_by: None,
        }
    }

    /// Returns the rows in which the chosen finding can be accepted at once.
    fn scope(&self, state: &ScreenState) -> AcceptScope {
        let has_it = |row: &&Arc<TableRow>| {
            row.row.findings.iter().any(|finding| Some((finding.rule.id, finding.about.as_str())) == self.chosen())
        };
        AcceptScope {
            marked: !state.view.marked().is_empty(),
            rows: state.rows_meant().count(),
            with_it: state.rows_meant().filter(has_it).count(),
        }
    }

    /// Adds to the reason, or to the name of who allowed it once the pane asks for that.
    fn add(&mut self, text: &str) {
        if self.closed.is_none() {
            typing::add(self.allowed_by.as_mut().unwrap_or(&mut self.reason), text, LONGEST);
        }
    }

    /// Returns the chosen finding: its rule, and which finding of that rule it is.
    fn chosen(&self) -> Option<(&'static str, &str)> {
        self.choices.get(self.at).map(|choice| (choice.rule, choice.about.as_str()))
    }

    /// Carries out a key's action; `others` are the rows meant if it applies to several, `signature` is a name and the
    /// time.
    fn obey(&mut self, action: AcceptAction, others: &[ShownRow], signature: (String, String)) -> Reply {
        match action {
            AcceptAction::Up => self.at = self.at.saturating_sub(1),
            AcceptAction::Down => self.at = (self.at + 1).min(self.choices.len().saturating_sub(1)),
            // Words that a person typed are kept.
            AcceptAction::NextReason if self.allowed_by.is_some() => {}
            AcceptAction::NextReason if !self.reason.is_empty() && !SUGGESTED.contains(&self.reason.as_str()) => {}
            AcceptAction::NextReason => {
                self.reason = SUGGESTED[self.suggested % SUGGESTED.len()].to_owned();
                self.suggested += 1;
            }
            AcceptAction::EveryRow => self.every = !self.every,
            AcceptAction::Backspace => {
                self.allowed_by.as_mut().unwrap_or(&mut self.reason).pop();
            }
            AcceptAction::Close if self.allowed_by.is_some() => self.allowed_by = None,
            AcceptAction::Close => return Reply::Close(None),
            AcceptAction::TakeBack | AcceptAction::Accept if self.is_gone || self.closed.is_some() => {}
            AcceptAction::TakeBack => return self.ask(others, None),
            AcceptAction::Accept => return self.accept(others, signature),
        }
        Reply::Taken
    }

    fn accept(&mut self, others: &[ShownRow], (by, when): (String, String)) -> Reply {
        let must = self.choices.get(self.at).is_some_and(|choice| choice.level == Level::Must);
        match &self.allowed_by {
            _ if self.reason.trim().is_empty() => return Reply::Taken,
            _ if self.choices.get(self.at).is_some_and(|choice| choice.cannot.is_some()) => return Reply::Taken,
            None if must => {
                self.allowed_by = Some(String::new());
                return Reply::Taken;
            }
            Some(name) if name.trim().is_empty() => return Reply::Taken,
            _ => {}
        }
        let said = AcceptanceReason { reason: self.reason.clone(), by, allowed_by: self.allowed_by.clone(), when };
        self.ask(others, Some(said))
    }

    fn ask(&self, others: &[ShownRow], said: Option<AcceptanceReason>) -> Reply {
        let Some(choice) = self.choices.get(self.at) else { return Reply::Close(None) };
        let own = ShownRow { key: self.row.clone(), sha256: self.sha256.clone() };
        // For the row that the pane is open on, the version it showed counts.
        let as_read = |other: &ShownRow| if other.key == own.key { own.clone() } else { other.clone() };
        let rows = if self.every { others.iter().map(as_read).collect() } else { vec![own.clone()] };
        let (rule, about) = (choice.rule.to_owned(), choice.about.clone());
        Reply::Close(Some(LiveCommand::Accept(AcceptRequest { rows, rule, about, said })))
    }

    /// Returns the pane's text.
    fn lines(&self, others: AcceptScope) -> Vec<Line> {
        let title = if self.every {
            let (one, many) = if others.marked { ("marked row", "marked rows") } else { ("shown row", "shown rows") };
            let rows = show::count(others.rows, one, many);
            match others.with_it {
                0 => format!("None of {rows} has this finding"),
                with_it => format!("Accept this finding in {with_it} of {rows}"),
            }
        } else {
            let picture = self.row.picture.as_ref().map_or("this row", |picture| picture.file_name());
            format!("Accept a finding for {picture}")
        };
        let mut lines = vec![Line::of(Style::Head, title), Line::blank()];
        if self.is_gone {
            let words = "This row is gone from the live table: nothing can be accepted here.";
            lines.extend([Line::of(Style::Warn, words), Line::blank()]);
        }
        if let Some(why) = self.closed {
            lines.extend([Line::of(Style::Warn, why), Line::plain("Esc goes back.")]);
            return lines;
        }
        for (at, choice) in self.choices.iter().enumerate() {
            let (mark, style) = if at == self.at { ("> ", Style::Strong) } else { ("  ", Style::Plain) };
            let about = if choice.about.is_empty() { String::new() } else { format!(" ({})", choice.about) };
            let head = Line::of(style, format!("{mark}{} {}{about}", choice.level.word(), choice.rule));
            lines.push(head.and(Style::Dim, format!("  {}", choice.what)).indented(0, 4));
            if let Some(accepted) = &choice.accepted {
                lines.push(Line::of(Style::Good, format!("accepted {accepted}")).indented(4, 0));
            }
            if let Some(cannot) = choice.cannot.filter(|_| at == self.at) {
                lines.push(Line::of(Style::Warn, cannot.to_string()).indented(4, 0));
            }
        }
        lines.push(Line::blank());
        let field = |name: &str, text: &str, typing: bool| {
            let line = Line::of(Style::Head, format!("{name} ")).and(Style::Strong, text);
            if typing { line.and(Style::Dim, "_") } else { line }.indented(0, 4)
        };
        lines.push(field("reason", &self.reason, self.allowed_by.is_none()));
        if let Some(allowed_by) = &self.allowed_by {
            lines.push(field("allowed by", allowed_by, true));
            let words = "This rule is a must: name the client or the printer who allowed it.";
            lines.push(Line::of(Style::Dim, words));
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::judge;
    use crate::judge::testing::{self, brief, delivered};

    fn row(rules: &str) -> Row {
        let text = format!("{rules}[[print]]\nsize = \"8 x 10 in\"");
        judge(&brief(&text), &[delivered("a.jpg", 2000, 2500)]).rows.swap_remove(0)
    }

    fn signed() -> (String, String) {
        ("Maren".to_owned(), "2026-11-26T10:00:00Z".to_owned())
    }

    fn request_in(reply: Reply) -> AcceptRequest {
        let Reply::Close(Some(LiveCommand::Accept(required))) = reply else { panic!("no request") };
        required
    }

    fn stays(reply: Reply) -> bool {
        matches!(reply, Reply::Taken)
    }

    #[test]
    fn a_reason_is_typed_or_suggested_and_without_one_nothing_is_accepted() {
        let row = row("");
        let mut view = AcceptPane::of(&row, false);
        assert!(stays(view.obey(AcceptAction::Accept, &[], signed())));
        view.add("high up");
        let said = request_in(view.obey(AcceptAction::Accept, &[], signed()));
        assert_eq!((said.rows.as_slice(), said.rule.as_str()), ([ShownRow::of(&row)].as_slice(), "density.target"));
        assert_eq!(said.said.unwrap().reason, "high up");
        // What was typed is not overwritten by a suggested reason; once it is deleted, one is offered.
        view.obey(AcceptAction::NextReason, &[], signed());
        assert_eq!(view.reason, "high up");
        for _ in "high up".chars() {
            view.obey(AcceptAction::Backspace, &[], signed());
        }
        view.obey(AcceptAction::NextReason, &[], signed());
        view.obey(AcceptAction::EveryRow, &[], signed());
        let nobody = ShownRow { key: RowKey { print: None, picture: None }, sha256: None };
        let shown = [ShownRow { sha256: Some("of the next export".to_owned()), ..ShownRow::of(&row) }, nobody];
        let said = request_in(view.obey(AcceptAction::Accept, &shown, signed()));
        assert_eq!((said.rows.len(), said.said.unwrap().reason.as_str()), (2, SUGGESTED[0]));
        assert_eq!(said.rows[0], ShownRow::of(&row), "what was read in the pane is what is accepted");
        assert_eq!(request_in(view.obey(AcceptAction::TakeBack, &shown, signed())).said, None);
    }

    #[test]
    fn a_must_asks_who_allowed_it() {
        let mut view = AcceptPane::of(&row("[rules]\n\"density.target\" = \"must\"\n"), false);
        view.add("x");
        assert!(stays(view.obey(AcceptAction::Accept, &[], signed())));
        assert!(stays(view.obey(AcceptAction::Accept, &[], signed())), "nobody is named yet");
        view.add("Corrow Lane");
        let said = request_in(view.obey(AcceptAction::Accept, &[], signed())).said.unwrap();
        assert_eq!(said.allowed_by.as_deref(), Some("Corrow Lane"));
    }

    #[test]
    fn a_pane_in_which_nothing_can_be_accepted_takes_letters_and_asks_nothing() {
        let none = AcceptScope { marked: false, rows: 1, with_it: 0 };
        let unreadable = {
            let mut row = row("");
            std::sync::Arc::make_mut(&mut row.findings[0]).rule = testing::rule("file.readable");
            row
        };
        for (row, said) in [
            (Row { findings: Vec::new(), ..row("") }, "nothing to accept"),
            (unreadable, "cannot be read cannot be accepted"),
        ] {
            let mut view = AcceptPane::of(&row, false);
            view.add("the printer");
            assert!(stays(view.obey(AcceptAction::Accept, &[], signed())));
            let lines: Vec<String> = view.lines(none).iter().map(Line::text).collect();
            assert!(lines.iter().any(|line| line.contains(said)), "{lines:#?}");
            assert!(matches!(view.obey(AcceptAction::Close, &[], signed()), Reply::Close(None)));
        }
    }
}
