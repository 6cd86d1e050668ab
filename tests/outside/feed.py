"""Hostile bytes for everything that reads foreign ones: no crash, nothing over five seconds, nothing over 1 GiB.

The files to begin from are made here: by Pillow, from the project's own briefs, from profiles of Debian. `PLATESIDE_FEED_SECONDS`
says how long each target is fed (the long run: 600); what made one fail is kept and named.
"""

import io
import os
import resource
import shutil
import subprocess
import tempfile
from pathlib import Path

from PIL import Image, ImageCms

import pictures

SECONDS = float(os.environ.get("PLATESIDE_FEED_SECONDS", "3"))
SEED = int(os.environ.get("PLATESIDE_FEED_SEED", "26"))
MOST_BYTES = 1 << 30
HERE = Path(__file__).resolve().parents[2]
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
# IPTC-IIM: record 2, by-line, copyright, caption.
IPTC = b"\x1c\x02\x50\x00\x05Maren\x1c\x02\x74\x00\x042026\x1c\x02\x78\x00\x04tart"


def run(house):
    house.tally.that("the feeder is built", feeder(house).exists())
    corpora = beginnings()
    for target, files in corpora.items():
        fed(house, target, files)


def feeder(house):
    return house.program.parent / "examples" / "feed"


def fed(house, target, files):
    with tempfile.TemporaryDirectory(dir="/dev/shm" if os.path.isdir("/dev/shm") else None) as room:
        paths = []
        for at, one in enumerate(files):
            paths.append(Path(room) / f"from-{at}")
            paths[-1].write_bytes(one)
        kept = Path(room) / "kept"
        words = [feeder(house), target, str(SECONDS), str(SEED), kept, *paths]
        bound = lambda: resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
        done = subprocess.run(words, capture_output=True, text=True, preexec_fn=bound, timeout=SECONDS + 60, check=False)
        if done.returncode != 0:
            saved = house.program.parent / f"fed-{target}"
            shutil.copy(kept, saved)
            house.tally.that(f"{target}: none fails", False, f"status {done.returncode}, kept as {saved}: {done.stderr[-400:]}")
            return
        count, outcomes, slowest = (int(number) for number in done.stdout.split())
        print(f"  {target}: {count} inputs, {outcomes} outcomes, the slowest {slowest} ms")
        house.tally.that(f"{target}: none fails", True)
        house.tally.that(f"{target}: many were read, with several outcomes", count > 50 and outcomes > 3, done.stdout)


def saved(picture, kind, **options):
    room = io.BytesIO()
    picture.save(room, format=kind, **options)
    return room.getvalue()


def beginnings():
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    rgb, small = pictures.rgb(64, 48), pictures.rgb(16, 16)
    exif = Image.Exif()
    exif[0x0112], exif[0x013B], exif[0x8298], exif[0x011A] = 6, "Maren Olde", "2026", 300.0
    options = {"icc_profile": srgb, "exif": exif.tobytes(), "dpi": (300, 300)}
    jpegs = [saved(rgb, "JPEG", quality=90, xmp=XMP.encode(), **options), saved(rgb, "JPEG", progressive=True, **options),
             saved(pictures.grey(32, 32), "JPEG"), saved(pictures.cmyk(32, 32), "JPEG"), saved(rgb, "JPEG", restart_marker_rows=1)]
    tiffs = [saved(rgb, "TIFF", compression=how, **options) for how in ("raw", "tiff_lzw", "tiff_adobe_deflate", "packbits", "jpeg")]
    tiffs += [saved(pictures.cmyk(32, 32), "TIFF"), saved(pictures.grey16(32, 32), "TIFF"), saved(pictures.rgba(32, 32), "TIFF"),
              saved(rgb.convert("P"), "TIFF")]
    pngs = [saved(rgb, "PNG", **options), saved(pictures.rgba(32, 32), "PNG"), saved(rgb.convert("P"), "PNG"),
            saved(pictures.grey16(32, 32), "PNG"), saved(small.convert("1"), "PNG")]
    briefs = [path.read_bytes() for path in [*HERE.glob("briefs/*.toml"), *HERE.glob("demo/*.toml")]]
    icc = Path("/usr/share/color/icc")
    profiles = [srgb, *((icc / name).read_bytes() for name in ("ghostscript/default_cmyk.icc", "sRGB.icc", "ghostscript/gray_to_k.icc", "ghostscript/lab.icc"))]
    return {
        "brief": briefs, "list": [LIST.encode()], "accepted": [ACCEPTED.encode()], "jpeg": jpegs, "tiff": tiffs, "png": pngs,
        "pixels": jpegs + tiffs + pngs, "icc": profiles, "xmp": [XMP.encode()], "iptc": [IPTC],
    }
