"""The readers of foreign bytes under a fuzzer that is led by coverage: no crash, nothing over five seconds, nothing over 1 GiB.

Builds the fuzzer with counters in every branch (a few minutes; needs a C++ compiler). `PLATESIDE_FEED_SECONDS` says how long each
target is fed (the long run: 600). Where to begin is made as for feed.py; what was found stays below target/guided, and the next run
goes on from there.
"""

import os
import re
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor

import feed

SECONDS = int(os.environ.get("PLATESIDE_FEED_SECONDS", "10"))
MOST_MB, LONGEST_SECONDS, MOST_BYTES = 1024, 5, 1 << 18
# A counter in every branch and at every comparison, as LLVM's pass of that name makes them; all of it in stable Rust.
COUNTERS = ("-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters "
            "-Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares --cfg fuzzing")
SAID = re.compile(r"#(\d+)\s+\w+\s+cov: (\d+) ft: (\d+)")


def run(house):
    fuzzer = built()
    corpora = feed.beginnings()
    with ThreadPoolExecutor(os.cpu_count()) as hands:
        for target, words, status, kept in hands.map(lambda one: fed(fuzzer, *one), corpora.items()):
            found = SAID.findall(words)
            count, branches = (int(found[-1][0]), int(found[-1][1])) if found else (0, 0)
            print(f"  {target}: {count} inputs, {branches} branches")
            house.tally.that(f"{target}: none fails", status == 0, f"status {status}, kept in {kept}: {words[-600:]}")
            house.tally.that(f"{target}: many were read", count > 50 and branches > 50, words[-300:])


def built():
    room = feed.HERE / "target" / "guided"
    machine = subprocess.run(["rustc", "-vV"], capture_output=True, text=True, check=True).stdout.split("host: ")[1].split()[0]
    words = ["cargo", "build", "-q", "--release", "--target", machine, "--manifest-path", feed.HERE / "tests/hostile/Cargo.toml"]
    subprocess.run(words, check=True, env={**os.environ, "RUSTFLAGS": COUNTERS, "CARGO_TARGET_DIR": str(room)})
    return room / machine / "release" / "guided"


def fed(fuzzer, target, files):
    kept = fuzzer.parents[2] / "found" / target
    kept.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir="/dev/shm" if os.path.isdir("/dev/shm") else None) as room:
        begin = feed.Path(room) / "begin"
        begin.mkdir()
        for at, one in enumerate(files):
            (begin / str(at)).write_bytes(one)
        words = [fuzzer, f"-max_total_time={SECONDS}", f"-rss_limit_mb={MOST_MB}", f"-timeout={LONGEST_SECONDS}",
                 f"-max_len={MOST_BYTES}", "-print_final_stats=1", f"-artifact_prefix={kept.parent}/failed-{target}-", kept, begin]
        environment = {**os.environ, "PLATESIDE_TARGET": target, "TMPDIR": room}
        done = subprocess.run(words, capture_output=True, text=True, errors="replace", env=environment, check=False)
        return target, done.stderr, done.returncode, kept.parent
