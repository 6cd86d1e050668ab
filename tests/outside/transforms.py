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
import subprocess
from concurrent.futures import ThreadPoolExecutor

import numpy
from PIL import Image, ImageCms
from skimage.color import deltaE_ciede2000

from colours import lab, srgb, through, TO_XYZ

ICC = "/usr/share/color/icc"
PRESSES = (f"{ICC}/ghostscript/default_cmyk.icc",)
# Pillow cannot open this one; LittleCMS's calculator can.
PS_PRESS = f"{ICC}/ghostscript/ps_cmyk.icc"
COUNTED = 3_000
# Profiles of other makers that pictures may come with.
SOURCES = (
    f"{ICC}/colord/AdobeRGB1998.icc", f"{ICC}/colord/ProPhotoRGB.icc", f"{ICC}/colord/ECI-RGBv2.icc",
    f"{ICC}/colord/BetaRGB.icc", f"{ICC}/colord/NTSC-RGB.icc",
)
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


def run(house):
    tool = house.program.parent / "examples" / "transform"
    if not tool.exists():
        house.tally.that(f"{tool} is built (cargo build --examples)", False)
        return

    def ours(*words, samples=b""):
        done = subprocess.run([tool, *map(str, words)], input=samples, capture_output=True, timeout=600)
        if done.returncode != 0:
            raise RuntimeError(f"{words}: exit {done.returncode}: {done.stderr.decode()[-300:]}")
        return done.stdout

    grid = numpy.stack(numpy.meshgrid(*[numpy.linspace(0, 255, STEPS).round()] * 3, indexing="ij"), -1)
    grid = grid.reshape(STEPS, STEPS * STEPS, 3).astype(numpy.uint8)
    folder = house.folder("transforms")
    own = {}
    for word in ("srgb", "adobe rgb", "display p3", "eci rgb v2", "prophoto rgb"):
        path = folder / f"{word}.icc"
        path.write_bytes(ours("profile", word))
        own[word] = path
    to_screen(house, ours, grid, own)
    onto_press(house, ours, grid, own)
    counted(house, ours)
    proofs(house, ours, grid, own)
    proofs_elsewhere(house, ours, grid, own, folder)
    damaged(house, ours)


def opened(path):
    return ImageCms.ImageCmsProfile(io.BytesIO(open(path, "rb").read()))


def by_pillow(way, grid, mode="RGB"):
    return numpy.asarray(ImageCms.applyTransform(Image.fromarray(grid, mode), way))


def seen(codes):
    return lab(numpy.frombuffer(codes, numpy.uint8).reshape(-1, 3) if isinstance(codes, bytes) else codes.reshape(-1, 3),
               TO_XYZ["srgb"], srgb)


def near(house, what, one, other, most=MOST, mean=MEAN):
    apart = deltaE_ciede2000(seen(one), seen(other))
    house.tally.that(f"{what}: at most {most} Delta E apart ({apart.max():.3f})", bool(apart.max() <= most))
    house.tally.that(f"{what}: under {mean} in the mean ({apart.mean():.4f})", bool(apart.mean() < mean))


def to_screen(house, ours, grid, own):
    """RGB to RGB, inks to RGB."""
    for source in [*own.items(), *((path, path) for path in SOURCES)]:
        word, path = source
        shown = ours("screen", word, samples=grid.tobytes())
        way = ImageCms.buildTransform(opened(path), opened(own["srgb"]), "RGB", "RGB", RELATIVE, COMPENSATED)
        near(house, f"{word} to sRGB, ImageCms", shown, by_pillow(way, grid))
        near(house, f"{word} to sRGB, moxcms", shown, ours("other", path, own["srgb"], samples=grid.tobytes()),
             MOST_OTHER, MEAN_OTHER)
    # Nine steps of four inks.
    inks = numpy.stack(numpy.meshgrid(*[numpy.linspace(0, 255, 9).round()] * 4, indexing="ij"), -1)
    inks = inks.reshape(81, 81, 4).astype(numpy.uint8)
    for press in PRESSES:
        shown = ours("screen", press, samples=inks.tobytes())
        way = ImageCms.buildTransform(opened(press), opened(own["srgb"]), "CMYK", "RGB", RELATIVE, COMPENSATED)
        near(house, f"{press} to sRGB, ImageCms", shown, by_pillow(way, inks, "CMYK"))


def onto_press(house, ours, grid, own):
    """RGB to inks: compared by what the inks look like, by one way back for all."""
    for press in PRESSES:
        back = ImageCms.buildTransform(opened(press), opened(own["srgb"]), "CMYK", "RGB", RELATIVE)

        def looks(inks):
            inks = numpy.frombuffer(inks, numpy.uint8).reshape(STEPS, -1, 4) if isinstance(inks, bytes) else inks
            return by_pillow(back, inks, "CMYK")

        for word in ("srgb", "adobe rgb"):
            laid = numpy.frombuffer(ours("laid", press, word, samples=grid.tobytes()), numpy.float32).reshape(STEPS, -1, 4)
            # Unoptimised: else LittleCMS itself is up to 1.2 Delta E off, by a table of its own for 8-bit codes.
            way = ImageCms.buildTransform(opened(own[word]), opened(press), "RGB", "CMYK", RELATIVE, EXACT)
            inks = by_pillow(way, grid)
            off = numpy.abs(laid * 255 - inks).max()
            house.tally.that(f"{word} to {press}: every ink within 0.05 of what rounds to ImageCms's ({off:.3f})", off <= 0.55)
            other = ours("other", own[word], press, samples=grid.tobytes())
            codes = numpy.round(laid * 255).astype(numpy.uint8)
            near(house, f"{word} to {press}, moxcms", looks(codes), looks(other), MOST_TABLES, MEAN_TABLES)
        wide = by_pillow(ImageCms.buildTransform(opened(own["adobe rgb"]), opened(press), "RGB", "CMYK", RELATIVE, EXACT), grid)
        most = float(wide.astype(float).sum(-1).max() / 255)
        said = float(ours("fullest", press).decode().strip("Some()"))
        house.tally.that(f"{press}: its largest total {said:.3f} is {most:.3f} by ImageCms", abs(said - most) < 0.02)


