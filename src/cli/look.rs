//! `plateside look`: pictures in the terminal, with facts from their files and pixels.

use std::path::Path;

use color_eyre::eyre::{Result, WrapErr};

use crate::cli::args::{LookArgs, LookFormat};
use crate::cli::output::{complain, say, write_bytes};
use crate::live::snapshot::ShownThumbnail;
use crate::picture::PictureKey;
use crate::reading::inspect::{FileInspector, UprightThumbnail};
use crate::report::{self, Exit, measured};
use crate::tui::look::Viewer;
use crate::units::styled::Line;

/// Shows pictures, or writes their measurements as JSON.
pub fn look(args: &LookArgs) -> Result<Exit> {
    if args.format == LookFormat::Json {
        return measures(args);
    }
    let viewer = Viewer::of_stdout(args.thumbnail.into()).wrap_err("the terminal cannot be used")?;
    let mut inspector = FileInspector::default();
    let mut exit = Exit::Clean;
    for (at, path) in args.pictures.iter().enumerate() {
        if at > 0 {
            say(&[Line::blank()], args.text.colour)?;
        }
        let look = report::look::look(path, &mut inspector);
        if let (Some(viewer), Some(thumbnail)) = (&viewer, look.thumbnail) {
            viewer.show(&shown(path, thumbnail, at as u64))?;
        }
        exit = exit.max(say(&look.lines, args.text.colour)?).max(Exit::could_not_if(!look.is_read));
    }
    Ok(exit)
}

/// Returns a thumbnail for the viewer; each has its own version number.
fn shown(path: &Path, upright: UprightThumbnail, version: u64) -> ShownThumbnail {
    let UprightThumbnail { width_px, height_px, rgb } = upright;
    let picture = PictureKey::of(path).0;
    ShownThumbnail { picture, version, width_px, height_px, rgb, is_preview: false, proof: None }
}

fn measures(args: &LookArgs) -> Result<Exit> {
    let mut exit = Exit::Clean;
    let found = report::look::measures(&args.pictures, &mut |words| {
        complain(&format!("plateside: {words}"));
        exit = exit.max(Exit::could_not_if(true));
    });
    Ok(write_bytes(&measured::json(&found))?.max(exit))
}
