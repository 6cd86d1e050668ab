//! What a print, or the order as a whole, requires: one type for each table of the brief, every value typed and in
//! effect (default < paper < brief < print).

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use crate::colour::{Encoding, PaperProfile};
use crate::units::{Length, LengthUnit, Ppi, Share, show};

/// The requirements of a print; one field for each table of the brief.
#[derive(Clone, Debug, PartialEq)]
pub struct Requirements {
    /// `[paper]`
    pub paper: Paper,
    /// `[file]`
    pub file: FileRequirements,
    /// `[colour]`
    pub colour: ColourRequirements,
    /// `[density]`
    pub density: DensityRequirements,
    /// `[margins]`
    pub margins: Margins,
    /// `[tone]`
    pub tone: ToneRequirements,
    /// `[detail]`
    pub detail: DetailRequirements,
    /// `[delivery]`
    pub delivery: DeliveryRequirements,
    /// `[rules]`: levels that differ from a rule's own.
    pub levels: BTreeMap<String, Level>,
}

/// The level of a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Not checked.
    Off,
    /// Shown, never changes the state.
    Note,
    /// A breach makes the row WARN.
    Should,
    /// A breach makes the row FIX.
    Must,
}

/// The material.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stock {
    /// Resin-coated or baryta photographic paper, inkjet or silver halide.
    PhotoPaper,
    /// Cotton or other fine-art paper.
    Cotton,
    /// Canvas.
    Canvas,
    /// Aluminium.
    Metal,
    /// Acrylic glass.
    Acrylic,
    /// Wood.
    Wood,
    /// Coated offset paper.
    Coated,
    /// Uncoated offset paper.
    Uncoated,
    /// Newsprint.
    Newsprint,
}

/// The surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Surface {
    /// Gloss.
    Gloss,
    /// Lustre, pearl, semi-matte.
    Lustre,
    /// Matte.
    Matte,
}

/// How ink or dye comes onto it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Process {
    /// Exposed photographic paper.
    SilverHalide,
    /// Inkjet.
    Inkjet,
    /// Dye sublimation.
    DyeSublimation,
    /// Offset.
    Offset,
    /// Dry or liquid toner.
    Toner,
}

/// What it is printed on.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// Material.
    pub stock: Stock,
    /// Surface.
    pub surface: Surface,
    /// Process.
    pub process: Process,
    /// The printer's profile, resolved against the brief's folder.
    pub profile: Option<PathBuf>,
    /// The same, read and ready; `None` where there is none, or none that can be used.
    pub printer: Option<Arc<PaperProfile>>,
    /// Density of the deepest black, D absolute, 0.5 to 4.
    pub dmax: f64,
    /// Lightness of the bare paper, L* 40 to 100.
    pub white_l: f64,
    /// Most ink, C + M + Y + K, as a share of one full ink; `None` where the process has no limit.
    pub ink_limit: Option<Share>,
}

/// Requirements on the file.
#[derive(Clone, Debug, PartialEq)]
pub struct FileRequirements {
    /// Containers allowed, by their words: `tiff`, `jpeg`, `png`.
    pub formats: Vec<&'static str>,
    /// Bits a channel allowed.
    pub depth: Vec<u32>,
    /// Lowest JPEG quality, 1 to 100.
    pub jpeg_quality: u32,
    /// Most bytes on disk.
    pub largest: Option<u64>,
    /// How files are to be named.
    pub name: NameRequirements,
    /// Metadata that must be there, by their words: `creator`, `copyright`, `caption`, `credit line`.
    pub credit: Vec<&'static str>,
    /// True if coordinates may be in the file.
    pub location: LocationRequirement,
}

/// How files are to be named.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NameRequirements {
    /// The brief's own words, for findings: "lower case, digits, hyphen".
    pub words: Option<String>,
    /// The whole name, without extension, must match this regular expression.
    pub pattern: Option<String>,
}

/// True if coordinates may be in the file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LocationRequirement {
    /// They may.
    #[default]
    Allowed,
    /// They must not: a client's kitchen is a private address.
    None,
}

/// A colour space that may be required.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Space {
    /// An RGB encoding.
    Rgb(Encoding),
    /// Grey.
    Grey,
    /// CMYK.
    Cmyk,
    /// The `[paper]` profile.
    Paper,
}

impl Space {
    /// Returns the encoding, where it is one of RGB.
    pub const fn rgb(self) -> Option<Encoding> {
        match self {
            Space::Rgb(encoding) => Some(encoding),
            Space::Grey | Space::Cmyk | Space::Paper => None,
        }
    }
}

/// Requirements on colour.
#[derive(Clone, Debug, PartialEq)]
pub struct ColourRequirements {
    /// Spaces allowed; at least one, the first is the one to export in.
    pub spaces: Vec<Space>,
}

/// Where the target density comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DensityBasis {
    /// The brief gives the number, or it is the usual one.
    Number,
    /// From the halftone ruling.
    Ruling,
    /// From the viewing distance.
    Distance,
}

/// Requirements on pixel density.
#[derive(Clone, Debug, PartialEq)]
pub struct DensityRequirements {
    /// The target at the printed size.
    pub target: Ppi,
    /// The minimum.
    pub minimum: Ppi,
    /// Where `target` comes from.
    pub basis: DensityBasis,
    /// Halftone ruling in lines per inch.
    pub ruling_lpi: Option<f64>,
    /// Seen from.
    pub distance: Option<Length>,
}

