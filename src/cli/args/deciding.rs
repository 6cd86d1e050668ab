//! Arguments of the commands that decide, deliver and print.

use std::path::PathBuf;

use clap::Args;
use jiff::civil::Date;

use crate::report::contact::arrange::Grid;
use crate::units::Size;
use crate::user::clock;

use super::options::{TextOptions, WorkOptions};

/// `plateside subject`
#[derive(Debug, Args)]
pub struct SubjectArgs {
    /// The brief; boxes are kept next to it, in NAME.decisions.toml.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The picture; without --box or --remove, its box is shown.
    #[arg(value_name = "PICTURE")]
    pub picture: PathBuf,
    /// The box: each side measured from the left or top edge of the upright picture, as a share (0.2), a percentage,
    /// pixels (400px) or a length on paper (12mm). Quote it: "20%,30%,70%,80%".
    #[arg(long = "box", value_name = "LEFT,TOP,RIGHT,BOTTOM", allow_hyphen_values = true, conflicts_with = "remove")]
    pub area: Option<String>,
    /// For this print only, by its name or id. Without it, for every print that has no box of its own.
    #[arg(long, value_name = "NAME")]
    pub print: Option<String>,
    /// The folder of exports, if the picture is in one of its sub-folders [default: the picture's folder].
    #[arg(long, value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// Remove the box.
    #[arg(long)]
    pub remove: bool,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside accept`
#[derive(Debug, Args)]
#[command(override_usage = "plateside accept BRIEF PICTURE RULE[:WHICH] --reason TEXT\n       plateside accept BRIEF \
    --list\n       plateside accept BRIEF PICTURE RULE[:WHICH] --withdraw")]
pub struct AcceptArgs {
    /// The brief; accepted findings are kept next to it, in NAME.decisions.toml.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The picture.
    #[arg(value_name = "PICTURE", required_unless_present = "list", conflicts_with = "list")]
    pub picture: Option<PathBuf>,
    /// The rule, and which of its findings if there are several: margins.trim:left.
    #[arg(value_name = "RULE[:WHICH]", required_unless_present = "list")]
    pub rule: Option<String>,
    /// Why the finding is accepted.
    #[arg(long, value_name = "TEXT", required_unless_present_any = ["withdraw", "list"], conflicts_with = "withdraw")]
    pub reason: Option<String>,
    /// Who allowed it, the client or the printer; needed for a rule at level must.
    #[arg(long, value_name = "NAME")]
    pub allowed_by: Option<String>,
    /// Name the finding on the printer's note, with the reason.
    #[arg(long, conflicts_with_all = ["withdraw", "list"])]
    pub on_note: bool,
    /// Who accepts it [default: the name in settings.toml, else your login].
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// For this print only, by its name or id. Without it, for every print with this finding.
    #[arg(long, value_name = "NAME")]
    pub print: Option<String>,
    /// The folder of exports, if the picture is in one of its sub-folders [default: the picture's folder].
    #[arg(long, value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// List what is accepted.
    #[arg(long)]
    pub list: bool,
    /// Withdraw an acceptance.
    #[arg(long, conflicts_with = "list")]
    pub withdraw: bool,
    #[command(flatten)]
    pub work: WorkOptions,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside testprint`
#[derive(Debug, Args)]
#[command(
    override_usage = "plateside testprint BRIEF FOLDER\n       plateside testprint BRIEF FOLDER --into DIR [--onto \
    SIZE] [--whole] [--only PICTURE...]\n       plateside testprint BRIEF FOLDER --only PICTURE... --seen TEXT"
)]
pub struct TestPrintArgs {
    /// The brief; what you saw is kept next to it, in NAME.decisions.toml.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// New folder for the sheets. Without it, the pictures are only listed.
    #[arg(long, value_name = "DIR")]
    pub into: Option<PathBuf>,
    /// Paper size of the sheets.
    #[arg(long, value_name = "SIZE", default_value = "8 x 10 in", value_parser = sheet)]
    pub onto: Size,
    /// Only these pictures, listed or not.
    #[arg(long, value_name = "PICTURE", num_args = 1..)]
    pub only: Vec<PathBuf>,
    /// At most this many pictures, the most deserving first.
    #[arg(long, value_name = "N", default_value_t = 6, value_parser = at_most)]
    pub most: u16,
    /// One whole picture on each sheet, instead of strips at the scale of the print.
    #[arg(long)]
    pub whole: bool,
    /// For this print only, by its name or id.
    #[arg(long, value_name = "NAME", requires = "only")]
    pub print: Option<String>,
    /// Note what you saw on the test prints of the chosen pictures.
    #[arg(long, value_name = "TEXT", requires = "only", conflicts_with_all = ["into", "whole"])]
    pub seen: Option<String>,
    /// With --seen: not good enough. The row is FIX until there is another export.
    #[arg(long, requires = "seen")]
    pub not_good: bool,
    /// Who looked [default: the name in settings.toml, else your login].
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// Withdraw what was noted about the chosen pictures.
    #[arg(long, requires = "only", conflicts_with_all = ["seen", "into", "whole"])]
    pub withdraw: bool,
    #[command(flatten)]
    pub work: WorkOptions,
    #[command(flatten)]
    pub text: TextOptions,
}

/// Reads the paper of a sheet.
fn sheet(text: &str) -> Result<Size, String> {
    text.parse::<Size>().map_err(|error| error.to_string())
}

/// Reads how many pictures go onto sheets at most.
fn at_most(text: &str) -> Result<u16, String> {
    let number = text.parse::<u16>().ok().filter(|number| *number > 0);
    number.ok_or_else(|| format!("write a whole number from 1 to {}", u16::MAX))
}

