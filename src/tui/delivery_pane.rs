//! The pane in which the order is delivered: what would be delivered, into which folder, and the progress.

use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use crossbeam_channel::Receiver;

use crate::live::Snapshot;
use crate::tui::action::{Action, DeliveryAction, ScreenAction};
use crate::tui::delivery_previewer::DeliveryPreviewer;
use crate::tui::delivery_service::{DeliveryPreview, DeliveryProgress, DeliveryService};
use crate::tui::keys::Context;
use crate::tui::mode::{Mode, Pane, Reply};
use crate::tui::screen_state::ScreenState;
use crate::tui::typing;
use crate::units::show;
use crate::units::styled::{Line, Style};

/// Most characters of a typed folder name.
const LONGEST: usize = 400;
/// Most reasons and lines shown. Own choice: as many as a pane has room for.
const SHOWN: usize = 12;

/// The effect of Enter, and how to deliver part of an order.
const CAUTION: &str = "Every picture is checked once more, then copied. Nothing is overwritten. To deliver part of an \
                       order, or only what is new, use plateside deliver at the prompt.";

/// How often to check the progress of a delivery, and whether a preview is ready: short enough to seem immediate. Own
/// choice.
const LISTEN: Duration = Duration::from_millis(100);
const PREVIEW_LOOKS: Duration = Duration::from_millis(20);

/// The pane in which the order is delivered.
pub struct DeliveryPane {
    service: Rc<dyn DeliveryService>,
    previewer: DeliveryPreviewer,
    /// The preview, once it has been worked out.
    preview: Option<DeliveryPreview>,
    /// The folder as typed.
    into: String,
    progress: Option<Receiver<DeliveryProgress>>,
    reported: Option<DeliveryProgress>,
    /// When to check next for news of the delivery or the preview.
    listen_at: Option<Instant>,
    /// True once the effect of quitting now has been stated.
    warned: bool,
}

impl Mode for DeliveryPane {
    fn context(&self) -> Context {
        if self.takes_letters() { Context::Delivery } else { Context::DeliveryReport }
    }

