"""Every file that the program reads, being none: a link to a device, a FIFO without a writer, a folder, a link to nowhere or to
itself, a file that may not be read, one without an end, one that grows. Each command says so in time, in words, within bounds.

Sources: symlink(7), fifo(7), zero(4) and sparse files as Linux has them.
"""

import os
import re
import shutil
import threading
import time

import pytest

from console import DRAWS_S, Console, has_rows
from orders import BRIEF, OTHERS_OFF, RULE, SRGB, lay, numbered, order, picture
from programs import run
from trials import ANSWER_S, MOST_MB, PATIENCE, environment, ran

pytestmark = pytest.mark.attacks

PICTURES = 4
# A file without an end: zeros that take no room on the disk.
VAST_BYTES = 8 << 30
# A growing file gets so much more each time, up to so much: far above every bound of the program.
GROWS_BYTES, GROWN_BYTES, GROWS_S = 1 << 20, 100 << 20, 0.005
NOBODY = 65534
# Age from which on what was counted of a picture is kept, in seconds, with some to spare.
NOT_YOUNGER_S = 2.5
LIST = "name,picture,size\nfirst,p00000.jpg,20 x 15 mm\nsecond,p00001.jpg,20 x 15 mm\n"
ACCEPTED = "# Decided by hand.\nversion = 1\n"
# What tells a person on the live table that a file is none.
SAYS_SO = re.compile(r"cannot|could not|not a |no file|not permitted|is larger than|a folder|a device|a pipe|a link|is gone|is not there|no regular|"
                     r"too large|too long|too many|FIFO|in a circle|nowhere|no such file|no permission")
# What the commands read: files of an order by their names, with what stands in them otherwise.
FILES = {
    "the brief": "brief.toml", "the list of prints": "prints.csv", "the decisions": "brief.decisions.toml", "the paper's profile": "paper.icc",
    "the settings": "config/plateside/settings.toml", "the checksums": "earlier/SHA256SUMS", "the record": "earlier/delivery.json",
    "a picture": "exports/p00001.jpg", "a laid picture": "earlier/pictures/p00001.jpg", "a sub-folder": "exports/sub", "the exports": "exports",
}
PROFILED = {"the paper's profile"}
LISTED = {"the list of prints"}
CHECK = ["check", "brief.toml", "exports"]
ACCEPT = ["accept", "brief.toml", "exports/p00000.jpg", RULE, "--reason", "meant so"]
WATCH = ["watch", "--lines", "--until-quiet", "1s", "brief.toml", "exports"]
DELIVER = ["deliver", "brief.toml", "exports", "--into", "out"]
TESTPRINT = ["testprint", "brief.toml", "exports"]
# Which commands read which file.
READERS = {
    "the brief": [CHECK, DELIVER, ["brief", "show", "brief.toml"], ["brief", "ask", "brief.toml"], [*ACCEPT, "--by", "Maren"], WATCH, TESTPRINT,
                  ["sizes", "exports", "--brief", "brief.toml"], ["guide", "brief.toml", "--into", "frames"], ["subject", "brief.toml", "exports/p00000.jpg"]],
    "the list of prints": [CHECK, DELIVER, ["brief", "show", "brief.toml"], [*ACCEPT, "--by", "Maren"], WATCH],
    "the decisions": [CHECK, [*ACCEPT, "--by", "Maren"], ["accept", "brief.toml", "--list"], DELIVER, WATCH, TESTPRINT,
                      ["subject", "brief.toml", "exports/p00000.jpg", "--box", "0.2,0.2,0.8,0.8"]],
    "the paper's profile": [CHECK, DELIVER, WATCH],
    "the settings": [ACCEPT],
    "the checksums": [["verify", "earlier"]],
    "the record": [[*DELIVER, "--since", "earlier"]],
    "a picture": [CHECK, DELIVER, ["look", "exports/p00001.jpg"], ["sizes", "exports/p00001.jpg"], WATCH,
                  ["accept", "brief.toml", "exports/p00001.jpg", RULE, "--reason", "meant so", "--by", "Maren"]],
    "a laid picture": [["verify", "earlier"]],
    "a sub-folder": [CHECK, DELIVER, WATCH],
    "the exports": [CHECK, DELIVER, WATCH, ["sizes", "exports"]],
}
# In the usual run the first commands of each, and these kinds on the live table.
FEW, FEW_KINDS = 2, ("a link to /dev/zero", "a FIFO", "a link to nowhere", "vast")
# What stands on the live table when it opens, or comes under an open one.
ON_THE_DESK = ("the brief", "the list of prints", "the decisions", "the paper's profile", "a picture")


