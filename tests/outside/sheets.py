"""Sheets of test prints, measured back from their files: strips at true scale, the wedge's lightness, the ruler, the profile.

Sources: Pillow reads the files; LittleCMS's own calculator says the lightness of the wedge (CIE 15 through the embedded profile,
relative colorimetric); scale is arithmetic: pixels over inches.
"""

import io
import json

import numpy
from PIL import Image, ImageCms

import pictures
from colours import PRESS, through

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


def run(house):
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for container in ("tiff", "png", "jpeg"):
        for side in SIDES:
            picture = pictures.rgb(side, side).rotate(30)
            measured(house, f"{container} {side} px", container, "srgb", "RGB", picture, srgb, turned=side == 1206)
    with open(PRESS, "rb") as press:
        inks = press.read()
    measured(house, "inks", "tiff", "paper", "CMYK", pictures.cmyk(1300, 1300), inks)


def measured(house, name, container, space, mode, picture, profile, turned=False):
    folder = house.folder(name.replace(" ", "-"))
    (folder / "exports").mkdir()
    (folder / "brief.toml").write_text(BRIEF.format(format=container, space=space, press=PRESS), encoding="utf-8")
    file = folder / "exports" / f"one.{'png' if container == 'png' else 'tif'}"
    options = {"exif": orientation(6)} if turned and container == "png" else {}
    picture.save(file, icc_profile=profile, **options)
    upright = numpy.asarray(picture.transpose(Image.Transpose.ROTATE_270) if options else picture)
    sheets = folder / "sheets"
    # Chosen by hand: a picture of another container than the brief's is no reason not to test its look.
    house.run(house.program, "testprint", folder / "brief.toml", folder / "exports", "--into", sheets, "--choose", file)
    record = json.loads((sheets / "test-sheets.json").read_text())["sheets"]
    house.tally.equal(f"{name}: one sheet", 1, len(record))
    sheet = record[0]
    opened = Image.open(sheets / sheet["file"])
    house.tally.equal(f"{name}: mode", mode, opened.mode)
    embedded = opened.info["icc_profile"]
    house.tally.that(f"{name}: Pillow names the profile", bool(named(embedded)))
    if mode == "RGB":
        house.tally.that(f"{name}: it is sRGB", "sRGB" in named(embedded), named(embedded))
    else:
        house.tally.that(f"{name}: it is the press's own", embedded == profile)
    codes = numpy.asarray(opened).astype(int)
    paper = 0 if mode == "CMYK" else 255
    ppi = picture.width / (100 / 25.4)
    scale(house, name, opened, ppi)
    edge = int(MARGIN_IN * ppi) - 1
    white = codes.copy()
    white[edge:-edge, edge:-edge] = paper
    off = int(numpy.abs(white - paper).max())
    house.tally.that(f"{name}: half an inch stays white", off <= (JPEG_RINGS if container == "jpeg" else 0), f"off by {off}")
    strips(house, name, sheet, codes, upright, container == "jpeg")
    wedge(house, name, sheet, codes, folder, embedded)
    ruler(house, name, sheet, codes, ppi, paper)


def orientation(tag):
    exif = Image.Exif()
    exif[0x0112] = tag
    return exif


def named(profile):
    return ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile))).strip()


def scale(house, name, opened, ppi):
    """The tag says how many pixels make an inch; a strip of two inches printed by it is off by less than a pixel."""
    across = opened.getexif().get(282) if opened.format == "JPEG" else opened.info["dpi"][0]
    off = abs(2 * ppi - 2 * float(across))
    house.tally.that(f"{name}: two inches by the tag", off < SCALE_PX, f"{off} px")
    for side, inches in zip(opened.size, (8, 10), strict=True):
        house.tally.that(f"{name}: {inches} in of paper", abs(side - inches * ppi) <= SCALE_PX, f"{side} px")


def strips(house, name, sheet, codes, upright, lossy):
    """Pixel by pixel the picture's own: nothing was resampled. A JPEG sheet may differ by its quantisation."""
    house.tally.that(f"{name}: there are strips", len(sheet["strips"]) >= 2)
    for strip in sheet["strips"]:
        left, top, width, height = strip["on_sheet_px"]
        x, y, *_ = strip["in_picture_px"]
        found = codes[top : top + height, left : left + width]
        wanted = upright[y : y + height, x : x + width].astype(int)
        off = numpy.abs(found - wanted)
        most, mean = lost_by_pillow(wanted) if lossy else (0, 0)
        holds = off.max() <= JPEG_TIMES * most and off.mean() <= JPEG_TIMES * mean
        house.tally.that(f"{name}: strip {strip['mark']} is the picture's own pixels", holds, f"off by {off.max()}, {off.mean():.2f}")


def lost_by_pillow(codes):
    room = io.BytesIO()
    Image.fromarray(codes.astype(numpy.uint8)).save(room, format="JPEG", quality=JPEG_QUALITY, subsampling=0)
    off = numpy.abs(numpy.asarray(Image.open(room)).astype(int) - codes)
    return off.max(), off.mean()


def wedge(house, name, sheet, codes, folder, profile):
    path = folder / "sheet.icc"
    path.write_bytes(profile)
    middles = []
    for step in sheet["wedge"]:
        left, top, width, height = step["on_sheet_px"]
        middles.append(codes[top + height // 2, left + width // 2])
    house.tally.that(f"{name}: the wedge has steps", len(middles) >= 15)
    # LittleCMS's calculator takes RGB as 0 to 255 and inks as 0 to 100 per cent.
    scale = 100 / 255 if len(middles[0]) == 4 else 1
    lab = through(house, numpy.array(middles) * scale, path, "*Lab")
    for step, found in zip(sheet["wedge"], lab, strict=True):
        off = abs(step["lightness"] - found[0])
        house.tally.that(f"{name}: wedge L* {step['lightness']:.0f}", off <= LIGHTNESS, f"is {found[0]:.2f}")


def ruler(house, name, sheet, codes, ppi, paper):
    """Its ends are found as the first and last dark column of its row."""
    left, right = sheet["ruler_100_mm_px"]
    black = codes[..., -1] > 128 if paper == 0 else codes[..., 0] < 128
    rows = numpy.flatnonzero(black[:, left + 3 : right - 3].all(axis=1))
    house.tally.that(f"{name}: the ruler is one line", len(rows) > 0)
    columns = numpy.flatnonzero(black[rows[-1]])
    length = columns[-1] - columns[0]
    house.tally.that(f"{name}: 100 mm", abs(length - 100 / 25.4 * ppi) <= SCALE_PX + ppi / 100, f"{length} px")
