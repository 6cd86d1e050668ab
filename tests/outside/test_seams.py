"""Photographs cut in two by numpy and written by Pillow, as the two pages of a spread: what plateside says of the seam.

Each page has 3 mm of the other one as its bleed. The left page is saved as JPEG 85 and sharpened, the right one as JPEG
75, 95 or sharpened, so that no two files were treated alike. A sound spread must be called sound; one whose right page lies
2 % of its height higher or lower, belongs to another picture, or has another tone, must be found.
"""

from collections import Counter
from io import BytesIO

import numpy
import pytest
from PIL import Image, ImageFilter

from photographs import SET_ON, UNSEEN, opened

# Longer side of a spread in pixels; photographs of less keep theirs.
LONGER_PX = 1120
# Pixels a millimetre, and those of the bleed: 3 mm.
PX_PER_MM, BLEED_PX = 8, 24
# Where a photograph is cut, as a share of its width. Off the middle, too: things are photographed there.
CUTS = (0.42, 0.5)
# JPEG quality and sharpening (per cent) of the right page.
SAVED = {"quality 75": (75, 0), "quality 95": (95, 0), "sharpened": (90, 120)}
# What is done to the right page, and the words that must be found.
SOUND, STEP_UP, STEP_DOWN, OTHER, LIGHTER, WARMER = "sound", "2 % higher", "2 % lower", "another picture", "lighter", "warmer"
WORDS = {
    STEP_UP: " higher than ",
    STEP_DOWN: " lower than ",
    OTHER: "does not go on from",
    LIGHTER: " lighter than ",
    WARMER: "along the seam",
}
# Least share of each that must be found, and that must be found for what it is. Of sound ones none may be.
# Most false alarms on sound seams: each is a note at most. Source as below.
MOST_ALARMS = 0.03
# Nine in ten steps and strange pictures; a weaker change of tone is seen less surely. Source: ours, below the figures of
# the trial on unseen photographs, which the run prints.
LEAST = {STEP_UP: (0.9, 0.9), STEP_DOWN: (0.9, 0.9), OTHER: (0.9, 0.9), LIGHTER: (0.85, 0.85), WARMER: (0.75, 0.75)}


def spread(name):
    """A photograph within LONGER_PX, its sides whole millimetres."""
    picture = Image.fromarray(opened(name))
    picture.thumbnail((LONGER_PX, LONGER_PX), Image.Resampling.LANCZOS)
    height, width = (side // PX_PER_MM * PX_PER_MM for side in (picture.height, picture.width))
    return numpy.asarray(picture)[:height, :width]


def changed(rgb, other, kind):
    """The whole spread as its right page is cut from it."""
    shift = round(0.02 * rgb.shape[0])
    codes = rgb.astype(float)
    if kind == OTHER:
        return numpy.asarray(Image.fromarray(other).resize(rgb.shape[1::-1], Image.Resampling.LANCZOS))
    if kind in (STEP_UP, STEP_DOWN):
        return numpy.roll(rgb, shift if kind == STEP_DOWN else -shift, axis=0)
    if kind == LIGHTER:
        codes *= 1.15
    if kind == WARMER:
        codes *= (1.1, 1, 0.9)
    return (numpy.clip(codes, 0, 255) + 0.5).astype(numpy.uint8)


def jpeg(rgb, quality, sharpened):
    picture = Image.fromarray(numpy.ascontiguousarray(rgb))
    if sharpened:
        picture = picture.filter(ImageFilter.UnsharpMask(1.5, sharpened, 2))
    written = BytesIO()
    picture.save(written, "JPEG", quality=quality)
    return written.getvalue()


def print_of(page, group, width_px, height_px, spine):
    """One page, whose bleed is at its spine alone."""
    size = f"{width_px // PX_PER_MM} x {height_px // PX_PER_MM} mm"
    lines = [f'name = "{group} {spine}"', f'picture = "{page}"', f'size = "{size}"', f'group = "{group}"']
    return "\n".join(["[[print]]", *lines, "[print.margins]", f'bleed = {{ {spine} = "3 mm" }}', ""])


@pytest.mark.parametrize("half", ("set", "unseen"))
def test_seams(half, check, remark, tmp_path, subtests):
    names = {"set": SET_ON, "unseen": UNSEEN}[half]
    spreads = [spread(name) for name in names]
    brief, kinds = '[paper]\nstock = "coated"\n[margins]\nsafe = "0 mm"\n', {}
    for number, rgb in enumerate(spreads):
        height, width = rgb.shape[:2]
        for cut_share in CUTS:
            cut = round(cut_share * width / PX_PER_MM) * PX_PER_MM
            place = f"s{number:02}-{cut}"
            (tmp_path / f"{place}-left.jpg").write_bytes(jpeg(rgb[:, : cut + BLEED_PX], 85, 60))
            for kind in (SOUND, *WORDS):
                whole = changed(rgb, spreads[(number + 5) % len(spreads)], kind)
                ways = list(SAVED.items())
                if kind != SOUND:
                    # What is broken is saved in one of the ways, each in its turn.
                    ways = [ways[(number + list(WORDS).index(kind)) % len(ways)]]
                for way, (quality, sharpened) in ways:
                    group = f"{place}-{kind}-{way}".replace(" ", "_").replace("%", "of_100")
                    (tmp_path / f"{group}.jpg").write_bytes(jpeg(whole[:, cut - BLEED_PX :], quality, sharpened))
                    brief += print_of(f"{place}-left", group, cut, height, "right")
                    brief += print_of(group, group, width - cut, height, "left")
                    kinds[f"{group}.jpg"] = kind
    found, named, of = Counter(), Counter(), Counter(kinds.values())
    alarms = []
    for row in check(brief, tmp_path)["rows"]:
        kind = kinds.get(row["picture"])
        said = [finding["found"] for finding in row["findings"] if finding["rule"] == "set.seam"]
        if kind is None or not said:
            continue
        found[kind] += 1
        named[kind] += any(WORDS.get(kind, "") in words for words in said)
        if kind == SOUND:
            alarms.append((names[int(row["picture"][1:3])], said[0]))
    counts = ", ".join(f"{kind} {found[kind]} of {of[kind]} ({named[kind]} by its name)" for kind in WORDS)
    remark(f"seams, {half} photographs ({len(names)}): {found[SOUND]} of {of[SOUND]} sound ones called broken; {counts}")
    assert len(names) >= 20
    with subtests.test(kind=SOUND):
        assert len(alarms) <= MOST_ALARMS * of[SOUND], alarms[:5]
    for kind, (least_found, least_named) in LEAST.items():
        with subtests.test(kind=kind):
            assert found[kind] >= least_found * of[kind], found[kind]
            assert named[kind] >= least_named * of[kind], named[kind]
