//! The screen as a whole: one place where actions change what only the screen knows, and one that draws a frame.

use std::sync::Arc;
use std::time::{Duration, Instant};

use crate::judge::RowKey;
use crate::live::Snapshot;
use crate::live::snapshot::{LiveCommand, ShownProof, TableRow};
use crate::tui::accept_pane::AcceptPane;
use crate::tui::action::Action;
use crate::tui::bell::Bell;
use crate::tui::delivery_pane::{DeliveryPane, DeliveryService};
use crate::tui::keys::{Context, Keys};
use crate::tui::layout::Areas;
use crate::tui::picture_pane::PictureContext;
use crate::tui::sizes::SizesTable;
use crate::tui::subject::{After, SubjectView};
use crate::tui::theme::Theme;
use crate::tui::view::ViewState;

mod frame;
mod input;
mod panes;
mod pointer;

/// How often a handover that is being laid is asked how far it is. Own choice.
const LISTEN: Duration = Duration::from_millis(100);

/// How long news stand in the footer. Own choice: long enough to read a line twice.
const NEWS_FOR: Duration = Duration::from_secs(8);
/// Lines by which the details move at a key, and rows or lines at a notch of the wheel. Own choice.
const DETAIL_STEP: usize = 5;
const WHEEL_STEP: usize = 3;

/// What the loop must do after an event.
#[derive(Clone, Debug, PartialEq)]
pub enum Reaction {
    /// Nothing changed.
    None,
    /// Draw.
    Draw,
    /// Draw, after the terminal changed its size.
    Resized,
    /// Ask this of the desk, and draw.
    Ask(LiveCommand),
    /// Hand the terminal back until continued.
    Suspend,
    /// End.
    Quit,
}

/// The screen.
pub struct App {
    snapshot: Arc<Snapshot>,
    view: ViewState,
    seen: PictureContext,
    sizes: SizesTable,
    /// The view in which the subject's box is drawn, while it lies on top.
    subject: Option<SubjectView>,
    /// The pane in which a finding is accepted, while it stands in place of the details.
    accepting: Option<AcceptPane>,
    /// The pane in which the order is handed over, while it stands in place of the details.
    handing: Option<DeliveryPane>,
    /// What lays handovers.
    hand_over: Option<Box<dyn DeliveryService>>,
    /// When the one that is being laid is asked next.
    listen_at: Option<Instant>,
    bell: Bell,
    /// Who sits here, and the clock that decisions are dated with: RFC 3339.
    signed: (String, fn() -> String),
    theme: Theme,
    keys: Keys,
    /// Where things stood in the last frame, for the mouse.
    areas: Option<Areas>,
    /// Lines of the details that are out of sight below.
    detail_below: usize,
    news: Option<(u64, Instant)>,
    /// The first row of the problems on screen, and how many are out of sight below.
    problems: (usize, usize),
    /// Why no picture is shown, where that needs saying.
    no_picture: Option<&'static str>,
}

impl App {
    /// A screen of a desk.
    pub fn new(snapshot: Arc<Snapshot>, theme: Theme) -> App {
        let mut view = ViewState::default();
        view.take_up(&snapshot);
        let (areas, subject, no_picture) = (None, None, None);
        App {
            snapshot,
            view,
            seen: PictureContext::default(),
            sizes: SizesTable::default(),
            subject,
            accepting: None,
            handing: None,
            hand_over: None,
            listen_at: None,
            bell: Bell::default(),
            signed: (String::new(), String::new),
            theme,
            keys: Keys::usual(),
            areas,
            detail_below: 0,
            news: None,
            problems: (0, 0),
            no_picture,
        }
    }

    /// Says these words where pictures would be shown.
    pub fn without_pictures(self, words: Option<&'static str>) -> App {
        App { no_picture: words, ..self }
    }

    /// Says these words of the screen's calibration beside proofs.
    pub fn calibrated(self, words: Option<String>) -> App {
        App { seen: PictureContext { calibration: words, ..self.seen }, ..self }
    }

    /// Takes up the desk's newest snapshot.
    pub fn take_up(&mut self, snapshot: Arc<Snapshot>, now: Instant) {
        let number = snapshot.notice.as_ref().map(|notice| notice.number);
        if number.is_some() && number != self.snapshot.notice.as_ref().map(|notice| notice.number) {
            self.news = number.map(|number| (number, now + NEWS_FOR));
        }
        if snapshot.generation != self.snapshot.generation {
            self.view.take_up(&snapshot);
            self.bell.take_up(&snapshot);
            self.stay_on_row(&snapshot);
        }
        if !Arc::ptr_eq(&snapshot.rows, &self.snapshot.rows)
            && let (Some(view), Some(hand_over)) = (&mut self.handing, &self.hand_over)
        {
            view.ask_again(&snapshot, hand_over.as_ref());
        }
        self.snapshot = snapshot;
    }

