"""`plateside check` on pictures of 45 megapixels: time beside libjpeg-turbo's djpeg in interleaved pairs on one core, and
peak memory. Prints lines for the table of tests/bench/run: what, measured, budget, verdict, parted by tabs.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

# A full frame of 45 megapixels.
WIDTH, HEIGHT = 8256, 5504
PAIRS = 7
# What the house promises: times the wall time of djpeg; peak memory in MB (10^6 bytes).
MOST_RATIO = 1.9
MOST_JPEG_MB, MOST_TIFF_MB = 80, 80
BRIEF = '[[print]]\nname = "any"\nsize = "20 x 30 in"\npictures = "*"\n[print.density]\nleast = "150 ppi"\n'


def paint(path):
    """Something like a photograph: large soft shapes, texture that fades with them, and sensor noise."""
    chance = np.random.default_rng(45)
    small = chance.normal(0, 1, (HEIGHT // 64 + 2, WIDTH // 64 + 2, 3))
    soft = np.stack([np.asarray(Image.fromarray(small[..., c].astype(np.float32)).resize((WIDTH, HEIGHT), Image.BICUBIC)) for c in range(3)], -1)
    fine = np.asarray(Image.fromarray(chance.normal(0, 1, (HEIGHT // 3, WIDTH // 3)).astype(np.float32)).resize((WIDTH, HEIGHT), Image.BICUBIC))
    whole = 118 + 38 * soft
    whole += (12 * np.clip(soft[..., 1], 0, 1) * fine)[..., None]
    whole += chance.normal(0, 2.2, (HEIGHT, WIDTH, 1)).astype(np.float32)
    Image.fromarray(np.clip(whole, 0, 255).astype(np.uint8)).save(path, quality=93, subsampling=0)


def made(path, make):
    """Makes a file once; under a name of this process first, so that two runs do not meet."""
    if not path.exists():
        half = path.with_name(f"{os.getpid()}-{path.name}")
        make(half)
        half.rename(path)
    return path


def pictures(room):
    room.mkdir(parents=True, exist_ok=True)
    jpeg = made(room / "frame.jpg", paint)

    def deep(compression):
        options = f"[compression={compression},predictor=horizontal]"
        return lambda path: subprocess.run(["vips", "colourspace", jpeg, f"{path}{options}", "rgb16"], check=True)

    return jpeg, made(room / "frame16.tif", deep("none")), made(room / "frame16-deflate.tif", deep("deflate"))


def run(words, cores=1):
    """Wall seconds and peak memory in MB of one run on so many cores; on all without a number."""
    began = time.perf_counter()
    child = subprocess.Popen(
        [str(word) for word in words],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        preexec_fn=lambda: cores and os.sched_setaffinity(0, {max(os.sched_getaffinity(0))}),
    )
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in (0, 1):
        sys.exit(f"{words[:2]} ended with {child.returncode}")
    return time.perf_counter() - began, used.ru_maxrss * 1024 / 1e6


def line(what, measured, budget, holds):
    print(f"{what}\t{measured}\t{budget}\t{'ok' if holds else 'OVER'}", flush=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--program", required=True, type=Path)
    parser.add_argument("--room", required=True, type=Path, help="where the large pictures are kept")
    options = parser.parse_args()
    jpeg, tiff, packed = pictures(options.room)
    with tempfile.TemporaryDirectory() as place:
        brief = Path(place) / "brief.toml"
        brief.write_text(BRIEF, encoding="utf-8")

        def check(path):
            return run([options.program, "check", brief, path, "--jobs", "1", "--format", "json"])

        run(["djpeg", "-outfile", "/dev/null", jpeg])
        check(jpeg)
        plain, checked, ratios, peak = [], [], [], 0
        for _ in range(PAIRS):
            one, _ = run(["djpeg", "-outfile", "/dev/null", jpeg])
            other, memory = check(jpeg)
            plain.append(one)
            checked.append(other)
            ratios.append(other / one)
            peak = max(peak, memory)
        megabytes = jpeg.stat().st_size / 1e6
        print(f"# 45 MP JPEG, quality 93, 4:4:4, {megabytes:.0f} MB: djpeg {statistics.median(plain):.2f} s, check {statistics.median(checked):.2f} s, median of {PAIRS} pairs on one core")
        ratio = statistics.median(ratios)
        line("check of a 45 MP JPEG beside djpeg", f"{ratio:.2f} x", f"{MOST_RATIO} x", ratio <= MOST_RATIO)
        line("its peak memory", f"{peak:.0f} MB", f"{MOST_JPEG_MB:.0f} MB", peak <= MOST_JPEG_MB)
        for what, path in (("a striped 16-bit TIFF of 45 MP", tiff), ("the same, deflate", packed)):
            seconds, memory = check(path)
            print(f"# {what}: {seconds:.2f} s")
            line(f"peak memory of {what}", f"{memory:.0f} MB", f"{MOST_TIFF_MB} MB", memory <= MOST_TIFF_MB)


if __name__ == "__main__":
    main()
