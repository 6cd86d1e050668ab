"""Files that hostile bytes begin from: by Pillow, the project's own briefs, profiles of Debian."""

import io
from pathlib import Path

from PIL import Image

import pictures
from orders import SRGB

REPOSITORY = Path(__file__).resolve().parents[2]
LIST = 'page,name,picture,size,caption,copies,batch\n12,"plum tart","p012*","210 x 260 mm","A tart, whole",1,1\n13,,p013*,A4,,2,\n'
ACCEPTED = """version = 1
[[subject]]
picture = "p012.jpg"
box = [0.2, 0.3, 0.7, 0.8]
drawn_on = "ab"
look = "2x2 AAAAAA=="
[[accepted]]
picture = "p012.jpg"
print = "p012"
rule = "tone.shadows"
about = "flat"
reason = "meant so"
by = "Maren"
when = "2026-11-26T10:00:00Z"
level = "should"
value = 0.2
limit = 0.1
bytes = "ab"
pixels = "cd"
[[seen]]
picture = "p012.jpg"
saw = "shadows hold"
by = "Maren"
bytes = "ab"
"""
XMP = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:tiff="http://ns.adobe.com/tiff/1.0/" tiff:Orientation="6"><dc:creator><rdf:Seq>'
    "<rdf:li>Maren Olde</rdf:li></rdf:Seq></dc:creator></rdf:Description></rdf:RDF></x:xmpmeta>"
)
# Targets of the feeder (tests/hostile/reads.rs).
TARGETS = ("brief", "list", "accepted", "jpeg", "tiff", "png", "pixels", "icc", "xmp", "iptc")
# IPTC-IIM: record 2, by-line, copyright, caption.
IPTC = b"\x1c\x02\x50\x00\x05Maren\x1c\x02\x74\x00\x042026\x1c\x02\x78\x00\x04tart"


def saved(picture, kind, **options):
    room = io.BytesIO()
    picture.save(room, format=kind, **options)
    return room.getvalue()


def beginnings():
    """The bytes of files for each target of the feeder, by the target's name."""
    rgb, small = pictures.rgb(64, 48), pictures.rgb(16, 16)
    exif = Image.Exif()
    exif[0x0112], exif[0x013B], exif[0x8298], exif[0x011A] = 6, "Maren Olde", "2026", 300.0
    options = {"icc_profile": SRGB, "exif": exif.tobytes(), "dpi": (300, 300)}
    jpegs = [saved(rgb, "JPEG", quality=90, xmp=XMP.encode(), **options), saved(rgb, "JPEG", progressive=True, **options),
             saved(pictures.grey(32, 32), "JPEG"), saved(pictures.cmyk(32, 32), "JPEG"), saved(rgb, "JPEG", restart_marker_rows=1)]
    tiffs = [saved(rgb, "TIFF", compression=how, **options) for how in ("raw", "tiff_lzw", "tiff_adobe_deflate", "packbits", "jpeg")]
    tiffs += [saved(pictures.cmyk(32, 32), "TIFF"), saved(pictures.grey16(32, 32), "TIFF"), saved(pictures.rgba(32, 32), "TIFF"),
              saved(rgb.convert("P"), "TIFF")]
    pngs = [saved(rgb, "PNG", **options), saved(pictures.rgba(32, 32), "PNG"), saved(rgb.convert("P"), "PNG"),
            saved(pictures.grey16(32, 32), "PNG"), saved(small.convert("1"), "PNG")]
    briefs = [path.read_bytes() for path in [*REPOSITORY.glob("briefs/*.toml"), *REPOSITORY.glob("demo/*.toml")]]
    icc = Path("/usr/share/color/icc")
    profiles = [SRGB, *((icc / name).read_bytes() for name in ("ghostscript/default_cmyk.icc", "sRGB.icc", "ghostscript/gray_to_k.icc", "ghostscript/lab.icc"))]
    return {
        "brief": briefs, "list": [LIST.encode()], "accepted": [ACCEPTED.encode()], "jpeg": jpegs, "tiff": tiffs, "png": pngs,
        "pixels": jpegs + tiffs + pngs, "icc": profiles, "xmp": [XMP.encode()], "iptc": [IPTC],
    }
