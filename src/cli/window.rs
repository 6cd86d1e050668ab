//! The window: the live table on the screen until the user quits.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use color_eyre::eyre::{Result, WrapErr, eyre};

use crate::cli::args::LiveOptions;
use crate::cli::live_table::open;
use crate::cli::output::{check_options, complain, now};
use crate::cli::window_delivery::WindowDelivery;
use crate::report::{Exit, Strictness};
use crate::tui;
use crate::tui::event_loop::LoopEnd;
use crate::tui::keys::Keys;
use crate::units::show;
use crate::units::words::visible;
use crate::user::settings::{self, Settings};
use crate::user::{calibration, identity};

/// Opens the live table and shows it until the user quits; exits like a check of the rows shown last.
pub fn show(brief: &Path, folder: &Path, options: &LiveOptions) -> Result<Exit> {
    let settings = Settings::read()?;
    let keys = keys(&settings)?;
    let Some(mut table) = open(brief, folder, options.work, options.poll)? else {
        return Ok(Exit::CouldNot);
    };
    let check = check_options(options.work);
    let delivery = WindowDelivery { brief: brief.to_owned(), folder: folder.to_owned(), check };
    let given = tui::ScreenOptions {
        calibration: calibration::words(),
        name: identity::name(None, &settings).unwrap_or_default(),
        clock: now,
        rings_bell: options.bell,
        keys,
        delivery: Box::new(delivery),
    };
    let ended = tui::run(&table, options.thumbnail.into(), given);
    for words in tui::terminal::panics_elsewhere() {
        complain(&format!("plateside: a fault in plateside while it read or checked pictures: {words}"));
    }
    let lost = table.end();
    if let Some(lost) = &lost {
        let decisions = show::count(lost.decisions, "decision was", "decisions were");
        complain(&format!("plateside: {decisions} not written: {}", lost.why));
    }
    match ended.wrap_err("the live table cannot be shown")? {
        LoopEnd::Signal(number) => Ok(Exit::Signal(u8::try_from(number).unwrap_or(0))),
        LoopEnd::Asked | LoopEnd::TerminalGone => {
            let shown = Exit::of_live_table(&table.snapshot(), Strictness::default());
            Ok(shown.max(Exit::could_not_if(lost.is_some())))
        }
    }
}

/// Returns the keys of the screen, with those that the user chose.
fn keys(settings: &Settings) -> Result<Keys> {
    let path = settings::path()?;
    Keys::chosen(&settings.keys).map_err(|wrong| {
        let lines: Vec<String> = wrong.iter().map(|line| format!("{}: {}", path.display(), visible(line))).collect();
        eyre!("{}", lines.join("; "))
    })
}

/// Opens the live table while the demo's pictures are painted into its folder.
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
        painting.join().map_err(|_| eyre!("the demo's pictures could not be painted"))??;
        shown
    })
}
