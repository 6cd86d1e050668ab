//! A terminal of our own: a pseudo-terminal with the program at one end, and at the other a reader that keeps what a
//! terminal would show and answers questions as it was told to.

use std::io::{Read, Write};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, SlavePty, native_pty_system};

use crate::order::Order;

/// How often a wait looks again.
const LOOK: Duration = Duration::from_millis(20);
/// A key that is typed after another, so that an escape is not taken for the start of a sequence.
const BETWEEN_KEYS: Duration = Duration::from_millis(60);
/// Primary device attributes, asked (ECMA-48) and answered: a VT220 with sixel graphics.
const QUESTION: &[u8] = b"\x1b[c";
const ANSWER: &[u8] = b"\x1b[?62;4c";
/// The question for the background's colour (xterm control sequences, OSC 11), and a dark one.
const COLOUR_QUESTION: &[u8] = b"\x1b]11;?";
const COLOUR_ANSWER: &[u8] = b"\x1b]11;rgb:1414/1414/1818\x1b\\";
/// Pause between two bytes of a slow answer: a line of some 2,000 bits a second.
const SLOW: Duration = Duration::from_millis(5);
/// Size of a cell in pixels that the terminal says.
const CELL_PX: (u16, u16) = (8, 16);
/// Bits of the local modes that line editing and echo set (termios(3), Linux).
const ICANON: u64 = 0o2;
const ECHO: u64 = 0o10;

/// How the terminal answers questions about itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answers {
    /// Not at all.
    Never,
    /// Without delay.
    AtOnce,
    /// Each byte some milliseconds after the other.
    ByteByByte,
    /// Its attributes at once, its background so many milliseconds later and so many between two bytes, and then only
    /// its attributes once more.
    LateColour(u64, u64),
}

/// What the terminal is.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Columns and rows.
    pub size: (u16, u16),
    /// `TERM`.
    pub term: &'static str,
    /// Whether `NO_COLOR` is set.
    pub no_color: bool,
    /// How it answers.
    pub answers: Answers,
}

impl Default for Setting {
    fn default() -> Setting {
        Setting { size: (100, 30), term: "xterm-256color", no_color: false, answers: Answers::AtOnce }
    }
}

/// What the reader has seen so far.
struct Seen {
    screen: vt100::Parser,
    bytes: Vec<u8>,
}

type Writer = Arc<Mutex<Box<dyn Write + Send>>>;

/// A running program on a terminal.
pub struct Console {
    child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    /// Kept open, so that the terminal outlives the program as a person's does.
    _line: Box<dyn SlavePty + Send>,
    writer: Writer,
    seen: Arc<Mutex<Seen>>,
    modes_before: u64,
}

impl Console {
    /// Starts the program beside the order's brief.
    pub fn open(order: &Order, words: &[&str], setting: Setting) -> Console {
        let pair = native_pty_system().openpty(pty_size(setting.size)).unwrap();
        let modes_before = local_modes(&*pair.master);
        assert_eq!(modes_before & (ICANON | ECHO), ICANON | ECHO, "a new terminal edits lines and echoes");
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_plateside"));
        command.args(words);
        command.cwd(order.place());
        command.env_clear();
        command.env("TERM", setting.term);
        command.env("LANG", "C.UTF-8");
        command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
        for (name, folder) in [("HOME", "home"), ("XDG_CACHE_HOME", "cache"), ("XDG_CONFIG_HOME", "config")] {
            command.env(name, order.place().join(folder));
        }
        if setting.no_color {
            command.env("NO_COLOR", "1");
        }
        let child = pair.slave.spawn_command(command).unwrap();
        let writer: Writer = Arc::new(Mutex::new(pair.master.take_writer().unwrap()));
        let (columns, rows) = setting.size;
        let seen = Arc::new(Mutex::new(Seen { screen: vt100::Parser::new(rows, columns, 0), bytes: Vec::new() }));
        let reader = pair.master.try_clone_reader().unwrap();
        read(reader, Arc::clone(&seen), Arc::clone(&writer), setting.answers);
        Console { child, master: pair.master, _line: pair.slave, writer, seen, modes_before }
    }

    fn seen(&self) -> MutexGuard<'_, Seen> {
        self.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits until the screen's text is as wanted.
    #[track_caller]
    pub fn wait(&self, what: &str, within: Duration, wanted: impl Fn(&str) -> bool) {
        let end = Instant::now() + within;
        loop {
            let text = self.seen().screen.screen().contents();
            if wanted(&text) {
                return;
            }
            assert!(Instant::now() < end, "{what} did not show within {within:?}; the screen is:\n{text}");
            thread::sleep(LOOK);
        }
    }

    /// Waits until the table has a row of this picture in this state.
    #[track_caller]
    pub fn wait_for_row(&self, picture: &str, state: &str, within: Duration) {
        self.wait(&format!("{state} for {picture}"), within, |text| {
            text.lines().map(table_part).any(|line| line.contains(picture) && line.contains(state))
        });
    }

    /// Types text, or one key by its sequence.
    pub fn type_keys(&mut self, keys: &str) {
        write_slowly(&self.writer, keys.as_bytes(), Duration::ZERO);
        thread::sleep(BETWEEN_KEYS);
    }

    /// Makes the window another size.
    pub fn resize(&mut self, size: (u16, u16)) {
        self.seen().screen.screen_mut().set_size(size.1, size.0);
        self.master.resize(pty_size(size)).unwrap();
    }

    /// Sends a signal by its name.
    pub fn signal(&self, name: &str) {
        let process = self.child.process_id().unwrap().to_string();
        let sent = std::process::Command::new("kill").args([&format!("-{name}"), &process]).status().unwrap();
        assert!(sent.success());
    }

