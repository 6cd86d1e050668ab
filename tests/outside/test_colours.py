"""Questions about colour, asked of a cube of the colours that occur, against every pixel.

Sources: Adobe RGB (1998) colour image encoding and IEC 61966-2-1 for primaries and curves; ICC.1 (Bradford) for the
white D50; ISO 18619 for black point compensation; CIEDE2000 by scikit-image; a relative colorimetric conversion by LittleCMS through Pillow's ImageCms, with
profiles of Debian's icc-profiles-free and libgs-common. Ink: sums of the stored samples.
"""

import io
from pathlib import Path

import numpy
import pytest
from PIL import Image, ImageCms
from scipy.ndimage import uniform_filter
from skimage.color import deltaE_ciede2000

from colour import D50, PRESS, TO_XYZ, adobe, lab, lab_of, srgb, through, xyz_of_lab
from shelf import said
from truths import Part, near

NTSC = "/usr/share/color/icc/colord/NTSC-RGB.icc"
ADOBE_RGB = "/usr/share/color/icc/ghostscript/a98.icc"
# Where basil, berries and sky go beyond sRGB once their codes are taken for Adobe RGB.
PICTURES = ("coffee", "chelsea", "flower", "china")
SEEN = 2.0
# Pixels of each picture that are asked one by one: their share is within 0.3 points of all, two times in three.
SAMPLED = 20_000


@pytest.fixture(scope="module")
def colourful(photographs):
    return {name: rgb for name, rgb in photographs.items() if name in PICTURES}


def test_wide(colourful, tmp_path, rows, subtests):
    profile = Path(ADOBE_RGB).read_bytes()
    for name, rgb in colourful.items():
        Image.fromarray(rgb).save(tmp_path / f"{name}.tif", icc_profile=profile)
    brief = '[file]\nformats = ["tiff"]\n[[print]]\nsize = "50 x 50 mm"\npictures = "*"\n'
    found = rows(brief, tmp_path)
    for name, rgb in colourful.items():
        row = found[f"{name}.tif"]
        true, held, misread = lab(rgb, TO_XYZ["adobe"], adobe), converted(rgb), lab(rgb, TO_XYZ["srgb"], srgb)
        change = deltaE_ciede2000(true, held)
        measures = row["measures"]
        # The bars of the project: half a point of area, a tenth of a Delta E in the mean.
        with subtests.test(f"{name}: share outside sRGB"):
            assert measures["out_of_space"] == near(float((change > SEEN).mean()), 0.005)
        with subtests.test(f"{name}: mean change"):
            assert measures["delta_e_mean"] == near(float(change.mean()), 0.1)
        with subtests.test(f"{name}: 95 % change by no more"):
            assert measures["delta_e_95"] == near(float(numpy.quantile(change, 0.95)), 0.3)
        with subtests.test(f"{name}: share by LittleCMS"):
            apart = deltaE_ciede2000(true, by_engine(rgb, profile))
            assert measures["out_of_space"] == near(float((apart > SEEN).mean()), 0.005)
        with subtests.test(f"{name}: colour left when misread"):
            left = float(chroma(misread).mean() / chroma(true).mean())
            told = [one["measured"] for one in row["findings"] if one["rule"] == "colour.misread"]
            assert told == ([near(left, 0.005)] if left < 0.95 else [])


def converted(rgb):
    """Adobe RGB to sRGB and back to L*, a*, b*, channels clipped."""
    light = adobe(rgb.astype(float)) @ TO_XYZ["adobe"].T @ numpy.linalg.inv(TO_XYZ["srgb"]).T
    return lab_of(numpy.clip(light, 0, 1) @ TO_XYZ["srgb"].T)


def by_engine(rgb, profile):
    """The same by an engine, to 8-bit sRGB: rounded there."""
    way = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB"), "RGB", "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    codes = numpy.asarray(ImageCms.applyTransform(Image.fromarray(rgb), way))
    return lab(codes, TO_XYZ["srgb"], srgb)


