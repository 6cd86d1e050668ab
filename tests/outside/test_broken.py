"""Files cut short or damaged after a sound encoder wrote them: FIX with file.readable, never a PASS and never a crash."""

import random
import struct
import zlib

import pytest

import pictures
from programs import convert, ended, run
from shelf import ANY_PICTURE, said

# Share of the bytes that a cut file keeps.
KEPT = (0.9, 0.5, 0.1)
# Damaged JPEGs of each kind, and the least share of those that djpeg warns of that must be FIX. Own trial, 2026-11:
# zune-jpeg 0.5, strict, lets a segment pass that ends before or after its last block; with the restart markers 41 %.
DAMAGED_EACH, LEAST_TOLD = 40, 0.38


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    """The bytes of sound files of every kind whose pixels plateside measures, by name."""
    room = tmp_path_factory.mktemp("sound")
    image = pictures.rgb(301, 203)
    source = room / "source.tif"
    image.save(source)
    deep = room / "deep.tif"
    convert(source, "-depth", 16, "-compress", "None", deep)
    image.save(room / "baseline.jpg", quality=90)
    image.save(room / "progressive.jpg", quality=90, progressive=True)
    pictures.cmyk(301, 203).save(room / "cmyk.jpg", quality=90)
    pictures.grey(301, 203).save(room / "grey.jpg", quality=90)
    image.save(room / "plain.png")
    run("vips", "pngsave", source, room / "interlaced.png", "--interlace")
    for start, bits in ((source, 8), (deep, 16)):
        for kind, word in (("none", "none"), ("lzw", "lzw"), ("zip", "deflate"), ("packbits", "packbits")):
            run("tiffcp", "-c", kind, "-r", 16, start, room / f"strips{bits}-{word}.tif")
            run("tiffcp", "-c", kind, "-t", "-w", 64, "-l", 64, start, room / f"tiles{bits}-{word}.tif")
    source.unlink()
    deep.unlink()
    return {path.name: path.read_bytes() for path in sorted(room.iterdir())}


def test_sound(sound, shelf, subtests):
    for name, data in sound.items():
        (shelf / name).write_bytes(data)
    for name, row in shelf.rows.items():
        with subtests.test(f"{name} is readable"):
            assert "file.readable" in row["passed"], f"{row['findings'][:1]} {row['not_answered'][:1]}"
            assert not [one for one in row["findings"] if one["level"] == "must" and one["rule"] != "colour.model"]


def test_cut(sound, shelf, subtests):
    for name, data in sound.items():
        for share in KEPT:
            cut = f"{int(share * 100)}-{name}"
            (shelf / cut).write_bytes(data[: int(len(data) * share)])
            shelf.holds(cut, f"cut at {share:.0%}", state="FIX", finding=("file.readable", ""))
    shelf.compare(subtests)


def test_damaged(sound, shelf, subtests):
    """Bytes turned over inside packed data that carries a checksum: both PNG and deflate tell."""
    for name in ("plain.png", "interlaced.png"):
        data = bytearray(sound[name])
        at = data.index(b"IDAT") + 400
        data[at] ^= 0xFF
        (shelf / name).write_bytes(data)
        shelf.holds(name, "one byte of IDAT turned over", state="FIX", finding=("file.readable", ""))
    data = sound["strips8-deflate.tif"]
    middle = len(data) // 2
    (shelf / "holed.tif").write_bytes(data[: middle - 100] + bytes(200) + data[middle + 100 :])
    shelf.holds("holed.tif", "200 bytes of deflate zeroed", state="FIX", finding=("file.readable", ""))
    shelf.compare(subtests)


def test_damaged_jpegs(tmp_path, rows, remark):
    """Bytes turned over, zeroed, lost or replaced in a JPEG's coded data, judged by libjpeg-turbo: wherever djpeg warns
    of corrupt data, plateside should say FIX. Damage that leaves a valid code cannot be told by anybody and is left
    out.
    """
    folder, chance = tmp_path / "damaged", random.Random(20261125)
    folder.mkdir()
    source = tmp_path / "source.ppm"
    pictures.rgb(601, 403).save(source)
    warned = set()
    for kind, words in (("baseline", ()), ("restart", ("-restart", "1")), ("progressive", ("-progressive",))):
        data = run("cjpeg", "-quality", "93", *words, source)
        begin = data.index(b"\xff\xda") + 14
        for number in range(DAMAGED_EACH):
            broken, at = bytearray(data), chance.randrange(begin + 100, len(data) - 3000)
            how = ("flipped", "zeroed", "lost", "replaced")[number % 4]
            if how == "flipped":
                broken[at] ^= 1 << chance.randrange(8)
            elif how == "zeroed":
                broken[at : at + 1000] = bytes(1000)
            elif how == "lost":
                del broken[at : at + chance.randrange(1, 2000)]
            else:
                broken[at : at + 500] = chance.randbytes(500)
            path = folder / f"{kind}-{number:02}-{how}.jpg"
            path.write_bytes(broken)
            if ended("djpeg", "-outfile", "/dev/null", path, within_s=60).stderr:
                warned.add(path.name)
    found = rows(ANY_PICTURE, folder)
    told = {name for name in warned if said(found[name], "file.readable")}
    remark(f"damaged JPEGs: {len(told)} of the {len(warned)} that djpeg warns of are FIX (at least {LEAST_TOLD:.0%} wanted)")
    missed = sorted(warned - told)
    assert len(told) >= LEAST_TOLD * len(warned), f"missed {len(missed)}: {missed[:6]}"


def test_claims(shelf, subtests):
    """Headers that claim more than anybody prints: a FIX row with the number, in bounded memory."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    side = 60_000
    header = chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0))
    png = b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")
    (shelf / "huge.png").write_bytes(png)
    shelf.holds("huge.png", "IHDR of 60,000 x 60,000 px", state="FIX", finding=("file.readable", ""))
    pictures.rgb(64, 64).save(shelf / "small.jpg")
    data = bytearray((shelf / "small.jpg").read_bytes())
    frame = data.index(b"\xff\xc0")
    data[frame + 5 : frame + 9] = struct.pack(">HH", side, side)
    (shelf / "huge.jpg").write_bytes(data)
    shelf.holds("huge.jpg", "SOF0 of 60,000 x 60,000 px", state="FIX", finding=("file.readable", ""))
    shelf.compare(subtests)
