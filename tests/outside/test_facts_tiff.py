"""TIFF headers: models, depths, compressions, strips, tiles, planes, pages, BigTIFF and byte orders."""

import numpy as np
from PIL import Image

import pictures
from programs import convert, run
from truths import Has, near

SIZE = {"width_px": pictures.WIDTH, "height_px": pictures.HEIGHT}
RGB = {"format": "tiff", "model": "rgb", "bits": 8, "alpha": False, "pages": 1, **SIZE}


def test_by_pillow(shelf, subtests):
    # Pillow's names of TIFF compressions and the words of the JSON.
    kinds = ((None, "none"), ("tiff_lzw", "lzw"), ("tiff_adobe_deflate", "deflate"), ("packbits", "packbits"), ("jpeg", "jpeg"))
    for kind, word in kinds:
        name = f"rgb-{word}.tif"
        pictures.rgb().save(shelf / name, compression=kind)
        shelf.holds(name, "Pillow compression", **RGB, compression=word)
    grey, sixteen = {**RGB, "model": "grey"}, {**RGB, "model": "grey", "bits": 16}
    pictures.grey().save(shelf / "grey.tif")
    shelf.holds("grey.tif", "Pillow L", **grey)
    pictures.grey16().save(shelf / "grey16.tif", compression="tiff_lzw")
    shelf.holds("grey16.tif", "Pillow I;16", **sixteen, compression="lzw")
    pictures.cmyk().save(shelf / "cmyk.tif", compression="tiff_lzw")
    shelf.holds("cmyk.tif", "Pillow CMYK", **{**RGB, "model": "cmyk"}, compression="lzw")
    Image.frombytes("LAB", pictures.rgb().size, pictures.rgb().tobytes()).save(shelf / "lab.tif")
    shelf.holds("lab.tif", "Pillow LAB", **{**RGB, "model": "lab"}, state="FIX")
    pictures.rgb().quantize(64).save(shelf / "palette.tif")
    shelf.holds("palette.tif", "Pillow P", **{**RGB, "model": "palette"}, state="FIX")
    pictures.rgba().save(shelf / "rgba.tif")
    shelf.holds("rgba.tif", "Pillow RGBA", **{**RGB, "alpha": True})
    pictures.grey().convert("1").save(shelf / "bilevel.tif", compression="group4")
    shelf.holds("bilevel.tif", "Pillow 1, CCITT group 4 (TIFF compression 4)", model="grey", bits=1, compression=Has("4"))
    Image.fromarray(pictures.waves(channels=1, top=1)[..., 0].astype(np.float32)).save(shelf / "float.tif")
    shelf.holds("float.tif", "Pillow F, 32-bit floating point", state="FIX", bits=32, width_px=pictures.WIDTH)
    pictures.rgb().save(shelf / "inch.tif", dpi=(300, 240))
    shelf.holds("inch.tif", "Pillow dpi", tag_ppi=[near(300, 0.01), near(240, 0.01)])
    # ResolutionUnit 3 is the centimetre, 1 is none (TIFF 6.0 page 38). 118.11 dots/cm are 300 ppi.
    pictures.rgb().save(shelf / "cm.tif", resolution_unit=3, x_resolution=118.11, y_resolution=118.11)
    shelf.holds("cm.tif", "Pillow resolution_unit 3", tag_ppi=[near(300, 0.01)] * 2)
    pictures.rgb().save(shelf / "no-unit.tif", resolution_unit=1, x_resolution=1, y_resolution=1)
    shelf.holds("no-unit.tif", "Pillow resolution_unit 1", tag_ppi=None)
    for orientation in range(1, 9):
        name = f"turned-{orientation}.tif"
        pictures.rgb().save(shelf / name, tiffinfo={274: orientation})
        shelf.holds(name, "Pillow, tag 274", **SIZE, orientation=orientation)
    shelf.compare(subtests)


