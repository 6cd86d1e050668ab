"""What changes while the program works, and what stands in its way: whole, or refused in words; never half, never silent.

Sources: setrlimit(2), rename(2), permissions and SIGTSTP as Linux has them; SHA-256 by coreutils.
"""

import os
import shutil
import signal
import subprocess
import threading
import time

import pytest

from console import CONTROL_A, ENTER, Console, has_rows
from deliveries import DONE_S, sound_archive, sound_delivery, sound_sheets
from orders import BRIEF, CONFIRMS, RULE, decided, lay, numbered, order, picture, unfinished
from trials import PATIENCE, environment, heard, ran

pytestmark = pytest.mark.attacks

PICTURES = 12
TIMES, ALL_TIMES = 6, 60
# Largest file that may be written, in bytes: between what the documents, the pictures and the archive take.
LIMITS = (100, 1_000, 6_000, 20_000, 60_000)
# Deeper than any order: the program looks eight folders deep (DEEPEST_FOLDER).
DEEP = 12
DELIVER = ["deliver", "brief.toml", "exports", "--into"]


@pytest.fixture
def times(full_size):
    return ALL_TIMES if full_size else TIMES


def call(program, folder, *words, **options):
    return ran([program, *words], folder, DONE_S * PATIENCE, env=environment(folder), **options)


def test_two_to_one(program, tmp_path, trials, times):
    with trials("disturbed: two deliveries to one folder") as line:
        folder = order(tmp_path, numbered(PICTURES))
        for at in range(times):
            words = [[program, *DELIVER, f"out{at}", *zipped] for zipped in ([], ["--zip"])]
            both = [subprocess.Popen([str(word) for word in one], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment(folder)) for one in words]
            said = [heard(one, DONE_S * PATIENCE) for one in both]
            statuses = sorted(one.returncode for one in both)
            # The second may also finish what the first began, if it is the same to the byte.
            wrong = [] if statuses in ([0, 2], [0, 0]) and all(said) else [f"they end with {statuses}: {said}"]
            line.none(f"{at}", wrong + sound_archive(program, folder / f"out{at}") + unfinished(folder))


def test_taken_away(program, tmp_path, trials, times):
    """The exports are renamed, or the picture list is replaced, while they are delivered."""
    with trials("disturbed: exports renamed during a delivery") as line:
        folder = order(tmp_path, numbered(PICTURES))
        took = call(program, folder, *DELIVER, "first").seconds
        for at in range(times):
            child = subprocess.Popen([str(program), *DELIVER, f"out{at}"], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment(folder))
            time.sleep(took * at / times)
            (folder / "exports").rename(folder / "elsewhere")
            said = heard(child, DONE_S * PATIENCE)
            (folder / "elsewhere").rename(folder / "exports")
            into = folder / f"out{at}"
            count = len(list((into / "pictures").iterdir())) if into.exists() else 0
            wrong = sound_delivery(program, into) + unfinished(folder)
            if (child.returncode == 0) != (count == PICTURES) or count not in (0, PICTURES) or not said.strip():
                wrong.append(f"{count} pictures and status {child.returncode}: {said[-150:]}")
            line.none(f"{at}", wrong)


class Often:
    """Does something again and again for as long as this lives."""

    def __init__(self, act, pause):
        self.act, self.pause, self.goes, self.times = act, pause, True, 0
        self.thread = threading.Thread(target=self._go, daemon=True)
        self.thread.start()

    def _go(self):
        while self.goes:
            self.act(self.times)
            self.times += 1
            time.sleep(self.pause)

    def stop(self):
        self.goes = False
        self.thread.join()


def swapped(path, content):
    aside = path.with_name(f".{path.name}.aside")
    aside.write_bytes(content)
    os.replace(aside, path)


def test_churned(program, tmp_path, trials, times):
    with trials("disturbed: exports and brief written all the time") as line:
        folder = order(tmp_path / "churned", numbered(PICTURES))
        often = Often(lambda at: swapped(folder / "exports" / numbered(PICTURES)[at % PICTURES], picture(1000 + at)), 0.004)
        try:
            for at in range(times):
                done = call(program, folder, *DELIVER, f"out{at}")
                line.none(f"delivery {at}", done.wrong(DONE_S * PATIENCE, {0, 1, 2}) + sound_delivery(program, folder / f"out{at}") + unfinished(folder), done.seconds)
        finally:
            often.stop()
        folder = order(tmp_path / "stormed", numbered(PICTURES))
        with Console(program, folder) as live_table:
            live_table.wait(has_rows(PICTURES))
            often = Often(lambda at: swapped(folder / "brief.toml", f"{BRIEF}# {at}\n".encode()), 0.01)
            try:
                live_table.press("a", "meant so", CONTROL_A, ENTER)
                shown = live_table.wait(lambda text: f"{PICTURES} accepted" in text)
                line.that("decisions under a brief that is saved all the time", shown is not None and len(decided(folder)) == PICTURES, live_table.text()[-220:], shown or 0)
                line.that("its keys", live_table.helps() is not None)
            finally:
                often.stop()


