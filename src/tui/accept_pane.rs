//! The pane in which a finding is accepted or taken back: which one, why, and who allowed it where it must hold.

use crate::brief::requirements::Level;
use crate::judge::acceptance::{AcceptanceReason, AcceptedValues, NotAcceptable};
use crate::judge::{Finding, Row, RowKey};
use crate::live::snapshot::{AcceptRequest, LiveCommand, ShownRow};
use crate::tui::action::Action;
use crate::tui::typing;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Reasons that are often right, for whoever does not want to type.
const READY: [&str; 4] = ["meant so", "the client wants it", "the designer crops it", "the printer takes care of it"];
/// Longest reason and name, in characters: a line or two of a note.
const LONGEST: usize = 200;

/// The pane.
pub struct AcceptPane {
    /// Whose findings they are.
    pub row: RowKey,
    /// The bytes that they were found in.
    sha256: Option<String>,
    /// Whether that row is on the desk no more: nothing can be accepted then.
    pub is_gone: bool,
    /// Why nothing can be accepted there at all. The pane opens all the same: whoever types a reason types no commands.
    closed: Option<&'static str>,
    choices: Vec<Choice>,
    at: usize,
    /// On the same finding of every row that is marked, or shown.
    every: bool,
    reason: String,
    ready: usize,
    /// What is typed of who allowed it, once that is asked.
    allowed_by: Option<String>,
}

/// The rows that a finding can be accepted of at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AcceptScope {
    /// Whether a person marked them; they are what the filter shows otherwise.
    pub marked: bool,
    /// How many there are.
    pub rows: usize,
    /// How many have this finding.
    pub with_it: usize,
}

/// A finding of the row.
struct Choice {
    rule: &'static str,
    about: String,
    what: String,
    level: Level,
    /// Who accepted it, while it stands.
    standing: Option<String>,
    /// Why it cannot be accepted, whatever is said for it.
    cannot: Option<NotAcceptable>,
}

/// What becomes of the pane after a key.
#[derive(Debug, PartialEq)]
pub enum After {
    /// It stays.
    Stay,
    /// It closes, and nothing changes.
    Leave,
    /// It closes, and the desk is asked this.
    Ask(LiveCommand),
}

