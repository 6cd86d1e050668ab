"""The pixel measures once more, in numpy and scipy, for comparison with plateside's own on the same pixels.

Sources: Immerkaer, Computer Vision and Image Understanding 64, 1996 (mask for noise); Marziliano et al., Signal
Processing: Image Communication 19, 2004 (family of edge widths); Gallagher, CRV 2005, and Mahdian and Saic, IEEE
Transactions on Information Forensics and Security 2, 2008 (periodic differences after interpolation); Wang, Sheikh and
Bovik, ICIP 2002 (family of block edges); ITU-T T.81 (blocks of 8); ITU-R BT.601 (luma). Halos, doubling, signs within
blocks, where detail ends, the choice of lines, cells and fields and all thresholds are plateside's own and are repeated here.
"""

import math
from typing import NamedTuple

import numpy
from scipy.ndimage import label, maximum_filter1d, median_filter, uniform_filter1d

# Luma is kept whole up to so many bytes, else in groups of five lines.
KEPT_BYTES, GROUP = 8_000_000, 5
EDGE_PIXELS, TRACE_PIXELS, NOISE_PIXELS = 1.5e6, 3e6, 4e6
TINY = 1e-9
# Tones swing so far beside the steepest edges of an unsharpened photograph whose edges are a code apart and a code
# steep; and so much of it still beyond 8 samples is a texture, which goes on.
USUAL_SWING, GOES_ON = 18.7, 0.95


def measures(rgb):
    """Everything under the names that `plateside look --format json` gives it; of halos the least and the most."""
    codes = luma(rgb)
    both = kept(codes), kept(codes.T)
    edge_step, step = every(codes.size, EDGE_PIXELS), every(codes.size, TRACE_PIXELS)
    edges = [edges_of(lines, edge_step) for lines in both]
    slanted = [edges_of(both[0], edge_step, way) for way in (-1, 1)]
    sigma, fine, coarse = noise(codes)
    found = {"noise": sigma, "grain_fine": fine, "grain_coarse": coarse, "detail_ends": detail_ends(both)} | halo(edges)
    found |= focus(edges, slanted, codes.shape, sigma or 0)
    return found | resampled(both, step) | blocks(both, step) | white(rgb, codes)


def luma(rgb):
    red, green, blue = (rgb[..., at].astype(int) for at in range(3))
    return (77 * red + 150 * green + 29 * blue + 128) >> 8


