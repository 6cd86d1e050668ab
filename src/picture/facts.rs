//! Facts of a picture file, from its header and metadata, without decoding a pixel.

use serde::{Deserialize, Serialize};

use crate::colour::{Encoding, ProfileFacts};

use super::capture_time::CaptureTime;
use super::claim::Claim;
pub use super::orientation::Orientation;

/// A container that a print picture may come in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Format {
    /// ITU-T T.81.
    Jpeg,
    /// TIFF 6.0, BigTIFF too.
    Tiff,
    /// W3C PNG Third Edition.
    Png,
}

impl Format {
    /// Every container, in the order a brief lists them.
    pub const ALL: [Format; 3] = [Format::Tiff, Format::Jpeg, Format::Png];

    /// Returns the name that export dialogs use.
    pub const fn name(self) -> &'static str {
        match self {
            Format::Jpeg => "JPEG",
            Format::Tiff => "TIFF",
            Format::Png => "PNG",
        }
    }

    /// Returns the word in a brief and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Format::Jpeg => "jpeg",
            Format::Tiff => "tiff",
            Format::Png => "png",
        }
    }

    /// Returns the extensions that say this format, lower case; the first is the customary one.
    pub const fn extensions(self) -> &'static [&'static str] {
        match self {
            Format::Jpeg => &["jpg", "jpeg"],
            Format::Tiff => &["tif", "tiff"],
            Format::Png => &["png"],
        }
    }
}

/// How the samples are packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Compression {
    /// Not compressed.
    None,
    /// LZW: TIFF compression 5.
    Lzw,
    /// Deflate: TIFF compression 8 and 32946, and PNG.
    Deflate,
    /// PackBits: TIFF compression 32773.
    PackBits,
    /// JPEG: TIFF compression 7, and JPEG files.
    Jpeg,
    /// Anything else, by its TIFF number.
    Other(u16),
}

impl Compression {
    /// Returns the word in JSON and on the screen.
    pub fn word(self) -> String {
        match self {
            Compression::None => "none".to_owned(),
            Compression::Lzw => "lzw".to_owned(),
            Compression::Deflate => "deflate".to_owned(),
            Compression::PackBits => "packbits".to_owned(),
            Compression::Jpeg => "jpeg".to_owned(),
            Compression::Other(n) => format!("number {n}"),
        }
    }
}

/// The colour model of the stored samples.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum ColourModel {
    /// Red, green, blue (a YCbCr JPEG counts as RGB).
    #[default]
    Rgb,
    /// One channel of lightness.
    Grey,
    /// Four inks.
    Cmyk,
    /// CIELAB.
    Lab,
    /// A colour table.
    Palette,
    /// Anything else.
    Other,
}

impl ColourModel {
    /// Returns the word in a brief and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            ColourModel::Rgb => "rgb",
            ColourModel::Grey => "grey",
            ColourModel::Cmyk => "cmyk",
            ColourModel::Lab => "lab",
            ColourModel::Palette => "palette",
            ColourModel::Other => "other",
        }
    }

    /// Samples of colour in a pixel as measured: 1, 3 or 4.
    pub const fn channels(self) -> usize {
        match self {
            ColourModel::Grey => 1,
            ColourModel::Cmyk => 4,
            _ => 3,
        }
    }

    /// Returns the name as a person writes it.
    pub const fn name(self) -> &'static str {
        match self {
            ColourModel::Rgb => "RGB",
            ColourModel::Grey => "greyscale",
            ColourModel::Cmyk => "CMYK",
            ColourModel::Lab => "Lab",
            ColourModel::Palette => "indexed colour",
            ColourModel::Other => "an unknown colour model",
        }
    }
}

/// What one sample is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SampleKind {
    /// Whole numbers from zero.
    Unsigned,
    /// Whole numbers with a sign.
    Signed,
    /// Floating point.
    Float,
}

