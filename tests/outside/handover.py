"""Handovers: checksums by coreutils, and what is left when the machine, the disk or a person gets in the way.

Sources: coreutils' sha256sum; SIGKILL, a full tmpfs and a write-protected folder as Linux has them.
"""

import hashlib
import json
import os
import random
import shutil
import signal
import subprocess
import time
from pathlib import Path

from PIL import ImageCms

import pictures

KILLED, SEED, PAIRS = 200, 26, 20
BRIEF = '[[print]]\nname = "any"\nsize = "50 x 50 mm"\npictures = "*"\n[print.rules]\n"set.duplicate" = "off"\n'
ODD = ("a b.jpg", "cr\u00eapes.jpg", "two\nlines.jpg", "back\\slash.jpg", "-rf.jpg", "=1+1.jpg", "\u202egnp.jpg")


def run(house):
    checksums(house)
    killed(house)
    full(house)
    protected(house)
    changed(house)
    together(house)
    long_names(house)


def exports(house, name, names, side=600):
    """Sound sRGB pictures, each with other bytes."""
    folder = house.folder(name)
    (folder / "exports").mkdir()
    (folder / "brief.toml").write_text(BRIEF, encoding="utf-8")
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for at, one in enumerate(names):
        pictures.rgb(side, side).rotate(at * 7).save(folder / "exports" / one, format="JPEG", quality=95, icc_profile=profile)
    return folder


def deliver(house, folder, into, prefix=(), **options):
    words = [*prefix, str(house.program), "deliver", "brief.toml", "exports", "--into", str(into)]
    return subprocess.run(words, cwd=folder, capture_output=True, timeout=120, check=False, **options)


def checksums(house):
    folder = exports(house, "sums", ODD)
    done = deliver(house, folder, "out")
    house.tally.equal("odd names are delivered", 0, done.returncode)
    said = subprocess.run(["sha256sum", "-c", "SHA256SUMS"], cwd=folder / "out", capture_output=True, check=False)
    house.tally.equal("sha256sum -c agrees", 0, said.returncode)
    zipped = subprocess.run([str(house.program), "deliver", "brief.toml", "exports", "--into", "zipped", "--zip"], cwd=folder, capture_output=True, check=False)
    house.tally.equal("it is archived", 0, zipped.returncode)
    house.tally.equal("unzip -t agrees", 0, subprocess.run(["unzip", "-t", "zipped.zip"], cwd=folder, capture_output=True, check=False).returncode)
    laid = {path.read_bytes() for path in (folder / "out" / "pictures").iterdir()}
    house.tally.equal("the bytes are the exports'", {path.read_bytes() for path in (folder / "exports").iterdir()}, laid)
    names = [path.name for path in (folder / "out" / "pictures").iterdir()]
    house.tally.that("no name acts on a line or an option", not any("\n" in name or name[0] in "-." or "\u202e" in name for name in names))


def killed(house):
    """SIGKILL at a random moment: the handover is whole or not there; decisions are the old ones or the new ones."""
    folder = exports(house, "killed", [f"p{at}.jpg" for at in range(6)], 700)
    began = time.monotonic()
    house.tally.equal("one run ends well", 0, deliver(house, folder, "first").returncode)
    took = time.monotonic() - began
    chance, half, whole = random.Random(SEED), [], 0
    for at in range(KILLED):
        into = folder / f"out{at}"
        words = [str(house.program), "deliver", "brief.toml", "exports", "--into", str(into)]
        child = subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(chance.uniform(0, took * 1.1))
        child.send_signal(signal.SIGKILL)
        child.wait()
        if into.exists():
            whole += 1
            verified = subprocess.run([str(house.program), "verify", str(into)], capture_output=True, check=False)
            if verified.returncode != 0:
                half.append(at)
            shutil.rmtree(into)
    house.tally.equal(f"{KILLED} killed runs, {whole} of them were done: none half-made", [], half)
    house.tally.equal("the next run clears what they left", 0, deliver(house, folder, "last").returncode)
    house.tally.equal("nothing hidden is left", [], [path.name for path in folder.iterdir() if path.name.startswith(".plateside")])
    accepting(house, chance)


def accepting(house, chance):
    folder = exports(house, "accepting", ["a.jpg"], 500)
    file, broken = folder / "brief.accepted.toml", []
    words = [str(house.program), "accept", "brief.toml", "exports/a.jpg", "density.wanted", "--reason", "one", "--by", "Maren"]
    began = time.monotonic()
    house.tally.equal("one acceptance ends well", 0, subprocess.run(words, cwd=folder, capture_output=True, check=False).returncode)
    took = time.monotonic() - began
    file.unlink()
    for at in range(KILLED):
        words = [str(house.program), "accept", "brief.toml", "exports/a.jpg", "density.wanted", "--reason", f"number {at}", "--by", "Maren"]
        child = subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(chance.uniform(0, took * 1.1))
        child.send_signal(signal.SIGKILL)
        child.wait()
        listed = subprocess.run([str(house.program), "accept", "brief.toml", "--list"], cwd=folder, capture_output=True, check=False)
        if listed.returncode != 0:
            broken.append(at)
    house.tally.equal(f"{KILLED} killed acceptances: the file is always sound", [], broken)
    house.tally.that("some of them were kept", file.exists())


