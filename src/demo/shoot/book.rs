//! The pictures of the book's pages and of the walls. Their sizes and paintings are in `shoot`.

use painter::Rect;

use crate::demo::picture::{Chroma, DeliberateFault, FileKind, Picture, SOUND, Words, words};
use crate::demo::truth::Truth;

/// Returns a quarter page's area in a painting.
const fn quarter_at(left: usize, top: usize) -> Option<Rect> {
    Some(Rect { left, top, width_px: 1311, height_px: 1606 })
}

pub(super) const TART: Picture = Picture {
    name: "p012-plum-tart.jpg",
    words: words("Plum tart"),
    expected: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

pub(super) const TART_DETAIL: Picture = Picture {
    name: "p013-plum-tart-detail.jpg",
    part: quarter_at(560, 1180),
    ppi: 72,
    words: words("Plum tart, the glaze"),
    twin: Some("tart for the notice board.jpg"),
    expected: "PASS with a note: the tag says 72 ppi, the pixels are right (density.tag)",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const TART_SLICES: Picture = Picture {
    name: "p014-plum-slices.png",
    part: quarter_at(1120, 760),
    kind: FileKind::Png,
    words: words("Plum tart, slices"),
    expected: "a PNG where TIFF or JPEG is required (file.format); else sound",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const BEETROOT: Picture = Picture {
    name: "p016-salt-baked-beetroot.jpg",
    words: words("Salt-baked beetroot"),
    expected: "Adobe RGB where sRGB is required (colour.profile); its greens lie outside sRGB",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const BEETROOT_DETAIL: Picture = Picture {
    name: "p017-beetroot-detail.jpg",
    words: words("Salt-baked beetroot, sliced"),
    expected: "2:3 on a quarter page: a centred crop loses 18 % of the height (size.aspect)",
    truth: Truth::Cropped { lost: 0.18 },
    ..SOUND
};

pub(super) const BROTH: Picture = Picture {
    name: "p018-barley-broth.jpg",
    words: Words { has_packet: false, ..words("Barley broth") },
    expected: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

pub(super) const BROTH_DETAIL: Picture = Picture {
    name: "p019-barley-broth-detail.jpg",
    part: quarter_at(560, 800),
    fault: DeliberateFault::Untagged,
    words: words("Barley broth, close"),
    expected: "no embedded profile (colour.profile)",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const MACKEREL: Picture = Picture {
    name: "p022-mackerel-on-rye.tif",
    kind: FileKind::Tiff16,
    words: words("Smoked mackerel on rye"),
    expected: "PASS: half page with bleed, 300 ppi, sRGB, TIFF 16 bits",
    ..SOUND
};

pub(super) const MACKEREL_CLOSE: Picture = Picture {
    name: "p024-mackerel-close.jpg",
    words: words("Smoked mackerel, radish, dill"),
    expected: "exactly the finished page, 2480 x 3071 px, without its bleed (margins.bleed)",
    truth: Truth::WithoutBleed,
    ..SOUND
};

pub(super) const LEEKS: Picture = Picture {
    name: "P026 Leeks FINAL.jpg",
    words: Words { is_credited: false, is_located: true, has_packet: false, ..words("Brown butter leeks") },
    expected: "no credit (file.credit), GPS (file.location), blanks and capitals (file.name)",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const TABLE: Picture = Picture {
    name: "p028-table-laid.jpg",
    words: words("The table set"),
    ppi: 160,
    expected: "1701 x 2095 px: 200 ppi on a full page (density.minimum)",
    truth: Truth::Density { ppi: 200.0 },
    ..SOUND
};

pub(super) const TABLE_BROTH: Picture = Picture {
    name: "p029-broth-on-the-table.tif",
    part: quarter_at(1249, 1279),
    kind: FileKind::TiffInks,
    words: words("Barley broth on the table"),
    expected: "CMYK where RGB is required (colour.model)",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const OYSTERS: Picture = Picture {
    name: "p030-oyster-board.jpg",
    words: words("Oyster board"),
    expected: "one of two pictures for the same page",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const OYSTERS_AGAIN: Picture = Picture {
    name: "p030-oyster-board-2.jpg",
    words: words("Oyster board"),
    expected: "the other of two pictures for the same page",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const OYSTER_DETAIL: Picture = Picture {
    name: "p031-oysters-detail.jpg",
    part: quarter_at(109, 879),
    fault: DeliberateFault::Sideways,
    words: Words { has_packet: false, ..words("Oysters, close") },
    expected: "stored on its side, orientation tag 6 (file.orientation)",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const TABLE_TART: Picture = Picture {
    name: "p032-tart-on-the-table.jpg",
    part: quarter_at(189, 1439),
    fault: DeliberateFault::CutOff,
    words: words("Plum tart on the table"),
    expected: "ends after nine tenths of its bytes (file.readable)",
    truth: Truth::InTheFile,
    ..SOUND
};

pub(super) const CREPES: Picture = Picture {
    name: "p034-buckwheat-crepes.jpg",
    words: words("Buckwheat crepes"),
    expected: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

pub(super) const CREPES_DETAIL: Picture = Picture {
    name: "p035-crepes-detail.jpg",
    part: quarter_at(560, 900),
    kind: FileKind::Jpeg { quality: 60, chroma: Chroma::Halved },
    words: words("Buckwheat crepes, close"),
    expected: "JPEG quality about 60, 4:2:0 (file.jpeg_quality), and its block edges (detail.blocks)",
    truth: Truth::Quality { quality: 60 },
    ..SOUND
};

pub(super) const WALL_TABLE: Picture = Picture {
    name: "wall-01-table.jpg",
    ppi: 160,
    words: words("The table set for all"),
    expected: "PASS: 16 x 20 in at 160 ppi",
    ..SOUND
};

pub(super) const WALL_OYSTERS: Picture = Picture {
    name: "wall-02-oysters.jpg",
    ppi: 160,
    words: Words { has_packet: false, ..words("Oyster board") },
    expected: "PASS: 16 x 20 in at 160 ppi",
    ..SOUND
};
