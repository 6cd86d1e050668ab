//! The pane for accepting a finding or withdrawing that: which finding, why, and who allowed it if the brief says must.

use std::collections::HashSet;
use std::sync::Arc;

use crossterm::event::MouseEvent;
use ratatui::layout::Position;
use unicode_width::UnicodeWidthStr;

use crate::brief::requirements::Level;
use crate::judge::acceptance::{AcceptanceReason, NotAcceptable};
use crate::judge::{Finding, Row, RowKey};
use crate::live::snapshot::{AcceptRequest, LiveCommand, ShownFinding, TableRow};
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
const MAX_LETTERS: usize = 200;
/// Blanks between the name of a finding and its words.
const GAP: &str = "  ";
/// The words of an accepted finding that is not the chosen one.
const ACCEPTED: (Style, &str) = (Style::Good, "accepted");

/// The words of a pane on a row without findings.
const NO_FINDINGS: &str = "This row has no findings: nothing to accept.";

/// The pane in which a finding is accepted.
#[derive(Debug)]
pub struct AcceptPane {
    /// The row of the findings.
    row: RowKey,
    /// True if the row is gone from the table: nothing can be accepted then.
    is_gone: bool,
    /// True if the row has no findings, or no picture. The pane opens all the same: letters typed for it would be
    /// commands of the table.
    nothing_to_accept: bool,
    choices: Vec<Choice>,
    /// Index of the chosen finding.
    chosen: usize,
    /// The rows that the decision is for, as they were when they were counted; `None` for this row alone.
    several: Option<CountedRows>,
    reason: String,
    /// Number of suggested reasons offered so far.
    suggested: usize,
    /// The name typed for who allowed it, once the pane asks for that.
    allowed_by: Option<String>,
    /// True if the printer is to read of it on the note.
    is_on_note: bool,
}

/// The rows of a decision about several, as they were shown when the pane counted them.
#[derive(Debug)]
pub struct CountedRows {
    /// True if a person marked these rows; else they are the rows that the filter shows.
    are_marked: bool,
    rows: Vec<Arc<TableRow>>,
}

/// A finding of the row.
#[derive(Debug)]
struct Choice {
    /// The finding as it was shown, and the file that it was found in.
    shown: ShownFinding,
    /// Who accepted it and why, if it is accepted.
    accepted: Option<String>,
}

impl Mode for AcceptPane {
    fn context(&self) -> Context {
        Context::Accept
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        let Action::Accept(action) = action else { return Reply::Pass };
        match action {
            AcceptAction::Up => self.choose(self.chosen.saturating_sub(1), state),
            AcceptAction::Down => self.choose(self.chosen + 1, state),
            AcceptAction::NextReason => self.suggest_reason(),
            AcceptAction::EveryRow => self.several = self.several.is_none().then(|| CountedRows::of(state)),
            AcceptAction::OnNote => self.is_on_note = !self.is_on_note,
            AcceptAction::Backspace => drop(self.field().pop()),
            AcceptAction::Accept => return self.accept(state),
            AcceptAction::Withdraw if self.is_gone || self.nothing_to_accept => {}
            AcceptAction::Withdraw => return self.close_with(None, state),
            AcceptAction::Close if self.allowed_by.is_some() => self.allowed_by = None,
            AcceptAction::Close => {
                state.view.detail_top = 0;
                return Reply::Close(None);
            }
        }
        Reply::Taken
    }

    fn is_typing(&self) -> bool {
        true
    }

    fn on_text(&mut self, text: &str, _state: &mut ScreenState) -> Reply {
        self.add(text);
        Reply::Taken
    }

    fn on_mouse(&mut self, mouse: &MouseEvent, state: &mut ScreenState) -> Reply {
        let at = Position { x: mouse.column, y: mouse.row };
        // The row stays selected.
        if state.areas.is_some_and(|areas| areas.table.contains(at)) { Reply::Ignored } else { Reply::Pass }
    }