def test_by_magick_and_vips(shelf, tmp_path_factory, subtests):
    room = tmp_path_factory.mktemp("sources")
    plain = room / "plain.png"
    pictures.rgb().save(plain)
    for kind, word in (("None", "none"), ("LZW", "lzw"), ("Zip", "deflate"), ("RLE", "packbits")):
        name = f"magick16-{word}.tif"
        convert(plain, "-depth", 16, "-compress", kind, shelf / name)
        shelf.holds(name, "ImageMagick -depth 16 -compress", **{**RGB, "bits": 16}, compression=word)
    convert(plain, "-colorspace", "CMYK", "-depth", 16, shelf / "magick-cmyk16.tif")
    shelf.holds("magick-cmyk16.tif", "ImageMagick CMYK 16", **{**RGB, "model": "cmyk", "bits": 16})
    convert(plain, "-alpha", "set", "-channel", "A", "-evaluate", "set", "50%", shelf / "magick-alpha.tif")
    shelf.holds("magick-alpha.tif", "ImageMagick -alpha set", **{**RGB, "alpha": True})
    convert(plain, "-colorspace", "Lab", shelf / "magick-lab.tif")
    shelf.holds("magick-lab.tif", "ImageMagick -colorspace Lab", model="lab", state="FIX")
    convert(plain, "-endian", "MSB", shelf / "magick-msb.tif")
    shelf.holds("magick-msb.tif", "ImageMagick -endian MSB", **RGB)
    run("vips", "colourspace", plain, room / "sixteen.v", "rgb16")
    for kind, word in (("none", "none"), ("lzw", "lzw"), ("deflate", "deflate"), ("packbits", "packbits")):
        for shape, words in (("strips", []), ("tiles", ["--tile", "--tile-width", 64, "--tile-height", 32])):
            for big in (False, True):
                name = f"vips16-{word}-{shape}{'-big' if big else ''}.tif"
                extra = ["--bigtiff"] if big else []
                predictor = ["--predictor", "horizontal" if kind in ("lzw", "deflate") else "none"]
                run("vips", "tiffsave", room / "sixteen.v", shelf / name, "--compression", kind, *predictor, *words, *extra)
                shelf.holds(name, "vips tiffsave", **{**RGB, "bits": 16}, compression=word)
    run("vips", "cast", plain, room / "float.v", "float")
    run("vips", "tiffsave", room / "float.v", shelf / "vips-float.tif")
    shelf.holds("vips-float.tif", "vips cast float", bits=32, state="FIX")
    run("vips", "tiffsave", plain, shelf / "vips-jpeg.tif", "--compression", "jpeg", "--Q", 90)
    shelf.holds("vips-jpeg.tif", "vips --compression jpeg", **RGB, compression="jpeg")
    shelf.compare(subtests)


def test_by_tiffcp(shelf, tmp_path_factory, subtests):
    """libtiff's own copier: planes apart, tiles, both byte orders, BigTIFF, rows a strip. All decode to the last row."""
    room = tmp_path_factory.mktemp("sources")
    source = room / "source.tif"
    pictures.rgb().save(source)
    deep = room / "deep.tif"
    convert(source, "-depth", 16, "-compress", "None", deep)
    for bits, start in ((8, source), (16, deep)):
        # tiffcp splits planes of 8 bits only.
        for plane in ("contig", "separate") if bits == 8 else ("contig",):
            for shape in (["-r", "7"], ["-t", "-w", "48", "-l", "32"]):
                for kind, word in (("none", "none"), ("lzw:2", "lzw"), ("zip", "deflate"), ("packbits", "packbits")):
                    for order in ("-L", "-B"):
                        name = f"{bits}-{plane}-{shape[0][1:]}-{word}{order}.tif"
                        run("tiffcp", order, "-p", plane, *shape, "-c", kind, start, shelf / name)
                        shelf.holds(name, "tiffcp", **{**RGB, "bits": bits}, compression=word)
        run("tiffcp", "-8", "-c", "lzw", start, shelf / f"{bits}-big.tif")
        shelf.holds(f"{bits}-big.tif", "tiffcp -8 (BigTIFF)", **{**RGB, "bits": bits}, compression="lzw")
    for kind, word in (("None", "none"), ("LZW", "lzw"), ("Zip", "deflate")):
        name = f"16-planes-{word}.tif"
        convert(deep, "-interlace", "Plane", "-compress", kind, shelf / name)
        shelf.holds(name, "ImageMagick -interlace Plane", **{**RGB, "bits": 16}, compression=word)
    for name, row in shelf.rows.items():
        with subtests.test(f"{name} decodes"):
            assert "file.readable" in row["passed"], f"{row['findings'][:1]} {row['not_answered'][:1]}"
    shelf.compare(subtests)


def test_pages(shelf, tmp_path_factory, subtests):
    """Several pages: the largest full page is the picture."""
    small, large = pictures.rgb(50, 40), pictures.rgb()
    small.save(shelf / "three.tif", save_all=True, append_images=[large, small])
    shelf.holds("three.tif", "Pillow save_all, the second is largest", **{**RGB, "pages": 3})
    large.save(shelf / "two.tif", save_all=True, append_images=[pictures.grey(60, 40)], compression="tiff_lzw")
    shelf.holds("two.tif", "Pillow save_all, RGB then grey", **{**RGB, "pages": 2})
    wide = tmp_path_factory.mktemp("sources") / "wide.png"
    pictures.rgb(700, 500).save(wide)
    run("vips", "tiffsave", wide, shelf / "pyramid.tif", "--pyramid", "--tile", "--tile-width", 128, "--tile-height", 128)
    shelf.holds("pyramid.tif", "vips --pyramid: one picture in several sizes", format="tiff", width_px=700, height_px=500)
    shelf.compare(subtests)
