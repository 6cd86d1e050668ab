//! The pane for accepting a finding or taking that back: which finding, why, and who allowed it if the brief says must.

use std::collections::HashSet;
use std::sync::Arc;

use crossterm::event::MouseEvent;
use ratatui::layout::Position;
use unicode_width::UnicodeWidthStr;

use crate::brief::requirements::Level;
use crate::judge::acceptance::{AcceptanceReason, AcceptedValues, NotAcceptable};
use crate::judge::{Finding, Row, RowKey};
use crate::live::snapshot::{AcceptRequest, LiveCommand, ShownRow, TableRow};
use crate::tui::action::{AcceptAction, Action};
use crate::tui::keys::Context;
use crate::tui::mode::{Mode, Pane, Reply};
use crate::tui::screen_state::ScreenState;
use crate::tui::typing;
use crate::tui::wrapped::cut;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Suggested reasons that are often right, to choose instead of typing.
const SUGGESTED: [&str; 4] = ["intended", "the client wants it", "the designer crops it", "the printer will see to it"];
/// Most characters of a reason and of a name: a line or two of a note.
const LONGEST: usize = 200;
/// Blanks between the name of a finding and its words.
const GAP: &str = "  ";
/// The words of an accepted finding that is not the chosen one.
const ACCEPTED: (Style, &str) = (Style::Good, "accepted");

/// The pane in which a finding is accepted.
#[derive(Debug)]
pub struct AcceptPane {
    /// The row of the findings.
    row: RowKey,
    /// True if the row is gone from the table: nothing can be accepted then.
    is_gone: bool,
    /// Why nothing can be accepted in this row, if so. The pane opens all the same, because the letters of a reason
    /// would be commands elsewhere.
    closed: Option<&'static str>,
    choices: Vec<Choice>,
    at: usize,
    /// The marked or shown rows, if it applies to the same finding of each; as they were when they were counted.
    every: Option<CountedRows>,
    reason: String,
    suggested: usize,
    /// The name typed for who allowed it, once the pane asks for that.
    allowed_by: Option<String>,
    /// True if the printer is to read of it on the note.
    on_note: bool,
}

/// The rows of a decision about several, as they were shown when the pane counted them.
#[derive(Debug)]
pub struct CountedRows {
    /// True if a person marked these rows; else they are the rows that the filter shows.
    marked: bool,
    rows: Vec<Arc<TableRow>>,
}

/// A finding of the row.
#[derive(Debug)]
struct Choice {
    /// The finding as it was shown, and the file that it was found in.
    shown: ShownRow,
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
        if action == AcceptAction::Accept && self.every.as_ref().is_some_and(|every| self.in_rows(every).count() == 0) {
            return Reply::Taken;
        }
        if action == AcceptAction::EveryRow {
            self.every = self.every.is_none().then(|| CountedRows::of(state));
            return Reply::Taken;
        }
        if action == AcceptAction::Accept {
            state.said = self.missing();
        }
        let mut reply = self.obey(action, state.signature());
        match (action, &reply) {
            // Every finding but the chosen one takes one line: this keeps the chosen one in sight.
            (AcceptAction::Up | AcceptAction::Down, _) => state.view.detail_top = self.at,
            (_, Reply::Close(_)) => state.view.detail_top = 0,
            _ => {}
        }
        if let (Some(every), Reply::Close(Some(LiveCommand::Accept(required)))) = (&self.every, &mut reply) {
            if required.said.is_some() {
                required.came = self.came_since(every, state);
            }
            // Marks serve one decision; a decision about this row alone keeps them.
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

    fn pane(&self, state: &ScreenState) -> Option<Pane> {
        let width = state.areas.map_or(usize::MAX, |areas| areas.detail.width.into());
        Some(Pane { lines: self.lines(width, state.theme.signs.ellipsis), typed: self.typed() })
    }
}

impl CountedRows {
    /// Counts the rows meant now.
    pub fn of(state: &ScreenState) -> CountedRows {
        CountedRows { marked: !state.view.marked().is_empty(), rows: state.rows_meant().cloned().collect() }
    }
}

impl AcceptPane {
    /// Opens the pane on a row; `every` holds the marked rows, if any are.
    pub fn of(row: &Row, every: Option<CountedRows>) -> AcceptPane {
        let choice = |finding: &Arc<Finding>, accepted: Option<String>| Choice {
            // What has not been read yet may have been by the time a reason is typed.
            cannot: AcceptedValues::of(finding, row).err().filter(|why| *why == NotAcceptable::Unreadable),
            shown: ShownRow::of(row, finding),
            accepted,
        };
        let open = row.findings.iter().map(|finding| choice(finding, None));
        let kept = row.accepted.iter().map(|one| choice(&one.finding, Some(one.acceptance.words())));
        let choices: Vec<Choice> = open.chain(kept).collect();
        let again = row.findings.first().and_then(|finding| finding.again.as_ref());
        let reason = again.map(|again| again.acceptance.reason.clone()).unwrap_or_default();
        let is_empty = choices.is_empty() || row.key.picture.is_none();
        let closed = is_empty.then_some("This row has no findings: nothing to accept.");
        AcceptPane {
            row: row.key.clone(),
            is_gone: false,
            closed,
            choices,
            at: 0,
            every,
            reason,
            suggested: 0,
            allowed_by: None,
            on_note: false,
        }
    }

