//! What to export as lines, for the prompt and the live table.

use crate::judge::export_spec::file_name::FileName;
use crate::judge::export_spec::{ExportSize, ExportSpec};
use crate::judge::model::export_setting::ExportSetting;
use crate::units::styled::{Line, Style};

/// Columns between a name and its value.
const GAP: usize = 2;

/// What beside a value says that nobody required it.
const USUAL: &str = " (usual)";

/// Returns a setting as a line; `label` is the width of its name in columns.
pub fn setting(setting: &ExportSetting, label: usize) -> Line {
    let line = named(setting.name, &setting.value, label);
    if setting.is_usual { line.and(Style::Dim, USUAL) } else { line }
}

/// Returns the lines of the pixels and the name: what differs from print to print.
pub fn of_print(size: &ExportSize, file_name: &FileName, label: usize) -> Vec<Line> {
    let lines = [
        Some(named("size", &size.words(), label)),
        Some(named("printed", &size.printed, label)),
        Some(named("crop", &size.crop, label)),
        size.minimum.as_ref().map(|minimum| named("at least", minimum, label)),
        Some(named("file name", &file_name.words(), label)),
    ];
    lines.into_iter().flatten().collect()
}

/// Returns all that there is to set for a print.
pub fn of_spec(spec: &ExportSpec, label: usize) -> Vec<Line> {
    let of_print = of_print(&spec.size, &spec.file_name, label);
    of_print.into_iter().chain(spec.preset.iter().map(|one| setting(one, label))).collect()
}

/// Returns a name in front of its value.
fn named(name: &str, value: &str, label: usize) -> Line {
    let gap = " ".repeat(label.saturating_sub(name.len()).max(GAP));
    Line::of(Style::Dim, format!("{name}{gap}")).and(Style::Plain, value).indented(0, label.max(GAP))
}
