"""Orders of small pictures: so small that a thousand are read in a second, sound for a small print, and each with one
warning that a person can accept.
"""

import io
import os
import time
import tomllib

import numpy
from PIL import Image, ImageCms

# Pixels of a picture. At the size of BRIEF it has 254 ppi: more than must be, less than is wanted.
SIZE_PX = (200, 150)
# Age of a picture in seconds: a live table reads it at once.
LAIN_S = 3600
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
# The one finding of each picture, and the word that stands for it.
RULE = "density.target"
# What the prompt says once a decision is kept.
CONFIRMS = "accepted in "
OTHERS_OFF = "".join(f'"{rule}" = "off"\n' for rule in (
    "detail.focus", "detail.halo", "detail.enlarged", "detail.noise", "detail.blocks", "file.jpeg_quality", "file.credit", "file.name",
    "file.location", "tone.dark", "tone.highlights", "tone.shadows", "tone.paper", "margins.bleed", "margins.trim", "margins.safe",
    "margins.frame", "density.tag", "colour.gamut", "colour.misread", "set.outlier", "set.mixed"))
RULES = "[rules]\n" + OTHERS_OFF + '"set.duplicate" = "off"\n'
PRINT = '[[print]]\nname = "card"\nsize = "20 x 15 mm"\npictures = "*"\n'
BRIEF = RULES + PRINT


def picture(seed, look=None, size=SIZE_PX):
    """A JPEG: soft patches by `look`, so that two with the same look alike, with grain by `seed`."""
    patches = numpy.random.default_rng(seed if look is None else look).integers(60, 200, (4, 5, 3), dtype=numpy.uint8)
    soft = numpy.asarray(Image.fromarray(patches).resize(size, Image.Resampling.BICUBIC)).astype(int)
    grain = numpy.random.default_rng(seed).integers(-2, 3, (size[1], size[0], 1))
    room = io.BytesIO()
    Image.fromarray((soft + grain).clip(0, 255).astype(numpy.uint8)).save(room, "JPEG", quality=92, icc_profile=SRGB)
    return room.getvalue()


def order(place, names, brief=BRIEF, look=None):
    """Lays `brief.toml` and `exports/` with a picture of each name; where `look` is given, all look alike."""
    (place / "exports").mkdir(parents=True)
    (place / "brief.toml").write_text(brief, encoding="utf-8")
    for at, name in enumerate(names):
        lay(place / "exports" / name, picture(at, look))
    return place


def lay(path, content):
    """Lays a file that has lain still for long, so that nobody waits for its writer."""
    path.write_bytes(content)
    then = time.time() - LAIN_S
    os.utime(path, (then, then))


def decided(place):
    """The reasons of what stands accepted, by their pictures; fails where the file is no longer sound."""
    file = place / "brief.decisions.toml"
    if not file.exists():
        return {}
    return {one["picture"]: one["reason"] for one in tomllib.loads(file.read_text(encoding="utf-8")).get("accepted", [])}


def numbered(count):
    return [f"p{at:05}.jpg" for at in range(count)]


def unfinished(folder):
    """What was left half-written in a folder, by the name that the program gives such files."""
    return sorted(path.name for path in folder.iterdir() if path.name.startswith(".plateside-"))