    /// Returns the chosen finding in each of the counted rows where it is open, as it was shown.
    fn in_rows<'a>(&'a self, every: &'a CountedRows) -> impl Iterator<Item = ShownRow> + use<'a> {
        every.rows.iter().filter_map(|row| self.in_row(&row.row, row.row.findings.iter()))
    }

    /// Returns the chosen finding in each of the counted rows where it is accepted.
    fn accepted_in_rows<'a>(&'a self, every: &'a CountedRows) -> impl Iterator<Item = ShownRow> + use<'a> {
        let accepted = |row: &'a Row| row.accepted.iter().map(|one| &one.finding);
        every.rows.iter().filter_map(move |row| self.in_row(&row.row, accepted(&row.row)))
    }

    /// Returns the chosen finding among those of a row; for the row that the pane is open on, as the pane shows it.
    fn in_row<'a>(&self, row: &Row, mut findings: impl Iterator<Item = &'a Arc<Finding>>) -> Option<ShownRow> {
        let shown = &self.choices.get(self.at)?.shown;
        let found = findings.find(|finding| finding.is_same_as(&shown.finding))?;
        Some(if row.key == self.row { shown.clone() } else { ShownRow::of(row, found) })
    }

    /// Returns the number of rows meant now in which the chosen finding is open, and was not when they were counted.
    fn came_since(&self, every: &CountedRows, state: &ScreenState) -> usize {
        let counted: HashSet<RowKey> = self.in_rows(every).map(|shown| shown.key).collect();
        let open = state.rows_meant().filter_map(|row| self.in_row(&row.row, row.row.findings.iter()));
        open.filter(|shown| !counted.contains(&shown.key)).count()
    }

    /// Adds to the reason, or to the name of who allowed it once the pane asks for that.
    fn add(&mut self, text: &str) {
        if self.closed.is_none() {
            typing::add(self.allowed_by.as_mut().unwrap_or(&mut self.reason), text, LONGEST);
        }
    }

