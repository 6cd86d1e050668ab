"""Files that are no print picture here: recognised by their content, whatever their name says."""

import pictures
from programs import convert


def test_others(shelf, tmp_path_factory, subtests):
    plain = tmp_path_factory.mktemp("sources") / "plain.png"
    pictures.rgb().save(plain)
    no_picture = {"state": "FIX"}
    for suffix, word in (("webp", "WebP"), ("gif", "GIF"), ("pdf", "PDF"), ("psd", "PSD")):
        if suffix == "pdf":  # Debian's ImageMagick may not write it
            pictures.rgb().save(shelf / "other.pdf")
        else:
            convert(plain, shelf / f"other.{suffix}")
        shelf.holds(f"other.{suffix}", "ImageMagick or Pillow", finding=("file.readable", word), **no_picture)
        # The same bytes under a name that promises a JPEG.
        (shelf / f"misnamed-{suffix}.jpg").write_bytes((shelf / f"other.{suffix}").read_bytes())
        shelf.holds(f"misnamed-{suffix}.jpg", "ImageMagick, misnamed", finding=("file.readable", word), **no_picture)
    for suffix in ("bmp", "jp2", "tga", "ppm"):
        pictures.rgb().save(shelf / f"other.{suffix}")
        shelf.holds(f"other.{suffix}", "Pillow", finding=("file.readable", ""), **no_picture)
    (shelf / "empty.jpg").write_bytes(b"")
    shelf.holds("empty.jpg", "no bytes", finding=("file.readable", ""), **no_picture)
    (shelf / "words.jpg").write_text("These are words and no picture.\n" * 50, encoding="utf-8")
    shelf.holds("words.jpg", "text", finding=("file.readable", ""), **no_picture)
    (shelf / "zeros.tif").write_bytes(bytes(50_000))
    shelf.holds("zeros.tif", "50,000 zeros", finding=("file.readable", ""), **no_picture)
    # Sound pictures under a wrong name are read as what they are.
    pictures.rgb().save(shelf / "truly-png.jpg", format="PNG")
    shelf.holds("truly-png.jpg", "Pillow, misnamed", format="png", width_px=pictures.WIDTH)
    pictures.rgb().save(shelf / "truly-jpeg.tif", format="JPEG")
    shelf.holds("truly-jpeg.tif", "Pillow, misnamed", format="jpeg", width_px=pictures.WIDTH)
    pictures.rgb().save(shelf / "truly-tiff.png", format="TIFF")
    shelf.holds("truly-tiff.png", "Pillow, misnamed", format="tiff", width_px=pictures.WIDTH)
    for row in shelf.rows.values():
        if row["picture"].startswith(("other.", "misnamed-")):
            fixes = [fix for one in row["findings"] if one["rule"] == "file.readable" for fix in one["fix"]]
            with subtests.test(f"{row['picture']} says what to export"):
                assert any("JPEG" in fix for fix in fixes), f"{fixes}"
    shelf.compare(subtests)
