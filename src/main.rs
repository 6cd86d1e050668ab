//! Arguments, then hands over. Nothing is decided here but which part does the work and where its words go.
#![forbid(unsafe_code)]

mod args;
mod calibration;
mod checking;
mod decisions;
mod desk_delivery;
mod folders;
mod handing_over;
mod live;
mod manual;
mod person;
mod pictures;
mod stopping;
mod test_printing;

use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;
use std::thread::{self, available_parallelism};

use clap::{CommandFactory, Parser};
use color_eyre::eyre::{Report, Result, WrapErr, eyre};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use plateside::brief::{self, Brief, Problem};
use plateside::demo::{Outcome, Profiles, Summary, known, make};
use plateside::desk::atomic;
use plateside::desk::inspect::FileInspector;
use plateside::desk::limits;
use plateside::desk::means::Means;
use plateside::desk::subject::{self, Sought};
use plateside::desk::unfinished;
use plateside::handover::new_brief::{self, NewBriefError};
use plateside::handover::{Exit, begin, brief_words, explain};
use plateside::judge::ranked_ids;
use plateside::screen::print::{self, Paper};
use plateside::units::styled::Line;
use plateside::units::words;

use args::{
    BriefCommand, ColourChoice, Command, CommandLine, DemoArgs, ExplainArgs, NewBriefArgs, TextOptions, WatchArgs,
    WorkOptions,
};

/// The demo's brief, and its names in the demo's folder.
const DEMO_BRIEF: &str = include_str!("../demo/low-water.toml");
const DEMO_BRIEF_NAME: &str = "low-water.toml";
const DEMO_EXPORTS: &str = "exports";

fn main() -> ExitCode {
    let first = std::env::args_os().nth(1);
    if let Some((word, command)) = first.as_deref().and_then(|word| Some((word, args::meant(word)?))) {
        let word = word.to_string_lossy();
        let word = words::visible(&word);
        complain(&format!("plateside: {word}: there is no such command and no such brief; did you mean {command}?"));
        return ExitCode::from(Exit::CouldNot.status());
    }
    share_among_processors();
    let done = color_eyre::install().and_then(|()| run(CommandLine::parse()));
    let exit = done.unwrap_or_else(|error| {
        let mut chain: Vec<String> = Vec::new();
        for cause in error.chain().map(|cause| words::visible(&words::of_system(cause)).into_owned()) {
            // An error that quotes its own cause has said it.
            if !chain.last().is_some_and(|said| said.contains(&cause)) {
                chain.push(cause);
            }
        }
        complain(&format!("plateside: {}", chain.join(": ")));
        Exit::CouldNot
    });
    // The desk was quit while it handed over.
    unfinished::take_away();
    ExitCode::from(exit.status())
}

/// Where the system gives no more threads, what is usually shared among processors is done by this one alone.
fn share_among_processors() {
    if thread::Builder::new().spawn(|| {}).is_err() {
        let _alone = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build_global();
    }
}

fn run(line: CommandLine) -> Result<Exit> {
    match (line.command, line.brief, line.folder) {
        (Some(command), ..) => run_command(command),
        (None, Some(brief), Some(folder)) => live::show(&brief, &folder, &line.desk),
        (None, ..) => say(&begin::lines(), ColourChoice::Auto),
    }
}