    /// Signs decisions with a name, and with the time that a clock says.
    pub fn signed(self, name: String, clock: fn() -> String) -> App {
        App { signed: (name, clock), ..self }
    }

    /// With keys that a person chose.
    pub fn with_keys(self, keys: Keys) -> App {
        App { keys, ..self }
    }

    /// Rings when a row turns FIX, if that is wanted.
    pub fn ringing(self, wanted: bool) -> App {
        App { bell: Bell::new(wanted), ..self }
    }

    /// Whether the bell rings now.
    pub fn rings(&mut self) -> bool {
        self.bell.rings()
    }

    /// Hands over by these means.
    pub fn handing_over(self, hand_over: Box<dyn DeliveryService>) -> App {
        App { hand_over: Some(hand_over), ..self }
    }

    /// While a box is drawn or a finding accepted, its row stays selected. Where the row is gone, the box's view
    /// closes; the pane stays and says so, since the letters that somebody types there would be commands elsewhere.
    fn stay_on_row(&mut self, snapshot: &Snapshot) {
        let is_there = |key: &RowKey| snapshot.rows.iter().any(|row| row.row.key == *key);
        if let Some(view) = &mut self.accepting {
            view.is_gone = !is_there(&view.row);
        }
        self.subject = self.subject.take().filter(|subject| is_there(&subject.row));
        let of_box = self.subject.as_ref().map(|subject| &subject.row);
        let of_pane = self.accepting.as_ref().filter(|view| !view.is_gone).map(|view| &view.row);
        if let Some(row) = of_box.or(of_pane) {
            self.view.select(row.clone());
        }
    }

    /// When the next frame is due by itself: once news are old, or a handover may be further.
    pub fn due(&self) -> Option<Instant> {
        self.news.map(|(_, until)| until).into_iter().chain(self.listen_at).min()
    }

    /// What lies on top.
    pub fn context(&self) -> Context {
        match (&self.view, &self.subject) {
            (ViewState { help: true, .. }, _) => Context::Help,
            (_, Some(subject)) if subject.is_typing() => Context::Value,
            (_, Some(_)) => Context::Subject,
            _ if self.accepting.is_some() => Context::Accept,
            _ if self.handing.as_ref().is_some_and(DeliveryPane::is_asking) => Context::Handing,
            _ if self.handing.is_some() => Context::Handed,
            (ViewState { typing: true, .. }, _) => Context::Typing,
            (ViewState { large: true, .. }, _) => Context::Large,
            _ => Context::Desk,
        }
    }

    /// Takes up the proof that the desk made last.
    pub fn take_proof(&mut self, proof: ShownProof) {
        self.seen.proof = proof;
    }

    /// Takes up how many decisions are not written yet.
    pub fn take_unwritten(&mut self, decisions: usize) {
        self.view.unwritten = decisions;
    }

    /// From now on, only waits until what was decided is written.
    pub fn leave(&mut self) {
        self.view.leaving = true;
    }

    /// Whether decisions were still to be written in the last frame.
    pub fn waits_for_writing(&self) -> bool {
        self.view.unwritten > 0 || self.view.leaving
    }

    /// Whether it only waits for that.
    pub fn is_leaving(&self) -> bool {
        self.view.leaving
    }

    /// The screen's own state, for tests.
    pub fn view(&self) -> &ViewState {
        &self.view
    }

    /// What the desk should look at first: the selected row and the others on screen.
    pub fn look(&self) -> LiveCommand {
        let rows = self.areas.map_or(0, |areas| usize::from(areas.table.height));
        let on_screen = self.view.shown().iter().skip(self.view.top).take(rows);
        let keys = on_screen.map(|place| self.snapshot.rows[*place].row.key.clone());
        let selected: Option<RowKey> = self.view.selected().cloned();
        let visible = keys.filter(|key| Some(key) != selected.as_ref()).collect();
        LiveCommand::Look { selected, visible, proof: self.view.picture.manner() }
    }

    /// Does what was asked for.
    pub fn act(&mut self, action: Action) -> Reaction {
        if matches!(self.context(), Context::Subject | Context::Value)
            && let Some(row) = self.selected_row()
            && let Some(subject) = &mut self.subject
            && !matches!(action, Action::Help | Action::Suspend | Action::Quit)
        {
            return match subject.act(action, &row.row) {
                After::Stay => Reaction::Draw,
                After::Leave => {
                    self.subject = None;
                    Reaction::Draw
                }
                After::Ask(command) => {
                    self.subject = None;
                    Reaction::Ask(command)
                }
            };
        }
        if self.context() == Context::Accept && !matches!(action, Action::Suspend | Action::Quit) {
            return self.act_on_accepting(action);
        }
        let passes = matches!(action, Action::Suspend | Action::Quit | Action::DetailDown | Action::DetailUp);
        if matches!(self.context(), Context::Handing | Context::Handed) && !passes {
            return self.act_on_handing(action);
        }
        self.act_on_desk(action)
    }

