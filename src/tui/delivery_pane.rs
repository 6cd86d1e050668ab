//! The pane in which the order is delivered: what would be delivered, into which folder, and the progress.

use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use crossbeam_channel::Receiver;

use crate::live::Snapshot;
use crate::tui::action::{Action, DeliveryAction, ScreenAction};
use crate::tui::delivery_previewer::DeliveryPreviewer;
use crate::tui::delivery_service::{DeliveryOffer, DeliveryPreview, DeliveryProgress, DeliveryScope, DeliveryService};
use crate::tui::keys::Context;
use crate::tui::mode::{Mode, Pane, Reply};
use crate::tui::screen_state::ScreenState;
use crate::tui::typing;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Most characters of a typed folder name.
const MAX_LETTERS: usize = 400;
/// Most reasons and lines shown. Own choice: as many as a pane has room for.
const SHOWN: usize = 12;

/// The effect of Enter, and how to deliver part of an order.
const CAUTION: &str = "Every picture is checked once more, then copied. Nothing is overwritten. To deliver a batch, or \
                       some pictures only, use plateside deliver at the prompt.";

/// How often to check the progress of a delivery, and whether a preview is ready: short enough to seem immediate. Own
/// choice.
const LISTEN: Duration = Duration::from_millis(100);
const PREVIEW_LOOKS: Duration = Duration::from_millis(20);

/// The pane in which the order is delivered.
pub struct DeliveryPane {
    service: Rc<dyn DeliveryService>,
    previewer: DeliveryPreviewer,
    /// The rows of the last preview that was requested.
    snapshot: Arc<Snapshot>,
    /// The preview, once it has been worked out.
    preview: Option<DeliveryPreview>,
    /// The part of the order that was chosen; if `None`, the first that is offered.
    chosen: Option<DeliveryScope>,
    /// Why the last attempt delivered nothing, where something else can be delivered now.
    outdated: Vec<Line>,
    /// The folder as typed.
    into: String,
    running: Option<RunningDelivery>,
    reported: Option<DeliveryProgress>,
    /// When to check next for news of the delivery or the preview.
    listen_at: Option<Instant>,
    /// True once the effect of quitting now has been stated.
    has_warned: bool,
}

/// A delivery under way.
struct RunningDelivery {
    progress: Receiver<DeliveryProgress>,
    stop: Arc<AtomicBool>,
}

