"""JPEGs of every sampling, scan order, restart interval and coding, made by libjpeg-turbo's programs; sound ones with odd
headers; the same cut short; and what a hostile hand makes of JPEG, TIFF and PNG to cost a reader its time or memory.

The truth: what the encoder was told, Pillow for header facts, djpeg for pixels. Sources: ITU-T T.81 and T.872; W3C PNG
Third Edition; TIFF 6.0.
"""

import json
import shutil
import struct
import subprocess
import time

from PIL import Image

import bombs
import pictures
from house import ANY_PICTURE, Near, Shelf

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


def run(house):
    made(house)
    others(house)
    headers(house)
    hostile(house)


def cjpeg(house, source, path, words, scans=None):
    if scans is not None:
        script = path.with_suffix(".scans")
        script.write_text(scans)
        words = [*words, "-scans", script]
    house.run("cjpeg", "-quality", "90", *words, "-outfile", path, source)
    if scans is not None:
        script.unlink()


def made(house):
    """Colour in every sampling and order, grey in every order; whole ones are read as djpeg reads them, cut ones are FIX."""
    shelf, cut, decoded = Shelf(house, "jpegs"), Shelf(house, "jpegs-cut"), house.folder("jpegs-decoded")
    rgb, grey, turn = house.room / "jpegs.ppm", house.room / "jpegs.pgm", 0
    pictures.rgb().save(rgb)
    pictures.grey().save(grey)
    kinds = [(words, ["-sample", factors], rgb, 0, "rgb") for words, factors in SAMPLINGS.items()]
    kinds += [(words, ["-sample", factors], rgb, 0, "rgb") for words, factors in ALIKE.items()]
    kinds.append(("grey", [], grey, 1, "grey"))
    for sampling, words, source, script, model in kinds:
        for order, (more, scans) in ORDERS.items():
            factors = "".join(words[1:]).replace(",", "-") or "grey"
            name = f"{factors}-{order}.jpg"
            cjpeg(house, source, shelf / name, [*words, *more], scans and scans[script])
            progressive = "progressive" in order or order in ("few", "bands", "many")
            jpeg = {"subsampling": sampling, "progressive": progressive}
            shelf.holds(name, f"cjpeg {' '.join(more)}", format="jpeg", width_px=pictures.WIDTH, height_px=pictures.HEIGHT, model=model, bits=8, jpeg=jpeg)
            (decoded / name).with_suffix(".ppm").write_bytes(house.run("djpeg", "-dct", "int", shelf / name))
            whole = (shelf / name).read_bytes()
            short = (len(whole) - 2, len(whole) * 9 // 10, len(whole) // 2)[turn % 3]
            turn += 1
            (cut / name).write_bytes(whole[:short])
            cut.holds(name, f"cut at {short} of {len(whole)} bytes", state="FIX", finding=("file.readable", ""))
    as_djpeg(house, shelf, shelf.ask(), decoded)
    cut.ask()
    print(f"  JPEGs: {turn} sound ones and as many cut short")


def as_djpeg(house, shelf, rows, decoded):
    """Every whole one passes file.readable, and is as light and as neutral as what djpeg makes of it."""
    for one in list(decoded.iterdir()):
        Image.open(one).save(one.with_suffix(".png"))
        one.unlink()
    found, wanted = look(house, shelf.path), look(house, decoded)
    for path in sorted(shelf.path.iterdir()):
        about = f"{shelf.name}/{path.name}"
        house.tally.that(f"{about} is readable", "file.readable" in rows[path.name]["passed"], f"{rows[path.name]['findings'][:1]}")
        one, other = found.get(path.name), wanted[f"{path.stem}.png"]
        if house.tally.that(f"{about} is looked at", one is not None):
            house.tally.equal(f"{about}: lightness by djpeg", Near(other["lightness"], LIGHTNESS), one["lightness"])
            if other["neutral"] is not None:
                house.tally.equal(f"{about}: cast by djpeg", [Near(value, NEUTRAL) for value in other["neutral"]], one["neutral"])


def look(house, folder):
    words = [house.program, "look", "--format", "json", *sorted(folder.iterdir())]
    return {one["picture"].rsplit("/", 1)[-1]: one for one in json.loads(house.run(*words, status=(0, 2)) or "[]")}


def others(house):
    """Inks and transforms; codings that no printer can be counted on to read are named, and are not damaged."""
    shelf, decoded = Shelf(house, "jpegs-inks"), house.folder("jpegs-inks-decoded")
    source = house.room / "inks.tif"
    pictures.cmyk().save(source)
    for name, options in {"adobe": {}, "progressive": {"progressive": True}, "420": {"subsampling": "4:2:0"}}.items():
        pictures.cmyk().save(shelf / f"cmyk-{name}.jpg", quality=95, **options)
        shelf.holds(f"cmyk-{name}.jpg", "Pillow CMYK", model="cmyk", bits=8)
    house.convert(source, "-colorspace", "CMYK", "-quality", 95, shelf / "cmyk-magick.jpg")
    shelf.holds("cmyk-magick.jpg", "ImageMagick CMYK", model="cmyk", bits=8)
    pictures.rgb().save(shelf / "rgb.jpg", quality=95, keep_rgb=True)
    shelf.holds("rgb.jpg", "Pillow keep_rgb", model="rgb", jpeg={"subsampling": "4:4:4"})
    for name, row in shelf.ask().items():
        house.tally.that(f"jpegs-inks/{name} is readable", "file.readable" in row["passed"], f"{row['findings'][:1]}")
    for path in shelf.path.iterdir():
        Image.open(path).convert("RGB" if path.name == "rgb.jpg" else "CMYK").save((decoded / path.name).with_suffix(".tif"))
    found, wanted = look(house, shelf.path), look(house, decoded)
    for path in shelf.path.iterdir():
        one, other = found[path.name]["lightness"], wanted[f"{path.stem}.tif"]["lightness"]
        same = one == other if None in (one, other) else one == Near(other, LIGHTNESS)
        house.tally.that(f"jpegs-inks/{path.name}: lightness as Pillow's pixels", same, f"{one} and {other}")

    shelf = Shelf(house, "jpegs-codings")
    rgb = house.room / "jpegs.ppm"
    house.run("cjpeg", "-arithmetic", "-outfile", shelf / "arithmetic.jpg", rgb)
    house.run("cjpeg", "-arithmetic", "-progressive", "-outfile", shelf / "arithmetic-progressive.jpg", rgb)
    plain = house.run("cjpeg", rgb)
    frame = plain.index(b"\xff\xc0")
    for name, marker, bits in (("twelve", 0xC1, 12), ("lossless", 0xC3, 8), ("hierarchical", 0xC5, 8)):
        (shelf / f"{name}.jpg").write_bytes(plain[: frame + 1] + bytes([marker]) + plain[frame + 2 : frame + 4] + bytes([bits]) + plain[frame + 5 :])
    house.run("cjpeg", "-sample", "3x1,1x1,1x1", "-outfile", shelf / "uncommon.jpg", rgb)
    for path in shelf.path.iterdir():
        word = path.stem.split("-")[0].replace("twelve", "12-bit")
        shelf.holds(path.name, "a coding that few read", state="FIX", finding=("file.readable", word), width_px=pictures.WIDTH, height_px=pictures.HEIGHT)
    shelf.ask()


def headers(house):
    """Sound pictures whose headers are odd: every reader takes them."""
    shelf = Shelf(house, "jpegs-headers")
    rgb = house.room / "jpegs.ppm"
    plain = house.run("cjpeg", "-quality", "90", rgb)
    marks = [at for at in range(len(plain) - 1) if plain[at] == 0xFF and plain[at + 1] in (0xDB, 0xC4, 0xC0, 0xDA)]
    first, frame, scan = marks[0], plain.index(b"\xff\xc0"), plain.index(b"\xff\xda")
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
        "app-of-nothing": plain[:2] + b"\xff\xe5\0\2" + plain[2:],
    }
    for name, data in files.items():
        (shelf / f"{name}.jpg").write_bytes(data)
        djpeg = subprocess.run(["djpeg", "-outfile", "/dev/null", shelf / f"{name}.jpg"], capture_output=True, timeout=60, check=False)
        house.tally.that(f"jpegs-headers/{name}: djpeg reads it", djpeg.returncode in (0, 2), djpeg.stderr.decode())
        shelf.holds(f"{name}.jpg", "odd headers", width_px=pictures.WIDTH, height_px=pictures.HEIGHT, model="rgb")
    rows, found = shelf.ask(), look(house, shelf.path)
    for name in files:
        row = rows[f"{name}.jpg"]
        house.tally.that(f"jpegs-headers/{name} is readable", "file.readable" in row["passed"], f"{row['findings'][:1]}")
        lightness = [found.get(f"{one}.jpg", {}).get("lightness") for one in (name, "comments")]
        house.tally.that(f"jpegs-headers/{name}: the same pixels", lightness[0] is not None and lightness[0] == lightness[1], f"{lightness}")


