//! TIFF: uncompressed strips (grain does not compress), density, credit and profile as tags.

use std::io::Cursor;

use painter::Image;
use tiff::TiffResult;
use tiff::encoder::colortype::{CMYK8, ColorType, RGB16};
use tiff::encoder::{Rational, TiffEncoder, TiffValue};
use tiff::tags::{ResolutionUnit, Tag};

use super::labels::Labels;
use crate::demo::picture::{CREATOR, RIGHTS};
use crate::picture::tiff_undefined::Undefined;

const ROWS_PER_STRIP: u32 = 64;

pub(super) fn write_rgb16(painted: &Image, labels: &Labels) -> Result<Vec<u8>, String> {
    encode::<RGB16>(painted, labels, painted.rgb16()).map_err(|error| error.to_string())
}

/// Writes four inks of 8 bits.
pub(super) fn write_inks(painted: &Image, labels: &Labels) -> Result<Vec<u8>, String> {
    encode::<CMYK8>(painted, labels, &cmyk8(painted)).map_err(|error| error.to_string())
}

fn encode<C: ColorType>(painted: &Image, labels: &Labels, rows: &[C::Inner]) -> TiffResult<Vec<u8>>
where
    [C::Inner]: TiffValue,
{
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut bytes)?;
    let size = (painted.width_px as u32, painted.height_px as u32);
    let mut image = encoder.new_image::<C>(size.0, size.1)?;
    image.rows_per_strip(ROWS_PER_STRIP)?;
    image.resolution(ResolutionUnit::Inch, Rational { n: u32::from(labels.ppi), d: 1 });
    let directory = image.encoder();
    directory.write_tag(Tag::ImageDescription, labels.words.caption)?;
    directory.write_tag(Tag::Orientation, 1u16)?;
    directory.write_tag(Tag::DateTime, labels.taken)?;
    if labels.words.is_credited {
        directory.write_tag(Tag::Artist, CREATOR)?;
        directory.write_tag(Tag::Copyright, RIGHTS)?;
    }
    if let Some(profile) = labels.profile {
        directory.write_tag(Tag::IccProfile, Undefined(profile))?;
    }
    image.write_data(rows)?;
    Ok(bytes.into_inner())
}

/// Converts naively to inks, 8 bits each, 255 for full ink, as a careless conversion does.
fn cmyk8(painted: &Image) -> Vec<u8> {
    let inks = |pixel: &[u16]| {
        let ink = [pixel[0], pixel[1], pixel[2]].map(|level| 255 - (u32::from(level) + 128) / 257);
        let black = ink[0].min(ink[1]).min(ink[2]);
        let rest = |ink: u32| {
            if black == 255 { 0 } else { ((ink - black) * 255 / (255 - black)) as u8 }
        };
        [rest(ink[0]), rest(ink[1]), rest(ink[2]), black as u8]
    };
    painted.rgb16().chunks_exact(3).flat_map(inks).collect()
}

#[cfg(test)]
mod tests {
    use painter::ColourSpace;

    use super::*;

    #[test]
    fn white_takes_no_ink_and_grey_only_black() {
        let levels = vec![65535, 65535, 65535, 0, 128, 129];
        let inks = cmyk8(&Image::new(2, 1, ColourSpace::Srgb, levels));
        assert_eq!(inks[..4], [0, 0, 0, 0]);
        assert_eq!(inks[7], 254);
    }
}
