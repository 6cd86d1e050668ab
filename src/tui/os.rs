//! The system calls of the screen; only this file changes for another system.

use std::io::{self, Stderr, Stdout, Write, stdin};
use std::os::fd::AsFd;
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};

use crate::tui::probe::ProbedTerminal;

/// True if input and output are a terminal.
pub fn on_terminal() -> bool {
    use std::io::IsTerminal;
    stdin().is_terminal() && io::stdout().is_terminal()
}

/// Returns standard output.
pub fn stdout() -> WaitingWriter<Stdout> {
    WaitingWriter(io::stdout())
}

/// Returns standard error.
pub fn stderr() -> WaitingWriter<Stderr> {
    WaitingWriter(io::stderr())
}

/// Waits where a terminal or a pipe takes no more for the moment, also one that another program left non-blocking: that
/// belongs to the open file, which all programs at a terminal share.
#[derive(Debug)]
pub struct WaitingWriter<W>(W);

impl<W: Write + AsFd> WaitingWriter<W> {
    fn until_taken<T>(&mut self, mut write: impl FnMut(&mut W) -> io::Result<T>) -> io::Result<T> {
        /// Pause after a wait: some terminals report room that is too small for the next character.
        const PAUSE: Duration = Duration::from_millis(1);
        loop {
            match write(&mut self.0) {
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => {}
                written => return written,
            }
            match poll(&mut [PollFd::new(&self.0, PollFlags::OUT)], None) {
                Ok(_) | Err(rustix::io::Errno::INTR) => std::thread::sleep(PAUSE),
                Err(error) => return Err(error.into()),
            }
        }
    }
}

impl<W: Write + AsFd> Write for WaitingWriter<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.until_taken(|out| out.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.until_taken(Write::flush)
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{LineWriter, PipeWriter, Read};

    #[test]
    fn an_output_that_is_non_blocking_and_slow_gets_all_in_its_order() {
        let (mut reader, writer) = io::pipe().unwrap();
        rustix::io::ioctl_fionbio(&writer, true).unwrap();
        let text: String = (0..60_000).map(|number| format!("{number}\n")).collect();
        let expected = text.clone();
        let slow = std::thread::spawn(move || {
            std::thread::sleep(Duration::from_millis(100));
            let mut read = String::new();
            reader.read_to_string(&mut read).unwrap();
            read
        });
        // Buffered by lines, as standard output is.
        let mut out = WaitingWriter(Lines(LineWriter::new(writer)));
        out.write_all(text.as_bytes()).unwrap();
        out.flush().unwrap();
        drop(out);
        assert!(slow.join().unwrap() == expected, "something is missing, or twice");
    }

    struct Lines(LineWriter<PipeWriter>);

    impl AsFd for Lines {
        fn as_fd(&self) -> std::os::fd::BorrowedFd<'_> {
            self.0.get_ref().as_fd()
        }
    }

    impl Write for Lines {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.write(bytes)
        }

        fn flush(&mut self) -> io::Result<()> {
            self.0.flush()
        }
    }

    #[test]
    fn an_output_whose_reader_is_gone_is_not_waited_for() {
        let (reader, writer) = io::pipe().unwrap();
        rustix::io::ioctl_fionbio(&writer, true).unwrap();
        let mut out = WaitingWriter(writer);
        let end = std::thread::spawn(move || {
            std::thread::sleep(Duration::from_millis(100));
            drop(reader);
        });
        assert_eq!(out.write_all(&vec![b'a'; 1 << 20]).unwrap_err().kind(), io::ErrorKind::BrokenPipe);
        end.join().unwrap();
    }
}
