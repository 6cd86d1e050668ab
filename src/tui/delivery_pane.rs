//! The pane in which the order is handed over: what would go, where it is laid, and how far that is.

use std::sync::Arc;

use crossbeam_channel::{Receiver, TryRecvError};

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

/// What plans and writes deliveries for the screen, on threads of its own: neither call waits for the disk.
pub trait DeliveryService {
    /// Begins to plan what would go of what the table shows; the plan comes through the channel.
    fn plan(&self, snapshot: &Arc<Snapshot>) -> Receiver<DeliveryPreview>;
    /// Begins to check everything once more and to write it into a folder that is not there yet; how far it is, and at
    /// last how it ended, comes through the channel.
    fn deliver(&self, into: &str) -> Receiver<DeliveryProgress>;
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
    /// It is written.
    Delivered(Vec<Line>),
    /// Nothing was written, and why.
    Refused(Vec<Line>),
}

/// The pane.
pub struct DeliveryPane {
    /// What would go; `None` until the first plan is there.
    planned: Option<DeliveryPreview>,
    planning: Option<Receiver<DeliveryPreview>>,
    /// What the table shows since that plan was begun; it is planned next.
    newer: Option<Arc<Snapshot>>,
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
    /// Opens, and begins to plan what would go of what the table shows.
    pub fn new(snapshot: &Arc<Snapshot>, service: &dyn DeliveryService) -> DeliveryPane {
        let mut pane = DeliveryPane {
            planned: None,
            planning: Some(service.plan(snapshot)),
            newer: None,
            into: String::new(),
            telling: None,
            told: None,
            warned: false,
        };
        pane.listen(service);
        pane
    }

    /// Whether an answer is to come.
    pub fn is_waiting(&self) -> bool {
        self.planning.is_some() || self.is_laying()
    }

    /// Whether it is being written.
    pub fn is_laying(&self) -> bool {
        self.telling.is_some()
    }

    /// Whether the program may be quit: while something is laid, only at the second key.
    pub fn may_quit(&mut self) -> bool {
        !self.is_laying() || std::mem::replace(&mut self.warned, true)
    }

    /// Whether it waits to be told where, and may be laid.
    pub fn is_asking(&self) -> bool {
        self.planned.as_ref().is_some_and(|planned| planned.may) && self.telling.is_none() && self.told.is_none()
    }

    /// Plans again, since the table shows other rows and nothing is being written yet: at once, or once the plan that
    /// is being made is there.
    pub fn ask_again(&mut self, snapshot: &Arc<Snapshot>, service: &dyn DeliveryService) {
        if self.telling.is_none() && self.told.is_none() {
            self.newer = Some(Arc::clone(snapshot));
            self.listen(service);
        }
    }

    /// Takes a plan up. A folder's name that was typed stays.
    fn take_up(&mut self, planned: DeliveryPreview) {
        if self.planned.as_ref().is_none_or(|before| self.into == before.into) {
            self.into.clone_from(&planned.into);
        }
        self.planned = Some(planned);
    }

    /// Takes a letter of the folder's name.
    pub fn write(&mut self, letter: char) {
        if self.is_asking() {
            typing::add(&mut self.into, letter, LONGEST);
        }
    }

    /// Does what a key asks for.
    pub fn act(&mut self, action: Action, service: &dyn DeliveryService) -> After {
        match action {
            Action::Backspace if self.is_asking() => drop(self.into.pop()),
            Action::LayIt if self.is_asking() && !self.into.trim().is_empty() => {
                (self.planning, self.newer) = (None, None);
                self.telling = Some(service.deliver(self.into.trim()));
            }
            // What has begun ends by itself: a folder is there as a whole or not at all.
            Action::Close | Action::LayIt if self.is_laying() => {}
            Action::Close => return After::Leave,
            _ => {}
        }
        After::Stay
    }

