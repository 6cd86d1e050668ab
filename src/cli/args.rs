//! The command line: one definition that help, completions and the man page are all made from.
//!
//! Only names and shapes; what a command does is in the file of its name.

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::units::spelling::nearest;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};

mod deciding;
mod help;
mod looking;
mod options;

pub use deciding::{AcceptArgs, ContactArgs, DeliverArgs, GuideArgs, SubjectArgs, TestPrintArgs, VerifyArgs};
pub use looking::{LookArgs, LookFormat, SizesArgs, SpecArgs};
pub use options::{ColourChoice, LiveOptions, OutputFormat, StrictnessOptions, TextOptions, WorkOptions};

/// Checks finished pictures against the printer's brief while you export them.
#[derive(Debug, Parser)]
#[command(
    name = "plateside",
    version,
    help_template = help::TEMPLATE,
    after_long_help = help::AFTER,
    args_conflicts_with_subcommands = true,
    subcommand_negates_reqs = true,
    disable_help_subcommand = true,
    subcommand_value_name = "COMMAND",
    override_usage = "plateside [OPTIONS] BRIEF FOLDER    opens the live table\n       plateside COMMAND [OPTIONS]"
)]
pub struct CommandLine {
    /// What to do; without a command, the live table opens.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// The brief: a TOML file with what the printer requires; plateside brief new writes one.
    #[arg(value_name = "BRIEF", requires = "folder")]
    pub brief: Option<PathBuf>,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: Option<PathBuf>,
    /// How the live table is set up.
    #[command(flatten)]
    pub live: LiveOptions,
    /// Append a log of what the program does to this file, for tracing a fault.
    #[arg(long, value_name = "FILE", global = true, hide_short_help = true)]
    pub log: Option<PathBuf>,
}

/// The command that a misspelt first word was meant for; without this it would be taken for a brief.
pub fn misspelt_command(first: &OsStr) -> Option<String> {
    let word = first.to_str().filter(|word| !word.starts_with('-') && !Path::new(word).exists())?;
    let line = CommandLine::command();
    let nearest = nearest(word, line.get_subcommands().map(clap::Command::get_name))?;
    (nearest != word).then(|| nearest.to_owned())
}

/// The command line that shows the help, where `help` is typed in front of a command or alone.
pub fn for_help(mut typed: Vec<OsString>) -> Option<Vec<OsString>> {
    let is_help = typed.get(1).is_some_and(|first| first == "help" && !Path::new(first).exists());
    if !is_help {
        return None;
    }
    typed.remove(1);
    typed.push("--help".into());
    Some(typed)
}

/// How a check is written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CheckFormat {
    /// Text, for reading.
    Text,
    /// JSON, for other programs.
    Json,
    /// CSV, for a spreadsheet.
    Csv,
    /// One HTML page with thumbnails, for a client.
    Html,
}

/// What to do; in the order of the work, as in [`help::TEMPLATE`].
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Look around: an invented order whose pictures arrive while you watch.
    Demo(DemoArgs),
    /// Write a brief, show its values, or list the questions for the printer.
    Brief {
        /// What to do with the brief.
        #[command(subcommand)]
        command: BriefCommand,
    },
    /// Before the shoot: write frames to overlay on the camera's picture, with trim, safe margin and folds.
    Guide(GuideArgs),
    /// Record the day this screen was calibrated, or show the day recorded; the views "on paper" say how long ago it
    /// was.
    Calibrated {
        /// The date: today, or year-month-day. Without it, the day recorded is shown.
        #[arg(value_name = "DATE")]
        date: Option<String>,
    },
    /// List what to export for each print, before there is a file: pixels, name, and the settings of one preset.
    Spec(SpecArgs),
    /// Check the pictures once and list what to fix.
    Check(CheckArgs),
    /// Watch the folder and write one line for each change; for screen readers and overnight runs.
    Watch(WatchArgs),
    /// Draw, show or remove the box around the subject: the part that trimming and cropping must not touch.
    Subject(SubjectArgs),
    /// Show pictures, with the facts that their files and pixels give.
    Look(LookArgs),
    /// List the print sizes that pictures have enough pixels for.
    Sizes(SizesArgs),
    /// Accept a finding that is intended, list what is accepted, or withdraw it.
    Accept(AcceptArgs),
    /// Write a contact sheet for the client or the designer: the pictures in page order, with boxes to tick.
    Contact(ContactArgs),
    /// List the pictures that deserve a test print, write the sheets, and note what you saw on them.
    Testprint(TestPrintArgs),
    /// Write a delivery: the checked pictures, their checksums and a note for the printer.
    Deliver(DeliverArgs),
    /// Prove that a delivery arrived unchanged, or list what is changed, missing or added.
    Verify(VerifyArgs),
    /// Open the handbook: a rule, a key of the brief, a state or a trade term; without a name, the contents.
    Explain(ExplainArgs),
    /// Write the completions for a shell to standard output.
    Completions {
        /// The shell.
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Write the man page to standard output.
    Man,
}

