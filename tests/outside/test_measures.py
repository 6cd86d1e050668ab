"""What the pixels say, against numpy on the same pixels and against pictures whose numbers are known beforehand.

Sources: IEC 61966-2-1 (curve), CIE 15 (L*), ISO 18619 (black point compensation), ITU-R BT.601 (luma); the normal
distribution for blurred steps; arithmetic for areas; for edges, traces, noise and regions see formulas.py. The
thresholds of cells and detail are plateside's own and are repeated here from its handbook pages.
"""

from collections import Counter

import numpy
import pytest
from PIL import Image
from scipy.special import ndtr

import formulas
from processings import blurred, compressed, enlarged, light, sharpened
from programs import run
from truths import Part, near

# A paper for the shadows: D absolute and L* of its white.
BLACK_D, WHITE_L = 1.31, 95.7
# Numbers of formulas.py may differ by this share of theirs, or by a millionth: plateside keeps widths, medians and the
# ground of spectral lines in 32 bits. The most on 149 pictures was a millionth of the number.
SHARE = 1e-5
# Photographs that are processed too: animal, crockery, machine, wood.
PROCESSED = ("chelsea", "coffee", "motorcycle_left", "wood")
# Enlarged 3 x it is too large to be kept whole; its white is blown.
LARGE = "ladybird"


@pytest.fixture(scope="module")
def folder(photographs, tmp_path_factory):
    """Every photograph as a PNG."""
    folder = tmp_path_factory.mktemp("photographs")
    for name, rgb in photographs.items():
        Image.fromarray(rgb).save(folder / f"{name}.png")
    return folder


@pytest.fixture(scope="module")
def found(folder, look):
    """What is counted of each photograph, by its file's name."""
    return look(sorted(folder.iterdir()))


def luma(rgb):
    red, green, blue = (rgb[..., at].astype(numpy.uint32) for at in range(3))
    return ((77 * red + 150 * green + 29 * blue + 128) >> 8).astype(numpy.uint8)


def lightness(share):
    share = numpy.asarray(share, float)
    return numpy.where(share > 216 / 24389, 116 * numpy.cbrt(share) - 16, 24389 / 27 * share)


def test_codes(photographs, found, subtests):
    for name, rgb in photographs.items():
        of_codes(subtests, name, rgb, found[f"{name}.png"])


