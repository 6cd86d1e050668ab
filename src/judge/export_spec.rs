//! What to export for a print, before there is a file: the pixels, the name, and the settings that one export preset
//! sets for all prints with the same requirements.
//!
//! The settings come from the rules that a file must pass afterwards, so that both always say the same.

pub mod file_name;
pub mod lines;

use std::collections::HashMap;
use std::sync::Arc;

use crate::brief::requirements::{BorderFit, Edge};
use crate::brief::{Brief, Crop, Print};
use crate::judge::export_spec::file_name::{FileName, FileNames};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::placement::{Placement, can_turn};
use crate::judge::rules;
use crate::judge::rules::file::format::export_format;
use crate::judge::rules::phrases::{printed_size, shape, space};
use crate::judge::rules::set::missing::fit_words;
use crate::units::show;

/// What to export for one print.
#[derive(Clone, Debug, PartialEq)]
pub struct ExportSpec {
    /// The pixels.
    pub size: ExportSize,
    /// The name to give the file.
    pub file_name: FileName,
    /// What an export preset sets, in the order of the rules; equal for all prints that one preset serves.
    pub preset: Vec<ExportSetting>,
}

/// The pixels to export for a print.
#[derive(Clone, Debug, PartialEq)]
pub struct ExportSize {
    /// Width and height at the target density, what goes beyond the finished size included.
    pub px: (u32, u32),
    /// Width and height at the minimum density; the same as `px` where that is the target.
    pub min_px: (u32, u32),
    /// How it lies.
    pub orientation: Orientation,
    /// How the picture fills those pixels.
    pub fill: PictureFill,
    /// The aspect ratio of those pixels on paper: `4:5`.
    pub aspect_ratio: String,
    /// The size on paper, in words: `210 x 260 mm with 3 mm bleed`.
    pub printed: String,
    /// What to do about the crop, in words.
    pub crop: String,
    /// The minimum in words; `None` where that is the target.
    pub minimum: Option<String>,
}

/// How an exported picture lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Orientation {
    /// Higher than wide.
    Portrait,
    /// Wider than high.
    Landscape,
    /// As wide as high.
    Square,
    /// As the picture is: the print may be rotated.
    Either,
}

impl Orientation {
    fn of(print: &Print) -> Orientation {
        match print.size.width.cmp(&print.size.height) {
            std::cmp::Ordering::Equal => Orientation::Square,
            _ if print.may_be_rotated && can_turn(print) => Orientation::Either,
            std::cmp::Ordering::Less => Orientation::Portrait,
            std::cmp::Ordering::Greater => Orientation::Landscape,
        }
    }

    /// Returns its word.
    pub const fn word(self) -> &'static str {
        match self {
            Orientation::Portrait => "portrait",
            Orientation::Landscape => "landscape",
            Orientation::Square => "square",
            Orientation::Either => "portrait or landscape",
        }
    }
}

/// How a picture fills the pixels of its print.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureFill {
    /// It is cropped to them.
    Exact,
    /// The designer crops it to them, so it may be larger.
    AtLeast,
    /// It keeps its own aspect ratio and fits within them.
    Within,
}

impl PictureFill {
    fn of(print: &Print) -> PictureFill {
        match (print.requirements.margins.fit, print.crop) {
            (BorderFit::Inside, _) => PictureFill::Within,
            (BorderFit::Fill, Crop::ByDesigner) => PictureFill::AtLeast,
            (BorderFit::Fill, Crop::ByPhotographer) => PictureFill::Exact,
        }
    }

    /// Returns its word, as in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            PictureFill::Exact => "exact",
            PictureFill::AtLeast => "at least",
            PictureFill::Within => "within",
        }
    }
}

impl ExportSize {
    /// Returns the pixels of a print.
    pub fn of(print: &Print) -> ExportSize {
        let density = &print.requirements.density;
        let placement = Placement::of_print(print);
        let (px, min_px) = (placement.needed_px(density.target), placement.needed_px(density.minimum));
        let fill = PictureFill::of(print);
        let aspect_ratio = shape(placement.frame());
        let least = format!("{} ({}), without enlarging", show::pixels(min_px), show::ppi(density.minimum));
        ExportSize {
            px,
            min_px,
            orientation: Orientation::of(print),
            fill,
            crop: crop_words(print, &placement, fill, &aspect_ratio),
            aspect_ratio,
            printed: printed_size(print, &placement),
            minimum: (min_px != px).then_some(least),
        }
    }

