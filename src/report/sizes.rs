//! The sizes that pictures carry: read from their headers, and formatted as a table, as JSON and as CSV.

use std::io;
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::brief::Brief;
use crate::judge::rules::set::unlisted;
use crate::judge::sizes::lines::{CAUTION, table};
use crate::judge::sizes::{CarriedSize, SizeVerdict, ViewingUse, largest_sizes};
use crate::picture::unlisted::cut_off_words;
use crate::reading::batch::scan_filter;
use crate::reading::inspect::{FileInspector, Inspector};
use crate::reading::scan::scan;
use crate::units::show;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;

use super::csv::{BETWEEN, text};
use super::text::LAST_WORD;

/// A picture and the sizes it carries.
pub struct PictureSizes {
    /// The picture's name; foreign text.
    pub picture: String,
    /// The upright size in pixels.
    pub upright_px: (u32, u32),
    /// Sizes carried.
    pub carried: Vec<CarriedSize>,
}

/// Why no sizes can be listed.
#[derive(Debug, thiserror::Error)]
pub enum SizesError {
    /// A folder cannot be read.
    #[error("{}: the folder cannot be read", folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// The system's error.
        source: io::Error,
    },
    /// A folder holds no picture.
    #[error("{}: no pictures in this folder", .0.display())]
    Empty(PathBuf),
}

/// Returns the sizes that pictures carry: those named, and those in folders that the brief, if any, would find there.
/// `complain` gets one line for each file that cannot be read or is passed over.
///
/// # Errors
/// A folder cannot be read, or has no picture.
pub fn of_files(
    paths: &[PathBuf],
    brief: Option<&Brief>,
    complain: &mut dyn FnMut(String),
) -> Result<Vec<PictureSizes>, SizesError> {
    let mut inspector = FileInspector::default();
    let mut found = Vec::new();
    for path in list_pictures(paths, brief, complain)? {
        let picture = path.to_string_lossy().into_owned();
        match inspector.facts(&path) {
            Ok(facts) => {
                let upright_px = facts.upright_px();
                found.push(PictureSizes { picture, upright_px, carried: largest_sizes(brief, upright_px) });
            }
            Err(fault) => complain(format!("{}: {}", visible(&picture), fault.what)),
        }
    }
    Ok(found)
}

/// Returns the named pictures, and for each folder the pictures in it.
fn list_pictures(
    paths: &[PathBuf],
    brief: Option<&Brief>,
    complain: &mut dyn FnMut(String),
) -> Result<Vec<PathBuf>, SizesError> {
    let mut pictures = Vec::new();
    for path in paths {
        if path.is_dir() {
            pictures.extend(pictures_in(path, brief, complain)?);
        } else {
            pictures.push(path.clone());
        }
    }
    Ok(pictures)
}

fn pictures_in(
    folder: &Path,
    brief: Option<&Brief>,
    complain: &mut dyn FnMut(String),
) -> Result<Vec<PathBuf>, SizesError> {
    let filter = brief.map(|brief| scan_filter(brief, folder)).unwrap_or_default();
    let found = scan(folder, &filter).map_err(|source| SizesError::Folder { folder: folder.to_owned(), source })?;
    let passed_over = unlisted::breaches(&found.unlisted).into_iter().map(|one| (one.breach.found, one.breach.fix));
    let beyond = found.is_cut_off.then(cut_off_words).map(|(what, fix)| (what, fix.to_owned()));
    for (what, fix) in passed_over.chain(beyond) {
        complain(format!("{}: {}; {fix}", visible(&folder.to_string_lossy()), visible(&what)));
    }
    if found.files.is_empty() {
        return Err(SizesError::Empty(folder.to_owned()));
    }
    Ok(found.files.into_values().map(|file| file.path).collect())
}

/// Formats a table for each picture; nothing without a picture.
pub fn lines(pictures: &[PictureSizes]) -> Vec<Line> {
    if pictures.is_empty() {
        return Vec::new();
    }
    let mut lines = Vec::new();
    for PictureSizes { picture, upright_px, carried } in pictures {
        lines.push(Line::of(Style::Head, picture).and(Style::Plain, format!("  {}", show::pixels(*upright_px))));
        lines.extend(table(carried));
        lines.push(Line::blank());
    }
    lines.push(Line::of(Style::Dim, CAUTION));
    lines.push(Line::of(Style::Dim, LAST_WORD));
    lines
}

#[derive(Serialize)]
struct SizesOut<'a> {
    picture: &'a str,
    width_px: u32,
    height_px: u32,
    sizes: Vec<SizeOut<'a>>,
}