    /// Takes in what was answered since, without waiting; where the table has changed, asks for the next plan.
    pub fn listen(&mut self, service: &dyn DeliveryService) {
        match self.planning.as_ref().map(Receiver::try_recv) {
            Some(Err(TryRecvError::Empty)) => {}
            Some(Ok(planned)) => {
                self.planning = None;
                self.take_up(planned);
            }
            Some(Err(TryRecvError::Disconnected)) => {
                self.planning = None;
                let lines = vec![Line::of(Style::Bad, "What would go cannot be said: go back and try again.")];
                self.take_up(DeliveryPreview { may: false, lines, into: String::new() });
            }
            None => {}
        }
        if self.planning.is_none() {
            self.planning = self.newer.take().map(|newer| service.plan(&newer));
        }
        self.hear_progress();
    }

    fn hear_progress(&mut self) {
        let Some(telling) = &self.telling else { return };
        loop {
            match telling.try_recv() {
                Ok(told) => self.told = Some(told),
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => break,
            }
        }
        if !matches!(self.told, Some(DeliveryProgress::Delivered(_) | DeliveryProgress::Refused(_))) {
            let words = "It ended without a word: look whether the folder is there.";
            self.told = Some(DeliveryProgress::Refused(vec![Line::of(Style::Bad, words)]));
        }
        self.telling = None;
    }

