//! The invented shoot: which pictures there are, how each is framed and saved, and the one thing
//! that is right or wrong with it. One painting may give several pictures (whole, and details
//! at full resolution). Sizes at 300 ppi with 3 mm bleed: full page 216 x 266 mm = 2551 x 3142 px,
//! half page 216 x 136 mm = 2551 x 1606 px, quarter 111 x 136 mm = 1311 x 1606 px, note card 106 x 136 mm =
//! 1252 x 1606 px, folded card 154 x 111 mm = 1819 x 1311 px, place card 66 x 86 mm = 780 x 1016 px.
//!
//! No picture is made for page 38 (seaweed butter): the brief asks for it and it stays missing.
mod book;
mod cards;

use super::darkroom::Treatment;
use super::dishes::cards as card;
use super::dishes::{barley_broth, beetroot, buckwheat_crepes, leeks, mackerel, oyster_board, plum_tart, spread};
use super::painting::{Frame, Gamut, Part};
use super::tree::Scene;
use super::truth::{DishBox, Known, Truth};

pub const CREATOR: &str = "Imogen Tarrow";
pub const RIGHTS: &str = "(c) 2026 Fennimore Quay Cookery School";
/// Raised whenever a byte of any picture changes.
pub const EDITION: u32 = 3;

/// One painting and the pictures cut from it.
pub struct Shot {
    pub scene: fn() -> Scene,
    pub frame: Frame,
    /// When the shutter fell, as Exif writes it.
    pub taken: &'static str,
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
    /// What was done to it before it was saved.
    pub treatment: Treatment,
    pub fault: Fault,
    /// Another name under which the same bytes lie there too.
    pub twin: Option<&'static str>,
    /// What a check of it has to find.
    pub truth: &'static str,
    /// The same in numbers.
    pub sized: Truth,
    /// Where the dish is, if its place matters.
    pub dish: Option<DishBox>,
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
    treatment: Treatment::Nothing,
    fault: Fault::Nothing,
    twin: None,
    truth: "PASS",
    sized: Truth::Sound,
    dish: None,
};

const fn words(caption: &'static str) -> Words {
    Words { caption, credited: true, located: false, packet: true }
}

const fn frame(width_px: usize, height_px: usize) -> Frame {
    Frame { width_px, height_px, shift_px: (0.0, 0.0), gamut: Gamut::Srgb }
}

const fn shot(scene: fn() -> Scene, frame: Frame, taken: &'static str, pictures: &'static [Picture]) -> Shot {
    Shot { scene, frame, taken, pictures }
}

const FULL: Frame = frame(2551, 3142);
const HALF: Frame = frame(2551, 1606);
const WIDE_GAMUT_HALF: Frame = Frame { gamut: Gamut::AdobeRgb, ..HALF };
const WALL: Frame = frame(2560, 3200);
const CARD: Frame = frame(cards::CARD_PX.0, cards::CARD_PX.1);
const FOLDED: Frame = frame(1819, 1311);
const PLACE: Frame = frame(780, 1016);
/// A note card's size divided by its enlargement, rounded up.
const SMALL_CARD: Frame = frame(696, 893);
const TART_CARD: Frame = Frame { shift_px: (-111.0, 0.0), ..CARD };
const BROTH_CARD: Frame = Frame { shift_px: (0.0, 304.0), ..CARD };