#[derive(Serialize)]
struct SizeOut<'a> {
    prints: &'a [String],
    size: String,
    size_mm: [f64; 2],
    ppi: f64,
    crop_lost: f64,
    viewing: &'static str,
    seen_from_cm: Option<f64>,
    verdict: Option<&'static str>,
}

fn size_out(one: &CarriedSize) -> SizeOut<'_> {
    let (viewing, from) = match one.viewing {
        ViewingUse::ArmsLength => ("at arm's length", None),
        ViewingUse::ArmsLengthSoft => ("at arm's length, soft", None),
        ViewingUse::Wall(from) => ("wall", Some(from)),
        ViewingUse::TooCoarse(from) => ("too coarse", Some(from)),
    };
    SizeOut {
        prints: &one.prints,
        size: one.size.show(),
        size_mm: [one.size.width.mm(), one.size.height.mm()],
        ppi: one.density.as_f64(),
        crop_lost: one.lost.as_f64(),
        viewing,
        seen_from_cm: from.map(|from| from.mm() / 10.0),
        verdict: one.required.map(|required| match required {
            SizeVerdict::OnTarget => "on target",
            SizeVerdict::AboveMinimum => "above minimum",
            SizeVerdict::BelowMinimum => "below minimum",
        }),
    }
}

/// Formats the sizes as a JSON list.
pub fn json(pictures: &[PictureSizes]) -> Vec<u8> {
    fn of(one: &PictureSizes) -> SizesOut<'_> {
        let (width_px, height_px) = one.upright_px;
        SizesOut { picture: &one.picture, width_px, height_px, sizes: one.carried.iter().map(size_out).collect() }
    }
    super::json::text(&pictures.iter().map(of).collect::<Vec<_>>())
}

/// Formats the sizes as CSV (RFC 4180, UTF-8), one line per picture and size.
pub fn csv(pictures: &[PictureSizes]) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut line =
        |cells: [String; 10]| writer.write_record(cells).expect("every line has the same columns, in memory");
    let columns = [
        "picture",
        "prints",
        "size",
        "width_mm",
        "height_mm",
        "ppi",
        "crop_lost",
        "viewing",
        "seen_from_cm",
        "verdict",
    ];
    line(columns.map(str::to_owned));
    for picture in pictures {
        for one in picture.carried.iter().map(size_out) {
            line([
                text(&picture.picture),
                text(&one.prints.join(BETWEEN)),
                one.size,
                one.size_mm[0].to_string(),
                one.size_mm[1].to_string(),
                format!("{:.1}", one.ppi),
                format!("{:.4}", one.crop_lost),
                one.viewing.to_owned(),
                one.seen_from_cm.map(|cm| cm.to_string()).unwrap_or_default(),
                one.verdict.unwrap_or_default().to_owned(),
            ]);
        }
    }
    writer.into_inner().expect("memory takes every write")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::sizes::largest_sizes;
    use crate::judge::testing::brief;

    fn sizes() -> Vec<PictureSizes> {
        let brief = brief("[[print]]\nname = \"=wall\"\nsize = \"16 x 20 in\"");
        vec![PictureSizes {
            picture: "tart.jpg".to_owned(),
            upright_px: (2400, 3000),
            carried: largest_sizes(Some(&brief), (2400, 3000)),
        }]
    }

    #[test]
    fn the_table_says_how_each_size_is_viewed() {
        let text: Vec<String> = lines(&sizes()).iter().map(|line| line.text()).collect();
        assert_eq!(text[0], "tart.jpg  2400 x 3000 px");
        let wall = "16 x 20 in        150 ppi         0 %  on a wall, from 59 cm";
        assert_eq!(text[2], format!("{wall}  (=wall: below the brief's minimum)"));
        assert!(text.contains(&"8 x 10 in         300 ppi         0 %  at arm's length".to_owned()), "{text:#?}");
    }

    #[test]
    fn json_and_csv_hold_the_same() {
        let value: serde_json::Value = serde_json::from_slice(&json(&sizes())).unwrap();
        let first = &value[0]["sizes"][0];
        assert_eq!((&first["prints"], &first["ppi"]), (&serde_json::json!(["=wall"]), &serde_json::json!(150.0)));
        let csv = String::from_utf8(csv(&sizes())).unwrap();
        assert!(
            csv.lines()
                .nth(1)
                .unwrap()
                .starts_with("tart.jpg,'=wall,16 x 20 in,406.4,508,150.0,0.0000,wall,59,below minimum")
        );
    }
}
