"""The readers of foreign bytes under a fuzzer that is led by coverage: no crash, nothing over five seconds, nothing over 1 GiB.

Builds the fuzzer with counters in every branch (a few minutes; needs a C++ compiler). `--feed-seconds` says how long each target is fed
(the long run: 600). Where to begin is made as for test_feed.py; what was found stays below target/guided, and the next run goes on
from there.
"""

import os
import re
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from beginnings import REPOSITORY, beginnings
from programs import ended, run

pytestmark = pytest.mark.guided

USUAL_S = 10
MOST_MB, LONGEST_SECONDS, MOST_BYTES = 1024, 5, 1 << 18
# The fuzzer ends by itself; so much later it hangs. Building it may take so long.
SPARE_S, BUILT_S = 120, 1800
# A counter in every branch and at every comparison, as LLVM's pass of that name makes them; all of it in stable Rust.
COUNTERS = ("-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters "
            "-Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares --cfg fuzzing")
SAID = re.compile(r"#(\d+)\s+\w+\s+cov: (\d+) ft: (\d+)")


def test_guided(pytestconfig, remark, subtests):
    """All targets side by side, one a processor."""
    fuzzer, seconds = built(), int(pytestconfig.option.feed_seconds or USUAL_S)
    with ThreadPoolExecutor(os.cpu_count()) as hands:
        for target, words, status, kept in hands.map(lambda one: fed(fuzzer, seconds, *one), beginnings().items()):
            found = SAID.findall(words)
            count, branches = (int(found[-1][0]), int(found[-1][1])) if found else (0, 0)
            remark(f"guided {target}: {count} inputs, {branches} branches")
            with subtests.test(f"{target}: none fails"):
                assert status == 0, f"kept in {kept}: {words[-600:]}"
            with subtests.test(f"{target}: many were read"):
                assert count > 50 and branches > 50, words[-300:]


def built():
    room = REPOSITORY / "target" / "guided"
    machine = run("rustc", "-vV").decode().split("host: ")[1].split()[0]
    run("cargo", "build", "-q", "--release", "--target", machine, "--manifest-path", REPOSITORY / "tests/hostile/Cargo.toml",
        within_s=BUILT_S, env={**os.environ, "RUSTFLAGS": COUNTERS, "CARGO_TARGET_DIR": str(room)})
    return room / machine / "release" / "guided"


def fed(fuzzer, seconds, target, files):
    kept = fuzzer.parents[2] / "found" / target
    kept.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir="/dev/shm" if os.path.isdir("/dev/shm") else None) as room:
        begin = Path(room) / "begin"
        begin.mkdir()
        for at, one in enumerate(files):
            (begin / str(at)).write_bytes(one)
        words = [fuzzer, f"-max_total_time={seconds}", f"-rss_limit_mb={MOST_MB}", f"-timeout={LONGEST_SECONDS}",
                 f"-max_len={MOST_BYTES}", "-print_final_stats=1", f"-artifact_prefix={kept.parent}/failed-{target}-", kept, begin]
        environment = {**os.environ, "PLATESIDE_TARGET": target, "TMPDIR": room}
        done = ended(*words, within_s=seconds + SPARE_S, text=True, errors="replace", env=environment)
        return target, done.stderr, done.returncode, kept.parent
