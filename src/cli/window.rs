//! The live commands: the desk, its demo, and a line a change. Opens a desk and hands it over.

use std::io;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use crate::live::changes::{changes, order_changes};
use crate::live::{LiveTable, OpenError, Options, Snapshot};
use crate::reading::work_limits::WorkLimits;
use crate::report::report::brief_findings;
use crate::report::{Exit, Strictness, change};
use crate::tui;
use crate::tui::event_loop::LoopEnd;
use crate::tui::keys::Keys;
use crate::tui::print;
use crate::tui::print::OutputStyle;
use crate::units::show;
use crate::units::styled::Line;
use crate::units::words::visible;
use color_eyre::eyre::{Result, WrapErr, eyre};
use signal_hook::consts::SIGPIPE;

use crate::cli::args::{LiveOptions, WatchArgs, WorkOptions};
use crate::cli::output::{complain, heard, means, now, refused};
use crate::cli::window_delivery::WindowDelivery;
use crate::user::calibration;
use crate::user::directories;
use crate::user::identity;
use crate::user::settings::{self, Settings};

/// How a filter ends whose reader has what it wanted. Source: POSIX, the default action of SIGPIPE.
const NOBODY_READS: Exit = Exit::Signal(SIGPIPE as u8);
/// How often a quiet desk is asked whether it is time to end.
const GLANCE: Duration = Duration::from_millis(200);

/// Opens the desk and shows it until the person quits; ends as a check of what it showed last.
pub fn show(brief: &Path, folder: &Path, options: &LiveOptions) -> Result<Exit> {
    let settings = Settings::read()?;
    let keys = keys(&settings)?;
    let Some(mut desk) = open(brief, folder, options.work, options.poll)? else {
        return Ok(Exit::CouldNot);
    };
    let hand_over = WindowDelivery { brief: brief.to_owned(), folder: folder.to_owned(), means: means(options.work) };
    let given = tui::ScreenOptions {
        calibration: calibration::words(),
        name: identity::name(None, &settings).unwrap_or_default(),
        clock: now,
        bell: options.bell,
        keys,
        hand_over: Box::new(hand_over),
    };
    let ended = tui::run(&desk, options.thumbnail, given);
    for words in tui::terminal::panics_elsewhere() {
        complain(&format!("plateside: something failed while reading pictures: {words}"));
    }
    let lost = desk.end();
    if let Some(lost) = &lost {
        let decisions = show::count(lost.decisions, "decision is", "decisions are");
        complain(&format!("plateside: {decisions} not written: {}", lost.why));
    }
    match ended.wrap_err("the desk cannot be shown")? {
        LoopEnd::Signal(number) => Ok(Exit::Signal(u8::try_from(number).unwrap_or(0))),
        LoopEnd::Asked | LoopEnd::TerminalGone => {
            let shown = Exit::of_live_table(&desk.snapshot(), Strictness::default());
            Ok(shown.max(Exit::could_not_if(lost.is_some())))
        }
    }
}

/// The keys of the screen, with those that the person chose.
fn keys(settings: &Settings) -> Result<Keys> {
    let path = settings::path()?;
    Keys::chosen(&settings.keys).map_err(|wrong| {
        let lines: Vec<String> = wrong.iter().map(|line| format!("{}: {}", path.display(), visible(line))).collect();
        eyre!("{}", lines.join("; "))
    })
}

/// Opens the desk while the demo's pictures are painted into its folder.
pub fn show_while_painting(
    brief: &Path,
    folder: &Path,
    options: &LiveOptions,
    paint: impl FnOnce(&AtomicBool) -> Result<()> + Send,
) -> Result<Exit> {
    let stop = AtomicBool::new(false);
    thread::scope(|scope| {
        let stop = &stop;
        let painting = scope.spawn(move || paint(stop));
        let shown = show(brief, folder, options);
        stop.store(true, Ordering::Relaxed);
        painting.join().map_err(|_| eyre!("the painter of the demo failed"))??;
        shown
    })
}

/// Writes a line a change, for ever or until it is quiet.
pub fn watch_lines(args: &WatchArgs) -> Result<Exit> {
    let Some(desk) = open(&args.brief, &args.folder, args.work, args.poll)? else { return Ok(Exit::CouldNot) };
    // Rows that were found before the first glance are news too.
    let first = desk.snapshot();
    let before = Snapshot { rows: Arc::new([]), cut_off: false, generation: u64::MAX, ..Snapshot::clone(&first) };
    let mut last = Arc::new(before);
    let mut order_told = Vec::new();
    let mut changed = Instant::now();
    loop {
        // A wake-up or none: the snapshot is looked at in either case.
        let _woken = desk.wake().recv_timeout(GLANCE);
        if !tui::os::is_read() {
            return Ok(NOBODY_READS);
        }
        let now = desk.snapshot();
        if now.generation != last.generation {
            let mut changes = changes(&last, &now);
            if now.is_quiet() {
                let of_brief = brief_findings(&now.brief);
                let of_order = now.order_findings.iter().cloned().chain(of_brief).collect::<Vec<_>>();
                changes.extend(order_changes(&order_told, &of_order));
                order_told = of_order;
            }
            let lines: Vec<Line> = changes.iter().filter_map(|c| change::line(&time(), c)).collect();
            if !lines.is_empty() {
                changed = Instant::now();
                if !said_unbroken(&lines)? {
                    return Ok(NOBODY_READS);
                }
            }
            last = now;
        }
        match args.until_quiet {
            // Not before the folder was looked at once, however long that takes.
            Some(quiet) if last.is_quiet() && changed.elapsed() >= quiet => break,
            _ => {}
        }
    }
    if !last.accepted_problems.is_empty() {
        refused(&last.accepted_problems);
    }
    let strictness = Strictness { strict: args.strictness.strict, complete: args.strictness.complete };
    Ok(Exit::of_live_table(&last, strictness))
}

/// Writes lines without breaking any, so that a change is a line however wide the window; whether somebody reads them.
fn said_unbroken(lines: &[Line]) -> Result<bool> {
    let paper = OutputStyle { width: usize::MAX, ..OutputStyle::of_stdout() };
    heard(print::write(&mut io::stdout().lock(), lines, paper))
}

/// The date and the time of day here: a night run goes on over midnight.
fn time() -> String {
    jiff::Zoned::now().strftime("%Y-%m-%d %H:%M:%S").to_string()
}

/// A desk, or nothing once the brief's problems were said.
fn open(brief: &Path, folder: &Path, work: WorkOptions, poll: bool) -> Result<Option<LiveTable>> {
    let WorkLimits { jobs, memory_bytes, .. } = means(work);
    let options =
        Options { evidence: directories::cache("evidence"), jobs, memory_bytes, poll, ..Options::new(brief, folder) };
    match LiveTable::open(options) {
        Ok(desk) => Ok(Some(desk)),
        Err(OpenError::Brief(problems)) => {
            refused(&problems);
            Ok(None)
        }
        Err(other) => Err(other.into()),
    }
}
