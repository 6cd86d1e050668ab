//! TIFF: uncompressed strips (grain does not compress), density, credit and profile as tags.
use std::io::Cursor;

use tiff::TiffResult;
use tiff::encoder::colortype::{CMYK8, ColorType, RGB16};
use tiff::encoder::{Rational, TiffEncoder, TiffValue};
use tiff::tags::{ResolutionUnit, Tag};

use super::Labels;
use crate::demo::painting::Painted;
use crate::demo::shoot::{CREATOR, RIGHTS};
use crate::picture::tiff_undefined::Undefined;

const ROWS_PER_STRIP: u32 = 64;

pub(super) fn write_rgb16(painted: &Painted, labels: &Labels) -> Result<Vec<u8>, String> {
    encoded::<RGB16>(painted, labels, painted.rgb16()).map_err(|error| error.to_string())
}

/// Four inks of 8 bits.
pub(super) fn write_inks(painted: &Painted, labels: &Labels) -> Result<Vec<u8>, String> {
    encoded::<CMYK8>(painted, labels, &painted.cmyk8()).map_err(|error| error.to_string())
}

fn encoded<C: ColorType>(painted: &Painted, labels: &Labels, rows: &[C::Inner]) -> TiffResult<Vec<u8>>
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
    if labels.words.credited {
        directory.write_tag(Tag::Artist, CREATOR)?;
        directory.write_tag(Tag::Copyright, RIGHTS)?;
    }
    if let Some(profile) = labels.profile {
        directory.write_tag(Tag::IccProfile, Undefined(profile))?;
    }
    image.write_data(rows)?;
    Ok(bytes.into_inner())
}
