//! The handling of signals that end a command without a screen.

use std::fs;
use std::sync::Arc;
use std::thread;

use crate::files::unfinished;
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
use signal_hook::iterator::Signals;
use signal_hook::low_level::emulate_default_handler;

use crate::cli::output::complain;

/// From now on, removes half-written files before a signal ends the program; a second signal ends it at once. Signals
/// ignored when the program started, as with `nohup`, stay ignored.
pub fn leave_nothing_behind() {
    let ignored = ignored_signals();
    let handled = [SIGINT, SIGTERM, SIGHUP].into_iter().filter(|signal| ignored & (1 << (signal - 1)) == 0);
    // Registered before anything is written, not once the thread gets its turn.
    let Ok(mut signals) = Signals::new(handled) else { return };
    let wait = move || {
        let Some(signal) = signals.forever().next() else { return };
        let second = move || drop(signals.forever().next().map(emulate_default_handler));
        let _waits = thread::Builder::new().name("signals".to_owned()).spawn(second);
        complain(match unfinished::remove_all() {
            true => "plateside: stopped; no unfinished file is left",
            false => "plateside: stopped; an unfinished file could not be removed",
        });
        let _ended = emulate_default_handler(signal);
    };
    // Without a thread the program ends like any other; the next writer there removes the remains.
    let _waits = thread::Builder::new().name("signals".to_owned()).spawn(wait);
}

/// From now on, a file that exceeds the system's size limit causes an error message, not a sudden end. Source:
/// setrlimit(2), RLIMIT_FSIZE.
pub fn survive_size_limits() {
    // The flag is never read: a handler alone keeps the signal from ending the program.
    let _unheard = signal_hook::flag::register(SIGXFSZ, Arc::default());
}

/// Returns the signals ignored when the program began, one bit each from 1 on; none where the system does not report
/// them. Source: proc(5), SigIgn.
fn ignored_signals() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    line.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
}
