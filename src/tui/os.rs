//! The system calls of the screen; only this file changes for another system.

use std::io::{self, Write, stdin, stdout};
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};

use crate::tui::probe::ProbedTerminal;

/// True if input and output are a terminal.
pub fn on_terminal() -> bool {
    use std::io::IsTerminal;
    stdin().is_terminal() && stdout().is_terminal()
}

/// True if standard output can still be read: it cannot once the other end of its pipe is closed.
pub fn is_read() -> bool {
    let mut fds = [PollFd::from_borrowed_fd(rustix::stdio::stdout(), PollFlags::empty())];
    // Errors are reported even if not requested. Source: poll(2).
    let told = poll(&mut fds, Some(&timespec(Duration::ZERO)));
    told.is_err() || !fds[0].revents().intersects(PollFlags::ERR | PollFlags::HUP)
}

/// Returns the size of a cell in pixels; zeros if the terminal does not report it.
pub fn cell_px() -> (u16, u16) {
    let Ok(size) = rustix::termios::tcgetwinsize(rustix::stdio::stdout()) else { return (0, 0) };
    let cell = |px: u16, cells: u16| px.checked_div(cells).unwrap_or(0);
    (cell(size.ws_xpixel, size.ws_col), cell(size.ws_ypixel, size.ws_row))
}

/// True if the terminal was closed at its other end.
pub fn has_hung_up() -> bool {
    let mut fds = [PollFd::from_borrowed_fd(rustix::stdio::stdin(), PollFlags::IN)];
    poll(&mut fds, Some(&Timespec { tv_sec: 0, tv_nsec: 0 })).is_ok() && fds[0].revents().contains(PollFlags::HUP)
}

/// The real terminal, queried through standard input and output.
pub struct RealLine;

impl ProbedTerminal for RealLine {
    fn ask(&mut self, question: &[u8]) -> io::Result<()> {
        let mut out = stdout();
        out.write_all(question)?;
        out.flush()
    }

    fn hear(&mut self, until: Instant, buffer: &mut [u8]) -> io::Result<usize> {
        let left = until.saturating_duration_since(Instant::now());
        let timeout = timespec(left);
        let input = rustix::stdio::stdin();
        let mut fds = [PollFd::from_borrowed_fd(input, PollFlags::IN)];
        match poll(&mut fds, Some(&timeout)) {
            Ok(0) => Ok(0),
            // Bypasses the standard library's buffer: bytes held there would be lost to the keys.
            Ok(_) => Ok(rustix::io::read(input, buffer)?),
            Err(rustix::io::Errno::INTR) => Err(io::ErrorKind::Interrupted.into()),
            Err(error) => Err(error.into()),
        }
    }
}

fn timespec(duration: Duration) -> Timespec {
    Timespec {
        tv_sec: i64::try_from(duration.as_secs()).unwrap_or(i64::MAX),
        tv_nsec: i64::from(duration.subsec_nanos()),
    }
}
