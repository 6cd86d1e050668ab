//! Takes the terminal, and restores it at the end, on a signal, on a panic, and while suspended.

use std::io::{self, Stdout, Write};
use std::mem::ManuallyDrop;
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, ThreadId};
use std::time::{Duration, Instant};

use crossbeam_channel::{Sender, bounded};
use crossterm::cursor::{Hide, MoveTo, Show};
use crossterm::event::{self, DisableBracketedPaste, EnableBracketedPaste};
use crossterm::style::ResetColor;
use crossterm::terminal::{
    Clear, ClearType, EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use parking_lot::Mutex;
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use signal_hook::consts::{SIGALRM, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP, SIGUSR1, SIGUSR2};
use signal_hook::iterator::Signals;

use crate::tui::event_loop::{Inputs, Signal};
use crate::tui::late_replies::LateReplies;
use crate::tui::os::{self, WaitingWriter, stdout};

/// Reports buttons, the wheel, and movements while a button is held, in coordinates without a limit. Source: xterm's
/// control sequences.
const MOUSE_ON: &[u8] = b"\x1b[?1002h\x1b[?1006h";
const MOUSE_OFF: &[u8] = b"\x1b[?1006l\x1b[?1002l";
/// Most events that may be waiting; a held key produces 30 a second.
const EVENTS: usize = 256;
/// How often the key reader checks whether it is still needed.
const READER_LOOKS: Duration = Duration::from_millis(250);

/// Signals that by default end a program: the terminal is given back first. Source: signal(7).
const ENDING: [i32; 7] = [SIGTERM, SIGHUP, SIGINT, SIGQUIT, SIGALRM, SIGUSR1, SIGUSR2];

/// The thread that draws the screen; `None` while the screen does not have the terminal.
static SCREEN: Mutex<Option<ThreadId>> = Mutex::new(None);
static RAW: AtomicBool = AtomicBool::new(false);
/// True if anything may have been drawn.
static ENTERED: AtomicBool = AtomicBool::new(false);
static HOOK: Once = Once::new();
/// Messages of panics on other threads while the screen was up.
static ELSEWHERE: Mutex<Vec<String>> = Mutex::new(Vec::new());
/// Most panics kept; a repeated one adds nothing new.
const PANICS_KEPT: usize = 20;

/// The terminal in raw mode. Dropping it gives the terminal back.
pub struct TerminalGuard {
    has_screen: bool,
}

impl TerminalGuard {
    /// Switches to raw mode and sets the panic hook.
    ///
    /// # Errors
    /// If the terminal refuses.
    pub fn raw() -> io::Result<TerminalGuard> {
        HOOK.call_once(hook_panics);
        enable_raw_mode()?;
        RAW.store(true, Ordering::SeqCst);
        *SCREEN.lock() = Some(thread::current().id());
        Ok(TerminalGuard { has_screen: false })
    }

    /// Switches to the alternate screen.
    ///
    /// # Errors
    /// If the terminal cannot be written to.
    pub fn enter(mut self) -> io::Result<TerminalGuard> {
        self.has_screen = true;
        enter()?;
        Ok(self)
    }

    /// Runs `run` on the screen, with the terminal and a function that suspends.
    ///
    /// # Errors
    /// Those of the terminal and of `run`.
    pub fn show<T>(
        self,
        run: impl FnOnce(
            &mut Terminal<CrosstermBackend<WaitingWriter<Stdout>>>,
            &mut dyn FnMut() -> io::Result<()>,
        ) -> io::Result<T>,
    ) -> io::Result<T> {
        // Not dropped: dropping would complain to standard error that it cannot show the cursor of a terminal that is
        // gone, and fail where that is the same terminal. The cursor is given back with everything else.
        let mut terminal = ManuallyDrop::new(Terminal::new(CrosstermBackend::new(stdout()))?);
        let outcome = run(&mut terminal, &mut suspend);
        drop(self);
        outcome
    }
}

impl Drop for TerminalGuard {
    fn drop(&mut self) {
        give_back();
        *SCREEN.lock() = None;
    }
}

fn enter() -> io::Result<()> {
    let mut out = stdout();
    ENTERED.store(true, Ordering::SeqCst);
    // Cleared as well: where there is no second screen, the first one's text would show between the rows.
    crossterm::queue!(out, EnterAlternateScreen, Clear(ClearType::All), EnableBracketedPaste, Hide)?;
    out.write_all(MOUSE_ON)?;
    out.flush()
}

/// Undoes everything that was entered. Errors are ignored: the terminal may be gone.
fn give_back() {
    if !RAW.swap(false, Ordering::SeqCst) {
        return;
    }
    let mut out = stdout();
    // Also if the screen was never entered: leaving the second screen does no harm on the first.
    let _gone = out.write_all(MOUSE_OFF);
    if ENTERED.swap(false, Ordering::SeqCst) {
        // Where there is no second screen, what was drawn would stay under the prompt.
        let _gone = crossterm::queue!(out, DisableBracketedPaste, ResetColor, Clear(ClearType::All), MoveTo(0, 0));
    }
    let _gone = crossterm::execute!(out, LeaveAlternateScreen, Show);
    let _gone = disable_raw_mode();
}

/// Gives the terminal back, stops this process as the shell expects, and takes the terminal again once continued.
fn suspend() -> io::Result<()> {
    give_back();
    signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
    enable_raw_mode()?;
    RAW.store(true, Ordering::SeqCst);
    enter()
}

/// Sets a panic hook. On the screen's thread a panic first gives the terminal back and is then reported as usual; on
/// any other thread it is kept, since a line in the middle of the screen is of no help.
fn hook_panics() {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        let screen = *SCREEN.lock();
        match screen {
            Some(thread) if thread != thread::current().id() => {
                let mut kept = ELSEWHERE.lock();
                if kept.len() < PANICS_KEPT {
                    kept.push(panic.to_string());
                }
            }
            Some(_) => {
                give_back();
                usual(panic);
            }
            None => usual(panic),
        }
    }));
}