    fn on_snapshot(&mut self, state: &ScreenState) -> bool {
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
    /// Counts the rows that are marked now or, if none are, those shown.
    pub fn of(state: &ScreenState) -> CountedRows {
        CountedRows { are_marked: !state.view.marked().is_empty(), rows: state.rows_meant().cloned().collect() }
    }
}

impl Choice {
    /// True if the file cannot be read, so that the finding cannot be accepted for any reason.
    fn is_unreadable(&self) -> bool {
        self.shown.finding.rule.uses.is_unreadable
    }
}

impl AcceptPane {
    /// Opens the pane on a row; `several` holds the marked rows, if any are.
    pub fn of(row: &Row, several: Option<CountedRows>) -> AcceptPane {
        let choice = |finding: &Arc<Finding>, accepted| Choice { shown: ShownFinding::of(row, finding), accepted };
        let open = row.findings.iter().map(|finding| choice(finding, None));
        let kept = row.accepted.iter().map(|one| choice(&one.finding, Some(one.acceptance.words())));
        let choices: Vec<Choice> = open.chain(kept).collect();
        let again = row.findings.first().and_then(|finding| finding.lapsed.as_ref());
        AcceptPane {
            row: row.key.clone(),
            is_gone: false,
            nothing_to_accept: choices.is_empty() || row.key.picture.is_none(),
            choices,
            chosen: 0,
            several,
            reason: again.map(|again| again.acceptance.reason.clone()).unwrap_or_default(),
            suggested: 0,
            allowed_by: None,
            is_on_note: false,
        }
    }

    /// Returns the chosen finding in each of the counted rows where it is open, as it was shown.
    fn open_findings<'a>(&'a self, several: &'a CountedRows) -> impl Iterator<Item = ShownFinding> + use<'a> {
        several.rows.iter().filter_map(|row| self.first_shown(&row.row, row.row.findings.iter()))
    }

    /// Returns the chosen finding in each of the counted rows where it is accepted.
    fn accepted_findings<'a>(&'a self, several: &'a CountedRows) -> impl Iterator<Item = ShownFinding> + use<'a> {
        let accepted = |row: &'a Row| row.accepted.iter().map(|one| &one.finding);
        several.rows.iter().filter_map(move |row| self.first_shown(&row.row, accepted(&row.row)))
    }

    /// Returns the chosen finding among those of a row; for the row that the pane is open on, as the pane shows it.
    fn first_shown<'a>(&self, row: &Row, mut findings: impl Iterator<Item = &'a Arc<Finding>>) -> Option<ShownFinding> {
        let shown = &self.choices.get(self.chosen)?.shown;
        let found = findings.find(|finding| finding.is_same_as(&shown.finding))?;
        Some(if row.key == self.row { shown.clone() } else { ShownFinding::of(row, found) })
    }

    /// Returns the number of rows meant now in which the chosen finding is open, and was not when they were counted.
    fn new_rows_since(&self, several: &CountedRows, state: &ScreenState) -> usize {
        let counted: HashSet<RowKey> = self.open_findings(several).map(|shown| shown.key).collect();
        let open = state.rows_meant().filter_map(|row| self.first_shown(&row.row, row.row.findings.iter()));
        open.filter(|shown| !counted.contains(&shown.key)).count()
    }

    /// Chooses a finding and keeps it in sight: every other one takes a single line.
    fn choose(&mut self, index: usize, state: &mut ScreenState) {
        self.chosen = index.min(self.choices.len().saturating_sub(1));
        state.view.detail_top = self.chosen;
    }

    /// Returns the field that is typed in: the reason or, once the pane asks for that, the name of who allowed it.
    fn field(&mut self) -> &mut String {
        self.allowed_by.as_mut().unwrap_or(&mut self.reason)
    }

