"""JPEGs that break off, with an end marker set behind the cut, and pictures saved again after a decoder filled what was
lost: FIX with file.readable. Whole photographs, plain grounds and painted borders: never.

`lost_rows` is plateside's measure once more, in numpy. Source of the codes and blocks: ITU-T T.81.
"""

import io

import numpy
import pytest
from PIL import Image

import formulas
from shelf import ANY_PICTURE, said
from truths import Starts

END = b"\xff\xd9"
# Share of the bytes that a cut file keeps, and how the files are saved.
KEPT = (0.3, 0.5, 0.7, 0.9, 0.98)
SAVED = {
    "420": {"quality": 92},
    "444-optimised": {"quality": 75, "subsampling": 0, "optimize": True},
    "progressive": {"quality": 92, "progressive": True},
    "rows": {"quality": 85, "restart_marker_rows": 1},
    "sevens": {"quality": 85, "restart_marker_blocks": 7},
}
# Photographs are reduced to so many pixels a side, which is enough to cut them.
SIDE_PX = 700


def encoded(image, **how):
    room = io.BytesIO()
    image.save(room, "JPEG", **how)
    return room.getvalue()


@pytest.fixture(scope="module")
def small(photographs):
    """The photographs, reduced."""
    pictures = {name: Image.fromarray(rgb) for name, rgb in photographs.items()}
    for picture in pictures.values():
        picture.thumbnail((SIDE_PX, SIDE_PX))
    return pictures


def told(rows, folder, subtests):
    """What file.readable says of each file of a folder; where it says anything, the row is FIX."""
    whats = {}
    for name, row in rows(ANY_PICTURE, folder).items():
        whats[name] = said(row, "file.readable")
        with subtests.test(f"{name} is FIX where it is told"):
            assert not whats[name] or row["state"] == "FIX"
    return whats


def test_whole(small, tmp_path, rows, subtests):
    for name, picture in small.items():
        for kind, how in SAVED.items():
            (tmp_path / f"{name}-{kind}.jpg").write_bytes(encoded(picture, **how))
    for name, whats in told(rows, tmp_path, subtests).items():
        with subtests.test(f"{name} is whole"):
            assert not whats


def test_closed(small, tmp_path, rows, subtests):
    for name, picture in small.items():
        for kind, how in SAVED.items():
            data = encoded(picture, **how)
            for share in KEPT:
                (tmp_path / f"{name}-{kind}-{share:.0%}.jpg").write_bytes(data[: int(len(data) * share)] + END)
    missed = [name for name, whats in told(rows, tmp_path, subtests).items() if not whats]
    with subtests.test("every cut that was closed is told"):
        assert not missed


def test_saved_again(small, tmp_path, rows, remark, subtests):
    """What another decoder makes of a closed cut, saved again, and what a person paints: as the formula says."""
    wanted = {}

    def put(name, rgb, lost=None):
        """A PNG and a JPEG of it. `lost` is what the maker knows: whether rows are lost at all."""
        Image.fromarray(rgb).save(tmp_path / f"{name}.png")
        (tmp_path / f"{name}.jpg").write_bytes(encoded(Image.fromarray(rgb), quality=92))
        for kind in ("png", "jpg"):
            count = lost_rows(numpy.asarray(Image.open(tmp_path / f"{name}.{kind}").convert("RGB")))
            wanted[f"{name}.{kind}"] = count
            if lost is not None:
                with subtests.test(f"the formula on {name}.{kind}"):
                    assert (count > 0) == lost, count

    for name, picture in small.items():
        data = encoded(picture, quality=92)
        for share in (0.3, 0.6, 0.9):
            broken = Image.open(io.BytesIO(data[: int(len(data) * share)] + END)).convert("RGB")
            put(f"{name}-broken-{share:.0%}", numpy.asarray(broken))
        rgb = numpy.asarray(picture)
        for ground, codes in painted(rgb).items():
            put(f"{name}-{ground}", codes, lost=False)
    found = told(rows, tmp_path, subtests)
    for name, count in wanted.items():
        with subtests.test(f"{name} as the formula says"):
            assert found[name] == ([Starts(f"its last {count} of ")] if count else [])
    broken = [count > 0 for name, count in wanted.items() if "-broken-" in name]
    remark(f"saved again after a break: {sum(broken)} of {len(broken)} are told")
    with subtests.test("most of them are told"):
        assert sum(broken) >= 0.7 * len(broken)


def painted(rgb):
    """Grounds and borders as people make them, by name."""
    height, width = rgb.shape[:2]
    low = height * 3 // 4 // 16 * 16
    grounds = {}
    for name, code in (("white", 255), ("black", 0), ("sky", (140, 180, 225))):
        grounds[name] = rgb.copy()
        grounds[name][low:] = code
    framed = numpy.full_like(rgb, 128)
    framed[24:low, 24:-24] = rgb[24:low, 24:-24]
    grounds["grey-frame"] = framed
    studio = rgb.copy()
    fall = numpy.linspace(245, 128, height - low - 40)[:, None, None]
    studio[low:] = 128
    studio[low : low + len(fall)] = fall
    grounds["studio"] = studio
    return grounds


def lost_rows(rgb, columns=128, block=8, leads=8, kept=48):
    luma = formulas.luma(rgb)
    height, width = luma.shape
    flat = (numpy.abs(luma - luma[:, -1:]) <= 1).all(1)
    count = 0
    while count < height and flat[height - 1 - count]:
        count += 1
    # Rows belong to the colour with which the flat ones begin; a change of colour begins them again.
    first = height - count
    start = first
    for row in range(first, height):
        if abs(luma[row, -1] - luma[start, -1]) > 1:
            start = row
    count, first = height - start, start
    if count < block or width < columns or first < kept:
        return 0
    places = numpy.arange(columns) * (width - 1) // (columns - 1)
    above = numpy.abs(luma[first - kept : first, places][::-1] - luma[first, -1]) <= leads
    heights = numpy.where(above.all(0), kept, above.argmin(0))
    is_grey = ((rgb[-1] >= 127) & (rgb[-1] <= 129)).all()
    straight = heights == 0
    if is_grey and first % block == 0 and straight[0] and straight[-1] and straight.mean() >= 0.97:
        return count
    for low in range(block + 1):
        for unit in (8, 16, 32):
            left, right = abs(heights - low) <= 2, abs(heights - low - unit) <= 2
            side, share = (2, 0.85) if is_grey else (16, 0.95)
            for at in range(side, columns - side + 1):
                if left[:at].mean() >= share and right[at:].mean() >= share:
                    return count
    return 0
