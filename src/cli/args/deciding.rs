//! Arguments of the commands that decide, deliver and print.

use std::path::PathBuf;

use crate::units::Size;
use clap::Args;

use super::options::{TextOptions, WorkOptions};

/// `plateside subject`
#[derive(Debug, Args)]
pub struct SubjectArgs {
    /// What the printer asked for; boxes are kept beside it, in NAME.decisions.toml.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The picture; without --box or --remove its box is shown.
    #[arg(value_name = "PICTURE")]
    pub picture: PathBuf,
    /// The box, each side counted from the upright picture's left or top edge: a share (0.2), per cent, pixels (400px)
    /// or a length on paper (12mm). Put it in quotes where it has blanks or per cent: "20%,30%,70%,80%".
    #[arg(long = "box", value_name = "LEFT,TOP,RIGHT,BOTTOM", allow_hyphen_values = true, conflicts_with = "remove")]
    pub area: Option<String>,
    /// Take the box away.
    #[arg(long)]
    pub remove: bool,
    /// For this print alone, by its name or id; without it, for every print that has no box of its own.
    #[arg(long, value_name = "NAME")]
    pub print: Option<String>,
    /// The watched folder, where the picture lies in one of its sub-folders; without it, the picture's own folder.
    #[arg(long, value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside accept`
#[derive(Debug, Args)]
#[command(override_usage = "plateside accept BRIEF PICTURE RULE[:ABOUT] --reason TEXT\n       plateside accept BRIEF \
    PICTURE RULE[:ABOUT] --withdraw\n       plateside accept BRIEF --list")]
pub struct AcceptArgs {
    /// What the printer asked for; what stands is kept beside it, in NAME.decisions.toml.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The picture.
    #[arg(value_name = "PICTURE", required_unless_present = "list", conflicts_with = "list")]
    pub picture: Option<PathBuf>,
    /// The rule, and which of its findings where it has several: margins.trim:left.
    #[arg(value_name = "RULE[:ABOUT]", required_unless_present = "list")]
    pub rule: Option<String>,
    /// Why it may stand.
    #[arg(long, value_name = "TEXT", required_unless_present_any = ["withdraw", "list"], conflicts_with = "withdraw")]
    pub reason: Option<String>,
    /// Who lets it stand; without it, the name in settings.toml, else your login.
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// Who allowed it, the client or the printer; needed where the brief says that it must hold.
    #[arg(long, value_name = "NAME")]
    pub allowed_by: Option<String>,
    /// For this print alone, by its name or id; without it, for every print that has this finding.
    #[arg(long, value_name = "NAME")]
    pub print: Option<String>,
    /// The watched folder; without it, the picture's own.
    #[arg(long, value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// Take it back.
    #[arg(long, conflicts_with = "list")]
    pub withdraw: bool,
    /// List what stands.
    #[arg(long)]
    pub list: bool,
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
    /// What the printer asked for; what was seen is kept beside it, in NAME.decisions.toml.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// The paper of the sheets.
    #[arg(long, value_name = "SIZE", default_value = "8 x 10 in", value_parser = sheet)]
    pub onto: Size,
    /// Where the sheets are laid: a folder that is not there yet; without it, the pictures are only ranked.
    #[arg(long, value_name = "DIR")]
    pub into: Option<PathBuf>,
    /// Each picture whole, with a sheet for itself, instead of strips at the scale of its print.
    #[arg(long)]
    pub whole: bool,
    /// These pictures, whatever speaks for them.
    #[arg(long, value_name = "PICTURE", num_args = 1..)]
    pub only: Vec<PathBuf>,
    /// At most so many pictures, those that deserve it most.
    #[arg(long, value_name = "N", default_value_t = 6, value_parser = clap::value_parser!(u16).range(1..))]
    pub most: u16,
    /// For this print alone, by its name or id.
    #[arg(long, value_name = "NAME", requires = "only")]
    pub print: Option<String>,
    /// Keep what was seen on the chosen pictures' test prints.
    #[arg(long, value_name = "TEXT", requires = "only", conflicts_with_all = ["into", "whole"])]
    pub seen: Option<String>,
    /// What was seen is not good enough: the test print stays open until there is another export.
    #[arg(long, requires = "seen")]
    pub not_good: bool,
    /// Take back what was said of the chosen pictures' test prints.
    #[arg(long, requires = "only", conflicts_with_all = ["seen", "into", "whole"])]
    pub withdraw: bool,
    /// Who looked; without it, the name in settings.toml, else your login.
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    #[command(flatten)]
    pub work: WorkOptions,
    #[command(flatten)]
    pub text: TextOptions,
}

/// Reads the paper of a sheet.
fn sheet(text: &str) -> Result<Size, String> {
    text.parse::<Size>().map_err(|error| error.to_string())
}

/// `plateside deliver`
#[derive(Debug, Args)]
pub struct DeliverArgs {
    /// What the printer asked for.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Where the delivery is laid: a folder that is not there yet.
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,
    /// Only the prints of this batch.
    #[arg(long, value_name = "N")]
    pub batch: Option<u32>,
    /// Only these pictures.
    #[arg(long, value_name = "PICTURE", num_args = 1.., conflicts_with = "batch")]
    pub only: Vec<PathBuf>,
    /// Only what is new or changed since an earlier delivery of this order: its folder.
    #[arg(long, value_name = "DIR")]
    pub since: Option<PathBuf>,
    /// Refuse while there is a warning.
    #[arg(long)]
    pub strict: bool,
    /// Also as one archive beside it: DIR.zip.
    #[arg(long)]
    pub zip: bool,
    #[command(flatten)]
    pub work: WorkOptions,
}

/// `plateside verify`
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// The delivery.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// `plateside guide`
#[derive(Debug, Args)]
pub struct GuideArgs {
    /// What the printer asked for.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The print, by its name or id; without it, a frame for each.
    #[arg(value_name = "PRINT")]
    pub print: Option<String>,
    /// The camera's shape.
    #[arg(long, value_name = "WIDTH:HEIGHT", default_value = "3:2", value_parser = shape)]
    pub frame: (u32, u32),
    /// The frame's longer side in pixels.
    #[arg(long, value_name = "PIXELS", default_value_t = 3_000,
        value_parser = clap::value_parser!(u32).range(300..=12_000))]
    pub size: u32,
    /// Where the frames are laid: a folder that is not there yet.
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,
}

/// Reads `3:2`.
fn shape(text: &str) -> Result<(u32, u32), String> {
    const MOST: u32 = 1_000;
    let number = |text: &str| text.trim().parse::<u32>().ok().filter(|number| (1..=MOST).contains(number));
    let sides = text.split_once(':').and_then(|(wide, high)| Some((number(wide)?, number(high)?)));
    let slender = |(wide, high): &(u32, u32)| wide.max(high) / wide.min(high) > 10;
    sides.filter(|sides| !slender(sides)).ok_or_else(|| format!("\"{text}\" is no shape: write for example 3:2 or 4:3"))
}