/// The stored resolution, in pixels per inch whatever unit the file used. Advice only: pixels decide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResolutionTag {
    /// Across the stored picture.
    pub x_ppi: f64,
    /// Down the stored picture.
    pub y_ppi: f64,
}

impl ResolutionTag {
    /// Creates a tag rounded to hundredths: 11811 pixels a metre are 300 ppi and not 299.9994. `None` unless both are
    /// finite and above zero.
    pub fn new(x_ppi: f64, y_ppi: f64) -> Option<ResolutionTag> {
        let round = |ppi: f64| (ppi * 100.0).round() / 100.0;
        let sound = |ppi: &f64| ppi.is_finite() && *ppi > 0.0;
        [x_ppi, y_ppi].iter().all(sound).then(|| ResolutionTag { x_ppi: round(x_ppi), y_ppi: round(y_ppi) })
    }
}

/// The profile in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EmbeddedProfile {
    /// None embedded.
    None,
    /// Embedded and readable.
    Embedded(ProfileFacts),
    /// Embedded but unusable, with the reason.
    Broken(String),
}

/// Facts that only a JPEG has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JpegFacts {
    /// Quality on the scale of the Independent JPEG Group, 1 to 100, nearest to the tables.
    pub quality: u8,
    /// The tables are exactly those of that quality.
    pub is_exact: bool,
    /// `4:4:4`, `4:2:2`, `4:2:0`, `4:4:0`, `grey`, or the factors.
    pub subsampling: String,
    /// Progressive scans.
    pub is_progressive: bool,
    /// Transform in the Adobe marker, if there is one (ITU-T T.872): 0 none, 1 YCbCr, 2 YCCK.
    pub adobe_transform: Option<u8>,
    /// Bytes between its segments that belong to none.
    pub stray_bytes: u64,
}

/// A piece of metadata, with its text in each of the places that can hold it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MetadataText {
    /// The text of each place, in the order XMP, IPTC, Exif, PNG text; foreign text.
    pub sources: Vec<(MetadataSource, String)>,
}

impl MetadataText {
    /// Returns the text to use: the first place's; `None` without any.
    pub fn text(&self) -> Option<&str> {
        self.sources.first().map(|(_, text)| text.as_str())
    }

    /// True if two places have different texts.
    pub fn disagrees(&self) -> bool {
        self.sources.windows(2).any(|pair| pair[0].1.trim() != pair[1].1.trim())
    }
}

/// A place that metadata is stored in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MetadataSource {
    /// The XMP packet.
    Xmp,
    /// IPTC-IIM.
    Iptc,
    /// Exif or TIFF tags.
    Exif,
    /// A PNG's texts under keywords.
    PngText,
}

impl MetadataSource {
    /// Returns its name.
    pub const fn name(self) -> &'static str {
        match self {
            MetadataSource::Xmp => "XMP",
            MetadataSource::Iptc => "IPTC",
            MetadataSource::Exif => "Exif",
            MetadataSource::PngText => "PNG text",
        }
    }
}

/// The metadata fields for creator, rights, caption and credit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Credits {
    /// Who made it (XMP dc:creator, IIM 2:80, Exif Artist).
    pub creator: MetadataText,
    /// Whose rights (XMP dc:rights, IIM 2:116, Exif Copyright).
    pub copyright: MetadataText,
    /// What it shows (XMP dc:description, IIM 2:120, Exif ImageDescription).
    pub caption: MetadataText,
    /// The credit line (XMP photoshop:Credit, IIM 2:110).
    pub credit_line: MetadataText,
}

