"""Questions about colour, asked of a cube of the colours that occur, against every pixel.

Sources: Adobe RGB (1998) colour image encoding and IEC 61966-2-1 for primaries and curves; ICC.1 (Bradford) for the
white D50; ISO 18619 for black point compensation; CIEDE2000 by scikit-image; a relative colorimetric conversion by LittleCMS through Pillow's ImageCms, with
profiles of Debian's icc-profiles-free and libgs-common. Ink: sums of the stored samples.
"""

import io

import numpy
from PIL import Image, ImageCms
from scipy.ndimage import uniform_filter
from skimage.color import deltaE_ciede2000

from house import Near
from photographs import photographs

PRESS = "/usr/share/color/icc/ghostscript/default_cmyk.icc"
NTSC = "/usr/share/color/icc/colord/NTSC-RGB.icc"
ADOBE_RGB = "/usr/share/color/icc/ghostscript/a98.icc"
# Where basil, berries and sky go beyond sRGB once their codes are taken for Adobe RGB.
PICTURES = ("coffee", "chelsea", "flower", "china")
SEEN = 2.0
# Pixels of each picture that are asked one by one: their share is within 0.3 points of all, two times in three.
SAMPLED = 20_000


def run(house):
    wide(house)
    strangers(house)
    paper(house)
    inks(house)


def wide(house):
    folder = house.folder("wide")
    profile = open(ADOBE_RGB, "rb").read()
    pictures = {name: rgb for name, rgb in photographs().items() if name in PICTURES}
    for name, rgb in pictures.items():
        Image.fromarray(rgb).save(folder / f"{name}.tif", icc_profile=profile)
    brief = '[file]\nformats = ["tiff"]\n[[print]]\nsize = "50 x 50 mm"\npictures = "*"\n'
    rows = {row["picture"]: row for row in house.check(brief, folder)["rows"]}
    for name, rgb in pictures.items():
        row = rows[f"{name}.tif"]
        true, held, misread = lab(rgb, TO_XYZ["adobe"], adobe), converted(rgb), lab(rgb, TO_XYZ["srgb"], srgb)
        change = deltaE_ciede2000(true, held)
        measures = row["measures"]
        # The bars of the project: half a point of area, a tenth of a Delta E in the mean.
        house.tally.equal(f"{name}: share outside sRGB", Near(float((change > SEEN).mean()), 0.005), measures["out_of_space"])
        house.tally.equal(f"{name}: mean change", Near(float(change.mean()), 0.1), measures["delta_e_mean"])
        house.tally.equal(f"{name}: 95 % change by no more", Near(float(numpy.quantile(change, 0.95)), 0.3), measures["delta_e_95"])
        engine = by_engine(rgb, profile)
        apart = deltaE_ciede2000(true, engine)
        house.tally.equal(f"{name}: share by LittleCMS", Near(float((apart > SEEN).mean()), 0.005), measures["out_of_space"])
        left = float(chroma(misread).mean() / chroma(true).mean())
        found = [one["measured"] for one in row["findings"] if one["rule"] == "colour.misread"]
        house.tally.equal(f"{name}: colour left when misread", [Near(left, 0.005)] if left < 0.95 else [], found)


def xyz_of(primaries, white):
    """Linear RGB to XYZ, adapted to D50 by Bradford's matrix."""
    columns = numpy.array([[x / y, 1, (1 - x - y) / y] for x, y in primaries]).T
    target = numpy.array([white[0] / white[1], 1, (1 - sum(white)) / white[1]])
    matrix = columns * numpy.linalg.solve(columns, target)
    bradford = numpy.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    scale = numpy.diag((bradford @ D50) / (bradford @ target))
    return numpy.linalg.inv(bradford) @ scale @ bradford @ matrix


D50 = numpy.array([0.9642, 1.0, 0.8249])
D65 = (0.3127, 0.3290)
TO_XYZ = {
    "srgb": xyz_of([(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)], D65),
    "adobe": xyz_of([(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)], D65),
}