impl AcceptPane {
    /// Opens on a row, for every marked row where some are.
    pub fn of(row: &Row, every: bool) -> AcceptPane {
        let choice = |finding: &Finding, standing: Option<String>| Choice {
            // What is not read yet may be by the time that a reason is typed.
            cannot: AcceptedValues::of(finding, row).err().filter(|why| *why == NotAcceptable::Unreadable),
            rule: finding.rule.id,
            about: finding.about.clone(),
            what: finding.what.clone(),
            level: finding.level,
            standing,
        };
        let open = row.findings.iter().map(|finding| choice(finding, None));
        let kept = row.accepted.iter().map(|one| choice(&one.finding, Some(one.acceptance.words())));
        let choices: Vec<Choice> = open.chain(kept).collect();
        let again = row.findings.first().and_then(|finding| finding.again.as_ref());
        let reason = again.map(|again| again.acceptance.reason.clone()).unwrap_or_default();
        let is_empty = choices.is_empty() || row.key.picture.is_none();
        let closed = is_empty.then_some("Nothing was found in this row: there is nothing to accept.");
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
            ready: 0,
            allowed_by: None,
        }
    }

    /// Accepts again, as it was accepted before, the first finding of a row that is asked again; `None` where none is.
    pub fn as_before(row: &Row, (by, when): (String, String)) -> Option<LiveCommand> {
        let finding = row.findings.iter().find(|finding| finding.again.is_some())?;
        let before = &finding.again.as_ref()?.acceptance;
        let said = AcceptanceReason { reason: before.reason.clone(), by, allowed_by: before.allowed_by.clone(), when };
        let (rule, about) = (finding.rule.id.to_owned(), finding.about.clone());
        Some(LiveCommand::Accept(AcceptRequest { rows: vec![ShownRow::of(row)], rule, about, said: Some(said) }))
    }

    /// Whether it is about every marked or shown row.
    pub fn is_every(&self) -> bool {
        self.every
    }

    /// The finding that is chosen: its rule, and which of that rule's.
    pub fn chosen(&self) -> Option<(&'static str, &str)> {
        self.choices.get(self.at).map(|choice| (choice.rule, choice.about.as_str()))
    }

    /// Takes a letter.
    pub fn write(&mut self, letter: char) {
        if self.closed.is_some() {
            return;
        }
        typing::add(self.allowed_by.as_mut().unwrap_or(&mut self.reason), letter, LONGEST);
    }

    /// Does what a key asks for; `others` are the marked rows, or those on screen's list, `signed` who sits here and
    /// when it is.
    pub fn act(&mut self, action: Action, others: &[ShownRow], signed: (String, String)) -> After {
        match action {
            Action::Up => self.at = self.at.saturating_sub(1),
            Action::Down => self.at = (self.at + 1).min(self.choices.len().saturating_sub(1)),
            // Words that a person typed stay.
            Action::NextReason if self.allowed_by.is_some() => {}
            Action::NextReason if !self.reason.is_empty() && !READY.contains(&self.reason.as_str()) => {}
            Action::NextReason => {
                self.reason = READY[self.ready % READY.len()].to_owned();
                self.ready += 1;
            }
            Action::EveryRow => self.every = !self.every,
            Action::Backspace => {
                self.allowed_by.as_mut().unwrap_or(&mut self.reason).pop();
            }
            Action::Close if self.allowed_by.is_some() => self.allowed_by = None,
            Action::Close => return After::Leave,
            Action::TakeBack | Action::AcceptIt if self.is_gone || self.closed.is_some() => {}
            Action::TakeBack => return self.ask(others, None),
            Action::AcceptIt => return self.accept(others, signed),
            _ => {}
        }
        After::Stay
    }

    fn accept(&mut self, others: &[ShownRow], (by, when): (String, String)) -> After {
        let must = self.choices.get(self.at).is_some_and(|choice| choice.level == Level::Must);
        match &self.allowed_by {
            _ if self.reason.trim().is_empty() => return After::Stay,
            _ if self.choices.get(self.at).is_some_and(|choice| choice.cannot.is_some()) => return After::Stay,
            None if must => {
                self.allowed_by = Some(String::new());
                return After::Stay;
            }
            Some(name) if name.trim().is_empty() => return After::Stay,
            _ => {}
        }
        let said = AcceptanceReason { reason: self.reason.clone(), by, allowed_by: self.allowed_by.clone(), when };
        self.ask(others, Some(said))
    }

    fn ask(&self, others: &[ShownRow], said: Option<AcceptanceReason>) -> After {
        let Some(choice) = self.choices.get(self.at) else { return After::Leave };
        let own = ShownRow { key: self.row.clone(), sha256: self.sha256.clone() };
        // Of the row that the pane is open on, what it showed counts.
        let as_read = |other: &ShownRow| if other.key == own.key { own.clone() } else { other.clone() };
        let rows = if self.every { others.iter().map(as_read).collect() } else { vec![own.clone()] };
        let (rule, about) = (choice.rule.to_owned(), choice.about.clone());
        After::Ask(LiveCommand::Accept(AcceptRequest { rows, rule, about, said }))
    }

    /// What the pane says.
    pub fn lines(&self, others: AcceptScope) -> Vec<Line> {
        let title = if self.every {
            let (one, many) = if others.marked { ("marked row", "marked rows") } else { ("shown row", "shown rows") };
            let rows = show::count(others.rows, one, many);
            match others.with_it {
                0 => format!("None of {rows} has this finding"),
                with_it => format!("Accept this finding of {with_it} of {rows}"),
            }
        } else {
            let picture = self.row.picture.as_ref().map_or("this row", |picture| picture.file_name());
            format!("Accept a finding of {picture}")
        };
        let mut lines = vec![Line::of(Style::Head, title), Line::blank()];
        if self.is_gone {
            let words = "This row is gone from the desk: nothing can be accepted here.";
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
            if let Some(standing) = &choice.standing {
                lines.push(Line::of(Style::Good, format!("accepted {standing}")).indented(4, 0));
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
        lines.push(field("why", &self.reason, self.allowed_by.is_none()));
        if let Some(allowed_by) = &self.allowed_by {
            lines.push(field("allowed by", allowed_by, true));
            let words = "The brief says that this must hold: name the client or the printer who allowed it.";
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

    fn asked(after: After) -> AcceptRequest {
        let After::Ask(LiveCommand::Accept(asked)) = after else { panic!("{after:?}") };
        asked
    }

    #[test]
    fn a_reason_is_typed_or_ready_and_without_one_nothing_is_accepted() {
        let row = row("");
        let mut view = AcceptPane::of(&row, false);
        assert_eq!(view.act(Action::AcceptIt, &[], signed()), After::Stay);
        "high up".chars().for_each(|letter| view.write(letter));
        let said = asked(view.act(Action::AcceptIt, &[], signed()));
        assert_eq!((said.rows.as_slice(), said.rule.as_str()), ([ShownRow::of(&row)].as_slice(), "density.wanted"));
        assert_eq!(said.said.unwrap().reason, "high up");
        // What was typed is not overwritten by a ready reason; once it is gone, one comes.
        view.act(Action::NextReason, &[], signed());
        assert_eq!(view.reason, "high up");
        for _ in "high up".chars() {
            view.act(Action::Backspace, &[], signed());
        }
        view.act(Action::NextReason, &[], signed());
        view.act(Action::EveryRow, &[], signed());
        let nobody = ShownRow { key: RowKey { print: None, picture: None }, sha256: None };
        let shown = [ShownRow { sha256: Some("of the next export".to_owned()), ..ShownRow::of(&row) }, nobody];
        let said = asked(view.act(Action::AcceptIt, &shown, signed()));
        assert_eq!((said.rows.len(), said.said.unwrap().reason.as_str()), (2, READY[0]));
        assert_eq!(said.rows[0], ShownRow::of(&row), "what was read in the pane is what is accepted");
        assert_eq!(asked(view.act(Action::TakeBack, &shown, signed())).said, None);
    }

    #[test]
    fn what_is_asked_again_is_accepted_as_before_and_nothing_else_is() {
        let mut again = row("");
        assert_eq!(AcceptPane::as_before(&again, signed()), None);
        let said = AcceptanceReason {
            reason: "hangs high".to_owned(),
            by: "Ida".to_owned(),
            allowed_by: Some("Corrow Lane".to_owned()),
            when: String::new(),
        };
        let acceptance = crate::judge::acceptance::Acceptance::of(&again.findings[0], &again, said).unwrap();
        let why = "its pixels are others".to_owned();
        std::sync::Arc::make_mut(&mut again.findings[0]).again =
            Some(crate::judge::model::finding::LapsedAcceptance { acceptance: acceptance.into(), why });
        let asked = asked(After::Ask(AcceptPane::as_before(&again, signed()).unwrap()));
        let now = asked.said.unwrap();
        assert_eq!(
            (now.reason.as_str(), now.by.as_str(), now.allowed_by.as_deref()),
            ("hangs high", "Maren", Some("Corrow Lane"))
        );
        assert_eq!((asked.rows, asked.rule.as_str()), (vec![ShownRow::of(&again)], again.findings[0].rule.id));
    }

    #[test]
    fn a_must_asks_who_allowed_it() {
        let mut view = AcceptPane::of(&row("[rules]\n\"density.wanted\" = \"must\"\n"), false);
        view.write('x');
        assert_eq!(view.act(Action::AcceptIt, &[], signed()), After::Stay);
        assert_eq!(view.act(Action::AcceptIt, &[], signed()), After::Stay, "nobody is named yet");
        "Corrow Lane".chars().for_each(|letter| view.write(letter));
        let said = asked(view.act(Action::AcceptIt, &[], signed())).said.unwrap();
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
            "the printer".chars().for_each(|letter| view.write(letter));
            assert_eq!(view.act(Action::AcceptIt, &[], signed()), After::Stay);
            let lines: Vec<String> = view.lines(none).iter().map(Line::text).collect();
            assert!(lines.iter().any(|line| line.contains(said)), "{lines:#?}");
            assert_eq!(view.act(Action::Close, &[], signed()), After::Leave);
        }
    }
}
