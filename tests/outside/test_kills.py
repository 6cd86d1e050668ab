"""Killed and told to end, at random moments and just when something is being written: what stands under a final name is
whole, what was confirmed is kept, and the next run works and clears what the killed one left.

Sources: SIGKILL and SIGTERM as Linux has them; SHA-256 by Python, ZIP by Python.
"""

import random
import shutil
import signal
import subprocess
import time

import pytest

from console import CONTROL_A, ENTER, Console, has_rows
from deliveries import DONE_S, sound_archive, sound_delivery, sound_sheets
from orders import CONFIRMS, RULE, decided, numbered, order, unfinished
from trials import PATIENCE, environment, heard, ran

pytestmark = pytest.mark.attacks

# Kills of each kind: in the usual run, and in the long one.
KILLS, ALL_KILLS = 16, 500
SEED = 19
PICTURES = 12
# Pictures that are counted and kept for the next time, and how long that takes about, in seconds.
SHELF_PICTURES, KEEPS_S = 40, 0.6
# Age from which on what was counted of a picture is kept, in seconds, with some to spare.
NOT_YOUNGER_S = 2.5
# A live table that was asked has written within so long; kills fall into it.
WRITES_S = 0.08


@pytest.fixture
def count(full_size):
    return ALL_KILLS if full_size else KILLS


def killed(words, folder, at, chance, took):
    """Starts a command and ends it: by turns with SIGKILL and SIGTERM, at a random moment and when something is half-written.
    Gives the signal, its words, and what is wrong right after."""
    before = set(unfinished(folder))
    child = subprocess.Popen([str(word) for word in words], cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                             env=environment(folder))
    how = signal.SIGTERM if at % 4 >= 2 else signal.SIGKILL
    end = time.monotonic() + (took * 1.2 if at % 2 else chance.uniform(0, took * 1.1))
    while time.monotonic() < end and child.poll() is None:
        if at % 2 and set(unfinished(folder)) - before:
            time.sleep(chance.uniform(0, took / 10))
            break
        time.sleep(0.0005)
    child.send_signal(how)
    said = heard(child, DONE_S * PATIENCE)
    wrong = after_end(how, child.returncode, set(unfinished(folder)) - before)
    return how, said, [f"{one} ({child.returncode}, {said!r})" for one in wrong]


def after_end(how, status, left):
    """What is wrong right after the end: told to end it leaves nothing half-written, and neither is an abort."""
    wrong = [f"{sorted(left)} is left after SIGTERM"] if how == signal.SIGTERM and left else []
    return wrong + ([f"ended by signal {-status}"] if status is not None and status < 0 and -status != how else [])


def test_accepting(program, tmp_path, trials, count):
    with trials("kill: accept at the prompt") as line:
        folder, chance = order(tmp_path, numbered(PICTURES)), random.Random(SEED)
        promised, tried = {}, {}

        def words(at, reason):
            return [program, "accept", "brief.toml", f"exports/{numbered(PICTURES)[at % PICTURES]}", RULE, "--reason", reason, "--by", "Maren"]

        took = ran(words(0, "first"), folder, DONE_S, env=environment(folder)).seconds
        for at in range(count):
            name, reason = numbered(PICTURES)[at % PICTURES], f"reason {at}"
            how, said, wrong = killed(words(at, reason), folder, at, chance, took)
            tried.setdefault(name, []).append(reason)
            if CONFIRMS in said:
                promised[name], tried[name] = reason, []
            wrong += lost(folder, promised, tried)
            if at % 5 == 4:
                done = ran(words(at, f"after {at}"), folder, DONE_S * PATIENCE, env=environment(folder))
                wrong += done.wrong(DONE_S, {0})
                promised[name], tried[name] = f"after {at}", []
                wrong += [f"the next run leaves {unfinished(folder)}"] if unfinished(folder) else []
            line.none(f"{how.name} {at}", wrong)


def lost(folder, promised, tried):
    """Confirmed decisions that are not there, unless one that was tried since and killed had been written by then."""
    try:
        kept = decided(folder)
    except Exception as error:  # noqa: BLE001 - whatever the parser says, the file is no longer sound
        return [f"the decisions file is no longer sound: {error}"]
    return [f"{name}: {reason!r} was confirmed, {kept.get(name)!r} is kept"
            for name, reason in promised.items() if kept.get(name) not in (reason, *tried.get(name, ()))]


@pytest.mark.parametrize(("name", "more", "sound"), [("deliver", [], sound_delivery), ("deliver --zip", ["--zip"], sound_archive), ("testprint", [], sound_sheets)],
                         ids=["deliver", "deliver-zip", "testprint"])
