"""Several who decide at once: two live tables and the prompt, live tables that open while another closes, and one that is stopped in the
middle of its writing. No decision that was confirmed is lost, and whoever may not decide says so.

Sources: SIGSTOP and SIGCONT as Linux has them.
"""

import signal
import subprocess
import time

import pytest

from console import DOWN, ENTER, ESCAPE, SHOWS_S, Console, has_rows
from orders import CONFIRMS, RULE, decided, numbered, order, unfinished
from trials import PATIENCE, environment, heard

pytestmark = pytest.mark.attacks

ROUNDS, ALL_ROUNDS = 10, 200
STOPS, ALL_STOPS = 2, 40
# Rows of one order: each round decides about three.
ROUNDS_AN_ORDER = 10
# Every so many rounds the live table that was first is closed while another one opens.
CHANGES = 5
# Once the live table that decides is closed, another one has taken over within so long, in seconds. No source.
TAKES_OVER_S = 3
# How long a stopped one stands still: longer than anybody would wait for a lock by mistake.
STANDS_STILL_S = 4
# Whoever waits for a lock may wait for as long as it is held, and then needs as long as ever.
WAITS_S = STANDS_STILL_S + 5


@pytest.fixture
def stops(full_size):
    return ALL_STOPS if full_size else STOPS


def test_two_live_tables_and_the_prompt(program, tmp_path, trials, full_size):
    rounds = ALL_ROUNDS if full_size else ROUNDS
    with trials("together: two live tables and the prompt") as line:
        for first in range(0, rounds, ROUNDS_AN_ORDER):
            at_once(program, tmp_path / f"order{first}", line, first, min(ROUNDS_AN_ORDER, rounds - first))


def test_beside_one_that_stands_still(program, tmp_path, trials, stops):
    with trials("together: beside one that stands still") as line:
        for at in range(stops):
            beside_a_prompt(program, tmp_path / f"order{at}", line, at)


def test_a_live_table_beside_one_that_stands_still(program, tmp_path, trials, stops):
    with trials("together: a live table beside one that stands still") as line:
        for at in range(stops):
            beside_a_live_table(program, tmp_path / f"order{at}", line, at)


def accept(program, folder, name, reason):
    words = [program, "accept", "brief.toml", f"exports/{name}", RULE, "--reason", reason, "--by", "Maren"]
    return subprocess.Popen([str(word) for word in words], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment(folder))


def asked_of(text):
    """The picture that the pane asks about."""
    title = text.split("Accept a finding for ", 1)
    return title[1].split()[0] if len(title) > 1 else None


def asked(live_table, row, reason, wrong):
    """Types a reason for a row: its picture and the reason, ready to be accepted; no picture where the live table says that it may not decide."""
    # From the first row on, since a live table that opened later is not where the others are.
    live_table.press(ESCAPE, b"\x1b[H")
    live_table.write(DOWN * row)
    live_table.press("a")
    if live_table.wait(lambda text: "Accept a finding" in text or "Another live table" in text) is None:
        wrong.append("the pane does not open")
        return None, reason
    if "Another live table" in live_table.text():
        live_table.press(ESCAPE)
        return None, reason
    live_table.write(reason.encode())
    live_table.wait(lambda text: reason in text)
    return asked_of(live_table.text()), reason


def at_once(program, place, line, first, rounds):
    names = numbered(3 * rounds)
    folder = order(place, names)
    live_tables, promised = [], {}
    try:
        for _ in range(2):
            live_tables.append(Console(program, folder, size=(120, 30)))
            live_tables[-1].wait(lambda text: f"{len(names)} WARN" in text and "reading" not in text)
        for at in range(rounds):
            wrong, ready = [], []
            if at % CHANGES == CHANGES - 1:
                live_tables[0].write(b"q")
                live_tables.append(Console(program, folder, size=(120, 30)))
                left = live_tables.pop(0)
                wrong += [] if left.ended().status is not None else ["a live table does not quit"]
                left.close()
                live_tables[-1].wait(lambda text: "p00000" in text and "reading" not in text and "to check" not in text)
            end = time.monotonic() + TAKES_OVER_S * PATIENCE
            while not ready and not wrong and time.monotonic() < end:
                for which, live_table in enumerate(live_tables):
                    picture, reason = asked(live_table, 3 * at + which, f"r{first + at}d{which}", wrong)
                    if picture is not None:
                        ready.append((live_table, picture, reason))
            prompt = accept(program, folder, names[3 * at + 2], f"r{first + at}p")
            for live_table, _, _ in ready:
                live_table.write(ENTER)
            said = heard(prompt, SHOWS_S * PATIENCE)
            if CONFIRMS in said:
                promised[names[3 * at + 2]] = f"r{first + at}p"
            elif prompt.returncode == 0 or not said.strip():
                wrong.append(f"the prompt neither accepts nor says why not: {prompt.returncode} {said!r}")
            began = time.monotonic()
            for live_table, picture, reason in ready:
                # The pane is closed and the row says who accepted it and why.
                if live_table.wait(lambda text, reason=reason: "Accept a finding" not in text and reason in text) is None:
                    wrong.append(f"the live table gives no sign of {reason}: {live_table.text()[-220:]}")
                else:
                    promised[picture] = reason
            if not ready:
                wrong.append(f"no live table decides within {TAKES_OVER_S * PATIENCE} s")
            wrong += lost(folder, promised)
            line.none(f"round {first + at}", wrong, seconds=time.monotonic() - began)
    finally:
        for live_table in live_tables:
            live_table.close()


