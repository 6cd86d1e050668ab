"""Colour transforms and soft proofs on a grid of 33 steps a channel, against Pillow's ImageCms with the same profiles
and against moxcms, an engine of another maker; damaged profiles by the thousand.

ImageCms is LittleCMS, as our engine is, in another build and called by another language: it holds our use of it. moxcms
is an engine of its own.

Sources: LittleCMS through Pillow's ImageCms and by its own calculator, transicc; moxcms from the registry of crates; profiles of Debian's
icc-profiles-free, libgs-common and colord-data; CIEDE2000 by scikit-image. The bars are the project's: at most 0.5
Delta E against ImageCms, under 0.05 in the mean. Another engine interpolates and rounds in its own way: its tolerances
are what a code of 8 bits more or less makes in the darkest colours, and a tenth of it in the mean.
"""

import io
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy
import pytest
from PIL import Image, ImageCms
from skimage.color import deltaE_ciede2000

from colour import PRESS, TO_XYZ, lab, srgb, through
from programs import run

ICC = "/usr/share/color/icc"
# Pillow cannot open this one; LittleCMS's calculator can.
PS_PRESS = f"{ICC}/ghostscript/ps_cmyk.icc"
COUNTED = 3_000
# Profiles of other makers that pictures may come with.
SOURCES = (
    f"{ICC}/colord/AdobeRGB1998.icc", f"{ICC}/colord/ProPhotoRGB.icc", f"{ICC}/colord/ECI-RGBv2.icc",
    f"{ICC}/colord/BetaRGB.icc", f"{ICC}/colord/NTSC-RGB.icc",
)
# Our own encodings, by the words of the program.
ENCODINGS = ("srgb", "adobe rgb", "display p3", "eci rgb v2", "prophoto rgb")
STEPS = 33
RELATIVE, PERCEPTUAL, ABSOLUTE = (
    ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Intent.PERCEPTUAL, ImageCms.Intent.ABSOLUTE_COLORIMETRIC,
)
EXACT = ImageCms.Flags.NOOPTIMIZE
COMPENSATED, PROOFING = ImageCms.Flags.BLACKPOINTCOMPENSATION, ImageCms.Flags.SOFTPROOFING
MOST, MEAN = 0.5, 0.05
# Against the other engine. Matrices: rounding of 8-bit codes alone. Tables: see above.
MOST_OTHER, MEAN_OTHER = 1.5, 0.2
MOST_TABLES, MEAN_TABLES = 4.0, 0.5
DAMAGED, SEED, LONGEST_MS = 10_000, 20_261_126, 1_000


@pytest.fixture(scope="module")
def ours(example):
    """Our transforms, as the example `transform` makes them: bytes in, bytes out."""
    tool = example("transform")
    return lambda *words, samples=b"": run(tool, *words, input=samples)


@pytest.fixture(scope="module")
def grid():
    """Colours of so many steps a channel, as an image."""
    grid = numpy.stack(numpy.meshgrid(*[numpy.linspace(0, 255, STEPS).round()] * 3, indexing="ij"), -1)
    return grid.reshape(STEPS, STEPS * STEPS, 3).astype(numpy.uint8)


@pytest.fixture(scope="module")
def own(ours, tmp_path_factory):
    """Our own profiles as files, by the word of their encoding."""
    folder, own = tmp_path_factory.mktemp("own"), {}
    for word in ENCODINGS:
        path = folder / f"{word}.icc"
        path.write_bytes(ours("profile", word))
        own[word] = path
    return own


def opened(path):
    return ImageCms.ImageCmsProfile(io.BytesIO(Path(path).read_bytes()))


def by_pillow(way, grid, mode="RGB"):
    return numpy.asarray(ImageCms.applyTransform(Image.fromarray(grid, mode), way))


def seen(codes):
    return lab(numpy.frombuffer(codes, numpy.uint8).reshape(-1, 3) if isinstance(codes, bytes) else codes.reshape(-1, 3),
               TO_XYZ["srgb"], srgb)


