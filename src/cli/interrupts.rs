//! What happens when a signal ends a command that draws no screen.

use std::fs;
use std::sync::Arc;
use std::thread;

use crate::files::unfinished;
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
use signal_hook::iterator::Signals;
use signal_hook::low_level::emulate_default_handler;

use crate::cli::output::complain;

/// From now on, removes what is half written before the program ends at a signal; a second one ends it at once.
/// Signals that the program was started to ignore, as with `nohup`, stay ignored.
pub fn leave_nothing_behind() {
    let ignored = ignored();
    let heard = [SIGINT, SIGTERM, SIGHUP].into_iter().filter(|signal| ignored & (1 << (signal - 1)) == 0);
    // Before anything is written, not once the thread gets its turn.
    let Ok(mut signals) = Signals::new(heard) else { return };
    let wait = move || {
        let Some(signal) = signals.forever().next() else { return };
        let second = move || drop(signals.forever().next().map(emulate_default_handler));
        let _waits = thread::Builder::new().name("signals".to_owned()).spawn(second);
        complain(match unfinished::remove_all() {
            true => "plateside: stopped; nothing half-written is left",
            false => "plateside: stopped; something half-written could not be taken away",
        });
        let _ended = emulate_default_handler(signal);
    };
    // Without a thread it ends as any program does; the next that writes there clears what is left.
    let _waits = thread::Builder::new().name("signals".to_owned()).spawn(wait);
}

/// From now on, a file that grows beyond what the system allows is an error in words, and no end without one. Source:
/// setrlimit(2), RLIMIT_FSIZE.
pub fn survive_size_limits() {
    // The flag is never read: a handler alone keeps the signal from ending the program.
    let _unheard = signal_hook::flag::register(SIGXFSZ, Arc::default());
}

/// The signals that were ignored when the program began, a bit each from 1 on; none where the system does not say.
/// Source: proc(5), SigIgn.
fn ignored() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    line.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
}
