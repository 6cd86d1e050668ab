"""TIFFs of every usual compression, depth, planar form and number of channels, made by libtiff; odd and sound ones, written
out here and read by libtiff; the same cut short. A sound one is never called unreadable, and its pixels are those of an
uncompressed one of the same samples.

Sources: TIFF 6.0 and its supplement of 2002 (compressions, predictor, extra samples), BigTIFF by its published layout;
libtiff's tiffcp, which must read whatever is called sound here.
"""

import struct
import zlib
from pathlib import Path
from typing import NamedTuple

import numpy
import pytest
import tifffile

import pictures
from programs import run
from shelf import Shelf, said
from truths import Has

# Photometric interpretation and the kinds of the samples beside the colours (tag 338), by what a person calls it; the
# model, whether there is alpha, and how many channels are spare.
CHANNELS = {
    "grey": (1, (), "grey", False, 0),
    "grey-alpha": (1, (2,), "grey", True, 0),
    "grey-two": (1, (0, 0), "grey", False, 2),
    "rgb": (2, (), "rgb", False, 0),
    "rgba": (2, (2,), "rgb", True, 0),
    "rgba-associated": (2, (1,), "rgb", True, 0),
    "rgbx": (2, (0,), "rgb", False, 1),
    "rgba-spot": (2, (2, 0), "rgb", True, 1),
    "cmyk": (5, (), "cmyk", False, 0),
    "cmyk-alpha": (5, (2,), "cmyk", True, 0),
    "cmyk-spot": (5, (0,), "cmyk", False, 1),
    "cmyk-spots": (5, (0, 0, 0), "cmyk", False, 3),
}
COLOURS = {1: 1, 2: 3, 5: 4}
# tiffcp's words and the JSON's.
COMPRESSIONS = {"none": "none", "lzw:1": "lzw", "lzw:2": "lzw", "zip:1": "deflate", "zip:2": "deflate", "packbits": "packbits"}
# Sound by what they hold, yet libtiff wants the sizes of strips; other readers do without.
NOT_BY_LIBTIFF = ("no-sizes", "no-sizes-deflate", "sizes-of-nothing")
# What tiffcp is told beside: byte order, BigTIFF. They take turns.
FORMS = ([], ["-B"], ["-8"], ["-B", "-8"])


def samples(name, bits):
    photometric, extra, *_ = CHANNELS[name]
    count = COLOURS[photometric] + len(extra)
    return pictures.waves(channels=count, top=2**bits - 1).astype(numpy.uint8 if bits == 8 else numpy.uint16)


def plain(path, codes, photometric, extra, planes="contig"):
    """An uncompressed TIFF of one strip, or of one for each plane."""
    height, width, count = codes.shape
    tags = [(256, 4, [width]), (257, 4, [height]), (258, 3, [codes.itemsize * 8] * count), (259, 3, [1]), (262, 3, [photometric]),
            (277, 3, [count]), (278, 4, [height]), (284, 3, [1 if planes == "contig" else 2])]
    if extra:
        tags.append((338, 3, list(extra)))
    if photometric == 5:
        tags.append((332, 3, [1]))
    chunks = [codes.tobytes()] if planes == "contig" else [codes[..., plane].tobytes() for plane in range(count)]
    path.write_bytes(written(tags, chunks))