@pytest.fixture
def room(open_folder, program):
    """A folder that everybody may enter, with a copy of the program: for somebody who may be refused; root never is."""
    shutil.copy(program, open_folder / "plateside")
    return open_folder


@pytest.mark.parametrize("file", FILES)
def test_no_file(file, room, trials, full_size):
    with trials(f"links: {file} is no file") as line:
        for kind in KINDS:
            for words in READERS[file][: None if full_size else FEW] if makes_sense(file, kind) else []:
                answered(room, line, file, kind, words)


def test_opened(room, trials, full_size):
    with trials("links: the live table opens on them") as line:
        for file in ON_THE_DESK:
            for kind in KINDS if full_size else FEW_KINDS:
                opened(room, line, file, kind)


def test_changed(room, trials, full_size):
    with trials("links: they come under the live table") as line:
        for file in ON_THE_DESK:
            for kind in KINDS if full_size else FEW_KINDS:
                changed(room, line, file, kind)


def makes_sense(file, kind):
    """What is no fault: a folder among the exports, a device that is named like no picture, a long file that takes long to hash."""
    if file in ("a sub-folder", "the exports"):
        return kind in ("not to be read", "a link to nowhere", "a link to itself") or (file == "the exports" and kind not in ("a folder", "vast", "growing"))
    return (file, kind) not in (("a picture", "a folder"), ("a laid picture", "vast"), ("a laid picture", "growing"))


def laid(program, file, place):
    """An order with a delivery of it, before the file is no file."""
    folder = order(place, numbered(PICTURES))
    brief = BRIEF
    if file in LISTED:
        brief = 'prints = "prints.csv"\n[rules]\n' + OTHERS_OFF + '"set.duplicate" = "off"\n'
        (folder / "prints.csv").write_text(LIST, encoding="utf-8")
    if file in PROFILED:
        brief += '[paper]\nprofile = "paper.icc"\n'
        (folder / "paper.icc").write_bytes(SRGB)
    if file == "a sub-folder":
        brief = "subfolders = true\n" + brief
        (folder / "exports" / "sub").mkdir()
        lay(folder / "exports" / "sub" / "p00009.jpg", picture(9))
    (folder / "brief.toml").write_text(brief, encoding="utf-8")
    (folder / "config" / "plateside").mkdir(parents=True)
    (folder / "config" / "plateside" / "settings.toml").write_text('by = "Maren"\n', encoding="utf-8")
    (folder / "brief.decisions.toml").write_text(ACCEPTED, encoding="utf-8")
    if FILES[file].startswith("earlier/"):
        run(program, "deliver", "brief.toml", "exports", "--into", "earlier", cwd=folder, env=environment(folder))
    return folder


def emptied(path):
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