def srgb(codes):
    share = codes / 255
    return numpy.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def adobe(codes):
    return (codes / 255) ** (563 / 256)


def lab(rgb, to_xyz, curve):
    return lab_of(curve(rgb.astype(float)) @ to_xyz.T)


def lab_of(xyz):
    share = xyz / D50
    f = numpy.where(share > 216 / 24389, numpy.cbrt(share), (24389 / 27 * share + 16) / 116)
    return numpy.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], -1)


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


def strangers(house):
    """Pictures whose profile is no known encoding, inks and grey: every pixel by LittleCMS against the counted colours."""
    folder = house.folder("strangers")
    pictures = {name: rgb for name, rgb in photographs().items() if name in PICTURES}
    ntsc, press = open(NTSC, "rb").read(), open(PRESS, "rb").read()
    srgb_profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    # A printer that holds just sRGB: its class says output (ICC.1:2022, section 7.2).
    printer = folder / "printer.icc"
    printer.write_bytes(srgb_profile[:12] + b"prtr" + srgb_profile[16:])
    to_press = ImageCms.buildTransform(opened(ntsc), opened(press), "RGB", "CMYK", ImageCms.Intent.RELATIVE_COLORIMETRIC)
    inks = {}
    for name, rgb in pictures.items():
        Image.fromarray(rgb).save(folder / f"{name}-ntsc.tif", icc_profile=ntsc)
        inks[name] = ImageCms.applyTransform(Image.fromarray(rgb), to_press)
        inks[name].save(folder / f"{name}-inks.tif", icc_profile=press)
        Image.fromarray(rgb).convert("L").save(folder / f"{name}-grey.tif")
    brief = (
        f'[file]\nformats = ["tiff"]\n[paper]\nprofile = "{printer}"\n[margins]\nbleed = "0 mm"\n'
        '[[print]]\nsize = "50 x 50 mm"\npictures = "*"\n'
    )
    rows = {row["picture"]: row["measures"] for row in house.check(brief, folder)["rows"]}
    chance = numpy.random.default_rng(12)
    for name, rgb in pictures.items():
        pixels = chance.choice(rgb.reshape(-1, 3), SAMPLED, replace=False)
        for way, codes, profile in (
            ("ntsc", pixels, NTSC), ("inks", chance.choice(numpy.asarray(inks[name]).reshape(-1, 4), SAMPLED, replace=False), PRESS),
        ):
            true = through(house, codes / 255 * (100 if way == "inks" else 255), profile, "*Lab")
            light = xyz_of_lab(true) @ numpy.linalg.inv(TO_XYZ["srgb"]).T
            change = deltaE_ciede2000(true, lab_of(numpy.clip(light, 0, 1) @ TO_XYZ["srgb"].T))
            measures = rows[f"{name}-{way}.tif"]
            shares = [measures["out_of_paper"]] + ([measures["out_of_space"]] if way == "ntsc" else [])
            means = [measures["paper_delta_e_mean"]] + ([measures["delta_e_mean"]] if way == "ntsc" else [])
            house.tally.equal(f"{name}, {way}: share outside", [Near(float((change > SEEN).mean()), 0.015)] * len(shares), shares)
            house.tally.equal(f"{name}, {way}: mean change", [Near(float(change.mean()), 0.1)] * len(means), means)
        house.tally.equal(f"{name}, grey: nothing outside", Near(0, 0.001), rows[f"{name}-grey.tif"]["out_of_paper"])


def opened(profile):
    return ImageCms.ImageCmsProfile(io.BytesIO(profile))


def xyz_of_lab(colours):
    y = (colours[..., 0] + 16) / 116
    shares = numpy.stack([y + colours[..., 1] / 500, y, y - colours[..., 2] / 200], -1)
    return D50 * numpy.where(shares > 6 / 29, shares**3, (116 * shares - 16) * 27 / 24389)


