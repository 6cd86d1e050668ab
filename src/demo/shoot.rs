//! The invented shoot: its pictures, how each is framed and saved, and the one thing that is right or wrong with it.
//! One painting may give several pictures (whole, and details at full resolution). Sizes at 300 ppi with 3 mm bleed:
//! full page 216 x 266 mm = 2551 x 3142 px, half page 216 x 136 mm = 2551 x 1606 px, quarter 111 x 136 mm = 1311 x 1606
//! px, note card 106 x 136 mm = 1252 x 1606 px, folded card 154 x 111 mm = 1819 x 1311 px, place card 66 x 86 mm = 780
//! x 1016 px.
//!
//! There is no picture for page 38 (seaweed butter): the brief requires one, and it stays missing.

mod book;
mod cards;
mod views;

use painter::{ColourSpace, Frame, Scene, dishes};

use super::picture::Picture;
use super::truth::Known;

/// Edition number, raised when a byte of any picture changes.
pub const EDITION: u32 = 4;

/// A painting and the pictures cut from it.
pub struct Shot {
    pub scene: fn() -> Scene,
    pub frame: Frame,
    /// Time of exposure, in Exif's format.
    pub taken: &'static str,
    pub pictures: &'static [Picture],
}

const fn shot(scene: fn() -> Scene, frame: Frame, taken: &'static str, pictures: &'static [Picture]) -> Shot {
    Shot { scene, frame, taken, pictures }
}

const FULL: Frame = Frame::new(2551, 3142);
const HALF: Frame = Frame::new(2551, 1606);
const WIDE_GAMUT_HALF: Frame = Frame { colour_space: ColourSpace::AdobeRgb, ..HALF };
const WALL: Frame = Frame::new(2560, 3200);
const CARD: Frame = Frame::new(cards::CARD_PX.0, cards::CARD_PX.1);
const FOLDED: Frame = Frame::new(1819, 1311);
const PLACE: Frame = Frame::new(780, 1016);
/// A note card's size divided by its enlargement, rounded up.
const SMALL_CARD: Frame = Frame::new(696, 893);
const TART_CARD: Frame = Frame { shift_px: (-111.0, 0.0), ..CARD };
const BROTH_CARD: Frame = Frame { shift_px: (0.0, 304.0), ..CARD };

/// The shots in order of painting: quick ones first, so that the live table soon has something to show; the two largest
/// apart from each other, since each takes about 260 MB while it is painted; small ones last, so that no core waits
/// long for the other.
pub const SHOTS: &[Shot] = &[
    shot(views::oysters_card, SMALL_CARD, "2026:11:03 14:05:12", &[cards::ENLARGED_OYSTERS]),
    shot(views::beetroot_close, Frame::new(1311, 1967), "2026:11:02 12:12:40", &[book::BEETROOT_DETAIL]),
    shot(views::table_corner, Frame::new(1701, 2095), "2026:11:04 13:02:09", &[book::TABLE]),
    shot(dishes::mackerel, HALF, "2026:11:03 09:48:31", &[book::MACKEREL, cards::SOFT_MACKEREL]),
    shot(dishes::leeks, HALF, "2026:11:03 11:30:55", &[book::LEEKS, cards::BLOCKY_LEEKS]),
    shot(dishes::plum_tart, FULL, "2026:11:02 10:21:07", &[book::TART, book::TART_DETAIL, book::TART_SLICES]),
    shot(dishes::beetroot, WIDE_GAMUT_HALF, "2026:11:02 12:02:18", &[book::BEETROOT]),
    shot(
        dishes::long_table,
        WALL,
        "2026:11:04 12:40:26",
        &[book::WALL_TABLE, book::TABLE_BROTH, book::TABLE_TART, cards::BLOCKY_TABLE],
    ),
    shot(dishes::barley_broth, FULL, "2026:11:02 15:37:44", &[book::BROTH, book::BROTH_DETAIL, cards::RED_BROTH]),
    shot(views::oysters_across, HALF, "2026:11:03 13:33:02", &[book::OYSTERS, cards::GRAINY_OYSTERS]),
    shot(
        dishes::buckwheat_crepes,
        FULL,
        "2026:11:04 09:15:20",
        &[book::CREPES, book::CREPES_DETAIL, cards::BORDERED_CREPES],
    ),
    shot(
        dishes::oyster_board,
        WALL,
        "2026:11:03 13:52:47",
        &[book::WALL_OYSTERS, book::OYSTER_DETAIL, cards::WET_OYSTERS],
    ),
    shot(
        views::mackerel_close,
        Frame::new(2480, 3071),
        "2026:11:03 10:06:13",
        &[book::MACKEREL_CLOSE, cards::EVENING_RYE],
    ),
    shot(views::oysters_again, HALF, "2026:11:03 13:40:38", &[book::OYSTERS_AGAIN]),
    shot(views::tart_across, FOLDED, "2026:11:02 10:58:51", &[cards::FOLDED_TART]),
    shot(views::tart_card, TART_CARD, "2026:11:02 11:10:05", &[cards::TART_IN_TRIM]),
    shot(views::leeks_card, CARD, "2026:11:03 11:52:29", &[cards::SUNLIT_LEEKS]),
    shot(views::broth_card, BROTH_CARD, "2026:11:02 16:04:16", &[cards::BROTH_IN_SAFE]),
    shot(views::crepes_card, CARD, "2026:11:04 09:41:57", &[cards::SHARPENED_CREPES]),
    shot(views::place::<0>, PLACE, "2026:11:04 15:10:21", &[cards::PLACE_TART]),
    shot(views::place::<1>, PLACE, "2026:11:04 15:12:03", &[cards::PLACE_BROTH]),
    shot(views::place::<2>, PLACE, "2026:11:04 15:13:40", &[cards::PLACE_JUG]),
    shot(views::place::<4>, PLACE, "2026:11:04 15:15:22", &[cards::PLACE_PLATE]),
    shot(views::place::<3>, PLACE, "2026:11:04 15:17:08", &[cards::PLACE_KNIFE]),
    shot(views::place::<5>, PLACE, "2026:11:04 15:18:49", &[cards::PLACE_WARM]),
    shot(views::first_place_again, PLACE, "2026:11:04 15:10:24", &[cards::PLACE_TART_AGAIN]),
];