def test_limited(program, tmp_path, trials):
    """No file may be larger than so much: as a full disk, at every place of what is written."""
    with trials("disturbed: files that cannot grow") as line:
        folder = order(tmp_path, numbered(PICTURES))
        writers = {"deliver": [*DELIVER, "out"], "deliver --zip": [*DELIVER, "out", "--zip"],
                   "testprint": ["testprint", "brief.toml", "exports", "--only", "p00000.jpg", "--into", "sheets"],
                   "accept": ["accept", "brief.toml", "exports/p00000.jpg", RULE, "--reason", "meant so", "--by", "Maren"]}
        for limit in LIMITS:
            for name, words in writers.items():
                done = call(program, folder, *words, written=limit)
                wrong = done.wrong(DONE_S * PATIENCE, {0, 2}) + unfinished(folder)
                wrong += sound_archive(program, folder / "out") + sound_sheets(program, folder / "sheets")
                if done.status != 0 and ((folder / "sheets").exists() or (name == "deliver" and (folder / "out").exists())):
                    wrong.append("something was laid all the same")
                if (CONFIRMS in done.said) != bool(decided(folder)):
                    wrong.append(f"it says {done.said[-80:]!r}, and {len(decided(folder))} stand")
                line.none(f"{name}, {limit} bytes", wrong)
                for left in ("out", "sheets"):
                    shutil.rmtree(folder / left, ignore_errors=True)
                for left in ("out.zip", "brief.decisions.toml"):
                    (folder / left).unlink(missing_ok=True)


def test_not_kept(program, tmp_path, trials):
    """Decisions that cannot be kept, at once before quitting: words on the terminal that stays, and a status."""
    with trials("disturbed: decisions that cannot be kept") as line:
        for name in ("write-protected", "broken", "a folder"):
            folder = order(tmp_path / f"{line.tried}", numbered(2))
            file = folder / "brief.decisions.toml"
            if name == "a folder":
                file.mkdir()
            else:
                file.write_text("version = 1\n", encoding="utf-8")
            with Console(program, folder) as live_table:
                live_table.wait(lambda text: "p00001.jpg" in text and "reading" not in text and "to check" not in text)
                live_table.press("a", "meant so")
                if name == "write-protected":
                    file.chmod(0o444)
                elif name == "broken":
                    file.write_text("version = [\n", encoding="utf-8")
                live_table.write(ENTER + b"q")
                ended = live_table.ended()
                if ended.status is None:
                    # It stays open to say so.
                    said = live_table.text()
                    live_table.press("q")
                    ended = live_table.ended()
                else:
                    # What is said once the terminal is given back.
                    said = live_table.told().decode(errors="replace").rsplit("\x1b[?1049l", 1)[-1]
                wrong = [] if ended.status == 2 else [f"it ends with {ended.status}"]
                wrong += [] if "kept" in said or "brief.decisions.toml" in said else ["it is silent about it"]
                line.none(name, wrong)


def test_replaced(program, tmp_path, trials):
    """Another picture under the same name, between the reason and Enter: nothing stands of what nobody has seen."""
    with trials("disturbed: a picture replaced while its reason is typed") as line:
        folder = order(tmp_path, numbered(2))
        with Console(program, folder) as live_table:
            live_table.wait(has_rows(2))
            live_table.press("a", "meant so")
            lay(folder / "exports" / "p00000.jpg", picture(900))
            # Longer than the live table waits before it reads a new export.
            time.sleep(3)
            live_table.press(ENTER)
            time.sleep(1)
            text = live_table.text()
            line.that("the new one is not accepted", "2 WARN" in text or "Accept a finding" in text, text[-300:])


def test_stopped(program, tmp_path, trials):
    """Ctrl-Z while it writes, then continued, or told to end."""
    with trials("disturbed: suspended while it writes") as line:
        for how in (signal.SIGCONT, signal.SIGTERM):
            folder = order(tmp_path / f"{how}", numbered(PICTURES))
            with Console(program, folder) as live_table:
                live_table.wait(has_rows(PICTURES))
                live_table.press("a", "meant so", CONTROL_A)
                live_table.write(ENTER + b"\x1a")
                time.sleep(1)
                live_table.child.send_signal(how)
                live_table.child.send_signal(signal.SIGCONT)
                if how == signal.SIGCONT:
                    line.that("it goes on", live_table.helps() is not None)
                    live_table.press("q")
                ended = live_table.ended()
                line.that(f"{how.name}: it ends", ended.status is not None)
                line.that(f"{how.name}: all is kept", len(decided(folder)) == PICTURES, len(decided(folder)))


def test_where(program, tmp_path, trials):
    """Places that are told, or told not to be used."""
    with trials("disturbed: places") as line:
        folder = order(tmp_path / "inside", numbered(2), "subfolders = true\n" + BRIEF)
        done = call(program, folder, *DELIVER, "exports/out")
        again = call(program, folder, "check", "brief.toml", "exports")
        line.that("a delivery among the exports is refused, or no picture of the next check", not (folder / "exports" / "out").exists() or again.status == 0,
                  f"{done.status}, then check {again.status}")
        folder = order(tmp_path / "deep", numbered(2), "subfolders = true\n" + BRIEF)
        deep = folder / "exports"
        for at in range(DEEP):
            deep /= f"d{at}"
            deep.mkdir()
            lay(deep / f"q{at}.jpg", picture(100 + at))
        done = call(program, folder, *DELIVER, "out")
        laid = len(list((folder / "out" / "pictures").iterdir())) if (folder / "out").exists() else 0
        line.that("folders deeper than it looks are told", laid == DEEP + 2 or (laid == 0 and done.status in (1, 2)), f"{laid} of {DEEP + 2}, status {done.status}")
        folder = order(tmp_path / "by-link", numbered(2))
        (folder / "links").mkdir()
        (folder / "links" / "brief.toml").symlink_to("../brief.toml")
        call(program, folder, "accept", "links/brief.toml", "exports/p00000.jpg", RULE, "--reason", "by the link", "--by", "Maren")
        listed = call(program, folder, "accept", "brief.toml", "--list")
        line.that("a brief and its link have the same decisions", "by the link" in listed.said, listed.said)
