//! Tests of measuring.

use crate::colour::{NumberConversion, ProfileSpace, SampleSource, ToScreen, lightness_of_codes};
use crate::measure::{Evidence, LineBuffers, SampleMeaning};
use crate::picture::Fault;
use crate::picture::facts::{ColourModel, Orientation};
use crate::picture::pixels::{Band, Bands, SampleLayout, Samples};

/// A picture in memory, read in bands of a chosen height.
struct Fixed {
    layout: SampleLayout,
    eight: Vec<u8>,
    sixteen: Option<Vec<u16>>,
    rows: u32,
    next: u32,
}

impl Bands for Fixed {
    fn layout(&self) -> SampleLayout {
        self.layout
    }

    fn next_band(&mut self) -> Result<Option<Band<'_>>, Fault> {
        let first_row = self.next;
        let rows = self.rows.min(self.layout.height_px - first_row);
        self.next += rows;
        let len = self.layout.row_len();
        let range = first_row as usize * len..(first_row + rows) as usize * len;
        let samples = match &self.sixteen {
            Some(all) => Samples::Sixteen(&all[range]),
            None => Samples::Eight(&self.eight[range]),
        };
        Ok((rows > 0).then_some(Band { first_row, rows, samples }))
    }
}

fn fixed(width_px: u32, height_px: u32, model: ColourModel, has_alpha: bool) -> Fixed {
    let layout = SampleLayout { width_px, height_px, model, has_alpha };
    let eight = (0..layout.row_len() * height_px as usize).map(|i| (i * 7 + i / 13 * 5 + (i * i) % 31) as u8).collect();
    Fixed { layout, eight, sixteen: None, rows: 8, next: 0 }
}

fn measure(picture: &mut Fixed, orientation: Orientation) -> Evidence {
    measure_with(picture, orientation, false)
}

fn measure_with(picture: &mut Fixed, orientation: Orientation, may_use_second_thread: bool) -> Evidence {
    measure_in(&mut LineBuffers::default(), picture, orientation, may_use_second_thread)
}

fn measure_in(
    room: &mut LineBuffers,
    picture: &mut Fixed,
    orientation: Orientation,
    may_use_second_thread: bool,
) -> Evidence {
    let space = match picture.layout.model {
        ColourModel::Grey => ProfileSpace::Grey,
        ColourModel::Cmyk => ProfileSpace::Cmyk,
        _ => ProfileSpace::Rgb,
    };
    let to_screen = ToScreen::new(space, SampleSource::Nothing).unwrap();
    let to_numbers = NumberConversion::new(space, SampleSource::Nothing).unwrap();
    let lightness = lightness_of_codes(space, SampleSource::Nothing);
    let meaning = SampleMeaning { lightness: &lightness, to_screen: &to_screen, to_numbers: &to_numbers };
    super::measure("sha".to_owned(), picture, orientation, meaning, may_use_second_thread, room).unwrap()
}

fn counted(mut picture: Fixed, rows: u32, tag: u32) -> Evidence {
    picture.rows = rows;
    measure(&mut picture, Orientation::from_tag(tag).unwrap())
}

#[test]
fn a_helper_changes_nothing() {
    for model in [ColourModel::Grey, ColourModel::Rgb, ColourModel::Cmyk] {
        let alone = measure(&mut fixed(301, 203, model, false), Orientation::UPRIGHT);
        assert_eq!(measure_with(&mut fixed(301, 203, model, false), Orientation::UPRIGHT, true), alone);
    }
}

#[test]
fn the_room_of_an_earlier_picture_changes_nothing() {
    let mut room = LineBuffers::default();
    // Larger, smaller, another shape; the largest is not kept whole.
    for (w, h) in [(900, 700), (4_000, 2_500), (120, 310), (700, 900)] {
        let found = measure_in(&mut room, &mut fixed(w, h, ColourModel::Rgb, false), Orientation::UPRIGHT, false);
        assert_eq!(found, measure(&mut fixed(w, h, ColourModel::Rgb, false), Orientation::UPRIGHT), "{w} x {h}");
    }
}

#[test]
fn the_band_height_changes_nothing() {
    for (w, h) in [(2500, 1300), (1025, 70), (60, 40)] {
        let whole = counted(fixed(w, h, ColourModel::Rgb, true), h, 1);
        for rows in [1, 7, 8, 64] {
            assert_eq!(counted(fixed(w, h, ColourModel::Rgb, true), rows, 1), whole, "{w} x {h}, {rows} rows");
        }
        assert!(whole.thumbnail.width_px <= 1024 && whole.thumbnail.height_px <= 1024);
    }
}

#[test]
fn the_thinnest_pictures_are_measured_too() {
    for (thin, long) in (1..=5).flat_map(|thin| [1, 9, 400].map(|long| (thin, long))) {
        counted(fixed(thin, long, ColourModel::Grey, false), 8, 1);
        counted(fixed(long, thin, ColourModel::Rgb, true), 8, 6);
    }
}

#[test]
fn sixteen_bits_give_the_picture_of_eight() {
    let eight = counted(fixed(2100, 900, ColourModel::Cmyk, false), 8, 1);
    let mut wide = fixed(2100, 900, ColourModel::Cmyk, false);
    // Full range: 257 x v stands for v. Source: 65535 = 257 x 255.
    wide.sixteen = Some(wide.eight.iter().map(|v| u16::from(*v) * 257).collect());
    let sixteen = counted(wide, 8, 1);
    let pairs = eight.thumbnail.samples.iter().zip(&sixteen.thumbnail.samples);
    assert!(pairs.clone().all(|(a, b)| a.abs_diff(*b) <= 1));
    assert_eq!(eight.thumbnail.samples.len(), sixteen.thumbnail.samples.len());
}

#[test]
fn a_box_is_the_mean_of_its_pixels() {
    // 1025 px across: boxes of 2 x 2, the last one 1 px wide (arithmetic).
    let mut picture = fixed(1025, 2, ColourModel::Grey, false);
    picture.eight.fill(10);
    (picture.eight[0], picture.eight[1], picture.eight[1025], picture.eight[1026]) = (0, 100, 200, 101);
    (picture.eight[1024], picture.eight[2049]) = (20, 41);
    let thumbnail = counted(picture, 1, 1).thumbnail;
    assert_eq!((thumbnail.width_px, thumbnail.height_px), (513, 1));
    assert_eq!((thumbnail.samples[0], thumbnail.samples[1], thumbnail.samples[512]), (100, 10, 31));
}

#[test]
fn the_thumbnail_is_upright() {
    // Exif tag 6: the stored left column becomes the top row.
    let mut picture = fixed(3, 2, ColourModel::Grey, false);
    picture.eight = vec![1, 2, 3, 4, 5, 6];
    let thumbnail = counted(picture, 8, 6).thumbnail;
    assert_eq!((thumbnail.width_px, thumbnail.height_px), (2, 3));
    assert_eq!(thumbnail.samples, [4, 1, 5, 2, 6, 3]);
}

#[test]
fn alpha_below_full_hides_and_is_left_out_of_the_small_picture() {
    let mut picture = fixed(4, 1, ColourModel::Grey, true);
    picture.eight = vec![9, 255, 8, 254, 7, 0, 6, 255];
    let counted = counted(picture, 8, 1);
    assert_eq!(counted.alpha_hides, Some(0.5));
    assert_eq!(counted.thumbnail.samples, [9, 8, 7, 6]);
    assert_eq!(measure(&mut fixed(4, 4, ColourModel::Rgb, false), Orientation::UPRIGHT).alpha_hides, None);
}