/// Facts of a picture file. Sizes are as stored, before the orientation tag.
#[derive(Clone, Debug, PartialEq)]
pub struct Facts {
    /// The container, by content.
    pub format: Format,
    /// How samples are packed.
    pub compression: Compression,
    /// Stored width in pixels.
    pub width_px: u32,
    /// Stored height in pixels.
    pub height_px: u32,
    /// Colour model of the samples.
    pub model: ColourModel,
    /// Bits a channel.
    pub bits: u16,
    /// What one sample is.
    pub sample: SampleKind,
    /// True if there is an alpha channel.
    pub has_alpha: bool,
    /// Channels beyond colour and alpha (spot channels, masks).
    pub extra_channels: u16,
    /// True if the file carries an editor's layers.
    pub has_layers: bool,
    /// Full pages of a TIFF, pictures of an animated PNG; else 1.
    pub pages: u32,
    /// The orientation tag; upright where there is none.
    pub orientation: Orientation,
    /// The stored resolution, if it has a unit.
    pub resolution_tag: Option<ResolutionTag>,
    /// Size on disk, in bytes.
    pub bytes: u64,
    /// The embedded profile.
    pub profile: EmbeddedProfile,
    /// A colour space claimed otherwise.
    pub claim: Option<Claim>,
    /// Exif ColorSpace (0xA001), as stored.
    pub exif_colour_space: Option<u16>,
    /// Facts that only a JPEG has.
    pub jpeg: Option<JpegFacts>,
    /// Creator, copyright, caption and credit line.
    pub credits: Credits,
    /// True if metadata holds coordinates; `None` where none was found, but a packet could not be read.
    pub has_location: Option<bool>,
    /// When it was taken, as the file says.
    pub taken: Option<CaptureTime>,
    /// Why the pixels cannot be measured although the header reads well: "Lab TIFF".
    pub unmeasurable: Option<String>,
    /// Bytes of samples that decoding must hold at once, by the header: the whole picture, a strip or a row of tiles.
    pub held_bytes: u64,
}

impl Facts {
    /// Creates the facts of a file of which only format and size on disk are known: RGB of 8 bits, 0 x 0 px, no
    /// metadata.
    pub fn unknown(format: Format, bytes: u64) -> Facts {
        Facts {
            format,
            compression: Compression::None,
            width_px: 0,
            height_px: 0,
            model: ColourModel::Rgb,
            bits: 8,
            sample: SampleKind::Unsigned,
            has_alpha: false,
            extra_channels: 0,
            has_layers: false,
            pages: 1,
            orientation: Orientation::UPRIGHT,
            resolution_tag: None,
            bytes,
            profile: EmbeddedProfile::None,
            claim: None,
            exif_colour_space: None,
            jpeg: None,
            credits: Credits::default(),
            has_location: Some(false),
            taken: None,
            unmeasurable: None,
            held_bytes: 0,
        }
    }

    /// Samples of colour in a pixel as measured: 1, 3 or 4.
    pub const fn channels(&self) -> usize {
        self.model.channels()
    }

    /// Returns the number of pixels.
    pub fn pixel_count(&self) -> u64 {
        u64::from(self.width_px) * u64::from(self.height_px)
    }

    /// Returns the width and height in pixels once upright.
    pub const fn upright_px(&self) -> (u32, u32) {
        if self.orientation.swaps_sides() { (self.height_px, self.width_px) } else { (self.width_px, self.height_px) }
    }

    /// Returns the resolution tag once upright: across, down.
    pub fn upright_resolution(&self) -> Option<(f64, f64)> {
        self.resolution_tag
            .map(|tag| if self.orientation.swaps_sides() { (tag.y_ppi, tag.x_ppi) } else { (tag.x_ppi, tag.y_ppi) })
    }

    /// Returns the encoding of its numbers: the embedded profile's, else the claim's; a claim that outranks profiles
    /// first.
    pub fn encoding(&self) -> Option<Encoding> {
        if let Some(claim) = self.claim.as_ref().filter(|claim| claim.outranks_profile()) {
            return Some(claim.encoding);
        }
        match &self.profile {
            EmbeddedProfile::Embedded(profile) => profile.known_as,
            EmbeddedProfile::Broken(_) | EmbeddedProfile::None => self.claim.as_ref().map(|claim| claim.encoding),
        }
    }
}
