//! `plateside demo`: paints the invented shoot and opens it.

use std::io;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use color_eyre::eyre::{Result, WrapErr, eyre};
use indicatif::ProgressBar;

use crate::brief;
use crate::cli::args::{ColourChoice, DemoArgs};
use crate::cli::output::{jobs, progress_bar, say};
use crate::cli::window;
use crate::demo::{Outcome, Profiles, Summary, known, make};
use crate::files;
use crate::files::atomic;
use crate::judge::configurable_ids;
use crate::reading::inspect::FileInspector;
use crate::reading::subject_box;
use crate::reading::subject_box::BoxTarget;
use crate::report::Exit;
use crate::units::styled::Line;

/// The demo's files beside its pictures, by their names: the brief, the printer's sheet and the designer's list.
const DEMO_FILES: [(&str, &[u8]); 3] = [
    (DEMO_BRIEF_NAME, include_bytes!("../../demo/low-water.toml")),
    ("corrow-lane.toml", include_bytes!("../../demo/corrow-lane.toml")),
    ("pages.xlsx", include_bytes!("../../demo/pages.xlsx")),
];
const DEMO_BRIEF_NAME: &str = "low-water.toml";
const DEMO_EXPORTS: &str = "exports";

/// Paints missing pictures, and shows the demo unless no screen is wanted.
pub fn demo(args: &DemoArgs) -> Result<Exit> {
    let exports = args.into.join(DEMO_EXPORTS);
    let brief = args.into.join(DEMO_BRIEF_NAME);
    files::make_folder(&exports).wrap_err_with(|| format!("{}: cannot be created", exports.display()))?;
    for (name, bytes) in DEMO_FILES {
        write_once(&args.into.join(name), bytes)?;
    }
    let workers = jobs(args.live.work);
    if !args.no_screen {
        let exit = window::show_while_painting(&brief, &exports, &args.live, |stop| {
            paint(&brief, &exports, workers, stop, &ProgressBar::hidden()).map(drop)
        })?;
        say(&demo_place(&brief, &exports), ColourChoice::Auto)?;
        return Ok(exit.with_faults_meant());
    }
    let bar = progress_bar();
    let summary = paint(&brief, &exports, workers, &AtomicBool::new(false), &bar)?;
    bar.finish_and_clear();
    let painted = format!("{} painted, {} already there", summary.painted, summary.kept);
    let lines = [vec![Line::plain(painted)], demo_place(&brief, &exports)].concat();
    say(&lines, ColourChoice::Auto)
}

/// Writes one of the demo's files. One that exists from an earlier demo, perhaps edited since, is kept.
fn write_once(path: &Path, bytes: &[u8]) -> Result<()> {
    match atomic::create(path, bytes) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
            Err(eyre!("{}: {}", path.display(), atomic::write_error_words(&error)))
        }
        _ => Ok(()),
    }
}

/// Describes where the demo is stored, and how to open it again.
fn demo_place(brief: &Path, exports: &Path) -> Vec<Line> {
    let (brief, exports) = (brief.display(), exports.display());
    vec![
        Line::plain(format!("the demo's pictures are in {exports}, its brief is {brief}")),
        Line::plain(format!("plateside {brief} {exports} opens the live table")),
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

/// Draws the subject's box of a picture whose dish has a place that matters, as a user would. A brief that has been
/// changed may have no room for it: then the demo continues without.
fn draw_dish(brief: &Path, exports: &Path, name: &str) {
    let Some(dish) = known().into_iter().find(|known| known.name == name).and_then(|known| known.dish) else { return };
    let Ok(brief) = brief::read(brief, &configurable_ids()) else { return };
    let picture = exports.join(name);
    let sought = BoxTarget { brief: &brief, picture: &picture, folder: Some(exports), print: None };
    let area = format!("{},{},{},{}", dish.left, dish.top, dish.right, dish.bottom);
    let _without = subject_box::draw(&sought, &area, &mut FileInspector::default());
}