class Lines(NamedTuple):
    """Rows, or columns laid as rows, of a picture that has `count` of them: those that are kept, and their numbers."""

    codes: numpy.ndarray
    numbers: numpy.ndarray
    count: int

    def whole(self):
        return len(self.numbers) == self.count

    def middles(self, step):
        """Kept lines with two neighbours on each side, by their place."""
        if self.whole():
            return numpy.arange(3, self.count - 3, step)
        return numpy.arange(GROUP // 2, len(self.numbers), GROUP)

    def each(self, step, thin):
        return self.codes[:: step if self.whole() else thin]

    def four_near(self, number):
        if self.whole():
            first = min(number, self.count - 4)
        else:
            after = int(numpy.searchsorted(self.numbers, number))
            first = min(after // GROUP * GROUP, len(self.numbers) - GROUP)
        return self.codes[first : first + 4]


def kept(codes):
    count, numbers = len(codes), numpy.arange(len(codes))
    if codes.size > KEPT_BYTES:
        step = max(GROUP, math.ceil(GROUP * codes.size / KEPT_BYTES))
        numbers = (numpy.arange(3, count - 3, step)[:, None] + numpy.arange(-2, 3)).ravel()
    return Lines(numpy.ascontiguousarray(codes[numbers]), numbers, count)


def every(pixels, enough):
    return max(1, math.floor(math.sqrt(pixels / enough) + 0.5))


class Edges(NamedTuple):
    """Sums of three neighbouring lines, so thirds of a code; the numbers of the middle ones; where edges lie: which
    line, and after which sample."""

    sums: numpy.ndarray
    numbers: numpy.ndarray
    line: numpy.ndarray
    at: numpy.ndarray


def edges_of(lines, step, way=0):
    """Edges within 18 degrees of upright that change by 2.5 codes and no less than two neighbours on each side.

    Each line begins `way` samples later than the one before, so that edges along a diagonal are upright.
    """
    middles, long = lines.middles(step), lines.codes.shape[1] - 4 * abs(way)
    firsts = [2 * abs(way) + way * offset for offset in range(-2, 3)]
    five = [lines.codes[middles + offset][:, first : first + long] for offset, first in zip(range(-2, 3), firsts)]
    before, above, here, below, after = five
    sums, cross = above + here + below, numpy.abs(after - before)
    change = numpy.abs(numpy.diff(sums, axis=1))
    # Along, a third of the change; across, a quarter of what four lines change, mean of two samples: 1 to 3.
    is_upright = 8 * change >= 9 * (cross[:, 1:] + cross[:, :-1])
    is_edge = (2 * change >= 3 * 5) & (change == maximum_filter1d(change, 5, axis=1)) & is_upright
    return Edges(sums, lines.numbers[middles], *numpy.nonzero(is_edge))


def dark_to_light(edges, reach):
    """So many samples on both sides of each edge that has them, from dark to light."""
    inside = (edges.at >= reach) & (edges.at < edges.sums.shape[1] - reach - 1)
    line, at = edges.line[inside], edges.at[inside]
    samples = edges.sums[line[:, None], at[:, None] + numpy.arange(1 - reach, reach + 1)]
    falls = samples[:, reach] < samples[:, reach - 1]
    samples[falls] = samples[falls, ::-1]
    return samples


def profiles(edges, reach=16):
    """Samples on both sides of each edge, from dark to light, in sixths of a code, so that medians are whole too."""
    samples = 2 * dark_to_light(edges, reach)
    # Most edges are not steps of 40 codes, of which four fifths rise within 4.5 samples.
    return samples[samples[:, reach + 4] - samples[:, reach - 5] >= 6 * 32]


def halo(edges):
    """The larger of both signs of sharpening: isolated edges that overshoot, tones that swing beside the steepest."""
    isolated, swing = isolated_halo(edges), swing_of(edges)
    shares, widths = [isolated["halo_isolated"]], [isolated["isolated_px"]]
    if swing["halo_swing"] is not None:
        shares.append(max(0, (swing["halo_swing"] - 1) / 2) if swing["beyond"] < GOES_ON else 0)
        widths.append(swing["swing_px"])
    told = [(share, width) for share, width in zip(shares, widths) if share is not None]
    # Where both say the same, the isolated edges' width.
    share, width = max(told, key=lambda one: one[0], default=(None, None))
    names = ("halo_isolated", "halo_p90", "halo_edges")
    found = {"halo": share, "halo_px": width, "halo_swing": swing["halo_swing"]}
    return found | {name: isolated[name] for name in names}


def swing_of(edges):
    """How far tones swing within 8 samples of the steepest edges, as a multiple of what is usual for edges that are
    so steep and so far apart in tone 8 to 24 samples away. Everything counted is whole."""
    samples = numpy.concatenate([dark_to_light(one, 24) for one in edges])
    near = samples[:, 16:32]
    swing = near[:, 8:].max(1) - near[:, :8].min(1)
    samples, near, swing = (part[swing >= 3 * 32] for part in (samples, near, swing))
    if len(swing) < 100:
        return {"halo_swing": None}
    reach = near[:, 8:].argmax(1) + near[:, 7::-1].argmin(1) + 1
    ahead, behind = samples[:, 31::4], samples[:, 16::-4]
    beyond = numpy.maximum(ahead.max(1), behind.max(1)) - numpy.minimum(ahead.min(1), behind.min(1))
    slope, apart = samples[:, 24] - samples[:, 23], ahead.sum(1) - behind.sum(1)
    # The steepest twenty-fifth, with all that are as steep as the last of them.
    wanted = max(30, -(-len(slope) // 25))
    steepest = slope >= numpy.sort(slope)[-wanted]
    apart_rms = max(1, math.sqrt((apart.astype(float) ** 2).mean()) / 15)
    slope_rms = math.sqrt((slope.astype(float) ** 2).mean()) / 3
    usual = USUAL_SWING * apart_rms ** (1 / 3) * slope_rms ** (1 / 6)
    return {
        "halo_swing": swing[steepest].mean() / 3 / usual, "swing_px": reach[steepest].mean() / 2,
        "beyond": beyond[steepest].sum() / swing[steepest].sum(),
    }


def isolated_halo(edges):
    """Overshoot and undershoot of isolated steps of 40 codes, less the deviation of their plateaus.

    Steps, medians and samples are whole numbers of sixths, since they often lie on a limit.
    """
    samples = numpy.concatenate([profiles(one) for one in edges])
    low, high = plateaus(samples, numpy.median)
    dark, light = plateaus(samples, numpy.std)
    step, rise = high - low, samples[:, 20] - samples[:, 11]
    is_dark_told, is_light_told = low > 6 * 5, high < 6 * 250
    told = (numpy.maximum(dark, light) <= 0.06 * step) & (is_dark_told | is_light_told)
    told &= (step >= 6 * 40) & (5 * rise >= 4 * step) & (20 * fall(samples) <= step)
    lowest, highest = samples[:, 8:16].min(1), samples[:, 16:24].max(1)
    overshoot = (highest - high - light) * is_light_told + (low - dark - lowest) * is_dark_told
    shares = overshoot[told] / (step * (is_light_told.astype(int) + is_dark_told))[told]
    over, under = 2 * samples[:, 12:24] - (high + highest)[:, None], (low + lowest)[:, None] - 2 * samples[:, 8:20]
    beyond = numpy.concatenate([over, under], 1)[told]
    return halo_of_edges(shares, (beyond > 0).sum(1) / 2)


def plateaus(samples, what):
    return what(samples[:, :8], axis=1), what(samples[:, 24:], axis=1)


def halo_of_edges(shares, wide_px):
    names = ("halo_isolated", "halo_p90", "isolated_px", "halo_edges")
    if len(shares) < 30:
        return dict.fromkeys(names)
    middle, upper = numpy.quantile(numpy.maximum(shares, 0), [0.5, 0.9])
    wide = shares > 0.05
    width = numpy.median(wide_px[wide]) if wide.sum() >= 10 else 0
    return dict(zip(names, (middle, upper, width, len(shares))))


def fall(samples):
    """How far each profile falls back between its lowest sample before the edge and its highest after."""
    lowest, highest = 8 + samples[:, 8:16].argmin(1), 16 + samples[:, 16:24].argmax(1)
    places = numpy.arange(samples.shape[1] - 1)
    between = (places >= lowest[:, None]) & (places < highest[:, None])
    return (numpy.maximum(-numpy.diff(samples, axis=1), 0) * between).sum(1)


def edge_widths(edges, rise_least, run=14):
    """Line, sample and width of each edge: from 10 to 90 % of the samples round it that only rise or only fall."""
    sums, line, at = edges.sums, edges.line, edges.at
    steep = numpy.abs(sums[line, at + 1] - sums[line, at]) >= 3 * max(3, rise_least / 20)
    inside = steep & (at > run) & (at < sums.shape[1] - run - 2)
    line, at = line[inside], at[inside]
    sign = numpy.sign(sums[line, at + 1] - sums[line, at])

    def steps(way):
        places = [at + way * further for further in range(1, run)]
        goes_on = [(sums[line, place + 1] - sums[line, place]) * sign > 0 for place in places]
        return numpy.logical_and.accumulate(goes_on).sum(0)

    first, last = at - steps(-1), at + steps(1) + 1
    low, high = sums[line, first] * sign, sums[line, last] * sign

    def crossing(share):
        wanted, place = low + share * (high - low), first.copy()
        for _ in range(2 * run):
            place += (place + 1 < last) & (sums[line, place + 1] * sign < wanted)
        here, beyond = sums[line, place] * sign, sums[line, place + 1] * sign
        return place + (wanted - here) / (beyond - here)

    rises = high - low >= 3 * rise_least
    return edges.numbers[line[rises]], at[rises], (crossing(0.9) - crossing(0.1))[rises]


def focus(edges, slanted, size, sigma):
    """The lower quarter of widths in the sharpest fields of 1/16 of the longer side, and the median of all widths;
    and widths by direction."""
    height, width = size
    rise_least, outer = max(32, 10 * sigma), 0.02 * min(size)
    fields_down, fields_across = (math.floor(16 * side / max(size) + 0.5) for side in size)

    def by_field(row, column, widths):
        clear = (row > outer) & (row < height - outer) & (column > outer) & (column < width - outer)
        row, column, widths = row[clear], column[clear], widths[clear]
        return row * fields_down // height * fields_across + column * fields_across // width, widths

    row, column, along = edge_widths(edges[0], rise_least)
    horizontal = by_field(row, column, along)
    column, row, down = edge_widths(edges[1], rise_least)
    vertical = by_field(row, column, down)
    rows, columns, across = zip(*(edge_widths(one, rise_least) for one in slanted))
    # Laid along one diagonal, an edge is met along the row; across it the way is shorter.
    diagonals = [by_field(rows[way], columns[way] + 2, across[way] * math.sqrt(0.5)) for way in (0, 1)]
    field, widths = (numpy.concatenate(pair) for pair in zip(horizontal, vertical))
    names = ("edge_px", "edge_overall_px")
    sharp = sharpest(quarters(field, widths))
    found = dict.fromkeys(names) if sharp is None else dict(zip(names, (sharp, numpy.median(widths))))
    crossings = {"edge_straight": (horizontal, vertical), "edge_diagonal": diagonals}
    return found | {name: None if sharp is None else crossed(*pair) for name, pair in crossings.items()}


def quarters(field, widths):
    return {one: numpy.percentile(widths[field == one], 25) for one in numpy.unique(field) if (field == one).sum() >= 12}


def sharpest(fields):
    values = numpy.sort(list(fields.values()))
    return numpy.median(values[: max(3, round(0.05 * len(values)))]) if len(values) else None


def crossed(one, other):
    """Widths in two directions across each other, and their ratio in the fields that are sharpest either way."""
    one, other = quarters(*one), quarters(*other)
    shared = [(one[field], other[field]) for field in sorted(one.keys() & other.keys())]
    if min(len(one), len(other)) < 12 or len(shared) < 6:
        return None
    most = 1.001 * sorted(map(min, shared))[max(6, len(shared) // 5) - 1]
    ratio = numpy.median([a / b for a, b in shared if min(a, b) <= most])
    return {"one_px": sharpest(one), "other_px": sharpest(other), "ratio": ratio}


def differences(codes):
    """Sums along the lines of second and third differences, capped so that strong edges do not rule."""
    return [numpy.minimum(numpy.abs(numpy.diff(codes, order, axis=1)), cap).sum(0) for order, cap in ((2, 12), (3, 24))]


def levelled(sums, window):
    return sums / (uniform_filter1d(sums.astype(float), window, mode="nearest") + TINY)


def spectral_lines(sums, grid):
    """How far each frequency of the grid stands above those round it, and how far the sums swing with it."""
    signal = levelled(sums, 31) - 1
    most = 6 * numpy.median(numpy.abs(signal)) + TINY
    window = numpy.hanning(len(signal))
    heights = numpy.abs(numpy.fft.rfft(numpy.clip(signal, -most, most) * window))
    ground = median_filter(heights, 2 * max(16, len(heights) // 48) + 1, mode="mirror")
    place = numpy.rint(numpy.fft.rfftfreq(len(signal)) * 2 * grid).astype(int)

    def on_grid(values):
        best = numpy.zeros(grid + 1)
        numpy.maximum.at(best, place, values)
        return maximum_filter1d(best, 5)

    return on_grid(heights / (ground + TINY)), on_grid(2 * heights / window.sum())


def doubling(thirds):
    """Contrast of every other sample, from five differences that lie inside one 8-px block."""
    level = levelled(thirds, 32)
    places = numpy.median(level[: len(level) // 8 * 8].reshape(-1, 8), 0)[:5]
    return abs(numpy.diff(places, 4)[0]) / 16 / (places.mean() + TINY)


def earlier_grid(heights, per_pixel, grid):
    """Mean logarithm of the lines that blocks of an earlier JPEG, scaled to so many samples a pixel, would leave."""
    folded = numpy.abs(numpy.arange(1, 8) * per_pixel / 8 - numpy.rint(numpy.arange(1, 8) * per_pixel / 8))
    told = (folded > 0.03) & (folded < 0.494) & (numpy.abs(folded[:, None] - numpy.arange(9) / 16).min(1) >= 0.0025)
    if told.sum() < 4:
        return 0
    return numpy.log(numpy.maximum(heights[numpy.rint(folded[told] * 2 * grid).astype(int)], 1)).mean()


def resampled(both, step, grid=4096):
    """The spectral line that both directions share, off the grids of JPEG blocks of 8 and 16; the best is the highest
    that lines of an earlier JPEG's blocks agree with."""
    shortest = min(lines.codes.shape[1] for lines in both)
    if shortest < 64:
        return dict.fromkeys(("line", "line_at", "line_depth", "doubling", "mirrored", "pairs", "agreement"))
    sums = [differences(lines.each(step, 2)) for lines in both]
    along, down = ([spectral_lines(of_order, grid) for of_order in one] for one in sums)
    heights, depths = (
        numpy.maximum(*(numpy.sqrt(one[what] * other[what]) for one, other in zip(along, down))) for what in range(2)
    )
    frequency = numpy.linspace(0, 0.5, grid + 1)
    off_blocks = numpy.abs(frequency[:, None] - numpy.arange(1, 9) / 16).min(1) >= max(0.0025, 3 / shortest)

    def support(at):
        scales = (1 - at, at) if at >= 1 / 3.7 else (1 - at,)
        return max(earlier_grid(heights, scale, grid) for scale in scales)

    free = numpy.flatnonzero((frequency >= 0.219) & (frequency <= 0.494) & off_blocks)
    marks = [2 * math.log(max(heights[place], 1)) + support(frequency[place]) for place in free]
    best = free[int(numpy.argmax(marks))]
    found = {"line": heights[best], "line_at": frequency[best], "line_depth": depths[best]}
    found["doubling"] = math.sqrt(doubling(sums[0][1]) * doubling(sums[1][1]))
    return found | block_signs(both)


def block_signs(both, enough=1.6e6, least=1.5, shy=40):
    """How the signs of frequencies within the file's own blocks of 8 go together: -1 to 1, towards 0 if few are told."""
    numbers, place = numpy.arange(8), 2 * numpy.arange(8) + 1
    cosines = numpy.rint(4096 / 2 * numpy.cos(numpy.pi * numpy.outer(numbers, place) / 16)).astype(int)
    together, told = numpy.zeros((8, 8)), numpy.zeros((8, 8))
    for lines in both:
        codes = lines.each(math.ceil(lines.codes.shape[1] * lines.count / enough), GROUP)
        found = codes[:, : codes.shape[1] // 8 * 8].reshape(-1, 8) @ cosines.T
        signs = (numpy.sign(found) * (numpy.abs(found) > least * 4096)).astype(float)
        together += signs.T @ signs
        told += numpy.abs(signs).T @ numpy.abs(signs)
    agree = together / (told + shy)
    return {
        "mirrored": max(-agree[1, 7], -agree[2, 6]) - abs(agree[6, 7]),
        "pairs": min(-agree[1, 7], -agree[2, 6], -agree[3, 5]),
        "agreement": [agree[2, 4], agree[3, 5], agree[4, 6], agree[5, 7]],
    }


def busiest(lines, length=256, cells=8, places=6):
    """Four lines of 256 samples from each cell of the picture that has some with detail, not clipped."""
    along = lines.codes.shape[1]
    if lines.count < 16 or along < length + 4:
        return
    for down in range(cells):
        top, bottom = lines.count * down // cells, lines.count * (down + 1) // cells - 4
        fours = [lines.four_near(top + max(0, bottom - top) * at // (places - 1)) for at in range(places)]
        for across in range(cells):
            left = min(along - length, along * across // cells)
            tried = [four[:, left : left + length] for four in fours]
            tried = [four for four in tried if (four >= 253).mean() <= 0.1 and (four <= 2).mean() <= 0.2]
            changes = [(numpy.diff(four) ** 2).mean() for four in tried]
            if changes and max(changes) > 4:
                yield tried[numpy.argmax(changes)]


def detail_ends(both):
    """The share of the frequencies below which 95 % of the energy of differences lies, white noise taken off."""
    windows = numpy.array([four for lines in both for four in busiest(lines)])
    if len(windows) < 6:
        return None
    weights = numpy.hanning(windows.shape[-1])
    signal = (windows - windows.mean(-1, keepdims=True)) * weights
    power = (numpy.abs(numpy.fft.rfft(signal)) ** 2).mean((0, 1)) / (weights**2).sum()
    share = numpy.linspace(0, 1, len(power))
    energy = numpy.maximum(power - 1.5 * numpy.percentile(power[share >= 1 / 4], 5), 0) * share**2
    energy[share < 1 / 32] = 0
    return numpy.interp(0.95, energy.cumsum() / (energy.sum() + TINY), share)


def noise(codes, cell=8, around=4):
    """Immerkaer's mask in the tenth of mid-tone cells whose quarters differ least: on neighbours, on pixels that lie 3
    apart, and on means of 2 x 2 pixels that lie 2 of them apart."""
    height, width = codes.shape
    across, rows = width // cell - 1, cell + 2 * around
    firsts = range(0, height - rows + 1, cell * every(codes.size, NOISE_PIXELS))
    if across < 1 or not firsts:
        return None, None, None
    bands = numpy.stack([codes[first : first + rows, : across * cell + 2 * around] for first in firsts])
    squares = bands.reshape(len(bands), rows // 2, 2, across * cell // 2 + around, 2).sum((2, 4)) / 4
    inner = bands[:, around:-around, around:-around]
    quarters = inner.reshape(len(bands), 2, cell // 2, across, 2, cell // 2).mean((2, 5))
    structure, mean = numpy.ptp(quarters, (1, 3)), quarters.mean((1, 3))
    middle = (mean > 50) & (mean < 205)
    if middle.sum() < 50:
        return None, None, None
    calm = structure[middle] <= max(0.5, numpy.quantile(structure[middle], 0.1))

    def deviation(samples, side, margin, distance):
        response = numpy.abs(spread_mask(samples, distance))[:, margin - distance :, margin - distance :]
        response = response[:, :side, : across * side].reshape(len(samples), side, across, side).mean((1, 3))
        return numpy.median(response[middle][calm]) * math.sqrt(math.pi / 2) / 6

    return deviation(bands, cell, around, 1), deviation(bands, cell, around, 3), deviation(squares, cell // 2, around // 2, 2)


def spread_mask(bands, distance):
    """[1 -2 1] down and across, its parts so far apart."""

    def second(samples):
        ahead, here, behind = samples[2 * distance :], samples[distance:-distance], samples[: -2 * distance]
        return ahead + behind - 2 * here

    return second(second(bands.transpose(1, 0, 2)).transpose(2, 1, 0)).transpose(1, 2, 0)


def block_edges(codes, cap=8, calm_below=16):
    """How much more the most changing of eight places changes than the others, in calm groups of eight; which it is."""
    change = numpy.minimum(numpy.abs(numpy.diff(codes, axis=1)), cap)
    groups = change[:, : change.shape[1] // 8 * 8].reshape(-1, 8)
    calm = groups[groups.sum(1) < calm_below]
    if len(calm) < 100:
        return None
    means = calm.mean(0)
    phase = int(means.argmax())
    usual = numpy.median(numpy.delete(means, phase))
    return means[phase] - usual, means[phase] / (usual + 0.05), phase


def blocks(both, step):
    found = [block_edges(lines.each(step, 4)) for lines in both]
    if None in found:
        return dict.fromkeys(("blocks_excess", "blocks_ratio", "blocks_phase"))
    excess, ratio, phase = zip(*found)
    return {"blocks_excess": numpy.mean(excess), "blocks_ratio": numpy.mean(ratio), "blocks_phase": list(phase)}


def white(rgb, codes, cell=4):
    """Regions of white cells, joined by cells just below white without any feature; corners touch."""
    height, width = (side // cell * cell for side in rgb.shape[:2])

    def of_cells(pixels):
        return pixels[:height, :width].reshape(height // cell, cell, width // cell, cell)

    hot = (rgb >= 254).all(-1)
    is_white = of_cells(hot).all((1, 3))
    lightest, darkest = of_cells(codes).max((1, 3)), of_cells(codes).min((1, 3))
    pulled_down = ~is_white & (darkest >= 245) & (lightest - darkest <= 1)
    numbers, count = label(is_white | pulled_down, numpy.ones((3, 3)))
    whites = numpy.bincount(numbers[is_white], minlength=count + 1)[1:] / numbers.size
    greys = numpy.bincount(numbers[pulled_down], minlength=count + 1)[1:] / numbers.size
    outermost = numpy.concatenate([numbers[0], numbers[-1], numbers[:, 0], numbers[:, -1]])
    at_edge = numpy.isin(numpy.arange(1, count + 1), outermost)
    is_blown = whites > 0.0005
    nearly = ~is_white & (darkest >= 245) & (lightest - darkest <= 4)
    soft = numpy.array([is_blown[one] and fades(numbers == one + 1, is_white, nearly) for one in range(count)], bool)
    return {
        "blown": whites[is_blown].sum(),
        "blown_at_edge": whites[is_blown & at_edge].sum(),
        "blown_softly": whites[soft].sum(),
        "largest": whites.max(initial=0),
        "regions": int(is_blown.sum()),
        "sparkle": max(0, hot.mean() - whites[is_blown].sum()),
        "pulled_down": greys[greys > 0.0005].sum(),
    }


def fades(region, is_white, nearly, around=3):
    """Whether half of what lies three cells above, below and at the ends of a region's runs is nearly white still."""
    seen, glowing = 0, 0
    for way in (-around, around):
        beyond = numpy.zeros_like(region)
        beyond[max(0, way) : len(region) + min(0, way)] = region[max(0, -way) : len(region) - max(0, way)]
        seen, glowing = seen + (beyond & ~is_white).sum(), glowing + (beyond & nearly).sum()
    padded = numpy.pad(region, ((0, 0), (1, 1)))
    down, first = numpy.nonzero(padded[:, 1:-1] & ~padded[:, :-2])
    _, last = numpy.nonzero(padded[:, 1:-1] & ~padded[:, 2:])
    for at in (first - around, last + around):
        inside = (at >= 0) & (at < region.shape[1])
        places = down[inside], at[inside]
        seen, glowing = seen + (~is_white[places]).sum(), glowing + nearly[places].sum()
    return seen > 0 and 2 * glowing >= seen


STOPS_DOWN, STEPS, MOST_STEPS = 6.5, 8, 24


def shades(rgb, longer=16):
    """How often each colour occurs in fields of a picture at each eighth of a stop below white, blurred a little; clipped
    and very dark fields are left out."""
    height, width = rgb.shape[:2]
    down, across = (max(1, math.floor(side * longer / max(height, width) + 0.5)) for side in (height, width))
    rows, columns = (numpy.arange(many + 1) * side // many for many, side in ((down, height), (across, width)))
    sums = numpy.add.reduceat(numpy.add.reduceat(rgb.astype(float), rows[:-1]), columns[:-1], 1)
    codes = numpy.floor(sums / (numpy.diff(rows)[:, None, None] * numpy.diff(columns)[None, :, None]) + 0.5).reshape(-1, 3)
    light = numpy.where(codes <= 0.04045 * 255, codes / 255 / 12.92, ((codes / 255 + 0.055) / 1.055) ** 2.4)
    below = numpy.log2(light @ (0.2126729, 0.7151522, 0.0721750) + TINY) + STOPS_DOWN
    told = (codes < 253).all(1) & (below >= 0)
    steps = numpy.minimum(below[told] * STEPS, STOPS_DOWN * STEPS - 1).astype(int)
    parts = numpy.minimum(light[told][:, [0, 2]] / light[told].sum(1, keepdims=True) * 16, 15).astype(int)
    found = numpy.zeros((256, round(STOPS_DOWN * STEPS)))
    numpy.add.at(found, (parts[:, 0] * 16 + parts[:, 1], steps), 1 / len(codes))
    away = numpy.arange(-4, 5)
    weights = numpy.exp(-(away**2) / (2 * 1.2**2))
    padded = numpy.pad(found, ((0, 0), (4, 4)))
    return sum(padded[:, 4 + by : 4 + by + found.shape[1]] * weight for by, weight in zip(away, weights / weights.sum()))


def exposure(frame, others):
    """How many stops a frame lies above the mean of others by the tones that they share; the share of them that agrees
    there, and where it lies."""
    steps, agreement = frame.shape[1], []
    for by in range(-MOST_STEPS, MOST_STEPS + 1):
        here, there = frame[:, max(0, by) : steps + min(0, by)], others[:, max(0, -by) : steps - max(0, by)]
        agreement.append(numpy.minimum(here, there).sum() / max(min(here.sum(), there.sum()), 0.5))
    best = int(numpy.argmax(agreement))
    between = 0
    if 0 < best < len(agreement) - 1:
        before, at, after = agreement[best - 1 : best + 2]
        between = (before - after) / 2 / (before - 2 * at + after)
    return (best - MOST_STEPS + between) / STEPS, agreement[best], agreement[MOST_STEPS]


def off_exposures(frames, least=0.4, twice=2, alike=0.5, better=0.06):
    """Which of at least five frames of one set-up lie how many stops off the others."""
    found = numpy.array([exposure(frame, (sum(frames) - frame) / (len(frames) - 1)) for frame in frames])
    if numpy.median(found[:, 1]) < alike:
        return {}
    off = found[:, 0]
    order = numpy.argsort(-numpy.abs(off), kind="stable")
    for many in range(len(frames) // 5, 0, -1):
        if abs(off[order[many - 1]]) >= max(least, twice * abs(off[order[many]])):
            told = [at for at in order[:many] if found[at, 1] >= alike and found[at, 1] - found[at, 2] >= better]
            return {int(at): off[at] for at in told}
    return {}
