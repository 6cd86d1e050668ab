"""A folder of 500 pictures opened by the live table without a screen, cold and warm: how soon the first verdict is there, and all of
them. Prints lines for the table of tests/bench/run: what, measured, budget, verdict, parted by tabs.
"""

import argparse
import os
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

from PIL import Image, ImageCms

from check import line, made, paint

PICTURES, SIDE, ACROSS = 500, (900, 1200), 8
MOST_FIRST, MOST_WARM, ROUNDS = 1.0, 1.0, 3
# A press profile of Debian's libgs-common: what the paper holds is asked of every colour.
PRESS = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
# Kept evidence is not trusted for files younger than two seconds.
GROWN_UP, QUIET = 3, 1.0
BRIEF = '[[print]]\nname = "card"\nsize = "3 x 4 in"\npictures = "*"\n'
DECIDED = (" PASS ", " WARN ", " FIX ")


def opened(program, brief, folder, cache):
    """Seconds until the first verdict was said, and until nothing more was to be done."""
    began = time.perf_counter()
    words = [program, "watch", "--lines", "--until-quiet", f"{QUIET:.0f}s", brief, folder]
    live_table = subprocess.Popen([str(word) for word in words], stdout=subprocess.PIPE, text=True, env={**os.environ, "XDG_CACHE_HOME": str(cache)})
    first, verdicts = None, 0
    for said in live_table.stdout:
        if any(word in said for word in DECIDED):
            first = first or time.perf_counter() - began
            verdicts += 1
    live_table.wait()
    if verdicts < PICTURES:
        raise SystemExit(f"only {verdicts} of {PICTURES} pictures have a verdict")
    return first, time.perf_counter() - began - QUIET


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--program", required=True, type=Path)
    parser.add_argument("--room", required=True, type=Path, help="where the large pictures are kept")
    options = parser.parse_args()
    options.room = options.room.resolve()
    options.room.mkdir(parents=True, exist_ok=True)
    frame = Image.open(made(options.room / "frame.jpg", paint)).convert("RGB")
    # With its profile a picture has no verdict before its pixels are read.
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    with tempfile.TemporaryDirectory(dir=options.room) as place:
        brief, folder, cache = Path(place) / "brief.toml", Path(place) / "exports", Path(place) / "cache"
        brief.write_text(BRIEF, encoding="utf-8")
        folder.mkdir()
        for at in range(PICTURES):
            left, top = at % ACROSS * SIDE[0], at // ACROSS * 67
            frame.crop((left, top, left + SIDE[0], top + SIDE[1])).save(folder / f"p{at:03}.jpg", quality=90, icc_profile=srgb)
        time.sleep(GROWN_UP)
        first, cold = opened(options.program, brief, folder, cache)
        print(f"# {PICTURES} pictures of 1 MP, cold: all after {cold:.1f} s")
        line(f"first verdict of {PICTURES} pictures, cold", f"{first:.2f} s", f"{MOST_FIRST:.0f} s", first <= MOST_FIRST)
        if PRESS.exists():
            brief.write_text(f'[paper]\nprofile = "{PRESS}"\n{BRIEF}', encoding="utf-8")
            opened(options.program, brief, folder, cache)
        else:
            print(f"# {PRESS} is not there: opened again without a press profile")
        warm = statistics.median(opened(options.program, brief, folder, cache)[1] for _ in range(ROUNDS))
        line(f"{PICTURES} checked pictures opened again", f"{warm:.2f} s", f"{MOST_WARM:.0f} s", warm <= MOST_WARM)


if __name__ == "__main__":
    main()
