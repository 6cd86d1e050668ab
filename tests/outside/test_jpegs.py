"""JPEGs of every sampling, scan order, restart interval and coding, made by libjpeg-turbo's programs; sound ones with odd
headers; the same cut short.

The truth: what the encoder was told, Pillow for header facts, djpeg for pixels. Sources: ITU-T T.81 and T.872.
"""

import struct
from pathlib import Path
from typing import NamedTuple

import pytest
from PIL import Image

import pictures
from programs import convert, ended, run
from shelf import Shelf
from truths import near

# Sampling factors as cjpeg takes them, by the customary words.
SAMPLINGS = {
    "4:4:4": "1x1",
    "4:2:2": "2x1",
    "4:2:0": "2x2",
    "4:4:0": "1x2",
    "4:1:1": "4x1",
    "4:1:0": "4x2",
    "2x2 2x1 1x2": "2x2,2x1,1x2",
}
# The same ratios with other factors.
ALIKE = {"4:2:2": "2x2,1x2,1x2", "4:4:0": "2x2,2x1,2x1"}
# How scans are ordered and coded; `scans` holds a script for cjpeg, of three components and of one.
SEPARATE = ("0;\n1;\n2;\n", "0;\n")
FEW = ("0,1,2: 0-0, 0, 0;\n0: 1-63, 0, 0;\n1: 1-63, 0, 0;\n2: 1-63, 0, 0;\n", "0: 0-0, 0, 0;\n0: 1-63, 0, 0;\n")
BANDS = (
    "0,1,2: 0-0, 0, 1;\n" + "".join(f"{c}: {first}-{last}, 0, 2;\n" for c in (2, 1, 0) for first, last in ((1, 5), (6, 20), (21, 63)))
    + "".join(f"{c}: 1-63, 2, 1;\n{c}: 1-63, 1, 0;\n" for c in (1, 0, 2)) + "0,1,2: 0-0, 1, 0;\n",
    "0: 0-0, 0, 1;\n0: 1-9, 0, 1;\n0: 10-63, 0, 1;\n0: 0-0, 1, 0;\n0: 1-63, 1, 0;\n",
)
# As many scans as a script may sensibly have: each coefficient of each component by itself would be 190.
MANY = ("0,1,2: 0-0, 0, 0;\n" + "".join(f"{c}: {at}-{at + 2}, 0, 0;\n" for c in range(3) for at in range(1, 62, 3)),
        "0: 0-0, 0, 0;\n" + "".join(f"0: {at}-{at + 2}, 0, 0;\n" for at in range(1, 62, 3)))
ORDERS = {
    "baseline": ([], None),
    "optimised": (["-optimize"], None),
    "restart-rows": (["-restart", "1"], None),
    "restart-blocks": (["-restart", "7B"], None),
    "progressive": (["-progressive"], None),
    "progressive-restart": (["-progressive", "-restart", "2"], None),
    "separate": ([], SEPARATE),
    "few": ([], FEW),
    "bands": ([], BANDS),
    "many": ([], MANY),
}
# The least lightness in L* and the least chroma in which two decoders may differ: another inverse transform and another
# way between coarse colours.
LIGHTNESS, NEUTRAL = 0.5, 0.5


@pytest.fixture(scope="module")
def source(tmp_path_factory):
    """The same picture for all encoders: `rgb.ppm`, `grey.pgm` and `cmyk.tif`."""
    room = tmp_path_factory.mktemp("sources")
    pictures.rgb().save(room / "rgb.ppm")
    pictures.grey().save(room / "grey.pgm")
    pictures.cmyk().save(room / "cmyk.tif")
    return room


def cjpeg(source, path, words, scans=None):
    if scans is not None:
        script = path.with_suffix(".scans")
        script.write_text(scans)
        words = [*words, "-scans", script]
    run("cjpeg", "-quality", "90", *words, "-outfile", path, source)
    if scans is not None:
        script.unlink()


class Made(NamedTuple):
    """Sound JPEGs, the same cut short, and what djpeg makes of the sound ones."""

    sound: Shelf
    cut: Shelf
    decoded: Path