    fn act_on_desk(&mut self, action: Action) -> Reaction {
        let page = self.areas.map_or(1, |areas| usize::from(areas.table.height).saturating_sub(1).max(1));
        match action {
            Action::Up => self.step(|at| at.saturating_sub(1)),
            Action::Down => self.step(|at| at + 1),
            Action::PageUp => self.step(|at| at.saturating_sub(page)),
            Action::PageDown => self.step(|at| at + page),
            Action::First => self.step(|_| 0),
            Action::Last => self.step(|_| usize::MAX),
            Action::NextToMend => self.view.select_open(true),
            Action::PreviousToMend => self.view.select_open(false),
            Action::Sort => self.view.sort_by(self.view.sort.next()),
            Action::Filter => self.view.typing = true,
            Action::KeepFilter => self.view.keep_filter(),
            // First what was typed; then, where nothing is, the marks.
            Action::ClearFilter if !self.view.typing && self.view.filter.is_empty() => self.view.unmark(),
            Action::ClearFilter => {
                self.view.typing = false;
                self.view.filter.clear();
                self.view.show();
            }
            Action::Backspace => {
                self.view.filter.pop();
                self.view.show();
            }
            Action::Follow => self.view.toggle_follow(),
            // The problems lie above the details: first down in them, last up.
            Action::DetailDown if self.problems.1 > 0 => self.scroll_problems(DETAIL_STEP, true),
            Action::DetailUp if self.view.detail_top == 0 => self.scroll_problems(DETAIL_STEP, false),
            Action::DetailDown => self.scroll_detail(DETAIL_STEP, true),
            Action::DetailUp => self.scroll_detail(DETAIL_STEP, false),
            Action::Sizes => (self.view.sizes, self.view.detail_top) = (!self.view.sizes, 0),
            Action::Larger => self.view.large = !self.view.large,
            Action::NextView => self.view.picture = self.view.picture.next(),
            Action::PreviousView => self.view.picture = self.view.picture.previous(),
            Action::Accept => self.open_accepting(),
            Action::AsBefore => return self.accept_as_before(),
            Action::Mark => self.view.mark(),
            Action::HandOver => self.open_handing(),
            Action::DrawBox => self.open_box(),
            Action::Help => self.view.help = !self.view.help,
            Action::Close => (self.view.help, self.view.large) = (false, self.view.help && self.view.large),
            Action::Rescan => return self.read_again(),
            Action::Suspend => return Reaction::Suspend,
            Action::Quit => return self.quit(),
            // Keys of views that are closed.
            Action::NextEdge
            | Action::PreviousEdge
            | Action::EdgeLeft
            | Action::EdgeRight
            | Action::EdgeUp
            | Action::EdgeDown
            | Action::Finer
            | Action::PrintAlone
            | Action::KeepBox
            | Action::RemoveBox
            | Action::PutEdge
            | Action::ForgetValue
            | Action::AcceptIt
            | Action::TakeBack
            | Action::NextReason
            | Action::LayIt
            | Action::EveryRow => return Reaction::None,
        }
        Reaction::Draw
    }

    /// Reads the folder again, and sorts its rows by what is known of them now.
    fn read_again(&mut self) -> Reaction {
        self.view.sort_by(self.view.sort);
        Reaction::Ask(LiveCommand::Rescan)
    }

    fn step(&mut self, to: impl Fn(usize) -> usize) {
        let at = self.view.selected_place().unwrap_or(0);
        self.view.select_place(to(at));
    }

    fn scroll_detail(&mut self, lines: usize, down: bool) {
        let top = self.view.detail_top;
        self.view.detail_top = if down { top + lines.min(self.detail_below) } else { top.saturating_sub(lines) };
        self.detail_below = if down { self.detail_below.saturating_sub(lines) } else { self.detail_below + lines };
    }

    /// The next frame keeps it within what there is.
    fn scroll_problems(&mut self, lines: usize, down: bool) {
        let top = self.problems.0;
        self.problems.0 = if down { top + lines } else { top.saturating_sub(lines) };
    }

    fn selected_row(&self) -> Option<Arc<TableRow>> {
        let place = self.view.selected_place()?;
        Some(Arc::clone(&self.snapshot.rows[self.view.shown()[place]]))
    }
}
