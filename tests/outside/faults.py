"""Faults of a machine that a test of ours cannot make by itself: a full disk under everything that writes, a picture that
may not be read, a disk so slow that one picture takes seconds.

Sources: tmpfs, chmod, setpriv and the kernel's own brake on a disk (blkio, cgroup v1 or io.max, v2) as Linux has them.
Whatever cannot be made here, because the machine does not let us, is said and not counted.
"""

import os
import shutil
import subprocess
import time
from pathlib import Path

import numpy
from PIL import Image, ImageCms

BRIEF = '[[print]]\nname = "card"\nsize = "3 x 4 in"\npictures = "*"\n'
# Everything that writes, each with what it is to write on the full disk; `testprint` and `deliver` lay folders.
WRITERS = {
    "deliver": ["deliver", "brief.toml", "exports", "--into", "disk/out"],
    "testprint": ["testprint", "brief.toml", "exports", "--choose", "a.jpg", "--into", "disk/sheets"],
    "guide": ["guide", "brief.toml", "--into", "disk/frames"],
    "brief new": ["brief", "new", "photo-lab", "--into", "disk/new.toml"],
    "subject": ["subject", "disk/brief.toml", "exports/a.jpg", "--box", "0.2,0.2,0.8,0.8"],
    "accept": ["accept", "disk/brief.toml", "exports/a.jpg", "detail.noise", "--reason", "meant so", "--by", "Maren"],
}
# Reading at most so many bytes a second, of pictures of about 4 MB.
SLOW_BYTES = 2_000_000
SLOW_PICTURES = 4


def run(house):
    full(house)
    locked(house)
    slow(house)


def exports(house, name, names, side):
    folder = house.folder(name)
    (folder / "exports").mkdir()
    (folder / "brief.toml").write_text(BRIEF, encoding="utf-8")
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    chance = numpy.random.default_rng(26)
    for one in names:
        codes = chance.integers(40, 215, (side * 4 // 3, side, 3), dtype=numpy.uint8)
        Image.fromarray(codes).save(folder / "exports" / one, quality=90, icc_profile=srgb)
    return folder


def full(house):
    """A disk of 3 MB without a byte left."""
    folder = exports(house, "full", ["a.jpg", "b.jpg"], 900)
    (folder / "disk").mkdir()
    fill = ("mount -t tmpfs -o size=3m none disk && cp brief.toml disk/ && "
            "{ dd if=/dev/zero of=disk/full bs=64k 2>/dev/null; dd if=/dev/zero of=disk/full2 bs=1 2>/dev/null; ls -A disk >before; } ; ")
    for name, words in WRITERS.items():
        script = fill + '"$@"; code=$?; ls -A disk | diff before - >&2 && exit $code'
        done = in_room(script, [str(house.program), *words], folder, {})
        said = " ".join((done.stdout + done.stderr).decode().split())
        house.tally.that(f"{name} on a full disk is an error", done.returncode not in (0, 101), f"{done.returncode}: {said}")
        house.tally.that(f"{name} says so", "its disk is full: make room" in said or "nothing was written" in said or "is not enough" in said, said)
    # What is only kept for the next time must not stand in the way.
    for name, words in {"check": ["check", "brief.toml", "exports"], "watch": ["watch", "--lines", "--until-quiet", "3s", "brief.toml", "exports"]}.items():
        environment = {"XDG_CACHE_HOME": str(folder / "disk/cache"), "TMPDIR": str(folder / "disk")}
        done = in_room(fill + '"$@"', [str(house.program), *words], folder, environment)
        said = done.stdout.decode()
        house.tally.that(f"{name} reads on with a full disk for what it keeps", "a.jpg" in said and "b.jpg" in said and done.returncode in (0, 1), f"{done.returncode}: {said}{done.stderr.decode()}")


def in_room(script, words, folder, environment):
    """In a name space of its own, so that its mounts go with it."""
    command = ["unshare", "-rm", "sh", "-c", script, "sh", *words]
    return subprocess.run(command, cwd=folder, capture_output=True, timeout=120, check=False, env={**os.environ, **environment})


def locked(house):
    """A picture that may not be read, and then may be; as somebody else where we are root, whom nothing stops."""
    folder = exports(house, "locked", ["a.jpg", "b.jpg"], 900)
    program, somebody = house.program, {}
    if os.geteuid() == 0:
        somebody = {"user": 65534, "group": 65534, "extra_groups": []}
        house.room.chmod(0o755)
        program = Path(shutil.copy(house.program, folder / "plateside"))
        for path in [folder, *folder.parents]:
            if path.stat().st_mode & 0o001 == 0:
                print(f"  locked: not tried, nobody may look into {path}")
                return
    picture = folder / "exports" / "b.jpg"
    picture.chmod(0)
    cache = {**os.environ, "HOME": "/nonexistent", "XDG_CACHE_HOME": "/nonexistent"}
    done = subprocess.run([program, "check", "brief.toml", "exports"], cwd=folder, capture_output=True, text=True, check=False, env=cache, **somebody)
    house.tally.that("a picture that may not be read is to be mended", done.returncode == 1 and "not permitted" in done.stdout, done.stdout + done.stderr)
    words = [program, "watch", "--lines", "--until-quiet", "4s", "brief.toml", "exports"]
    desk = subprocess.Popen(words, cwd=folder, stdout=subprocess.PIPE, text=True, env=cache, **somebody)
    time.sleep(2)
    picture.chmod(0o644)
    said = desk.communicate(timeout=120)[0].splitlines()
    last = [line for line in said if " b.jpg" in line][-1:]
    house.tally.that("once it may be read it has its verdict", bool(last) and "not permitted" not in last[0] and " FIX " not in last[0], "\n".join(said))


def slow(house):
    """Pictures on a disk that gives 2 MB a second."""
    folder = exports(house, "slow", [f"p{at}.jpg" for at in range(SLOW_PICTURES)], 1800)
    pictures = list((folder / "exports").iterdir())
    wanted = verdicts(subprocess.run([house.program, "check", "--format", "csv", "brief.toml", "exports"], cwd=folder, capture_output=True, text=True, check=False).stdout)
    brake = braked(folder)
    if brake is None:
        print("  slow: not tried, this machine lets nobody brake a disk")
        return
    try:
        began = time.monotonic()
        words = ["sh", "-c", f'echo $$ > {brake}/cgroup.procs && exec "$@"', "sh", house.program, "check", "--format", "csv", "brief.toml", "exports"]
        done = subprocess.run([str(word) for word in words], cwd=folder, capture_output=True, text=True, timeout=300, check=False)
        took, bytes_read = time.monotonic() - began, sum(path.stat().st_size for path in pictures)
        house.tally.that("the brake holds", took > bytes_read / SLOW_BYTES / 2, f"{bytes_read} bytes in {took:.1f} s")
        house.tally.equal("a slow disk gives the verdicts of a quick one", wanted, verdicts(done.stdout))
    finally:
        brake.rmdir()


def verdicts(lines):
    return sorted(lines.splitlines())


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