fn run_command(command: Command) -> Result<Exit> {
    // The desk gives the terminal back first.
    if !matches!(command, Command::Demo(_)) {
        stopping::leave_nothing_behind();
    }
    match command {
        Command::Demo(args) => demo(&args),
        Command::Check(args) => checking::check_once(&args),
        Command::Watch(args) if args.lines => live::watch_lines(&args),
        Command::Watch(WatchArgs { brief, folder, .. }) => Err(eyre!(
            "say which: plateside watch --lines {brief} {folder} writes a line for every change; plateside {brief} \
             {folder} shows the table that watches",
            brief = brief.display(),
            folder = folder.display()
        )),
        Command::Brief { command: BriefCommand::New(args) } => brief_new(&args),
        Command::Brief { command: BriefCommand::Show(args) } => brief_said(&args.brief, brief_words::shown, args.text),
        Command::Brief { command: BriefCommand::Ask(args) } => brief_said(&args.brief, brief_words::asked, args.text),
        Command::Explain(args) => explained(&args),
        Command::Subject(args) => pictures::subject_of(&args),
        Command::Accept(args) => decisions::accept(&args),
        Command::Testprint(args) => test_printing::test_print(&args),
        Command::Deliver(args) => handing_over::deliver(&args),
        Command::Guide(args) => handing_over::guides(&args),
        Command::Verify(args) => handing_over::verify_one(&args),
        Command::Sizes(args) => pictures::sizes_of(&args),
        Command::Calibrated { date } => out(format!("{}\n", calibration::note(date.as_deref())?).as_bytes()),
        Command::Look(args) => pictures::look(&args),
        Command::Completions { shell } => {
            let mut bytes = Vec::new();
            clap_complete::generate(shell, &mut CommandLine::command(), "plateside", &mut bytes);
            out(&bytes)
        }
        Command::Man => {
            let mut bytes = Vec::new();
            manual::write(&mut bytes)?;
            out(&bytes)
        }
    }
}

fn demo(args: &DemoArgs) -> Result<Exit> {
    let exports = args.into.join(DEMO_EXPORTS);
    let brief = args.into.join(DEMO_BRIEF_NAME);
    std::fs::create_dir_all(&exports).wrap_err_with(|| format!("{}: cannot be made", exports.display()))?;
    match new_brief::write(&brief, DEMO_BRIEF) {
        // It is there from an earlier demo, perhaps edited since: it stays.
        Ok(()) | Err(NewBriefError::There(_)) => {}
        Err(error) => return Err(error.into()),
    }
    let workers = jobs(args.desk.work);
    if !args.no_screen {
        let exit = live::show_while_painting(&brief, &exports, &args.desk, |stop| {
            paint(&brief, &exports, workers, stop, &ProgressBar::hidden()).map(drop)
        })?;
        say(&demo_lies(&brief, &exports), ColourChoice::Auto)?;
        // Its faults are meant.
        return Ok(if exit == Exit::ToMend { Exit::Clean } else { exit });
    }
    let bar = progress_bar();
    let summary = paint(&brief, &exports, workers, &AtomicBool::new(false), &bar)?;
    bar.finish_and_clear();
    let painted = format!("{} painted, {} there already", summary.painted, summary.kept);
    let lines = [vec![Line::plain(painted)], demo_lies(&brief, &exports)].concat();
    say(&lines, ColourChoice::Auto)
}

/// Where the demo lies, and how to open it again.
fn demo_lies(brief: &Path, exports: &Path) -> Vec<Line> {
    let (brief, exports) = (brief.display(), exports.display());
    vec![
        Line::plain(format!("the demo's pictures lie in {exports}, its brief is {brief}")),
        Line::plain(format!("plateside {brief} {exports} opens the desk")),
    ]
}

fn paint(brief: &Path, exports: &Path, workers: usize, stop: &AtomicBool, bar: &ProgressBar) -> Result<Summary> {
    let summary = make(exports, &Profiles::built(), workers, stop, &|made| {
        if made.outcome == Outcome::Painted {
            draw_dish(brief, exports, made.name);
        }
        bar.set_length(made.of as u64);
        bar.set_position(made.done as u64);
    })?;
    Ok(summary)
}

/// Draws the subject's box of a picture whose dish has a place that matters, as a person would. A brief that somebody
/// has changed since may have no room for it: then the demo goes on without.
fn draw_dish(brief: &Path, exports: &Path, name: &str) {
    let Some(dish) = known().into_iter().find(|known| known.name == name).and_then(|known| known.dish) else { return };
    let Ok(brief) = brief::read(brief, &ranked_ids()) else { return };
    let picture = exports.join(name);
    let sought = Sought { brief: &brief, picture: &picture, folder: Some(exports), print: None };
    let area = format!("{},{},{},{}", dish.left, dish.top, dish.right, dish.bottom);
    let _without = subject::drawn(&sought, &area, &mut FileInspector::default());
}