def of_codes(subtests, name, rgb, found):
    hot = rgb >= 254
    white = hot.all(-1)
    with subtests.test(f"{name}: white"):
        assert found["white"] == near(float(white.mean()), 1e-9)
    for at, channel in enumerate(("red", "green", "blue")):
        with subtests.test(f"{name}: {channel} alone"):
            assert found["single"][at] == near(float((hot[..., at] & ~white).mean()), 1e-9)
    height, width = rgb.shape[:2]
    with subtests.test(f"{name}: cells"):
        assert found["cells"] == (height // 8) * (width // 8)


def noisy(picture):
    codes = numpy.asarray(picture, float)
    codes += numpy.random.default_rng(1).normal(0, 5, codes.shape)
    return Image.fromarray(numpy.clip(codes + 0.5, 0, 255).astype(numpy.uint8))


def processings(pictures):
    """Name and codes of some photographs after what people and cameras do."""
    processes = {
        "unsharp": sharpened(2, 2), "enlarged 1.8 x": enlarged(1.8, "bicubic"), "enlarged 2 x": enlarged(2, "bicubic"),
        "blurred": blurred(2), "noise": noisy, "jpeg 50": compressed(50),
    }
    for what, process in processes.items():
        for name in PROCESSED:
            yield f"{name} {what}", numpy.asarray(process(Image.fromarray(pictures[name])))
    yield f"{LARGE} enlarged 3 x", numpy.asarray(enlarged(3, "lanczos")(Image.fromarray(pictures[LARGE])))


def test_photographs_by_formulas(photographs, found, subtests):
    by_formulas(subtests, {f"{name}.png": rgb for name, rgb in photographs.items()}, found)


def test_processed_ones_by_formulas(photographs, look, tmp_path, subtests):
    processed = {f"{name}.tif": rgb for name, rgb in processings(photographs)}
    for name, rgb in processed.items():
        Image.fromarray(rgb).save(tmp_path / name)
    by_formulas(subtests, processed, look(sorted(tmp_path.iterdir())))


def by_formulas(subtests, pictures, found):
    """Every measure of formulas.py; most pictures must have an answer, or nothing was compared."""
    answered = Counter()
    for name, rgb in pictures.items():
        for measure, value in formulas.measures(rgb).items():
            answered[measure] += value is not None
            with subtests.test(f"{name}: {measure}"):
                assert found[name][measure] == Part(expected(value))
    for measure, count in answered.items():
        with subtests.test(f"{measure} is answered"):
            assert 3 * count >= 2 * len(pictures)


def expected(value):
    """A number within the tolerance; whole numbers, places of a grid and what has no answer as they are."""
    if value is None or isinstance(value, (int, list)):
        return value
    if isinstance(value, dict):
        return {name: expected(number) for name, number in value.items()}
    return near(float(value), 1e-6 + SHARE * abs(value))


def cells(codes):
    """Pixels a side, mean and deviation of cells of 8 x 8 pixels, and of cells of sixteen of the next smaller ones' means."""
    side = 8
    while True:
        height, width = (side_px // (8 if side == 8 else 4) * (8 if side == 8 else 4) for side_px in codes.shape)
        step = 8 if side == 8 else 4
        if min(height, width) == 0 or side > 512:
            return
        parts = codes[:height, :width].reshape(height // step, step, width // step, step).astype(float)
        codes = parts.mean((1, 3))
        yield side, codes, parts.std((1, 3))
        side *= 4


def test_shadows(photographs, folder, found, rows, subtests):
    """Detail that blocks up: seen in the file (1 L*), not on the paper; no detail below 1.5 codes or, in the smallest
    cells, twice the noise. Sizes from 0.5 to 16 mm on paper with 48 cells and more; of the places with detail, a
    quarter of all at least. And the median, and what prints within 4 L* of the paper's black."""
    brief = f"""
        [paper]
        stock = "uncoated"
        dmax = {BLACK_D}
        white = "L* {WHITE_L}"
        [[print]]
        size = "50 x 50 mm"
    """
    checked = rows(brief, folder)
    paper_white = ((WHITE_L + 16) / 116) ** 3
    black = 10**-BLACK_D / paper_white

    def printed(light):
        return lightness(black + (1 - black) * light)

    for name, rgb in photographs.items():
        measured, codes, noise = checked[f"{name}.png"]["measures"], luma(rgb), found[f"{name}.png"]["noise"] or 0
        shares = [0]
        for side, mean, spread in cells(codes):
            if not (0.5 <= side * 25.4 / measured["effective_ppi"] < 16 and mean.size >= 48):
                continue
            low, high = light(numpy.clip(mean - spread, 0, 255)), light(numpy.clip(mean + spread, 0, 255))
            detailed = (spread >= max(1.5, 2 * noise * (side == 8))) & (lightness(high) - lightness(low) >= 1)
            blocked = detailed & (printed(high) - printed(low) < 1)
            shares.append(blocked.mean() / max(0.25, detailed.mean()))
        # Contrast is kept in quarters of a code, means in whole ones; the large sizes have few cells.
        with subtests.test(f"{name}: blocks up"):
            assert measured["shadows_lost"] == near(max(shares), 0.03)
        with subtests.test(f"{name}: near black"):
            assert measured["near_black"] == near((printed(light(codes)) - lightness(black) <= 4).mean(), 0.01)
        with subtests.test(f"{name}: median"):
            assert measured["median_l"] == near(numpy.median(lightness(light(codes))), 0.6)


def test_twins(photographs, look, tmp_path, subtests):
    """The same pixels as PNG 8, TIFF 16, tiled, planar and BigTIFF: equal answers."""
    folder, rgb = tmp_path, photographs["coffee"]
    Image.fromarray(rgb).save(folder / "eight.png")
    run("vips", "cast", folder / "eight.png", folder / "wide.v", "ushort")
    run("vips", "linear", folder / "wide.v", folder / "full.v", "257", "0")
    run("vips", "cast", folder / "full.v", f"{folder / 'sixteen.tif'}[compression=deflate]", "ushort")
    run("vips", "copy", folder / "eight.png", f"{folder / 'tiled.tif'}[tile,tile-width=128,tile-height=128]")
    run("vips", "copy", folder / "eight.png", f"{folder / 'big.tif'}[bigtiff,compression=lzw]")
    run("tiffcp", "-p", "separate", folder / "big.tif", folder / "planar.tif")
    names = ("eight.png", "sixteen.tif", "tiled.tif", "big.tif", "planar.tif")
    found = look([folder / name for name in names])
    one = {key: value for key, value in found["eight.png"].items() if key not in ("picture", "sha256")}
    for name in names[1:]:
        other = {key: value for key, value in found[name].items() if key not in ("picture", "sha256")}
        with subtests.test(f"{name} says what eight.png says"):
            assert other == one
    # Grey as one channel and as three: what only colours tell is left out.
    grey = Image.fromarray(luma(rgb))
    grey.save(folder / "one.png")
    grey.convert("RGB").save(folder / "three.png")
    found = look([folder / "one.png", folder / "three.png"])
    colours = ("picture", "sha256", "neutral")
    one, three = ({key: value for key, value in found[name].items() if key not in colours} for name in ("one.png", "three.png"))
    with subtests.test("a grey picture says what its three equal channels say"):
        assert three == one


@pytest.mark.parametrize("blur", [0.8, 1.5, 3.0])
def test_steps(blur, look, tmp_path):
    """A blurred step is 2.563 standard deviations wide from 10 to 90 %."""
    down, across = numpy.mgrid[0:400, 0:400]
    soft = ndtr((across - 200 - 0.05 * (down - 200)) / blur)
    Image.fromarray((60 + 120 * soft + 0.5).astype(numpy.uint8)).convert("RGB").save(tmp_path / "step.png")
    width = 2.563 * blur
    assert look([tmp_path / "step.png"])["step.png"]["edge_px"] == near(width, 0.08 * width)


def test_dots(look, tmp_path):
    """Areas that were painted: 1 % blown, a hundred sparkles of four pixels, red alone on 400 pixels."""
    rgb = numpy.full((400, 400, 3), 128, numpy.uint8)
    rgb[100:140, 100:140] = 255
    for down in range(10):
        for across in range(10):
            rgb[10 + 8 * down : 12 + 8 * down, 210 + 8 * across : 212 + 8 * across] = 255
    rgb[300:320, 300:320, 0] = 255
    Image.fromarray(rgb).save(tmp_path / "dots.png")
    wanted = {"white": 0.0125, "blown": 0.01, "regions": 1, "single": [0.0025, 0, 0], "sparkle": near(0.0025, 1e-12)}
    assert look([tmp_path / "dots.png"])["dots.png"] == Part(wanted)
