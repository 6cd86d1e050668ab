"""Embedded profiles of other makers, recognised by their numbers."""

import hashlib
import io
from pathlib import Path

import numpy
from PIL import Image, ImageCms
from skimage.color import deltaE_ciede2000

import pictures
from programs import run
from shelf import ANY_PICTURE
from truths import Has

# Stock profiles of Debian's packages icc-profiles-free and libgs-common, and what their makers say they are.
STOCK = (
    ("/usr/share/color/icc/sRGB.icc", {"known_as": "srgb", "class": "display", "space": "rgb"}),
    ("/usr/share/color/icc/compatibleWithAdobeRGB1998.icc", {"known_as": "adobe rgb", "description": Has("Adobe RGB")}),
    # The primaries of eciRGB with the L* curve: what eciRGB v2 is (ISO/TS 22028-4).
    ("/usr/share/color/icc/LStar-RGB.icc", {"known_as": "eci rgb v2"}),
    ("/usr/share/color/icc/ghostscript/srgb.icc", {"known_as": "srgb"}),
    ("/usr/share/color/icc/ghostscript/a98.icc", {"known_as": "adobe rgb"}),
    ("/usr/share/color/icc/ghostscript/default_cmyk.icc", {"known_as": None, "space": "cmyk", "class": "output"}),
    ("/usr/share/color/icc/Gray.icc", {"known_as": None, "space": "grey"}),
    ("/usr/share/color/icc/Gray-CIE_L.icc", {"known_as": None, "space": "grey"}),
)
# What colord-data and libgs-common hold besides, where its maker says what it is: it must be recognised.
NAMED = {
    "AdobeRGB1998": "adobe rgb", "ECI-RGBv2": "eci rgb v2", "ProPhotoRGB": "prophoto rgb", "rommrgb": "prophoto rgb",
    "sRGB": "srgb", "srgb": "srgb", "a98": "adobe rgb", "compatibleWithAdobeRGB1998": "adobe rgb", "LStar-RGB": "eci rgb v2",
}
MAKERS = {"grey": pictures.grey, "cmyk": pictures.cmyk}


def test_stock(shelf, subtests):
    own = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    cases = [("littlecms", own, {"known_as": "srgb", "space": "rgb", "description": Has("sRGB")}, "Pillow ImageCms.createProfile")]
    for path, truth in STOCK:
        place = Path(path)
        assert place.exists(), "it is not installed; .ci/run installs it"
        cases.append((f"{place.parent.name}-{place.stem}", place.read_bytes(), truth, path))
    for name, profile, truth, source in cases:
        image = MAKERS.get(truth.get("space"), pictures.rgb)(60, 40)
        digest = hashlib.sha256(profile).hexdigest()
        for suffix in ("jpg", "tif") if image.mode == "CMYK" else ("jpg", "tif", "png"):
            image.save(shelf / f"{name}.{suffix}", icc_profile=profile)
            shelf.holds(f"{name}.{suffix}", source, profile={**truth, "sha256": digest, "fault": None})
    # A profile of garbage and one that is cut short: said, never trusted.
    pictures.rgb(60, 40).save(shelf / "garbage.jpg", icc_profile=b"no profile at all" * 20)
    shelf.holds("garbage.jpg", "bytes that are no profile", profile={"known_as": None, "fault": Has("")})
    pictures.rgb(60, 40).save(shelf / "cut.jpg", icc_profile=own[: len(own) // 2])
    shelf.holds("cut.jpg", "half a profile", profile={"known_as": None, "fault": Has("")})
    shelf.compare(subtests)


def test_every(tmp_path, check, example, subtests):
    """Every RGB profile of the three packages, as it is and under another name: named right or not at all. Whether a
    name is right is asked of LittleCMS: what it makes of a grid of colours through the profile and through ours of that
    name."""
    paths = sorted(path for path in Path("/usr/share/color/icc").rglob("*.ic[cm]") if path.read_bytes()[16:20] == b"RGB ")
    with subtests.test("RGB profiles are installed"):
        assert len(paths) >= 30
    tool = example("transform")
    for path in paths:
        profile = path.read_bytes()
        pictures.rgb(60, 40).save(tmp_path / f"{path.parent.name}-{path.stem}.tif", icc_profile=profile)
        renamed = profile.replace(b"RGB", b"XYZ").replace("RGB".encode("utf-16-be"), "XYZ".encode("utf-16-be"))
        # The space of the data stays what it is.
        renamed = renamed[:16] + profile[16:20] + renamed[20:]
        pictures.rgb(60, 40).save(tmp_path / f"{path.parent.name}-{path.stem}-renamed.tif", icc_profile=renamed)
    rows = {row["picture"]: row["facts"]["profile"] for row in check(ANY_PICTURE, tmp_path)["rows"]}
    for path in paths:
        found = rows[f"{path.parent.name}-{path.stem}.tif"]["known_as"]
        with subtests.test(f"{path} renamed"):
            assert rows[f"{path.parent.name}-{path.stem}-renamed.tif"]["known_as"] == found
        if path.stem in NAMED:
            with subtests.test(f"{path} is recognised"):
                assert found == NAMED[path.stem]
        if found:
            with subtests.test(f"{path} is {found}, in Delta E"):
                assert deltaE_ciede2000(grid_through(path.read_bytes()), grid_through(run(tool, "profile", found))).max() <= 1.5


def grid_through(profile):
    """What LittleCMS makes of nine steps a channel, in a wide space of 8 bits, as L*, a*, b*."""
    grid = numpy.stack(numpy.meshgrid(*[numpy.linspace(0, 255, 9).round()] * 3, indexing="ij"), -1)
    grid = Image.fromarray(grid.reshape(27, 27, 3).astype(numpy.uint8))
    way = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("LAB"), "RGB", "LAB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    lab = numpy.asarray(ImageCms.applyTransform(grid, way)).astype(float)
    signed = numpy.where(lab[..., 1:] > 127, lab[..., 1:] - 256, lab[..., 1:])
    return numpy.concatenate([lab[..., :1] / 2.55, signed], -1)
