//! The invented shoot: which pictures there are, how each is framed and saved, and the one thing
//! that is right or wrong with it. One painting may give several pictures (whole, and details
//! at full resolution). Sizes at 300 ppi with 3 mm bleed: full page 216 x 266 mm = 2551 x 3142 px,
//! half page 216 x 136 mm = 2551 x 1606 px, quarter 111 x 136 mm = 1311 x 1606 px.
//!
//! No picture is made for page 38 (seaweed butter): the brief asks for it and it stays missing.
use super::dishes::{barley_broth, beetroot, buckwheat_crepes, leeks, mackerel, oyster_board, plum_tart, spread};
use super::painting::{Frame, Gamut, Part};
use super::tree::Scene;

pub const CREATOR: &str = "Imogen Tarrow";
pub const RIGHTS: &str = "(c) 2026 Fennimore Quay Cookery School";
/// When all of them were taken, as Exif writes it.
pub const TAKEN: &str = "2026:11:02 10:21:07";

/// Raised whenever a byte of any picture changes.
pub const EDITION: u32 = 1;

/// One painting and the pictures cut from it.
pub struct Shot {
    pub scene: fn() -> Scene,
    pub frame: Frame,
    pub pictures: &'static [Picture],
}

/// One file.
#[derive(Clone, Copy)]
pub struct Picture {
    pub name: &'static str,
    /// The cut from the painting; the whole of it if nothing is said.
    pub part: Option<Part>,
    pub kind: FileKind,
    /// The resolution tag.
    pub ppi: u16,
    pub words: Words,
    pub fault: Fault,
    /// Another name under which the same bytes lie there too.
    pub twin: Option<&'static str>,
    /// What a check of it has to find.
    pub truth: &'static str,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    Jpeg {
        quality: u8,
        chroma: Chroma,
    },
    /// RGB, 16 bits a channel.
    Tiff16,
    /// Four inks, 8 bits a channel.
    TiffInks,
    Png,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Chroma {
    /// 4:4:4.
    Full,
    /// 4:2:0.
    Halved,
}

/// What the file says in words.
#[derive(Clone, Copy)]
pub struct Words {
    pub caption: &'static str,
    /// Creator and copyright.
    pub credited: bool,
    /// GPS coordinates.
    pub located: bool,
    /// The same words as an XMP packet too.
    pub packet: bool,
}

/// What is done to a file beyond its kind and size.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    Nothing,
    /// No profile is embedded.
    Untagged,
    /// Pixels stored a quarter turn to the left, the orientation tag says 6.
    Sideways,
    /// The file ends after nine tenths of its bytes.
    CutOff,
}

const FINE_JPEG: FileKind = FileKind::Jpeg { quality: 95, chroma: Chroma::Full };

/// What is right: the rest of a picture is said as difference from this.
pub(super) const SOUND: Picture = Picture {
    name: "",
    part: None,
    kind: FINE_JPEG,
    ppi: 300,
    words: Words { caption: "", credited: true, located: false, packet: true },
    fault: Fault::Nothing,
    twin: None,
    truth: "PASS",
};

const fn words(caption: &'static str) -> Words {
    Words { caption, credited: true, located: false, packet: true }
}

/// A quarter page out of a painting.
const fn quarter_at(left: usize, top: usize) -> Option<Part> {
    Some(Part { left, top, width_px: 1311, height_px: 1606 })
}

const fn frame(width_px: usize, height_px: usize) -> Frame {
    Frame { width_px, height_px, shift_px: (0.0, 0.0), gamut: Gamut::Srgb }
}

const fn shot(scene: fn() -> Scene, frame: Frame, pictures: &'static [Picture]) -> Shot {
    Shot { scene, frame, pictures }
}

const FULL: Frame = frame(2551, 3142);
const HALF: Frame = frame(2551, 1606);
const WIDE_GAMUT_HALF: Frame = Frame { gamut: Gamut::AdobeRgb, ..HALF };
const WALL: Frame = frame(3200, 4000);