impl CommandLine {
    /// The brief that the command reads, and the folder or the first picture that follows it.
    pub fn brief_and_folder(&self) -> Option<(&Path, Option<&Path>)> {
        let Some(command) = &self.command else { return Some((self.brief.as_deref()?, self.folder.as_deref())) };
        let (brief, folder) = match command {
            Command::Brief { command: BriefCommand::Show(args) | BriefCommand::Answer(args) } => (&args.brief, None),
            Command::Brief { command: BriefCommand::Ask(args) } => (&args.brief.brief, None),
            Command::Guide(args) => (&args.brief, None),
            Command::Spec(args) => (&args.brief, None),
            Command::Check(args) => (&args.brief, args.pictures.first()),
            Command::Watch(args) => (&args.brief, Some(&args.folder)),
            Command::Subject(args) => (&args.brief, None),
            Command::Sizes(args) => (args.brief.as_ref()?, None),
            Command::Accept(args) => (&args.brief, None),
            Command::Contact(args) => (&args.brief, Some(&args.folder)),
            Command::Testprint(args) => (&args.brief, Some(&args.folder)),
            Command::Deliver(args) => (&args.brief, args.folder.as_ref()),
            Command::Brief { command: BriefCommand::New(_) }
            | Command::Demo(_)
            | Command::Calibrated { .. }
            | Command::Look(_)
            | Command::Verify(_)
            | Command::Explain(_)
            | Command::Completions { .. }
            | Command::Man => return None,
        };
        Some((brief, folder.map(PathBuf::as_path)))
    }
}

/// `plateside demo`
#[derive(Debug, Args)]
pub struct DemoArgs {
    /// Folder for the demo's pictures; created if it is not there.
    #[arg(long, value_name = "DIR", default_value = "plateside-demo")]
    pub into: PathBuf,
    /// Make the files without opening the live table.
    #[arg(long)]
    pub no_screen: bool,
    /// How the live table is set up.
    #[command(flatten)]
    pub live: LiveOptions,
}

/// `plateside check`
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The brief: what the printer requires.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder of exports, or some pictures of one folder.
    #[arg(value_name = "FOLDER|FILES", required = true)]
    pub pictures: Vec<PathBuf>,
    /// Format of the result.
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
    /// The brief: what the printer requires.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    /// The folder that you export into.
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Write one line for each change. For the live table, leave out watch --lines.
    #[arg(long)]
    pub lines: bool,
    /// Stop once nothing has changed for this long: 30s, 10m, 2h.
    #[arg(long, value_name = "TIME", value_parser = quiet_time)]
    pub until_quiet: Option<Duration>,
    #[command(flatten)]
    pub strictness: StrictnessOptions,
    /// Scan the folder at intervals instead of waiting for notifications; for network folders.
    #[arg(long, hide_short_help = true)]
    pub poll: bool,
    #[command(flatten)]
    pub work: WorkOptions,
}

/// `plateside brief`
#[derive(Debug, Subcommand)]
pub enum BriefCommand {
    /// Write a brief like a starter or like an earlier order; without a name, list the starters.
    New(NewBriefArgs),
    /// Show every value and whether it is required or usual, and the sizes of each print in mm and pixels.
    Show(BriefArgs),
    /// List what the brief leaves open, as questions for the printer.
    Ask(AskArgs),
    /// Ask at the prompt what is open, one question at a time, and write the printer's answers down.
    Answer(BriefArgs),
}

