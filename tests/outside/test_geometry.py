"""Needed pixels, crops and densities against exact arithmetic done here with fractions.

Sources: the inch is 25.4 mm (international yard and pound agreement, 1959); sizes of ISO 216; photographic sizes by
their inches. Rounding of needed pixels: to the nearest, as exporters do.
"""

import math
from fractions import Fraction

import pytest

import pictures
from print_sizes import CROP_LOSS, INCH_SIZES, ISO_SIZES, SHAPES
from shelf import said
from truths import near

INCH_MM = Fraction(254, 10)
DENSITIES = (300, 240, 150)
# Bleed of each side in mm: none, the book trade's 3 mm, and 1/8 in.
BLEEDS = (("0 mm", Fraction(0)), ("3 mm", Fraction(3)), ("1/8 in", INCH_MM / 8))


def nearest(value):
    return math.floor(value + Fraction(1, 2))


def sizes():
    """Name in the brief, width and height in mm."""
    for wide, high in INCH_SIZES:
        yield f"{wide} x {high} in", Fraction(wide) * INCH_MM, Fraction(high) * INCH_MM
    for name, wide, high in ISO_SIZES:
        yield name, Fraction(wide), Fraction(high)
        yield f"{wide} x {high} mm", Fraction(wide), Fraction(high)


@pytest.mark.parametrize("ppi", DENSITIES)
@pytest.mark.parametrize(("bleed", "bleed_mm"), BLEEDS, ids=[bleed.replace("/", "-") for bleed, _ in BLEEDS])
def test_needed(ppi, bleed, bleed_mm, tmp_path, check, subtests):
    brief = [
        '[paper]\nstock = "coated"\nsurface = "matte"\nprocess = "offset"',
        f'[density]\ntarget = "{ppi} ppi"\nminimum = "100 ppi"',
        f'[margins]\nedge = "bleed"\nbleed = "{bleed}"',
    ]
    truths = {}
    for at, (size, wide, high) in enumerate(sizes()):
        name = f"print {at} {size}"
        brief.append(f'[[print]]\nname = "{name}"\nsize = "{size}"\npicture = "none-{at}-*"')
        frame = [(side + 2 * bleed_mm) / INCH_MM * ppi for side in (wide, high)]
        truths[name] = (wide, high, [nearest(px) for px in frame])
    found = {row["print"]: row for row in check("\n".join(brief) + "\n", tmp_path)["rows"]}
    for name, (wide, high, px) in truths.items():
        row = found.get(name)
        with subtests.test(f"{name} is a row"):
            assert row is not None
        if row is None:
            continue
        geometry = row["geometry"] or {}
        with subtests.test(f"{name}: needed px"):
            assert geometry.get("needed_px") == px
        with subtests.test(f"{name}: mm"):
            assert geometry.get("size_mm") == near([float(wide), float(high)], 1e-6)
        with subtests.test(f"{name}: bleed"):
            assert geometry.get("bleed_mm") == near([float(bleed_mm)] * 4, 1e-6)
        with subtests.test(f"{name}: state"):
            assert row["state"] == "MISSING"


def test_crops(tmp_path, rows, subtests):
    """What a centred crop loses: 1 - min(a, b) / max(a, b), with a and b long over short side."""
    brief, truths = [], {}
    for picture, (short, long) in {"2:3": (400, 600), "3:4": (450, 600), "4:5": (480, 600)}.items():
        for shape, size in SHAPES.items():
            key = f"{picture} as {shape}".replace(":", "-").replace(" ", "-")
            pictures.grey(short, long).save(tmp_path / f"{key}.png")
            brief.append(f'[[print]]\nname = "{key}"\nsize = "{size}"\npicture = "{key}.png"')
            truths[key] = CROP_LOSS[picture][shape]
    for key, row in rows("\n".join(brief) + "\n", tmp_path).items():
        percent = truths[key.removesuffix(".png")]
        sides = row["geometry"]["crop_lost_sides"]
        # The table is printed to a thousandth of a per cent.
        with subtests.test(f"{key} loses {percent} %"):
            assert row["measures"]["crop_lost"] == near(percent / 100, 6e-6)
        with subtests.test(f"{key} loses it at its sides"):
            assert sum(sides) == near(percent / 100, 6e-6)
        with subtests.test(f"{key} is centred"):
            assert math.isclose(sides[0], sides[2]) and math.isclose(sides[1], sides[3]), f"{sides}"
        with subtests.test(f"{key} has a finding of shape"):
            assert bool(said(row, "size.aspect")) == (percent > 1)


def test_densities(tmp_path, rows, subtests):
    """Effective ppi at the printed size, the lower axis deciding after the crop."""
    brief, truths = [], {}
    cases = (
        ("exact", (2400, 3000), "8 x 10 in", Fraction(300)),
        ("scarce", (1424, 1780), "8 x 10 in", Fraction(178)),
        ("long", (2400, 3600), "8 x 10 in", Fraction(300)),
        ("a4", (2480, 3508), "A4", min(2480 * INCH_MM / 210, 3508 * INCH_MM / 297)),
        ("turned", (3000, 2400), "8 x 10 in", Fraction(300)),
        ("page", (1500, 1860), "210 x 260 mm", min(1500 * INCH_MM / 210, 1860 * INCH_MM / 260)),
    )
    for key, (wide, high), size, ppi in cases:
        pictures.grey(16, 16).resize((wide, high)).save(tmp_path / f"{key}.png")
        brief.append(f'[[print]]\nname = "{key}"\nsize = "{size}"\npicture = "{key}.png"')
        truths[key] = ppi
    for name, row in rows("\n".join(brief) + "\n", tmp_path).items():
        key = name.removesuffix(".png")
        with subtests.test(f"{key}: effective ppi"):
            assert row["measures"]["effective_ppi"] == near(float(truths[key]), 1e-6)
        with subtests.test(f"{key}: turned with its picture"):
            assert row["geometry"]["rotated"] is (key == "turned")
        # 180 ppi is the least of a brief that says nothing, a lab's print; a hundredth of it is forgiven.
        with subtests.test(f"{key}: density.minimum"):
            assert bool(said(row, "density.minimum")) == (truths[key] < 180 * Fraction(99, 100))
