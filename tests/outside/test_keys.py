"""What hands, mice and windows can do to the live table: pastes of all sizes, terminals that go away, windows of one cell, storms of
keys. The keys stay alive, a pasted line break decides nothing, and the end is an end and no abort.

Sources: bracketed paste and mouse reports as xterm writes them (xterm control sequences), SIGHUP as Linux sends it.
"""

import random
import signal
import time

import pytest

from console import CONTROL_A, CONTROL_C, DOWN, ENDS_S, ENTER, ESCAPE, UP, Console, has_rows
from orders import decided, numbered, order, unfinished
from trials import PATIENCE

pytestmark = pytest.mark.attacks

PICTURES = 12
# Bytes of a paste: a page, which is all that a terminal's line holds (n_tty), and a book's chapter.
PASTES = (4_000, 100_000)
# Longest that a paste may take until the keys answer again, in seconds a paste. No source.
PASTE_S = 5
# Keys of the storm, and so many between two looks at whether they are answered.
KEYS, ALL_KEYS, A_STORM = 1_000, 20_000, 200
SEED = 19
RESIZES, ALL_RESIZES = 100, 1_000
TINY = ((1, 1), (2, 5), (10, 3), (79, 23), (1, 60), (200, 1))
CLOSED, ALL_CLOSED = 2, 20
# Everything that a keyboard and a mouse may send: letters, cursor and function keys, control keys but for Ctrl-C and Ctrl-Z, the
# mouse, a size's report, half a letter, and sequences that mean nothing.
SENT = ([bytes([one]) for one in range(0x20, 0x7F) if one not in b"q"] + [UP, DOWN, b"\x1b[C", b"\x1b[D", b"\x1b[H", b"\x1b[F", b"\x1b[5~", b"\x1b[6~",
        b"\x1b[3~", b"\x1b[2~", b"\x1b[Z", b"\x1bOP", b"\x1b[24~", b"\x1b[1;5A", b"\x1b[1;2P", ESCAPE, ENTER, b"\t", b"\x7f", b"\x00"]
        + [bytes([one]) for one in range(1, 27) if one not in (3, 26)]
        + [b"\x1b[<0;5;5M", b"\x1b[<0;5;5m", b"\x1b[<64;90;9M", b"\x1b[<65;3;3M", b"\x1b[<32;60;12M", b"\x1b[<35;99999;99999M", b"\x1b[M !!",
           "ê".encode(), "\U0001f353".encode(), b"\xc3", b"\xff", b"\x1b[I", b"\x1b[O", b"\x1b[8;1;1t", b"\x1b[999999999999999999999A", b"\x1b[;;;;m",
           b"\x1b]11;rgb:ffff/ffff/ffff\x1b\\", b"\x1b[?62;4c", b"\x1b_Gi=31;OK\x1b\\", b"\x1b[200~h\r\x1b[201~", b"\x1bx"])


@pytest.fixture
def live_table_on(program, tmp_path):
    """A live table on an order of its own, by a name: the folder and the live table."""

    def opened(name, **options):
        folder = order(tmp_path / name, numbered(PICTURES))
        return folder, Console(program, folder, **options)

    return opened


def laid(folder):
    """What lies beside the brief that nobody laid there before."""
    return sorted(path.name for path in folder.iterdir() if path.name not in ("brief.toml", "exports", "cache", "home", "config"))


def test_alternates(live_table_on, trials):
    """Alt and a key, at once after the live table opened: an escape and a letter, as an answer of the terminal begins that is still expected then."""
    with trials("keys: Alt and a key") as line:
        for key in (b"x", b"?", b"j", b"q", b"1", b"[", b"]", b"_", b"P", b"\x7f", ENTER, ESCAPE, "ê".encode()):
            _, live_table = live_table_on(f"alt-{line.tried}")
            with live_table:
                live_table.wait(has_rows(PICTURES))
                for _ in range(3):
                    live_table.write(ESCAPE + key)
                    time.sleep(0.05)
                took = live_table.helps() if live_table.child.poll() is None else None
                status = live_table.child.poll()
                line.that(f"Alt and {key!r}", took is not None or (key == b"q" and status in (0, 1)), f"status {status}: {live_table.told()[-80:]!r}", took or 0)


