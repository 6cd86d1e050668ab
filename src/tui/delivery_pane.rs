//! The pane in which the order is handed over: what would go, where it is laid, and how far that is.

use crossbeam_channel::Receiver;

use crate::live::Snapshot;
use crate::tui::action::Action;
use crate::tui::typing;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Longest name of a folder that can be typed, in characters.
const LONGEST: usize = 400;
/// Reasons and lines that are shown of many. Own choice: what a pane has room for.
const SHOWN: usize = 12;

/// What happens at a key, and how a part of the order is handed over.
const CAUTION: &str = "Everything is checked once more, then copied; nothing is ever written over. plateside deliver \
                       hands over parts of an order, or only what is new.";

/// What lays handovers: lent to the screen, which writes no files.
pub trait DeliveryService {
    /// What would go now, or why nothing may.
    fn asked(&self, snapshot: &Snapshot) -> DeliveryPreview;
    /// Checks everything once more and lays it in a folder that is not there yet; tells how far it is.
    fn lay(&self, into: &str) -> Receiver<DeliveryProgress>;
}

/// What would go.
#[derive(Clone, Debug, PartialEq)]
pub struct DeliveryPreview {
    /// Whether it may.
    pub may: bool,
    /// The summary, or the reasons.
    pub lines: Vec<Line>,
    /// A folder that is free, to begin from.
    pub into: String,
}

/// How far it is.
#[derive(Clone, Debug, PartialEq)]
pub enum DeliveryProgress {
    /// So many pictures are checked once more.
    Checked {
        /// Done.
        done: usize,
        /// In all.
        of: usize,
    },
    /// It lies there.
    Laid(Vec<Line>),
    /// Nothing was laid, and why.
    Refused(Vec<Line>),
}

/// The pane.
pub struct DeliveryPane {
    asked: DeliveryPreview,
    into: String,
    telling: Option<Receiver<DeliveryProgress>>,
    told: Option<DeliveryProgress>,
    /// Whether it was said what quitting now would do.
    warned: bool,
}

/// What becomes of the pane after a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum After {
    /// It stays.
    Stay,
    /// It closes.
    Leave,
}

impl DeliveryPane {
    /// Opens with what would go.
    pub fn new(asked: DeliveryPreview) -> DeliveryPane {
        let into = asked.into.clone();
        DeliveryPane { asked, into, telling: None, told: None, warned: false }
    }

    /// Whether it is being laid.
    pub fn is_laying(&self) -> bool {
        self.telling.is_some()
    }

    /// Whether the program may be quit: while something is laid, only at the second key.
    pub fn may_quit(&mut self) -> bool {
        !self.is_laying() || std::mem::replace(&mut self.warned, true)
    }

    /// Whether it waits to be told where, and may be laid.
    pub fn is_asking(&self) -> bool {
        self.asked.may && self.telling.is_none() && self.told.is_none()
    }

    /// What would go by now, where the rows are others and nothing is being laid yet. A folder's name that was typed
    /// stays.
    pub fn ask_again(&mut self, ask: impl FnOnce() -> DeliveryPreview) {
        if self.telling.is_none() && self.told.is_none() {
            let asked = ask();
            if self.into == self.asked.into {
                self.into.clone_from(&asked.into);
            }
            self.asked = asked;
        }
    }

    /// Takes a letter of the folder's name.
    pub fn write(&mut self, letter: char) {
        if self.is_asking() {
            typing::add(&mut self.into, letter, LONGEST);
        }
    }

    /// Does what a key asks for.
    pub fn act(&mut self, action: Action, hand_over: &dyn DeliveryService) -> After {
        match action {
            Action::Backspace if self.is_asking() => drop(self.into.pop()),
            Action::LayIt if self.is_asking() && !self.into.trim().is_empty() => {
                self.telling = Some(hand_over.lay(self.into.trim()));
            }
            // What has begun ends by itself: a folder is there as a whole or not at all.
            Action::Close | Action::LayIt if self.is_laying() => {}
            Action::Close => return After::Leave,
            _ => {}
        }
        After::Stay
    }

    /// Takes in what was told since.
    pub fn listen(&mut self) {
        let Some(telling) = &self.telling else { return };
        loop {
            match telling.try_recv() {
                Ok(told) => self.told = Some(told),
                Err(crossbeam_channel::TryRecvError::Empty) => return,
                Err(crossbeam_channel::TryRecvError::Disconnected) => break,
            }
        }
        if !matches!(self.told, Some(DeliveryProgress::Laid(_) | DeliveryProgress::Refused(_))) {
            let words = "It ended without a word: look whether the folder is there.";
            self.told = Some(DeliveryProgress::Refused(vec![Line::of(Style::Bad, words)]));
        }
        self.telling = None;
    }