/// Returns the panics of other threads while the screen was up, to be reported afterwards.
pub fn panics_elsewhere() -> Vec<String> {
    std::mem::take(&mut *ELSEWHERE.lock())
}

/// Starts reading keys and signals, each on its own thread. The key reader ends with its channel. `late_replies`
/// filters out terminal answers that may still come among the keys.
///
/// # Errors
/// If the system refuses threads or signals.
pub fn inputs(late_replies: LateReplies) -> io::Result<Inputs> {
    let (events, taken_events) = bounded(EVENTS);
    let (signals, taken_signals) = bounded(8);
    thread::Builder::new().name("screen keys".to_owned()).spawn(move || read_events(&events, late_replies))?;
    let mut wanted = Signals::new(ENDING.into_iter().chain([SIGTSTP]))?;
    thread::Builder::new().name("screen signals".to_owned()).spawn(move || {
        for number in wanted.forever() {
            let signal = if number == SIGTSTP { Signal::Stop } else { Signal::End(number) };
            if signals.send(signal).is_err() {
                // Drawing has ended: signals have their default effect again.
                let _refused = signal_hook::low_level::emulate_default_handler(number);
            }
        }
    })?;
    Ok(Inputs { events: taken_events, signals: taken_signals })
}

/// Reads until the terminal fails or the receiver is gone. Its end closes the channel, which signals it.
fn read_events(events: &Sender<event::Event>, mut late_replies: LateReplies) {
    loop {
        let wait = late_replies.due().map_or(READER_LOOKS, |due| due.saturating_duration_since(Instant::now()));
        let let_through = match event::poll(wait.min(READER_LOOKS)) {
            Ok(false) if SCREEN.lock().is_none() || os::has_hung_up() => return,
            Ok(false) => late_replies.release(Instant::now()),
            Ok(true) => {
                let Ok(event) = event::read() else { return };
                late_replies.take(event, Instant::now())
            }
            Err(_) => return,
        };
        for event in let_through {
            if events.send(event).is_err() {
                return;
            }
        }
    }
}