def lost(folder, promised):
    try:
        kept = decided(folder)
    except Exception as error:  # noqa: BLE001 - whatever the parser says, the file is no longer sound
        return [f"the decisions file is no longer sound: {error}"]
    return [f"{reason!r} of {name} was confirmed and is lost" for name, reason in promised.items() if kept.get(name) != reason]


def stopped(program, folder, names):
    """A prompt that stands still in the middle of its writing, and its reason; None where it was too quick each time."""
    for name in names:
        child = accept(program, folder, name, f"still {name}")
        end = time.monotonic() + SHOWS_S
        while child.poll() is None and not unfinished(folder) and time.monotonic() < end:
            pass
        if child.poll() is None:
            child.send_signal(signal.SIGSTOP)
            if unfinished(folder):
                return child, name, f"still {name}"
            child.send_signal(signal.SIGCONT)
        heard(child, SHOWS_S)
    return None


def told(process):
    """Whether a prompt's words confirm."""
    return CONFIRMS in heard(process, SHOWS_S * PATIENCE)


def beside_a_prompt(program, place, line, at):
    names = numbered(30)
    folder = order(place, names)
    still = stopped(program, folder, names[2:])
    if still is None:
        line.that("one was stopped in the middle of its writing", False)
        return
    first, name, reason = still
    began, promised = time.monotonic(), {}
    second = accept(program, folder, names[0], "second")
    while second.poll() is None and time.monotonic() - began < STANDS_STILL_S:
        time.sleep(0.01)
    first.send_signal(signal.SIGCONT)
    if told(first):
        promised[name] = reason
    wrong = []
    if told(second):
        promised[names[0]] = "second"
    elif second.returncode == 0:
        wrong.append("the second neither accepts nor says why not")
    line.none(f"stop {at}", wrong + lost(folder, promised), seconds=time.monotonic() - began)


def beside_a_live_table(program, place, line, at):
    """A live table decides and quits while somebody else stands still in the middle of writing: it waits, or says what was not kept."""
    names = numbered(30)
    folder = order(place, names)
    with Console(program, folder, size=(120, 30)) as live_table:
        live_table.wait(has_rows(len(names)))
        live_table.press("a", "by the live table")
        live_table.wait(lambda text: asked_of(text) and "by the live table" in text)
        picture = asked_of(live_table.text())
        still = stopped(program, folder, names[2:])
        if still is None:
            line.that("one was stopped in the middle of its writing", False)
            return
        first, name, reason = still
        began = time.monotonic()
        live_table.press(ENTER, "q")
        while live_table.child.poll() is None and time.monotonic() - began < STANDS_STILL_S:
            time.sleep(0.01)
        first.send_signal(signal.SIGCONT)
        promised = {name: reason} if told(first) else {}
        ended = live_table.ended(WAITS_S * PATIENCE)
        if ended.status is None:
            # It stayed open to say what it waits for: that is over.
            live_table.press("q")
            ended = live_table.ended()
        wrong = [] if ended.status is not None else ["the live table does not end"]
        kept = decided(folder).get(picture) == "by the live table"
        if not kept and ended.status == 0:
            wrong.append("the live table lost a decision and ended with 0")
        if not kept and "by the live table" not in live_table.told().decode(errors="replace")[-2000:] and "not kept" not in live_table.told().decode(errors="replace")[-2000:]:
            wrong.append("the live table lost a decision without a word")
        line.none(f"stop {at}", wrong + lost(folder, promised), seconds=time.monotonic() - began, megabytes=ended.megabytes)