impl RunningDelivery {
    fn is_stopping(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

impl Mode for DeliveryPane {
    fn context(&self) -> Context {
        if self.is_delivering() {
            Context::Delivering
        } else if self.takes_letters() {
            Context::Delivery
        } else {
            Context::DeliveryReport
        }
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        match action {
            Action::Delivery(action) => self.carry_out(action),
            Action::Screen(ScreenAction::Quit) if !self.may_quit() => {
                state.message = Some("delivering; quit again to stop without a delivery".into());
                Reply::Taken
            }
            _ => Reply::Pass,
        }
    }

    fn is_typing(&self) -> bool {
        self.takes_letters()
    }

    fn on_text(&mut self, text: &str, _state: &mut ScreenState) -> Reply {
        if !self.takes_letters() {
            return Reply::Ignored;
        }
        typing::add(&mut self.into, text, MAX_LETTERS);
        Reply::Taken
    }

    fn on_snapshot(&mut self, state: &ScreenState) -> bool {
        self.ask_again(&state.snapshot);
        true
    }

    fn refresh(&mut self, now: Instant) {
        if let Some(preview) = self.previewer.take() {
            self.set_preview(preview);
        }
        self.listen();
        let preview_at = self.previewer.is_running().then_some(now + PREVIEW_LOOKS);
        self.listen_at = preview_at.or(self.is_delivering().then_some(now + LISTEN));
    }

    fn next_frame_at(&self) -> Option<Instant> {
        self.listen_at
    }

    fn pane(&self, _state: &ScreenState) -> Option<Pane> {
        Some(Pane { lines: self.lines(), typed: Vec::new() })
    }
}

impl DeliveryPane {
    /// Opens the pane and requests a preview of a snapshot's delivery.
    pub fn new(service: Rc<dyn DeliveryService>, snapshot: &Arc<Snapshot>) -> DeliveryPane {
        let mut pane = DeliveryPane {
            previewer: DeliveryPreviewer::new(Rc::clone(&service)),
            service,
            snapshot: Arc::clone(snapshot),
            preview: None,
            chosen: None,
            outdated: Vec::new(),
            into: String::new(),
            running: None,
            reported: None,
            listen_at: None,
            has_warned: false,
        };
        pane.ask_again(snapshot);
        pane
    }

    /// True while the order is being delivered.
    fn is_delivering(&self) -> bool {
        self.running.is_some()
    }

    /// True if the program may quit: during a delivery only at the second key.
    fn may_quit(&mut self) -> bool {
        !self.is_delivering() || std::mem::replace(&mut self.has_warned, true)
    }

    /// Returns what is offered and chosen.
    fn offer(&self) -> Option<&DeliveryOffer> {
        let offers = &self.preview.as_ref()?.offers;
        let is_chosen = |offer: &&DeliveryOffer| self.chosen == Some(offer.scope);
        offers.iter().find(is_chosen).or(offers.first())
    }

    /// True if letters belong to the folder's name, even before it is known whether the order may be delivered.
    fn takes_letters(&self) -> bool {
        self.offer().is_none_or(|offer| offer.is_permitted) && !self.has_begun()
    }

    fn has_begun(&self) -> bool {
        self.running.is_some() || self.reported.is_some()
    }

    /// Requests a new preview, unless a delivery has begun.
    fn ask_again(&mut self, snapshot: &Arc<Snapshot>) {
        self.snapshot = Arc::clone(snapshot);
        if !self.has_begun() {
            self.previewer.ask(Arc::clone(snapshot));
        }
    }

    /// Updates the preview. A folder name that was typed is kept; letters typed before the first preview follow the
    /// name that it offers.
    fn set_preview(&mut self, preview: DeliveryPreview) {
        match &self.preview {
            None => self.into.insert_str(0, &preview.into),
            Some(before) if before.into == self.into => self.into.clone_from(&preview.into),
            Some(_) => {}
        }
        self.preview = Some(preview);
    }

    /// Carries out a key's action.
    fn carry_out(&mut self, action: DeliveryAction) -> Reply {
        match action {
            DeliveryAction::Backspace if self.takes_letters() => drop(self.into.pop()),
            DeliveryAction::Deliver => self.begin(),
            DeliveryAction::NextOffer if !self.has_begun() => self.choose_next(),
            DeliveryAction::Stop => match &self.running {
                // It ends by itself: nothing is left of it, or it was complete already, which the log then says.
                Some(running) if running.stop.swap(true, Ordering::Relaxed) => return Reply::Close(None),
                Some(_) | None => {}
            },
            DeliveryAction::Close if !self.is_delivering() => return Reply::Close(None),
            DeliveryAction::Backspace | DeliveryAction::NextOffer | DeliveryAction::Close => {}
        }
        Reply::Taken
    }

    /// Begins to deliver what is chosen, if it may be and its folder has a name.
    fn begin(&mut self) {
        let may = self.offer().filter(|offer| offer.is_permitted && !self.has_begun() && !self.into.trim().is_empty());
        let Some(offer) = may else { return };
        let stop = Arc::new(AtomicBool::new(false));
        let progress = self.service.deliver(self.into.trim(), offer, Arc::clone(&stop));
        self.previewer.stop();
        self.outdated.clear();
        self.running = Some(RunningDelivery { progress, stop });
    }

    /// Chooses the other part of the order, if two are offered.
    fn choose_next(&mut self) {
        let now = self.offer().map(|offer| offer.scope);
        let offers = self.preview.iter().flat_map(|preview| &preview.offers);
        self.chosen = offers.map(|offer| offer.scope).find(|scope| Some(*scope) != now).or(now);
    }

    /// Reads the delivery's progress so far.
    fn listen(&mut self) {
        let Some(running) = &self.running else { return };
        loop {
            match running.progress.try_recv() {
                Ok(reported) => self.reported = Some(reported),
                Err(crossbeam_channel::TryRecvError::Empty) => return,
                Err(crossbeam_channel::TryRecvError::Disconnected) => break,
            }
        }
        self.running = None;
        match self.reported.take() {
            Some(DeliveryProgress::Outdated(why)) => {
                self.outdated = why;
                self.previewer.ask(Arc::clone(&self.snapshot));
            }
            Some(ended @ (DeliveryProgress::Delivered(_) | DeliveryProgress::Refused(_))) => {
                self.reported = Some(ended);
            }
            Some(DeliveryProgress::Checked { .. } | DeliveryProgress::Copied { .. }) | None => {
                let words = "The delivery ended without a result: check whether the folder is there.";
                self.reported = Some(DeliveryProgress::Refused(vec![Line::of(Style::Bad, words)]));
            }
        }
    }

    /// Returns the pane's text.
    fn lines(&self) -> Vec<Line> {
        let mut lines = vec![Line::of(Style::Head, "Deliver the order"), Line::blank()];
        match (&self.running, &self.reported) {
            (Some(running), reported) => lines.extend(running_lines(running, reported.as_ref())),
            (None, Some(DeliveryProgress::Delivered(said) | DeliveryProgress::Refused(said))) => {
                lines.extend(some_of(said));
            }
            (None, _) => match (&self.preview, self.offer()) {
                (Some(preview), Some(offer)) => lines.extend(self.preview_lines(preview, offer)),
                _ => lines.push(Line::of(Style::Dim, "working out what would be delivered")),
            },
        }
        lines
    }

    fn preview_lines(&self, preview: &DeliveryPreview, chosen: &DeliveryOffer) -> Vec<Line> {
        let mut lines = self.outdated.clone();
        if chosen.is_permitted {
            // What is typed comes first, so that it is visible in a low window too.
            let into = Line::of(Style::Head, "into ").and(Style::Strong, self.into.as_str()).and(Style::Dim, "_");
            lines.extend([into.indented(0, 5), Line::blank()]);
        }
        if preview.offers.len() > 1 {
            lines.extend(preview.offers.iter().map(|offer| match offer == chosen {
                true => Line::of(Style::Strong, format!("> {}", offer.words)),
                false => Line::of(Style::Dim, format!("  {} (Tab)", offer.words)),
            }));
            lines.push(Line::blank());
        }
        lines.extend(some_of(&chosen.lines));
        if chosen.is_permitted {
            lines.extend([Line::blank(), Line::of(Style::Dim, CAUTION)]);
        }
        lines
    }
}

/// Says how far a delivery is.
fn running_lines(running: &RunningDelivery, reported: Option<&DeliveryProgress>) -> Vec<Line> {
    let count = |done: usize, of: usize| format!("{done} of {}", show::count(of, "picture", "pictures"));
    let mut lines = vec![Line::plain(match reported {
        Some(DeliveryProgress::Checked { done, of }) => format!("checking once more: {}", count(*done, *of)),
        Some(DeliveryProgress::Copied { done, of }) => format!("copying: {}", count(*done, *of)),
        _ => "checking once more".to_owned(),
    })];
    if running.is_stopping() {
        lines.push(Line::of(Style::Warn, "stopping; nothing of it is left unless it was complete already"));
        lines.push(Line::of(Style::Dim, "Esc goes back to the table meanwhile"));
    }
    lines
}

/// Returns as many lines as a pane shows, and how many more there are.
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
    use crate::tui::tests::order::book;
    use crate::tui::tests::theme;
    use crossbeam_channel::{Sender, bounded};
    use std::cell::RefCell;

    /// A service that delivers nothing and records its requests.
    struct Lent {
        into: RefCell<Vec<String>>,
        offers: RefCell<Vec<String>>,
        progress: RefCell<Option<Sender<DeliveryProgress>>>,
    }

    impl DeliveryService for Lent {
        fn preview(&self, _: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
            let (sender, receiver) = bounded(1);
            sender.send(preview_that(true)).unwrap();
            receiver
        }

        fn deliver(&self, into: &str, offer: &DeliveryOffer, _: Arc<AtomicBool>) -> Receiver<DeliveryProgress> {
            let (sender, receiver) = bounded(4);
            self.into.borrow_mut().push(into.to_owned());
            self.offers.borrow_mut().push(offer.words.clone());
            *self.progress.borrow_mut() = Some(sender);
            receiver
        }
    }

    fn preview_that(may: bool) -> DeliveryPreview {
        DeliveryPreview { offers: vec![offer(DeliveryScope::Everything, may, "3 pictures")], into: "out".to_owned() }
    }

    fn offer(scope: DeliveryScope, is_permitted: bool, lines: &str) -> DeliveryOffer {
        let words = format!("{scope:?}");
        DeliveryOffer { scope, words, is_permitted, lines: vec![Line::plain(lines)], identity: String::new() }
    }

    fn lent() -> Rc<Lent> {
        Rc::new(Lent { into: RefCell::default(), offers: RefCell::default(), progress: RefCell::default() })
    }

    /// Returns a pane that has its preview.
    fn pane(lent: &Rc<Lent>, preview: DeliveryPreview) -> DeliveryPane {
        let service: Rc<dyn DeliveryService> = lent.clone();
        let mut pane = DeliveryPane::new(service, &Arc::new(book()));
        pane.previewer.stop();
        assert!(pane.offer().is_none() && text(&pane).contains("working out what would be delivered"));
        pane.set_preview(preview);
        pane
    }

    fn stays(reply: Reply) -> bool {
        matches!(reply, Reply::Taken)
    }

    fn text(view: &DeliveryPane) -> String {
        view.lines().iter().map(Line::text).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn what_goes_is_said_anew_until_it_is_laid_and_a_typed_name_stays() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(true));
        view.set_preview(preview_that(false));
        assert!(!view.takes_letters());
        view.set_preview(DeliveryPreview { into: "out-2".to_owned(), ..preview_that(true) });
        typing::add(&mut view.into, "x", MAX_LETTERS);
        let offers = vec![offer(DeliveryScope::Everything, true, "2 pictures")];
        view.set_preview(DeliveryPreview { offers, ..preview_that(true) });
        assert!(text(&view).contains("into out-2x_") && text(&view).contains("2 pictures"), "{}", text(&view));
        view.carry_out(DeliveryAction::Deliver);
        view.ask_again(&Arc::new(book()));
        assert!(!view.previewer.is_running(), "it is being delivered");
    }

