"""Files that ask much of a reader and hold little: made here, none is stored. Each is a name and its bytes.

Sources of the forms: ITU-T T.81, TIFF 6.0 and BigTIFF, W3C PNG Third Edition, ISO 15076-1, ISO 16684-1.
"""

import struct
import zlib

# Seconds and mebibytes that one may take, the start of the program with it. Ours: one second is as long as a person
# waits without a thought; a build without optimisation takes longer.
LONGEST_S, MOST_MB = 1.0, 400

RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"


def all_of_them():
    yield from of_jpeg()
    yield from of_png()
    yield from of_tiff()
    yield from of_xmp()


# JPEG


def segment(marker, content):
    return bytes([0xFF, marker]) + struct.pack(">H", len(content) + 2) + content


class Bits:
    """Coded data, a code after the other, stuffed as the standard asks."""

    def __init__(self):
        self.bits = []

    def put(self, value, count):
        self.bits.append((value, count))

    def done(self):
        text = "".join(format(value, f"0{count}b") for value, count in self.bits if count)
        text += "1" * (-len(text) % 8)
        return int(text or "0", 2).to_bytes(len(text) // 8, "big").replace(b"\xff", b"\xff\0")


def progressive(width, height, scans, means=True):
    """A grey frame of means that are all alike, and so many scans of runs of blocks that hold nothing."""
    blocks = -(-width // 8) * -(-height // 8)
    start = b"\xff\xd8" + segment(0xDB, b"\0" + bytes([1] * 64)) + segment(0xC2, struct.pack(">BHHB", 8, height, width, 1) + b"\1\x11\0")
    start += segment(0xC4, b"\0" + bytes([1] + [0] * 15) + b"\0") + segment(0xC4, b"\x10" + bytes([1, 1] + [0] * 14) + b"\xe0\0")
    first = segment(0xDA, b"\1\1\0\0\0\0") + (bytes(blocks // 8) + bytes([0xFF >> blocks % 8] * (blocks % 8 > 0)) if means else b"\x7f")
    coded, left = Bits(), blocks
    while left > 0:
        run = min(left, 32767)
        if run >= 16384:
            coded.put(0, 1)
            coded.put(run - 16384, 14)
        else:
            run = 1
            coded.put(0b10, 2)
        left -= run
    coded = coded.done()
    rest = b"".join(segment(0xDA, bytes([1, 1, 0, 1 + at % 63, 1 + at % 63, 0])) + coded for at in range(scans - 1))
    return start + first + rest + b"\xff\xd9"


def of_jpeg():
    tables = segment(0xDB, b"\0" + bytes([1] * 64)) + segment(0xC4, b"\0" + bytes([1] + [0] * 15) + b"\0") + segment(0xC4, b"\x10" + bytes([1] + [0] * 15) + b"\0")
    for name, marker in (("baseline", 0xC0), ("progressive", 0xC2)):
        for side in (65_500, 20_000):
            frame = segment(marker, struct.pack(">BHHB", 8, side, side, 3) + b"\1\x22\0\2\x11\0\3\x11\0")
            scan = segment(0xDA, b"\3\1\0\2\0\3\0\0" + (b"\x3f\0" if marker == 0xC0 else b"\0\0")) + bytes(40)
            yield f"{name}-{side}-of-few-bytes.jpg", b"\xff\xd8" + tables + frame + scan + b"\xff\xd9"
    yield "scans-65.jpg", progressive(12_000, 12_000, 65)
    yield "scans-1000.jpg", progressive(6_000, 6_000, 1_000)
    yield "scans-100000.jpg", progressive(64, 64, 100_000)
    yield "scans-of-a-frame-without-means.jpg", progressive(12_000, 12_000, 60, means=False)
    small = progressive(64, 64, 2)
    yield "segments-5000.jpg", small[:2] + segment(0xFE, b"a") * 5_000 + small[2:]
    yield "restarts-of-one.jpg", small[:2] + segment(0xDD, b"\0\1") + small[2:]
    yield "stray-60000.jpg", small[:2] + (b"\0" * 60_000 + segment(0xFE, b"a")) * 20 + small[2:]
    for parts in (1, 200, 255):
        profile = b"".join(segment(0xE2, b"ICC_PROFILE\0" + bytes([at % 255 + 1, parts]) + bytes(65_000)) for at in range(parts))
        yield f"profile-of-{parts}-parts.jpg", small[:2] + profile + small[2:]
    for length in (0, 1, 127, 128, 131, 65_000):
        icc = struct.pack(">I", 2**32 - 1) + bytes(max(0, length - 4))
        yield f"profile-of-{length}-bytes.jpg", small[:2] + segment(0xE2, b"ICC_PROFILE\0\1\1" + icc[:length]) + small[2:]
    datasets = b"".join(b"\x1c\2\x50" + struct.pack(">H", 1) + b"a" for _ in range(10_000))
    blocks = b"Photoshop 3.0\0" + b"8BIM\4\4\0\0" + struct.pack(">I", len(datasets)) + datasets
    yield "creators-10000.jpg", small[:2] + segment(0xED, blocks[:65_000]) * 60 + small[2:]
    for name, exif in exifs():
        yield f"exif-{name}.jpg", small[:2] + segment(0xE1, b"Exif\0\0" + exif) + small[2:]


def exifs():
    """Exif blocks: directories in a ring, values that claim all memory, thousands of entries."""
    ring = b"II*\0\x08\0\0\0\1\0" + struct.pack("<HHII", 0x8769, 4, 1, 8) + struct.pack("<I", 8)
    yield "ring", ring
    yield "claims", b"II*\0\x08\0\0\0\1\0" + struct.pack("<HHII", 0x010E, 2, 2**32 - 1, 8) + bytes(4)
    yield "entries", b"II*\0\x08\0\0\0" + struct.pack("<H", 5_000) + struct.pack("<HHII", 0x010E, 2, 60_000, 8) * 5_000 + bytes(4)


# PNG


def chunk(kind, content):
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def png(width=8, height=8, chunks=b"", pixels=None, behind=b"", interlaced=0):
    pixels = zlib.compress(bytes(height * (1 + 3 * width))) if pixels is None else pixels
    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, interlaced))
    return b"\x89PNG\r\n\x1a\n" + header + chunks + chunk(b"IDAT", pixels) + behind + chunk(b"IEND", b"")


def of_png():
    flat = zlib.compress(bytes(200 << 20), 9)
    yield "text-bomb.png", png(chunks=chunk(b"zTXt", b"Author\0\0" + flat))
    yield "xmp-bomb.png", png(chunks=chunk(b"iTXt", b"XML:com.adobe.xmp\0\1\0\0\0" + flat))
    yield "hexadecimal-bomb.png", png(chunks=chunk(b"zTXt", b"Raw profile type exif\0\0" + flat))
    yield "profile-bomb.png", png(chunks=chunk(b"iCCP", b"a\0\0" + flat))
    yield "text-bombs-60.png", png(chunks=chunk(b"zTXt", b"Author\0\0" + flat[:200_000]) * 60)
    yield "texts-100000.png", png(chunks=chunk(b"tEXt", b"Author\0a") * 100_000)
    yield "texts-behind-100000.png", png(behind=chunk(b"tEXt", b"Author\0a") * 100_000)
    yield "heads-behind.png", png(behind=chunk(b"juNk", (struct.pack(">I", 60_000) + b"tEXt") * 30_000))
    yield "pixels-bomb.png", png(pixels=flat)
    yield "pixels-of-nothing.png", png(20_000, 20_000, pixels=zlib.compress(bytes(1000)))
    yield "interlaced-of-nothing.png", png(20_000, 20_000, pixels=zlib.compress(bytes(1000)), interlaced=1)
    yield "side-of-2-31.png", png(2**31 - 1, 1, pixels=zlib.compress(bytes(1000)))
    yield "pixels-in-100000-chunks.png", png(pixels=b"").replace(chunk(b"IDAT", b""), chunk(b"IDAT", b"") * 100_000)
    for length in (0, 1, 128, 132):
        yield f"profile-of-{length}-bytes.png", png(chunks=chunk(b"iCCP", b"a\0\0" + zlib.compress(b"\xff" * length)))


# TIFF


def tiff(tags, body=b"", next_directory=0):
    """Little-endian, entries as they are given: tag, kind, count, value or place."""
    entries = b"".join(struct.pack("<HHII", *entry) for entry in tags)
    return b"II*\0" + struct.pack("<I", 8) + struct.pack("<H", len(tags)) + entries + struct.pack("<I", next_directory) + body


def usual(width, height, compression=1, **more):
    tags = {256: (4, 1, width), 257: (4, 1, height), 258: (3, 1, 8), 259: (3, 1, compression), 262: (3, 1, 1), 273: (4, 1, 200),
            277: (3, 1, 1), 278: (4, 1, height), 279: (4, 1, 100)}
    tags |= {int(key[1:]): value for key, value in more.items()}
    return [(tag, *value) for tag, value in sorted(tags.items())]


def of_tiff():
    body = bytes(1000)
    for name, compression in (("plain", 1), ("lzw", 5), ("deflate", 8), ("packbits", 32773), ("jpeg", 7)):
        yield f"{name}-60000-of-few-bytes.tif", tiff(usual(60_000, 60_000, compression), body)
        yield f"{name}-20000-of-few-bytes.tif", tiff(usual(20_000, 20_000, compression), body)
    yield "strips-without-end.tif", tiff(usual(20_000, 20_000, 8, t273=(4, 2**31, 200), t279=(4, 2**31, 200), t278=(4, 1, 1)), body)
    yield "strips-a-million.tif", tiff(usual(8, 1_000_000, 8, t273=(4, 1_000_000, 200), t279=(4, 1_000_000, 200), t278=(4, 1, 1)), bytes(4_000_200))
    yield "a-tile-of-2-31.tif", tiff(usual(8, 8, 8, t322=(4, 1, 2**31), t323=(4, 1, 2**31), t324=(4, 1, 200), t325=(4, 1, 99)), body)
    yield "samples-65535.tif", tiff(usual(1000, 1000, 8, t277=(3, 1, 65_535)), body)
    yield "pages-in-a-ring.tif", tiff(usual(8, 8), body, next_directory=8)
    entry = struct.pack("<HHIIHHII", 256, 4, 1, 8, 257, 4, 1, 8)
    pages, at = b"", 8
    for _ in range(20_000):
        at += 2 + len(entry) + 4
        pages += struct.pack("<H", 2) + entry + struct.pack("<I", at)
    yield "pages-20000.tif", b"II*\0" + struct.pack("<I", 8) + pages
    yield "entries-65535.tif", b"II*\0" + struct.pack("<IH", 8, 65_535) + struct.pack("<HHII", 700, 7, 4_000_000, 8) * 65_535 + bytes(4)
    yield "entries-of-2-60.tif", b"II+\0\x08\0\0\0" + struct.pack("<QQ", 16, 2**60) + bytes(100_000)
    yield "tag-of-4-GB.tif", tiff(usual(8, 8, t700=(7, 2**32 - 1, 8), t34675=(7, 2**32 - 1, 8)), body)
    yield "pages-within-1000000.tif", tiff(usual(8, 8, t330=(4, 1_000_000, 8)), bytes(4_000_200))


# XMP, in a TIFF's tag, since a JPEG's segment holds 64 kB


def of_xmp():
    def inside(text):
        return f"<r:RDF xmlns:r='{RDF}'><r:Description>{text}</r:Description></r:RDF>"

    def nested(count):
        return inside("".join(f"<n{at}:a xmlns:n{at}='u{at}'>" for at in range(count)) + "".join(f"</n{at}:a>" for at in reversed(range(count))))

    packets = {
        "nested-5000": nested(5_000),
        "nested-80000": nested(80_000),
        "attributes": inside("<r:a" + "".join(f" a{at}='u'" for at in range(200_000)) + "/>"),
        "attributes-alike": inside("<r:a" + " a='u'" * 400_000 + "/>"),
        "namespaces": inside("<r:a" + "".join(f" xmlns:a{at}='u'" for at in range(150_000)) + "/>"),
        "siblings-with-namespaces": inside("".join(f"<n{at}:a xmlns:n{at}='u{at}'/>" for at in range(90_000))),
        "cdata": inside("<r:a>" + "<![CDATA[a]]>" * 280_000 + "</r:a>"),
        "references": inside("<r:a>" + "&amp;" * 700_000 + "</r:a>"),
        "comments": inside("<!--a-->" * 450_000),
        "items": inside("<d:creator xmlns:d='http://purl.org/dc/elements/1.1/'><r:Bag>" + "<r:li>a</r:li>" * 190_000 + "</r:Bag></d:creator>"),
        "descriptions": f"<r:RDF xmlns:r='{RDF}' xmlns:p='http://ns.adobe.com/photoshop/1.0/'>" + "<r:Description p:Credit='a'/>" * 100_000 + "</r:RDF>",
        "deep": "<a>" * 1_300_000,
        "entities": "<!DOCTYPE a [" + "".join(f"<!ENTITY e{at} '" + f"&e{at - 1};" * 10 + "'>" for at in range(1, 40)) + "]><a>&e39;</a>",
        "one-text": inside("<r:a>" + "a" * 4_000_000 + "</r:a>"),
        "zeros": "\0" * 4_000_000,
    }
    for name, packet in packets.items():
        data = packet.encode()
        yield f"xmp-{name}.tif", tiff(usual(8, 8, t700=(7, len(data), 300)), bytes(300 - 8 - 2 - 12 * 10 - 4) + data)
