//! A sheet as a file: 8-bit JPEG, TIFF or PNG, with its profile and its density.

use std::io::Cursor;

use exif::experimental::Writer as ExifWriter;
use exif::{Field, In, Rational as ExifRational, Tag as ExifTag, Value};
use jpeg_encoder::{ColorType, Encoder, PixelDensity, PixelDensityUnit, SamplingFactor};
use tiff::encoder::colortype::{CMYK8, ColorType as TiffColour, Gray8, RGB8};
use tiff::encoder::{Rational, TiffEncoder};
use tiff::tags::{ResolutionUnit, Tag};

use crate::colour::{ProfileSpace, SheetColours};
use crate::picture::cutout::Cutout;
use crate::picture::tiff_undefined::Undefined;
use crate::units::Ppi;

/// JPEG quality: no visible loss.
const QUALITY: u8 = 98;
/// Parts of a pixel per inch in which densities are written.
const PARTS: f64 = 1000.0;
/// Metres in an inch.
const INCH_M: f64 = 0.0254;
/// Rows per strip of a TIFF.
const STRIP_ROWS: u32 = 64;
/// Code for pixels per inch, in Exif. Source: Exif 2.3, tag 0x0128.
const PER_INCH: u16 = 2;

/// The container of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Container {
    /// JPEG of the best quality, without chroma subsampling.
    Jpeg,
    /// Uncompressed TIFF.
    Tiff,
    /// PNG.
    Png,
}

impl Container {
    /// Returns the first container that the brief accepts and that can hold the samples: for inks only TIFF.
    pub fn of(formats: &[&str], samples: ProfileSpace) -> Container {
        match samples {
            ProfileSpace::Cmyk => Container::Tiff,
            _ if formats.is_empty() || formats.contains(&"jpeg") => Container::Jpeg,
            _ if formats.contains(&"tiff") => Container::Tiff,
            _ => Container::Png,
        }
    }

    /// Returns the file extension.
    pub const fn extension(self) -> &'static str {
        match self {
            Container::Jpeg => "jpg",
            Container::Tiff => "tif",
            Container::Png => "png",
        }
    }

    /// Encodes the file.
    ///
    /// # Errors
    /// The encoder's error, in words.
    pub fn encode(self, pixels: &Cutout, colours: &SheetColours<'_>, ppi: Ppi) -> Result<Vec<u8>, String> {
        match self {
            Container::Jpeg => jpeg(pixels, colours, ppi),
            Container::Png => png(pixels, colours, ppi).map_err(|_| format_error()),
            Container::Tiff => match colours.sample_space() {
                ProfileSpace::Grey => tiff::<Gray8>(pixels, colours, ppi),
                ProfileSpace::Cmyk => tiff::<CMYK8>(pixels, colours, ppi),
                _ => tiff::<RGB8>(pixels, colours, ppi),
            },
        }
    }
}

fn format_error() -> String {
    "it would have too many pixels".to_owned()
}

/// Returns a density in thousandths.
fn parts(ppi: Ppi) -> u32 {
    (ppi.as_f64() * PARTS).round() as u32
}

/// Encodes a JPEG. The density is written twice: rounded in APP0, which holds no fractions, and exactly in Exif.
fn jpeg(pixels: &Cutout, colours: &SheetColours<'_>, ppi: Ppi) -> Result<Vec<u8>, String> {
    let side = |px: u32| u16::try_from(px).map_err(|_| format!("a JPEG has at most 65,535 pixels a side, not {px}"));
    let (width, height) = (side(pixels.width)?, side(pixels.height)?);
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::R_4_4_4);
    let whole = ppi.as_f64().round().clamp(1.0, f64::from(u16::MAX)) as u16;
    encoder.set_density(PixelDensity { density: (whole, whole), unit: PixelDensityUnit::Inches });
    let model = if colours.sample_space() == ProfileSpace::Grey { ColorType::Luma } else { ColorType::Rgb };
    let mut encode = || -> Result<(), jpeg_encoder::EncodingError> {
        encoder.add_exif_metadata(&exif(ppi))?;
        encoder.add_icc_profile(colours.profile())
    };
    encode().map_err(|_| "its profile is too large for a JPEG".to_owned())?;
    encoder.encode(&pixels.samples, width, height, model).map_err(|_| format_error())?;
    Ok(bytes)
}

