"""The live table on a terminal of our own: a pseudo-terminal, what a person would see on it, and how long a key takes."""

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import termios
import threading
import time

import pyte

from trials import PATIENCE, Ran, bounded, environment, peak_mb

# Primary device attributes, asked (ECMA-48) and answered: a VT220 without graphics.
QUESTION, ANSWER = b"\x1b[c", b"\x1b[?62c"
# Keys by their sequences.
ESCAPE, ENTER, DOWN, UP, CONTROL_A, CONTROL_C = b"\x1b", b"\r", b"\x1b[B", b"\x1b[A", b"\x01", b"\x03"
# Bracketed paste, as xterm writes it (xterm control sequences).
PASTE, PASTED = b"\x1b[200~", b"\x1b[201~"
# Between a key and the next; after an escape longer, so that a busy machine does not take it for the start of a sequence.
BETWEEN_S, AFTER_ESCAPE_S = 0.06, 0.2
# Longest wait for something to show that has no promise of its own.
SHOWS_S = 20
# After a key something is drawn within so long, however busy the live table is.
DRAWS_S = 1.0
# A live table that is told to end, or whose terminal is gone, ends within so long.
ENDS_S = 2.0


class Console:
    """A running live_table."""

    def __init__(self, program, folder, words=("brief.toml", "exports"), size=(100, 30), nohup=False, **more):
        self.size, self.seen, self.fed, self.lock = size, bytearray(), 0, threading.Lock()
        self.glass = pyte.Screen(*size)
        self.stream = pyte.ByteStream(self.glass)
        self.master, line = pty.openpty()
        fcntl.ioctl(line, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        bound = bounded()

        def begin():
            bound()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)
            if nohup:
                signal.signal(signal.SIGHUP, signal.SIG_IGN)

        self.child = subprocess.Popen([str(word) for word in (program, *words)], cwd=folder, stdin=line, stdout=line, stderr=line, close_fds=True,
                                      start_new_session=True, preexec_fn=begin, env=environment(folder, **more))
        os.close(line)
        self.open, self.answered, self.peak = True, 0, 0.0
        self.reader = threading.Thread(target=self._read, daemon=True)
        self.reader.start()

    def _read(self):
        while self.open:
            try:
                if not select.select([self.master], [], [], 0.05)[0]:
                    continue
                piece = os.read(self.master, 1 << 16)
            except (OSError, ValueError):
                return
            if not piece:
                return
            with self.lock:
                self.seen += piece
                asked = self.seen.count(QUESTION)
            while self.answered < asked:
                self.answered += 1
                self.write(ANSWER)

    def write(self, keys, within=SHOWS_S):
        """Types; gives up where nobody reads any more. Says how many bytes were taken."""
        done, end = 0, time.monotonic() + within
        while done < len(keys) and self.open and time.monotonic() < end:
            try:
                if select.select([], [self.master], [], 0.05)[1]:
                    # Less than a line's room, so that writing never waits (n_tty holds 4096).
                    done += os.write(self.master, keys[done : done + 256])
            except OSError:
                return done
        return done

    def press(self, *keys):
        """One key after the other, as a quick person presses them."""
        for key in keys:
            self.write(key if isinstance(key, bytes) else key.encode())
            time.sleep(AFTER_ESCAPE_S if key == ESCAPE else BETWEEN_S)

    def paste(self, text, within=SHOWS_S):
        """Pastes as a terminal does: between marks where the program asked for them, line breaks as Enter, without escapes."""
        asked = self.told().rfind(b"\x1b[?2004h") > self.told().rfind(b"\x1b[?2004l")
        keys = text.encode().replace(b"\n", ENTER).replace(ESCAPE, b"")
        return self.write(PASTE + keys + PASTED if asked else keys, within)

    def text(self):
        """What stands on the screen now."""
        with self.lock:
            fresh, self.fed = bytes(self.seen[self.fed :]), len(self.seen)
        try:
            self.stream.feed(fresh)
        except (TypeError, IndexError, ValueError):
            pass  # the emulator's own gaps; what follows is drawn all the same
        # Not by `display`, which fails on a cell that half of a wide sign was written over.
        buffer, columns = self.glass.buffer, range(self.glass.columns)
        return "\n".join("".join(buffer[row][column].data for column in columns) for row in range(self.glass.lines))

    def told(self):
        """All bytes so far."""
        with self.lock:
            return bytes(self.seen)

    def wait(self, wanted, within=SHOWS_S):
        """Waits until the screen's text is as wanted, or the program is gone; how long that took, or None."""
        began = time.monotonic()
        while True:
            text = self.text()
            if wanted(text):
                return time.monotonic() - began
            if time.monotonic() - began > within or (self.child.poll() is not None and not self._more()):
                return None
            self.peak = max(self.peak, peak_mb(self.child.pid))
            time.sleep(0.01)

    def _more(self):
        self.reader.join(0.1)
        with self.lock:
            return self.fed < len(self.seen)

    def answers(self, key, within=DRAWS_S * PATIENCE):
        """How long a key takes until something is drawn, in seconds; None where nothing is."""
        with self.lock:
            before = len(self.seen)
        began = time.monotonic()
        self.write(key)
        while time.monotonic() - began < within:
            with self.lock:
                if len(self.seen) > before:
                    return time.monotonic() - began
            time.sleep(0.0005)
        return None

    def helps(self, within=DRAWS_S * PATIENCE):
        """Whether the keys are alive: the help opens and closes. How long it took; None where it does not come, three times over."""
        for _ in range(3):
            self.press(ESCAPE, ESCAPE)
            self.write(b"?")
            took = self.wait(lambda text: "the help, and back" in text, within)
            if took is not None or self.child.poll() is not None:
                self.press(ESCAPE)
                return took
        return None

    def resize(self, columns, rows):
        self.size = (columns, rows)
        self.text()
        self.glass.resize(rows, columns)
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def ended(self, within=ENDS_S * PATIENCE):
        """Waits for the end: how it ended, with the time that took."""
        began = time.monotonic()
        while self.child.poll() is None and time.monotonic() - began < within:
            self.peak = max(self.peak, peak_mb(self.child.pid))
            time.sleep(0.002)
        return Ran(self.child.poll(), self.text(), time.monotonic() - began, self.peak)

    def quits(self, kept, within, key=b"q"):
        """Quits, and asks once more where the live table stays open although what was decided is `kept()`."""
        self.write(key)
        began = time.monotonic()
        while self.child.poll() is None and not kept() and time.monotonic() - began < within:
            self.peak = max(self.peak, peak_mb(self.child.pid))
            time.sleep(0.02)
        if self.ended().status is None:
            self.write(key)
        left = max(ENDS_S, within - (time.monotonic() - began))
        ended = self.ended(left)
        return Ran(ended.status, ended.said, time.monotonic() - began, self.peak)

    def hang_up(self):
        """The window is closed: the terminal is gone, and the system says so with SIGHUP."""
        self.open = False
        self.reader.join()
        os.close(self.master)
        self.master = -1

    def close(self):
        """Ends it whatever it does."""
        if self.child.poll() is None:
            self.child.send_signal(signal.SIGCONT)
            self.child.kill()
        self.child.wait()
        self.open = False
        self.reader.join()
        if self.master >= 0:
            os.close(self.master)
            self.master = -1

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()


def has_rows(count):
    """Wanted of a screen: its counts say that so many warn and nothing is to be checked."""
    said = (f"{count} WARN", f"{count:,} WARN")
    return lambda text: any(one in text for one in said) and "to check" not in text and "reading" not in text
