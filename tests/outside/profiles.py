"""Embedded profiles of other makers, recognised by their numbers."""

import hashlib
from pathlib import Path

from PIL import ImageCms

import pictures
from house import Has, Shelf

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
MAKERS = {"grey": pictures.grey, "cmyk": pictures.cmyk}


def run(house):
    shelf = Shelf(house, "profiles")
    own = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    cases = [("littlecms", own, {"known_as": "srgb", "space": "rgb", "description": Has("sRGB")}, "Pillow ImageCms.createProfile")]
    for path, truth in STOCK:
        if Path(path).exists():
            place = Path(path)
            cases.append((f"{place.parent.name}-{place.stem}", place.read_bytes(), truth, path))
        else:
            house.tally.that(f"{path} is installed", False)
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
    shelf.ask()