def alike(subtests, one, other, by, most=MOST, mean=MEAN):
    """Two pictures in sRGB are so near in Delta E, at most and in the mean; `by` names who made the other."""
    apart = deltaE_ciede2000(seen(one), seen(other))
    with subtests.test(f"{by}: at most {most} Delta E apart"):
        assert apart.max() <= most
    with subtests.test(f"{by}: under {mean} in the mean"):
        assert apart.mean() < mean


@pytest.mark.parametrize("source", [*ENCODINGS, *SOURCES])
def test_to_screen(source, ours, grid, own, subtests):
    path = own.get(source, source)
    shown = ours("screen", source, samples=grid.tobytes())
    way = ImageCms.buildTransform(opened(path), opened(own["srgb"]), "RGB", "RGB", RELATIVE, COMPENSATED)
    alike(subtests, shown, by_pillow(way, grid), "ImageCms")
    alike(subtests, shown, ours("other", path, own["srgb"], samples=grid.tobytes()), "moxcms", MOST_OTHER, MEAN_OTHER)


def test_inks_to_screen(ours, own, subtests):
    # Nine steps of four inks.
    inks = numpy.stack(numpy.meshgrid(*[numpy.linspace(0, 255, 9).round()] * 4, indexing="ij"), -1)
    inks = inks.reshape(81, 81, 4).astype(numpy.uint8)
    way = ImageCms.buildTransform(opened(PRESS), opened(own["srgb"]), "CMYK", "RGB", RELATIVE, COMPENSATED)
    alike(subtests, ours("screen", PRESS, samples=inks.tobytes()), by_pillow(way, inks, "CMYK"), "ImageCms")


@pytest.mark.parametrize("word", ["srgb", "adobe rgb"])
def test_onto_press(word, ours, grid, own, subtests):
    """RGB to inks: compared by what the inks look like, by one way back for both."""
    back = ImageCms.buildTransform(opened(PRESS), opened(own["srgb"]), "CMYK", "RGB", RELATIVE)

    def looks(inks):
        return by_pillow(back, inks.reshape(STEPS, -1, 4), "CMYK")

    laid = numpy.frombuffer(ours("laid", PRESS, word, samples=grid.tobytes()), numpy.float32).reshape(STEPS, -1, 4)
    # Unoptimised: else LittleCMS itself is up to 1.2 Delta E off, by a table of its own for 8-bit codes.
    way = ImageCms.buildTransform(opened(own[word]), opened(PRESS), "RGB", "CMYK", RELATIVE, EXACT)
    with subtests.test("every ink within 0.05 of what rounds to ImageCms's"):
        assert numpy.abs(laid * 255 - by_pillow(way, grid)).max() <= 0.55
    other = numpy.frombuffer(ours("other", own[word], PRESS, samples=grid.tobytes()), numpy.uint8)
    alike(subtests, looks(numpy.round(laid * 255).astype(numpy.uint8)), looks(other), "moxcms", MOST_TABLES, MEAN_TABLES)


def test_largest_total(ours, grid, own):
    wide = by_pillow(ImageCms.buildTransform(opened(own["adobe rgb"]), opened(PRESS), "RGB", "CMYK", RELATIVE, EXACT), grid)
    most = float(wide.astype(float).sum(-1).max() / 255)
    assert abs(float(ours("fullest", PRESS).decode().strip("Some()")) - most) < 0.02


@pytest.mark.parametrize(("profile", "channels"), [(PRESS, 4), (PS_PRESS, 4), (SOURCES[3], 3), (SOURCES[4], 3), (f"{ICC}/Gray-CIE_L.icc", 1)])
def test_counted(profile, channels, ours):
    """What codes are counted as, colour by colour, by LittleCMS's own calculator in floats."""
    codes = numpy.random.default_rng(5).integers(0, 256, (COUNTED, channels), dtype=numpy.uint8)
    found = numpy.frombuffer(ours("lab", profile, samples=codes.tobytes()), numpy.float32).reshape(-1, 3)
    true = through(codes / 255 * (100 if channels == 4 else 255), profile, "*Lab")
    # 16 bits end at -128 in a* and b*.
    assert deltaE_ciede2000(numpy.clip(true, -128, 127.996), found).max() <= MOST


