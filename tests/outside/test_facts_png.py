"""PNG headers: depths, palette, alpha, interlace, the colour chunks in the standard's order, and what texts say."""

import hashlib

from PIL import Image, ImageCms
from PIL.PngImagePlugin import PngInfo

import pictures
from programs import convert, run
from truths import near

RGB = {
    "format": "png",
    "compression": "deflate",
    "model": "rgb",
    "bits": 8,
    "alpha": False,
    "pages": 1,
    "width_px": pictures.WIDTH,
    "height_px": pictures.HEIGHT,
}


def test_kinds(shelf, tmp_path_factory, subtests):
    room = tmp_path_factory.mktemp("sources")
    plain = room / "plain.png"
    pictures.rgb().save(plain)
    pictures.rgb().save(shelf / "rgb.png", dpi=(300, 300))
    # pHYs counts whole pixels a metre: 11811 / m is 299.9994 ppi (PNG 11.3.4.3); read as 300 within a hundredth.
    shelf.holds("rgb.png", "Pillow RGB with dpi", **RGB, tag_ppi=[near(300, 0.01)] * 2)
    pictures.grey().save(shelf / "grey.png")
    shelf.holds("grey.png", "Pillow L", **{**RGB, "model": "grey"}, tag_ppi=None)
    pictures.grey16().save(shelf / "grey16.png")
    shelf.holds("grey16.png", "Pillow I;16", **{**RGB, "model": "grey", "bits": 16})
    pictures.rgba().save(shelf / "rgba.png")
    shelf.holds("rgba.png", "Pillow RGBA", **{**RGB, "alpha": True})
    pictures.rgba().convert("LA").save(shelf / "grey-alpha.png")
    shelf.holds("grey-alpha.png", "Pillow LA", **{**RGB, "model": "grey", "alpha": True})
    pictures.rgb().quantize(200).save(shelf / "palette.png")
    shelf.holds("palette.png", "Pillow P, 200 colours", **{**RGB, "model": "palette"})
    pictures.grey().convert("1").save(shelf / "bilevel.png")
    shelf.holds("bilevel.png", "Pillow 1", **{**RGB, "model": "grey", "bits": 1})
    # The frames of an animation, and the still picture where it is none of them (PNG Third Edition, acTL and fcTL).
    others = [pictures.rgb().rotate(180), pictures.rgb().transpose(Image.Transpose.FLIP_LEFT_RIGHT)]
    for name, is_apart in (("animated", False), ("animated-apart", True)):
        pictures.rgb().save(shelf / f"{name}.png", save_all=True, append_images=others, default_image=is_apart)
        source = f"Pillow save_all, default_image={is_apart}"
        shelf.holds(f"{name}.png", source, finding=("file.layers", "an animation of 3 pictures"), **{**RGB, "pages": 3})
    exif = Image.Exif()
    exif[0x0112] = 6
    pictures.rgb().save(shelf / "turned.png", exif=exif)
    shelf.holds("turned.png", "Pillow, eXIf chunk", **RGB, orientation=6)
    convert(plain, "-depth", 16, "-define", "png:color-type=2", "-define", "png:bit-depth=16", shelf / "magick16.png")
    shelf.holds("magick16.png", "ImageMagick -depth 16", **{**RGB, "bits": 16})
    convert(plain, "-interlace", "PNG", shelf / "magick-interlaced.png")
    shelf.holds("magick-interlaced.png", "ImageMagick -interlace PNG", **RGB)
    run("vips", "pngsave", plain, shelf / "vips-interlaced.png", "--interlace")
    shelf.holds("vips-interlaced.png", "vips --interlace", **RGB)
    run("vips", "colourspace", plain, room / "16.v", "rgb16")
    run("vips", "pngsave", room / "16.v", shelf / "vips16.png")
    shelf.holds("vips16.png", "vips rgb16", **{**RGB, "bits": 16})
    shelf.compare(subtests)


def with_chunks(path, chunks, **options):
    info = PngInfo()
    for name, data in chunks:
        info.add(name, data)
    pictures.rgb().save(path, pnginfo=info, **options)


def test_colours(shelf, subtests):
    """cICP before iCCP before sRGB before gAMA (PNG Third Edition, section 4.3)."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    # The chunk's one byte is the rendering intent.
    with_chunks(shelf / "srgb.png", [(b"sRGB", b"\0")])
    shelf.holds("srgb.png", "Pillow, sRGB chunk", profile=None, claim={"known_as": "srgb"})
    with_chunks(shelf / "gamma.png", [(b"gAMA", (45455).to_bytes(4, "big"))])
    shelf.holds("gamma.png", "Pillow, gAMA 1/2.2 alone names no colour space", profile=None, claim=None)
    with_chunks(shelf / "iccp.png", [], icc_profile=srgb)
    shelf.holds(
        "iccp.png",
        "Pillow icc_profile; digest by hashlib",
        profile={"known_as": "srgb", "sha256": hashlib.sha256(srgb).hexdigest()},
    )
    # Code points of ITU-T H.273: primaries 1 are those of sRGB, 12 those of Display P3; transfer 13 is the sRGB curve;
    # matrix 0 is RGB; full range.
    with_chunks(shelf / "cicp-srgb.png", [(b"cICP", bytes([1, 13, 0, 1]))])
    shelf.holds("cicp-srgb.png", "Pillow, cICP 1/13/0/1", claim={"known_as": "srgb"})
    with_chunks(shelf / "cicp-p3.png", [(b"cICP", bytes([12, 13, 0, 1])), (b"sRGB", b"\0")])
    shelf.holds("cicp-p3.png", "Pillow, cICP 12/13/0/1 wins over sRGB", claim={"known_as": "display p3"})
    with_chunks(shelf / "untagged.png", [])
    shelf.holds("untagged.png", "Pillow", profile=None, claim=None)
    shelf.compare(subtests)


def test_texts(shelf, tmp_path_factory, subtests):
    """Credits and orientations where exiftool, ImageMagick and Pillow put them; exiftool's XMP stands behind the pixels."""
    plain = tmp_path_factory.mktemp("sources") / "silent.png"
    pictures.rgb().save(plain)
    by_exiftool = {
        "xmp": (["-XMP-dc:Creator=One", "-XMP-dc:Rights=Two", "-XMP-tiff:Orientation#=6"], {"creator": "One", "copyright": "Two", "orientation": 6}),
        "exif": (["-EXIF:Artist=One", "-EXIF:Orientation#=8"], {"creator": "One", "orientation": 8}),
        "keywords": (["-PNG:Author=One", "-PNG:Copyright=Two", "-PNG:Title=Tart"], {"creator": "One", "copyright": "Two", "caption": "Tart"}),
    }
    for name, (words, facts) in by_exiftool.items():
        run("exiftool", "-q", *words, "-o", shelf / f"{name}.png", plain)
        shelf.holds(f"{name}.png", "exiftool", **RGB, **facts)
    convert(plain, "-set", "Author", "One", "-set", "Description", "Tart", shelf / "magick.png")
    shelf.holds("magick.png", "ImageMagick -set", creator="One", caption="Tart", orientation=1)
    for packed in (False, True):
        info, name = PngInfo(), f"pillow-{'packed' if packed else 'plain'}.png"
        info.add_text("Author", "One", zip=packed)
        info.add_itxt("Description", "Crème", zip=packed)
        info.add_text("Copyright", "Two")
        pictures.rgb().save(shelf / name, pnginfo=info)
        shelf.holds(name, "Pillow PngInfo", **RGB, creator="One", copyright="Two", caption="Crème")
    shelf.compare(subtests)