/// A length for each side of the finished, upright print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sides {
    /// Top.
    pub top: Length,
    /// Right.
    pub right: Length,
    /// Bottom.
    pub bottom: Length,
    /// Left.
    pub left: Length,
}

impl Sides {
    /// Returns the same on all sides.
    pub const fn all(length: Length) -> Sides {
        Sides { top: length, right: length, bottom: length, left: length }
    }

    /// Top, right, bottom, left.
    pub const fn each(self) -> [Length; 4] {
        [self.top, self.right, self.bottom, self.left]
    }

    /// True if the sides differ from one another.
    pub fn differ(self) -> bool {
        self.each().iter().any(|side| *side != self.top)
    }

    /// Left and right together.
    pub fn across(self) -> Length {
        self.left + self.right
    }

    /// Top and bottom together.
    pub fn down(self) -> Length {
        self.top + self.bottom
    }

    /// Returns one length, or each side by name.
    pub fn show(self, unit: LengthUnit) -> String {
        if !self.differ() {
            return show::length(self.top, unit);
        }
        let each = ["top", "right", "bottom", "left"].into_iter().zip(self.each());
        each.map(|(side, length)| format!("{side} {}", show::length(length, unit))).collect::<Vec<String>>().join(", ")
    }

    /// True if there is nothing on any side.
    pub fn is_zero(self) -> bool {
        self.each().iter().all(|side| *side == Length::ZERO)
    }
}

/// How the print's edge is finished.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Edge {
    /// Cut after printing.
    Bleed,
    /// A lab's borderless print: enlarged a little to cover the sheet.
    Borderless,
    /// White left around.
    Border,
    /// Carried round a bar.
    Wrap,
}

impl Margins {
    /// True if the picture itself is carried round a bar.
    pub fn goes_round(&self) -> bool {
        self.edge == Edge::Wrap && self.sides == WrapSides::Picture
    }
}

/// How the picture lies within a white border.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum BorderFit {
    /// It fills what the border leaves; what hangs over is cropped.
    #[default]
    Fill,
    /// It keeps its aspect ratio; the border is a minimum, and wider where the aspect ratios differ.
    Inside,
}

/// What is seen on the sides of a bar.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum WrapSides {
    /// The picture, carried round: it must hold more than the face.
    #[default]
    Picture,
    /// The picture's edge, mirrored by the printer: the face is the whole picture.
    Mirrored,
    /// One colour: the face is the whole picture.
    Plain,
}

/// Requirements on the margins. Sides are those of this very print: `outer` and `spine` are resolved by its page.
#[derive(Clone, Debug, PartialEq)]
pub struct Margins {
    /// How the edge is finished.
    pub edge: Edge,
    /// The picture beyond the finished size; used with [`Edge::Bleed`].
    pub bleed: Sides,
    /// The inner margin that nothing important may enter.
    pub safe: Sides,
    /// White left around; used with [`Edge::Border`].
    pub border: Sides,
    /// How the picture lies within the border; used with [`Edge::Border`].
    pub fit: BorderFit,
    /// Depth of the bar; used with [`Edge::Wrap`].
    pub wrap: Length,
    /// What is seen on the sides of the bar; used with [`Edge::Wrap`].
    pub sides: WrapSides,
    /// Covered by a frame's lip.
    pub rebate: Length,
    /// Folds, measured from the left edge of the finished size.
    pub folds: Vec<Length>,
    /// Lost to the binding on each side of a fold.
    pub gutter: Length,
    /// How far the cut may be off.
    pub cut_tolerance: Length,
    /// The pictures are exported with the bleed.
    pub includes_bleed: bool,
    /// The unit margins are shown in: the one the brief used.
    pub unit: LengthUnit,
}

/// Requirements on tone.
#[derive(Clone, Debug, PartialEq)]
pub struct ToneRequirements {
    /// Largest share of the picture that may be featureless white.
    pub lost_highlights: Share,
    /// Largest share of detail that may block up in the paper's black.
    pub lost_shadows: Share,
}

/// Who sharpens for the print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sharpened {
    /// The photographer.
    #[default]
    ByPhotographer,
    /// The printer.
    ByThePrinter,
}

/// Requirements on detail.
#[derive(Clone, Debug, PartialEq)]
pub struct DetailRequirements {
    /// Most overshoot at edges, as a share of the edge's step.
    pub halo: Share,
    /// Most enlargement, as a factor.
    pub enlarged: f64,
    /// Most grain that the print may show, standard deviation in levels of 255.
    pub noise: u32,
    /// Who sharpens.
    pub sharpened: Sharpened,
}

/// How the files go to the printer.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DeliveryRequirements {
    /// How they travel; foreign text.
    pub transfer: Option<String>,
    /// Template of delivered names.
    pub rename: Option<String>,
    /// Rules, and groups of rules, whose warnings the printer is told.
    pub tell: Vec<String>,
}

impl DeliveryRequirements {
    /// True if the printer is told the warnings of a rule: by its id, or by its group, which the id begins with.
    pub fn tells(&self, rule: &str) -> bool {
        let group = rule.split('.').next().unwrap_or(rule);
        self.tell.iter().any(|one| one == rule || one == group)
    }
}