    fn add(&mut self, text: &str) {
        if !self.nothing_to_accept {
            typing::add(self.field(), text, MAX_LETTERS);
        }
    }

    /// Offers the next suggested reason, unless words that a person typed would be lost.
    fn suggest_reason(&mut self) {
        let is_typed = !self.reason.is_empty() && !SUGGESTED.contains(&self.reason.as_str());
        if self.allowed_by.is_none() && !is_typed {
            self.reason = SUGGESTED[self.suggested % SUGGESTED.len()].to_owned();
            self.suggested += 1;
        }
    }

    /// Accepts the chosen finding, or asks for what must be typed before.
    fn accept(&mut self, state: &mut ScreenState) -> Reply {
        let choice = self.choices.get(self.chosen).filter(|choice| !choice.is_unreadable());
        let Some(choice) = choice.filter(|_| !self.is_gone && !self.nothing_to_accept) else { return Reply::Taken };
        // The typed text is kept: it may be meant for this row.
        if self.several.as_ref().is_some_and(|several| self.open_findings(several).count() == 0) {
            return Reply::Taken;
        }
        let is_must = choice.shown.finding.level == Level::Must;
        match &self.allowed_by {
            _ if self.reason.trim().is_empty() => state.message = Some("type a reason first".into()),
            Some(name) if name.trim().is_empty() => state.message = Some("type who allowed it".into()),
            None if is_must => self.allowed_by = Some(String::new()),
            _ => {
                return self.close_with(
                    Some(state.sign(self.reason.clone(), self.allowed_by.clone(), self.is_on_note)),
                    state,
                );
            }
        }
        Reply::Taken
    }

    /// Closes with the request to accept the chosen finding for a reason, or to withdraw its acceptance without one.
    fn close_with(&self, reason: Option<AcceptanceReason>, state: &mut ScreenState) -> Reply {
        state.view.detail_top = 0;
        let Some(choice) = self.choices.get(self.chosen) else { return Reply::Close(None) };
        let (mut rows, mut left_out_new_rows) = (vec![choice.shown.clone()], 0);
        if let Some(several) = &self.several {
            if reason.is_some() {
                rows = self.open_findings(several).collect();
                left_out_new_rows = self.new_rows_since(several, state);
            } else {
                rows = self.accepted_findings(several).collect();
            }
            // Marks serve one decision; a decision about this row alone keeps them.
            state.view.unmark();
        }
        Reply::Close(Some(LiveCommand::Accept(AcceptRequest { rows, left_out_new_rows, reason })))
    }

