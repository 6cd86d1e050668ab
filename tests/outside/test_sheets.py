"""Sheets of test prints, measured back from their files: strips at true scale, the wedge's lightness, the ruler, the profile.

Sources: Pillow reads the files; LittleCMS's own calculator says the lightness of the wedge (CIE 15 through the embedded profile,
relative colorimetric); scale is arithmetic: pixels over inches.
"""

import io
import json
from pathlib import Path

import numpy
import pytest
from PIL import Image, ImageCms

import pictures
from colour import PRESS, through
from orders import SRGB
from programs import run

# Sides in pixels of a picture printed at 100 mm: densities that are whole and that are not.
SIDES = (1181, 1206, 2000)
MARGIN_IN, SCALE_PX, LIGHTNESS = 0.5, 1.0, 0.5
# A sheet's JPEG may lose what Pillow's of the same quality loses, and half as much again: other roundings.
JPEG_QUALITY, JPEG_TIMES = 98, 1.5
# Small print beside the margin rings a little into it.
JPEG_RINGS = 12
BRIEF = (
    '[file]\nformats = ["{format}"]\n[colour]\nspace = "{space}"\n[paper]\nstock = "coated"\nprofile = "{press}"\n'
    '[margins]\nbleed = "0 mm"\n[[print]]\nsize = "100 x 100 mm"\npictures = "*"\ntestprint = true\n'
)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("container", ["tiff", "png", "jpeg"])
def test_rgb(container, side, program, tmp_path, subtests):
    picture = pictures.rgb(side, side).rotate(30)
    measured(program, tmp_path, subtests, container, "srgb", picture, SRGB, turned=side == 1206)


def test_inks(program, tmp_path, subtests):
    measured(program, tmp_path, subtests, "tiff", "paper", pictures.cmyk(1300, 1300), Path(PRESS).read_bytes())


def measured(program, folder, subtests, container, space, picture, profile, turned=False):
    """Writes a sheet of one picture and measures it."""
    (folder / "exports").mkdir()
    (folder / "brief.toml").write_text(BRIEF.format(format=container, space=space, press=PRESS), encoding="utf-8")
    file = folder / "exports" / f"one.{'png' if container == 'png' else 'tif'}"
    options = {"exif": orientation(6)} if turned and container == "png" else {}
    picture.save(file, icc_profile=profile, **options)
    upright = numpy.asarray(picture.transpose(Image.Transpose.ROTATE_270) if options else picture)
    sheets = folder / "sheets"
    # Chosen by hand: a picture of another container than the brief's is no reason not to test its look.
    run(program, "testprint", folder / "brief.toml", folder / "exports", "--into", sheets, "--only", file)
    record = json.loads((sheets / "test-sheets.json").read_text())["sheets"]
    with subtests.test("one sheet"):
        assert len(record) == 1
    sheet = record[0]
    opened = Image.open(sheets / sheet["file"])
    with subtests.test("mode"):
        assert opened.mode == picture.mode
    embedded = opened.info["icc_profile"]
    with subtests.test("Pillow names the profile"):
        assert named(embedded)
    with subtests.test("it is sRGB, or the press's own"):
        assert embedded == profile if picture.mode == "CMYK" else "sRGB" in named(embedded)
    codes = numpy.asarray(opened).astype(int)
    paper = 0 if picture.mode == "CMYK" else 255
    ppi = picture.width / (100 / 25.4)
    scale(subtests, opened, ppi)
    edge = int(MARGIN_IN * ppi) - 1
    white = codes.copy()
    white[edge:-edge, edge:-edge] = paper
    with subtests.test("half an inch stays white"):
        assert numpy.abs(white - paper).max() <= (JPEG_RINGS if container == "jpeg" else 0)
    strips(subtests, sheet, codes, upright, container == "jpeg")
    wedge(subtests, sheet, codes, folder, embedded)
    ruler(subtests, sheet, codes, ppi, paper)


def orientation(tag):
    exif = Image.Exif()
    exif[0x0112] = tag
    return exif


def named(profile):
    return ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile))).strip()


def scale(subtests, opened, ppi):
    """The tag says how many pixels make an inch; a strip of two inches printed by it is off by less than a pixel."""
    across = opened.getexif().get(282) if opened.format == "JPEG" else opened.info["dpi"][0]
    with subtests.test("two inches by the tag"):
        assert abs(2 * ppi - 2 * float(across)) < SCALE_PX
    for side, inches in zip(opened.size, (8, 10), strict=True):
        with subtests.test(f"{inches} in of paper"):
            assert abs(side - inches * ppi) <= SCALE_PX


def strips(subtests, sheet, codes, upright, lossy):
    """Pixel by pixel the picture's own: nothing was resampled. A JPEG sheet may differ by its quantisation."""
    with subtests.test("there are strips"):
        assert len(sheet["strips"]) >= 2
    for strip in sheet["strips"]:
        left, top, width, height = strip["on_sheet_px"]
        x, y, *_ = strip["in_picture_px"]
        found = codes[top : top + height, left : left + width]
        wanted = upright[y : y + height, x : x + width].astype(int)
        with subtests.test(f"strip {strip['mark']} is the picture's own pixels"):
            off = numpy.abs(found - wanted)
            most, mean = lost_by_pillow(wanted) if lossy else (0, 0)
            assert off.max() <= JPEG_TIMES * most and off.mean() <= JPEG_TIMES * mean


def lost_by_pillow(codes):
    room = io.BytesIO()
    Image.fromarray(codes.astype(numpy.uint8)).save(room, format="JPEG", quality=JPEG_QUALITY, subsampling=0)
    off = numpy.abs(numpy.asarray(Image.open(room)).astype(int) - codes)
    return off.max(), off.mean()


def wedge(subtests, sheet, codes, folder, profile):
    path = folder / "sheet.icc"
    path.write_bytes(profile)
    middles = []
    for step in sheet["wedge"]:
        left, top, width, height = step["on_sheet_px"]
        middles.append(codes[top + height // 2, left + width // 2])
    with subtests.test("the wedge has steps"):
        assert len(middles) >= 15
    # LittleCMS's calculator takes RGB as 0 to 255 and inks as 0 to 100 per cent.
    scale = 100 / 255 if len(middles[0]) == 4 else 1
    lab = through(numpy.array(middles) * scale, path, "*Lab")
    for step, found in zip(sheet["wedge"], lab, strict=True):
        with subtests.test(f"wedge L* {step['lightness']:.0f}"):
            assert abs(step["lightness"] - found[0]) <= LIGHTNESS


def ruler(subtests, sheet, codes, ppi, paper):
    """Its ends are found as the first and last dark column of its row."""
    left, right = sheet["ruler_100_mm_px"]
    black = codes[..., -1] > 128 if paper == 0 else codes[..., 0] < 128
    rows = numpy.flatnonzero(black[:, left + 3 : right - 3].all(axis=1))
    with subtests.test("the ruler is one line"):
        assert len(rows) > 0
    with subtests.test("100 mm"):
        columns = numpy.flatnonzero(black[rows[-1]])
        assert abs(columns[-1] - columns[0] - 100 / 25.4 * ppi) <= SCALE_PX + ppi / 100