/// `plateside deliver`
#[derive(Debug, Args)]
#[command(override_usage = "plateside deliver BRIEF FOLDER --into DIR [--since last|DIR]\n       plateside deliver \
    BRIEF FOLDER --into DIR --batch N|--only PICTURE...\n       plateside deliver BRIEF --received DATE [--into DIR]\n\
    \x20      plateside deliver BRIEF --list")]
pub struct DeliverArgs {
    /// The brief; what was sent is kept next to it, in NAME.decisions.toml.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER", required_unless_present_any = ["received", "list"])]
    pub folder: Option<PathBuf>,
    /// New folder for the delivery.
    #[arg(long, value_name = "DIR", required_unless_present_any = ["received", "list"])]
    pub into: Option<PathBuf>,
    /// Only the prints of this batch.
    #[arg(long, value_name = "N", value_parser = batch_number)]
    pub batch: Option<u32>,
    /// Only these pictures.
    #[arg(long, value_name = "PICTURE", num_args = 1.., conflicts_with = "batch")]
    pub only: Vec<PathBuf>,
    /// Only what is new or changed since all that was sent of this order: last; or since the delivery in a folder.
    #[arg(long, value_name = "last|DIR")]
    pub since: Option<PathBuf>,
    /// Refuse while a picture is WARN.
    #[arg(long)]
    pub strict: bool,
    /// Also write an archive next to it: DIR.zip.
    #[arg(long)]
    pub zip: bool,
    /// Note the day on which the printer confirmed that the last delivery, or the one in --into DIR, arrived whole:
    /// today, or year-month-day.
    #[arg(long, value_name = "DATE", value_parser = day,
        conflicts_with_all = ["folder", "batch", "only", "since", "strict", "zip", "list"])]
    pub received: Option<Date>,
    /// List what was sent, to whom and when.
    #[arg(long, conflicts_with_all = ["folder", "into", "batch", "only", "since", "strict", "zip"])]
    pub list: bool,
    #[command(flatten)]
    pub work: WorkOptions,
}

/// Reads `today` or a date that is not after it.
fn day(text: &str) -> Result<Date, String> {
    let today = clock::local().date();
    if text == "today" {
        return Ok(today);
    }
    let date = text.parse::<Date>().map_err(|_| format!("\"{text}\" is not a date: write today, or {today}"))?;
    if date > today { Err(format!("{date} is still to come: today is {today}")) } else { Ok(date) }
}

/// Highest number of a batch, as for the key `batch` of a print.
const LAST_BATCH: u32 = 99_999;

/// Reads the number of a batch.
fn batch_number(text: &str) -> Result<u32, String> {
    let number = text.parse::<u32>().ok().filter(|number| (1..=LAST_BATCH).contains(number));
    number.ok_or_else(|| format!("write a whole number from 1 to {LAST_BATCH}"))
}

/// `plateside contact`
#[derive(Debug, Args)]
pub struct ContactArgs {
    /// The brief: what the printer requires.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// HTML file to write; a file that exists is never overwritten.
    #[arg(long, value_name = "FILE.html")]
    pub into: PathBuf,
    /// Pictures on a page: 6, or 9. Facing pages stay side by side, so a page may hold fewer.
    #[arg(long, value_name = "6|9", default_value = "6", value_parser = grid)]
    pub per_page: Grid,
    /// Show each picture's state and findings: for you, rather than for the client.
    #[arg(long)]
    pub states: bool,
    #[command(flatten)]
    pub work: WorkOptions,
}

/// Reads how many pictures are on a page of a contact sheet.
fn grid(text: &str) -> Result<Grid, String> {
    match text {
        "6" => Ok(Grid::SIX),
        "9" => Ok(Grid::NINE),
        _ => Err("write 6 or 9".to_owned()),
    }
}

/// `plateside verify`
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// The folder of the delivery.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// `plateside guide`
#[derive(Debug, Args)]
pub struct GuideArgs {
    /// The brief: what the printer requires.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The print, by its name or id. Without it, a frame for each print.
    #[arg(value_name = "PRINT")]
    pub print: Option<String>,
    /// New folder for the frames.
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,
    /// Aspect ratio of the camera's picture.
    #[arg(long, value_name = "WIDTH:HEIGHT", default_value = "3:2", value_parser = aspect_ratio)]
    pub frame: (u32, u32),
    /// Longer side of the frame in pixels.
    #[arg(long, value_name = "PIXELS", default_value_t = 3_000, value_parser = longer_side)]
    pub size: u32,
}

/// Least and most pixels of a frame's longer side. Own choice.
const FRAME_PX: (u32, u32) = (300, 12_000);

/// Reads the longer side of a frame.
fn longer_side(text: &str) -> Result<u32, String> {
    let (least, most) = FRAME_PX;
    let number = text.parse::<u32>().ok().filter(|number| (least..=most).contains(number));
    number.ok_or_else(|| format!("write a whole number from {least} to {most}"))
}

/// Reads `3:2`.
fn aspect_ratio(text: &str) -> Result<(u32, u32), String> {
    const MAX: u32 = 1_000;
    let number = |text: &str| text.trim().parse::<u32>().ok().filter(|number| (1..=MAX).contains(number));
    let sides = text.split_once(':').and_then(|(wide, high)| Some((number(wide)?, number(high)?)));
    let slender = |(wide, high): &(u32, u32)| wide.max(high) / wide.min(high) > 10;
    let advice = || format!("\"{text}\" is not an aspect ratio: write for example 3:2 or 4:3");
    sides.filter(|sides| !slender(sides)).ok_or_else(advice)
}