    /// Returns the pane's text for a width: of the chosen finding all of it, of every other one line.
    fn lines(&self, width: usize, ellipsis: &str) -> Vec<Line> {
        let title = if let Some(several) = &self.several {
            let (one, many) =
                if several.are_marked { ("marked row", "marked rows") } else { ("shown row", "shown rows") };
            let rows = show::count(several.rows.len(), one, many);
            match self.open_findings(several).count() {
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
        if self.nothing_to_accept {
            lines.extend([Line::of(Style::Warn, NO_FINDINGS), Line::plain("Esc goes back.")]);
            return lines;
        }
        for (at, choice) in self.choices.iter().enumerate() {
            let is_chosen = at == self.chosen;
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
            if choice.is_unreadable() {
                lines.push(Line::of(Style::Warn, NotAcceptable::Unreadable.to_string()).indented(4, 0));
            }
        }
        lines
    }

    /// Returns the fields that are typed.
    fn typed(&self) -> Vec<Line> {
        if self.nothing_to_accept {
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
        if self.is_on_note {
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
    use crate::judge::testing::{self, brief, sound_submission};
    use crate::picture::PictureKey;
    use crate::tui::tests::signed_state;

    fn row(rules: &str) -> Row {
        let text = format!("{rules}[[print]]\nsize = \"8 x 10 in\"");
        judge(&brief(&text), &[sound_submission("a.jpg", 2000, 2500)]).rows.swap_remove(0)
    }

    fn press(pane: &mut AcceptPane, action: AcceptAction) -> Reply {
        pane.act(Action::Accept(action), &mut signed_state())
    }

    fn request_in(reply: Reply) -> AcceptRequest {
        let Reply::Close(Some(LiveCommand::Accept(request))) = reply else { panic!("no request") };
        request
    }

    fn stays(reply: Reply) -> bool {
        matches!(reply, Reply::Taken)
    }

    #[test]
    fn a_reason_is_typed_or_suggested_and_without_one_nothing_is_accepted() {
        let row = row("");
        let shown = ShownFinding::of(&row, &row.findings[0]);
        let mut pane = AcceptPane::of(&row, None);
        assert!(stays(press(&mut pane, AcceptAction::Accept)));
        pane.add("high up");
        let said = request_in(press(&mut pane, AcceptAction::Accept));
        assert_eq!((said.rows.as_slice(), shown.finding.rule.id), ([shown.clone()].as_slice(), "density.target"));
        assert_eq!(said.reason.unwrap().reason, "high up");
        // What was typed is not overwritten by a suggested reason; once it is deleted, one is offered.
        press(&mut pane, AcceptAction::NextReason);
        assert_eq!(pane.reason, "high up");
        for _ in "high up".chars() {
            press(&mut pane, AcceptAction::Backspace);
        }
        press(&mut pane, AcceptAction::NextReason);
        let said = request_in(press(&mut pane, AcceptAction::Accept));
        assert_eq!(
            (said.rows.as_slice(), said.reason.unwrap().reason.as_str()),
            ([shown.clone()].as_slice(), SUGGESTED[0])
        );
        let said = request_in(press(&mut pane, AcceptAction::Withdraw));
        assert_eq!((said.rows.as_slice(), said.reason), ([shown].as_slice(), None));
    }

    #[test]
    fn several_rows_are_accepted_where_it_is_open_and_taken_back_where_it_is_accepted() {
        let table_row = |row: &Row| {
            Arc::new(TableRow {
                row: row.clone().into(),
                is_outdated: false,
                arriving_bytes: None,
                export_change: None,
            })
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
        let of_finding = |row: &Row| ShownFinding::of(row, &row.findings[0]);
        let again = Row { sha256: Some("of the next export".to_owned()), ..own.clone() };
        let rows = [&again, &open, &accepted].map(table_row).to_vec();
        let mut pane = AcceptPane::of(&own, Some(CountedRows { are_marked: true, rows }));
        pane.add("x");
        let request = request_in(press(&mut pane, AcceptAction::Accept));
        assert_eq!(request.rows, [of_finding(&own), of_finding(&open)], "of its own row what the pane shows counts");
        let withdrawn = request_in(press(&mut pane, AcceptAction::Withdraw));
        assert_eq!(withdrawn.rows, [ShownFinding::of(&accepted, &finding)]);
    }

    #[test]
    fn a_must_asks_who_allowed_it() {
        let mut pane = AcceptPane::of(&row("[rules]\n\"density.target\" = \"must\"\n"), None);
        pane.add("x");
        assert!(stays(press(&mut pane, AcceptAction::Accept)));
        assert!(stays(press(&mut pane, AcceptAction::Accept)), "nobody is named yet");
        pane.add("Corrow Lane");
        let said = request_in(press(&mut pane, AcceptAction::Accept)).reason.unwrap();
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
            let mut pane = AcceptPane::of(&row, None);
            pane.add("the printer");
            assert!(stays(press(&mut pane, AcceptAction::Accept)));
            let lines: Vec<String> = pane.lines(80, "…").iter().map(Line::text).collect();
            assert!(lines.iter().any(|line| line.contains(said)), "{lines:#?}");
            assert!(matches!(press(&mut pane, AcceptAction::Close), Reply::Close(None)));
        }
    }
}
