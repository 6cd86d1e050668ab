"""The note of a delivery in a browser: no errors, at the width of phones and of a monitor, and on paper without cut pictures.

Sources: those of `browser.py`.
"""

import numpy
import pytest

from browser import chromium, pages, pictures_by_page, pixels
from deliveries import ODD, deliver, exports

pytestmark = pytest.mark.browser

NAMES = (*ODD, "p1.jpg", "p2.jpg", "p3.jpg", "p4.jpg", "<script>alert(1)</script>.jpg".replace("/", "_"))


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
    shown = pixels(shot)
    with subtests.test("something is drawn"):
        assert shown.std() > 5
    # A page that is wider than its window would be cut: its right margin holds nothing.
    with subtests.test("nothing reaches over the right edge"):
        assert numpy.ptp(shown[:, -6:]) < 30


def test_paper(page, tmp_path, subtests):
    printed = tmp_path / "note.pdf"
    with subtests.test("no word while it prints"):
        assert not chromium(f"--print-to-pdf={printed}", "--no-pdf-header-footer", page)
    with subtests.test("it has pages"):
        assert pages(printed)[0] >= 2
    with subtests.test("each picture stands once, on one page"):
        assert len(pictures_by_page(printed)) == len(NAMES)