@pytest.fixture(scope="module")
def made(source, tmp_path_factory, rows):
    """Colour in every sampling and order, grey in every order."""
    shelf, cut, decoded = Shelf(tmp_path_factory.mktemp("jpegs"), rows), Shelf(tmp_path_factory.mktemp("cut"), rows), tmp_path_factory.mktemp("decoded")
    rgb, grey, turn = source / "rgb.ppm", source / "grey.pgm", 0
    kinds = [(words, ["-sample", factors], rgb, 0, "rgb") for words, factors in SAMPLINGS.items()]
    kinds += [(words, ["-sample", factors], rgb, 0, "rgb") for words, factors in ALIKE.items()]
    kinds.append(("grey", [], grey, 1, "grey"))
    for sampling, words, picture, script, model in kinds:
        for order, (more, scans) in ORDERS.items():
            factors = "".join(words[1:]).replace(",", "-") or "grey"
            name = f"{factors}-{order}.jpg"
            cjpeg(picture, shelf / name, [*words, *more], scans and scans[script])
            progressive = "progressive" in order or order in ("few", "bands", "many")
            jpeg = {"subsampling": sampling, "progressive": progressive}
            shelf.holds(name, f"cjpeg {' '.join(more)}", format="jpeg", width_px=pictures.WIDTH, height_px=pictures.HEIGHT, model=model, bits=8, jpeg=jpeg)
            pixels = (decoded / name).with_suffix(".ppm")
            pixels.write_bytes(run("djpeg", "-dct", "int", shelf / name))
            Image.open(pixels).save(pixels.with_suffix(".png"))
            pixels.unlink()
            whole = (shelf / name).read_bytes()
            short = (len(whole) - 2, len(whole) * 9 // 10, len(whole) // 2)[turn % 3]
            turn += 1
            (cut / name).write_bytes(whole[:short])
            cut.holds(name, f"cut at {short} of {len(whole)} bytes", state="FIX", finding=("file.readable", ""))
    return Made(shelf, cut, decoded)


def test_facts(made, subtests):
    made.sound.compare(subtests)


def test_cut_ones_are_told(made, subtests):
    made.cut.compare(subtests)


def test_sound_ones_are_as_djpeg_reads_them(made, look, subtests):
    """Every whole one passes file.readable, and is as light and as neutral as what djpeg makes of it."""
    found, wanted = look_into(look, made.sound.path), look_into(look, made.decoded)
    for path in sorted(made.sound.path.iterdir()):
        name, row = path.name, made.sound.rows[path.name]
        with subtests.test(f"{name} is readable"):
            assert "file.readable" in row["passed"], f"{row['findings'][:1]}"
        one, other = found.get(name), wanted[f"{path.stem}.png"]
        with subtests.test(f"{name} is looked at"):
            assert one is not None
        if one is None:
            continue
        with subtests.test(f"{name}: lightness by djpeg"):
            assert one["lightness"] == near(other["lightness"], LIGHTNESS)
        if other["neutral"] is not None:
            with subtests.test(f"{name}: cast by djpeg"):
                assert one["neutral"] == near(other["neutral"], NEUTRAL)


def look_into(look, folder):
    return look(sorted(folder.iterdir()), status=(0, 2))


def test_inks(shelf, source, look, tmp_path_factory, subtests):
    """Inks and transforms."""
    decoded = tmp_path_factory.mktemp("decoded")
    for name, options in {"adobe": {}, "progressive": {"progressive": True}, "420": {"subsampling": "4:2:0"}}.items():
        pictures.cmyk().save(shelf / f"cmyk-{name}.jpg", quality=95, **options)
        shelf.holds(f"cmyk-{name}.jpg", "Pillow CMYK", model="cmyk", bits=8)
    convert(source / "cmyk.tif", "-colorspace", "CMYK", "-quality", 95, shelf / "cmyk-magick.jpg")
    shelf.holds("cmyk-magick.jpg", "ImageMagick CMYK", model="cmyk", bits=8)
    pictures.rgb().save(shelf / "rgb.jpg", quality=95, keep_rgb=True)
    shelf.holds("rgb.jpg", "Pillow keep_rgb", model="rgb", jpeg={"subsampling": "4:4:4"})
    shelf.compare(subtests)
    for name, row in shelf.rows.items():
        with subtests.test(f"{name} is readable"):
            assert "file.readable" in row["passed"], f"{row['findings'][:1]}"
    for path in shelf.path.iterdir():
        Image.open(path).convert("RGB" if path.name == "rgb.jpg" else "CMYK").save((decoded / path.name).with_suffix(".tif"))
    found, wanted = look_into(look, shelf.path), look_into(look, decoded)
    for path in shelf.path.iterdir():
        with subtests.test(f"{path.name}: lightness as Pillow's pixels"):
            other = wanted[f"{path.stem}.tif"]["lightness"]
            assert found[path.name]["lightness"] == (None if other is None else near(other, LIGHTNESS))


def test_codings(shelf, source, subtests):
    """Codings that no printer can be counted on to read are named, and are not damaged."""
    rgb = source / "rgb.ppm"
    run("cjpeg", "-arithmetic", "-outfile", shelf / "arithmetic.jpg", rgb)
    run("cjpeg", "-arithmetic", "-progressive", "-outfile", shelf / "arithmetic-progressive.jpg", rgb)
    plain = run("cjpeg", rgb)
    frame = plain.index(b"\xff\xc0")
    for name, marker, bits in (("twelve", 0xC1, 12), ("lossless", 0xC3, 8), ("hierarchical", 0xC5, 8)):
        (shelf / f"{name}.jpg").write_bytes(plain[: frame + 1] + bytes([marker]) + plain[frame + 2 : frame + 4] + bytes([bits]) + plain[frame + 5 :])
    run("cjpeg", "-sample", "3x1,1x1,1x1", "-outfile", shelf / "uncommon.jpg", rgb)
    for path in shelf.path.iterdir():
        word = path.stem.split("-")[0].replace("twelve", "12-bit")
        shelf.holds(path.name, "a coding that few read", state="FIX", finding=("file.readable", word), width_px=pictures.WIDTH, height_px=pictures.HEIGHT)
    shelf.compare(subtests)


def test_headers(shelf, source, look, subtests):
    """Sound pictures whose headers are odd: every reader takes them, and libjpeg finds the same pixels in all."""
    plain = run("cjpeg", "-quality", "90", source / "rgb.ppm")
    marks = [at for at in range(len(plain) - 1) if plain[at] == 0xFF and plain[at + 1] in (0xDB, 0xC4, 0xC0, 0xDA)]
    first, frame, scan = marks[0], plain.index(b"\xff\xc0"), plain.index(b"\xff\xda")
    # Transform 0 of three components is RGB (ITU-T T.872), yet JFIF's three are Y, Cb and Cr (T.871), and libjpeg goes by JFIF.
    rgb = b"\xff\xee\0\x0eAdobe\0\x64\0\0\0\0\0"
    comment = b"\xff\xfe" + struct.pack(">H", 1002) + bytes(1000)
    files = {
        "stray": plain[:frame] + bytes(9) + plain[frame:],
        "stray-before-scan": plain[:scan] + b"\1\2\3" + plain[scan:],
        "stray-twice": plain[:first] + b"\0" + plain[first:frame] + b"\7" * 900 + plain[frame:],
        "fill": plain[:frame] + b"\xff" * 60 + plain[frame:],
        "comments": plain[:frame] + comment * 200 + plain[frame:],
        "rest-behind": plain + bytes(5000),
        "second-behind": plain + plain,
        "no-jfif": plain[:2] + plain[first:],
        "adobe-0-of-ycc": plain[:2] + b"\xff\xee\0\x0eAdobe\0\x64\0\0\0\0\1" + plain[first:],
        "jfif-then-adobe-0": plain[:first] + rgb + plain[first:],
        "adobe-0-then-jfif": plain[:2] + rgb + plain[2:],
        "app-of-nothing": plain[:2] + b"\xff\xe5\0\2" + plain[2:],
    }
    pixels = run("djpeg", input=plain)
    for name, data in files.items():
        (shelf / f"{name}.jpg").write_bytes(data)
        with subtests.test(f"{name}: djpeg reads it"):
            djpeg = ended("djpeg", shelf / f"{name}.jpg", within_s=60)
            assert djpeg.returncode in (0, 2), djpeg.stderr.decode()
            assert djpeg.stdout == pixels, "other pixels"
        shelf.holds(f"{name}.jpg", "odd headers", width_px=pictures.WIDTH, height_px=pictures.HEIGHT, model="rgb")
    shelf.compare(subtests)
    found = look_into(look, shelf.path)
    for name in files:
        row = shelf.rows[f"{name}.jpg"]
        with subtests.test(f"{name} is readable"):
            assert "file.readable" in row["passed"], f"{row['findings'][:1]}"
        with subtests.test(f"{name}: the same pixels"):
            one, other = (found.get(f"{one}.jpg", {}).get("lightness") for one in (name, "comments"))
            assert one is not None and one == other