    /// Returns the longer and the shorter side in pixels.
    pub fn sides(&self) -> (u32, u32) {
        (self.px.0.max(self.px.1), self.px.0.min(self.px.1))
    }

    /// Returns the pixels as they are typed: `2551 x 3142`.
    pub fn typed(&self) -> String {
        format!("{} x {}", self.px.0, self.px.1)
    }

    /// Returns the pixels in words: `2551 x 3142 px, portrait: long side 3142 px, short side 2551 px`.
    pub fn words(&self) -> String {
        let px = show::pixels(self.px);
        let px = match self.fill {
            PictureFill::Exact => px,
            PictureFill::AtLeast => format!("{px} or more"),
            PictureFill::Within => format!("as large as fits within {px}"),
        };
        let (long, short) = self.sides();
        match self.orientation {
            Orientation::Square => format!("{px}, square"),
            Orientation::Either => {
                format!("{px}, or rotated, as the picture is: long side {long} px, short side {short} px")
            }
            one => format!("{px}, {}: long side {long} px, short side {short} px", one.word()),
        }
    }
}

fn crop_words(print: &Print, placement: &Placement, fill: PictureFill, ratio: &str) -> String {
    let margins = &print.requirements.margins;
    let frame = placement.frame().show();
    let beside = match margins.edge {
        Edge::Border => "; leave the border out, the printer adds it",
        Edge::Wrap if margins.goes_round() => "; that is the face with its sides",
        Edge::Bleed if !margins.includes_bleed && !margins.bleed.is_zero() => "; leave the bleed out",
        Edge::Bleed | Edge::Borderless | Edge::Wrap => "",
    };
    match fill {
        PictureFill::Exact => format!("to {ratio}, {frame}{beside}"),
        PictureFill::AtLeast => format!("none, with room around the subject: the designer crops to {ratio}, {frame}"),
        PictureFill::Within => format!("as you like: it is fitted within {frame}{beside}"),
    }
}

/// Returns what an export preset sets for a print, in the order of the rules.
pub fn preset(print: &Print) -> Vec<ExportSetting> {
    let mut settings: Vec<ExportSetting> = Vec::new();
    for setting in rules::all().filter_map(|rule| rule.uses.export_setting).filter_map(|of| of(print)) {
        // Two rules may need the same.
        if !settings.contains(&setting) {
            settings.push(setting);
        }
    }
    settings
}

/// Returns what to export for a print in a few words: `export 2551 x 3142 px, sRGB, JPEG, under a name that fits
/// "p012*"`.
pub fn summary(print: &Print) -> String {
    let placement = Placement::of_print(print);
    let spaces = print.requirements.colour.spaces.first().map(|first| space(*first).to_owned());
    let format = export_format(print).map(|format| format.name().to_owned());
    let px = show::pixels(placement.needed_px(print.requirements.density.target));
    let what: Vec<String> = [Some(px), spaces, format].into_iter().flatten().collect();
    format!("export {}, under {}", what.join(", "), fit_words(print))
}

impl ExportSpec {
    /// Returns what to export for a print of a brief whose names are known.
    pub fn of(print: &Print, names: &FileNames) -> ExportSpec {
        ExportSpec { size: ExportSize::of(print), file_name: names.of_print(print), preset: preset(print) }
    }
}

/// What to export for every print of a brief.
#[derive(Clone, Debug)]
pub struct OrderSpec<'a> {
    /// The presets, in the order of their first prints.
    pub presets: Vec<PresetSpec>,
    /// The prints in page order; those without a page follow in the brief's order.
    pub prints: Vec<PrintSpec<'a>>,
}

/// An export preset and how many prints it serves.
#[derive(Clone, Debug)]
pub struct PresetSpec {
    /// What it sets.
    pub settings: Vec<ExportSetting>,
    /// Number of prints.
    pub prints: usize,
    /// The names of the versions that they belong to, in the brief's order; foreign text.
    pub versions: Vec<Arc<str>>,
}

