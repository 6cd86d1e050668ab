"""The test pictures that Pillow ships with its source: hundreds of odd, old, hostile and broken files of other makers.

One check over all of them must end with a verdict for each, without a panic, in bounded time and memory. Where Pillow
and plateside both read a file, they must agree on its size, its model, its depth and its profile's bytes; what Pillow
cannot read to its end, plateside must not pass.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import tarfile
import warnings
from pathlib import Path

from PIL import Image

from house import ANY_PICTURE

# Seconds and mebibytes that the whole folder may take (some 580 small files). Ours: a hang or a runaway decode.
LONGEST_S, MOST_MB = 300, 400
FORMATS = {"JPEG": "jpeg", "MPO": "jpeg", "TIFF": "tiff", "PNG": "png"}
# Files on which Pillow and plateside differ by right, each with its reason: name -> why.
EXCUSED = {
    "tiff_tiled_jpeg_oob_read.tif": "libtiff's own tiffcp copies it without a complaint; only Pillow refuses it",
}


def fetch(house):
    """Pillow's source through pip, once a machine; None where there is no network."""
    kept = Path(sys.prefix) / "pillow-source"
    if not list(kept.glob("*.tar.gz")):
        words = [sys.executable, "-m", "pip", "download", "-q", "--no-binary", "Pillow", "--no-deps", "-d", str(kept), "Pillow"]
        if subprocess.run(words, capture_output=True, timeout=600, check=False).returncode != 0:
            return None
    return next(kept.glob("*.tar.gz"))


def unpack(archive, folder):
    """Every file with a picture's name, flat and under a name that tells the folder it came from."""
    with tarfile.open(archive) as source:
        for member in source:
            place = Path(member.name)
            if member.isfile() and place.suffix.lower() in (".jpg", ".jpeg", ".tif", ".tiff", ".png", ".jpe"):
                name = "-".join(place.parts[place.parts.index("images") + 1 :]) if "images" in place.parts else place.name
                with source.extractfile(member) as data:
                    (folder / name).write_bytes(data.read())


def stored_size(image):
    """Width and height as stored; of a TIFF, Pillow's own `size` is the upright one."""
    return (image.tag_v2[256], image.tag_v2[257]) if image.format == "TIFF" else image.size


# What Pillow calls a picture's model, by mode.
MODELS = {"1": "grey", "L": "grey", "LA": "grey", "La": "grey", "I": "grey", "I;16": "grey", "I;16B": "grey", "F": "grey", "RGB": "rgb", "RGBA": "rgb",
          "RGBX": "rgb", "RGBa": "rgb", "YCbCr": "rgb", "CMYK": "cmyk", "P": "palette", "PA": "palette", "LAB": "lab"}


def more(path):
    """Model, bits a sample and profile, as Pillow has them; None for what it does not tell."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            with Image.open(path) as image:
                model, bits, profile = MODELS.get(image.mode), None, image.info.get("icc_profile")
                if image.format in ("JPEG", "MPO"):
                    bits = image.bits
                elif image.format == "TIFF":
                    bits = (image.tag_v2.get(258) or (1,))[0]
                    # Pillow opens whatever it cannot name as the nearest mode it has.
                    model = {0: "grey", 1: "grey", 2: "rgb", 3: "palette", 5: "cmyk", 6: "rgb", 8: "lab"}.get(image.tag_v2.get(262), model)
                elif image.format == "PNG":
                    with open(path, "rb") as file:
                        header = file.read(26)
                    bits = 8 if header[25] == 3 else header[24]
                return model, bits, profile
        except Exception:  # noqa: BLE001
            return None, None, None


def pillow_says(path):
    """Format, stored size and whether all pixels of the picture decode, as Pillow has it."""
    Image.MAX_IMAGE_PIXELS = 200_000_000
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            with Image.open(path) as image:
                kind, size, pages = image.format, stored_size(image), getattr(image, "n_frames", 1)
                try:
                    image.load()
                    whole = True
                except Exception:  # noqa: BLE001 - whatever its decoders throw means the same here
                    whole = False
                return kind, size, whole, pages
        except Exception:  # noqa: BLE001
            return None, None, False, 1


def run(house):
    archive = fetch(house)
    if archive is None:
        print("  weird: Pillow's source cannot be fetched, left out")
        return
    folder = house.folder("weird")
    unpack(archive, folder)
    count = len(list(folder.iterdir()))
    house.tally.that("Pillow's test pictures are there", count > 400, f"{count}")
    brief = house.room / "weird.toml"
    brief.write_text(ANY_PICTURE, encoding="utf-8")
    words = [str(house.program), "check", str(brief), str(folder), "--format", "json", "--jobs", "2"]
    timer = [shutil.which("time"), "-f", "%M"] if shutil.which("time") else []
    done = subprocess.run(timer + words, capture_output=True, timeout=LONGEST_S, check=False)
    said = done.stderr.decode(errors="replace")
    house.tally.equal("weird folder: exit status", 1, done.returncode)
    house.tally.that("weird folder: no panic", "panicked" not in said, said[-400:])
    if timer:
        peak_mb = int(said.split()[-1]) // 1024
        house.tally.that(f"weird folder: peak memory at most {MOST_MB} MB", peak_mb <= MOST_MB, f"{peak_mb} MB")
    rows = {row["picture"]: row for row in json.loads(done.stdout)["rows"]}
    # Pillow's libraries talk to standard error by themselves.
    kept, silent = os.dup(2), os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 2)
    try:
        for path in sorted(folder.iterdir()):
            compare(house.tally, path, rows.get(path.name))
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(silent)


def compare(tally, path, row):
    name = f"weird/{path.name}"
    if path.name in EXCUSED or not tally.that(f"{name} is a row", row is not None):
        return
    if row["sha256"] is not None:
        tally.equal(f"{name} digest", hashlib.sha256(path.read_bytes()).hexdigest(), row["sha256"])
    kind, size, whole, pages = pillow_says(path)
    failed = any("caught" in one["what"] or "internal" in one["what"] for one in row["findings"])
    tally.that(f"{name} is no failure of ours", not failed, f"{row['findings'][:1]}")
    if row["facts"] is not None and kind in FORMATS:
        tally.equal(f"{name} format", FORMATS[kind], row["facts"]["format"])
        if pages == 1 or kind != "TIFF":
            tally.equal(f"{name} stored size", list(size), [row["facts"]["width_px"], row["facts"]["height_px"]])
            agree(tally, name, row["facts"], more(path))
    if kind in FORMATS and not whole:
        unread = any(one["rule"] in ("file.readable", "colour.model") for one in row["findings"])
        tally.that(f"{name}: Pillow cannot read it, so it is FIX", unread and row["state"] == "FIX", row["state"])


def agree(tally, name, facts, said):
    """Model, depth and profile."""
    model, bits, profile = said
    if model is not None:
        tally.equal(f"{name} model", model, facts["model"])
    if bits is not None:
        tally.equal(f"{name} bits", bits, facts["bits"])
    found = facts["profile"] or {}
    if profile and not found.get("fault"):
        tally.equal(f"{name} profile", hashlib.sha256(profile).hexdigest(), found.get("sha256"))
    elif not profile:
        tally.equal(f"{name} profile", None, found.get("sha256"))
