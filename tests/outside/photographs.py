"""Real photographs as arrays of sRGB codes: samples that come with scikit-image and scikit-learn, and the nature
pictures of Debian's package mate-backgrounds (GPL 2 or later), reduced to half by means of 2 x 2 pixels, which takes
away what the camera sharpened and compressed.

Charts, scans under a microscope and drawings are left out.
"""

from pathlib import Path

import numpy
import skimage
import sklearn.datasets
from PIL import Image

SKIMAGE = (
    "astronaut.png", "chelsea.png", "coffee.png", "rocket.jpg", "motorcycle_left.png", "motorcycle_right.png", "camera.png",
)
NATURE = Path("/usr/share/backgrounds/mate/nature")


def halved(rgb):
    height, width = (side // 2 for side in rgb.shape[:2])
    means = rgb[: 2 * height, : 2 * width].reshape(height, 2, width, 2, 3).mean((1, 3))
    return (means + 0.5).astype(numpy.uint8)


def photographs():
    """Name and codes of each, height x width x 3."""
    samples = Path(skimage.__file__).parent / "data"
    found = {Path(name).stem: numpy.asarray(Image.open(samples / name).convert("RGB")) for name in SKIMAGE}
    for name in ("china.jpg", "flower.jpg"):
        found[Path(name).stem] = sklearn.datasets.load_sample_image(name)
    nature = sorted(NATURE.glob("*.jpg"))
    if not nature:
        raise RuntimeError(f"{NATURE} is empty: install the package mate-backgrounds; .ci/run does")
    for path in nature:
        found[path.stem.lower()] = halved(numpy.asarray(Image.open(path).convert("RGB")))
    return found
