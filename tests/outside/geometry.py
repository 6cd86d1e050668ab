"""Needed pixels, crops and densities against exact arithmetic done here with fractions.

Sources: the inch is 25.4 mm (international yard and pound agreement, 1959); sizes of ISO 216; photographic sizes by
their inches. Rounding of needed pixels: to the nearest, as exporters do.
"""

import math
from fractions import Fraction

import pictures
from house import Near
from print_sizes import INCH_SIZES, ISO_SIZES, SHAPES, CROP_LOSS

INCH_MM = Fraction(254, 10)
DENSITIES = (300, 240, 150)
# Bleed of each side in mm: none, the book trade's 3 mm, and 1/8 in.
BLEEDS = (("0 mm", Fraction(0)), ("3 mm", Fraction(3)), ("1/8 in", INCH_MM / 8))


def nearest(value):
    return math.floor(value + Fraction(1, 2))


def run(house):
    needed(house)
    crops(house)
    densities(house)


def sizes():
    """Name in the brief, width and height in mm."""
    for wide, high in INCH_SIZES:
        yield f"{wide} x {high} in", Fraction(wide) * INCH_MM, Fraction(high) * INCH_MM
    for name, wide, high in ISO_SIZES:
        yield name, Fraction(wide), Fraction(high)
        yield f"{wide} x {high} mm", Fraction(wide), Fraction(high)


def needed(house):
    empty = house.folder("geometry-empty")
    for ppi in DENSITIES:
        for bleed, bleed_mm in BLEEDS:
            brief = [
                '[paper]\nstock = "coated"\nsurface = "matte"\nprocess = "offset"',
                f'[density]\nwanted = "{ppi} ppi"\nleast = "100 ppi"',
                f'[margins]\nedge = "bleed"\nbleed = "{bleed}"',
            ]
            truths = {}
            for at, (size, wide, high) in enumerate(sizes()):
                name = f"print {at} {size}"
                brief.append(f'[[print]]\nname = "{name}"\nsize = "{size}"\npicture = "none-{at}-*"')
                frame = [(side + 2 * bleed_mm) / INCH_MM * ppi for side in (wide, high)]
                truths[name] = (wide, high, [nearest(px) for px in frame])
            rows = {row["print"]: row for row in house.check("\n".join(brief) + "\n", empty)["rows"]}
            for name, (wide, high, px) in truths.items():
                about = f"{name}, {bleed} bleed, {ppi} ppi"
                row = rows.get(name)
                if not house.tally.that(f"{about} is a row", row is not None):
                    continue
                found = row["geometry"] or {}
                house.tally.equal(f"{about}: needed px", px, found.get("needed_px"))
                house.tally.equal(f"{about}: mm", [Near(float(wide), 1e-6), Near(float(high), 1e-6)], found.get("size_mm"))
                house.tally.equal(f"{about}: bleed", [Near(float(bleed_mm), 1e-6)] * 4, found.get("bleed_mm"))
                house.tally.equal(f"{about}: state", "MISSING", row["state"])


def crops(house):
    """What a centred crop loses: 1 - min(a, b) / max(a, b), with a and b long over short side."""
    folder, brief, truths = house.folder("geometry-crops"), [], {}
    for picture, (short, long) in {"2:3": (400, 600), "3:4": (450, 600), "4:5": (480, 600)}.items():
        for shape, size in SHAPES.items():
            key = f"{picture} as {shape}".replace(":", "-").replace(" ", "-")
            pictures.grey(short, long).save(folder / f"{key}.png")
            brief.append(f'[[print]]\nname = "{key}"\nsize = "{size}"\npicture = "{key}.png"')
            truths[key] = CROP_LOSS[picture][shape]
    for key, row in house.rows("\n".join(brief) + "\n", folder).items():
        percent = truths[key.removesuffix(".png")]
        lost = row["measures"]["crop_lost"]
        # The table is printed to a thousandth of a per cent.
        house.tally.equal(f"{key} loses {percent} %", Near(percent / 100, 6e-6), lost)
        sides = row["geometry"]["crop_lost_sides"]
        house.tally.equal(f"{key} loses it at its sides", Near(percent / 100, 6e-6), sum(sides))
        house.tally.that(f"{key} is centred", math.isclose(sides[0], sides[2]) and math.isclose(sides[1], sides[3]), f"{sides}")
        shaped = [one for one in row["findings"] if one["rule"] == "size.shape"]
        house.tally.equal(f"{key} has a finding of shape", percent > 1, bool(shaped))


def densities(house):
    """Effective ppi at the printed size, the lower axis deciding after the crop."""
    folder, brief, truths = house.folder("geometry-density"), [], {}
    cases = (
        ("exact", (2400, 3000), "8 x 10 in", Fraction(300)),
        ("scarce", (1424, 1780), "8 x 10 in", Fraction(178)),
        ("long", (2400, 3600), "8 x 10 in", Fraction(300)),
        ("a4", (2480, 3508), "A4", min(2480 * INCH_MM / 210, 3508 * INCH_MM / 297)),
        ("turned", (3000, 2400), "8 x 10 in", Fraction(300)),
        ("page", (1500, 1860), "210 x 260 mm", min(1500 * INCH_MM / 210, 1860 * INCH_MM / 260)),
    )
    for key, (wide, high), size, ppi in cases:
        pictures.grey(16, 16).resize((wide, high)).save(folder / f"{key}.png")
        brief.append(f'[[print]]\nname = "{key}"\nsize = "{size}"\npicture = "{key}.png"')
        truths[key] = ppi
    for name, row in house.rows("\n".join(brief) + "\n", folder).items():
        key = name.removesuffix(".png")
        house.tally.equal(f"{key}: effective ppi", Near(float(truths[key]), 1e-6), row["measures"]["effective_ppi"])
        house.tally.equal(f"{key}: turned with its picture", key == "turned", row["geometry"]["turned"])
        # 180 ppi is the least of a brief that says nothing, a lab's print; a hundredth of it is forgiven.
        found = any(one["rule"] == "density.least" for one in row["findings"])
        house.tally.equal(f"{key}: density.least", truths[key] < 180 * Fraction(99, 100), found)