@pytest.mark.parametrize("press", [PRESS, PS_PRESS])
def test_held(press, ours):
    """What a press holds, the same way."""
    codes = numpy.random.default_rng(6).integers(0, 256, (COUNTED, 3), dtype=numpy.uint8)
    found = numpy.frombuffer(ours("held", press, "srgb", samples=codes.tobytes()), numpy.float32).reshape(-1, 3)
    wanted = lab(codes, TO_XYZ["srgb"], srgb)
    true = through(through(wanted, "*Lab", press), press, "*Lab")
    assert deltaE_ciede2000(true, found).max() <= MOST


@pytest.mark.parametrize("word", ["srgb", "adobe rgb"])
@pytest.mark.parametrize(("manner", "onto", "back"), [("relative", RELATIVE, RELATIVE), ("perceptual", PERCEPTUAL, RELATIVE), ("white", RELATIVE, ABSOLUTE)],
                         ids=["relative", "perceptual", "white"])
def test_proofs(word, manner, onto, back, ours, grid, own, subtests):
    proof = ours("proof", word, PRESS, manner, samples=grid.tobytes())
    way = ImageCms.buildProofTransform(opened(own[word]), opened(own["srgb"]), opened(PRESS), "RGB", "RGB", onto, back, COMPENSATED | PROOFING)
    alike(subtests, proof, by_pillow(way, grid), "ImageCms")


@pytest.mark.parametrize("word", ["adobe rgb", "prophoto rgb"])
@pytest.mark.parametrize("held", ["srgb", "display p3"])
def test_proofs_elsewhere(word, held, ours, grid, own, tmp_path, subtests):
    """Proofs on printers whose black holds no light, by moxcms step by step: it knows no black point compensation, and
    there is none to make. Their class says output (ICC.1:2022, section 7.2). LittleCMS proofs 8-bit codes by a table of
    its own, ours as Pillow's: against exact arithmetic ours are up to 3.0 Delta E off at a gamut's edge (0.3 in the
    mean), moxcms's two steps 1.1. A proof is for looking; what is measured never goes this way."""
    profile = own[held].read_bytes()
    printer = tmp_path / f"printer of {held}.icc"
    printer.write_bytes(profile[:12] + b"prtr" + profile[16:])
    proof = ours("proof", word, printer, "relative", samples=grid.tobytes())
    laid = ours("other", own[word], own[held], samples=grid.tobytes())
    shown = ours("other", own[held], own["srgb"], samples=laid)
    alike(subtests, proof, shown, "moxcms", MOST_TABLES, MEAN_TABLES)


def test_damaged(ours, subtests):
    """No crash, no hang: the tool would end with another status, or stay."""
    paths = [PRESS, *SOURCES, f"{ICC}/sRGB.icc", f"{ICC}/Gray-CIE_L.icc", f"{ICC}/ghostscript/esrgb.icc",
             f"{ICC}/ghostscript/lab.icc", f"{ICC}/ghostscript/gray_to_k.icc"]
    with ThreadPoolExecutor(2) as both:
        halves = list(both.map(lambda seed: ours("mutated", DAMAGED // 2, seed, *paths).split(), (SEED, SEED + 1)))
    refused, slowest = sum(int(refused) for refused, _ in halves), max(int(slowest) for _, slowest in halves)
    with subtests.test("the slowest, in ms"):
        assert slowest <= LONGEST_MS
    with subtests.test("some are refused, the others used"):
        assert 0 < refused < DAMAGED