/// `plateside brief new`
#[derive(Debug, Args)]
pub struct NewBriefArgs {
    /// The starter; plateside brief new lists them.
    #[arg(value_name = "STARTER")]
    pub starter: Option<String>,
    /// Take printer, papers, sheet and answers from the brief of an earlier order, without its prints.
    #[arg(long, value_name = "LAST.toml", conflicts_with = "starter")]
    pub like: Option<PathBuf>,
    /// Take the prints from a picture list, as the designer sends it: XLSX, ODS or CSV.
    #[arg(long, value_name = "LIST")]
    pub from: Option<PathBuf>,
    /// The sheet that lists the prints, where the workbook has several.
    #[arg(long, value_name = "NAME", requires = "from")]
    pub sheet: Option<String>,
    /// File to write, or - for standard output; a file that exists is never overwritten [default: the starter's name;
    /// with --like, LAST-next.toml beside LAST.toml].
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,
}

/// `plateside brief ask`
#[derive(Debug, Args)]
pub struct AskArgs {
    #[command(flatten)]
    pub brief: BriefArgs,
    /// Write the questions as a mail to the printer.
    #[arg(long)]
    pub message: bool,
}

/// `plateside brief show` and `plateside brief answer`
#[derive(Debug, Args)]
pub struct BriefArgs {
    /// The brief: what the printer requires.
    #[arg(value_name = "BRIEF")]
    pub brief: PathBuf,
    #[command(flatten)]
    pub text: TextOptions,
}

/// `plateside explain`
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// A rule (density.minimum), a key of the brief (margins.safe), a state (FIX) or a trade term (full bleed). Without
    /// it, every page is listed.
    #[arg(value_name = "NAME")]
    pub name: Vec<String>,
    #[command(flatten)]
    pub text: TextOptions,
}

/// Reads `30s`, `10m`, `2h`, `1h 30m`.
fn quiet_time(text: &str) -> Result<Duration, String> {
    let advice = || format!("\"{text}\" is not a time: write for example 30s, 10m or 2h");
    let time: jiff::SignedDuration = text.parse().map_err(|_| advice())?;
    Duration::try_from(time).ok().filter(|time| !time.is_zero()).ok_or_else(advice)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::options::ThumbnailChoice;
    use super::*;

    fn read(words: &[&str]) -> Result<CommandLine, clap::Error> {
        CommandLine::try_parse_from(std::iter::once(&"plateside").chain(words))
    }

    #[test]
    fn the_definition_holds_together() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn the_short_help_names_every_command_and_fits_a_screen() {
        let command = CommandLine::command().term_width(80);
        let help = command.clone().render_help().to_string();
        for sub in command.get_subcommands() {
            assert!(help.contains(&format!(" {}", sub.get_name())), "{}", sub.get_name());
        }
        assert!(help.lines().count() <= 24 && help.lines().all(|line| line.chars().count() <= 80), "{help}");
    }

    #[test]
    fn the_brief_is_known_for_every_command_that_reads_one() {
        let of = |words: &[&str]| {
            let line = read(words).unwrap();
            line.brief_and_folder().map(|(brief, folder)| (brief.to_owned(), folder.map(Path::to_owned)))
        };
        let (brief, folder) = (PathBuf::from("b.toml"), Some(PathBuf::from("exports")));
        for words in [
            &["b.toml", "exports"][..],
            &["check", "b.toml", "exports"],
            &["watch", "--lines", "b.toml", "exports"],
            &["testprint", "b.toml", "exports"],
            &["deliver", "b.toml", "exports", "--into", "out"],
        ] {
            assert_eq!(of(words), Some((brief.clone(), folder.clone())), "{words:?}");
        }
        assert_eq!(of(&["brief", "show", "b.toml"]), Some((brief, None)));
        assert_eq!(of(&["explain"]), None);
    }

    #[test]
    fn a_brief_and_a_folder_open_the_live_table_with_or_without_options() {
        let line = read(&["low-water.toml", "exports", "--thumbnail", "blocks", "--jobs", "2"]).unwrap();
        assert!(line.command.is_none());
        assert_eq!(line.folder, Some(PathBuf::from("exports")));
        assert_eq!((line.live.thumbnail, line.live.work.jobs), (ThumbnailChoice::Blocks, Some(2)));
        assert!(read(&["--poll", "low-water.toml", "exports"]).unwrap().live.poll);
        assert!(read(&[]).unwrap().brief.is_none());
    }

    #[test]
    fn every_command_has_a_page_in_the_handbook() {
        let line = CommandLine::command();
        for command in line.get_subcommands() {
            let own = command.get_subcommands().map(|one| format!("{} {}", command.get_name(), one.get_name()));
            for name in own.chain([command.get_name().to_owned()]) {
                assert!(crate::report::explain::page(&name).is_ok(), "{name}");
            }
        }
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
