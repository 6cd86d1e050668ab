"""Pages in a browser: what they look like, what they print, and what they say on the console.

Sources: Chromium, headless; poppler's pdfimages, pdfinfo.
"""

import re

import numpy
from PIL import Image

from programs import ended, run

# Longest that the browser may take for a page, in seconds. No source.
PAGE_S = 120


def chromium(*words):
    """What the page said on the console."""
    said = ended("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr", "--hide-scrollbars", *words, within_s=PAGE_S, text=True)
    return [line for line in said.stderr.splitlines() if "CONSOLE" in line]


def pixels(shot):
    """The lightness of a picture of the screen, row by row."""
    return numpy.asarray(Image.open(shot).convert("L")).astype(int)


def pages(printed):
    """How many pages a PDF has, and the sizes in points of the first."""
    said = run("pdfinfo", printed).decode()
    size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", said)
    return int(re.search(r"Pages:\s+(\d+)", said)[1]), (float(size[1]), float(size[2]))


def pictures_by_page(printed):
    """The page of every picture in a PDF, in order. One that is cut by the end of a page is on both."""
    lines = [line.split() for line in run("pdfimages", "-list", printed).decode().splitlines()[2:]]
    return [int(line[0]) for line in lines if line[2] == "image"]