fn exif(ppi: Ppi) -> Vec<u8> {
    let density = || Value::Rational(vec![ExifRational { num: parts(ppi), denom: PARTS as u32 }]);
    let field = |tag, value| Field { tag, ifd_num: In::PRIMARY, value };
    let fields = [
        field(ExifTag::XResolution, density()),
        field(ExifTag::YResolution, density()),
        field(ExifTag::ResolutionUnit, Value::Short(vec![PER_INCH])),
    ];
    let mut writer = ExifWriter::new();
    fields.iter().for_each(|field| writer.push_field(field));
    let mut bytes = Cursor::new(Vec::new());
    writer.write(&mut bytes, true).expect("three plain tags are written to memory");
    bytes.into_inner()
}

fn tiff<C: TiffColour<Inner = u8>>(pixels: &Cutout, colours: &SheetColours<'_>, ppi: Ppi) -> Result<Vec<u8>, String> {
    let mut bytes = Cursor::new(Vec::new());
    let mut write = || -> tiff::TiffResult<()> {
        let mut encoder = TiffEncoder::new(&mut bytes)?;
        let mut image = encoder.new_image::<C>(pixels.width, pixels.height)?;
        image.rows_per_strip(STRIP_ROWS)?;
        image.resolution(ResolutionUnit::Inch, Rational { n: parts(ppi), d: PARTS as u32 });
        image.encoder().write_tag(Tag::Orientation, 1u16)?;
        image.encoder().write_tag(Tag::IccProfile, Undefined(colours.profile()))?;
        image.write_data(&pixels.samples)
    };
    write().map_err(|_| format_error())?;
    Ok(bytes.into_inner())
}

fn png(pixels: &Cutout, colours: &SheetColours<'_>, ppi: Ppi) -> Result<Vec<u8>, png::EncodingError> {
    let per_metre = (ppi.as_f64() / INCH_M).round() as u32;
    let mut info = png::Info::with_size(pixels.width, pixels.height);
    info.bit_depth = png::BitDepth::Eight;
    info.color_type =
        if colours.sample_space() == ProfileSpace::Grey { png::ColorType::Grayscale } else { png::ColorType::Rgb };
    info.pixel_dims = Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter });
    info.icc_profile = Some(colours.profile().to_vec().into());
    let mut bytes = Vec::new();
    let mut writer = png::Encoder::with_info(&mut bytes, info)?.write_header()?;
    writer.write_image_data(&pixels.samples)?;
    writer.finish()?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Encoding, SheetSpace};
    use crate::picture::facts::EmbeddedProfile;
    use crate::picture::read_facts_from;

    fn read(container: Container, space: SheetSpace<'_>) -> crate::picture::Facts {
        let colours = SheetColours::new(space);
        let pixels = Cutout { width: 8, height: 6, samples: vec![90; 48 * colours.channels()] };
        let ppi = Ppi::from_ratio(num_rational::Ratio::new(28_673, 100)).unwrap();
        let bytes = container.encode(&pixels, &colours, ppi).unwrap();
        let length = bytes.len() as u64;
        read_facts_from(&mut Cursor::new(bytes), length).unwrap()
    }

    #[test]
    fn every_container_carries_the_profile_and_the_density() {
        for container in [Container::Jpeg, Container::Tiff, Container::Png] {
            let facts = read(container, SheetSpace::Rgb(Encoding::AdobeRgb));
            assert_eq!(facts.encoding(), Some(Encoding::AdobeRgb), "{container:?}");
            let (across, _) = facts.upright_resolution().unwrap();
            assert!((across - 286.73).abs() < 0.3, "{container:?}: {across}");
            assert!(matches!(read(container, SheetSpace::Grey).profile, EmbeddedProfile::Embedded(_)), "{container:?}");
        }
    }

    #[test]
    fn the_brief_decides_the_container_and_inks_are_tiff() {
        assert_eq!(Container::of(&["tiff", "jpeg"], ProfileSpace::Rgb), Container::Jpeg);
        assert_eq!(Container::of(&["tiff"], ProfileSpace::Grey), Container::Tiff);
        assert_eq!(Container::of(&["png"], ProfileSpace::Rgb), Container::Png);
        assert_eq!(Container::of(&["jpeg"], ProfileSpace::Cmyk), Container::Tiff);
    }
}
