"""Creator, copyright, caption, place and time as exiftool writes them into each home; exiftool is the judge."""

import pictures
from programs import run
from truths import Starts

CREATOR, COPYRIGHT, CAPTION = "Imre Fenn", "© 2026 Fennimore Quay", "Salt-baked beetroot, crème fraîche"
# Tags of each home, in exiftool's words (Exif 2.3; IPTC-IIM 4.2 data sets 2:80, 2:116, 2:120; Dublin Core in XMP).
HOMES = {
    "exif": ("-EXIF:Artist", "-EXIF:Copyright", "-EXIF:ImageDescription"),
    "iptc": ("-IPTC:By-line", "-IPTC:CopyrightNotice", "-IPTC:Caption-Abstract"),
    "xmp": ("-XMP-dc:Creator", "-XMP-dc:Rights", "-XMP-dc:Description"),
}


def test_metadata(shelf, subtests):
    image = pictures.rgb(60, 40)
    for suffix in ("jpg", "tif", "png"):
        image.save(shelf / f"bare.{suffix}")
        shelf.holds(
            f"bare.{suffix}", "Pillow, nothing said", creator=None, copyright=None, caption=None, location=False, taken=None
        )
        for home, (creator, copyright, caption) in HOMES.items():
            if suffix == "png" and home == "iptc":
                continue  # a PNG has no standard home for IPTC-IIM
            name = f"{home}.{suffix}"
            image.save(shelf / name)
            charset = ["-IPTC:CodedCharacterSet=UTF8"] if home == "iptc" else []
            tags = [f"{creator}={CREATOR}", f"{copyright}={COPYRIGHT}", f"{caption}={CAPTION}"]
            run("exiftool", "-q", "-overwrite_original", "-charset", "UTF8", *charset, *tags, shelf / name)
            shelf.holds(name, f"exiftool, {home} only", creator=CREATOR, copyright=COPYRIGHT, caption=CAPTION, location=False)
        for kind, tags in (
            ("exif", ["-EXIF:GPSLatitude=51.5", "-EXIF:GPSLatitudeRef=N", "-EXIF:GPSLongitude=1.2", "-EXIF:GPSLongitudeRef=E"]),
            ("xmp", ["-XMP-exif:GPSLatitude=51.5", "-XMP-exif:GPSLongitude=1.2"]),
            # Of a destination (Exif 2.3, GPS tags 20 and 22), and in the structures of IPTC Extension (IPTC Photo Metadata
            # Standard, Location Created and Location Shown).
            ("destination", ["-EXIF:GPSDestLatitude=51.5", "-EXIF:GPSDestLongitude=1.2"]),
            ("destination-xmp", ["-XMP-exif:GPSDestLatitude=51.5", "-XMP-exif:GPSDestLongitude=1.2"]),
            ("created", ["-XMP-iptcExt:LocationCreatedGPSLatitude=51.5", "-XMP-iptcExt:LocationCreatedGPSLongitude=1.2"]),
            ("shown", ["-XMP-iptcExt:LocationShownGPSLatitude=51.5", "-XMP-iptcExt:LocationShownGPSLongitude=1.2"]),
        ):
            name = f"place-{kind}.{suffix}"
            image.save(shelf / name)
            run("exiftool", "-q", "-overwrite_original", *tags, shelf / name)
            shelf.holds(name, f"exiftool, coordinates in {kind}", location=True)
        name = f"town.{suffix}"
        image.save(shelf / name)
        run("exiftool", "-q", "-overwrite_original", "-XMP-iptcExt:LocationShownCity=Corrow", "-EXIF:GPSMapDatum=WGS-84", shelf / name)
        shelf.holds(name, "exiftool, a town and a datum without coordinates", location=False)
        name = f"taken.{suffix}"
        image.save(shelf / name)
        run("exiftool", "-q", "-overwrite_original", "-EXIF:DateTimeOriginal=2026:11:02 10:21:07", shelf / name)
        shelf.holds(name, "exiftool DateTimeOriginal", taken=Starts("2026-11-02T10:21:07"))
    name = "latin.jpg"
    image.save(shelf / name)
    run("exiftool", "-q", "-overwrite_original", "-charset", "UTF8", "-IPTC:By-line=Zoë Crème", shelf / name)
    shelf.holds(name, "exiftool, IPTC without a character set (Latin 1)", creator="Zoë Crème")
    # Exif ColorSpace and the interoperability index (DCF 2.0): uncalibrated and R03 is Adobe RGB (1998).
    image.save(shelf / "option.jpg")
    run("exiftool", "-q", "-overwrite_original", "-EXIF:ColorSpace#=65535", "-EXIF:InteropIndex=R03", shelf / "option.jpg")
    shelf.holds("option.jpg", "exiftool, DCF option file", exif_colour_space=65535, profile=None, claim={"known_as": "adobe rgb"})
    image.save(shelf / "basic.jpg")
    run("exiftool", "-q", "-overwrite_original", "-EXIF:ColorSpace#=1", shelf / "basic.jpg")
    shelf.holds("basic.jpg", "exiftool, Exif colour space 1", exif_colour_space=1, profile=None, claim={"known_as": "srgb"})
    shelf.compare(subtests)
