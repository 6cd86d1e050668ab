//! Tests of the loop: its requests to the live table, what ends it, and what is written to the terminal.

use std::cell::{Cell, RefCell};
use std::io::{self, Write};
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use crossbeam_channel::{Receiver, Sender, bounded};
use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;

use super::{EventLoop, Inputs, LoopEnd, NO_ENCODER, Signal};
use crate::live::Snapshot;
use crate::live::snapshot::{LiveCommand, ShownProof, ShownThumbnail};
use crate::tui::app::App;
use crate::tui::capability::ColourLevel;
use crate::tui::live_source::LiveSource;
use crate::tui::picture::painter::Painter;
use crate::tui::picture::protocol::Protocol;
use crate::tui::tests::order::{book, thumbnail};
use crate::tui::tests::{keys, press, text, theme};

/// How long a loop may run before it is ended from outside, with [`TOO_LONG`].
const DEADLINE: Duration = Duration::from_secs(20);
const TOO_LONG: i32 = -1;
/// Most events and signals that a test sends.
const WAITING: usize = 64;

/// A live table that never changes and records its requests.
struct FixedTable {
    snapshot: Arc<Snapshot>,
    wake: Receiver<()>,
    wakes: Sender<()>,
    sent: RefCell<Vec<LiveCommand>>,
    /// Number of pending decisions, one less each time it is read.
    pending_decisions: Cell<usize>,
    /// Quits once this many more snapshots were fetched: one at the start, and one for each frame.
    quits_after: RefCell<Option<(usize, Sender<Event>)>>,
}

impl FixedTable {
    fn new(snapshot: Snapshot) -> FixedTable {
        let (wakes, wake) = bounded(1);
        FixedTable {
            snapshot: Arc::new(snapshot),
            wake,
            wakes,
            sent: RefCell::default(),
            pending_decisions: Cell::default(),
            quits_after: RefCell::default(),
        }
    }
}

impl LiveSource for FixedTable {
    fn snapshot(&self) -> Arc<Snapshot> {
        if let Some((left, events)) = self.quits_after.borrow_mut().as_mut() {
            *left = left.saturating_sub(1);
            if *left == 0 {
                events.send(press(KeyCode::Char('q'))).unwrap();
            }
        }
        Arc::clone(&self.snapshot)
    }
    fn thumbnail(&self) -> Option<Arc<ShownThumbnail>> {
        Some(Arc::new(thumbnail("p008-smoked-mackerel.jpg", 90, 60)))
    }
    fn proof(&self) -> ShownProof {
        ShownProof::Pending
    }
    fn send(&self, command: LiveCommand) {
        self.sent.borrow_mut().push(command);
    }
    fn pending_decisions(&self) -> usize {
        self.pending_decisions.replace(self.pending_decisions.get().saturating_sub(1))
    }
    fn wake(&self) -> &Receiver<()> {
        &self.wake
    }
}

/// A loop to run over a table: by default with no event and no signal, in half blocks, on a terminal that stays.
struct Trial<'a> {
    table: &'a FixedTable,
    painter: Painter,
    events: (Sender<Event>, Receiver<Event>),
    signals: (Sender<Signal>, Receiver<Signal>),
    terminal_goes: bool,
    /// An event sent when the loop has suspended.
    after_suspending: Option<Event>,
    /// Quits once this was written to the terminal, in a picture or a frame.
    quits_at: Option<&'static str>,
}

/// The outcome of a loop.
struct Ended {
    end: LoopEnd,
    suspended: usize,
    /// The bytes written outside the frames.
    out: String,
    /// The last frame.
    frame: Buffer,
}

/// A writer that keeps what is written, and quits once the wanted text is in it.
struct Glass {
    written: String,
    quits_at: Option<&'static str>,
    events: Option<Sender<Event>>,
}

impl Write for Glass {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.written.push_str(&String::from_utf8_lossy(bytes));
        if self.quits_at.is_some_and(|wanted| self.written.contains(wanted)) {
            self.quits_at = None;
            let quit = |events: &Sender<Event>| events.send(press(KeyCode::Char('q'))).map_err(io::Error::other);
            self.events.iter().try_for_each(quit)?;
        }
        Ok(bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl<'a> Trial<'a> {
    fn of(table: &'a FixedTable) -> Trial<'a> {
        Trial {
            table,
            painter: Painter::new(Protocol::Blocks, ColourLevel::Full, usize::MAX).unwrap(),
            events: bounded(WAITING),
            signals: bounded(WAITING),
            terminal_goes: false,
            after_suspending: None,
            quits_at: None,
        }
    }

    fn keys(self, letters: &str) -> Trial<'a> {
        keys(letters).into_iter().fold(self, Trial::event)
    }

    fn event(self, event: Event) -> Trial<'a> {
        self.events.0.send(event).unwrap();
        self
    }

    fn signal(self, signal: Signal) -> Trial<'a> {
        self.signals.0.send(signal).unwrap();
        self
    }

