//! The command line: one definition that help, completions and the man page are all made from.
//!
//! Only names and shapes; what a command does is in the file of its name.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::units::spelling::nearest;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};

mod deciding;
mod options;

pub use deciding::{AcceptArgs, DeliverArgs, GuideArgs, SubjectArgs, TestPrintArgs, VerifyArgs};
pub use options::{ColourChoice, LiveOptions, StrictnessOptions, TextOptions, ThumbnailChoice, WorkOptions};

/// What stands at the end of the long help and of the man page.
const AFTER: &str = "\
Exit status of check, watch, deliver, verify and the live table: 0 nothing to fix (warnings allowed unless --strict, \
missing pictures allowed unless --complete); 1 something to fix; 2 it could not be done.

NO_COLOR is honoured. plateside only reads your pictures: it never changes one.";

/// Checks finished pictures against the printer's brief while you export them.
#[derive(Debug, Parser)]
#[command(
    name = "plateside",
    version,
    after_long_help = AFTER,
    args_conflicts_with_subcommands = true,
    subcommand_negates_reqs = true,
    disable_help_subcommand = true,
    subcommand_value_name = "COMMAND",
    override_usage = "plateside [OPTIONS] BRIEF FOLDER\n       plateside COMMAND"
)]
pub struct CommandLine {
    /// What to do; without a command the live table is opened.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// What the printer asked for: a TOML file, see `plateside brief new`.
    #[arg(value_name = "BRIEF", requires = "folder")]
    pub brief: Option<PathBuf>,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// How the live table is set up.
    #[command(flatten)]
    pub live: LiveOptions,
    /// Write what the program does to the end of a file, for whoever looks for a fault.
    #[arg(long, value_name = "FILE", global = true)]
    pub log: Option<PathBuf>,
}

/// The command that a first word was meant for, where it is none, names no file and is spelt nearly so: it would be
/// taken for a brief.
pub fn meant(first: &OsStr) -> Option<String> {
    let word = first.to_str().filter(|word| !word.starts_with('-') && !Path::new(word).exists())?;
    let line = CommandLine::command();
    let nearest = nearest(word, line.get_subcommands().map(clap::Command::get_name))?;
    (nearest != word).then(|| nearest.to_owned())
}

/// Options that had another name, and the one that they have now.
const RENAMED: &[(&str, &str)] = &[("--choose", "--only")];

/// Adds the new name of an option to the error about its old one.
pub fn with_new_names(mut error: clap::Error) -> clap::Error {
    use clap::error::{ContextKind, ContextValue};
    let Some(ContextValue::String(name)) = error.get(ContextKind::InvalidArg) else { return error };
    if let Some((_, now)) = RENAMED.iter().find(|(old, _)| old == name) {
        error.insert(ContextKind::SuggestedArg, ContextValue::String((*now).to_owned()));
    }
    error
}

/// How a list is written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum OutputFormat {
    /// For reading.
    Text,
    /// For programs.
    Json,
    /// For spreadsheets.
    Csv,
}

/// How a check is written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CheckFormat {
    /// For reading.
    Text,
    /// For programs.
    Json,
    /// For spreadsheets.
    Csv,
    /// One page for a client, with small pictures.
    Html,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Look around: an invented order whose pictures are painted while you watch.
    Demo(DemoArgs),
    /// Check the pictures once and say what is to fix.
    Check(CheckArgs),
    /// Watch the folder and write a line for every change; for screen readers and night runs.
    Watch(WatchArgs),
    /// Write, read and ask about briefs.
    Brief {
        /// What to do with the brief.
        #[command(subcommand)]
        command: BriefCommand,
    },
    /// Open the handbook: a rule, a key of the brief, or the list of all rules.
    Explain(ExplainArgs),
    /// Draw, show or take away the part of a picture that must survive cutting and cropping.
    Subject(SubjectArgs),
    /// Let a finding stand that is meant so, list what stands, or take it back.
    Accept(AcceptArgs),
    /// Say which pictures deserve a test print and why, lay sheets of them, and keep what was seen on them.
    Testprint(TestPrintArgs),
    /// Lay the delivery: exactly the checked pictures, checksums, and a note for the printer.
    Deliver(DeliverArgs),
    /// Prove that a delivery is what was laid; names what is changed, missing or added.
    Verify(VerifyArgs),
    /// Write frames to lay over the camera's picture before the shoot: cut, safe margin and folds of each print.
    Guide(GuideArgs),
    /// Show a picture and what its file says of itself.
    Look(LookArgs),
    /// Note when the screen in front of you was calibrated; the views of a picture on paper say it.
    Calibrated {
        /// The day: today, or year-month-day; without it, what is noted is said.
        #[arg(value_name = "DATE")]
        date: Option<String>,
    },
    /// List the sizes that pictures carry, and what each is good for.
    Sizes(SizesArgs),
    /// Write the completions of a shell to standard output.
    Completions {
        /// The shell.
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Write the man page to standard output.
    Man,
}

/// `plateside demo`
#[derive(Debug, Args)]
pub struct DemoArgs {
    /// Where the pictures are painted; made if it is not there.
    #[arg(long, value_name = "DIR", default_value = "plateside-demo")]
    pub into: PathBuf,
    /// Only make the files, do not open the live table.
    #[arg(long)]
    pub no_screen: bool,
    /// How the live table is set up.
    #[command(flatten)]
    pub live: LiveOptions,
}

