//! What happens when a command that writes folders is told to end.

use std::thread;

use plateside::desk::unfinished;
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
use signal_hook::iterator::Signals;
use signal_hook::low_level::emulate_default_handler;

use crate::complain;

/// From now on, takes what is half written away before the program ends at a signal.
pub fn leave_nothing_behind() {
    // Without signals or a thread it ends as any program does; the next that writes there clears what is left.
    let Ok(mut signals) = Signals::new([SIGINT, SIGTERM, SIGHUP]) else { return };
    let wait = move || {
        if let Some(signal) = signals.forever().next() {
            unfinished::take_away();
            complain("plateside: stopped; nothing half-written is left");
            let _ended = emulate_default_handler(signal);
        }
    };
    let _waits = thread::Builder::new().name("signals".to_owned()).spawn(wait);
}
