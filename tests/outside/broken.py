"""Files cut short or damaged after a sound encoder wrote them: FIX with file.readable, never a PASS and never a crash."""

import struct
import zlib

import pictures
from house import Shelf

# Share of the bytes that a cut file keeps.
KEPT = (0.9, 0.5, 0.1)


def sound(house):
    """Sound files of every kind whose pixels plateside measures: name and bytes."""
    room = house.folder("sound")
    image = pictures.rgb(301, 203)
    source = room / "source.tif"
    image.save(source)
    deep = room / "deep.tif"
    house.convert(source, "-depth", 16, "-compress", "None", deep)
    image.save(room / "baseline.jpg", quality=90)
    image.save(room / "progressive.jpg", quality=90, progressive=True)
    pictures.cmyk(301, 203).save(room / "cmyk.jpg", quality=90)
    pictures.grey(301, 203).save(room / "grey.jpg", quality=90)
    image.save(room / "plain.png")
    house.run("vips", "pngsave", source, room / "interlaced.png", "--interlace")
    for start, bits in ((source, 8), (deep, 16)):
        for kind, word in (("none", "none"), ("lzw", "lzw"), ("zip", "deflate"), ("packbits", "packbits")):
            house.run("tiffcp", "-c", kind, "-r", 16, start, room / f"strips{bits}-{word}.tif")
            house.run("tiffcp", "-c", kind, "-t", "-w", 64, "-l", 64, start, room / f"tiles{bits}-{word}.tif")
    source.unlink()
    deep.unlink()
    return sorted((path.name, path.read_bytes()) for path in room.iterdir())


def run(house):
    files = sound(house)
    shelf = Shelf(house, "sound-again")
    for name, data in files:
        (shelf / name).write_bytes(data)
    for name, row in house.rows('[[print]]\nsize = "8 x 10 in"\npictures = "*"\n', shelf.path).items():
        house.tally.that(f"sound/{name} is readable", "file.readable" in row["passed"], f"{row['findings'][:1]} {row['not_answered'][:1]}")

    shelf = Shelf(house, "cut")
    for name, data in files:
        for share in KEPT:
            cut = f"{int(share * 100)}-{name}"
            (shelf / cut).write_bytes(data[: int(len(data) * share)])
            shelf.holds(cut, f"cut at {share:.0%}", state="FIX", finding=("file.readable", ""))
    shelf.ask()
    damaged(house, dict(files))
    claims(house)


def damaged(house, files):
    """Bytes turned over inside packed data that carries a checksum: both PNG and deflate tell."""
    shelf = Shelf(house, "damaged")
    for name in ("plain.png", "interlaced.png"):
        data = bytearray(files[name])
        at = data.index(b"IDAT") + 400
        data[at] ^= 0xFF
        (shelf / name).write_bytes(data)
        shelf.holds(name, "one byte of IDAT turned over", state="FIX", finding=("file.readable", ""))
    data = files["strips8-deflate.tif"]
    middle = len(data) // 2
    (shelf / "holed.tif").write_bytes(data[: middle - 100] + bytes(200) + data[middle + 100 :])
    shelf.holds("holed.tif", "200 bytes of deflate zeroed", state="FIX", finding=("file.readable", ""))
    # A hole of zeros in the entropy-coded data of a JPEG with restart markers cannot hide: markers are missing.
    source = house.room / "restart.ppm"
    pictures.rgb(301, 203).save(source)
    data = house.run("cjpeg", "-quality", "95", "-restart", "1", source)
    middle = len(data) // 2
    (shelf / "holed.jpg").write_bytes(data[:middle] + bytes(len(data) // 4) + data[middle + len(data) // 4 :])
    shelf.holds("holed.jpg", "a quarter of a JPEG with restart markers zeroed", state="FIX", finding=("file.readable", ""))
    shelf.ask()


def claims(house):
    """Headers that claim more than anybody prints: a FIX row with the number, in bounded memory."""
    shelf = Shelf(house, "claims")

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
    shelf.ask()
