//! What the commands share: reading the brief, writing answers and complaints, progress, the time.

use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::thread::available_parallelism;

use color_eyre::eyre::{Result, WrapErr};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::brief::{self, Brief, Problem};
use crate::cli::args::{ColourChoice, WorkOptions};
use crate::judge::ranked_ids;
use crate::reading::batch::Progress;
use crate::reading::limits;
use crate::reading::work_limits::WorkLimits;
use crate::report::checked::CheckOptions;
use crate::report::{Exit, brief_words};
use crate::tui::print;
use crate::tui::print::OutputStyle;
use crate::units::styled::Line;
use crate::user::directories;

/// A brief.
///
/// # Errors
/// All that is wrong with it.
pub fn read_brief(path: &Path) -> Result<Brief, Vec<Problem>> {
    brief::read(path, &ranked_ids())
}

/// Says what is wrong with a brief or its decisions, on standard error.
pub fn refused(problems: &[Problem]) -> Exit {
    let here = OutputStyle::of_stdout();
    let style = if io::stderr().is_terminal() { here } else { OutputStyle::plain(here.width) };
    // There is no place for a complaint where standard error cannot be written.
    let _unheard = print::write(&mut io::stderr().lock(), &brief_words::problems(problems), style);
    Exit::CouldNot
}

/// Writes lines to standard output.
pub fn say(lines: &[Line], colour: ColourChoice) -> Result<Exit> {
    let here = OutputStyle::of_stdout();
    let style = match colour {
        ColourChoice::Auto => here,
        ColourChoice::Always => OutputStyle { styled: true, ..here },
        ColourChoice::Never => OutputStyle { styled: false, ..here },
    };
    heard(print::write(&mut io::stdout().lock(), lines, style)).map(|_| Exit::Clean)
}

/// Writes bytes to standard output.
pub fn out(bytes: &[u8]) -> Result<Exit> {
    let mut stdout = io::stdout().lock();
    heard(stdout.write_all(bytes).and_then(|()| stdout.flush())).map(|_| Exit::Clean)
}

/// Whether the reader is still there: one that ended early has what it wanted, which is no error.
pub fn heard(written: io::Result<()>) -> Result<bool> {
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        other => other.map(|()| true).wrap_err("standard output cannot be written"),
    }
}

/// Writes a line to standard error.
pub fn complain(text: &str) {
    // There is no place for a complaint where standard error cannot be written.
    let _unheard = writeln!(io::stderr(), "{text}");
}

/// Pictures that are read at the same time.
pub fn jobs(work: WorkOptions) -> usize {
    work.jobs.map_or_else(|| available_parallelism().map_or(1, usize::from), usize::from)
}

/// What may be used of the machine.
pub fn limits(work: WorkOptions) -> WorkLimits {
    WorkLimits { jobs: jobs(work), memory_bytes: work.memory.unwrap_or(limits::MEMORY_BYTES), gives_way: false }
}

/// What a check may use.
pub fn check_options(work: WorkOptions) -> CheckOptions {
    CheckOptions { limits: limits(work), cache: directories::cache(""), clock: now }
}

/// The time as RFC 3339, to the second.
pub fn now() -> String {
    let now = jiff::Timestamp::now();
    jiff::Timestamp::from_second(now.as_second()).unwrap_or(now).to_string()
}

/// Does something that reads many pictures, with a bar on standard error where that is a terminal.
pub fn with_progress<T>(work: impl FnOnce(&(dyn Fn(Progress) + Sync)) -> T) -> T {
    let bar = progress_bar();
    let done = work(&|progress| {
        bar.set_length(progress.of as u64);
        bar.set_position(progress.done as u64);
    });
    bar.finish_and_clear();
    done
}

/// A bar on standard error, where that is a terminal.
pub fn progress_bar() -> ProgressBar {
    let target = if io::stderr().is_terminal() { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
    let style =
        ProgressStyle::with_template("{bar:40} {pos} of {len}").unwrap_or_else(|_| ProgressStyle::default_bar());
    ProgressBar::with_draw_target(Some(0), target).with_style(style)
}
