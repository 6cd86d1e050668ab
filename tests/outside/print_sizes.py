"""Print sizes and crop losses that the geometry checks compute with."""

# Photographic sizes in inches, width by height. Source: common practice; many also stand in ISO 1008.
INCH_SIZES = (
    ("4", "6"), ("5", "7"), ("6", "8"), ("6", "9"), ("8", "8"), ("8", "10"), ("8", "12"), ("8.5", "11"), ("9", "12"),
    ("10", "13"), ("10", "15"), ("11", "14"), ("12", "12"), ("12", "18"), ("16", "20"), ("16", "24"), ("18", "24"),
    ("20", "24"), ("20", "30"), ("24", "36"), ("30", "40"), ("40", "60"), ("10", "8"), ("14", "11"),
)

# ISO 216:2007, trimmed sizes in mm, A and B series.
ISO_SIZES = (
    ("A0", 841, 1189), ("A1", 594, 841), ("A2", 420, 594), ("A3", 297, 420), ("A4", 210, 297), ("A5", 148, 210),
    ("A6", 105, 148), ("B2", 500, 707), ("B3", 353, 500), ("B4", 250, 353), ("B5", 176, 250), ("B6", 125, 176),
)

# A print of each shape. One to the square root of two to the nanometre, since A sizes are rounded to whole mm.
SHAPES = {
    "2:3": "8 x 12 in",
    "3:4": "9 x 12 in",
    "4:5": "8 x 10 in",
    "5:7": "5 x 7 in",
    "11:14": "11 x 14 in",
    "10:13": "10 x 13 in",
    "1:sqrt2": "500 x 707.106781 mm",
    "1:1": "10 x 10 in",
    "9:16": "9 x 16 in",
}

# Per cent of the picture that a centred crop loses. Source: 1 - min(a, b) / max(a, b) of long over short, worked by
# hand; 2:3 and 3:4 lose the same to an A size, since their ratios multiply to two.
CROP_LOSS = {
    "2:3": {
        "2:3": 0, "3:4": 11.111, "4:5": 16.667, "5:7": 6.667, "11:14": 15.152, "10:13": 13.333, "1:sqrt2": 5.719,
        "1:1": 33.333, "9:16": 15.625,
    },
    "3:4": {
        "2:3": 11.111, "3:4": 0, "4:5": 6.250, "5:7": 4.762, "11:14": 4.545, "10:13": 2.500, "1:sqrt2": 5.719,
        "1:1": 25.000, "9:16": 25.000,
    },
    "4:5": {
        "2:3": 16.667, "3:4": 6.250, "4:5": 0, "5:7": 10.714, "11:14": 1.786, "10:13": 3.846, "1:sqrt2": 11.612,
        "1:1": 20.000, "9:16": 29.688,
    },
}
