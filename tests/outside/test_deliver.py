"""Deliveries: checksums by coreutils, and what is left when the machine, the disk or a person gets in the way.

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

import pytest

from deliveries import BRIEF, ODD, deliver, exports
from programs import ended, run
from trials import heard

KILLED, SEED, PAIRS = 200, 26, 20
# Longest that a call takes on a few pictures, in seconds. No source.
CALL_S = 120


def call(folder, *words, **options):
    return ended(*words, cwd=folder, within_s=CALL_S, **options)


def test_checksums(program, tmp_path, subtests):
    exports(tmp_path, ODD)
    with subtests.test("odd names are delivered"):
        assert deliver(program, tmp_path, "out").returncode == 0
    with subtests.test("sha256sum -c agrees"):
        assert call(tmp_path / "out", "sha256sum", "-c", "SHA256SUMS").returncode == 0
    with subtests.test("it is archived"):
        assert deliver(program, tmp_path, "zipped", "--zip").returncode == 0
    with subtests.test("unzip -t agrees"):
        assert call(tmp_path, "unzip", "-t", "zipped.zip").returncode == 0
    written = list((tmp_path / "out" / "pictures").iterdir())
    with subtests.test("the bytes are the exports'"):
        assert {hashlib.sha256(path.read_bytes()).digest() for path in written} == {
            hashlib.sha256(path.read_bytes()).digest() for path in (tmp_path / "exports").iterdir()}
    with subtests.test("no name acts on a line or an option"):
        assert not [path.name for path in written if "\n" in path.name or path.name[0] in "-." or "\u202e" in path.name]


def killed(words, folder, chance, took):
    """Starts a command and kills it at a random moment of the time that it takes."""
    child = subprocess.Popen([str(word) for word in words], cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    time.sleep(chance.uniform(0, took * 1.1))
    child.send_signal(signal.SIGKILL)
    child.wait(CALL_S)


def test_killed_deliveries(program, tmp_path, subtests):
    """SIGKILL at a random moment: the delivery is whole or not there."""
    exports(tmp_path, [f"p{at}.jpg" for at in range(6)], 700)
    began = time.monotonic()
    with subtests.test("one run ends well"):
        assert deliver(program, tmp_path, "first").returncode == 0
    took = time.monotonic() - began
    chance, half = random.Random(SEED), []
    for at in range(KILLED):
        into = tmp_path / f"out{at}"
        killed([program, "deliver", "brief.toml", "exports", "--into", into], tmp_path, chance, took)
        if into.exists():
            if call(tmp_path, program, "verify", into).returncode != 0:
                half.append(at)
            shutil.rmtree(into)
    with subtests.test(f"of {KILLED} killed runs none is half-made"):
        assert not half
    with subtests.test("the next run clears what they left"):
        assert deliver(program, tmp_path, "last").returncode == 0
    with subtests.test("nothing hidden is left"):
        assert not [path.name for path in tmp_path.iterdir() if path.name.startswith(".plateside")]


def test_killed_acceptances(program, tmp_path, subtests):
    """SIGKILL at a random moment: decisions are the old ones or the new ones."""
    exports(tmp_path, ["a.jpg"], 500)
    file, broken, chance = tmp_path / "brief.decisions.toml", [], random.Random(SEED)
    accept = [program, "accept", "brief.toml", "exports/a.jpg", "density.target", "--by", "Maren", "--reason"]
    began = time.monotonic()
    with subtests.test("one acceptance ends well"):
        assert call(tmp_path, *accept, "one").returncode == 0
    took = time.monotonic() - began
    file.unlink()
    for at in range(KILLED):
        killed([*accept, f"number {at}"], tmp_path, chance, took)
        if call(tmp_path, program, "accept", "brief.toml", "--list").returncode != 0:
            broken.append(at)
    with subtests.test(f"after {KILLED} killed acceptances the file is always sound"):
        assert not broken
    with subtests.test("some of them were kept"):
        assert file.exists()


def delivered_on_a_disk(program, folder, mount):
    """How a delivery to `disk` ended, in a name space of its own, so that its mounts go with it; what is then there."""
    (folder / "disk").mkdir()
    script = f'{mount} && "$0" deliver brief.toml exports --into disk/out; code=$?; ls -A disk; exit $code'
    return call(folder, "unshare", "-rm", "sh", "-c", script, program)


def test_full(program, tmp_path, subtests):
    """A disk of 1 MB."""
    exports(tmp_path, [f"p{at}.jpg" for at in range(40)], 900)
    done = delivered_on_a_disk(program, tmp_path, "mount -t tmpfs -o size=1m none disk")
    with subtests.test("a full disk is an error"):
        assert done.returncode == 2
    with subtests.test("it says so"):
        assert "nothing was written" in " ".join((done.stdout + done.stderr).decode().split())
    with subtests.test("nothing is left on it"):
        assert done.stdout.decode().strip() == ""


def test_protected(program, tmp_path, subtests):
    """A disk that is mounted read-only."""
    exports(tmp_path, ["a.jpg"])
    done = delivered_on_a_disk(program, tmp_path, "mount -t tmpfs none disk && mount -o remount,ro disk")
    with subtests.test("a read-only target is an error"):
        assert done.returncode == 2
    with subtests.test("it says so"):
        assert "nothing was written" in " ".join(done.stderr.decode().split())


def test_changed(program, tmp_path):
    """A picture that is overwritten again and again while it is delivered: judged bytes go, or none."""
    exports(tmp_path, ["a.jpg"])
    one = (tmp_path / "exports" / "a.jpg").read_bytes()
    other = one[:2] + b"\xff\xfe\x00\x04hi" + one[2:]
    torn = []
    for at in range(20):
        into = tmp_path / f"out{at}"
        child = subprocess.Popen([str(program), "deliver", "brief.toml", "exports", "--into", str(into)], cwd=tmp_path,
                                 stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        flip, end = 0, time.monotonic() + CALL_S
        while child.poll() is None:
            if time.monotonic() > end:
                child.kill()
                pytest.fail(f"a delivery takes longer than {CALL_S} s")
            flip += 1
            fresh = tmp_path / "fresh"
            fresh.write_bytes(one if flip % 2 else other)
            os.replace(fresh, tmp_path / "exports" / "a.jpg")
            time.sleep(0.005)
        if into.exists():
            record = json.loads((into / "delivery.json").read_text(encoding="utf-8"))
            written = (into / "pictures" / "a.jpg").read_bytes()
            if hashlib.sha256(written).hexdigest() != record["pictures"][0]["sha256"] or written not in (one, other):
                torn.append(at)
    assert not torn, "what was written is not what was judged"


def test_together(program, tmp_path, subtests):
    """Two people accept at the same moment, again and again: every decision is kept, and the file is whole throughout."""
    names = [f"p{number:02}.jpg" for number in range(2 * PAIRS)]
    exports(tmp_path, names, side=340)
    words = [str(program), "accept", "brief.toml"]
    for at in range(PAIRS):
        pair = [
            subprocess.Popen([*words, f"exports/{name}", "density.minimum", "--reason", f"meant {name}", "--by", "Maren", "--allowed-by", "Corrow Lane"], cwd=tmp_path,
                             stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
            for name in names[2 * at : 2 * at + 2]
        ]
        for one, name in zip(pair, names[2 * at :]):
            with subtests.test(f"accepting {name} beside another"):
                said = heard(one, CALL_S)
                assert one.returncode == 0, said
    # Long lines are broken at blanks.
    kept = " ".join(run(*words, "--list", cwd=tmp_path).decode().split())
    with subtests.test("what two people accepted at once is all there"):
        assert not [name for name in names if f"meant {name}" not in kept]


def test_long_names(program, tmp_path, subtests):
    """Names at the system's limit of 255 bytes are delivered; where the brief's template makes one longer, it is said."""
    longest = "n" * 251 + ".jpg"
    exports(tmp_path, [longest])
    with subtests.test("a name of 255 bytes is delivered"):
        assert deliver(program, tmp_path, "out").returncode == 0
    with subtests.test("it is there"):
        assert (tmp_path / "out" / "pictures" / longest).is_file()
    with subtests.test("sha256sum -c agrees on it"):
        assert call(tmp_path / "out", "sha256sum", "-c", "SHA256SUMS").returncode == 0
    (tmp_path / "brief.toml").write_text('[delivery]\nrename = "{copies}-{picture}"\n' + BRIEF, encoding="utf-8")
    refused = deliver(program, tmp_path, "more")
    with subtests.test("a longer name is refused with its reason"):
        assert refused.returncode in (1, 2) and b"255" in refused.stdout + refused.stderr, (refused.stdout + refused.stderr)[-300:].decode()
    with subtests.test("nothing is left of it"):
        assert not (tmp_path / "more").exists()