    /// Waits for the program's end: its exit status, or `None` after a signal that it died of.
    #[track_caller]
    pub fn end(&mut self, within: Duration) -> Option<u32> {
        let end = Instant::now() + within;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                // What it wrote last is still on its way through the line.
                thread::sleep(10 * LOOK);
                return status.signal().is_none().then(|| status.exit_code());
            }
            let text = self.seen().screen.screen().contents();
            assert!(Instant::now() < end, "it did not end within {within:?}; the screen is:\n{text}");
            thread::sleep(LOOK);
        }
    }

    /// Fails unless the terminal is as it was before the program: first screen, cursor, mouse, line editing, echo.
    #[track_caller]
    pub fn assert_given_back(&self) {
        let seen = self.seen();
        let screen = seen.screen.screen();
        assert!(seen.bytes.windows(8).any(|bytes| bytes == b"\x1b[?1049h"), "the alternate screen was entered");
        assert!(!screen.alternate_screen(), "the alternate screen was left");
        assert!(!screen.hide_cursor(), "the cursor is shown");
        assert_eq!(screen.mouse_protocol_mode(), vt100::MouseProtocolMode::None, "the mouse is let go");
        assert!(!screen.bracketed_paste(), "pasting is as before");
        assert_eq!(local_modes(&*self.master), self.modes_before, "raw mode was left");
    }

    /// What a terminal without a second screen would show now, and where its cursor stands.
    pub fn on_one_screen(&self) -> (String, (u16, u16)) {
        let seen = self.seen();
        let (rows, columns) = seen.screen.screen().size();
        let mut screen = vt100::Parser::new(rows, columns, 0);
        let text = String::from_utf8_lossy(&seen.bytes).replace("\x1b[?1049h", "").replace("\x1b[?1049l", "");
        screen.process(text.as_bytes());
        (screen.screen().contents(), screen.screen().cursor_position())
    }

    /// Everything that the program wrote, as text.
    pub fn written(&self) -> String {
        String::from_utf8_lossy(&self.seen().bytes).into_owned()
    }

    /// The sequences that set a colour (SGR 30 to 49 and 90 to 107; ECMA-48 8.3.117 and what terminals added).
    pub fn colours(&self) -> Vec<String> {
        let text = self.written();
        let sets_colour = |parameters: &str| {
            parameters.split([';', ':']).filter_map(|number| number.parse::<u32>().ok()).any(|number| {
                // 39 and 49 only give the terminal's own colours back.
                matches!(number, 30..=38 | 40..=48 | 90..=97 | 100..=107)
            })
        };
        text.split("\x1b[")
            .skip(1)
            .filter_map(|rest| rest.split_once('m').map(|(parameters, _)| parameters))
            .filter(|parameters| parameters.bytes().all(|b| b.is_ascii_digit() || b == b';' || b == b':'))
            .filter(|parameters| sets_colour(parameters))
            .map(str::to_owned)
            .collect()
    }
}

impl Drop for Console {
    fn drop(&mut self) {
        let _ended = self.child.kill();
        let _status = self.child.wait();
    }
}

/// The table's part of a line of the screen: what stands before the rule that parts it from the panes.
pub fn table_part(line: &str) -> &str {
    line.split(['│', '|']).next().unwrap_or(line)
}

fn pty_size((columns, rows): (u16, u16)) -> PtySize {
    PtySize { rows, cols: columns, pixel_width: columns * CELL_PX.0, pixel_height: rows * CELL_PX.1 }
}

fn local_modes(master: &dyn MasterPty) -> u64 {
    u64::from(master.get_termios().expect("a terminal has modes").local_flags.bits())
}

/// Keeps what the program writes and answers its questions, until the line closes.
fn read(mut reader: Box<dyn Read + Send>, seen: Arc<Mutex<Seen>>, writer: Writer, answers: Answers) {
    thread::spawn(move || {
        let mut buffer = [0; 8192];
        let mut answered = 0;
        while let Ok(count @ 1..) = reader.read(&mut buffer) {
            let (questions, colour) = {
                let mut seen = seen.lock().unwrap_or_else(PoisonError::into_inner);
                seen.bytes.extend_from_slice(&buffer[..count]);
                seen.screen.process(&buffer[..count]);
                let asked = |question: &[u8]| seen.bytes.windows(question.len()).filter(|b| *b == question).count();
                (asked(QUESTION), asked(COLOUR_QUESTION) > 0)
            };
            for _ in answered..questions {
                match answers {
                    Answers::Never => {}
                    Answers::AtOnce => write_slowly(&writer, ANSWER, Duration::ZERO),
                    Answers::ByteByByte => write_slowly(&writer, ANSWER, SLOW),
                    Answers::LateColour(..) if !colour => write_slowly(&writer, ANSWER, Duration::ZERO),
                    Answers::LateColour(late_ms, pause_ms) => {
                        let writer = Arc::clone(&writer);
                        thread::spawn(move || {
                            thread::sleep(Duration::from_millis(late_ms));
                            let all = [COLOUR_ANSWER, ANSWER].concat();
                            write_slowly(&writer, &all, Duration::from_millis(pause_ms));
                        });
                    }
                }
            }
            answered = questions;
        }
    });
}

fn write_slowly(writer: &Writer, bytes: &[u8], pause: Duration) {
    let mut writer = writer.lock().unwrap_or_else(PoisonError::into_inner);
    let pieces = if pause.is_zero() { bytes.len().max(1) } else { 1 };
    for piece in bytes.chunks(pieces) {
        // The program may have ended: then nobody reads.
        if writer.write_all(piece).and_then(|()| writer.flush()).is_err() {
            return;
        }
        thread::sleep(pause);
    }
}