    fn act(&mut self, action: Action, state: &mut ScreenState) -> Reply {
        match action {
            Action::Delivery(action) => self.obey(action),
            Action::Screen(ScreenAction::Quit) if !self.may_quit() => {
                state.message = Some("delivering; quit again to stop without a delivery");
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
        typing::add(&mut self.into, text, LONGEST);
        Reply::Taken
    }

    fn on_snapshot(&mut self, state: &ScreenState) -> bool {
        self.ask_again(&state.snapshot);
        true
    }

    fn refresh(&mut self, now: Instant) {
        if let Some(preview) = self.previewer.take() {
            self.renew(preview);
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
            preview: None,
            into: String::new(),
            progress: None,
            reported: None,
            listen_at: None,
            warned: false,
        };
        pane.ask_again(snapshot);
        pane
    }

    /// True while the order is being delivered.
    fn is_delivering(&self) -> bool {
        self.progress.is_some()
    }

    /// True if the program may quit: during a delivery only at the second key.
    fn may_quit(&mut self) -> bool {
        !self.is_delivering() || std::mem::replace(&mut self.warned, true)
    }

    /// True if the order may be delivered and the folder still has to be named.
    fn is_asking(&self) -> bool {
        self.preview.as_ref().is_some_and(|preview| preview.may) && !self.has_begun()
    }

    /// True if letters belong to the folder's name, even before it is known whether the order may be delivered.
    fn takes_letters(&self) -> bool {
        self.preview.as_ref().is_none_or(|preview| preview.may) && !self.has_begun()
    }

    fn has_begun(&self) -> bool {
        self.progress.is_some() || self.reported.is_some()
    }

    /// Requests a new preview, unless a delivery has begun.
    fn ask_again(&mut self, snapshot: &Arc<Snapshot>) {
        if !self.has_begun() {
            self.previewer.ask(Arc::clone(snapshot));
        }
    }

    /// Updates the preview. A folder name that was typed is kept; letters typed before the first preview follow the
    /// name that it offers.
    fn renew(&mut self, preview: DeliveryPreview) {
        match &self.preview {
            None => self.into.insert_str(0, &preview.into),
            Some(before) if before.into == self.into => self.into.clone_from(&preview.into),
            Some(_) => {}
        }
        self.preview = Some(preview);
    }

    /// Carries out a key's action.
    fn obey(&mut self, action: DeliveryAction) -> Reply {
        match action {
            DeliveryAction::Backspace if self.takes_letters() => drop(self.into.pop()),
            DeliveryAction::Deliver if self.is_asking() && !self.into.trim().is_empty() => {
                self.previewer.stop();
                self.progress = Some(self.service.deliver(self.into.trim()));
            }
            // A delivery that has begun ends by itself: the folder is there as a whole or not at all.
            DeliveryAction::Close if !self.is_delivering() => return Reply::Close(None),
            DeliveryAction::Backspace | DeliveryAction::Deliver | DeliveryAction::Close => {}
        }
        Reply::Taken
    }

    /// Reads the delivery's progress so far.
    fn listen(&mut self) {
        let Some(progress) = &self.progress else { return };
        loop {
            match progress.try_recv() {
                Ok(reported) => self.reported = Some(reported),
                Err(crossbeam_channel::TryRecvError::Empty) => return,
                Err(crossbeam_channel::TryRecvError::Disconnected) => break,
            }
        }
        if !matches!(self.reported, Some(DeliveryProgress::Delivered(_) | DeliveryProgress::Refused(_))) {
            let words = "The delivery ended without a result: check whether the folder is there.";
            self.reported = Some(DeliveryProgress::Refused(vec![Line::of(Style::Bad, words)]));
        }
        self.progress = None;
    }

    /// Returns the pane's text.
    fn lines(&self) -> Vec<Line> {
        let mut lines = vec![Line::of(Style::Head, "Deliver the order"), Line::blank()];
        match &self.reported {
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
            None if self.is_delivering() => {
                lines.push(Line::plain("checking once more"));
                return lines;
            }
            None => match &self.preview {
                Some(preview) => lines.extend(self.preview_lines(preview)),
                None => lines.push(Line::of(Style::Dim, "working out what would be delivered")),
            },
        }
        lines
    }

    fn preview_lines(&self, preview: &DeliveryPreview) -> Vec<Line> {
        let found = some_of(&preview.lines);
        if !preview.may {
            return found;
        }
        // What is typed comes first, so that it is visible in a low window too.
        let into = Line::of(Style::Head, "into ").and(Style::Strong, self.into.as_str()).and(Style::Dim, "_");
        let caution = [Line::blank(), Line::of(Style::Dim, CAUTION)];
        [into.indented(0, 5), Line::blank()].into_iter().chain(found).chain(caution).collect()
    }
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
        progress: RefCell<Option<Sender<DeliveryProgress>>>,
    }

    impl DeliveryService for Lent {
        fn plan(&self, _: &Arc<Snapshot>) -> Receiver<DeliveryPreview> {
            let (sender, receiver) = bounded(1);
            sender.send(preview_that(true)).unwrap();
            receiver
        }

        fn deliver(&self, into: &str) -> Receiver<DeliveryProgress> {
            let (sender, receiver) = bounded(4);
            self.into.borrow_mut().push(into.to_owned());
            *self.progress.borrow_mut() = Some(sender);
            receiver
        }
    }

    fn preview_that(may: bool) -> DeliveryPreview {
        DeliveryPreview { may, lines: vec![Line::plain("3 pictures")], into: "out".to_owned() }
    }

    fn lent() -> Rc<Lent> {
        Rc::new(Lent { into: RefCell::default(), progress: RefCell::default() })
    }

    /// Returns a pane that has its preview.
    fn pane(lent: &Rc<Lent>, preview: DeliveryPreview) -> DeliveryPane {
        let service: Rc<dyn DeliveryService> = lent.clone();
        let mut pane = DeliveryPane::new(service, &Arc::new(book()));
        pane.previewer.stop();
        assert!(!pane.is_asking() && text(&pane).contains("working out what would be delivered"));
        pane.renew(preview);
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
        view.renew(preview_that(false));
        assert!(!view.is_asking());
        view.renew(DeliveryPreview { into: "out-2".to_owned(), ..preview_that(true) });
        typing::add(&mut view.into, "x", LONGEST);
        view.renew(DeliveryPreview { lines: vec![Line::plain("2 pictures")], ..preview_that(true) });
        assert!(text(&view).contains("into out-2x_") && text(&view).contains("2 pictures"), "{}", text(&view));
        view.obey(DeliveryAction::Deliver);
        view.ask_again(&Arc::new(book()));
        assert!(!view.previewer.is_running(), "it is being delivered");
    }

    #[test]
    fn it_says_what_goes_lays_it_on_enter_and_tells_how_far_it_is() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(true));
        assert!(text(&view).contains("3 pictures") && text(&view).contains("into out_"));
        typing::add(&mut view.into, "2", LONGEST);
        assert!(stays(view.obey(DeliveryAction::Deliver)));
        assert_eq!(*lent.into.borrow(), ["out2"]);
        for key in [DeliveryAction::Close, DeliveryAction::Deliver] {
            assert!(stays(view.obey(key)), "what has begun ends by itself");
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
        assert!(stays(view.obey(DeliveryAction::Deliver)), "twice is not asked for");
        assert_eq!(lent.into.borrow().len(), 1);
    }

    #[test]
    fn letters_typed_before_the_preview_follow_the_name_that_it_offers() {
        let service: Rc<dyn DeliveryService> = lent();
        let mut view = DeliveryPane::new(service, &Arc::new(book()));
        view.previewer.stop();
        let mut state = ScreenState::new(Arc::new(book()), theme());
        assert!(view.is_typing() && stays(view.on_text("-2", &mut state)));
        assert!(stays(view.obey(DeliveryAction::Deliver)) && !view.is_delivering(), "nothing is known to go yet");
        view.renew(preview_that(true));
        assert!(text(&view).contains("into out-2_"), "{}", text(&view));
    }

    #[test]
    fn while_something_is_to_be_fixed_nothing_is_laid() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(false));
        assert!(!view.is_typing());
        assert!(stays(view.obey(DeliveryAction::Deliver)));
        assert!(lent.into.borrow().is_empty() && !text(&view).contains("into"));
    }

    #[test]
    fn one_that_dies_is_told() {
        let lent = lent();
        let mut view = pane(&lent, preview_that(true));
        view.obey(DeliveryAction::Deliver);
        lent.progress.borrow_mut().take();
        view.listen();
        assert!(text(&view).contains("check whether the folder is there"));
    }
}
