//! What to export for each print of a brief, before there is a file: as text, JSON and CSV.

use serde::Serialize;

use crate::brief::requirements::{FileRequirements, LocationRequirement, Sharpened};
use crate::brief::{Brief, Pages, Print};
use crate::judge::export_spec::lines::{of_print, setting};
use crate::judge::export_spec::{OrderSpec, PresetSpec, PrintSpec};
use crate::judge::model::export_setting::ExportSetting;
use crate::judge::rules::phrases::space;
use crate::units::show;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;

use super::csv::text;
use super::text::LAST_WORD;

/// Columns by which the lines of a preset or a print are indented.
const INDENT: usize = 2;
/// Width of the names of settings, in columns.
const LABEL: usize = 14;

/// Formats the specification as lines: the presets, then print by print in page order.
pub fn lines(brief: &Brief) -> Vec<Line> {
    let spec = OrderSpec::of(brief);
    let mut head = Line::of(Style::Head, brief.title.as_deref().unwrap_or("What to export"));
    if let Some(printer) = &brief.printer {
        head = head.and(Style::Plain, format!(" for {printer}"));
    }
    let mut lines = vec![head];
    for (at, preset) in spec.presets.iter().enumerate() {
        lines.extend([Line::blank(), Line::of(Style::Head, preset_words(&spec, at))]);
        lines.extend(preset.settings.iter().map(|one| indented(setting(one, LABEL))));
    }
    lines.extend([Line::blank(), Line::of(Style::Head, "Print by print")]);
    for print in &spec.prints {
        lines.push(print_line(print, spec.presets.len() > 1));
        lines.extend(of_print(&print.size, &print.file_name, LABEL).into_iter().map(indented));
    }
    lines.push(Line::blank());
    if spec.presets.iter().flat_map(|preset| &preset.settings).any(|setting| setting.is_usual) {
        let usual = "(usual): the brief does not say it yet; plateside brief ask lists what to ask the printer.";
        lines.push(Line::of(Style::Dim, usual));
    }
    lines.push(Line::of(Style::Dim, LAST_WORD));
    lines
}

/// Returns what a preset is for: `Export preset 1, for 12 prints`.
fn preset_words(spec: &OrderSpec, at: usize) -> String {
    let preset = &spec.presets[at];
    let versions = match preset.versions.as_slice() {
        [] => String::new(),
        versions => format!(" ({})", visible(&versions.join(", "))),
    };
    let prints = show::count(preset.prints, "print", "prints") + &versions;
    if spec.presets.len() == 1 {
        return format!("Export preset for {prints}");
    }
    format!("Export preset {}, for {prints}", at + 1)
}

fn print_line(one: &PrintSpec, with_preset: bool) -> Line {
    let Print { page, copies, .. } = one.print;
    let name = one.print.name_with_version();
    let page = page.map(|page| format!("{}: ", page.words())).unwrap_or_default();
    let mut line = Line::of(Style::Strong, format!("{page}{name}"));
    if *copies > 1 {
        line = line.and(Style::Plain, format!(", {copies} copies"));
    }
    if with_preset {
        line = line.and(Style::Dim, format!("  preset {}", one.preset + 1));
    }
    line
}

fn indented(line: Line) -> Line {
    let hang = line.hang;
    line.indented(INDENT, hang)
}

/// Returns every name of a setting that occurs, in the order in which presets have them.
fn setting_names(spec: &OrderSpec) -> Vec<&'static str> {
    let mut names = Vec::new();
    for setting in spec.presets.iter().flat_map(|preset| &preset.settings) {
        if !names.contains(&setting.name) {
            names.push(setting.name);
        }
    }
    names
}

