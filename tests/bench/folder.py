"""`plateside check` beside the same numbers by Pillow and numpy (baseline.py), beside plain decoding and reading, and over a
whole folder. Prints lines for the table of tests/bench/run: what, measured, budget, verdict, parted by tabs.
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from check import BRIEF, line, made, paint, run

PRESS = "/usr/share/color/icc/ghostscript/default_cmyk.icc"
PAIRS, FOLDER, SIDE = 5, 100, (6000, 4000)
# What the house wants: times djpeg on both cores; times its own plain decode; times reading and hashing; pictures a second; times
# one worker; MB; times faster than the baseline.
MOST_BOTH, MOST_PROGRESSIVE, MOST_TIFF, LEAST_RATE, LEAST_SPEEDUP, MOST_MB, LEAST_FASTER = 1.6, 1.5, 2.0, 8.0, 1.9, 250, 12.0
LEAST_LZW = 1.5


def pairs(one, other):
    """Interleaved, so that the machine's slow minutes fall on both; the median of the ratios."""
    one(), other()
    return statistics.median(other() / one() for _ in range(PAIRS))


def timed(words, cores=None):
    began = time.perf_counter()
    allow = (lambda: os.sched_setaffinity(0, set(list(os.sched_getaffinity(0))[:cores]))) if cores else None
    done = subprocess.run([str(word) for word in words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, preexec_fn=allow, check=False)
    if done.returncode not in (0, 1):
        sys.exit(f"{words[:2]} ended with {done.returncode}")
    return time.perf_counter() - began


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--program", required=True, type=Path)
    parser.add_argument("--plain", required=True, type=Path, help="the example of that name, which only decodes")
    parser.add_argument("--room", required=True, type=Path, help="where the large pictures are kept")
    options = parser.parse_args()
    options.room.mkdir(parents=True, exist_ok=True)
    jpeg = made(options.room / "frame.jpg", paint)
    progressive = made(options.room / "frame-progressive.jpg", lambda path: subprocess.run(["jpegtran", "-progressive", "-outfile", path, jpeg], check=True))
    tiff = made(options.room / "frame8.tif", lambda path: subprocess.run(["vips", "copy", jpeg, f"{path}[compression=none]"], check=True))
    smaller = made(options.room / "frame24.jpg", lambda path: subprocess.run(["vips", "crop", jpeg, f"{path}[Q=92]", "0", "0", *map(str, SIDE)], check=True))
    with tempfile.TemporaryDirectory(dir=options.room) as place:
        brief = Path(place) / "brief.toml"
        brief.write_text(BRIEF, encoding="utf-8")

        def check(path, jobs, *more):
            return lambda: timed([options.program, "check", brief, path, "--jobs", jobs, "--format", "json", *more], int(jobs))

        ratio = pairs(lambda: timed(["djpeg", "-outfile", "/dev/null", jpeg], 1), check(jpeg, "2"))
        line("a 45 MP JPEG on two cores beside djpeg", f"{ratio:.2f} x", f"{MOST_BOTH} x", ratio <= MOST_BOTH)
        ratio = pairs(lambda: timed([options.plain, progressive], 1), check(progressive, "1"))
        line("a progressive one beside its own decode", f"{ratio:.2f} x", f"{MOST_PROGRESSIVE} x", ratio <= MOST_PROGRESSIVE)
        beside = pairs(lambda: timed(["djpeg", "-outfile", "/dev/null", progressive], 1), check(progressive, "1"))
        print(f"# the progressive one beside djpeg: {beside:.2f} x", flush=True)
        ratio = pairs(lambda: timed(["sha256sum", tiff], 1), check(tiff, "1"))
        line("a striped 8-bit TIFF beside sha256sum", f"{ratio:.2f} x", f"{MOST_TIFF} x", ratio <= MOST_TIFF)
        lzw = made(options.room / "frame16-lzw.tif", lambda path: subprocess.run(["vips", "colourspace", jpeg, f"{path}[compression=lzw,predictor=horizontal]", "rgb16"], check=True))
        ratio = pairs(check(lzw, "2"), check(lzw, "1"))
        line("a 16-bit LZW TIFF: two cores beside one", f"{ratio:.2f} x", f"{LEAST_LZW} x", ratio >= LEAST_LZW)
        many = Path(place) / "many"
        many.mkdir()
        for at in range(FOLDER):
            os.link(smaller, many / f"p{at:03}.jpg")
        one = check(many, "1")()
        began = time.perf_counter()
        _, memory = run([options.program, "check", brief, many, "--jobs", "2", "--format", "json"], None)
        both = time.perf_counter() - began
        rate, speedup = FOLDER / both, one / both
        line("pictures of 24 MP a second, two cores", f"{rate:.1f}", f"{LEAST_RATE:.0f}", rate >= LEAST_RATE)
        line("two workers beside one", f"{speedup:.2f} x", f"{LEAST_SPEEDUP} x", speedup >= LEAST_SPEEDUP)
        line("their peak memory", f"{memory:.0f} MB", f"{MOST_MB} MB", memory <= MOST_MB)
        with_press = Path(place) / "press.toml"
        with_press.write_text(BRIEF + f'[print.paper]\nstock = "coated"\nprofile = "{PRESS}"\n', encoding="utf-8")
        words = [sys.executable, Path(__file__).with_name("baseline.py"), "--paper", PRESS, smaller]
        ours = lambda: timed([options.program, "check", with_press, smaller, "--jobs", "1", "--format", "json"], 1)
        faster = 1 / pairs(lambda: timed(words, 1), ours)
        line("faster than Pillow and numpy, press included", f"{faster:.1f} x", f"{LEAST_FASTER:.0f} x", faster >= LEAST_FASTER)
        said = json.loads(subprocess.run([str(word) for word in words], capture_output=True, check=True).stdout)
        rows = json.loads(subprocess.run([options.program, "check", with_press, smaller, "--format", "json"], capture_output=True, check=False).stdout)["rows"]
        print(f"# out of the press's gamut: baseline {said['gamut']['outside']:.3f} (Delta E 1976 over 3), plateside {rows[0]['measures']['out_of_paper']}")


if __name__ == "__main__":
    main()
