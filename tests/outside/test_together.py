"""Several who decide at once: two desks and the prompt, desks that open while another closes, and one that is stopped in the
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
# Every so many rounds the desk that was first is closed while another one opens.
CHANGES = 5
# Once the desk that decides is closed, another one has taken over within so long, in seconds. No source.
TAKES_OVER_S = 3
# How long a stopped one stands still: longer than anybody would wait for a lock by mistake.
STANDS_STILL_S = 4
# Whoever waits for a lock may wait for as long as it is held, and then needs as long as ever.
WAITS_S = STANDS_STILL_S + 5


@pytest.fixture
def stops(full_size):
    return ALL_STOPS if full_size else STOPS


def test_two_desks_and_the_prompt(program, tmp_path, trials, full_size):
    rounds = ALL_ROUNDS if full_size else ROUNDS
    with trials("together: two desks and the prompt") as line:
        for first in range(0, rounds, ROUNDS_AN_ORDER):
            at_once(program, tmp_path / f"order{first}", line, first, min(ROUNDS_AN_ORDER, rounds - first))


def test_beside_one_that_stands_still(program, tmp_path, trials, stops):
    with trials("together: beside one that stands still") as line:
        for at in range(stops):
            beside_a_prompt(program, tmp_path / f"order{at}", line, at)


def test_a_desk_beside_one_that_stands_still(program, tmp_path, trials, stops):
    with trials("together: a desk beside one that stands still") as line:
        for at in range(stops):
            beside_a_desk(program, tmp_path / f"order{at}", line, at)


def accept(program, folder, name, reason):
    words = [program, "accept", "brief.toml", f"exports/{name}", RULE, "--reason", reason, "--by", "Maren"]
    return subprocess.Popen([str(word) for word in words], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment(folder))


def asked_of(text):
    """The picture that the pane asks about."""
    title = text.split("Accept a finding of ", 1)
    return title[1].split()[0] if len(title) > 1 else None


def asked(desk, row, reason, wrong):
    """Types a reason for a row: its picture and the reason, ready to be accepted; no picture where the desk says that it may not decide."""
    # From the first row on, since a desk that opened later is not where the others are.
    desk.press(ESCAPE, b"\x1b[H")
    desk.write(DOWN * row)
    desk.press("a")
    if desk.wait(lambda text: "Accept a finding" in text or "Another desk" in text) is None:
        wrong.append("the pane does not open")
        return None, reason
    if "Another desk" in desk.text():
        desk.press(ESCAPE)
        return None, reason
    desk.write(reason.encode())
    desk.wait(lambda text: reason in text)
    return asked_of(desk.text()), reason


def at_once(program, place, line, first, rounds):
    names = numbered(3 * rounds)
    folder = order(place, names)
    desks, promised = [], {}
    try:
        for _ in range(2):
            desks.append(Console(program, folder, size=(120, 30)))
            desks[-1].wait(lambda text: f"{len(names)} WARN" in text and "reading" not in text)
        for at in range(rounds):
            wrong, ready = [], []
            if at % CHANGES == CHANGES - 1:
                desks[0].write(b"q")
                desks.append(Console(program, folder, size=(120, 30)))
                left = desks.pop(0)
                wrong += [] if left.ended().status is not None else ["a desk does not quit"]
                left.close()
                desks[-1].wait(lambda text: "p00000" in text and "reading" not in text and "to check" not in text)
            end = time.monotonic() + TAKES_OVER_S * PATIENCE
            while not ready and not wrong and time.monotonic() < end:
                for which, desk in enumerate(desks):
                    picture, reason = asked(desk, 3 * at + which, f"r{first + at}d{which}", wrong)
                    if picture is not None:
                        ready.append((desk, picture, reason))
            prompt = accept(program, folder, names[3 * at + 2], f"r{first + at}p")
            for desk, _, _ in ready:
                desk.write(ENTER)
            said = heard(prompt, SHOWS_S * PATIENCE)
            if CONFIRMS in said:
                promised[names[3 * at + 2]] = f"r{first + at}p"
            elif prompt.returncode == 0 or not said.strip():
                wrong.append(f"the prompt neither accepts nor says why not: {prompt.returncode} {said!r}")
            began = time.monotonic()
            for desk, picture, reason in ready:
                # The pane is closed and the row says who accepted it and why.
                if desk.wait(lambda text, reason=reason: "Accept a finding" not in text and reason in text) is None:
                    wrong.append(f"the desk gives no sign of {reason}: {desk.text()[-220:]}")
                else:
                    promised[picture] = reason
            if not ready:
                wrong.append(f"no desk decides within {TAKES_OVER_S * PATIENCE} s")
            wrong += lost(folder, promised)
            line.none(f"round {first + at}", wrong, seconds=time.monotonic() - began)
    finally:
        for desk in desks:
            desk.close()


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


def beside_a_desk(program, place, line, at):
    """A desk decides and quits while somebody else stands still in the middle of writing: it waits, or says what was not kept."""
    names = numbered(30)
    folder = order(place, names)
    with Console(program, folder, size=(120, 30)) as desk:
        desk.wait(has_rows(len(names)))
        desk.press("a", "by the desk")
        desk.wait(lambda text: asked_of(text) and "by the desk" in text)
        picture = asked_of(desk.text())
        still = stopped(program, folder, names[2:])
        if still is None:
            line.that("one was stopped in the middle of its writing", False)
            return
        first, name, reason = still
        began = time.monotonic()
        desk.press(ENTER, "q")
        while desk.child.poll() is None and time.monotonic() - began < STANDS_STILL_S:
            time.sleep(0.01)
        first.send_signal(signal.SIGCONT)
        promised = {name: reason} if told(first) else {}
        ended = desk.ended(WAITS_S * PATIENCE)
        if ended.status is None:
            # It stayed open to say what it waits for: that is over.
            desk.press("q")
            ended = desk.ended()
        wrong = [] if ended.status is not None else ["the desk does not end"]
        kept = decided(folder).get(picture) == "by the desk"
        if not kept and ended.status == 0:
            wrong.append("the desk lost a decision and ended with 0")
        if not kept and "by the desk" not in desk.told().decode(errors="replace")[-2000:] and "not kept" not in desk.told().decode(errors="replace")[-2000:]:
            wrong.append("the desk lost a decision without a word")
        line.none(f"stop {at}", wrong + lost(folder, promised), seconds=time.monotonic() - began, megabytes=ended.megabytes)