def written(tags, chunks, offsets=273, sizes=279, order="<", gap=b"", first=True):
    """A TIFF with its directory in front, or behind (`first` false); `sizes` None leaves the list of sizes out."""
    tags = list(tags)
    lengths = {1: "B", 2: "s", 3: "H", 4: "I", 7: "B", 16: "Q"}
    places = [0] * len(chunks)
    listed = [(offsets, 4, places)] + ([(sizes, 4, [len(chunk) for chunk in chunks])] if sizes else [])

    def directory(at):
        entries, more = b"", b""
        behind = at + 2 + 12 * (len(tags) + len(listed)) + 4
        for tag, kind, values in sorted(tags + listed, key=lambda entry: entry[0]):
            data = values if isinstance(values, bytes) else struct.pack(f"{order}{len(values)}{lengths[kind]}", *values)
            count = len(values)
            if len(data) > 4:
                place = behind + len(more)
                more += data + b"\0" * (len(data) % 2)
                data = struct.pack(f"{order}I", place)
            entries += struct.pack(f"{order}HHI", tag, kind, count) + data.ljust(4, b"\0")
        return struct.pack(f"{order}H", len(tags) + len(listed)) + entries + b"\0" * 4 + more

    magic = (b"II*\0" if order == "<" else b"MM\0*")
    body, at = b"", 8 + (len(directory(8)) if first else 0)
    for number, chunk in enumerate(chunks):
        body += gap
        places[number] = at + len(body)
        body += chunk
    body += b"\0" * (len(body) % 2)
    return magic + struct.pack(f"{order}I", 8 if first else 8 + len(body)) + (directory(8) + body if first else body + directory(8 + len(body)))


def in_front(data):
    """The same TIFF with its directory before its pixels, so that a cut takes pixels and leaves the directory."""
    with tifffile.TiffFile(data) as file:
        page, order = file.pages[0], file.byteorder
        kinds = {1: 1, 2: 2, 3: 3, 4: 4, 5: 4, 7: 7, 16: 4}
        tags = []
        for tag in page.tags.values():
            if tag.code in (273, 279, 324, 325):
                continue
            values = tag.value if isinstance(tag.value, (tuple, list)) else (tag.value,)
            if all(isinstance(value, (int, numpy.integer)) for value in values):
                tags.append((tag.code, kinds[int(tag.dtype)], [int(value) for value in values]))
        raw = data.read_bytes()
        chunks = [raw[at : at + size] for at, size in zip(page.dataoffsets, page.databytecounts)]
        tiled = page.is_tiled
    return written(tags, chunks, *((324, 325) if tiled else (273, 279)), order=order)


