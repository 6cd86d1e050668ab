"""Colours by arithmetic, and through a profile by LittleCMS's own calculator.

Sources: Adobe RGB (1998) colour image encoding and IEC 61966-2-1 for primaries and curves; ICC.1 (Bradford) for the white D50; CIE 15
for L*, a*, b*.
"""

import numpy

from programs import run

PRESS = "/usr/share/color/icc/ghostscript/default_cmyk.icc"


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


def xyz_of_lab(colours):
    y = (colours[..., 0] + 16) / 116
    shares = numpy.stack([y + colours[..., 1] / 500, y, y - colours[..., 2] / 200], -1)
    return D50 * numpy.where(shares > 6 / 29, shares**3, (116 * shares - 16) * 27 / 24389)


def through(colours, source, target):
    """Colours through a profile by LittleCMS's own calculator, relative colorimetric."""
    lines = "".join(" ".join(f"{value:.6f}" for value in colour) + "\n" for colour in colours)
    said = run("transicc", "-n", f"-i{source}", f"-o{target}", "-t1", input=lines.encode())
    return numpy.array([line.split() for line in said.decode().splitlines() if line[:1] in "-0123456789" and line.strip()], float)