/// In the order of painting: quick ones first, so that the desk has something to show at once;
/// the two largest apart from each other, since each takes about 400 MB while it is painted.
pub const SHOTS: &[Shot] = &[
    shot(beetroot::close_scene, frame(1311, 1967), &[BEETROOT_DETAIL]),
    shot(spread::corner_scene, frame(1701, 2095), &[TABLE]),
    shot(mackerel::scene, HALF, &[MACKEREL]),
    shot(leeks::scene, HALF, &[LEEKS]),
    shot(plum_tart::scene, FULL, &[TART, TART_DETAIL, TART_SLICES]),
    shot(beetroot::scene, WIDE_GAMUT_HALF, &[BEETROOT]),
    shot(spread::scene, WALL, &[WALL_TABLE, TABLE_BROTH, TABLE_TART]),
    shot(barley_broth::scene, FULL, &[BROTH, BROTH_DETAIL]),
    shot(oyster_board::wide_scene, HALF, &[OYSTERS]),
    shot(buckwheat_crepes::scene, FULL, &[CREPES, CREPES_DETAIL]),
    shot(oyster_board::scene, WALL, &[WALL_OYSTERS, OYSTER_DETAIL]),
    shot(mackerel::close_scene, frame(2480, 3071), &[MACKEREL_CLOSE]),
    shot(oyster_board::second_scene, HALF, &[OYSTERS_AGAIN]),
];

