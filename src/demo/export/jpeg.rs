//! JPEG: density in APP0, Exif and XMP in APP1, the profile in APP2.

use jpeg_encoder::{ColorType, Encoder, PixelDensity, PixelDensityUnit, SamplingFactor};

use painter::Image;

use super::labels::Labels;
use crate::demo::picture::Chroma;

const XMP_HEADER: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";

pub(super) fn write(painted: &Image, labels: &Labels, quality: u8, chroma: Chroma) -> Result<Vec<u8>, String> {
    encode(painted, labels, quality, chroma).map_err(|error| error.to_string())
}

fn encode(
    painted: &Image,
    labels: &Labels,
    quality: u8,
    chroma: Chroma,
) -> Result<Vec<u8>, jpeg_encoder::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, quality);
    encoder.set_sampling_factor(match chroma {
        Chroma::Full => SamplingFactor::R_4_4_4,
        Chroma::Halved => SamplingFactor::R_4_2_0,
    });
    encoder.set_density(PixelDensity { density: (labels.ppi, labels.ppi), unit: PixelDensityUnit::Inches });
    encoder.add_exif_metadata(&labels.exif)?;
    if let Some(packet) = &labels.packet {
        encoder.add_app_segment(1, [XMP_HEADER, packet.as_bytes()].concat())?;
    }
    if let Some(profile) = labels.profile {
        encoder.add_icc_profile(profile)?;
    }
    let (width, height) = (painted.width_px as u16, painted.height_px as u16);
    encoder.encode(&painted.to_rgb8(), width, height, ColorType::Rgb)?;
    Ok(bytes)
}
