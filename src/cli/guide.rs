//! `plateside guide`: frames to overlay on the camera's picture before the shoot.

use color_eyre::eyre::Result;

use crate::cli::args::{ColourChoice, GuideArgs};
use crate::cli::output::{report_problems, say};
use crate::report::Exit;
use crate::report::guide::{GuideError, GuideRequest, write};
use crate::units::show;
use crate::units::styled::Line;

/// Writes a frame for each print, or for one.
pub fn guide(args: &GuideArgs) -> Result<Exit> {
    let (brief, print, into) = (args.brief.as_path(), args.print.as_deref(), args.into.as_path());
    match write(&GuideRequest { brief, print, shape: args.frame, longer_px: args.size, into }) {
        Ok(count) => {
            let them = if count == 1 { "it" } else { "them" };
            let count = show::count(count, "frame", "frames");
            let words = format!("{count} written to {}: overlay {them} on the camera's picture", into.display());
            say(&[Line::plain(words)], ColourChoice::Auto)
        }
        Err(GuideError::Mistakes(problems)) => Ok(report_problems(&problems)),
        Err(other) => Err(other.into()),
    }
}
