//! Helpers shared by the commands: reading the brief, writing answers and error messages, progress, the time.

use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::thread::available_parallelism;

use color_eyre::eyre::{Result, WrapErr};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::brief::{self, Brief, Problem};
use crate::cli::args::{ColourChoice, WorkOptions};
use crate::judge::configurable_ids;
use crate::reading::batch::Progress;
use crate::reading::checked::CheckOptions;
use crate::reading::limits;
use crate::reading::work_limits::WorkLimits;
use crate::report::{Exit, brief_words};
use crate::tui::print::OutputStyle;
use crate::tui::{os, print};
use crate::units::styled::Line;
use crate::user::{clock, directories};

/// Reads a brief.
///
/// # Errors
/// All its problems.
pub fn read_brief(path: &Path) -> Result<Brief, Vec<Problem>> {
    brief::read(path, &configurable_ids())
}

/// Reports problems of a brief or its decisions on standard error.
pub fn report_problems(problems: &[Problem]) -> Exit {
    let here = OutputStyle::of_stdout();
    let style = if io::stderr().is_terminal() { here } else { OutputStyle::plain(here.width) };
    // A failure to write to standard error cannot be reported anywhere.
    let _unheard = print::write(&mut os::stderr(), &brief_words::problems(problems), style);
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
    reader_is_there(print::write(&mut os::stdout(), lines, style)).map(|_| Exit::Clean)
}

/// Writes bytes to standard output.
pub fn write_bytes(bytes: &[u8]) -> Result<Exit> {
    let mut stdout = os::stdout();
    reader_is_there(stdout.write_all(bytes).and_then(|()| stdout.flush())).map(|_| Exit::Clean)
}

/// Returns true if the reader is still there: one that closed early has what it wanted, which is not an error.
pub fn reader_is_there(written: io::Result<()>) -> Result<bool> {
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        other => other.map(|()| true).wrap_err("standard output cannot be written"),
    }
}

/// Writes a line to standard error.
pub fn complain(text: &str) {
    // A failure to write to standard error cannot be reported anywhere.
    let _unheard = writeln!(os::stderr(), "{text}");
}

/// Writes an error to standard error: what is wrong on one line, what to do on the next.
pub fn complain_with_fix(what: &str, fix: &str) {
    complain(&format!("plateside: {what}\n    {fix}"));
}

/// Returns the number of pictures read at the same time.
pub fn jobs(work: WorkOptions) -> usize {
    work.jobs.map_or_else(|| available_parallelism().map_or(1, usize::from), usize::from)
}

/// Returns the share of the machine that reading may use.
pub fn work_limits(work: WorkOptions) -> WorkLimits {
    WorkLimits {
        jobs: jobs(work),
        memory_bytes: work.memory.unwrap_or(limits::MEMORY_BYTES),
        has_lower_priority: false,
    }
}

/// Returns the options of a check.
pub fn check_options(work: WorkOptions) -> CheckOptions {
    CheckOptions { limits: work_limits(work), cache: directories::cache(""), clock: now }
}

/// Returns the time as RFC 3339, to the second.
pub fn now() -> String {
    let now = clock::now();
    jiff::Timestamp::from_second(now.as_second()).unwrap_or(now).to_string()
}

/// Does work that reads many pictures, with a progress bar on standard error where that is a terminal.
pub fn with_progress<T>(work: impl FnOnce(&(dyn Fn(Progress) + Sync)) -> T) -> T {
    let bar = progress_bar();
    let done = work(&|progress| {
        bar.set_length(progress.of as u64);
        bar.set_position(progress.done as u64);
    });
    bar.finish_and_clear();
    done
}

/// Returns a progress bar on standard error, hidden where that is not a terminal.
pub fn progress_bar() -> ProgressBar {
    let target = if io::stderr().is_terminal() { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
    let style =
        ProgressStyle::with_template("{bar:40} {pos} of {len}").unwrap_or_else(|_| ProgressStyle::default_bar());
    ProgressBar::with_draw_target(Some(0), target).with_style(style)
}