    /// Carries out a key's action; `signature` is a name and the time.
    fn obey(&mut self, action: AcceptAction, signature: (String, String)) -> Reply {
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
            AcceptAction::OnNote => self.on_note = !self.on_note,
            // Done by `act`, which knows the rows of the table.
            AcceptAction::EveryRow => {}
            AcceptAction::Backspace => {
                self.allowed_by.as_mut().unwrap_or(&mut self.reason).pop();
            }
            AcceptAction::Close if self.allowed_by.is_some() => self.allowed_by = None,
            AcceptAction::Close => return Reply::Close(None),
            AcceptAction::TakeBack | AcceptAction::Accept if self.is_gone || self.closed.is_some() => {}
            AcceptAction::TakeBack => return self.ask(None),
            AcceptAction::Accept => return self.accept(signature),
        }
        Reply::Taken
    }

    /// Returns what a person must type before the finding can be accepted.
    fn missing(&self) -> Option<&'static str> {
        let cannot = self.choices.get(self.at).is_none_or(|choice| choice.cannot.is_some());
        match &self.allowed_by {
            _ if cannot || self.is_gone || self.closed.is_some() => None,
            _ if self.reason.trim().is_empty() => Some("type a reason first"),
            Some(name) if name.trim().is_empty() => Some("type who allowed it"),
            _ => None,
        }
    }

    fn accept(&mut self, (by, when): (String, String)) -> Reply {
        let must = self.choices.get(self.at).is_some_and(|choice| choice.shown.finding.level == Level::Must);
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
        let (reason, allowed_by, on_note) = (self.reason.clone(), self.allowed_by.clone(), self.on_note);
        let said = AcceptanceReason { reason, by, allowed_by, when, on_note };
        self.ask(Some(said))
    }

    fn ask(&self, said: Option<AcceptanceReason>) -> Reply {
        let Some(Choice { shown, .. }) = self.choices.get(self.at) else { return Reply::Close(None) };
        let rows = match &self.every {
            Some(every) if said.is_some() => self.in_rows(every).collect(),
            Some(every) => self.accepted_in_rows(every).collect(),
            None => vec![shown.clone()],
        };
        let (rule, about) = (shown.finding.rule.id.to_owned(), shown.finding.about.clone());
        Reply::Close(Some(LiveCommand::Accept(AcceptRequest { rows, came: 0, rule, about, said })))
    }

    /// Returns the pane's text for a width: of the chosen finding all of it, of every other one line.
    fn lines(&self, width: usize, ellipsis: &str) -> Vec<Line> {
        let title = if let Some(every) = &self.every {
            let (one, many) = if every.marked { ("marked row", "marked rows") } else { ("shown row", "shown rows") };
            let rows = show::count(every.rows.len(), one, many);
            match self.in_rows(every).count() {
                0 => format!("None of {rows} has this finding"),
                with_it => format!("Accept this finding in {with_it} of {rows}"),
            }
        } else {
            let picture = self.row.picture.as_ref().map_or("this row", |picture| picture.file_name());
            format!("Accept a finding for {picture}")
        };
        let mut lines = vec![Line::of(Style::Head, title)];
        if self.is_gone {
            let words = "This row is gone from the live table: nothing can be accepted here.";
            lines.push(Line::of(Style::Warn, words));
        }
        if let Some(why) = self.closed {
            lines.extend([Line::of(Style::Warn, why), Line::plain("Esc goes back.")]);
            return lines;
        }
        for (at, choice) in self.choices.iter().enumerate() {
            let is_chosen = at == self.at;
            let mark = if is_chosen { "> " } else { "  " };
            let Finding { rule, about, level, found, .. } = choice.shown.finding.as_ref();
            let about = if about.is_empty() { String::new() } else { format!(" ({about})") };
            let name = format!("{mark}{} {}{about}", level.word(), rule.id);
            if !is_chosen {
                let (style, words) = choice.accepted.as_ref().map_or((Style::Dim, found.as_str()), |_| ACCEPTED);
                let name = cut(&name, width, ellipsis);
                let room = width.saturating_sub(name.width() + GAP.len());
                let words = cut(words, room, ellipsis);
                lines.push(Line::plain(name).and(style, format!("{GAP}{words}")));
                continue;
            }
            lines.push(Line::of(Style::Strong, name).and(Style::Dim, format!("{GAP}{found}")).indented(0, 4));
            if let Some(accepted) = &choice.accepted {
                lines.push(Line::of(Style::Good, format!("accepted {accepted}")).indented(4, 0));
            }
            if let Some(cannot) = choice.cannot {
                lines.push(Line::of(Style::Warn, cannot.to_string()).indented(4, 0));
            }
        }
        lines
    }

    /// Returns the fields that are typed.
    fn typed(&self) -> Vec<Line> {
        if self.closed.is_some() {
            return Vec::new();
        }
        let field = |name: &str, text: &str, typing: bool| {
            let line = Line::of(Style::Head, format!("{name} ")).and(Style::Strong, text);
            if typing { line.and(Style::Dim, "_") } else { line }.indented(0, 4)
        };
        let mut lines = vec![field("reason", &self.reason, self.allowed_by.is_none())];
        if let Some(allowed_by) = &self.allowed_by {
            lines.push(field("allowed by", allowed_by, true));
            let words = "This rule is a must: name the client or the printer who allowed it.";
            lines.push(Line::of(Style::Dim, words));
        }
        if self.on_note {
            lines.push(Line::of(Style::Dim, "The printer reads this on the note, with the reason."));
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::acceptance::{Acceptance, AcceptedFinding};
    use crate::judge::judge;
    use crate::judge::testing::{self, brief, delivered};
    use crate::picture::PictureKey;

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
        let shown = ShownRow::of(&row, &row.findings[0]);
        let mut view = AcceptPane::of(&row, None);
        assert!(stays(view.obey(AcceptAction::Accept, signed())));
        view.add("high up");
        let said = request_in(view.obey(AcceptAction::Accept, signed()));
        assert_eq!((said.rows.as_slice(), said.rule.as_str()), ([shown.clone()].as_slice(), "density.target"));
        assert_eq!(said.said.unwrap().reason, "high up");
        // What was typed is not overwritten by a suggested reason; once it is deleted, one is offered.
        view.obey(AcceptAction::NextReason, signed());
        assert_eq!(view.reason, "high up");
        for _ in "high up".chars() {
            view.obey(AcceptAction::Backspace, signed());
        }
        view.obey(AcceptAction::NextReason, signed());
        let said = request_in(view.obey(AcceptAction::Accept, signed()));
        assert_eq!(
            (said.rows.as_slice(), said.said.unwrap().reason.as_str()),
            ([shown.clone()].as_slice(), SUGGESTED[0])
        );
        let said = request_in(view.obey(AcceptAction::TakeBack, signed()));
        assert_eq!((said.rows.as_slice(), said.said), ([shown].as_slice(), None));
    }

    #[test]
    fn several_rows_are_accepted_where_it_is_open_and_taken_back_where_it_is_accepted() {
        let table_row = |row: &Row| {
            Arc::new(TableRow { row: row.clone().into(), dimmed: false, arriving_bytes: None, before: None })
        };
        let named = |name: &str| {
            let mut row = row("");
            row.key.picture = Some(PictureKey::from_text(name));
            row
        };
        let (own, open, mut accepted) = (named("a.jpg"), named("b.jpg"), named("c.jpg"));
        let said = AcceptanceReason { reason: "meant".to_owned(), by: "Ida".to_owned(), ..AcceptanceReason::default() };
        let acceptance = Acceptance::of(&accepted.findings[0], &accepted, said).unwrap().into();
        let finding = accepted.findings.remove(0);
        accepted.accepted.push(AcceptedFinding { finding: finding.clone(), acceptance });
        let of_finding = |row: &Row| ShownRow::of(row, &row.findings[0]);
        let again = Row { sha256: Some("of the next export".to_owned()), ..own.clone() };
        let rows = [&again, &open, &accepted].map(table_row).to_vec();
        let mut view = AcceptPane::of(&own, Some(CountedRows { marked: true, rows }));
        view.add("x");
        let required = request_in(view.obey(AcceptAction::Accept, signed()));
        assert_eq!(required.rows, [of_finding(&own), of_finding(&open)], "of its own row what the pane shows counts");
        let withdrawn = request_in(view.obey(AcceptAction::TakeBack, signed()));
        assert_eq!(withdrawn.rows, [ShownRow::of(&accepted, &finding)]);
    }

    #[test]
    fn a_must_asks_who_allowed_it() {
        let mut view = AcceptPane::of(&row("[rules]\n\"density.target\" = \"must\"\n"), None);
        view.add("x");
        assert!(stays(view.obey(AcceptAction::Accept, signed())));
        assert!(stays(view.obey(AcceptAction::Accept, signed())), "nobody is named yet");
        view.add("Corrow Lane");
        let said = request_in(view.obey(AcceptAction::Accept, signed())).said.unwrap();
        assert_eq!(said.allowed_by.as_deref(), Some("Corrow Lane"));
    }

    #[test]
    fn a_pane_in_which_nothing_can_be_accepted_takes_letters_and_asks_nothing() {
        let unreadable = {
            let mut row = row("");
            std::sync::Arc::make_mut(&mut row.findings[0]).rule = testing::rule("file.readable");
            row
        };
        for (row, said) in [
            (Row { findings: Vec::new(), ..row("") }, "nothing to accept"),
            (unreadable, "cannot be read cannot be accepted"),
        ] {
            let mut view = AcceptPane::of(&row, None);
            view.add("the printer");
            assert!(stays(view.obey(AcceptAction::Accept, signed())));
            let lines: Vec<String> = view.lines(80, "…").iter().map(Line::text).collect();
            assert!(lines.iter().any(|line| line.contains(said)), "{lines:#?}");
            assert!(matches!(view.obey(AcceptAction::Close, signed()), Reply::Close(None)));
        }
    }
}