    fn painter(self, painter: Painter) -> Trial<'a> {
        Trial { painter, ..self }
    }

    fn run(self) -> Ended {
        let Trial { table, painter, events: (send, events), signals: (end, signals), .. } = self;
        let (done, is_done) = bounded::<()>(0);
        let watch = thread::spawn(move || {
            if is_done.recv_timeout(DEADLINE) == Err(crossbeam_channel::RecvTimeoutError::Timeout) {
                end.send(Signal::End(TOO_LONG)).unwrap();
            }
        });
        let mut terminal = Terminal::new(TestBackend::new(100, 30)).unwrap();
        // Once the terminal goes away, nothing is left that could send an event.
        let send = Some(send).filter(|_| !self.terminal_goes);
        let mut out = Glass { written: String::new(), quits_at: self.quits_at, events: send.clone() };
        let mut suspended = 0;
        let mut suspend = || {
            suspended += 1;
            let pressed = send.iter().zip(self.after_suspending.clone());
            pressed.into_iter().try_for_each(|(send, event)| send.send(event).map_err(io::Error::other))
        };
        let end = EventLoop {
            source: table,
            app: App::new(table.snapshot(), theme()),
            painter,
            inputs: Inputs { events, signals },
            suspend: &mut suspend,
            cell_px: &|| (8, 17),
        }
        .run(&mut terminal, &mut out)
        .unwrap();
        drop(done);
        watch.join().unwrap();
        Ended { end, suspended, out: out.written, frame: terminal.backend().buffer().clone() }
    }
}

#[test]
fn the_loop_asks_the_table_for_what_is_on_screen_and_says_goodbye() {
    let table = FixedTable::new(book());
    assert_eq!(Trial::of(&table).keys(",rq").run().end, LoopEnd::Asked);
    let sent = table.sent.borrow();
    let LiveCommand::ShowRows { selected, visible, .. } = &sent[0] else { panic!("{sent:?}") };
    assert_eq!(selected.as_ref(), Some(&table.snapshot.rows[0].row.key));
    assert_eq!(visible.len(), table.snapshot.rows.len() - 1);
    assert!(sent.contains(&LiveCommand::Rescan));
    assert_eq!(sent.last(), Some(&LiveCommand::Quit));
}

#[test]
fn what_is_copied_goes_to_the_terminal_even_if_the_person_quits_at_once() {
    let table = FixedTable::new(book());
    // The base64 of "2551 x 3142".
    assert!(Trial::of(&table).keys("cq").run().out.contains("\x1b]52;c;MjU1MSB4IDMxNDI=\x07"));
    assert!(!Trial::of(&table).keys(",q").run().out.contains("\x1b]52;"));
}

#[test]
fn signals_and_a_vanished_terminal_end_the_loop() {
    let table = FixedTable::new(book());
    assert_eq!(Trial::of(&table).signal(Signal::End(15)).run().end, LoopEnd::Signal(15));
    assert_eq!(Trial { terminal_goes: true, ..Trial::of(&table) }.run().end, LoopEnd::TerminalGone);
    assert_eq!(Trial::of(&table).keys("q").signal(Signal::Stop).run().suspended, 0, "quitting wins over stopping");
}

#[test]
fn quitting_waits_until_what_was_decided_is_written_unless_it_is_asked_twice() {
    let table = FixedTable::new(book());
    table.pending_decisions.set(5);
    assert_eq!(Trial::of(&table).keys("q").run().end, LoopEnd::Asked);
    assert_eq!(table.pending_decisions.get(), 0, "all is written by then");
    table.pending_decisions.set(1_000);
    assert_eq!(Trial::of(&table).keys("q,q").run().end, LoopEnd::Asked);
    assert!(table.pending_decisions.get() > 900, "whoever asks again does not wait");
}

#[test]
fn suspending_gives_the_terminal_back_once() {
    let table = FixedTable::new(book());
    let suspend = Event::Key(KeyEvent::new(KeyCode::Char('z'), KeyModifiers::CONTROL));
    let trial = Trial { after_suspending: Some(press(KeyCode::Char('q'))), ..Trial::of(&table) };
    let ended = trial.event(suspend).event(press(KeyCode::Down)).run();
    assert_eq!((ended.end, ended.suspended), (LoopEnd::Asked, 1));
}

#[test]
fn graphics_reach_the_glass_once_the_selection_rests() {
    let table = FixedTable::new(book());
    table.wakes.send(()).unwrap();
    let kitty = Painter::new(Protocol::Kitty, ColourLevel::Full, usize::MAX).unwrap();
    let trial = Trial { quits_at: Some("\x1b_Ga=T"), ..Trial::of(&table) };
    let ended = trial.painter(kitty).run();
    assert_eq!(ended.end, LoopEnd::Asked);
    assert_eq!(ended.out.matches("\x1b_Ga=T").count(), 1);
    assert!(ended.frame.content.iter().any(|cell| cell.symbol() == "F"));
}

#[test]
fn where_the_encoder_has_ended_half_blocks_are_shown_and_it_is_said() {
    let table = FixedTable::new(book());
    let trial = Trial::of(&table).painter(Painter::without_encoder(Protocol::Kitty, ColourLevel::Full));
    *table.quits_after.borrow_mut() = Some((3, trial.events.0.clone()));
    let ended = trial.run();
    assert_eq!(ended.end, LoopEnd::Asked);
    let frame = text(&ended.frame);
    assert!(frame.contains(NO_ENCODER) && frame.contains('▀'), "{frame}");
}