class Growth:
    """A file that grows by comments for as long as this lives."""

    def __init__(self, path):
        self.path, self.goes = path, True
        self.thread = threading.Thread(target=self._grow, daemon=True)
        self.thread.start()

    def _grow(self):
        more, grown = b"# and so on\n" * (GROWS_BYTES // 12), 0
        with open(self.path, "ab") as file:
            while self.goes and grown < GROWN_BYTES:
                grown += file.write(more)
                time.sleep(GROWS_S)

    def stop(self):
        self.goes = False
        self.thread.join()
        if self.path.exists():
            os.truncate(self.path, 0)


def linked(path, target):
    """Steps into the file's place at once, as whoever swaps a link does."""
    aside = path.with_name(path.name + ".aside")
    os.symlink(target, aside)
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    os.replace(aside, path)


def fifo(path):
    emptied(path)
    os.mkfifo(path)


def linked_fifo(path):
    os.mkfifo(path.with_name(path.name + ".pipe"))
    linked(path, path.name + ".pipe")


def folder_instead(path):
    emptied(path)
    path.mkdir()


def vast(path):
    emptied(path)
    with open(path, "wb") as file:
        file.truncate(VAST_BYTES)


KINDS = {
    "a link to /dev/zero": lambda path: linked(path, "/dev/zero"), "a FIFO": fifo, "a link to a FIFO": linked_fifo, "a folder": folder_instead,
    "a link to nowhere": lambda path: linked(path, "nowhere"), "a link to itself": lambda path: linked(path, path.name),
    "not to be read": lambda path: path.chmod(0), "vast": vast, "growing": lambda path: Growth(path),
}


def statuses(file, kind):
    """What the command may end with. What grows may have been small enough when it was read; settings may be away; a profile that
    cannot be used is a warning."""
    if kind == "growing" or (file == "the settings" and kind == "a link to nowhere") or file in PROFILED:
        return {0, 1, 2}
    return {1, 2}


def answered(room, line, file, kind, words):
    folder = laid(room / "plateside", file, room / f"{line.tried}")
    options = {}
    if kind == "not to be read" and os.geteuid() == 0:
        options = {"user": NOBODY, "group": NOBODY, "extra_groups": []}
        for path in [folder, *folder.rglob("*")]:
            path.chmod(0o777 if path.is_dir() else 0o666)
    growth = KINDS[kind](folder / FILES[file])
    within = ANSWER_S * PATIENCE
    done = ran([room / "plateside", *words], folder, within, env=environment(folder), **options)
    if isinstance(growth, Growth):
        growth.stop()
    wrong = done.wrong(within, statuses(file, kind))
    if file in PROFILED and kind != "growing" and "profile cannot be used" not in " ".join(done.said.split()) and words != DELIVER:
        wrong.append("it does not say that the profile cannot be used")
    if (folder / "out").exists() and 0 not in statuses(file, kind):
        wrong.append("a delivery was laid all the same")
    line.none(f"{file} is {kind}: {' '.join(words)}", wrong, done.seconds, done.megabytes)
    if kind == "not to be read":
        (folder / FILES[file]).chmod(0o700)
    shutil.rmtree(folder)


def live_table_says(live_table, wrong, file):
    """What the live table does once a file is none: it says so, or ends with words; its keys live; it quits."""
    says = (lambda text: " FIX" in text or SAYS_SO.search(text)) if file == "a picture" else SAYS_SO.search
    took = live_table.wait(says, ANSWER_S * PATIENCE)
    ended = live_table.child.poll()
    if took is None and (ended is None or not SAYS_SO.search(live_table.told().decode(errors="replace"))):
        wrong.append(f"the live table is silent about it: {' '.join(live_table.text().split())[:150]}")
    if ended is None:
        if live_table.helps(DRAWS_S * PATIENCE) is None:
            wrong.append("the keys do not answer")
        live_table.press("q")
        ended = live_table.ended().status
        if ended is None:
            wrong.append("it does not quit")
    if ended is not None and ended not in ((0, 1, 2) if file in PROFILED else (1, 2)):
        wrong.append(f"it ends with {ended}")
    if live_table.peak > MOST_MB:
        wrong.append(f"{live_table.peak:.0f} MB")
    return took or 0


def opened(room, line, file, kind):
    # Root reads everything; what grows has no answer of its own.
    if kind in ("not to be read", "growing") or not makes_sense(file, kind):
        return
    folder = laid(room / "plateside", file, room / f"{line.tried}")
    KINDS[kind](folder / FILES[file])
    wrong = []
    with Console(room / "plateside", folder) as live_table:
        took = live_table_says(live_table, wrong, file)
        line.none(f"{file} is {kind}", wrong, took, live_table.peak)


def changed(room, line, file, kind):
    if kind in ("not to be read", "growing") or not makes_sense(file, kind):
        return
    folder = laid(room / "plateside", file, room / f"{line.tried}")
    wrong = []
    with Console(room / "plateside", folder) as live_table:
        live_table.wait(lambda text: "p00000.jpg" in text and "reading" not in text and "to check" not in text)
        KINDS[kind](folder / FILES[file])
        took = live_table_says(live_table, wrong, file)
        line.none(f"{file} becomes {kind}", wrong, took, live_table.peak)


def test_kept(program, tmp_path, trials):
    """What the live table keeps in the person's cache being no file: it is counted anew, as quickly as ever, and nothing hangs."""
    with trials("links: what is kept in the cache is no file") as line:
        folder = order(tmp_path / "kept", numbered(PICTURES))
        # Files younger than that are not kept, since their records may not tell the next change.
        time.sleep(NOT_YOUNGER_S)
        for at, kind in enumerate(kind for kind in KINDS if kind not in ("not to be read", "growing")):
            cache = tmp_path / f"cache-{at}"
            with Console(program, folder, XDG_CACHE_HOME=str(cache)) as live_table:
                live_table.wait(has_rows(PICTURES))
                # What was counted is put on the shelf after the row is shown.
                time.sleep(0.5)
                live_table.press("q")
                live_table.ended()
            for path in sorted((cache / "plateside" / "evidence").rglob("*")):
                if path.is_file():
                    KINDS[kind](path)
            with Console(program, folder, XDG_CACHE_HOME=str(cache)) as live_table:
                took = live_table.wait(has_rows(PICTURES), ANSWER_S * PATIENCE)
                wrong = [] if took is not None else ["the rows do not show"]
                wrong += [] if live_table.helps() is not None else ["the keys do not answer"]
                live_table.press("q")
                wrong += [] if live_table.ended().status is not None else ["it does not quit"]
                wrong += [f"{live_table.peak:.0f} MB"] if live_table.peak > MOST_MB else []
                line.none(kind, wrong, took or 0, live_table.peak)
