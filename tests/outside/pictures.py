"""Small pictures to encode: smooth shapes with some texture, so that every encoder has something to do."""

import numpy as np
from PIL import Image

# Width and height of the usual test picture in pixels: odd, so that no block or tile size divides it.
WIDTH, HEIGHT = 151, 101


def waves(width=WIDTH, height=HEIGHT, channels=3, top=255):
    """Waves of different length in each channel plus a little fixed noise, from 0 to `top`."""
    y, x = np.mgrid[0:height, 0:width]
    layers = [0.5 + 0.3 * np.sin(x / (9 + 4 * c)) * np.cos(y / (7 + 3 * c)) for c in range(channels)]
    noise = np.random.default_rng(20261125).normal(0, 0.03, (height, width, channels))
    return np.clip((np.stack(layers, axis=-1) + noise) * top, 0, top)


def rgb(width=WIDTH, height=HEIGHT):
    return Image.fromarray(waves(width, height).astype(np.uint8), "RGB")


def grey(width=WIDTH, height=HEIGHT):
    return Image.fromarray(waves(width, height, 1)[..., 0].astype(np.uint8), "L")


def cmyk(width=WIDTH, height=HEIGHT):
    return Image.frombytes("CMYK", (width, height), waves(width, height, 4).astype(np.uint8).tobytes())


def grey16(width=WIDTH, height=HEIGHT):
    return Image.fromarray(waves(width, height, 1, 65535)[..., 0].astype(np.uint16))


def rgba(width=WIDTH, height=HEIGHT):
    return Image.fromarray(waves(width, height, 4).astype(np.uint8), "RGBA")