def apart_in_tiles(codes, photometric, extra, compression):
    """Each plane by itself in tiles of 64 x 48 px."""
    height, width, count = codes.shape
    padded = numpy.zeros((-(-height // 48) * 48, -(-width // 64) * 64, count), codes.dtype)
    padded[:height, :width] = codes
    tiles = []
    for plane in range(count):
        for top in range(0, padded.shape[0], 48):
            for left in range(0, padded.shape[1], 64):
                tile = padded[top : top + 48, left : left + 64, plane]
                if compression.endswith("2"):
                    tile = numpy.diff(tile, axis=1, prepend=tile.dtype.type(0))
                data = tile.tobytes()
                tiles.append(zlib.compress(data) if "zip" in compression else packbits(data) if compression == "packbits" else data)
    number = {"none": 1, "zip:1": 8, "zip:2": 8, "packbits": 32773}[compression]
    tags = [(256, 4, [width]), (257, 4, [height]), (258, 3, [16] * count), (259, 3, [number]), (262, 3, [photometric]), (277, 3, [count]),
            (284, 3, [2]), (322, 3, [64]), (323, 3, [48])]
    tags += [(317, 3, [2])] * compression.endswith("2") + [(338, 3, list(extra))] * bool(extra)
    return written(tags, tiles, 324, 325)


def counted_alike(subtests, name, found, wanted):
    """What was counted is the same, but for the file's own name and digest."""
    with subtests.test(f"{name}: counted as the uncompressed one"):
        assert found is not None
        differ = [key for key in wanted if key not in ("picture", "sha256") and found[key] != wanted[key]]
        assert not differ, f"differs in {differ[:4]}"


class Matrix(NamedTuple):
    """Every sound TIFF, the same cut short, the uncompressed ones in `room`, and for each sound one its reference and how
    many channels are spare."""

    sound: Shelf
    cut: Shelf
    room: Path
    of: dict


@pytest.fixture(scope="module")
def matrix(tmp_path_factory, rows):
    """Twelve kinds of channels, two depths, six compressions, strips and tiles, together and apart."""
    shelf, cut, room = Shelf(tmp_path_factory.mktemp("tiffs"), rows), Shelf(tmp_path_factory.mktemp("cut"), rows), tmp_path_factory.mktemp("plain")
    of, turn = {}, 0
    for name, (photometric, extra, model, alpha, spare) in CHANNELS.items():
        for bits in (8, 16):
            codes = samples(name, bits)
            sources = {planes: room / f"{name}-{bits}-{planes}.tif" for planes in ("contig", "separate")}
            for planes, source in sources.items():
                plain(source, codes, photometric, extra, planes)
            kept = codes[..., : codes.shape[2] - spare]
            reference = room / f"reference-{name}-{bits}.tif"
            plain(reference, kept, photometric, extra[:1] if alpha else ())
            for compression, word in COMPRESSIONS.items():
                for planes, source in sources.items():
                    for layout in (["-r", 16], ["-t", "-w", 64, "-l", 48]):
                        form = FORMS[turn % len(FORMS)]
                        turn += 1
                        file = f"{name}-{bits}-{compression.replace(':', '')}-{planes}-{layout[0][1:]}.tif"
                        if bits == 16 and planes == "separate" and layout[0] == "-t":
                            # tiffcp itself puts these samples in the wrong places.
                            if "lzw" in compression:
                                continue
                            (shelf / file).write_bytes(apart_in_tiles(codes, photometric, extra, compression))
                        else:
                            run("tiffcp", "-c", compression, "-p", planes, *layout, *form, source, shelf / file)
                        shelf.holds(file, "tiffcp, or written out", format="tiff", width_px=pictures.WIDTH, height_px=pictures.HEIGHT, model=model,
                                    bits=bits, alpha=alpha, compression=word, profile=None, pages=1)
                        of[file] = (reference.name, spare)
                        # As much of the strips as the turn says is cut off: a byte, some, half.
                        whole = in_front(shelf / file)
                        short = (len(whole) - 2, len(whole) * 9 // 10, len(whole) // 2)[turn % 3]
                        (cut / file).write_bytes(whole[:short])
                        cut.holds(file, f"cut at {short} of {len(whole)} bytes", state="FIX", finding=("file.readable", ""))
    return Matrix(shelf, cut, room, of)


def test_facts(matrix, subtests):
    matrix.sound.compare(subtests)


def test_cut_ones_are_told(matrix, subtests):
    matrix.cut.compare(subtests)


def test_sound_ones_are_readable(matrix, subtests):
    readable(subtests, matrix.sound.rows, {file: spare for file, (_, spare) in matrix.of.items()})


def test_sound_ones_are_counted_as_the_uncompressed_ones(matrix, look, subtests):
    found = look(sorted(matrix.sound.path.iterdir()), status=(0, 2))
    wanted = look(sorted(matrix.room.glob("reference-*")), status=(0, 2))
    for file, (reference, _) in matrix.of.items():
        counted_alike(subtests, file, found.get(file), wanted[reference])


def readable(subtests, rows, spares):
    """No sound one is called unreadable; spare channels are said, and nothing else but transparency."""
    for file, spare in spares.items():
        with subtests.test(f"{file} is readable, and its spare channels are said"):
            whats = [*said(rows[file], "file.readable"), *said(rows[file], "file.layers")]
            wanted = [f"{spare} spare channel{'s' * (spare > 1)} beside the colour; usual: none"] * (spare > 0)
            assert [what for what in whats if "fully opaque" not in what] == wanted


def odd(codes):
    """Sound files of odd makers, by their names, each of the same RGB picture."""
    height, width, count = codes.shape
    row, rows = width * count, 16
    raw = codes.tobytes()
    strips = [raw[at : at + rows * row] for at in range(0, len(raw), rows * row)]
    usual = {256: (4, [width]), 257: (4, [height]), 258: (3, [8] * 3), 259: (3, [1]), 262: (3, [2]), 277: (3, [3]), 278: (4, [rows])}

    def tags(**changes):
        changed = {**usual, **{int(key[1:]): value for key, value in changes.items()}}
        return [(tag, *value) for tag, value in changed.items() if value is not None]

    def packed(chunks):
        return [zlib.compress(chunk) for chunk in chunks]

    tile = numpy.zeros((112, 160, 3), numpy.uint8)
    tile[:height, :width] = codes
    padded = strips[:-1] + [strips[-1] + bytes(rows * row - len(strips[-1]))]
    deflate = (3, [8])
    whole = [raw]
    made = {
        "no-sizes": written(tags(), strips, sizes=None),
        "no-sizes-deflate": written(tags(t259=deflate), packed(strips), sizes=None),
        "no-sizes-one-strip": written(tags(t259=deflate, t278=None), packed(whole), sizes=None),
        "sizes-of-nothing": written(tags(t259=deflate, t279=(4, [0] * len(strips))), packed(strips), sizes=None),
        "sizes-too-large": written(tags(t279=(4, [len(strip) + 9 for strip in strips])), strips, sizes=None) + bytes(99),
        "rows-without-end": written(tags(t278=(4, [2**32 - 1])), whole),
        "rows-missing": written(tags(t278=None), whole),
        "rows-more-than-there-are": written(tags(t278=(4, [height + 900])), whole),
        "more-strips": written(tags(t259=deflate), packed(strips) + [b"nothing"]),
        "last-strip-padded": written(tags(t259=deflate), packed(padded)),
        "depth-said-once": written(tags(t258=(3, [8]), t259=deflate), packed(strips)),
        "tile-larger": written(tags(t278=None, t322=(3, [160]), t323=(3, [112])), [tile.tobytes()], 324, 325),
        "tile-larger-deflate": written(tags(t278=None, t259=deflate, t322=(3, [160]), t323=(3, [112])), packed([tile.tobytes()]), 324, 325),
        "tiles-listed-as-strips": written(tags(t278=None, t322=(3, [160]), t323=(3, [112])), [tile.tobytes()]),
        "gaps": written(tags(t259=deflate), packed(strips), gap=b"\xAA" * 7),
        "big-endian": written(tags(t259=deflate), packed(strips), order=">"),
        "directory-behind": written(tags(t259=deflate), packed(strips), first=False),
        "private-tags": written(tags(t259=deflate, t65000=(7, [9] * 40), t65001=(2, b"nothing\0")), packed(strips)),
        "predictor-beside-packbits": written(tags(t259=(3, [32773]), t317=(3, [2])), [packbits(strip) for strip in strips]),
        "predictor-beside-none": written(tags(t317=(3, [2])), strips),
        "old-deflate": written(tags(t259=(3, [32946])), packed(strips)),
        "packbits-across-rows": written(tags(t259=(3, [32773])), [packbits(strip) for strip in strips]),
        "one-row-strips": written(tags(t259=deflate, t278=(3, [1])), packed([raw[at : at + row] for at in range(0, len(raw), row)])),
        "strips-upside-down": upside_down(tags(t259=deflate), packed(strips)),
    }
    # An entry of a kind that nobody knows is stepped over.
    return made | {"unknown-kind": made["private-tags"].replace(struct.pack("<HH", 65000, 7), struct.pack("<HH", 65000, 99))}


def test_odd(shelf, look, tmp_path_factory, subtests):
    """libtiff reads them all, and they are read as the plain one."""
    codes, room = samples("rgb", 8), tmp_path_factory.mktemp("read")
    files = odd(codes)
    for name, data in files.items():
        path = shelf / f"{name}.tif"
        path.write_bytes(data)
        shelf.holds(path.name, "written out", format="tiff", width_px=pictures.WIDTH, height_px=pictures.HEIGHT, model="rgb", bits=8)
        if name in NOT_BY_LIBTIFF:
            continue
        run("tiffcp", "-c", "none", "-p", "contig", "-s", path, room / path.name)
        with subtests.test(f"{name}: libtiff reads the same"):
            assert numpy.array_equal(tifffile.imread(room / path.name), codes), "the file is not sound"
    shelf.compare(subtests)
    readable(subtests, shelf.rows, {f"{name}.tif": 0 for name in files})
    plain(room / "reference.tif", codes, 2, ())
    found, wanted = look(sorted(shelf.path.iterdir()), status=(0, 2)), look([room / "reference.tif"])["reference.tif"]
    for name in files:
        counted_alike(subtests, name, found.get(f"{name}.tif"), wanted)


def packbits(data):
    """Bytes as they stand, 128 at a time. Source: TIFF 6.0 section 9."""
    parts = [data[at : at + 128] for at in range(0, len(data), 128)]
    return b"".join(bytes([len(part) - 1]) + part for part in parts)


def upside_down(tags, chunks):
    """The strips stand in the file from the last to the first; their list is in order."""
    data = bytearray(written(tags, chunks[::-1]))
    for tag in (273, 279):
        at = data.index(struct.pack("<HHI", tag, 4, len(chunks))) + 8
        place = struct.unpack_from("<I", data, at)[0]
        listed = struct.unpack_from(f"<{len(chunks)}I", data, place)
        struct.pack_into(f"<{len(chunks)}I", data, place, *listed[::-1])
    return bytes(data)


def test_unmeasured(shelf, remark, tmp_path_factory, subtests):
    """What is not measured still has its facts, and is called neither cut nor damaged."""
    waves = pictures.waves(channels=3, top=1)
    kinds = {
        "float32": (waves.astype(numpy.float32), {"photometric": "rgb"}, {"bits": 32, "model": "rgb"}),
        "float64-grey": (waves[..., 0], {}, {"bits": 64, "model": "grey"}),
        "half": (waves.astype(numpy.float16), {"photometric": "rgb"}, {"bits": 16, "model": "rgb"}),
        "long": ((waves * 2**31).astype(numpy.uint32), {"photometric": "rgb"}, {"bits": 32, "model": "rgb"}),
        "signed": ((waves[..., 0] * 100).astype(numpy.int16), {}, {"bits": 16, "model": "grey"}),
        "float-deflate-predicted": (waves.astype(numpy.float32), {"photometric": "rgb", "compression": "zlib", "predictor": False}, {"bits": 32}),
        "lzma": ((waves * 255).astype(numpy.uint8), {"photometric": "rgb", "compression": "lzma"}, {"bits": 8, "compression": Has("34925")}),
    }
    for name, (codes, options, facts) in kinds.items():
        try:
            tifffile.imwrite(shelf / f"{name}.tif", codes, **options)
        except (ImportError, ValueError) as error:
            remark(f"tiffs: {name} cannot be made here, left out: {error}")
            continue
        shelf.holds(f"{name}.tif", "tifffile", format="tiff", width_px=pictures.WIDTH, height_px=pictures.HEIGHT, **facts)
    grey = tmp_path_factory.mktemp("sources") / "grey.tif"
    pictures.grey().convert("1").save(grey)
    for number, word in ((2, "g3:1d"), (3, "g3"), (4, "g4")):
        name = f"fax-{word.replace(':', '')}.tif"
        run("tiffcp", "-c", word, grey, shelf / name)
        shelf.holds(name, "tiffcp, a fax method", bits=1, model="grey", width_px=pictures.WIDTH, height_px=pictures.HEIGHT)
    shelf.compare(subtests)
    for name, row in shelf.rows.items():
        with subtests.test(f"{name} is neither cut nor damaged"):
            assert not [what for what in said(row, "file.readable") if "damaged" in what or "ends" in what]