const TART: Picture = Picture {
    name: "p012-plum-tart.jpg",
    words: words("Plum tart"),
    truth: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

const TART_DETAIL: Picture = Picture {
    name: "p013-plum-tart-detail.jpg",
    part: quarter_at(560, 1180),
    ppi: 72,
    words: words("Plum tart, the glaze"),
    twin: Some("tart for the notice board.jpg"),
    truth: "PASS with a note: the tag says 72 ppi, the pixels are right (density.tag)",
    ..SOUND
};

/// What a check has to find about a twin.
pub const TWIN_TRUTH: &str = "EXTRA: no print asks for it; the same bytes as another (set.duplicate)";

const TART_SLICES: Picture = Picture {
    name: "p014-plum-slices.png",
    part: quarter_at(1120, 760),
    kind: FileKind::Png,
    words: words("Plum tart, slices"),
    truth: "a PNG where TIFF or JPEG is asked (file.format); else sound",
    ..SOUND
};

const BEETROOT: Picture = Picture {
    name: "p016-salt-baked-beetroot.jpg",
    words: words("Salt-baked beetroot"),
    truth: "Adobe RGB where sRGB is asked (colour.profile); its greens leave sRGB",
    ..SOUND
};

const BEETROOT_DETAIL: Picture = Picture {
    name: "p017-beetroot-detail.jpg",
    words: words("Salt-baked beetroot, sliced"),
    truth: "2:3 on a quarter page: a centred crop loses 18 % of the height (size.shape)",
    ..SOUND
};

const BROTH: Picture = Picture {
    name: "p018-barley-broth.jpg",
    words: Words { packet: false, ..words("Barley broth") },
    truth: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

const BROTH_DETAIL: Picture = Picture {
    name: "p019-barley-broth-detail.jpg",
    part: quarter_at(560, 800),
    fault: Fault::Untagged,
    words: words("Barley broth, close"),
    truth: "no embedded profile (colour.profile)",
    ..SOUND
};

const MACKEREL: Picture = Picture {
    name: "p022-mackerel-on-rye.tif",
    kind: FileKind::Tiff16,
    words: words("Smoked mackerel on rye"),
    truth: "PASS: half page with bleed, 300 ppi, sRGB, TIFF 16 bits",
    ..SOUND
};

const MACKEREL_CLOSE: Picture = Picture {
    name: "p024-mackerel-close.jpg",
    words: words("Smoked mackerel, radish, dill"),
    truth: "exactly the finished page, 2480 x 3071 px, without its bleed (margins.bleed)",
    ..SOUND
};

const LEEKS: Picture = Picture {
    name: "P026 Leeks FINAL.jpg",
    words: Words { credited: false, located: true, packet: false, ..words("Brown butter leeks") },
    truth: "no credit (file.credit), GPS (file.location), blanks and capitals (file.name)",
    ..SOUND
};

const TABLE: Picture = Picture {
    name: "p028-table-laid.jpg",
    words: words("The table laid"),
    ppi: 200,
    truth: "1701 x 2095 px: 200 ppi on a full page (density.least)",
    ..SOUND
};

const TABLE_BROTH: Picture = Picture {
    name: "p029-broth-on-the-table.tif",
    part: quarter_at(1880, 1800),
    kind: FileKind::TiffInks,
    words: words("Barley broth on the table"),
    truth: "CMYK where RGB is asked (colour.model)",
    ..SOUND
};

const OYSTERS: Picture = Picture {
    name: "p030-oyster-board.jpg",
    words: words("Oyster board"),
    truth: "one of two pictures for the same page",
    ..SOUND
};

const OYSTERS_AGAIN: Picture = Picture {
    name: "p030-oyster-board-2.jpg",
    words: words("Oyster board"),
    truth: "the other of two pictures for the same page",
    ..SOUND
};

const OYSTER_DETAIL: Picture = Picture {
    name: "p031-oysters-detail.jpg",
    part: quarter_at(300, 1300),
    fault: Fault::Sideways,
    words: Words { packet: false, ..words("Oysters, close") },
    truth: "stored sideways, orientation tag 6 (file.orientation)",
    ..SOUND
};

const TABLE_TART: Picture = Picture {
    name: "p032-tart-on-the-table.jpg",
    part: quarter_at(400, 2000),
    fault: Fault::CutOff,
    words: words("Plum tart on the table"),
    truth: "ends after nine tenths of its bytes (file.readable)",
    ..SOUND
};

const CREPES: Picture = Picture {
    name: "p034-buckwheat-crepes.jpg",
    words: words("Buckwheat crepes"),
    truth: "PASS: full page with bleed, 300 ppi, sRGB, JPEG 95",
    ..SOUND
};

const CREPES_DETAIL: Picture = Picture {
    name: "p035-crepes-detail.jpg",
    part: quarter_at(560, 900),
    kind: FileKind::Jpeg { quality: 60, chroma: Chroma::Halved },
    words: words("Buckwheat crepes, close"),
    truth: "JPEG quality about 60, 4:2:0 (file.jpeg_quality)",
    ..SOUND
};

const WALL_TABLE: Picture = Picture {
    name: "wall-01-table.jpg",
    ppi: 200,
    words: words("The table laid for all"),
    truth: "PASS: 16 x 20 in at 200 ppi",
    ..SOUND
};

const WALL_OYSTERS: Picture = Picture {
    name: "wall-02-oysters.jpg",
    ppi: 200,
    words: Words { packet: false, ..words("Oyster board") },
    truth: "PASS: 16 x 20 in at 200 ppi",
    ..SOUND
};

/// All files by name, with their truths, in the order of painting.
pub fn truths() -> Vec<(&'static str, &'static str)> {
    let pictures = SHOTS.iter().flat_map(|shot| shot.pictures);
    pictures
        .flat_map(|picture| {
            let twin = picture.twin.map(|name| (name, TWIN_TRUTH));
            [Some((picture.name, picture.truth)), twin].into_iter().flatten()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_there_once_and_every_part_inside_its_painting() {
        let mut names: Vec<&str> = truths().into_iter().map(|(name, _)| name).collect();
        names.sort_unstable();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count);
        for shot in SHOTS {
            for part in shot.pictures.iter().filter_map(|picture| picture.part) {
                assert!(part.left + part.width_px <= shot.frame.width_px);
                assert!(part.top + part.height_px <= shot.frame.height_px);
            }
        }
    }

    #[test]
    fn page_38_stays_missing() {
        assert!(truths().iter().all(|(name, _)| !name.starts_with("p038")));
    }
}
