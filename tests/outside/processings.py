"""What people do to photographs before they send them: by Pillow's unsharp mask and kernels, scipy's convolutions, a gain in linear
light (IEC 61966-2-1), JPEG.

What has to be found stands beside each processing: shares of the photographs at should, and for halos at any level.
"""

from io import BytesIO
from typing import Callable, NamedTuple

import numpy
from PIL import Image, ImageFilter
from scipy.ndimage import convolve, convolve1d, gaussian_filter

KERNELS = {
    "bilinear": Image.Resampling.BILINEAR, "bicubic": Image.Resampling.BICUBIC, "lanczos": Image.Resampling.LANCZOS,
    "nearest": Image.Resampling.NEAREST,
}
# Pixels of a photograph that are kept, and that take part: longer and shorter side.
KEPT_PX, MOST_PX = (2800, 2100), (1400, 1050)
# A photograph whose shorter side is at least so long is reduced before it is enlarged.
REDUCED_FROM_PX = 1000


def sharpened(radius, amount):
    return lambda picture: picture.filter(ImageFilter.UnsharpMask(radius, round(100 * amount), 0))


def enlarged(factor, kernel):
    return lambda picture: picture.resize([round(side * factor) for side in picture.size], KERNELS[kernel])


def enlarged_from(factor, kernel, then=sharpened(1, 0.8)):
    """Enlarged out of a picture whose pixels hold detail: a photograph of some size is reduced to half first."""

    def enlarge(picture):
        if min(picture.size) >= REDUCED_FROM_PX:
            picture = reduced(0.5, "lanczos")(picture)
        sides = [min(side, round(most / factor)) for side, most in zip(picture.size, as_most(picture))]
        left, top = ((whole - side) // 2 for whole, side in zip(picture.size, sides))
        part = picture.crop((left, top, left + sides[0], top + sides[1]))
        return then(part.resize([round(side * factor) for side in sides], KERNELS[kernel]))

    return enlarge


def as_most(picture):
    """The most pixels across and down that take part."""
    return MOST_PX if picture.size[0] >= picture.size[1] else MOST_PX[::-1]


def middle(picture):
    """The middle of a photograph, of as many pixels as take part; nothing is resampled."""
    sides = [min(side, most) for side, most in zip(picture.size, as_most(picture))]
    left, top = ((whole - side) // 2 for whole, side in zip(picture.size, sides))
    return picture.crop((left, top, left + sides[0], top + sides[1]))


def reduced(share, kernel):
    return lambda picture: picture.resize([round(side * share) for side in picture.size], KERNELS[kernel])


def of_codes(change):
    """A processing of encoded values, channel by channel."""
    return lambda picture: Image.fromarray(numpy.clip(change(numpy.asarray(picture, float)) + 0.5, 0, 255).astype(numpy.uint8))


def blurred(deviation):
    return of_codes(lambda codes: gaussian_filter(codes, (deviation, deviation, 0)))


def spread_by(kernel):
    return of_codes(lambda codes: numpy.stack([convolve(codes[..., at], kernel, mode="nearest") for at in range(3)], -1))


def defocused(radius):
    """A disc; its rim pixels count for the part of them that it covers, nearly."""
    side = numpy.arange(-int(radius) - 1, int(radius) + 2)
    disc = numpy.clip(radius + 0.5 - numpy.hypot(*numpy.meshgrid(side, side)), 0, 1)
    return spread_by(disc / disc.sum())


def moved(pixels):
    return of_codes(lambda codes: convolve1d(codes, numpy.ones(pixels) / pixels, axis=1, mode="nearest"))


def moved_diagonally(pixels):
    return spread_by(numpy.eye(pixels) / pixels)


def light(codes):
    share = codes / 255
    return numpy.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def encoded(share):
    share = numpy.clip(share, 0, 1)
    return 255 * numpy.where(share <= 0.0031308, 12.92 * share, 1.055 * share ** (1 / 2.4) - 0.055)


def exposed(stops):
    return of_codes(lambda codes: encoded(light(codes) * 2**stops))


def noisy(deviation, smoothed_px=0.65):
    """Noise of this deviation in linear light, smoothed as demosaicing does."""

    def add(codes):
        noise = numpy.random.default_rng(1).normal(0, deviation, codes.shape)
        return encoded(light(codes) + gaussian_filter(noise, (smoothed_px, smoothed_px, 0)))

    return of_codes(add)


def saved(picture, quality):
    kept = BytesIO()
    picture.save(kept, "jpeg", quality=quality)
    return kept.getvalue()


def compressed(quality):
    return lambda picture: Image.open(BytesIO(saved(picture, quality))).convert("RGB")


def compressed_and_cropped(quality):
    return lambda picture: compressed(quality)(picture).crop((3, 5, *picture.size))


class Processing(NamedTuple):
    """What is done, which rule should see it, and on what share of the photographs at least, as should (and at all)."""

    name: str
    process: Callable
    rule: str = ""
    share: float = 0.0
    at_all: float = 0.0
    paper: str = ""
    quality: int = 92
    # What is done to the file's bytes.
    spoil: Callable = lambda data: data
    # Whether the processing has all that is kept of a photograph, and not its middle.
    of_all: bool = False
    # Whether a row counts.
    among: Callable = lambda row: True


def cut_at(share):
    """The first part of the file, with an end marker set behind it."""
    return lambda data: data[: int(len(data) * share)] + b"\xff\xd9"


UNCOATED = '[paper]\nstock = "uncoated"\n'


def processings():
    same = lambda picture: picture  # noqa: E731
    yield Processing("as published", same)
    yield Processing("reduced to 85 %", reduced(0.85, "lanczos"), quality=95)
    yield Processing("reduced to 60 %", reduced(0.6, "lanczos"), quality=95)
    yield Processing("two stops under", exposed(-2), "tone.dark", 0.6)
    yield Processing("three stops under", exposed(-3), "tone.dark", 0.6)
    dark = lambda row: row["measures"]["median_l"] < 25  # noqa: E731
    on_uncoated = "two stops under, median L* below 25, on uncoated paper"
    yield Processing(on_uncoated, exposed(-2), "tone.dark", 0.8, paper=UNCOATED, among=dark)
    for radius, amount, share, at_all in ((1, 3, 0, 0), (2, 2, 0, 0.6), (3, 2.5, 0.6, 0.6)):
        yield Processing(f"sharpened by {radius} px, {100 * amount:.0f} %", sharpened(radius, amount), "detail.halo", share, at_all)
    for deviation, share in ((1.5, 0), (2, 0.5), (3, 0.95)):
        yield Processing(f"blurred by a Gaussian of {deviation:g} px", blurred(deviation), "detail.focus", share)
    for radius in (3, 5):
        yield Processing(f"out of focus by a disc of radius {radius} px", defocused(radius), "detail.focus", 0.6)
    for pixels in (5, 9, 15):
        yield Processing(f"moved by {pixels} px", moved(pixels), "detail.focus", 0.6)
    yield Processing("moved by 9 px along the diagonal", moved_diagonally(9), "detail.focus", 0.6)
    for factor, kernel in ((1.3, "bicubic"), (1.5, "bicubic"), (2, "bilinear"), (2, "bicubic"), (2, "lanczos"), (3, "bicubic")):
        enlarge = enlarged_from(factor, kernel)
        yield Processing(f"enlarged {factor:g} x, {kernel}", enlarge, "detail.enlarged", 0.6, of_all=True)
    doubled = enlarged_from(2, "nearest", same)
    yield Processing("enlarged 2 x by doubling pixels", doubled, "detail.enlarged", 0.6, of_all=True)
    yield Processing("with noise of 0.08 in linear light", noisy(0.08), "detail.noise", 0.6)
    for quality, share in ((30, 0.6), (40, 0.6), (50, 0.6)):
        yield Processing(f"saved as JPEG at quality {quality}, then again at 95", compressed(quality), "detail.blocks", share, quality=95)
    yield Processing("saved as JPEG at quality 40, cropped, then saved at 95", compressed_and_cropped(40), "detail.blocks", 0.6, quality=95)
    yield Processing("cut at 70 % of their bytes, with an end marker", same, "file.readable", 0.95, spoil=cut_at(0.7))


PROCESSINGS = {one.name: one for one in processings()}


def processed(rgb, name):
    """The bytes and the size of a photograph after the processing of this name: functions do not go to a process."""
    processing = PROCESSINGS[name]
    picture = Image.fromarray(rgb)
    picture = processing.process(picture if processing.of_all else middle(picture))
    return processing.spoil(saved(picture, processing.quality)), picture.size