/// Formats the specification as CSV: one line a print, in page order; its settings follow in columns of their names.
pub fn csv(brief: &Brief) -> Vec<u8> {
    const COLUMNS: [&str; 16] = [
        "page",
        "print",
        "print_id",
        "version",
        "copies",
        "printed",
        "width_px",
        "height_px",
        "orientation",
        "fill",
        "aspect_ratio",
        "least_width_px",
        "least_height_px",
        "file_name",
        "folder",
        "preset",
    ];
    let spec = OrderSpec::of(brief);
    let settings = setting_names(&spec);
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut line = |cells: Vec<String>| writer.write_record(cells).expect("every line has the same columns, in memory");
    let heads = settings.iter().map(|name| name.replace(' ', "_"));
    line(COLUMNS.iter().map(|&name| name.to_owned()).chain(heads).collect());
    for PrintSpec { print, size, file_name, preset } in &spec.prints {
        let cells = [
            print.page.map(|page| page.to_string()).unwrap_or_default(),
            text(&print.name),
            text(&print.id.0),
            text(print.version.as_ref().map_or("", |version| &version.name)),
            print.copies.to_string(),
            text(&size.printed),
            size.px.0.to_string(),
            size.px.1.to_string(),
            size.orientation.word().to_owned(),
            size.fill.word().to_owned(),
            size.aspect_ratio.clone(),
            size.min_px.0.to_string(),
            size.min_px.1.to_string(),
            text(file_name.suggested.as_deref().unwrap_or_default()),
            text(file_name.folder.as_deref().unwrap_or_default()),
            (preset + 1).to_string(),
        ];
        let set = |name: &&str| spec.presets[*preset].settings.iter().find(|setting| setting.name == *name);
        let values = settings.iter().map(|name| set(name).map(|setting| text(&setting.value)).unwrap_or_default());
        line(cells.into_iter().chain(values).collect());
    }
    writer.into_inner().expect("memory takes every write")
}

/// Version of the JSON.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct SpecOut<'a> {
    plateside_spec: u32,
    title: Option<&'a str>,
    printer: Option<&'a str>,
    presets: Vec<PresetOut<'a>>,
    prints: Vec<PrintOut<'a>>,
}

#[derive(Serialize)]
struct PresetOut<'a> {
    preset: usize,
    prints: usize,
    formats: &'a [&'static str],
    jpeg_quality: u32,
    depth: &'a [u32],
    largest_bytes: Option<u64>,
    spaces: Vec<&'static str>,
    ppi: f64,
    sharpened: &'static str,
    metadata: &'a [&'static str],
    location_allowed: bool,
    settings: Vec<SettingOut<'a>>,
}

#[derive(Serialize)]
struct SettingOut<'a> {
    name: &'static str,
    value: &'a str,
    usual: bool,
}

#[derive(Serialize)]
struct PrintOut<'a> {
    print: &'a str,
    print_id: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    version: Option<&'a str>,
    page: Option<u32>,
    /// The right-hand page of a spread.
    #[serde(skip_serializing_if = "Option::is_none")]
    last_page: Option<u32>,
    copies: u32,
    printed: &'a str,
    width_px: u32,
    height_px: u32,
    least_px: [u32; 2],
    orientation: &'static str,
    fill: &'static str,
    aspect_ratio: &'a str,
    crop: &'a str,
    file_name: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    folder: Option<&'a str>,
    names_that_fit: &'a str,
    preset: usize,
}

/// Formats the specification as one JSON object.
pub fn json(brief: &Brief) -> Vec<u8> {
    let spec = OrderSpec::of(brief);
    let preset = |(at, preset)| {
        let of_it = spec.prints.iter().find(|print| print.preset == at);
        preset_out(at, preset, of_it.map_or(&brief.requirements, |one| &one.print.requirements))
    };
    super::json::text(&SpecOut {
        plateside_spec: VERSION,
        title: brief.title.as_deref(),
        printer: brief.printer.as_deref(),
        presets: spec.presets.iter().enumerate().map(preset).collect(),
        prints: spec.prints.iter().map(print_out).collect(),
    })
}

fn preset_out<'a>(
    at: usize,
    preset: &'a PresetSpec,
    required: &'a crate::brief::requirements::Requirements,
) -> PresetOut<'a> {
    let FileRequirements { formats, depth, jpeg_quality, largest, credit, location, .. } = &required.file;
    let setting =
        |ExportSetting { name, value, is_usual }: &'a ExportSetting| SettingOut { name, value, usual: *is_usual };
    PresetOut {
        preset: at + 1,
        prints: preset.prints,
        formats,
        jpeg_quality: *jpeg_quality,
        depth,
        largest_bytes: *largest,
        spaces: required.colour.spaces.iter().map(|one| space(*one)).collect(),
        ppi: required.density.target.as_f64(),
        sharpened: match required.detail.sharpened {
            Sharpened::ByPhotographer => "by the photographer",
            Sharpened::ByThePrinter => "by the printer",
        },
        metadata: credit,
        location_allowed: *location == LocationRequirement::Allowed,
        settings: preset.settings.iter().map(setting).collect(),
    }
}

