"""Real photographs that come with scikit-image and scikit-learn, as arrays of sRGB codes.

Public sample pictures of those packages; their own lists name where each is from. Test charts, scans under a
microscope and drawings are left out.
"""

from pathlib import Path

import numpy
import skimage
import sklearn.datasets
from PIL import Image

NAMES = ("astronaut.png", "chelsea.png", "coffee.png", "rocket.jpg", "motorcycle_left.png", "motorcycle_right.png")
SCANS = ("camera.png",)


def photographs():
    """Name and codes of each, height x width x 3."""
    folder = Path(skimage.__file__).parent / "data"
    found = {Path(name).stem: numpy.asarray(Image.open(folder / name).convert("RGB")) for name in NAMES + SCANS}
    for name in ("china.jpg", "flower.jpg"):
        found[Path(name).stem] = sklearn.datasets.load_sample_image(name)
    return found