def test_strangers(colourful, tmp_path, check, subtests):
    """Pictures whose profile is no known encoding, inks and grey: every pixel by LittleCMS against the counted colours."""
    ntsc, press = Path(NTSC).read_bytes(), Path(PRESS).read_bytes()
    srgb_profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    # A printer that holds just sRGB: its class says output (ICC.1:2022, section 7.2).
    printer = tmp_path / "printer.icc"
    printer.write_bytes(srgb_profile[:12] + b"prtr" + srgb_profile[16:])
    to_press = ImageCms.buildTransform(opened(ntsc), opened(press), "RGB", "CMYK", ImageCms.Intent.RELATIVE_COLORIMETRIC)
    inks = {}
    for name, rgb in colourful.items():
        Image.fromarray(rgb).save(tmp_path / f"{name}-ntsc.tif", icc_profile=ntsc)
        inks[name] = ImageCms.applyTransform(Image.fromarray(rgb), to_press)
        inks[name].save(tmp_path / f"{name}-inks.tif", icc_profile=press)
        Image.fromarray(rgb).convert("L").save(tmp_path / f"{name}-grey.tif")
    brief = (
        f'[file]\nformats = ["tiff"]\n[paper]\nprofile = "{printer}"\n[margins]\nbleed = "0 mm"\n'
        '[[print]]\nsize = "50 x 50 mm"\npictures = "*"\n'
    )
    rows = {row["picture"]: row["measures"] for row in check(brief, tmp_path)["rows"]}
    chance = numpy.random.default_rng(12)
    for name, rgb in colourful.items():
        pixels = chance.choice(rgb.reshape(-1, 3), SAMPLED, replace=False)
        for way, codes, profile in (
            ("ntsc", pixels, NTSC), ("inks", chance.choice(numpy.asarray(inks[name]).reshape(-1, 4), SAMPLED, replace=False), PRESS),
        ):
            true = through(codes / 255 * (100 if way == "inks" else 255), profile, "*Lab")
            light = xyz_of_lab(true) @ numpy.linalg.inv(TO_XYZ["srgb"]).T
            change = deltaE_ciede2000(true, lab_of(numpy.clip(light, 0, 1) @ TO_XYZ["srgb"].T))
            measures = rows[f"{name}-{way}.tif"]
            with subtests.test(f"{name}, {way}: share outside"):
                shares = [measures["out_of_paper"]] + ([measures["out_of_space"]] if way == "ntsc" else [])
                assert shares == [near(float((change > SEEN).mean()), 0.015)] * len(shares)
            with subtests.test(f"{name}, {way}: mean change"):
                means = [measures["paper_delta_e_mean"]] + ([measures["delta_e_mean"]] if way == "ntsc" else [])
                assert means == [near(float(change.mean()), 0.1)] * len(means)
        with subtests.test(f"{name}, grey: nothing outside"):
            assert rows[f"{name}-grey.tif"]["out_of_paper"] == near(0, 0.001)


def opened(profile):
    return ImageCms.ImageCmsProfile(io.BytesIO(profile))


def test_paper(colourful, tmp_path, rows, subtests):
    """What a press profile cannot hold: single pixels through it and back, by LittleCMS's own calculator."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for name, rgb in colourful.items():
        Image.fromarray(rgb).save(tmp_path / f"{name}.tif", icc_profile=profile)
    brief = (
        f'[file]\nformats = ["tiff"]\n[paper]\nstock = "coated"\nprofile = "{PRESS}"\n[margins]\nbleed = "0 mm"\n'
        '[[print]]\nsize = "50 x 50 mm"\npictures = "*"\n'
    )
    found = rows(brief, tmp_path)

    def held(colours):
        return through(through(colours, "*Lab", PRESS), PRESS, "*Lab")

    # ISO 18619: from a black without light to the paper's.
    black = D50 * ((held([(0, 0, 0)])[0, 0] + 16) / 116) ** 3
    chance = numpy.random.default_rng(11)
    for name, rgb in colourful.items():
        pixels = chance.choice(rgb.reshape(-1, 3), SAMPLED, replace=False)
        light = srgb(pixels.astype(float)) @ TO_XYZ["srgb"].T
        wanted = lab_of(light * (D50 - black) / D50 + black)
        change = deltaE_ciede2000(wanted, held(wanted))
        with subtests.test(f"{name}: share outside the press profile"):
            assert found[f"{name}.tif"]["measures"]["out_of_paper"] == near(float((change > SEEN).mean()), 0.015)


def chroma(colours):
    return numpy.hypot(colours[..., 1], colours[..., 2])


def test_inks(tmp_path, check, subtests):
    """Total ink over 10 mm and the share over the limit, against sums of the samples."""
    chance = numpy.random.default_rng(7)
    height, width, ppi = 900, 700, 254
    down, across = numpy.mgrid[0:height, 0:width]
    spot = 90 * numpy.exp(-(((down - 300) / 150) ** 2 + ((across - 420) / 150) ** 2))
    codes = numpy.clip(120 + spot[..., None] + chance.normal(0, 12, (height, width, 4)), 0, 255).astype(numpy.uint8)
    Image.fromarray(codes, mode="CMYK").save(tmp_path / "spot.tif")
    percent = codes.astype(float).sum(-1) / 2.55
    # 10 mm at 254 ppi are 100 px.
    together = uniform_filter(percent, 100, mode="constant")[50:-50, 50:-50].max()
    limit = int(together) - 10
    brief = (
        f'[file]\nformats = ["tiff"]\n[colour]\nspace = "cmyk"\n[paper]\nstock = "coated"\nink_limit = "{limit} %"\n[margins]\nbleed = "0 mm"\n'
        f'[[print]]\nsize = "{width / ppi:.6f} x {height / ppi:.6f} in"\npictures = "*"\n'
    )
    row = check(brief, tmp_path)["rows"][0]
    with subtests.test("ink over 10 mm"):
        assert row["measures"]["ink_max"] == near(together / 100, 0.02)
    with subtests.test("ink is a finding"):
        assert [one for one in row["findings"] if one["rule"] == "colour.ink"] == [Part({"level": "must", "measured": near(together / 100, 0.02)})]
    with subtests.test("share of the picture over the limit"):
        over = float((numpy.round(percent) > limit).mean())
        assert float(said(row, "colour.ink")[0].split(";")[1].split(" %")[0]) / 100 == near(over, 0.002)