def through(house, colours, source, target):
    """Colours through a profile by LittleCMS's own calculator, relative colorimetric."""
    lines = "".join(" ".join(f"{value:.6f}" for value in colour) + "\n" for colour in colours)
    said = house.run("transicc", "-n", f"-i{source}", f"-o{target}", "-t1", input=lines.encode())
    return numpy.array([line.split() for line in said.decode().splitlines() if line[:1] in "-0123456789" and line.strip()], float)


def paper(house):
    """What a press profile cannot hold: single pixels through it and back, by LittleCMS's own calculator."""
    folder = house.folder("paper")
    pictures = {name: rgb for name, rgb in photographs().items() if name in PICTURES}
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for name, rgb in pictures.items():
        Image.fromarray(rgb).save(folder / f"{name}.tif", icc_profile=profile)
    brief = (
        f'[file]\nformats = ["tiff"]\n[paper]\nstock = "coated"\nprofile = "{PRESS}"\n[margins]\nbleed = "0 mm"\n'
        '[[print]]\nsize = "50 x 50 mm"\npictures = "*"\n'
    )
    rows = {row["picture"]: row for row in house.check(brief, folder)["rows"]}

    def held(colours):
        return through(house, through(house, colours, "*Lab", PRESS), PRESS, "*Lab")

    # ISO 18619: from a black without light to the paper's.
    black = D50 * ((held([(0, 0, 0)])[0, 0] + 16) / 116) ** 3
    chance = numpy.random.default_rng(11)
    for name, rgb in pictures.items():
        pixels = chance.choice(rgb.reshape(-1, 3), SAMPLED, replace=False)
        light = srgb(pixels.astype(float)) @ TO_XYZ["srgb"].T
        wanted = lab_of(light * (D50 - black) / D50 + black)
        change = deltaE_ciede2000(wanted, held(wanted))
        share = rows[f"{name}.tif"]["measures"]["out_of_paper"]
        house.tally.equal(f"{name}: share outside the press profile", Near(float((change > SEEN).mean()), 0.015), share)


def chroma(colours):
    return numpy.hypot(colours[..., 1], colours[..., 2])


def inks(house):
    """Total ink over 10 mm and the share over the limit, against sums of the samples."""
    folder = house.folder("inks")
    chance = numpy.random.default_rng(7)
    height, width, ppi = 900, 700, 254
    down, across = numpy.mgrid[0:height, 0:width]
    spot = 90 * numpy.exp(-(((down - 300) / 150) ** 2 + ((across - 420) / 150) ** 2))
    codes = numpy.clip(120 + spot[..., None] + chance.normal(0, 12, (height, width, 4)), 0, 255).astype(numpy.uint8)
    Image.fromarray(codes, mode="CMYK").save(folder / "spot.tif")
    percent = codes.astype(float).sum(-1) / 2.55
    # 10 mm at 254 ppi are 100 px.
    together = uniform_filter(percent, 100, mode="constant")[50:-50, 50:-50].max()
    limit = int(together) - 10
    brief = (
        f'[file]\nformats = ["tiff"]\n[colour]\nspace = "cmyk"\n[paper]\nstock = "coated"\nink_limit = "{limit} %"\n[margins]\nbleed = "0 mm"\n'
        f'[[print]]\nsize = "{width / ppi:.6f} x {height / ppi:.6f} in"\npictures = "*"\n'
    )
    row = house.check(brief, folder)["rows"][0]
    house.tally.equal("ink over 10 mm", Near(together / 100, 0.02), row["measures"]["ink_max"])
    found = [one for one in row["findings"] if one["rule"] == "colour.ink"]
    house.tally.equal("ink is a finding", [{"level": "must", "measured": Near(together / 100, 0.02)}], found)
    over = float((numpy.round(percent) > limit).mean())
    said = float(found[0]["what"].split("(")[-1].split(" %")[0]) / 100 if found else None
    house.tally.equal("share of the picture over the limit", Near(over, 0.002), said)