fn print_out<'a>(PrintSpec { print, size, file_name, preset }: &'a PrintSpec<'_>) -> PrintOut<'a> {
    PrintOut {
        print: &print.name,
        print_id: &print.id.0,
        version: print.version.as_ref().map(|version| &*version.name),
        page: print.page.map(|page| page.first),
        last_page: print.page.filter(|page: &Pages| page.is_spread()).map(|page| page.last),
        copies: print.copies,
        printed: &size.printed,
        width_px: size.px.0,
        height_px: size.px.1,
        least_px: [size.min_px.0, size.min_px.1],
        orientation: size.orientation.word(),
        fill: size.fill.word(),
        aspect_ratio: &size.aspect_ratio,
        crop: &size.crop,
        file_name: file_name.suggested.as_deref(),
        folder: file_name.folder.as_deref(),
        names_that_fit: &file_name.fits,
        preset: preset + 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::testing;

    const BOOK: &str = r#"
title = "Low Water Suppers"
printer = "Corrow Lane Press"

[paper]
stock = "coated"
surface = "matte"

[file]
formats = ["jpeg", "tiff"]
jpeg_quality = 90
credit = ["creator", "copyright"]
location = "none"
name = "lower case, digits, hyphen"

[margins]
bleed = "3 mm"

[[print]]
name = "oyster board"
page = 40
picture = "p040*"
size = "420 x 260 mm"
paper.surface = "gloss"

[[print]]
name = "plum tart"
page = 12
picture = "p012*"
size = "210 x 260 mm"
copies = 2
"#;

    fn shown(lines: &[Line]) -> String {
        lines.iter().map(|line| format!("{}{}\n", " ".repeat(line.indent), line.text())).collect()
    }

    #[test]
    fn prints_follow_their_pages_and_share_a_preset_where_all_settings_are_the_same() {
        insta::assert_snapshot!(shown(&lines(&testing::brief(BOOK))), @r"
        Low Water Suppers for Corrow Lane Press

        Export preset 1, for 1 print
          format        JPEG (TIFF is accepted too)
          quality       90 of 100 or higher, with 4:4:4 colour if your editor offers it
          file names    only lower case, digits and hyphen
          metadata      included, with creator and copyright filled in
          location      left out of the file
          resolution    300 ppi (usual)
          colour space  convert to sRGB, and embed the profile (usual)
          sharpening    last of all, at the final pixels, for matte coated paper (usual)

        Export preset 2, for 1 print
          format        JPEG (TIFF is accepted too)
          quality       90 of 100 or higher, with 4:4:4 colour if your editor offers it
          file names    only lower case, digits and hyphen
          metadata      included, with creator and copyright filled in
          location      left out of the file
          resolution    300 ppi (usual)
          colour space  convert to sRGB, and embed the profile (usual)
          sharpening    last of all, at the final pixels, for gloss coated paper (usual)

        Print by print
        page 12: plum tart, 2 copies  preset 1
          size          2551 x 3142 px, portrait: long side 3142 px, short side 2551 px
          printed       210 x 260 mm with 3 mm bleed
          crop          to 1:1.23, 216 x 266 mm
          at least      2041 x 2513 px (240 ppi), without enlarging
          file name     p012-plum-tart.jpg
        page 40: oyster board  preset 2
          size          5031 x 3142 px, landscape: long side 5031 px, short side 3142 px
          printed       420 x 260 mm with 3 mm bleed
          crop          to 1.6:1, 426 x 266 mm
          at least      4025 x 2513 px (240 ppi), without enlarging
          file name     p040-oyster-board.jpg

        (usual): the brief does not say it yet; plateside brief ask lists what to ask the printer.
        The printer's own specification and a hard proof have the last word.
        ");
        let all_matte = BOOK.replace("paper.surface = \"gloss\"\n", "");
        let all_matte = shown(&lines(&testing::brief(&all_matte)));
        assert!(all_matte.contains("Export preset for 2 prints") && !all_matte.contains("preset 1"), "{all_matte}");
    }

    #[test]
    fn the_csv_has_a_line_a_print_with_its_settings() {
        let bytes = csv(&testing::brief(BOOK));
        let mut reader = csv::Reader::from_reader(&bytes[..]);
        let heads = reader.headers().unwrap().clone();
        let lines: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        let cell = |line: usize, head: &str| {
            lines[line].get(heads.iter().position(|one| one == head).unwrap()).unwrap().to_owned()
        };
        assert_eq!(lines.len(), 2);
        assert_eq!(
            (cell(0, "page"), cell(0, "width_px"), cell(0, "height_px")),
            ("12".into(), "2551".into(), "3142".into())
        );
        assert_eq!((cell(0, "file_name"), cell(0, "orientation")), ("p012-plum-tart.jpg".into(), "portrait".into()));
        assert_eq!(cell(1, "format"), "JPEG (TIFF is accepted too)");
        assert_eq!(cell(1, "sharpening"), "last of all, at the final pixels, for gloss coated paper");
    }
}
