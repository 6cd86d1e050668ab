//! What is decided by hand at the prompt, and what is handed over.

use std::path::PathBuf;

use clap::Args;

use crate::args::{TextOptions, WorkOptions};

/// `plateside subject`
#[derive(Debug, Args)]
pub struct SubjectArgs {
    /// What the printer asked for; boxes are kept beside it, in NAME.accepted.toml.
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
    /// What the printer asked for; what stands is kept beside it, in NAME.accepted.toml.
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

/// `plateside deliver`
#[derive(Debug, Args)]
pub struct DeliverArgs {
    /// What the printer asked for.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Where the handover is laid: a folder that is not there yet.
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,
    /// Only the prints of this batch.
    #[arg(long, value_name = "N")]
    pub batch: Option<u32>,
    /// Only these pictures.
    #[arg(long, value_name = "PICTURE", num_args = 1.., conflicts_with = "batch")]
    pub only: Vec<PathBuf>,
    /// Only what is new or changed since an earlier handover of this order: its folder.
    #[arg(long, value_name = "DIR")]
    pub since: Option<PathBuf>,
    /// Refuse while there is a warning.
    #[arg(long)]
    pub strict: bool,
    #[command(flatten)]
    pub work: WorkOptions,
}

/// `plateside verify`
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// The handover.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}