def test_folders(name, more, sound, program, tmp_path, trials, count):
    """Kills over a command that lays a folder."""
    with trials(f"kill: {name}") as line:
        folder, chance = order(tmp_path, numbered(PICTURES)), random.Random(SEED)
        choose = ["--only", *numbered(3)] if name == "testprint" else []

        def words(into):
            return [program, name.split()[0], "brief.toml", "exports", *choose, "--into", into, *more]

        took = ran(words("first"), folder, DONE_S, env=environment(folder)).seconds
        for at in range(count):
            into = folder / f"out{at}"
            how, _, wrong = killed(words(into), folder, at, chance, took)
            wrong += sound(program, into)
            archive = into.with_name(into.name + ".zip")
            if at % 5 == 4 or (into.exists() and "--zip" in more and not archive.exists()):
                # Where the folder stands already, only what is missing beside it can be done.
                again = into if not into.exists() or ("--zip" in more and not archive.exists()) else folder / f"again{at}"
                done = ran(words(again), folder, DONE_S * PATIENCE, env=environment(folder))
                wrong += [f"the next run: {one}" for one in done.wrong(DONE_S, {0}) + sound(program, again)]
                wrong += ["the next run does not finish it"] if not again.exists() or ("--zip" in more and not again.with_name(again.name + ".zip").exists()) else []
                wrong += [f"the next run leaves {unfinished(folder)}"] if unfinished(folder) else []
                shutil.rmtree(again, ignore_errors=True)
            shutil.rmtree(into, ignore_errors=True)
            archive.unlink(missing_ok=True)
            line.none(f"{how.name} {at}", wrong)


def test_desks(program, tmp_path, trials, count):
    """Kills while the live table writes what was just accepted of every row, and what it keeps of pictures."""
    with trials("kill: the live table's writing") as line:
        chance, kept = random.Random(SEED), tmp_path / "kept"
        for at in range(count):
            folder = order(tmp_path / f"live table{at}", numbered(PICTURES))
            how, wrong = (signal.SIGTERM if at % 4 >= 2 else signal.SIGKILL), []
            with Console(program, folder, XDG_CACHE_HOME=str(kept)) as live_table:
                if live_table.wait(has_rows(PICTURES)) is None:
                    wrong.append("the rows did not show")
                live_table.press("a", "meant so", CONTROL_A)
                if live_table.wait(lambda text: "Accept this" in text and "meant so" in text) is None:
                    wrong.append("the pane did not show")
                live_table.write(ENTER)
                end = time.monotonic() + (WRITES_S if at % 2 else chance.uniform(0, WRITES_S))
                while time.monotonic() < end and not (at % 2 and unfinished(folder)):
                    time.sleep(0.0002)
                text = live_table.text()
                taken, confirmed = "Accept this" not in text, f"{PICTURES} accepted" in text
                live_table.child.send_signal(how)
                ended = live_table.ended()
                wrong += [] if ended.status is not None else ["it does not end"]
                wrong += after_end(how, ended.status, unfinished(folder))
            try:
                there = len(decided(folder))
            except Exception as error:  # noqa: BLE001
                there = None
                wrong.append(f"the decisions file is no longer sound: {error}")
            if there not in (0, PICTURES):
                wrong.append(f"{there} of {PICTURES} decisions of one moment are kept")
            # Told to end, it first keeps what was decided (the pane is closed then); killed, only what it had confirmed.
            if there != PICTURES and (confirmed or (taken and how == signal.SIGTERM)):
                wrong.append(f"{there} of {PICTURES} are kept after {'a confirmation' if confirmed else how.name}")
            words = [program, "accept", "brief.toml", f"exports/{numbered(1)[0]}", RULE, "--reason", "after it", "--by", "Maren"]
            wrong += ran(words, folder, DONE_S * PATIENCE, env=environment(folder)).wrong(DONE_S, {0})
            wrong += [f"the next run leaves {unfinished(folder)}"] if unfinished(folder) else []
            line.none(f"{how.name} {at}", wrong, megabytes=ended.megabytes)
            shutil.rmtree(folder)


def test_calibrated(program, tmp_path, trials, count):
    """Kills over what is noted in the person's own folder."""
    with trials("kill: calibrated") as line:
        folder, chance = tmp_path, random.Random(SEED)
        words = [program, "calibrated", "today"]
        took = ran(words, folder, DONE_S, env=environment(folder)).seconds
        own = folder / "config" / "plateside"
        for at in range(count):
            child = subprocess.Popen([str(word) for word in words], cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment(folder))
            time.sleep(chance.uniform(0, took * 1.1))
            child.kill()
            child.wait(DONE_S)
            wrong = []
            if at % 5 == 4:
                wrong = ran(words, folder, DONE_S * PATIENCE, env=environment(folder)).wrong(DONE_S * PATIENCE, {0})
                wrong += [f"the next run leaves {unfinished(own)}"] if unfinished(own) else []
            line.none(f"{at}", wrong)


def test_shelf(program, tmp_path, trials, count):
    """Kills while the live table keeps what it counts of pictures: the next one shows every row. What is left there counts as kept, and
    goes with it once the cache is full."""
    with trials("kill: what is kept of pictures") as line:
        folder, chance = order(tmp_path, numbered(SHELF_PICTURES)), random.Random(SEED)
        evidence = folder / "cache" / "plateside" / "evidence"
        # Younger files are not kept, since their records may not tell the next change.
        time.sleep(NOT_YOUNGER_S)
        for at in range(count):
            shutil.rmtree(evidence, ignore_errors=True)
            with Console(program, folder) as live_table:
                end = time.monotonic() + chance.uniform(0, KEEPS_S)
                while time.monotonic() < end and not (at % 2 and evidence.exists() and unfinished(evidence)):
                    time.sleep(0.0005)
                live_table.child.kill()
            wrong = []
            if at % 5 == 4:
                with Console(program, folder) as live_table:
                    wrong += ["the rows do not show"] if live_table.wait(has_rows(SHELF_PICTURES)) is None else []
                    live_table.press("q")
                    wrong += ["it does not quit"] if live_table.ended().status is None else []
            line.none(f"{at}", wrong)
