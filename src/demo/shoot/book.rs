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
    truth: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

pub(super) const TART_DETAIL: Picture = Picture {
    name: "p013-plum-tart-detail.jpg",
    part: quarter_at(560, 1180),
    ppi: 72,
    words: words("Plum tart, the glaze"),
    twin: Some("tart for the notice board.jpg"),
    truth: "PASS with a note: the tag says 72 ppi, the pixels are right (density.tag)",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const TART_SLICES: Picture = Picture {
    name: "p014-plum-slices.png",
    part: quarter_at(1120, 760),
    kind: FileKind::Png,
    words: words("Plum tart, slices"),
    truth: "a PNG where TIFF or JPEG is required (file.format); else sound",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const BEETROOT: Picture = Picture {
    name: "p016-salt-baked-beetroot.jpg",
    words: words("Salt-baked beetroot"),
    truth: "Adobe RGB where sRGB is required (colour.profile); its greens lie outside sRGB",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const BEETROOT_DETAIL: Picture = Picture {
    name: "p017-beetroot-detail.jpg",
    words: words("Salt-baked beetroot, sliced"),
    truth: "2:3 on a quarter page: a centred crop loses 18 % of the height (size.aspect)",
    sized: Truth::Cropped { lost: 0.18 },
    ..SOUND
};

pub(super) const BROTH: Picture = Picture {
    name: "p018-barley-broth.jpg",
    words: Words { packet: false, ..words("Barley broth") },
    truth: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

pub(super) const BROTH_DETAIL: Picture = Picture {
    name: "p019-barley-broth-detail.jpg",
    part: quarter_at(560, 800),
    fault: DeliberateFault::Untagged,
    words: words("Barley broth, close"),
    truth: "no embedded profile (colour.profile)",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const MACKEREL: Picture = Picture {
    name: "p022-mackerel-on-rye.tif",
    kind: FileKind::Tiff16,
    words: words("Smoked mackerel on rye"),
    truth: "PASS: half page with bleed, 300 ppi, sRGB, TIFF 16 bits",
    ..SOUND
};

pub(super) const MACKEREL_CLOSE: Picture = Picture {
    name: "p024-mackerel-close.jpg",
    words: words("Smoked mackerel, radish, dill"),
    truth: "exactly the finished page, 2480 x 3071 px, without its bleed (margins.bleed)",
    sized: Truth::WithoutBleed,
    ..SOUND
};

pub(super) const LEEKS: Picture = Picture {
    name: "P026 Leeks FINAL.jpg",
    words: Words { credited: false, located: true, packet: false, ..words("Brown butter leeks") },
    truth: "no credit (file.credit), GPS (file.location), blanks and capitals (file.name)",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const TABLE: Picture = Picture {
    name: "p028-table-laid.jpg",
    words: words("The table set"),
    ppi: 160,
    truth: "1701 x 2095 px: 200 ppi on a full page (density.minimum)",
    sized: Truth::Density { ppi: 200.0 },
    ..SOUND
};

pub(super) const TABLE_BROTH: Picture = Picture {
    name: "p029-broth-on-the-table.tif",
    part: quarter_at(1249, 1279),
    kind: FileKind::TiffInks,
    words: words("Barley broth on the table"),
    truth: "CMYK where RGB is required (colour.model)",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const OYSTERS: Picture = Picture {
    name: "p030-oyster-board.jpg",
    words: words("Oyster board"),
    truth: "one of two pictures for the same page",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const OYSTERS_AGAIN: Picture = Picture {
    name: "p030-oyster-board-2.jpg",
    words: words("Oyster board"),
    truth: "the other of two pictures for the same page",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const OYSTER_DETAIL: Picture = Picture {
    name: "p031-oysters-detail.jpg",
    part: quarter_at(109, 879),
    fault: DeliberateFault::Sideways,
    words: Words { packet: false, ..words("Oysters, close") },
    truth: "stored on its side, orientation tag 6 (file.orientation)",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const TABLE_TART: Picture = Picture {
    name: "p032-tart-on-the-table.jpg",
    part: quarter_at(189, 1439),
    fault: DeliberateFault::CutOff,
    words: words("Plum tart on the table"),
    truth: "ends after nine tenths of its bytes (file.readable)",
    sized: Truth::InTheFile,
    ..SOUND
};

pub(super) const CREPES: Picture = Picture {
    name: "p034-buckwheat-crepes.jpg",
    words: words("Buckwheat crepes"),
    truth: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

pub(super) const CREPES_DETAIL: Picture = Picture {
    name: "p035-crepes-detail.jpg",
    part: quarter_at(560, 900),
    kind: FileKind::Jpeg { quality: 60, chroma: Chroma::Halved },
    words: words("Buckwheat crepes, close"),
    truth: "JPEG quality about 60, 4:2:0 (file.jpeg_quality), and its block edges (detail.blocks)",
    sized: Truth::Quality { quality: 60 },
    ..SOUND
};

pub(super) const WALL_TABLE: Picture = Picture {
    name: "wall-01-table.jpg",
    ppi: 160,
    words: words("The table set for all"),
    truth: "PASS: 16 x 20 in at 160 ppi",
    ..SOUND
};

pub(super) const WALL_OYSTERS: Picture = Picture {
    name: "wall-02-oysters.jpg",
    ppi: 160,
    words: Words { packet: false, ..words("Oyster board") },
    truth: "PASS: 16 x 20 in at 160 ppi",
    ..SOUND
};
