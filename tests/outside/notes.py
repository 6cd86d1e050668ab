"""The note of a handover in a browser: no errors, at a phone's and a desk's width, and on A4 without cut pictures.

Sources: Chromium, headless; poppler's pdfimages, pdfinfo. Not among the checks that always run: `tests/outside/run notes`.
"""

import re
import subprocess

import numpy
from PIL import Image

import handover

NAMES = (*handover.ODD, "p1.jpg", "p2.jpg", "p3.jpg", "p4.jpg", "<script>alert(1)</script>.jpg".replace("/", "_"))
WIDTHS = (412, 1100)


def run(house):
    folder = handover.exports(house, "notes", NAMES)
    house.tally.equal("it is delivered", 0, handover.deliver(house, folder, "out").returncode)
    page = (folder / "out" / "NOTE.html").as_uri()
    for width in WIDTHS:
        shot = folder / f"{width}.png"
        errors = chromium(f"--screenshot={shot}", f"--window-size={width},1400", page)
        house.tally.equal(f"no word on the console at {width} px", [], errors)
        pixels = numpy.asarray(Image.open(shot).convert("L")).astype(int)
        house.tally.that(f"something is drawn at {width} px", pixels.std() > 5)
        # A page that is wider than its window would be cut: its right margin holds nothing.
        margin = pixels[:, -6:]
        house.tally.that(f"nothing reaches over the right edge at {width} px", int(margin.max() - margin.min()) < 30)
    printed = folder / "note.pdf"
    house.tally.equal("no word while it prints", [], chromium(f"--print-to-pdf={printed}", "--no-pdf-header-footer", page))
    info = subprocess.run(["pdfinfo", printed], capture_output=True, text=True, check=True).stdout
    pages = int(re.search(r"Pages:\s+(\d+)", info)[1])
    house.tally.that("it has pages", pages >= 2, info)
    listed = subprocess.run(["pdfimages", "-list", printed], capture_output=True, text=True, check=True).stdout
    images = [line.split() for line in listed.splitlines()[2:]]
    # A picture that is cut by the end of a page stands on both.
    whole = [image for image in images if image[2] == "image"]
    house.tally.equal("each picture stands once, on one page", len(NAMES), len(whole))


def chromium(*words):
    said = subprocess.run(["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr", "--hide-scrollbars", *words],
                          capture_output=True, text=True, timeout=120, check=False)
    return [line for line in said.stderr.splitlines() if "CONSOLE" in line]
