"""The note of a delivery in a browser: no errors, at the width of phones and of a monitor, and on paper without cut pictures.

Sources: Chromium, headless; poppler's pdfimages, pdfinfo.
"""

import re

import numpy
import pytest
from PIL import Image

from deliveries import ODD, deliver, exports
from programs import ended, run

pytestmark = pytest.mark.browser

NAMES = (*ODD, "p1.jpg", "p2.jpg", "p3.jpg", "p4.jpg", "<script>alert(1)</script>.jpg".replace("/", "_"))
# Longest that the browser may take for a page, in seconds. No source.
PAGE_S = 120


@pytest.fixture(scope="module")
def page(program, tmp_path_factory):
    """The note's address."""
    folder = tmp_path_factory.mktemp("notes")
    exports(folder, NAMES)
    assert deliver(program, folder, "out").returncode == 0
    return (folder / "out" / "NOTE.html").as_uri()


@pytest.mark.parametrize("width", [360, 412, 1100])
def test_screen(width, page, tmp_path, subtests):
    shot = tmp_path / "note.png"
    errors = chromium(f"--screenshot={shot}", f"--window-size={width},1400", page)
    with subtests.test("no word on the console"):
        assert not errors
    pixels = numpy.asarray(Image.open(shot).convert("L")).astype(int)
    with subtests.test("something is drawn"):
        assert pixels.std() > 5
    # A page that is wider than its window would be cut: its right margin holds nothing.
    with subtests.test("nothing reaches over the right edge"):
        assert numpy.ptp(pixels[:, -6:]) < 30


def test_paper(page, tmp_path, subtests):
    printed = tmp_path / "note.pdf"
    with subtests.test("no word while it prints"):
        assert not chromium(f"--print-to-pdf={printed}", "--no-pdf-header-footer", page)
    with subtests.test("it has pages"):
        assert int(re.search(r"Pages:\s+(\d+)", run("pdfinfo", printed).decode())[1]) >= 2
    images = [line.split() for line in run("pdfimages", "-list", printed).decode().splitlines()[2:]]
    # A picture that is cut by the end of a page stands on both.
    with subtests.test("each picture stands once, on one page"):
        assert len([image for image in images if image[2] == "image"]) == len(NAMES)


def chromium(*words):
    """What the page said on the console."""
    said = ended("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr", "--hide-scrollbars", *words, within_s=PAGE_S, text=True)
    return [line for line in said.stderr.splitlines() if "CONSOLE" in line]