fn brief_new(args: &NewBriefArgs) -> Result<Exit> {
    match (&args.starter, &args.from, &args.into) {
        (None, None, None) => return say(&brief_words::starters(), ColourChoice::Auto),
        (None, None, Some(into)) => {
            let advice = "name a starter or a list; plateside brief new lists the starters";
            return Err(eyre!("{} is not written: {advice}", into.display()));
        }
        _ => {}
    }
    let (text, suits) = match new_brief::text(args.starter.as_deref(), args.from.as_deref(), args.into.as_deref()) {
        Err(NewBriefError::Mistakes(problems)) => return Ok(refused(&problems)),
        other => other?,
    };
    let into = args.into.clone().unwrap_or(suits);
    if into == Path::new("-") {
        return out(text.as_bytes());
    }
    new_brief::write(&into, &text)?;
    say(
        &[Line::plain(format!("{0} written; plateside brief ask {0} lists what it leaves open", into.display()))],
        ColourChoice::Auto,
    )
}

fn brief_said(path: &Path, words: fn(&Brief) -> Vec<Line>, text: TextOptions) -> Result<Exit> {
    match read_brief(path) {
        Some(brief) => say(&words(&brief), text.colour),
        None => Ok(Exit::CouldNot),
    }
}

fn explained(args: &ExplainArgs) -> Result<Exit> {
    let lines = match &args.name {
        None => explain::index(),
        Some(name) => explain::page(name).map_err(|unknown| eyre!(unknown))?,
    };
    say(&lines, args.text.colour)
}

/// The brief, or nothing once its problems were said.
fn read_brief(path: &Path) -> Option<Brief> {
    brief::read(path, &ranked_ids()).map_err(|problems| refused(&problems)).ok()
}

/// Why a folder that is made as a whole was not.
fn not_written(into: &Path, error: io::Error) -> Report {
    match error.kind() {
        io::ErrorKind::AlreadyExists => eyre!("{}: is there already; name a new folder", into.display()),
        _ => eyre!("{}: {}; nothing was written", into.display(), atomic::unwritten(&error)),
    }
}

fn refused(problems: &[Problem]) -> Exit {
    let here = Paper::of_stdout();
    let paper = if io::stderr().is_terminal() { here } else { Paper::plain(here.width) };
    // Nobody is left to tell where even standard error cannot be written.
    let _unheard = print::write(&mut io::stderr().lock(), &brief_words::problems(problems), paper);
    Exit::CouldNot
}

/// Writes lines to standard output.
fn say(lines: &[Line], colour: ColourChoice) -> Result<Exit> {
    let here = Paper::of_stdout();
    let paper = match colour {
        ColourChoice::Auto => here,
        ColourChoice::Always => Paper { styled: true, ..here },
        ColourChoice::Never => Paper { styled: false, ..here },
    };
    heard(print::write(&mut io::stdout().lock(), lines, paper)).map(|_| Exit::Clean)
}

/// Writes bytes to standard output.
fn out(bytes: &[u8]) -> Result<Exit> {
    let mut stdout = io::stdout().lock();
    heard(stdout.write_all(bytes).and_then(|()| stdout.flush())).map(|_| Exit::Clean)
}

/// Whether somebody still reads: one that left early has what it wanted, and that is no error.
fn heard(written: io::Result<()>) -> Result<bool> {
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        other => other.map(|()| true).wrap_err("standard output cannot be written"),
    }
}

fn complain(text: &str) {
    // Nobody is left to tell where even standard error cannot be written.
    let _unheard = writeln!(io::stderr(), "{text}");
}

fn jobs(work: WorkOptions) -> usize {
    work.jobs.map_or_else(|| available_parallelism().map_or(1, usize::from), usize::from)
}

/// What may be used of the machine.
fn means(work: WorkOptions) -> Means {
    Means { jobs: jobs(work), memory_bytes: work.memory.unwrap_or(limits::MEMORY_BYTES), gives_way: false }
}

/// The time as RFC 3339, to the second.
fn now() -> String {
    let now = jiff::Timestamp::now();
    jiff::Timestamp::from_second(now.as_second()).unwrap_or(now).to_string()
}

/// A bar on standard error, where that is a terminal.
fn progress_bar() -> ProgressBar {
    let target = if io::stderr().is_terminal() { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
    let style =
        ProgressStyle::with_template("{bar:40} {pos} of {len}").unwrap_or_else(|_| ProgressStyle::default_bar());
    ProgressBar::with_draw_target(Some(0), target).with_style(style)
}