/// The finding that a check must make about a twin.
pub const TWIN_EXPECTED: &str = "EXTRA: no print takes it; the same bytes as another (set.duplicate)";

/// Returns all known facts about each file, in the order of painting.
pub fn known() -> Vec<Known> {
    let pictures = SHOTS.iter().flat_map(|shot| shot.pictures);
    let both = |picture: &Picture| {
        let Picture { name, expected, truth, dish, .. } = *picture;
        let twin = picture.twin.map(|name| Known { name, expected: TWIN_EXPECTED, truth, dish });
        [Some(Known { name, expected, truth, dish }), twin].into_iter().flatten()
    };
    pictures.flat_map(both).collect()
}

/// Returns all files by name with their truths in words, in the order of painting.
pub fn truths() -> Vec<(&'static str, &'static str)> {
    known().iter().map(|known| (known.name, known.expected)).collect()
}

#[cfg(test)]
mod tests {
    use painter::{Vec3, vec3};

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

    /// Circles round the vertical axis, radius and height in units of 10 cm, that bound each dish: plates, and a bowl's
    /// rim.
    const ROUND: &[(&str, &[(f32, f32)])] = &[
        (cards::SUNLIT_LEEKS.name, &[(1.78, 0.15)]),
        (cards::TART_IN_TRIM.name, &[(1.62, 0.15)]),
        (cards::BROTH_IN_SAFE.name, &[(1.66, 0.15), (1.20, 0.77)]),
        (cards::FOLDED_TART.name, &[(1.62, 0.15)]),
    ];

    /// Returns a point on a circle round the vertical axis.
    fn round(bearing: f32, radius: f32, height: f32) -> Vec3 {
        vec3(radius * bearing.cos(), height, radius * bearing.sin())
    }

    #[test]
    fn the_boxes_are_where_the_dishes_are() {
        let with_box = known().into_iter().filter_map(|known| Some((known.name, known.dish?)));
        let (mut count, mut wrong) = (0, Vec::new());
        for (name, dish) in with_box {
            let shot = SHOTS.iter().find(|shot| shot.pictures[0].name == name).expect("a painting of its own");
            let (_, circles) = ROUND.iter().find(|(other, _)| *other == name).expect("a size");
            let (width, height) = (shot.frame.width_px, shot.frame.height_px);
            let camera = (shot.scene)().camera;
            let mut found = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
            for (radius, high) in *circles {
                for step in 0..360 {
                    let (x, y) = camera.project(round((step as f32).to_radians(), *radius, *high), &shot.frame);
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
