"""JPEG headers: what Pillow, ImageMagick, libvips and cjpeg were told to write is what plateside reads."""

import hashlib
import io
import struct

from PIL import Image, ImageCms

import pictures
from programs import convert, run
from truths import near

SIZE = {"width_px": pictures.WIDTH, "height_px": pictures.HEIGHT}
COLOUR = {"format": "jpeg", "compression": "jpeg", "model": "rgb", "bits": 8, "alpha": False, "pages": 1, **SIZE}
# libjpeg stores whole numbers of dots a centimetre: 118 dots/cm = 299.72 ppi (JFIF 1.02; the inch is 25.4 mm).
DOTS_CM = 118


def test_qualities(shelf, subtests):
    """Every quality of the IJG scale, as Pillow hands it to libjpeg (ITU-T T.81 Annex K tables, IJG scaling)."""
    image = pictures.rgb(48, 32)
    for quality in range(1, 101):
        name = f"q{quality:03}.jpg"
        image.save(shelf / name, quality=quality)
        shelf.holds(name, "Pillow quality", jpeg={"quality": quality})
    for quality in (1, 10, 50, 75, 92, 100):
        name = f"grey{quality:03}.jpg"
        image.convert("L").save(shelf / name, quality=quality)
        shelf.holds(name, "Pillow quality, grey", jpeg={"quality": quality})
    shelf.compare(subtests)


def test_kinds(shelf, tmp_path_factory, subtests):
    """Sampling, progressive, grey and CMYK."""
    image, room = pictures.rgb(), tmp_path_factory.mktemp("sources")
    # Pillow's numbers of `subsampling`, from its JPEG plug-in's documentation.
    for number, word in ((0, "4:4:4"), (1, "4:2:2"), (2, "4:2:0")):
        for progressive in (False, True):
            name = f"pillow-{number}-{'progressive' if progressive else 'baseline'}.jpg"
            image.save(shelf / name, quality=90, subsampling=number, progressive=progressive)
            shelf.holds(
                name,
                "Pillow subsampling",
                **COLOUR,
                bytes=(shelf / name).stat().st_size,
                jpeg={"quality": 90, "subsampling": word, "progressive": progressive},
            )
    pictures.grey().save(shelf / "grey.jpg", quality=80)
    shelf.holds("grey.jpg", "Pillow L", **{**COLOUR, "model": "grey"}, jpeg={"quality": 80, "progressive": False})
    pictures.cmyk().save(shelf / "cmyk.jpg", quality=80)
    shelf.holds("cmyk.jpg", "Pillow CMYK, Adobe marker", **{**COLOUR, "model": "cmyk"})

    plain, ppm = room / "plain.png", room / "plain.ppm"
    image.save(plain)
    image.save(ppm)
    for sampling, word in (("1x1", "4:4:4"), ("2x1", "4:2:2"), ("2x2", "4:2:0")):
        name = f"magick-{sampling}.jpg"
        convert(plain, "-sampling-factor", sampling, "-quality", 92, shelf / name)
        shelf.holds(name, "ImageMagick -sampling-factor", **COLOUR, jpeg={"quality": 92, "subsampling": word, "progressive": False})
    convert(plain, "-interlace", "JPEG", "-quality", 85, shelf / "magick-progressive.jpg")
    shelf.holds("magick-progressive.jpg", "ImageMagick -interlace JPEG", **COLOUR, jpeg={"quality": 85, "progressive": True})
    convert(plain, "-colorspace", "CMYK", "-quality", 85, shelf / "magick-cmyk.jpg")
    shelf.holds("magick-cmyk.jpg", "ImageMagick -colorspace CMYK", **{**COLOUR, "model": "cmyk"}, jpeg={"quality": 85})
    convert(plain, "-colorspace", "Gray", "-quality", 85, shelf / "magick-grey.jpg")
    shelf.holds("magick-grey.jpg", "ImageMagick -colorspace Gray", **{**COLOUR, "model": "grey"}, jpeg={"quality": 85})
    for mode, word in (("on", "4:2:0"), ("off", "4:4:4")):
        name = f"vips-{mode}.jpg"
        run("vips", "jpegsave", plain, shelf / name, "--Q", 88, "--subsample-mode", mode, "--interlace")
        shelf.holds(name, "vips --subsample-mode", **COLOUR, jpeg={"quality": 88, "subsampling": word, "progressive": True})
    for sampling, word in (("1x2", "4:4:0"), ("2x2", "4:2:0"), ("1x1", "4:4:4")):
        name = f"cjpeg-{sampling}.jpg"
        run("cjpeg", "-quality", 77, "-sample", sampling, "-restart", "1", "-outfile", shelf / name, ppm)
        shelf.holds(name, "cjpeg -sample -restart", **COLOUR, jpeg={"quality": 77, "subsampling": word, "progressive": False})
    shelf.compare(subtests)


