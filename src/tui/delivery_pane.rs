//! The pane in which the order is delivered: what would go, into which folder, and how far that is.

use std::time::{Duration, Instant};

use crossbeam_channel::Receiver;

use crate::tui::action::{Action, DeliveryAction, ScreenAction};
use crate::tui::delivery_service::{DeliveryPreview, DeliveryProgress, DeliveryService};
use crate::tui::keys::Context;
use crate::tui::mode::{Mode, Reply};
use crate::tui::screen_state::ScreenState;
use crate::tui::typing;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Longest name of a folder that can be typed, in characters.
const LONGEST: usize = 400;
/// Reasons and lines that are shown of many. Own choice: what a pane has room for.
const SHOWN: usize = 12;

/// What Enter does, and how a part of the order is delivered.
const CAUTION: &str = "Everything is checked once more, then copied; nothing is ever written over. plateside deliver \
                       hands over parts of an order, or only what is new.";

/// How often a delivery is asked how far it is. Own choice.
const LISTEN: Duration = Duration::from_millis(100);

/// The pane.
#[derive(Debug)]
pub struct DeliveryPane {
    asked: DeliveryPreview,
    into: String,
    progress: Option<Receiver<DeliveryProgress>>,
    reported: Option<DeliveryProgress>,
    /// When it is asked next.
    listen_at: Option<Instant>,
    /// Whether it was said what quitting now would do.
    warned: bool,
}

impl Mode for DeliveryPane {
    fn context(&self) -> Context {
        if self.is_asking() { Context::Delivery } else { Context::DeliveryReport }
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        match (action, &state.delivery) {
            (Action::Delivery(action), Some(service)) => self.obey(action, service.as_ref()),
            (Action::Screen(ScreenAction::Quit), _) if !self.may_quit() => {
                state.said = Some("being handed over; quit again and nothing is laid");
                Reply::Taken
            }
            _ => Reply::Pass,
        }
    }

    fn is_typing(&self) -> bool {
        self.is_asking()
    }

    fn write(&mut self, text: &str, _state: &mut ScreenState) -> Reply {
        if !self.is_asking() {
            return Reply::Ignored;
        }
        typing::add(&mut self.into, text, LONGEST);
        Reply::Taken
    }

    fn take_up(&mut self, state: &ScreenState) -> bool {
        if let Some(service) = &state.delivery {
            self.ask_again(|| service.asked(&state.snapshot));
        }
        true
    }

    fn refresh(&mut self, now: Instant) {
        self.listen();
        self.listen_at = self.is_delivering().then_some(now + LISTEN);
    }

    fn due(&self) -> Option<Instant> {
        self.listen_at
    }

    fn pane(&self, _state: &ScreenState) -> Option<Vec<Line>> {
        Some(self.lines())
    }
}

impl DeliveryPane {
    /// Opens with what would go.
    pub fn new(asked: DeliveryPreview) -> DeliveryPane {
        let into = asked.into.clone();
        DeliveryPane { asked, into, progress: None, reported: None, listen_at: None, warned: false }
    }

    /// Whether it is being delivered.
    fn is_delivering(&self) -> bool {
        self.progress.is_some()
    }

    /// Whether the program may be quit: during a delivery only at the second key.
    fn may_quit(&mut self) -> bool {
        !self.is_delivering() || std::mem::replace(&mut self.warned, true)
    }

    /// Whether the order may be delivered and the folder is still to be named.
    fn is_asking(&self) -> bool {
        self.asked.may && self.progress.is_none() && self.reported.is_none()
    }

    /// Renews what would go, since the rows are others, unless a delivery has begun. A folder's name that was typed
    /// stays.
    fn ask_again(&mut self, ask: impl FnOnce() -> DeliveryPreview) {
        if self.progress.is_none() && self.reported.is_none() {
            let asked = ask();
            if self.into == self.asked.into {
                self.into.clone_from(&asked.into);
            }
            self.asked = asked;
        }
    }

    /// Does what a key asks for.
    fn obey(&mut self, action: DeliveryAction, service: &dyn DeliveryService) -> Reply {
        match action {
            DeliveryAction::Backspace if self.is_asking() => drop(self.into.pop()),
            DeliveryAction::Deliver if self.is_asking() && !self.into.trim().is_empty() => {
                self.progress = Some(service.lay(self.into.trim()));
            }
            // What has begun ends by itself: a folder is there as a whole or not at all.
            DeliveryAction::Close if !self.is_delivering() => return Reply::Close(None),
            DeliveryAction::Backspace | DeliveryAction::Deliver | DeliveryAction::Close => {}
        }
        Reply::Taken
    }

