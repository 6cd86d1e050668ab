//! `plateside watch --lines`: one line per change, for ever or until it is quiet.

use std::sync::Arc;
use std::time::{Duration, Instant};

use color_eyre::eyre::Result;
use crossbeam_channel::RecvTimeoutError;
use signal_hook::consts::SIGPIPE;

use crate::cli::args::WatchArgs;
use crate::cli::live_table;
use crate::cli::output::{complain, reader_is_there, report_problems};
use crate::live::changes::{OrderStatement, changes, order_changes};
use crate::live::{LiveTable, Snapshot};
use crate::report::{Exit, Strictness, change};
use crate::tui::print::OutputStyle;
use crate::tui::{self, os, print};
use crate::units::styled::Line;
use crate::user::clock;

/// The exit of a filter whose reader has closed its end. Source: POSIX, the default action of SIGPIPE.
const NOBODY_READS: Exit = Exit::Signal(SIGPIPE as u8);
/// Interval between checks of whether a quiet table has been quiet for long enough.
const GLANCE: Duration = Duration::from_millis(200);

/// Writes one line per change, for ever or until it is quiet.
pub fn watch_lines(args: &WatchArgs) -> Result<Exit> {
    let Some(table) = live_table::open(&args.brief, &args.folder, args.work, args.poll)? else {
        return Ok(Exit::CouldNot);
    };
    write_changes(&table, args.until_quiet, args.strictness.into())
}

/// Writes the changes of a live table, for ever or until it has been quiet for `until_quiet`.
fn write_changes(table: &LiveTable, until_quiet: Option<Duration>, strictness: Strictness) -> Result<Exit> {
    // Rows found before the first check are news too.
    let first = table.snapshot();
    let before = Snapshot { rows: Arc::new([]), is_cut_off: false, generation: u64::MAX, ..Snapshot::clone(&first) };
    let mut last = Arc::new(before);
    let mut order_written = Vec::new();
    let mut changed = Instant::now();
    loop {
        // The snapshot is checked with or without a wake-up.
        if table.wake().recv_timeout(GLANCE) == Err(RecvTimeoutError::Disconnected) {
            complain("plateside: watching stopped because of a fault in plateside: start it again");
            return Ok(Exit::CouldNot);
        }
        if !tui::os::is_read() {
            return Ok(NOBODY_READS);
        }
        let now = table.snapshot();
        if now.generation != last.generation {
            let mut changes = changes(&last, &now);
            if now.is_quiet() {
                let of_order = OrderStatement::all_of(&now.order_findings, &now.brief);
                changes.extend(order_changes(&order_written, &of_order));
                order_written = of_order;
            }
            let lines: Vec<Line> = changes.iter().filter_map(|c| change::line(&time(), c)).collect();
            if !lines.is_empty() {
                changed = Instant::now();
                if !say_unwrapped(&lines)? {
                    return Ok(NOBODY_READS);
                }
            }
            last = now;
        }
        match until_quiet {
            // Not before the folder was scanned once, however long that takes.
            Some(quiet) if last.is_quiet() && changed.elapsed() >= quiet => break,
            _ => {}
        }
    }
    if !last.decisions_problems.is_empty() {
        report_problems(&last.decisions_problems);
    }
    Ok(Exit::of_live_table(&last, strictness))
}

/// Writes lines without wrapping, so that a change is one line in any window; returns true if the reader is still
/// there.
fn say_unwrapped(lines: &[Line]) -> Result<bool> {
    let style = OutputStyle { width: usize::MAX, ..OutputStyle::of_stdout() };
    reader_is_there(print::write(&mut os::stdout(), lines, style))
}

/// Returns the local date and time of day: a night run continues past midnight.
fn time() -> String {
    clock::local().strftime("%Y-%m-%d %H:%M:%S").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::live::LiveTableOptions;

    #[test]
    fn watching_ends_with_status_2_once_the_live_table_has_ended_by_itself() {
        let home = tempfile::tempdir().unwrap();
        let (brief, folder) = (home.path().join("b.toml"), home.path().join("exports"));
        std::fs::write(&brief, "[[print]]\nsize = \"8 x 10 in\"\n").unwrap();
        std::fs::create_dir(&folder).unwrap();
        let mut table = LiveTable::open(LiveTableOptions::new(&brief, &folder)).unwrap();
        let begun = Instant::now();
        while !table.snapshot().is_quiet() {
            assert!(begun.elapsed() < Duration::from_secs(15), "it never becomes quiet");
            let _woken = table.wake().recv_timeout(GLANCE);
        }
        table.end();
        // A table that continued would end as quiet.
        let ended = write_changes(&table, Some(Duration::ZERO), Strictness::default()).unwrap();
        assert_eq!(ended, Exit::CouldNot);
    }
}