def counted(house, ours):
    """What codes are counted as, and what a press holds, colour by colour, by LittleCMS's own calculator in floats."""
    chance = numpy.random.default_rng(5)
    for profile, channels in ((PRESSES[0], 4), (PS_PRESS, 4), (SOURCES[3], 3), (SOURCES[4], 3), (f"{ICC}/Gray-CIE_L.icc", 1)):
        codes = chance.integers(0, 256, (COUNTED, channels), dtype=numpy.uint8)
        found = numpy.frombuffer(ours("lab", profile, samples=codes.tobytes()), numpy.float32).reshape(-1, 3)
        true = through(house, codes / 255 * (100 if channels == 4 else 255), profile, "*Lab")
        # 16 bits end at -128 in a* and b*.
        apart = deltaE_ciede2000(numpy.clip(true, -128, 127.996), found)
        house.tally.that(f"{profile} counted: at most {MOST} Delta E apart ({apart.max():.3f})", bool(apart.max() <= MOST))
    for press in (PRESSES[0], PS_PRESS):
        codes = chance.integers(0, 256, (COUNTED, 3), dtype=numpy.uint8)
        found = numpy.frombuffer(ours("held", press, "srgb", samples=codes.tobytes()), numpy.float32).reshape(-1, 3)
        wanted = lab(codes, TO_XYZ["srgb"], srgb)
        true = through(house, through(house, wanted, "*Lab", press), press, "*Lab")
        apart = deltaE_ciede2000(true, found)
        house.tally.that(f"{press} holds: at most {MOST} Delta E apart ({apart.max():.3f})", bool(apart.max() <= MOST))


def proofs(house, ours, grid, own):
    flags = COMPENSATED | PROOFING
    manners = {"relative": (RELATIVE, RELATIVE), "perceptual": (PERCEPTUAL, RELATIVE), "white": (RELATIVE, ABSOLUTE)}
    for press in PRESSES:
        for manner, (onto, back) in manners.items():
            for word in ("srgb", "adobe rgb"):
                proof = ours("proof", word, press, manner, samples=grid.tobytes())
                way = ImageCms.buildProofTransform(
                    opened(own[word]), opened(own["srgb"]), opened(press), "RGB", "RGB", onto, back, flags,
                )
                near(house, f"proof of {word} on {press}, {manner}, ImageCms", proof, by_pillow(way, grid))


def proofs_elsewhere(house, ours, grid, own, folder):
    """Proofs on printers whose black holds no light, by moxcms step by step: it knows no black point compensation, and
    there is none to make. Their class says output (ICC.1:2022, section 7.2). LittleCMS proofs 8-bit codes by a table of
    its own, ours as Pillow's: against exact arithmetic ours are up to 3.0 Delta E off at a gamut's edge (0.3 in the
    mean), moxcms's two steps 1.1. A proof is for looking; what is measured never goes this way."""
    for held in ("srgb", "display p3"):
        profile = own[held].read_bytes()
        printer = folder / f"printer of {held}.icc"
        printer.write_bytes(profile[:12] + b"prtr" + profile[16:])
        for word in ("adobe rgb", "prophoto rgb"):
            proof = ours("proof", word, printer, "relative", samples=grid.tobytes())
            laid = ours("other", own[word], own[held], samples=grid.tobytes())
            shown = ours("other", own[held], own["srgb"], samples=laid)
            near(house, f"proof of {word} on a printer of {held}, moxcms", proof, shown, MOST_TABLES, MEAN_TABLES)


def damaged(house, ours):
    """No crash, no hang: the tool would end with another status, or stay."""
    paths = [*PRESSES, *SOURCES, f"{ICC}/sRGB.icc", f"{ICC}/Gray-CIE_L.icc", f"{ICC}/ghostscript/esrgb.icc",
             f"{ICC}/ghostscript/lab.icc", f"{ICC}/ghostscript/gray_to_k.icc"]
    with ThreadPoolExecutor(2) as both:
        halves = list(both.map(lambda seed: ours("mutated", DAMAGED // 2, seed, *paths).split(), (SEED, SEED + 1)))
    refused, slowest = sum(int(refused) for refused, _ in halves), max(int(slowest) for _, slowest in halves)
    house.tally.that(f"{DAMAGED} damaged profiles: none crashes", True)
    house.tally.that(f"the slowest takes {slowest} ms", slowest <= LONGEST_MS)
    house.tally.that(f"{refused} are refused, the others used", 0 < refused < DAMAGED)