/// In the order of painting: quick ones first, so that the desk has something to show at once;
/// the two largest apart from each other, since each takes about 260 MB while it is painted;
/// small ones last, so that no core waits long for the other.
pub const SHOTS: &[Shot] = &[
    shot(card::oysters, SMALL_CARD, "2026:11:03 14:05:12", &[cards::ENLARGED_OYSTERS]),
    shot(beetroot::close_scene, frame(1311, 1967), "2026:11:02 12:12:40", &[book::BEETROOT_DETAIL]),
    shot(spread::corner_scene, frame(1701, 2095), "2026:11:04 13:02:09", &[book::TABLE]),
    shot(mackerel::scene, HALF, "2026:11:03 09:48:31", &[book::MACKEREL, cards::SOFT_MACKEREL]),
    shot(leeks::scene, HALF, "2026:11:03 11:30:55", &[book::LEEKS, cards::BLOCKY_LEEKS]),
    shot(plum_tart::scene, FULL, "2026:11:02 10:21:07", &[book::TART, book::TART_DETAIL, book::TART_SLICES]),
    shot(beetroot::scene, WIDE_GAMUT_HALF, "2026:11:02 12:02:18", &[book::BEETROOT]),
    shot(
        spread::scene,
        WALL,
        "2026:11:04 12:40:26",
        &[book::WALL_TABLE, book::TABLE_BROTH, book::TABLE_TART, cards::BLOCKY_TABLE],
    ),
    shot(barley_broth::scene, FULL, "2026:11:02 15:37:44", &[book::BROTH, book::BROTH_DETAIL, cards::RED_BROTH]),
    shot(oyster_board::wide_scene, HALF, "2026:11:03 13:33:02", &[book::OYSTERS, cards::GRAINY_OYSTERS]),
    shot(
        buckwheat_crepes::scene,
        FULL,
        "2026:11:04 09:15:20",
        &[book::CREPES, book::CREPES_DETAIL, cards::BORDERED_CREPES],
    ),
    shot(
        oyster_board::scene,
        WALL,
        "2026:11:03 13:52:47",
        &[book::WALL_OYSTERS, book::OYSTER_DETAIL, cards::WET_OYSTERS],
    ),
    shot(mackerel::close_scene, frame(2480, 3071), "2026:11:03 10:06:13", &[book::MACKEREL_CLOSE, cards::EVENING_RYE]),
    shot(oyster_board::second_scene, HALF, "2026:11:03 13:40:38", &[book::OYSTERS_AGAIN]),
    shot(card::tart_across, FOLDED, "2026:11:02 10:58:51", &[cards::FOLDED_TART]),
    shot(card::tart, TART_CARD, "2026:11:02 11:10:05", &[cards::TART_IN_TRIM]),
    shot(card::leeks, CARD, "2026:11:03 11:52:29", &[cards::SUNLIT_LEEKS]),
    shot(card::broth, BROTH_CARD, "2026:11:02 16:04:16", &[cards::BROTH_IN_SAFE]),
    shot(card::crepes, CARD, "2026:11:04 09:41:57", &[cards::SHARPENED_CREPES]),
    shot(card::place::<0>, PLACE, "2026:11:04 15:10:21", &[cards::PLACE_TART]),
    shot(card::place::<1>, PLACE, "2026:11:04 15:12:03", &[cards::PLACE_BROTH]),
    shot(card::place::<2>, PLACE, "2026:11:04 15:13:40", &[cards::PLACE_JUG]),
    shot(card::place::<4>, PLACE, "2026:11:04 15:15:22", &[cards::PLACE_PLATE]),
    shot(card::place::<3>, PLACE, "2026:11:04 15:17:08", &[cards::PLACE_KNIFE]),
    shot(card::place::<5>, PLACE, "2026:11:04 15:18:49", &[cards::PLACE_WARM]),
    shot(card::first_place_again, PLACE, "2026:11:04 15:10:24", &[cards::PLACE_TART_AGAIN]),
];

/// What a check has to find about a twin.
pub const TWIN_TRUTH: &str = "EXTRA: no print asks for it; the same bytes as another (set.duplicate)";

/// Everything known about each file, in the order of painting.
pub fn known() -> Vec<Known> {
    let pictures = SHOTS.iter().flat_map(|shot| shot.pictures);
    let both = |picture: &Picture| {
        let Picture { name, truth: said, sized: truth, dish, .. } = *picture;
        let twin = picture.twin.map(|name| Known { name, said: TWIN_TRUTH, truth, dish });
        [Some(Known { name, said, truth, dish }), twin].into_iter().flatten()
    };
    pictures.flat_map(both).collect()
}

/// All files by name, with their truths in words, in the order of painting.
pub fn truths() -> Vec<(&'static str, &'static str)> {
    known().iter().map(|known| (known.name, known.said)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::camera::View;
    use crate::demo::dishes::props::round;

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

    /// Circles round the upright, radius and height in units of 10 cm, that bound each dish: plates, and a bowl's rim.
    const ROUND: &[(&str, &[(f32, f32)])] = &[
        (cards::SUNLIT_LEEKS.name, &[(1.78, 0.15)]),
        (cards::TART_IN_TRIM.name, &[(1.62, 0.15)]),
        (cards::BROTH_IN_SAFE.name, &[(1.66, 0.15), (1.20, 0.77)]),
        (cards::FOLDED_TART.name, &[(1.62, 0.15)]),
    ];

    #[test]
    fn the_boxes_are_where_the_dishes_are() {
        let with_box = known().into_iter().filter_map(|known| Some((known.name, known.dish?)));
        let (mut count, mut wrong) = (0, Vec::new());
        for (name, dish) in with_box {
            let shot = SHOTS.iter().find(|shot| shot.pictures[0].name == name).expect("a painting of its own");
            let (_, circles) = ROUND.iter().find(|(other, _)| *other == name).expect("a size");
            let (width, height) = (shot.frame.width_px, shot.frame.height_px);
            let view = View::new(&(shot.scene)().look, width, height, shot.frame.shift_px);
            let mut found = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
            for (radius, high) in *circles {
                for step in 0..360 {
                    let (x, y) = view.seen(round((step as f32).to_radians(), *radius, *high));
                    let (x, y) = (f64::from(x) / width as f64, f64::from(y) / height as f64);
                    found = [found[0].min(x), found[1].min(y), found[2].max(x), found[3].max(y)];
                }
            }
            let said = [dish.left, dish.top, dish.right, dish.bottom];
            if found.iter().zip(said).any(|(found, said)| (found - said).abs() > 0.001) {
                wrong.push(format!("{name}: {found:.4?} but {said:?}"));
            }
            count += 1;
        }
        assert!(wrong.is_empty(), "{wrong:#?}");
        assert_eq!(count, ROUND.len());
    }
}
