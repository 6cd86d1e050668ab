//! PNG: density in pHYs, the profile in iCCP, Exif in eXIf, XMP in iTXt.

use painter::Image;
use png::{BitDepth, ColorType, Compression, Encoder, Info, PixelDimensions, Unit};

use super::labels::Labels;

const XMP_KEYWORD: &str = "XML:com.adobe.xmp";

pub(super) fn write(painted: &Image, labels: &Labels) -> Result<Vec<u8>, String> {
    encode(painted, labels).map_err(|error| error.to_string())
}

fn encode(painted: &Image, labels: &Labels) -> Result<Vec<u8>, png::EncodingError> {
    let per_metre = (f64::from(labels.ppi) / 0.0254).round() as u32;
    let mut info = Info::with_size(painted.width_px as u32, painted.height_px as u32);
    info.color_type = ColorType::Rgb;
    info.bit_depth = BitDepth::Eight;
    info.pixel_dims = Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter });
    info.icc_profile = labels.profile.map(|profile| profile.to_vec().into());
    info.exif_metadata = Some(labels.exif.clone().into());
    let mut bytes = Vec::new();
    let mut encoder = Encoder::with_info(&mut bytes, info)?;
    encoder.set_compression(Compression::Fast);
    if let Some(packet) = &labels.packet {
        encoder.add_itxt_chunk(XMP_KEYWORD.to_owned(), packet.clone())?;
    }
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&painted.to_rgb8())?;
    writer.finish()?;
    Ok(bytes)
}