def test_densities(shelf, subtests):
    """The resolution tag in its units. A density without a unit is only a ratio (JFIF 1.02) and no density."""
    image = pictures.rgb(40, 30)
    image.save(shelf / "inch.jpg", dpi=(300, 300))
    shelf.holds("inch.jpg", "Pillow dpi", tag_ppi=[near(300, 0.01)] * 2)
    image.save(shelf / "uneven.jpg", dpi=(300, 240))
    shelf.holds("uneven.jpg", "Pillow dpi, two axes", tag_ppi=[near(300, 0.01), near(240, 0.01)])
    image.save(shelf / "none.jpg")
    shelf.holds("none.jpg", "Pillow without dpi", tag_ppi=None)
    convert(shelf / "none.jpg", "-units", "PixelsPerCentimeter", "-density", DOTS_CM, shelf / "cm.jpg")
    shelf.holds("cm.jpg", "ImageMagick PixelsPerCentimeter", tag_ppi=[near(DOTS_CM * 2.54, 0.01)] * 2)
    exif = Image.Exif()
    exif[0x011A], exif[0x011B], exif[0x0128] = 240.0, 240.0, 2
    image.save(shelf / "exif-only.jpg", exif=exif)
    shelf.holds("exif-only.jpg", "Pillow, Exif XResolution, unit 2 (inch)", tag_ppi=[near(240, 0.01)] * 2)
    shelf.compare(subtests)


def padded(profile, size):
    """The same profile with a private tag of `size` bytes (ICC.1 section 7.3: offsets from the start, 4-byte aligned)."""
    count = struct.unpack(">I", profile[128:132])[0]
    table, body = profile[132 : 132 + 12 * count], profile[132 + 12 * count :]
    entries = [struct.unpack(">4sII", table[i : i + 12]) for i in range(0, len(table), 12)]
    moved = b"".join(struct.pack(">4sII", tag, offset + 12, length) for tag, offset, length in entries)
    body += b"\0" * (-len(body) % 4)
    at = 132 + 12 * (count + 1) + len(body)
    filling = b"data" + bytes(4) + b"\0\0\0\1" + bytes(size - 12)
    whole = profile[:128] + struct.pack(">I", count + 1) + moved + struct.pack(">4sII", b"zzzz", at, size) + body + filling
    # The profile's own digest (bytes 84 to 99) no longer fits: zero says that it was not computed.
    return struct.pack(">I", len(whole)) + whole[4:84] + bytes(16) + whole[100:]


def test_others(shelf, subtests):
    """Profiles over several segments, and the orientation tag."""
    image = pictures.rgb(40, 30)
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    # An APP2 segment carries at most 65519 bytes of a profile (ICC.1 Annex B): one, two and five segments.
    for name, profile in (("one", srgb), ("two", padded(srgb, 70_000)), ("five", padded(srgb, 300_000))):
        file = f"profile-{name}.jpg"
        image.save(shelf / file, icc_profile=profile)
        kept = Image.open(shelf / file).info["icc_profile"]
        assert kept == profile
        digest = hashlib.sha256(profile).hexdigest()
        shelf.holds(
            file,
            "Pillow icc_profile; digest by hashlib",
            profile={"known_as": "srgb", "space": "rgb", "class": "display", "sha256": digest},
        )
    for orientation in range(1, 9):
        name = f"turned-{orientation}.jpg"
        exif = Image.Exif()
        exif[0x0112] = orientation
        image.save(shelf / name, exif=exif)
        shelf.holds(name, "Pillow, Exif 0x0112", orientation=orientation, width_px=40, height_px=30)
    # Segments after which the frame header lies far behind: a comment of the longest kind, several times.
    out = io.BytesIO()
    image.save(out, "JPEG", quality=66)
    plain = out.getvalue()
    comments = (b"\xff\xfe\xff\xff" + b"c" * 65_533) * 40
    (shelf / "late-frame.jpg").write_bytes(plain[:2] + comments + plain[2:])
    shelf.holds("late-frame.jpg", "Pillow, 2.6 MB of COM segments put before", width_px=40, jpeg={"quality": 66})
    # Behind the scan a profile is none: libjpeg hands on what stands before it (libjpeg.txt, "ICC profiles"), and so does Pillow.
    part = b"ICC_PROFILE\0\1\1" + srgb
    behind = plain[:-2] + b"\xff\xe2" + struct.pack(">H", len(part) + 2) + part + plain[-2:]
    assert "icc_profile" not in Image.open(io.BytesIO(behind)).info
    (shelf / "profile-behind-scan.jpg").write_bytes(behind)
    shelf.holds("profile-behind-scan.jpg", "Pillow, APP2 put behind the scan", profile=None, claim=None)
    # Fill bytes: any number of 0xFF may stand before a marker (ITU-T T.81 B.1.1.2).
    (shelf / "fill-bytes.jpg").write_bytes(plain[:2] + b"\xff\xff\xff" + plain[2:])
    shelf.holds("fill-bytes.jpg", "Pillow, fill bytes put before the first segment", width_px=40, jpeg={"quality": 66})
    shelf.compare(subtests)