    /// What the pane says.
    pub fn lines(&self) -> Vec<Line> {
        let mut lines = vec![Line::of(Style::Head, "Hand over the order"), Line::blank()];
        match &self.told {
            Some(DeliveryProgress::Delivered(said) | DeliveryProgress::Refused(said)) => {
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
            None => {}
        }
        match &self.planned {
            None => lines.push(Line::plain("looking at what would go")),
            Some(planned) if planned.may => {
                // What is typed stands first, so that it is seen in a low window, too.
                let into = Line::of(Style::Head, "into ").and(Style::Strong, self.into.as_str()).and(Style::Dim, "_");
                lines.extend([into.indented(0, 5), Line::blank()]);
                lines.extend(some_of(&planned.lines));
                lines.extend([Line::blank(), Line::of(Style::Dim, CAUTION)]);
            }
            Some(planned) => lines.extend(some_of(&planned.lines)),
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
    use crate::tui::tests::desk::snapshot_of;
    use crossbeam_channel::{Sender, bounded, unbounded};
    use std::cell::RefCell;

    /// Writes nothing, and keeps what it was asked.
    #[derive(Default)]
    struct Lent {
        into: RefCell<Vec<String>>,
        telling: RefCell<Option<Sender<DeliveryProgress>>>,
        plans: RefCell<Vec<Sender<DeliveryPreview>>>,
    }

    impl DeliveryService for Lent {
        fn plan(&self, _: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
            let (sender, receiver) = bounded(1);
            self.plans.borrow_mut().push(sender);
            receiver
        }

        fn deliver(&self, into: &str) -> Receiver<DeliveryProgress> {
            let (sender, receiver) = unbounded();
            self.into.borrow_mut().push(into.to_owned());
            *self.telling.borrow_mut() = Some(sender);
            receiver
        }
    }

    impl Lent {
        /// Answers the plan that was asked for last.
        fn answer(&self, planned: DeliveryPreview, pane: &mut DeliveryPane) {
            self.plans.borrow().last().unwrap().send(planned).unwrap();
            pane.listen(self);
        }
    }

    fn planned(may: bool) -> DeliveryPreview {
        DeliveryPreview { may, lines: vec![Line::plain("3 pictures go")], into: "out".to_owned() }
    }

    fn snapshot() -> Arc<Snapshot> {
        Arc::new(snapshot_of([]))
    }

    /// A service, and a pane that has its first plan.
    fn opened(may: bool) -> (Lent, DeliveryPane) {
        let lent = Lent::default();
        let mut pane = DeliveryPane::new(&snapshot(), &lent);
        lent.answer(planned(may), &mut pane);
        (lent, pane)
    }

    fn text(pane: &DeliveryPane) -> String {
        pane.lines().iter().map(Line::text).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn until_there_is_a_plan_it_says_so_and_takes_no_keys() {
        let lent = Lent::default();
        let mut pane = DeliveryPane::new(&snapshot(), &lent);
        pane.write('x');
        assert_eq!(pane.act(Action::LayIt, &lent), After::Stay);
        assert!(text(&pane).contains("looking at what would go") && pane.is_waiting() && !pane.is_asking());
        lent.answer(planned(true), &mut pane);
        assert!(text(&pane).contains("into out_") && pane.is_asking() && !pane.is_waiting());
        assert!(lent.into.borrow().is_empty());
    }

    #[test]
    fn one_plan_is_made_at_a_time_and_the_newest_rows_are_planned_next() {
        let (lent, mut pane) = opened(true);
        (0..5).for_each(|_| pane.ask_again(&snapshot(), &lent));
        assert_eq!(lent.plans.borrow().len(), 2, "the second is still being made");
        lent.answer(planned(true), &mut pane);
        assert_eq!(lent.plans.borrow().len(), 3);
        lent.answer(planned(true), &mut pane);
        assert_eq!((lent.plans.borrow().len(), pane.is_waiting()), (3, false));
    }

    #[test]
    fn a_plan_that_never_comes_is_said() {
        let lent = Lent::default();
        let mut pane = DeliveryPane::new(&snapshot(), &lent);
        lent.plans.borrow_mut().clear();
        pane.listen(&lent);
        assert!(text(&pane).contains("cannot be said") && !pane.is_asking() && !pane.is_waiting());
    }

    #[test]
    fn what_goes_is_planned_again_until_it_is_written_and_a_typed_name_stays() {
        let (lent, mut pane) = opened(true);
        pane.ask_again(&snapshot(), &lent);
        lent.answer(planned(false), &mut pane);
        assert!(!pane.is_asking());
        pane.ask_again(&snapshot(), &lent);
        lent.answer(DeliveryPreview { into: "out-2".to_owned(), ..planned(true) }, &mut pane);
        pane.write('x');
        pane.ask_again(&snapshot(), &lent);
        lent.answer(DeliveryPreview { lines: vec![Line::plain("2 pictures go")], ..planned(true) }, &mut pane);
        assert!(text(&pane).contains("into out-2x_") && text(&pane).contains("2 pictures go"), "{}", text(&pane));
        pane.act(Action::LayIt, &lent);
        let asked = lent.plans.borrow().len();
        pane.ask_again(&snapshot(), &lent);
        assert_eq!(lent.plans.borrow().len(), asked, "it is being written");
    }

    #[test]
    fn it_says_what_goes_writes_it_on_enter_and_tells_how_far_it_is() {
        let (lent, mut pane) = opened(true);
        assert!(text(&pane).contains("3 pictures go") && text(&pane).contains("into out_"));
        pane.write('2');
        assert_eq!(pane.act(Action::LayIt, &lent), After::Stay);
        assert_eq!(*lent.into.borrow(), ["out2"]);
        for key in [Action::Close, Action::LayIt] {
            assert_eq!(pane.act(key, &lent), After::Stay, "what has begun ends by itself");
        }
        let tell = |told| lent.telling.borrow().as_ref().unwrap().send(told).unwrap();
        tell(DeliveryProgress::Checked { done: 1, of: 3 });
        pane.listen(&lent);
        assert!(text(&pane).contains("1 of 3 pictures") && pane.is_laying());
        assert!(!pane.may_quit() && pane.may_quit(), "the second time it is meant");
        tell(DeliveryProgress::Delivered(vec![Line::plain("3 pictures laid")]));
        lent.telling.borrow_mut().take();
        pane.listen(&lent);
        assert!(text(&pane).contains("3 pictures laid") && !pane.is_laying() && pane.may_quit());
        assert_eq!(pane.act(Action::LayIt, &lent), After::Stay, "twice is not asked for");
        assert_eq!(lent.into.borrow().len(), 1);
    }

    #[test]
    fn while_something_is_to_be_mended_nothing_is_written() {
        let (lent, mut pane) = opened(false);
        pane.write('x');
        assert_eq!(pane.act(Action::LayIt, &lent), After::Stay);
        assert!(lent.into.borrow().is_empty() && !text(&pane).contains("into"));
    }

    #[test]
    fn one_that_dies_is_told() {
        let (lent, mut pane) = opened(true);
        pane.act(Action::LayIt, &lent);
        lent.telling.borrow_mut().take();
        pane.listen(&lent);
        assert!(text(&pane).contains("look whether the folder is there"));
    }
}
