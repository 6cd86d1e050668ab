"""The test pictures that Pillow ships with its source: hundreds of odd, old, hostile and broken files of other makers.

One check over all of them must end with a verdict for each, without a panic, in bounded time and memory. Where Pillow
and plateside both read a file, they must agree on its size, its model, its depth and its profile's bytes; what Pillow
cannot read to its end, plateside must not pass.
"""

import hashlib
import json
import sys
import tarfile
import warnings
from pathlib import Path

import pytest
from PIL import Image

from programs import ended
from shelf import ANY_PICTURE

# Seconds and mebibytes that the whole folder may take (some 580 small files). Ours: a hang or a runaway decode.
LONGEST_S, MOST_MB = 300, 400
FORMATS = {"JPEG": "jpeg", "MPO": "jpeg", "TIFF": "tiff", "PNG": "png"}
# Files on which Pillow and plateside differ by right, each with its reason: name -> why.
EXCUSED = {
    "tiff_tiled_jpeg_oob_read.tif": "libtiff's own tiffcp copies it without a complaint; only Pillow refuses it",
}


def fetch():
    """Pillow's source through pip, once a machine; None where there is no network."""
    kept = Path(sys.prefix) / "pillow-source"
    if not list(kept.glob("*.tar.gz")):
        words = [sys.executable, "-m", "pip", "download", "-q", "--no-binary", "Pillow", "--no-deps", "-d", str(kept), "Pillow"]
        if ended(*words).returncode != 0:
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


@pytest.fixture(scope="module")
def weird(tmp_path_factory):
    """The folder of all of them."""
    archive = fetch()
    if archive is None:
        pytest.skip("Pillow's source cannot be fetched")
    folder = tmp_path_factory.mktemp("weird")
    unpack(archive, folder)
    return folder


@pytest.fixture(scope="module")
def checked(weird, program, tmp_path_factory):
    """How one check of all ended, and its largest memory in MB."""
    brief = tmp_path_factory.mktemp("brief") / "brief.toml"
    brief.write_text(ANY_PICTURE, encoding="utf-8")
    done = ended("/usr/bin/time", "-f", "%M", program, "check", brief, weird, "--format", "json", "--jobs", "2", within_s=LONGEST_S)
    return done, int(done.stderr.split()[-1]) // 1024


def test_together(weird, checked, subtests):
    done, peak_mb = checked
    with subtests.test("Pillow's test pictures are there"):
        assert len(list(weird.iterdir())) > 400
    with subtests.test("exit status"):
        assert done.returncode == 1
    with subtests.test("no panic"):
        assert b"panicked" not in done.stderr
    with subtests.test(f"peak memory at most {MOST_MB} MB"):
        assert peak_mb <= MOST_MB


def test_each(weird, checked, subtests):
    rows = {row["picture"]: row for row in json.loads(checked[0].stdout)["rows"]}
    for path in sorted(weird.iterdir()):
        if path.name not in EXCUSED:
            compare(subtests, path, rows.get(path.name))


def compare(subtests, path, row):
    name = path.name
    with subtests.test(f"{name} is a row"):
        assert row is not None
    if row is None:
        return
    if row["sha256"] is not None:
        with subtests.test(f"{name} digest"):
            assert row["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    kind, size, whole, pages = pillow_says(path)
    with subtests.test(f"{name} is no failure of ours"):
        assert not [one for one in row["findings"] if "caught" in one["found"] or "internal" in one["found"]]
    if row["facts"] is not None and kind in FORMATS:
        with subtests.test(f"{name} format"):
            assert row["facts"]["format"] == FORMATS[kind]
        if pages == 1 or kind != "TIFF":
            with subtests.test(f"{name} stored size"):
                assert [row["facts"]["width_px"], row["facts"]["height_px"]] == list(size)
            agree(subtests, name, row["facts"], more(path))
    if kind in FORMATS and not whole:
        with subtests.test(f"{name}: Pillow cannot read it, so it is FIX"):
            assert row["state"] == "FIX"
            assert {"file.readable", "colour.model"} & {one["rule"] for one in row["findings"]}


def agree(subtests, name, facts, said):
    """Model, depth and profile."""
    model, bits, profile = said
    if model is not None:
        with subtests.test(f"{name} model"):
            assert facts["model"] == model
    if bits is not None:
        with subtests.test(f"{name} bits"):
            assert facts["bits"] == bits
    found = facts["profile"] or {}
    if profile and not found.get("fault"):
        with subtests.test(f"{name} profile"):
            assert found.get("sha256") == hashlib.sha256(profile).hexdigest()
    elif not profile:
        with subtests.test(f"{name} profile"):
            assert found.get("sha256") is None
