"""Killed and told to end, at random moments and just when something is being written: what stands under a final name is
whole, what was confirmed is kept, and the next run works and clears what the killed one left.

Sources: SIGKILL and SIGTERM as Linux has them; SHA-256 by Python, ZIP by Python.
"""

import hashlib
import json
import random
import shutil
import signal
import subprocess
import time
import zipfile

from console import CONTROL_A, ENTER, Console, has_rows
from orders import CONFIRMS, RULE, decided, numbered, order, unfinished
from trials import PATIENCE, environment, heard, ran, trials

# Kills of each kind: in the usual run, and in the long one.
KILLS, ALL_KILLS = 16, 500
SEED = 19
PICTURES = 12
# A command on a dozen small pictures is done within so long. No source; it takes a fiftieth.
DONE_S = 10
# Pictures that are counted and kept for the next time, and how long that takes about, in seconds.
SHELF_PICTURES, KEEPS_S = 40, 0.6
# Age from which on what was counted of a picture is kept, in seconds, with some to spare.
NOT_YOUNGER_S = 2.5
# A desk that was asked has written within so long; kills fall into it.
WRITES_S = 0.08


def run(house):
    count = ALL_KILLS if house.full else KILLS
    accepting(house, count)
    folders(house, count, "deliver", [], sound_handover)
    folders(house, count, "deliver --zip", ["--zip"], sound_archive)
    folders(house, count, "testprint", [], sound_sheets)
    desks(house, count)
    calibrated(house, count)
    shelf(house, count)


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


def accepting(house, count):
    with trials(house, "kill: accept at the prompt") as line:
        folder, chance = order(house.folder("kill-accept"), numbered(PICTURES)), random.Random(SEED)
        promised, latest = {}, {}

        def words(at, reason):
            return [house.program, "accept", "brief.toml", f"exports/{numbered(PICTURES)[at % PICTURES]}", RULE, "--reason", reason, "--by", "Maren"]

        took = ran(words(0, "first"), folder, DONE_S, env=environment(folder)).seconds
        for at in range(count):
            name, reason = numbered(PICTURES)[at % PICTURES], f"reason {at}"
            how, said, wrong = killed(words(at, reason), folder, at, chance, took)
            latest[name] = reason
            if CONFIRMS in said:
                promised[name] = reason
            wrong += lost(folder, promised, latest)
            if at % 5 == 4:
                done = ran(words(at, f"after {at}"), folder, DONE_S * PATIENCE, env=environment(folder))
                wrong += done.wrong(DONE_S, {0})
                promised[name] = latest[name] = f"after {at}"
                wrong += [f"the next run leaves {unfinished(folder)}"] if unfinished(folder) else []
            line.none(f"{how.name} {at}", wrong)


def lost(folder, promised, latest):
    """Confirmed decisions that are not there, or that a decision which was never made took the place of."""
    try:
        kept = decided(folder)
    except Exception as error:  # noqa: BLE001 - whatever the parser says, the file is no longer sound
        return [f"the decisions file is no longer sound: {error}"]
    return [f"{name}: {reason!r} was confirmed, {kept.get(name)!r} is kept"
            for name, reason in promised.items() if kept.get(name) not in (reason, latest.get(name))]


def folders(house, count, name, more, sound):
    """Kills over a command that lays a folder."""
    with trials(house, f"kill: {name}") as line:
        folder, chance = order(house.folder(f"kill-{name.replace(' ', '')}"), numbered(PICTURES)), random.Random(SEED)
        choose = ["--choose", *numbered(3)] if name == "testprint" else []

        def words(into):
            return [house.program, name.split()[0], "brief.toml", "exports", *choose, "--into", into, *more]

        took = ran(words("first"), folder, DONE_S, env=environment(folder)).seconds
        for at in range(count):
            into = folder / f"out{at}"
            how, _, wrong = killed(words(into), folder, at, chance, took)
            wrong += sound(house, into)
            archive = into.with_name(into.name + ".zip")
            if at % 5 == 4 or (into.exists() and "--zip" in more and not archive.exists()):
                # Where the folder stands already, only what is missing beside it can be done.
                again = into if not into.exists() or ("--zip" in more and not archive.exists()) else folder / f"again{at}"
                done = ran(words(again), folder, DONE_S * PATIENCE, env=environment(folder))
                wrong += [f"the next run: {one}" for one in done.wrong(DONE_S, {0}) + sound(house, again)]
                wrong += ["the next run does not finish it"] if not again.exists() or ("--zip" in more and not again.with_name(again.name + ".zip").exists()) else []
                wrong += [f"the next run leaves {unfinished(folder)}"] if unfinished(folder) else []
                shutil.rmtree(again, ignore_errors=True)
            shutil.rmtree(into, ignore_errors=True)
            archive.unlink(missing_ok=True)
            line.none(f"{how.name} {at}", wrong)


def sound_handover(house, into):
    """What is wrong with a handover, by its checksums: nothing where it is whole or not there."""
    if not into.exists():
        return []
    sums = into / "SHA256SUMS"
    if not sums.exists():
        return [f"{into.name} has no SHA256SUMS"]
    wrong = []
    for row in sums.read_text(encoding="utf-8").splitlines():
        digest, name = row.split(maxsplit=1)
        path = into / name.lstrip("*")
        if not path.exists() or hashlib.sha256(path.read_bytes()).hexdigest() != digest:
            wrong.append(f"{into.name}/{name} is not what SHA256SUMS says")
    verified = ran([house.program, "verify", into], into.parent, DONE_S * PATIENCE, env=environment(into.parent))
    return wrong + ([f"verify ends with {verified.status}"] if verified.status != 0 else [])


