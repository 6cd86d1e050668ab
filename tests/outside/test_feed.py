"""Hostile bytes for everything that reads foreign ones: no crash, nothing over five seconds, nothing over 1 GiB.

`--feed-seconds` says how long each target is fed (the long run: 600); what made one fail is kept beside the program and named.
"""

import os
import resource
import shutil
import tempfile
from pathlib import Path

import pytest

from beginnings import TARGETS, beginnings
from programs import ended

USUAL_S = 3.0
MOST_BYTES = 1 << 30
# The feeder ends by itself; so much later it hangs.
SPARE_S = 60


@pytest.fixture(scope="module")
def files():
    """Where each target begins."""
    made = beginnings()
    assert tuple(made) == TARGETS
    return made


def bounded():
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


@pytest.mark.parametrize("target", TARGETS)
def test_feed(target, files, example, program, pytestconfig, remark, subtests):
    seconds, seed = pytestconfig.option.feed_seconds or USUAL_S, pytestconfig.option.feed_seed
    with tempfile.TemporaryDirectory(dir="/dev/shm" if os.path.isdir("/dev/shm") else None) as room:
        paths, kept = [], Path(room) / "kept"
        for at, one in enumerate(files[target]):
            paths.append(Path(room) / f"from-{at}")
            paths[-1].write_bytes(one)
        done = ended(example("feed"), target, seconds, seed, kept, *paths, within_s=seconds + SPARE_S, text=True, preexec_fn=bounded)
        with subtests.test("none fails"):
            saved = program.parent / f"fed-{target}"
            if kept.exists():
                shutil.copy(kept, saved)
            assert done.returncode == 0, f"kept as {saved}: {done.stderr[-400:]}"
    if done.returncode == 0:
        count, outcomes, slowest = (int(number) for number in done.stdout.split())
        remark(f"fed {target}: {count} inputs, {outcomes} outcomes, the slowest {slowest} ms")
        with subtests.test("many were read, with several outcomes"):
            assert count > 50 and outcomes > 3
