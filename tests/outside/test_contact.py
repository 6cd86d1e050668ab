"""The contact sheet in a browser: nothing over the edge at the width of phones and of a monitor, and on A4 and on Letter as many pages as
the sheet says, each with its pictures.

Sources: those of `browser.py`.
"""

import numpy
import pytest

import pictures
from browser import chromium, pages, pictures_by_page, pixels
from orders import SRGB
from programs import run

pytestmark = pytest.mark.browser

# Paper by its name in CSS, in points: ISO 216 A4, and 8.5 x 11 in.
PAPERS = {"A4": (595.3, 841.9), "letter": (612, 792)}
# Pages of the book, the last of them a spread, and prints for the wall: with six on a page 2-3, 4-, 6-7 | 8-9, 10-11, two | one; with nine
# 2-3 4, 6-7 | 8-9 and so on. The name of the first is as long as a name gets, one is markup, and one has no picture.
LONG = "smoked mackerel on rye with dill, radish and everything else that was in the kitchen that day, seen from above"
BOOK = (("2", LONG), ("3", "<b>leeks</b>"), ("4", "broth"), ("6", "beetroot"), ("7", "missing"), ("8-9", "the table"), ("10", "oysters"), ("11", "tart"))
WALLS = ("wall one", "wall two", "wall three")
# Pictures on each page of paper.
BY_PAGE = {6: [1, 1, 1, 1, 2, 2, 2, 2, 2, 3], 9: [1, 1, 1, 1, 1, 2, 2, 2, 2, 2]}


@pytest.fixture(scope="module", params=[6, 9])
def sheet(request, program, tmp_path_factory):
    """How many are on a page, and the sheet's path."""
    folder = tmp_path_factory.mktemp("contact")
    exports = folder / "exports"
    exports.mkdir()
    prints = [(f"page = {page}\n" if page.isdecimal() else f'page = "{page}"\n', name) for page, name in BOOK] + [("", name) for name in WALLS]
    text = 'title = "Low Water Suppers: plates, first batch"\nfrom = "Maren Olde"\n'
    for at, (page, name) in enumerate(prints):
        text += f'[[print]]\nname = "{name}"\n{page}picture = "{at:02}*"\nsize = "30 x 40 mm"\n'
        if name != "missing":
            side = (240, 160) if "-" in page else (150, 200)
            pictures.rgb(*side).rotate(at * 7).save(exports / f"{at:02}.jpg", quality=95, icc_profile=SRGB)
    (folder / "brief.toml").write_text(text, encoding="utf-8")
    run(program, "contact", "brief.toml", "exports", "--into", "sheet.html", "--per-page", str(request.param), "--states", cwd=folder)
    return request.param, folder / "sheet.html"


@pytest.mark.parametrize("width", [360, 1100])
def test_screen(width, sheet, tmp_path, subtests):
    shot = tmp_path / "sheet.png"
    errors = chromium(f"--screenshot={shot}", f"--window-size={width},1400", sheet[1].as_uri())
    with subtests.test("no word on the console"):
        assert not errors
    shown = pixels(shot)
    with subtests.test("something is drawn"):
        assert shown.std() > 5
    # A page that is wider than its window would be cut: its right margin holds nothing.
    with subtests.test("nothing reaches over the right edge"):
        assert numpy.ptp(shown[:, -6:]) < 30


@pytest.mark.parametrize("paper", PAPERS)
def test_paper(paper, sheet, tmp_path, subtests):
    per_page, page = sheet
    # The browser takes the paper of its printer, which headless has not: it is named in the page instead.
    named = tmp_path / "sheet.html"
    named.write_text(page.read_text(encoding="utf-8").replace("@page { margin", f"@page {{ size: {paper}; margin", 1), encoding="utf-8")
    printed = tmp_path / "sheet.pdf"
    with subtests.test("no word while it prints"):
        assert not chromium(f"--print-to-pdf={printed}", "--no-pdf-header-footer", named.as_uri())
    count, size = pages(printed)
    with subtests.test("the paper is the one that was named"):
        assert size == pytest.approx(PAPERS[paper], abs=1)
    with subtests.test("a page of paper for each sheet"):
        assert count == BY_PAGE[per_page][-1]
    with subtests.test("each picture is on its own page, and whole"):
        assert pictures_by_page(printed) == BY_PAGE[per_page]
