"""Faults of a machine that a test of ours cannot make by itself: a full disk under everything that writes, a picture that
may not be read, a disk so slow that one picture takes seconds.

Sources: tmpfs, chmod, setpriv and the kernel's own brake on a disk (blkio, cgroup v1 or io.max, v2) as Linux has them.
Whatever cannot be made here, because the machine does not let us, is skipped and said.
"""

import os
import shutil
import subprocess
import time
from pathlib import Path

import numpy
import pytest
from PIL import Image

from orders import SRGB
from programs import ended, run
from trials import heard

BRIEF = '[[print]]\nname = "card"\nsize = "3 x 4 in"\npictures = "*"\n'
# Everything that writes, each with what it is to write on the full disk; `testprint` and `deliver` lay folders.
WRITERS = {
    "deliver": ["deliver", "brief.toml", "exports", "--into", "disk/out"],
    "testprint": ["testprint", "brief.toml", "exports", "--only", "a.jpg", "--into", "disk/sheets"],
    "guide": ["guide", "brief.toml", "--into", "disk/frames"],
    "brief new": ["brief", "new", "photo-lab", "--into", "disk/new.toml"],
    "subject": ["subject", "disk/brief.toml", "exports/a.jpg", "--box", "0.2,0.2,0.8,0.8"],
    "accept": ["accept", "disk/brief.toml", "exports/a.jpg", "detail.noise", "--reason", "meant so", "--by", "Maren"],
}
# What only reads, and keeps something for the next time.
READERS = {"check": ["check", "brief.toml", "exports"], "watch": ["watch", "--lines", "--until-quiet", "3s", "brief.toml", "exports"]}
# Reading at most so many bytes a second, of pictures of about 4 MB.
SLOW_BYTES = 2_000_000
SLOW_PICTURES = 4
# Longest that a call takes on a few pictures, in seconds; on the slow disk. No source.
CALL_S, SLOW_S = 120, 300