/// `plateside check`
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// What the printer asked for.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder, or some pictures of one folder.
    #[arg(value_name = "FOLDER|FILES", required = true)]
    pub pictures: Vec<PathBuf>,
    /// How the result is written.
    #[arg(long, value_enum, default_value_t = CheckFormat::Text)]
    pub format: CheckFormat,
    #[command(flatten)]
    pub strictness: StrictnessOptions,
    #[command(flatten)]
    pub work: WorkOptions,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside watch`
#[derive(Debug, Args)]
#[command(override_usage = "plateside watch --lines [OPTIONS] BRIEF FOLDER")]
pub struct WatchArgs {
    /// What the printer asked for.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// A line for every change (for the table that watches, leave out `watch --lines`).
    #[arg(long)]
    pub lines: bool,
    /// End once nothing has changed for so long: 30s, 10m, 2h.
    #[arg(long, value_name = "TIME", value_parser = quiet_time)]
    pub until_quiet: Option<Duration>,
    #[command(flatten)]
    pub strictness: StrictnessOptions,
    #[command(flatten)]
    pub work: WorkOptions,
    /// Look at the folder again and again instead of waiting to be told; for network folders.
    #[arg(long)]
    pub poll: bool,
}

/// `plateside brief`
#[derive(Debug, Subcommand)]
pub enum BriefCommand {
    /// Write a commented brief from a starter; without a name, list the starters.
    New(NewBriefArgs),
    /// Show the effective brief, where each value comes from, and each print's geometry.
    Show(BriefArgs),
    /// List what the brief leaves open, as questions to the printer.
    Ask(BriefArgs),
}

/// `plateside brief new`
#[derive(Debug, Args)]
pub struct NewBriefArgs {
    /// The starter to begin from.
    #[arg(value_name = "STARTER")]
    pub starter: Option<String>,
    /// Begin from a picture list: a spreadsheet saved as CSV.
    #[arg(long, value_name = "LIST.csv")]
    pub from: Option<PathBuf>,
    /// The file to write, `-` for standard output; never one that is there already. Without it, the starter's name.
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
}

/// `plateside brief show` and `plateside brief ask`
#[derive(Debug, Args)]
pub struct BriefArgs {
    /// What the printer asked for.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside explain`
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// A rule (`density.minimum`), a key of the brief (`margins.safe`), a state or a word of the trade (`dpi`); without
    /// it, every rule by its group.
    #[arg(value_name = "RULE")]
    pub name: Option<String>,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside look`
#[derive(Debug, Args)]
pub struct LookArgs {
    /// The pictures.
    #[arg(value_name = "PICTURE", required = true)]
    pub pictures: Vec<PathBuf>,
    /// How to write; json is what the pixels say, for other programs.
    #[arg(long, value_enum, default_value_t = LookFormat::Text)]
    pub format: LookFormat,
    /// How thumbnails are drawn.
    #[arg(long, value_enum, value_name = "HOW", default_value_t = ThumbnailChoice::Auto)]
    pub thumbnail: ThumbnailChoice,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside sizes`
#[derive(Debug, Args)]
pub struct SizesArgs {
    /// The pictures, or folders of them; only their headers are read.
    #[arg(value_name = "PICTURE", required = true)]
    pub pictures: Vec<PathBuf>,
    /// Also this brief's prints, and whether it is content with them.
    #[arg(long, value_name = "BRIEF")]
    pub brief: Option<PathBuf>,
    /// How to write.
    #[arg(long, value_enum, default_value_t = OutputFormat::Text)]
    pub format: OutputFormat,
    #[command(flatten)]
    pub text: TextOptions,
}

/// How `look` writes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum LookFormat {
    /// Thumbnail, facts and measures for reading.
    #[default]
    Text,
    /// Measures as JSON.
    Json,
}

/// Reads `30s`, `10m`, `2h`, `1h 30m`.
fn quiet_time(text: &str) -> Result<Duration, String> {
    let advice = || format!("\"{text}\" is no time: write for example 30s, 10m or 2h");
    let time: jiff::SignedDuration = text.parse().map_err(|_| advice())?;
    Duration::try_from(time).ok().filter(|time| !time.is_zero()).ok_or_else(advice)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    fn read(words: &[&str]) -> Result<CommandLine, clap::Error> {
        CommandLine::try_parse_from(std::iter::once(&"plateside").chain(words))
    }

    #[test]
    fn the_definition_holds_together() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn a_brief_and_a_folder_open_the_live_table_with_or_without_options() {
        let line = read(&["low-water.toml", "exports", "--thumbnail", "blocks", "--jobs", "2"]).unwrap();
        assert!(line.command.is_none());
        assert_eq!(line.folder, Some(PathBuf::from("exports")));
        assert_eq!((line.live.thumbnail, line.live.work.jobs), (ThumbnailChoice::Blocks, Some(2)));
        assert!(read(&["--poll", "low-water.toml", "exports"]).unwrap().live.poll);
        assert!(read(&["low-water.toml"]).is_err(), "a brief without a folder");
        assert!(read(&[]).unwrap().brief.is_none());
    }

    #[test]
    fn quiet_times_are_read_with_their_units() {
        assert_eq!(quiet_time("10m"), Ok(Duration::from_secs(600)));
        assert_eq!(quiet_time("1h 30m"), Ok(Duration::from_secs(5_400)));
        for wrong in ["10", "", "0s", "-5m", "soon"] {
            assert!(quiet_time(wrong).unwrap_err().contains("write for example"), "{wrong}");
        }
    }

    #[test]
    fn a_check_takes_a_folder_or_files() {
        let line = read(&["check", "b.toml", "one.jpg", "two.jpg", "--format", "json", "--strict"]).unwrap();
        let Some(Command::Check(check)) = line.command else { panic!("no check") };
        assert_eq!((check.pictures.len(), check.format, check.strictness.strict), (2, CheckFormat::Json, true));
        assert!(read(&["check", "b.toml"]).is_err());
        assert!(read(&["check", "b.toml", "x", "--jobs", "0"]).is_err());
    }
}