    #[test]
    fn it_says_what_goes_lays_it_on_enter_and_tells_how_far_it_is() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(true));
        assert!(text(&view).contains("3 pictures") && text(&view).contains("into out_"));
        typing::add(&mut view.into, "2", MAX_LETTERS);
        assert!(stays(view.carry_out(DeliveryAction::Deliver)));
        assert_eq!(*lent.into.borrow(), ["out2"]);
        for key in [DeliveryAction::Close, DeliveryAction::Deliver, DeliveryAction::NextOffer] {
            assert!(stays(view.carry_out(key)), "what has begun goes on");
        }
        let tell = |reported| lent.progress.borrow_mut().as_ref().unwrap().send(reported).unwrap();
        tell(DeliveryProgress::Checked { done: 1, of: 3 });
        view.listen();
        assert!(text(&view).contains("1 of 3 pictures") && view.is_delivering());
        assert!(!view.may_quit() && view.may_quit(), "the second time it is meant");
        tell(DeliveryProgress::Delivered(vec![Line::plain("3 pictures delivered")]));
        lent.progress.borrow_mut().take();
        view.listen();
        assert!(text(&view).contains("3 pictures delivered") && !view.is_delivering() && view.may_quit());
        assert!(stays(view.carry_out(DeliveryAction::Deliver)), "twice is not asked for");
        assert_eq!(lent.into.borrow().len(), 1);
    }

    #[test]
    fn letters_typed_before_the_preview_follow_the_name_that_it_offers() {
        let service: Rc<dyn DeliveryService> = lent();
        let mut view = DeliveryPane::new(service, &Arc::new(book()));
        view.previewer.stop();
        let mut state = ScreenState::new(Arc::new(book()), theme());
        assert!(view.is_typing() && stays(view.on_text("-2", &mut state)));
        assert!(stays(view.carry_out(DeliveryAction::Deliver)) && !view.is_delivering(), "nothing is known to go yet");
        view.set_preview(preview_that(true));
        assert!(text(&view).contains("into out-2_"), "{}", text(&view));
    }

    #[test]
    fn while_something_is_to_be_fixed_nothing_is_laid() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(false));
        assert!(!view.is_typing());
        assert!(stays(view.carry_out(DeliveryAction::Deliver)));
        assert!(lent.into.borrow().is_empty() && !text(&view).contains("into"));
    }

    #[test]
    fn one_that_dies_is_told() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(true));
        view.carry_out(DeliveryAction::Deliver);
        lent.progress.borrow_mut().take();
        view.listen();
        assert!(text(&view).contains("check whether the folder is there"));
    }

    #[test]
    fn of_two_parts_the_first_is_chosen_until_the_other_is() {
        let lent = lent();
        let both = |changed: &str| {
            let changed = offer(DeliveryScope::Changed, true, changed);
            let everything = offer(DeliveryScope::Everything, true, "12 pictures");
            DeliveryPreview { offers: vec![changed, everything], into: "out".to_owned() }
        };
        let mut view = pane(&lent, both("5 pictures"));
        assert!(text(&view).contains("> Changed") && text(&view).contains("5 pictures"), "{}", text(&view));
        view.carry_out(DeliveryAction::NextOffer);
        // A new preview keeps what was chosen.
        view.set_preview(both("6 pictures"));
        assert!(text(&view).contains("> Everything") && text(&view).contains("12 pictures"), "{}", text(&view));
        view.carry_out(DeliveryAction::Deliver);
        assert_eq!(*lent.offers.borrow(), ["Everything"]);
        let mut view = pane(&lent, both("5 pictures"));
        (0..2).for_each(|_| drop(view.carry_out(DeliveryAction::NextOffer)));
        view.carry_out(DeliveryAction::Deliver);
        assert_eq!(*lent.offers.borrow(), ["Everything", "Changed"]);
    }

    #[test]
    fn escape_stops_a_delivery_at_once_and_the_second_goes_back() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(true));
        view.carry_out(DeliveryAction::Deliver);
        assert_eq!(view.context(), Context::Delivering);
        assert!(!text(&view).contains("stopping"));
        assert!(stays(view.carry_out(DeliveryAction::Stop)) && text(&view).contains("stopping"), "{}", text(&view));
        assert!(view.running.as_ref().is_some_and(RunningDelivery::is_stopping));
        assert!(matches!(view.carry_out(DeliveryAction::Stop), Reply::Close(None)));
    }

    #[test]
    fn where_something_else_would_be_delivered_it_is_shown_and_asked_again() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(true));
        view.carry_out(DeliveryAction::Deliver);
        let why = DeliveryProgress::Outdated(vec![Line::plain("something changed")]);
        lent.progress.borrow_mut().take().unwrap().send(why).unwrap();
        view.listen();
        assert!(view.previewer.is_running() && view.takes_letters());
        assert!(text(&view).contains("something changed") && text(&view).contains("into out_"), "{}", text(&view));
        view.carry_out(DeliveryAction::Deliver);
        assert!(view.is_delivering() && !text(&view).contains("something changed"));
    }
}
