"""What was tried how often: a line of the table for each attack, and one call of the program with its time and memory.

Memory is the most that the system ever saw resident (VmHWM, proc(5)), asked again and again while the program runs: what
wait4 tells would count the Python that started it, too.
"""

import os
import resource
import signal
import subprocess
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

# Longest that a command may take to say what is wrong with a file that is no file, in seconds.
ANSWER_S = 5
# Most memory for small pictures and texts, however they were made; the program and its engine take a tenth. MB of 1e6.
MOST_MB = 300
# A busy machine has so many times as long for whatever is timed, unless the full figures are asked for.
PATIENCE = 3
# So many failed trials of a line are told with their words; a line has up to thousands.
MOST_TOLD = 50
# Between two looks at a running program.
LOOK_S = 0.004
# The program's own room for addresses: far above MOST_MB, so that it is told by its number, and far below the machine's.
ADDRESSES_BYTES = 4 << 30
# What no person should read: a panic, and the inner words of libraries.
INNER_WORDS = ("panicked", "RUST_BACKTRACE", "Os {", "code: ", "ErrorKind", "Custom {", "kind: ", "memory allocation")


class Trials:
    """One line of the table."""

    def __init__(self, name):
        self.name, self.tried, self.faults, self.seconds, self.megabytes = name, 0, [], 0.0, 0.0

    def that(self, what, holds, otherwise="", seconds=0.0, megabytes=0.0):
        """Counts one trial; what fails is said with its words."""
        self.tried += 1
        self.seconds, self.megabytes = max(self.seconds, seconds), max(self.megabytes, megabytes)
        if not holds:
            self.faults.append(f"{what}: {' '.join(str(otherwise).split())[:400]}" if otherwise != "" else what)
        return holds

    def none(self, what, wrong, seconds=0.0, megabytes=0.0):
        """Counts one trial, which holds where nothing is wrong."""
        return self.that(what, not wrong, "; ".join(wrong), seconds, megabytes)

    def summary(self):
        """How many failed, and the first of them with their words."""
        few = "".join(f"\n  {one}" for one in self.faults[:MOST_TOLD])
        more = f"\n  and {len(self.faults) - MOST_TOLD} more" if len(self.faults) > MOST_TOLD else ""
        return f"{self.name}: {len(self.faults)} of {self.tried} failed{few}{more}"


def table(lines):
    """All lines as one table."""
    rows = [("trials of", "tried", "failed", "worst s", "worst MB")]
    rows += [(one.name, str(one.tried), str(len(one.faults)), f"{one.seconds:.2f}" if one.seconds else "",
              f"{one.megabytes:.0f}" if one.megabytes else "") for one in lines]
    wide = [max(len(row[at]) for row in rows) for at in range(5)]
    return "\n".join("  ".join(word.ljust(wide[0]) if at == 0 else word.rjust(wide[at]) for at, word in enumerate(row)) for row in rows)


@dataclass
class Ran:
    """How a call of the program ended: status (below 0: by that signal, None: it did not end), words, time, memory."""

    status: int
    said: str
    seconds: float
    megabytes: float

    def wrong(self, within, statuses=None):
        """What is wrong with it as an answer: nothing but words for a person, a status, in time, within bounds."""
        wrong = []
        if self.status is None:
            wrong.append(f"no answer within {within:.0f} s")
        elif self.status < 0 or self.status == 101:
            wrong.append(f"ended by signal {-self.status}" if self.status < 0 else "a panic")
        elif statuses is not None and self.status not in statuses:
            wrong.append(f"status {self.status}, not one of {sorted(statuses)}: {self.said[-200:]!r}")
        if self.status is not None and not self.said.strip():
            wrong.append("without a word")
        wrong += [f"{word!r} in its words: {self.said[-200:]!r}" for word in INNER_WORDS if word in self.said]
        if self.megabytes > MOST_MB:
            wrong.append(f"{self.megabytes:.0f} MB")
        return wrong


def peak_mb(process):
    """The most memory that a running program ever had, in MB; 0 once it is gone."""
    try:
        lines = Path(f"/proc/{process}/status").read_text(encoding="ascii", errors="replace").splitlines()
        return next((int(line.split()[1]) * 1024 / 1e6 for line in lines if line.startswith("VmHWM:")), 0.0)
    except OSError:
        return 0.0


def bounded(addresses=ADDRESSES_BYTES, written=None):
    """What is done in the child before the program begins: bounds of the system that keep the machine alive."""
    def bound():
        resource.setrlimit(resource.RLIMIT_AS, (addresses, addresses))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        if written is not None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (written, written))
    return bound


def ran(words, folder, within, meanwhile=None, written=None, **options):
    """Calls the program; what takes longer than `within` seconds is killed. `meanwhile(process)` is asked between two looks."""
    with tempfile.TemporaryFile() as out:
        began, peak = time.monotonic(), 0.0
        child = subprocess.Popen([str(word) for word in words], cwd=folder, stdin=subprocess.DEVNULL, stdout=out, stderr=out,
                                 preexec_fn=bounded(written=written), **options)
        while child.poll() is None and time.monotonic() - began < within:
            peak = max(peak, peak_mb(child.pid))
            if meanwhile is not None:
                meanwhile(child)
            time.sleep(LOOK_S)
        took, status = time.monotonic() - began, child.poll()
        if status is None:
            child.kill()
            child.wait()
        out.seek(0)
        return Ran(status, out.read().decode(errors="replace"), took, peak)


def heard(child, within):
    """All that a started program says; one that takes longer is killed, and its status tells."""
    try:
        said = child.communicate(timeout=within)[0]
    except subprocess.TimeoutExpired:
        child.kill()
        said = child.communicate()[0]
    return said.decode(errors="replace")


def environment(folder, **more):
    """What the program is started with: nothing of the person's who runs the checks."""
    plain = {name: os.environ[name] for name in ("PATH", "TMPDIR") if name in os.environ}
    homes = {"HOME": str(folder / "home"), "XDG_CACHE_HOME": str(folder / "cache"), "XDG_CONFIG_HOME": str(folder / "config")}
    return {**plain, "LANG": "C.UTF-8", "TERM": "xterm-256color", **homes, **more}