def exports(folder, names, side):
    (folder / "exports").mkdir()
    (folder / "brief.toml").write_text(BRIEF, encoding="utf-8")
    chance = numpy.random.default_rng(26)
    for one in names:
        codes = chance.integers(40, 215, (side * 4 // 3, side, 3), dtype=numpy.uint8)
        Image.fromarray(codes).save(folder / "exports" / one, quality=90, icc_profile=SRGB)


@pytest.fixture
def full(tmp_path):
    """An order beside an empty folder `disk`, and a way to call a program where `disk` is one of 3 MB without a byte left: in a
    name space of its own, so that its mounts go with it."""
    exports(tmp_path, ["a.jpg", "b.jpg"], 900)
    (tmp_path / "disk").mkdir()
    fill = ("mount -t tmpfs -o size=3m none disk && cp brief.toml disk/ && "
            "{ dd if=/dev/zero of=disk/full bs=64k 2>/dev/null; dd if=/dev/zero of=disk/full2 bs=1 2>/dev/null; ls -A disk >before; } ; ")

    def call(script, *words, **environment):
        return ended("unshare", "-rm", "sh", "-c", fill + script, "sh", *words, cwd=tmp_path, within_s=CALL_S, env={**os.environ, **environment})

    return call


@pytest.mark.parametrize("writer", WRITERS)
def test_full(writer, program, full, subtests):
    done = full('"$@"; code=$?; ls -A disk | diff before - >&2 && exit $code', program, *WRITERS[writer])
    said = " ".join((done.stdout + done.stderr).decode().split())
    with subtests.test("it is an error"):
        assert done.returncode not in (0, 101), said
    with subtests.test("it says so"):
        assert "its disk is full: make room" in said or "nothing was written" in said or "is not enough" in said, said


@pytest.mark.parametrize("reader", READERS)
def test_full_for_what_is_kept(reader, program, full, tmp_path):
    """What is only kept for the next time must not stand in the way."""
    done = full('"$@"', program, *READERS[reader], XDG_CACHE_HOME=str(tmp_path / "disk/cache"), TMPDIR=str(tmp_path / "disk"))
    said = done.stdout.decode()
    assert "a.jpg" in said and "b.jpg" in said and done.returncode in (0, 1), f"{done.returncode}: {said}{done.stderr.decode()}"


def test_locked(program, open_folder, subtests):
    """A picture that may not be read, and then may be; as somebody else where we are root, whom nothing stops."""
    folder, somebody = open_folder, {}
    exports(folder, ["a.jpg", "b.jpg"], 900)
    if os.geteuid() == 0:
        somebody = {"user": 65534, "group": 65534, "extra_groups": []}
        program = Path(shutil.copy(program, folder / "plateside"))
        for path in [folder, *folder.parents]:
            if path.stat().st_mode & 0o001 == 0:
                pytest.skip(f"nobody may look into {path}")
    picture = folder / "exports" / "b.jpg"
    picture.chmod(0)
    cache = {**os.environ, "HOME": "/nonexistent", "XDG_CACHE_HOME": "/nonexistent"}
    with subtests.test("a picture that may not be read is to be fixed"):
        done = ended(program, "check", "brief.toml", "exports", cwd=folder, within_s=CALL_S, text=True, env=cache, **somebody)
        assert done.returncode == 1 and "not permitted" in done.stdout, done.stdout + done.stderr
    words = [program, "watch", "--lines", "--until-quiet", "4s", "brief.toml", "exports"]
    live_table = subprocess.Popen(words, cwd=folder, stdout=subprocess.PIPE, env=cache, **somebody)
    time.sleep(2)
    picture.chmod(0o644)
    said = heard(live_table, CALL_S).splitlines()
    last = [line for line in said if " b.jpg" in line][-1:]
    with subtests.test("once it may be read it has its verdict"):
        assert last and "not permitted" not in last[0] and " FIX " not in last[0], "\n".join(said)


def test_slow(program, tmp_path, subtests):
    """Pictures on a disk that gives 2 MB a second."""
    exports(tmp_path, [f"p{at}.jpg" for at in range(SLOW_PICTURES)], 1800)
    check = [program, "check", "--format", "csv", "brief.toml", "exports"]
    wanted = run(*check, cwd=tmp_path, status=(0, 1)).splitlines()
    brake = braked(tmp_path)
    if brake is None:
        pytest.skip("this machine lets nobody brake a disk")
    try:
        began = time.monotonic()
        done = ended("sh", "-c", f'echo $$ > {brake}/cgroup.procs && exec "$@"', "sh", *check, cwd=tmp_path, within_s=SLOW_S)
        took, bytes_read = time.monotonic() - began, sum(path.stat().st_size for path in (tmp_path / "exports").iterdir())
        with subtests.test("the brake holds"):
            assert took > bytes_read / SLOW_BYTES / 2, f"{bytes_read} bytes in {took:.1f} s"
        with subtests.test("a slow disk gives the verdicts of a quick one"):
            assert sorted(done.stdout.splitlines()) == sorted(wanted)
    finally:
        brake.rmdir()


def braked(folder):
    """A control group whose reading from the disk of a folder is slow, with nothing of it in memory; None where it cannot be had."""
    disk = os.stat(folder).st_dev
    number = f"{os.major(disk)}:{os.minor(disk)}"
    try:
        for root, rule in ((Path("/sys/fs/cgroup/blkio"), "blkio.throttle.read_bps_device"), (Path("/sys/fs/cgroup"), "io.max")):
            if not (root / "cgroup.procs").exists():
                continue
            group = root / f"plateside-slow-{os.getpid()}"
            group.mkdir()
            try:
                (group / rule).write_text(f"{number} {'rbps=' if rule == 'io.max' else ''}{SLOW_BYTES}\n", encoding="ascii")
                os.sync()
                Path("/proc/sys/vm/drop_caches").write_text("1\n", encoding="ascii")
                return group
            except OSError:
                group.rmdir()
    except OSError:
        pass
    return None