def hostile(house):
    """Each bomb by itself: a verdict, in bounded time and memory, in words for a person."""
    folder, slowest, largest = house.folder("bombs"), (0, ""), (0, "")
    ours = house.room / "bombs.toml"
    ours.write_text(ANY_PICTURE, encoding="utf-8")
    for name, data in bombs.all_of_them():
        place = folder / name
        place.mkdir()
        (place / name).write_bytes(data)
        words = ["/usr/bin/time", "-f", "%U %S %M", str(house.program), "check", str(ours), str(place), "--format", "json", "--jobs", "1"]
        began = time.monotonic()
        try:
            done = subprocess.run(words, capture_output=True, timeout=bombs.LONGEST_S * 20, check=False)
        except subprocess.TimeoutExpired:
            house.tally.that(f"bombs/{name} is answered", False, f"not within {time.monotonic() - began:.0f} s")
            continue
        user, system, kilobytes = done.stderr.split()[-3:]
        # Time of the processor, so that a busy machine is no fault.
        seconds, megabytes = float(user) + float(system), int(kilobytes) >> 10
        slowest, largest = max(slowest, (seconds, name)), max(largest, (megabytes, name))
        house.tally.that(f"bombs/{name} is answered", done.returncode in (0, 1), done.stderr.decode(errors="replace")[-300:])
        house.tally.that(f"bombs/{name}: at most {bombs.LONGEST_S} s", seconds <= bombs.LONGEST_S, f"{seconds} s")
        house.tally.that(f"bombs/{name}: at most {bombs.MOST_MB} MB", megabytes <= bombs.MOST_MB, f"{megabytes} MB")
        if done.returncode in (0, 1):
            whats = " ".join(one["what"] for one in json.loads(done.stdout)["rows"][0]["findings"])
            alien = [word for word in ("{", "::", "struct ", "Os ", "panicked", "0x") if word in whats]
            house.tally.that(f"bombs/{name}: in words for a person", not alien, whats)
        shutil.rmtree(place)
    print(f"  bombs: the slowest {slowest[0]:.2f} s ({slowest[1]}), the largest {largest[0]} MB ({largest[1]})")
