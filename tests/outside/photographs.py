"""Real photographs as arrays of sRGB codes, from packages: samples of scikit-image and scikit-learn, the nature pictures
of Debian's mate-backgrounds (GPL 2 or later), and photographs of lomiri-wallpapers-16.04, lomiri-wallpapers-20.04 (CC
BY-SA) and plasma-workspace-wallpapers (LGPL 3 or CC BY-SA).

Charts, scans under a microscope, drawings and paintings are left out.
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
BACKGROUNDS = Path("/usr/share/backgrounds")
WALLPAPERS = Path("/usr/share/wallpapers")

# The photographs that limits were set on, and those that were kept unseen until they were set. Parted by lot.
SET_ON = (
    "astronaut.png coffee.png china.jpg flower.jpg chelsea.png rocket.jpg Blinds.jpg GreenMeadow.jpg RainDrops.jpg Storm.jpg "
    "TwoWings.jpg Bridge* Dragonfly* Picture_0B* Picture_1A* Wine* aitzgorri* greentock* picosdeeuropa* seeding* "
    "BytheWater ColdRipple Kite summer_1am"
).split()
UNSEEN = (
    "motorcycle_left.png Aqua.jpg Dune.jpg FreshFlower.jpg Garden.jpg LadyBird.jpg Wood.jpg YellowFlower.jpg Kleiber* free_* "
    "friends* life* sunset* ColorfulCups DarkestHour EveningGlow FallenLeaf Grey OneStandsOut Path"
).split()


def halved(rgb):
    height, width = (side // 2 for side in rgb.shape[:2])
    means = rgb[: 2 * height, : 2 * width].reshape(height, 2, width, 2, 3).mean((1, 3))
    return (means + 0.5).astype(numpy.uint8)


def photographs():
    """Name and codes of each, height x width x 3; the nature pictures reduced to half by means of 2 x 2 pixels, which
    takes away what the camera sharpened and compressed."""
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


def as_published(names, most_px):
    """Photographs as their makers published them, each its middle of at most so many pixels (longer and shorter side):
    nothing is resampled."""
    return {name.split(".")[0].rstrip("*_").lower(): middle(opened(name), most_px) for name in names}


def opened(name):
    samples = Path(skimage.__file__).parent / "data"
    if (samples / name).is_file():
        return numpy.asarray(Image.open(samples / name).convert("RGB"))
    if name in ("china.jpg", "flower.jpg"):
        return sklearn.datasets.load_sample_image(name)
    places = [NATURE / name, WALLPAPERS / name / "contents/images/2560x1600.jpg", *BACKGROUNDS.glob(name)]
    path = next((path for path in places if path.is_file()), None)
    if path is None:
        raise RuntimeError(f"{name} is missing: install the wallpaper packages that .ci/run installs")
    return numpy.asarray(Image.open(path).convert("RGB"))


def middle(rgb, most_px):
    sides = most_px if rgb.shape[0] > rgb.shape[1] else most_px[::-1]
    (top, height), (left, width) = ((max(0, side - most) // 2, most) for side, most in zip(rgb.shape[:2], sides))
    return numpy.ascontiguousarray(rgb[top : top + height, left : left + width])