    /// Takes in how far the delivery is by now.
    fn listen(&mut self) {
        let Some(progress) = &self.progress else { return };
        loop {
            match progress.try_recv() {
                Ok(reported) => self.reported = Some(reported),
                Err(crossbeam_channel::TryRecvError::Empty) => return,
                Err(crossbeam_channel::TryRecvError::Disconnected) => break,
            }
        }
        if !matches!(self.reported, Some(DeliveryProgress::Laid(_) | DeliveryProgress::Refused(_))) {
            let words = "It ended without a word: look whether the folder is there.";
            self.reported = Some(DeliveryProgress::Refused(vec![Line::of(Style::Bad, words)]));
        }
        self.progress = None;
    }

    /// What the pane says.
    fn lines(&self) -> Vec<Line> {
        let mut lines = vec![Line::of(Style::Head, "Hand over the order"), Line::blank()];
        match &self.reported {
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
            None if self.is_delivering() => {
                lines.push(Line::plain("checking once more"));
                return lines;
            }
            None if self.asked.may => {
                // What is typed comes first, so that it is seen in a low window, too.
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
    use crate::live::Snapshot;
    use crossbeam_channel::{Sender, bounded};
    use std::cell::RefCell;

    /// Delivers nothing, and keeps what it was asked.
    struct Lent {
        into: RefCell<Vec<String>>,
        progress: RefCell<Option<Sender<DeliveryProgress>>>,
    }

    impl DeliveryService for Lent {
        fn asked(&self, _: &Snapshot) -> DeliveryPreview {
            asked(true)
        }

        fn lay(&self, into: &str) -> Receiver<DeliveryProgress> {
            let (sender, receiver) = bounded(4);
            self.into.borrow_mut().push(into.to_owned());
            *self.progress.borrow_mut() = Some(sender);
            receiver
        }
    }

    fn asked(may: bool) -> DeliveryPreview {
        DeliveryPreview { may, lines: vec![Line::plain("3 pictures go")], into: "out".to_owned() }
    }

    fn lent() -> Lent {
        Lent { into: RefCell::default(), progress: RefCell::default() }
    }

    fn stays(reply: Reply) -> bool {
        matches!(reply, Reply::Taken)
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
        typing::add(&mut view.into, "x", LONGEST);
        view.ask_again(|| DeliveryPreview { lines: vec![Line::plain("2 pictures go")], ..asked(true) });
        assert!(text(&view).contains("into out-2x_") && text(&view).contains("2 pictures go"), "{}", text(&view));
        view.obey(DeliveryAction::Deliver, &lent);
        view.ask_again(|| panic!("it is being laid"));
    }

    #[test]
    fn it_says_what_goes_lays_it_on_enter_and_tells_how_far_it_is() {
        let (lent, mut view) = (lent(), DeliveryPane::new(asked(true)));
        assert!(text(&view).contains("3 pictures go") && text(&view).contains("into out_"));
        typing::add(&mut view.into, "2", LONGEST);
        assert!(stays(view.obey(DeliveryAction::Deliver, &lent)));
        assert_eq!(*lent.into.borrow(), ["out2"]);
        for key in [DeliveryAction::Close, DeliveryAction::Deliver] {
            assert!(stays(view.obey(key, &lent)), "what has begun ends by itself");
        }
        let tell = |reported| lent.progress.borrow().as_ref().unwrap().send(reported).unwrap();
        tell(DeliveryProgress::Checked { done: 1, of: 3 });
        view.listen();
        assert!(text(&view).contains("1 of 3 pictures") && view.is_delivering());
        assert!(!view.may_quit() && view.may_quit(), "the second time it is meant");
        tell(DeliveryProgress::Laid(vec![Line::plain("3 pictures laid")]));
        lent.progress.borrow_mut().take();
        view.listen();
        assert!(text(&view).contains("3 pictures laid") && !view.is_delivering() && view.may_quit());
        assert!(stays(view.obey(DeliveryAction::Deliver, &lent)), "twice is not asked for");
        assert_eq!(lent.into.borrow().len(), 1);
    }

    #[test]
    fn while_something_is_to_be_mended_nothing_is_laid() {
        let (lent, mut view) = (lent(), DeliveryPane::new(asked(false)));
        assert!(!view.is_typing());
        assert!(stays(view.obey(DeliveryAction::Deliver, &lent)));
        assert!(lent.into.borrow().is_empty() && !text(&view).contains("into"));
    }

    #[test]
    fn one_that_dies_is_told() {
        let (lent, mut view) = (lent(), DeliveryPane::new(asked(true)));
        view.obey(DeliveryAction::Deliver, &lent);
        lent.progress.borrow_mut().take();
        view.listen();
        assert!(text(&view).contains("look whether the folder is there"));
    }
}