def test_pastes(live_table_on, trials):
    """Large pastes wherever something can be typed, marked as pastes by the terminal and not."""
    places = {"the table": b"", "a reason": b"a", "the filter": b"/", "the box": b"b", "the help": b"?", "the delivery": b"h"}
    with trials("keys: large pastes") as line:
        for place, key in places.items():
            for size in PASTES:
                for marked in (True, False):
                    folder, live_table = live_table_on(f"paste-{place}-{size}-{marked}".replace(" ", ""))
                    with live_table:
                        live_table.wait(has_rows(PICTURES))
                        live_table.press(*([key] if key else []))
                        words = ("plum tart on slate " * (size // 19 + 1))[:size]
                        began = time.monotonic()
                        taken = live_table.paste(words, PASTE_S * PATIENCE) if marked else live_table.write(words.encode(), PASTE_S * PATIENCE)
                        wrong = [] if taken >= size else [f"it took {taken} of {size} bytes"]
                        if live_table.helps() is None and live_table.child.poll() is None:
                            wrong.append("the keys do not answer")
                        if live_table.child.poll() is not None:
                            # Letters without marks are keys, and q is none in these words.
                            wrong.append(f"the live table ended with {live_table.child.returncode}")
                        if decided(folder):
                            wrong.append("something was accepted")
                        line.none(f"{size} bytes into {place}, {'as a paste' if marked else 'as keys'}", wrong, time.monotonic() - began, live_table.peak)


def test_breaks(live_table_on, trials):
    """Line breaks in what a person pastes: no command, no decision, no delivery."""
    with trials("keys: pasted line breaks") as line:
        for name, keys, words in (("a note on the table", [], "h\n"), ("a note on the table", [], "amy words\n"), ("quit on the table", [], "q"),
                                  ("lines into a reason", ["a"], "one\ntwo\n"), ("lines into the filter", ["/"], "p0\nh\n\n"),
                                  ("lines into the delivery", ["h"], "yes\n"), ("numbers into the box", ["b"], "12.5 %\n"),
                                  ("control keys into a reason", ["a"], "one\x03\x01\n")):
            folder, live_table = live_table_on(f"break-{line.tried}")
            with live_table:
                live_table.wait(has_rows(PICTURES))
                live_table.press(*keys)
                live_table.paste(words)
                time.sleep(0.5)
                wrong = [] if live_table.child.poll() is None else [f"the live table ended with {live_table.child.returncode}"]
                wrong += ["a decision was made"] if decided(folder) else []
                wrong += [f"{one} was laid" for one in laid(folder) if one != "brief.decisions.toml"]
                wrong += [] if wrong or live_table.helps() is not None else ["the keys do not answer"]
                line.none(f"{name}: {words!r}", wrong)


def test_closed(live_table_on, trials, full_size):
    """The window is closed at every place, also with SIGHUP ignored: the live table ends by itself and leaves nothing half-made."""
    moments = {"at once": (0.0, []), "on the table": (None, []), "in a reason": (None, ["a", "wor"]), "as it accepts": (None, ["a", "so", CONTROL_A, ENTER]),
               "in the delivery": (None, ["h"]), "as it delivers": (None, ["h", ENTER]), "in the box": (None, ["b"])}
    with trials("keys: the terminal is closed") as line:
        for at in range(ALL_CLOSED if full_size else CLOSED):
            for moment, (wait, keys) in moments.items():
                nohup = at % 2 == 1
                folder, live_table = live_table_on(f"closed-{at}-{moment}".replace(" ", ""), nohup=nohup)
                with live_table:
                    if wait is None:
                        live_table.wait(has_rows(PICTURES))
                        for key in keys:
                            live_table.write(key if isinstance(key, bytes) else key.encode())
                            time.sleep(0.1 if key != keys[-1] else 0.005 * at)
                    live_table.hang_up()
                    ended = live_table.ended()
                    wrong = [] if ended.status is not None else [f"it still runs after {ENDS_S * PATIENCE:.0f} s"]
                    if ended.status in (101, -signal.SIGABRT, -signal.SIGSEGV, -signal.SIGBUS):
                        wrong.append(f"it ended in an abort ({ended.status})")
                    live_table.close()
                wrong += [f"{unfinished(folder)} is left"] if unfinished(folder) else []
                wrong += [f"{one} has no checksums" for one in laid(folder) if (folder / one).is_dir() and not (folder / one / "SHA256SUMS").exists()]
                if moment == "as it accepts" and len(decided(folder)) not in (0, PICTURES):
                    wrong.append(f"{len(decided(folder))} of {PICTURES} decisions")
                line.none(f"{moment}{', SIGHUP ignored' if nohup else ''}", wrong, ended.seconds, ended.megabytes)


def test_windows(live_table_on, trials, full_size):
    """Windows of a cell, and a storm of sizes."""
    with trials("keys: tiny windows and storms of sizes") as line:
        chance = random.Random(SEED)
        for keys in ([], ["a"], ["h"], ["b"], ["?"], ["p"], ["l"], ["v", "v"], ["/"]):
            _, live_table = live_table_on(f"windows-{line.tried}")
            with live_table:
                live_table.wait(has_rows(PICTURES))
                live_table.press(*keys)
                wrong = []
                for size in TINY:
                    live_table.resize(*size)
                    live_table.press(DOWN, "d")
                    if live_table.child.poll() is not None:
                        wrong.append(f"it ended with {live_table.child.returncode} at {size}")
                        break
                for _ in range((ALL_RESIZES if full_size else RESIZES) if not wrong else 0):
                    live_table.resize(chance.randint(1, 220), chance.randint(1, 70))
                    time.sleep(0.002)
                live_table.resize(100, 30)
                took = live_table.helps()
                wrong += [] if took is not None else ["the keys do not answer"]
                line.none(f"after {keys}", wrong, took or 0, live_table.peak)
        for size in TINY:
            _, live_table = live_table_on(f"begins-{size[0]}-{size[1]}", size=size)
            with live_table:
                time.sleep(0.5)
                live_table.press("q")
                ended = live_table.ended()
                line.that(f"it opens and quits at {size}", ended.status in (0, 1), ended.status, ended.seconds)


def test_storm(live_table_on, trials, full_size):
    """Random keys without a pause; then Esc and help, which must come."""
    with trials("keys: random ones") as line:
        chance, live_table, folder = random.Random(SEED), None, None
        for at in range(0, ALL_KEYS if full_size else KEYS, A_STORM):
            if live_table is None:
                folder, live_table = live_table_on(f"storm{at}")
                live_table.wait(has_rows(PICTURES))
            pressed = [chance.choice(SENT) for _ in range(A_STORM)]
            for key in pressed:
                live_table.write(key)
            wrong, took = [], 0.0
            # What half a letter or half a sequence waits for comes with these.
            live_table.press(ESCAPE, ESCAPE, ESCAPE)
            if live_table.child.poll() is None:
                took = live_table.helps()
                wrong += [] if took is not None else [f"no help after {pressed[-8:]}; the screen: {live_table.text()[-300:]}"]
            elif live_table.child.returncode not in (0, 1):
                wrong.append(f"the live table ended with {live_table.child.returncode}")
            if live_table.child.poll() is None and wrong:
                live_table.press(CONTROL_C)
                wrong += [] if live_table.ended().status is not None else ["nor does Ctrl-C end it"]
            line.none(f"storm {at}", wrong, took or 0, live_table.peak)
            if live_table.child.poll() is not None or wrong:
                live_table.close()
                live_table = None
        if live_table is not None:
            live_table.press(ESCAPE, ESCAPE, "q")
            line.that("it quits after the storm", live_table.ended().status in (0, 1))
            live_table.close()
        line.that("nothing half-written is left", not unfinished(folder))