    /// What the pane says.
    pub fn lines(&self) -> Vec<Line> {
        let mut lines = vec![Line::of(Style::Head, "Hand over the order"), Line::blank()];
        match &self.told {
            Some(DeliveryProgress::Laid(said) | DeliveryProgress::Refused(said)) => {
                lines.extend(some_of(said));
                return lines;
            }
            Some(DeliveryProgress::Checked { done, of }) => {
                lines.push(Line::plain(format!(
                    "checking once more: {done} of {}",
                    show::count(*of, "picture", "pictures")
                )));
                return lines;
            }
            None if self.is_laying() => {
                lines.push(Line::plain("checking once more"));
                return lines;
            }
            None if self.asked.may => {
                // What is typed stands first, so that it is seen in a low window, too.
                let into = Line::of(Style::Head, "into ").and(Style::Strong, self.into.as_str()).and(Style::Dim, "_");
                lines.extend([into.indented(0, 5), Line::blank()]);
                lines.extend(some_of(&self.asked.lines));
                lines.extend([Line::blank(), Line::of(Style::Dim, CAUTION)]);
            }
            None => lines.extend(some_of(&self.asked.lines)),
        }
        lines
    }
}

/// As many lines as a pane takes, and how many more there are.
fn some_of(all: &[Line]) -> Vec<Line> {
    let mut lines: Vec<Line> = all.iter().take(SHOWN).cloned().collect();
    if all.len() > SHOWN {
        lines.push(Line::of(Style::Dim, format!("and {} more", all.len() - SHOWN)));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossbeam_channel::{Sender, unbounded};
    use std::cell::RefCell;

    /// Lays nothing, and keeps what it was asked.
    struct Lent {
        into: RefCell<Vec<String>>,
        telling: RefCell<Option<Sender<DeliveryProgress>>>,
    }

    impl DeliveryService for Lent {
        fn asked(&self, _: &Snapshot) -> DeliveryPreview {
            asked(true)
        }

        fn lay(&self, into: &str) -> Receiver<DeliveryProgress> {
            let (sender, receiver) = unbounded();
            self.into.borrow_mut().push(into.to_owned());
            *self.telling.borrow_mut() = Some(sender);
            receiver
        }
    }

    fn asked(may: bool) -> DeliveryPreview {
        DeliveryPreview { may, lines: vec![Line::plain("3 pictures go")], into: "out".to_owned() }
    }

    fn lent() -> Lent {
        Lent { into: RefCell::default(), telling: RefCell::default() }
    }

    fn text(view: &DeliveryPane) -> String {
        view.lines().iter().map(Line::text).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn what_goes_is_said_anew_until_it_is_laid_and_a_typed_name_stays() {
        let (lent, mut view) = (lent(), DeliveryPane::new(asked(true)));
        view.ask_again(|| asked(false));
        assert!(!view.is_asking());
        view.ask_again(|| DeliveryPreview { into: "out-2".to_owned(), ..asked(true) });
        view.write('x');
        view.ask_again(|| DeliveryPreview { lines: vec![Line::plain("2 pictures go")], ..asked(true) });
        assert!(text(&view).contains("into out-2x_") && text(&view).contains("2 pictures go"), "{}", text(&view));
        view.act(Action::LayIt, &lent);
        view.ask_again(|| panic!("it is being laid"));
    }

    #[test]
    fn it_says_what_goes_lays_it_on_enter_and_tells_how_far_it_is() {
        let (lent, mut view) = (lent(), DeliveryPane::new(asked(true)));
        assert!(text(&view).contains("3 pictures go") && text(&view).contains("into out_"));
        view.write('2');
        assert_eq!(view.act(Action::LayIt, &lent), After::Stay);
        assert_eq!(*lent.into.borrow(), ["out2"]);
        for key in [Action::Close, Action::LayIt] {
            assert_eq!(view.act(key, &lent), After::Stay, "what has begun ends by itself");
        }
        let tell = |told| lent.telling.borrow().as_ref().unwrap().send(told).unwrap();
        tell(DeliveryProgress::Checked { done: 1, of: 3 });
        view.listen();
        assert!(text(&view).contains("1 of 3 pictures") && view.is_laying());
        assert!(!view.may_quit() && view.may_quit(), "the second time it is meant");
        tell(DeliveryProgress::Laid(vec![Line::plain("3 pictures laid")]));
        lent.telling.borrow_mut().take();
        view.listen();
        assert!(text(&view).contains("3 pictures laid") && !view.is_laying() && view.may_quit());
        assert_eq!(view.act(Action::LayIt, &lent), After::Stay, "twice is not asked for");
        assert_eq!(lent.into.borrow().len(), 1);
    }

    #[test]
    fn while_something_is_to_be_mended_nothing_is_laid() {
        let (lent, mut view) = (lent(), DeliveryPane::new(asked(false)));
        view.write('x');
        assert_eq!(view.act(Action::LayIt, &lent), After::Stay);
        assert!(lent.into.borrow().is_empty() && !text(&view).contains("into"));
    }

    #[test]
    fn one_that_dies_is_told() {
        let (lent, mut view) = (lent(), DeliveryPane::new(asked(true)));
        view.act(Action::LayIt, &lent);
        lent.telling.borrow_mut().take();
        view.listen();
        assert!(text(&view).contains("look whether the folder is there"));
    }
}