/// What to export for one of several prints.
#[derive(Clone, Debug)]
pub struct PrintSpec<'a> {
    /// The print.
    pub print: &'a Print,
    /// The pixels.
    pub size: ExportSize,
    /// The name to give the file.
    pub file_name: FileName,
    /// The index of its preset.
    pub preset: usize,
}

impl<'a> OrderSpec<'a> {
    /// Returns what to export for a brief's prints.
    pub fn of(brief: &'a Brief) -> OrderSpec<'a> {
        let names = FileNames::of(brief);
        let mut prints: Vec<&Print> = brief.prints.iter().collect();
        prints.sort_by_key(|print| print.page.map_or(u32::MAX, |page| page.first));
        let mut presets: Vec<PresetSpec> = Vec::new();
        let mut known: HashMap<Vec<ExportSetting>, usize> = HashMap::new();
        let of_print = |print: &'a Print| {
            let ExportSpec { size, file_name, preset } = ExportSpec::of(print, &names);
            let at = *known.entry(preset).or_insert_with_key(|settings| {
                presets.push(PresetSpec { settings: settings.clone(), prints: 0, versions: Vec::new() });
                presets.len() - 1
            });
            let preset = &mut presets[at];
            preset.prints += 1;
            if let Some(version) = print.version.as_ref().filter(|version| !preset.versions.contains(&version.name)) {
                preset.versions.push(version.name.clone());
            }
            PrintSpec { print, size, file_name, preset: at }
        };
        let prints = prints.into_iter().map(of_print).collect();
        OrderSpec { presets, prints }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::picture_patterns::PictureSelector;
    use crate::brief::requirements::{Level, Space};
    use crate::brief::starter::STARTERS;
    use crate::judge::judge;
    use crate::judge::model::submission::Submission;
    use crate::judge::testing::{self, brief, profile, sound_submission, with_facts};
    use crate::picture::facts::{Compression, EmbeddedProfile, Format, MetadataSource, MetadataText, ResolutionTag};

    /// Briefs beside the starters: one of every edge, and one that requires much.
    const BRIEFS: [&str; 5] = [
        "[margins]\nedge = \"border\"\nborder = \"1 in\"\n[[print]]\nsize = \"11 x 14 in\"\npicture = \"a*\"",
        "[margins]\nfit = \"inside\"\nborder = \"1 in\"\n[[print]]\nsize = \"11 x 14 in\"\npicture = \"a*\"",
        "[paper]\nstock = \"canvas\"\n[margins]\nedge = \"wrap\"\nwrap = \"38 mm\"\n[[print]]\nsize = \"50 x 70 cm\"\n\
         picture = \"a*\"",
        "[paper]\nstock = \"coated\"\n[margins]\nbleed = \"3 mm\"\n[[print]]\nsize = \"210 x 260 mm\"\n\
         picture = \"a*\"",
        "[file]\nformats = [\"tiff\", \"jpeg\"]\ndepth = 16\ncredit = [\"creator\", \"copyright\"]\n\
         location = \"none\"\nname = \"lower case, digits, hyphen\"\n[colour]\nspace = [\"adobe rgb\", \"srgb\"]\n\
         [[print]]\nname = \"Plum Tart\"\nsize = \"210 x 260 mm\"\npicture = \"P012*\"",
    ];

    /// Returns a file that was exported as a specification says.
    fn exported(print: &Print, spec: &ExportSpec) -> Submission {
        let of_several = || match &print.pictures {
            PictureSelector::One(pattern) | PictureSelector::Many(pattern) => pattern.as_str().replace('*', "tart"),
            PictureSelector::Rest => "tart".to_owned(),
        };
        let extension = export_format(print).unwrap().extensions()[0];
        let name = spec.file_name.suggested.clone().unwrap_or_else(|| format!("{}.{extension}", of_several()));
        let file = sound_submission(&name, spec.size.px.0, spec.size.px.1);
        let required = &print.requirements;
        let filled = || MetadataText { sources: vec![(MetadataSource::Xmp, "Maren".to_owned())] };
        with_facts(file, |facts| {
            facts.format = export_format(print).unwrap();
            if facts.format == Format::Tiff {
                (facts.compression, facts.jpeg) = (Compression::Lzw, None);
            }
            facts.bits = if facts.format == Format::Jpeg { 8 } else { required.file.depth[0] as u16 };
            if let Some(jpeg) = &mut facts.jpeg {
                jpeg.quality = required.file.jpeg_quality as u8;
            }
            if let Some(Space::Rgb(encoding)) = required.colour.spaces.first() {
                facts.profile = EmbeddedProfile::Embedded(profile(*encoding));
            }
            let ppi = required.density.target.as_f64();
            facts.resolution_tag = Some(ResolutionTag { x_ppi: ppi, y_ppi: ppi });
            let credits = &mut facts.credits;
            (credits.creator, credits.copyright, credits.caption) = (filled(), filled(), filled());
        })
    }

    #[test]
    fn a_file_that_is_exported_as_specified_has_no_finding_of_what_was_specified() {
        let mut checked = 0;
        for text in STARTERS.iter().map(|starter| starter.text).chain(BRIEFS) {
            let brief = brief(text);
            let names = FileNames::of(&brief);
            for print in brief.prints.iter().filter(|print| print.requirements.colour.spaces[0].rgb().is_some()) {
                let spec = ExportSpec::of(print, &names);
                let judged = judge(&brief, &[exported(print, &spec)]);
                let row = judged
                    .rows
                    .iter()
                    .find(|row| row.key.picture.is_some() && row.key.print.as_ref() == Some(&print.id));
                let row = row.unwrap_or_else(|| panic!("{} does not take {:?}", print.name, spec.file_name));
                let of_spec = |rule: &crate::judge::model::rule::Rule| {
                    rule.uses.export_setting.is_some() || rule.level == Level::Must
                };
                let found: Vec<&str> =
                    row.findings.iter().filter(|one| of_spec(one.rule)).map(|one| one.found.as_str()).collect();
                assert!(found.is_empty(), "{text}\n{}: {found:?}", print.name);
                checked += 1;
            }
        }
        assert!(checked > 10, "{checked}");
    }

    #[test]
    fn pixels_are_said_with_their_sides_and_how_the_picture_lies() {
        let of = |text: &str| ExportSize::of(&testing::print(text));
        let book = of("[paper]\nstock = \"coated\"\n[margins]\nbleed = \"3 mm\"\n[[print]]\nsize = \"210 x 260 mm\"");
        assert_eq!(book.words(), "2551 x 3142 px, portrait: long side 3142 px, short side 2551 px");
        assert_eq!(book.crop, "to 1:1.23, 216 x 266 mm");
        assert_eq!(book.minimum.as_deref(), Some("2041 x 2513 px (240 ppi), without enlarging"));
        let print = of("[[print]]\nsize = \"10 x 8 in\"\nrotate = true");
        assert_eq!(
            print.words(),
            "3000 x 2400 px, or rotated, as the picture is: long side 3000 px, short side 2400 px"
        );
        assert_eq!(of("[[print]]\nsize = \"8 x 8 in\"").words(), "2400 x 2400 px, square");
        let by_designer = of("[[print]]\nsize = \"10 x 8 in\"\nrotate = false\ncrop = \"by the designer\"");
        assert!(by_designer.words().starts_with("3000 x 2400 px or more, landscape"), "{}", by_designer.words());
        let inside = of("[margins]\nfit = \"inside\"\nborder = \"1 in\"\n[[print]]\nsize = \"11 x 14 in\"");
        assert!(inside.words().starts_with("as large as fits within 2700 x 3600 px"), "{}", inside.words());
    }

    #[test]
    fn a_setting_that_nobody_required_is_called_usual() {
        let settings = |text: &str| preset(&testing::print(text));
        let is_usual = |settings: &[ExportSetting], name: &str| {
            settings.iter().find(|setting| setting.name == name).map(|setting| setting.is_usual)
        };
        let open = settings("[[print]]\nsize = \"8 x 10 in\"");
        let said = settings("[file]\nformats = \"jpeg\"\n[colour]\nspace = \"srgb\"\n[[print]]\nsize = \"8 x 10 in\"");
        for name in ["format", "colour space"] {
            assert_eq!((is_usual(&open, name), is_usual(&said, name)), (Some(true), Some(false)), "{name}");
        }
        assert_eq!(is_usual(&open, "metadata"), None, "nothing is to be filled in");
    }
}