def full(house):
    """A disk of 1 MB, in a name space of its own."""
    folder = exports(house, "full", [f"p{at}.jpg" for at in range(40)], 900)
    (folder / "disk").mkdir()
    script = 'mount -t tmpfs -o size=1m none disk && "$0" deliver brief.toml exports --into disk/out; code=$?; ls -A disk; exit $code'
    done = subprocess.run(["unshare", "-rm", "sh", "-c", script, str(house.program)], cwd=folder, capture_output=True, timeout=120, check=False)
    said = (done.stdout + done.stderr).decode()
    house.tally.equal("a full disk is an error", 2, done.returncode)
    house.tally.that("it says so", "nothing was written" in " ".join(said.split()), said)
    house.tally.equal("nothing is left on it", "", done.stdout.decode().strip())


def protected(house):
    """A folder on a disk that is mounted read-only."""
    folder = exports(house, "protected", ["a.jpg"])
    (folder / "disk").mkdir()
    script = 'mount -t tmpfs none disk && mount -o remount,ro disk && "$0" deliver brief.toml exports --into disk/out'
    done = subprocess.run(["unshare", "-rm", "sh", "-c", script, str(house.program)], cwd=folder, capture_output=True, timeout=120, check=False)
    house.tally.equal("a read-only target is an error", 2, done.returncode)
    house.tally.that("it says so", "nothing was written" in " ".join(done.stderr.decode().split()), done.stderr.decode())


def changed(house):
    """A picture that is overwritten again and again while it is delivered: judged bytes go, or none."""
    folder = exports(house, "changed", ["a.jpg"])
    one, other = (folder / "exports" / "a.jpg").read_bytes(), None
    other = one[:2] + b"\xff\xfe\x00\x04hi" + one[2:]
    torn = []
    for at in range(20):
        into = folder / f"out{at}"
        child = subprocess.Popen([str(house.program), "deliver", "brief.toml", "exports", "--into", str(into)], cwd=folder,
                                 stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        flip = 0
        while child.poll() is None:
            flip += 1
            fresh = folder / "fresh"
            fresh.write_bytes(one if flip % 2 else other)
            os.replace(fresh, folder / "exports" / "a.jpg")
            time.sleep(0.005)
        if into.exists():
            record = json.loads((into / "handover.json").read_text(encoding="utf-8"))
            laid = (into / "pictures" / "a.jpg").read_bytes()
            if hashlib.sha256(laid).hexdigest() != record["pictures"][0]["sha256"] or laid not in (one, other):
                torn.append(at)
    house.tally.equal("what lies there is what was judged", [], torn)


def together(house):
    """Two people accept at the same moment, again and again: every decision is kept, and the file is whole throughout."""
    names = [f"p{number:02}.jpg" for number in range(2 * PAIRS)]
    folder = exports(house, "together", names, side=340)
    words = [str(house.program), "accept", "brief.toml"]
    for at in range(PAIRS):
        pair = [
            subprocess.Popen([*words, f"exports/{name}", "density.least", "--reason", f"meant {name}", "--by", "Maren", "--allowed-by", "Corrow Lane"], cwd=folder,
                             stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
            for name in names[2 * at : 2 * at + 2]
        ]
        for one in pair:
            error = one.communicate(timeout=60)[1]
            house.tally.that("accepting beside another", one.returncode == 0, error.decode())
    kept = subprocess.run([*words, "--list"], cwd=folder, capture_output=True, text=True, check=True).stdout
    # Long lines are broken at blanks.
    kept = " ".join(kept.split())
    missing = [name for name in names if f"meant {name}" not in kept]
    house.tally.equal("what two people accepted at once is all there", [], missing)


def long_names(house):
    """Names at the system's limit of 255 bytes are delivered; where the brief's template makes one longer, it is said."""
    longest = "n" * 251 + ".jpg"
    folder = exports(house, "long", (longest,))
    house.tally.equal("a name of 255 bytes is delivered", 0, deliver(house, folder, "out").returncode)
    house.tally.that("it lies there", (folder / "out" / "pictures" / longest).is_file())
    said = subprocess.run(["sha256sum", "-c", "SHA256SUMS"], cwd=folder / "out", capture_output=True, check=False)
    house.tally.equal("sha256sum -c agrees on it", 0, said.returncode)
    (folder / "brief.toml").write_text('[handover]\nrename = "{copies}-{picture}"\n' + BRIEF, encoding="utf-8")
    refused = deliver(house, folder, "more")
    house.tally.that("a longer name is refused with its reason", refused.returncode in (1, 2) and b"255" in refused.stdout + refused.stderr,
                     (refused.stdout + refused.stderr)[-300:].decode())
    house.tally.that("nothing is left of it", not (folder / "more").exists())
