//! The commands: each reads its arguments, calls the part of the library that does the work, and writes its answer.
//!
//! `args.rs` is the command line, `brief_argument.rs` looks at the brief that it names, `output.rs` writes answers,
//! `live_table.rs` and `window_delivery.rs` serve the window, `interrupts.rs` handles signals, `log.rs` is `--log`;
//! every other file is a command or a family of them.

mod accept;
mod answer;
mod args;
mod brief;
mod brief_argument;
mod check;
mod contact;
mod deliver;
mod demo;
mod explain;
mod guide;
mod interrupts;
mod live_table;
mod log;
mod look;
mod man;
mod output;
mod sizes;
mod spec;
mod subject;
mod testprint;
mod usage_errors;
mod verify;
mod watch;
mod window;
mod window_delivery;

use std::ffi::OsString;
use std::path::Path;
use std::process::ExitCode;
use std::thread;

use clap::{CommandFactory, Parser};
use color_eyre::eyre::Result;

use crate::files::unfinished;
use crate::report::{Exit, welcome};
use crate::units::words;
use crate::user::calibration;

use args::{BriefCommand, ColourChoice, Command, CommandLine, WatchArgs};
use output::{complain, complain_with_fix, say, write_bytes};

/// Runs the command given by the arguments of this process, and returns its exit status.
pub fn main() -> ExitCode {
    let first = std::env::args_os().nth(1);
    if let Some(typed) = args::for_help(std::env::args_os().collect()) {
        return match CommandLine::try_parse_from(typed) {
            Err(help) => help.exit(),
            Ok(_) => ExitCode::SUCCESS,
        };
    }
    if let Some((word, command)) = first.as_deref().and_then(|word| Some((word, args::misspelt_command(word)?))) {
        let word = word.to_string_lossy();
        let word = words::visible(&word);
        let what = format!("{word}: there is no such command and no such brief");
        complain_with_fix(&what, &format!("did you mean plateside {command}?"));
        return ExitCode::from(Exit::CouldNot.status());
    }
    interrupts::survive_size_limits();
    share_among_processors();
    let folder = first.as_deref().map(Path::new).filter(|first| first.is_dir());
    let line = match CommandLine::try_parse() {
        Ok(line) => line,
        Err(error) => match usage_errors::usage_error(&error, folder) {
            None => error.exit(),
            Some(wrong) => {
                complain_with_fix(&wrong.what, &wrong.fix);
                return ExitCode::from(Exit::CouldNot.status());
            }
        },
    };
    let done = color_eyre::install().and_then(|()| run(line));
    let exit = done.unwrap_or_else(|error| {
        complain(&format!("plateside: {}", words::error_with_causes(error.as_ref())));
        Exit::CouldNot
    });
    // The window was closed while a delivery was being written.
    unfinished::remove_all();
    ExitCode::from(exit.status())
}

/// Variables by which the environment sets the threads of parallel work. Source: the manual of the library rayon.
const THREADS_BY_ENVIRONMENT: [&str; 2] = ["RAYON_NUM_THREADS", "RAYON_RS_NUM_CPUS"];

/// Confines parallel work to this machine's processors, however many threads the environment asks for, and to this
/// thread where the system cannot start any more.
fn share_among_processors() {
    let pool = rayon::ThreadPoolBuilder::new();
    let processors = thread::available_parallelism().map_or(1, usize::from);
    let requested = THREADS_BY_ENVIRONMENT.map(|name| std::env::var(name).unwrap_or_default());
    let _pool = match thread::Builder::new().spawn(|| {}) {
        Err(_) => pool.num_threads(1).use_current_thread().build_global(),
        Ok(_) if is_beyond(processors, &requested) => pool.num_threads(processors).build_global(),
        Ok(_) => Ok(()),
    };
}

/// True if one of these numbers of threads is larger than that of the processors.
fn is_beyond(processors: usize, requested: &[String]) -> bool {
    requested.iter().any(|text| text.parse().is_ok_and(|threads: usize| threads > processors))
}

fn run(line: CommandLine) -> Result<Exit> {
    if let Some(path) = &line.log {
        log::begin(path)?;
    }
    let typed: Vec<OsString> = std::env::args_os().skip(1).collect();
    let named = line.brief_and_folder();
    if let Some(wrong) = named.and_then(|(brief, folder)| brief_argument::mistake(brief, folder, &typed)) {
        complain_with_fix(&wrong.what, &wrong.fix);
        return Ok(Exit::CouldNot);
    }
    match (line.command, line.brief, line.folder) {
        (Some(command), ..) => run_command(command),
        (None, Some(brief), Some(folder)) => window::show(&brief, &folder, &line.live),
        (None, ..) => say(&welcome::lines(), ColourChoice::Auto),
    }
}

fn run_command(command: Command) -> Result<Exit> {
    // The demo opens a screen, which restores the terminal first.
    if !matches!(command, Command::Demo(_)) {
        interrupts::leave_nothing_behind();
    }
    match command {
        Command::Demo(args) => demo::demo(&args),
        Command::Check(args) => check::check(&args),
        Command::Watch(args) if args.lines => watch::watch_lines(&args),
        Command::Watch(WatchArgs { brief, folder, .. }) => {
            let (brief, folder) = (brief.display(), folder.display());
            let lines = format!("plateside watch --lines {brief} {folder} writes one line for each change");
            let table = format!("plateside {brief} {folder} shows the table, which watches as well");
            complain_with_fix("watch needs --lines", &words::visible(&format!("{lines}; {table}")));
            Ok(Exit::CouldNot)
        }
        Command::Brief { command: BriefCommand::New(args) } => brief::new(&args),
        Command::Brief { command: BriefCommand::Show(args) } => brief::show(&args),
        Command::Brief { command: BriefCommand::Ask(args) } => brief::ask(&args),
        Command::Brief { command: BriefCommand::Answer(args) } => answer::answer(&args),
        Command::Explain(args) => explain::explain(&args),
        Command::Subject(args) => subject::subject(&args),
        Command::Accept(args) => accept::accept(&args),
        Command::Contact(args) => contact::contact(&args),
        Command::Testprint(args) => testprint::test_print(&args),
        Command::Deliver(args) => deliver::deliver(&args),
        Command::Guide(args) => guide::guide(&args),
        Command::Verify(args) => verify::verify(&args),
        Command::Sizes(args) => sizes::sizes(&args),
        Command::Spec(args) => spec::spec(&args),
        Command::Calibrated { date } => {
            let words = match date {
                Some(date) => calibration::record(&date)?,
                None => calibration::state_words(),
            };
            write_bytes(format!("{words}\n").as_bytes())
        }
        Command::Look(args) => look::look(&args),
        Command::Completions { shell } => {
            let mut bytes = Vec::new();
            clap_complete::generate(shell, &mut CommandLine::command(), "plateside", &mut bytes);
            write_bytes(&bytes)
        }
        Command::Man => {
            let mut bytes = Vec::new();
            man::write(&mut bytes)?;
            write_bytes(&bytes)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_threads_than_processors_are_known_by_the_environment_s_words() {
        let is_beyond = |text: &str| is_beyond(4, &[String::new(), text.to_owned()]);
        assert!(is_beyond("5") && is_beyond("100000"));
        assert!(!is_beyond("") && !is_beyond("0") && !is_beyond("4") && !is_beyond("many"));
    }
}