def sound_archive(house, into):
    archive = into.with_name(into.name + ".zip")
    if not archive.exists():
        return sound_handover(house, into)
    try:
        with zipfile.ZipFile(archive) as opened:
            broken, names = opened.testzip(), {name.split("/", 1)[-1] for name in opened.namelist() if not name.endswith("/")}
    except (zipfile.BadZipFile, OSError) as error:
        return [f"{archive.name}: {error}"]
    laid = {str(path.relative_to(into)) for path in into.rglob("*") if path.is_file()} if into.exists() else names
    wrong = [f"{archive.name}: {broken} is broken"] if broken else []
    return wrong + ([f"{archive.name} holds other files than the folder: {sorted(laid ^ names)[:3]}"] if laid != names else []) + sound_handover(house, into)


def sound_sheets(_house, into):
    """What is wrong with laid sheets: every file that their record names is there, and the record can be read."""
    if not into.exists():
        return []
    try:
        record = json.loads((into / "test-sheets.json").read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        return [f"{into.name}/test-sheets.json: {error}"]
    named = {value for key, value in strings(record) if key in ("file", "sheet") and isinstance(value, str)}
    missing = [name for name in named if "." in name and not (into / name).exists()]
    return [f"{into.name} lacks {missing}"] if missing or not (into / "NOTE.txt").exists() else []


def strings(value, key=""):
    """All texts of a record with their keys."""
    if isinstance(value, dict):
        for name, one in value.items():
            yield from strings(one, name)
    elif isinstance(value, list):
        for one in value:
            yield from strings(one, key)
    else:
        yield key, value


def desks(house, count):
    """Kills while the live table writes what was just accepted of every row, and what it keeps of pictures."""
    with trials(house, "kill: the live table's writing") as line:
        chance, kept = random.Random(SEED), house.folder("kill-cache")
        for at in range(count):
            folder = order(house.folder(f"kill-desk{at}"), numbered(PICTURES))
            how, wrong = (signal.SIGTERM if at % 4 >= 2 else signal.SIGKILL), []
            with Console(house.program, folder, XDG_CACHE_HOME=str(kept)) as desk:
                if desk.wait(has_rows(PICTURES)) is None:
                    wrong.append("the rows did not show")
                desk.press("a", "meant so", CONTROL_A)
                desk.write(ENTER)
                end = time.monotonic() + (WRITES_S if at % 2 else chance.uniform(0, WRITES_S))
                while time.monotonic() < end and not (at % 2 and unfinished(folder)):
                    time.sleep(0.0002)
                text = desk.text()
                taken, confirmed = "Accept this" not in text, f"{PICTURES} accepted" in text
                desk.child.send_signal(how)
                ended = desk.ended()
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
            words = [house.program, "accept", "brief.toml", f"exports/{numbered(1)[0]}", RULE, "--reason", "after it", "--by", "Maren"]
            wrong += ran(words, folder, DONE_S * PATIENCE, env=environment(folder)).wrong(DONE_S, {0})
            wrong += [f"the next run leaves {unfinished(folder)}"] if unfinished(folder) else []
            line.none(f"{how.name} {at}", wrong, megabytes=ended.megabytes)
            shutil.rmtree(folder)


def calibrated(house, count):
    """Kills over what is noted in the person's own folder."""
    with trials(house, "kill: calibrated") as line:
        folder, chance = house.folder("kill-calibrated"), random.Random(SEED)
        words = [house.program, "calibrated", "today"]
        took = ran(words, folder, DONE_S, env=environment(folder)).seconds
        own = folder / "config" / "plateside"
        for at in range(count):
            child = subprocess.Popen([str(word) for word in words], cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment(folder))
            time.sleep(chance.uniform(0, took * 1.1))
            child.kill()
            child.wait()
            wrong = []
            if at % 5 == 4:
                wrong = ran(words, folder, DONE_S * PATIENCE, env=environment(folder)).wrong(DONE_S * PATIENCE, {0})
                wrong += [f"the next run leaves {unfinished(own)}"] if unfinished(own) else []
            line.none(f"{at}", wrong)


def shelf(house, count):
    """Kills while the desk keeps what it counts of pictures: the next one shows every row. What is left there counts as kept, and
    goes with it once the cache is full."""
    with trials(house, "kill: what is kept of pictures") as line:
        folder, chance = order(house.folder("kill-shelf"), numbered(SHELF_PICTURES)), random.Random(SEED)
        evidence = folder / "cache" / "plateside" / "evidence"
        # Younger files are not kept, since their records may not tell the next change.
        time.sleep(NOT_YOUNGER_S)
        for at in range(count):
            shutil.rmtree(evidence, ignore_errors=True)
            with Console(house.program, folder) as desk:
                end = time.monotonic() + chance.uniform(0, KEEPS_S)
                while time.monotonic() < end and not (at % 2 and evidence.exists() and unfinished(evidence)):
                    time.sleep(0.0005)
                desk.child.kill()
            wrong = []
            if at % 5 == 4:
                with Console(house.program, folder) as desk:
                    wrong += ["the rows do not show"] if desk.wait(has_rows(SHELF_PICTURES)) is None else []
                    desk.press("q")
                    wrong += ["it does not quit"] if desk.ended().status is None else []
            line.none(f"{at}", wrong)
