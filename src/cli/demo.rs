//! `plateside demo`: paints the invented shoot and opens it.

use std::path::Path;
use std::sync::atomic::AtomicBool;

use color_eyre::eyre::{Result, WrapErr};
use indicatif::ProgressBar;

use crate::brief;
use crate::brief::new_brief;
use crate::brief::new_brief::NewBriefError;
use crate::cli::args::{ColourChoice, DemoArgs};
use crate::cli::output::{jobs, progress_bar, say};
use crate::cli::window;
use crate::demo::{Outcome, Profiles, Summary, known, make};
use crate::files;
use crate::judge::configurable_ids;
use crate::reading::inspect::FileInspector;
use crate::reading::subject_box;
use crate::reading::subject_box::BoxTarget;
use crate::report::Exit;
use crate::units::styled::Line;

/// The demo's brief, and its file names in the demo's folder.
const DEMO_BRIEF: &str = include_str!("../../demo/low-water.toml");
const DEMO_BRIEF_NAME: &str = "low-water.toml";
const DEMO_EXPORTS: &str = "exports";

/// Paints missing pictures, and shows the demo unless no screen is wanted.
pub fn demo(args: &DemoArgs) -> Result<Exit> {
    let exports = args.into.join(DEMO_EXPORTS);
    let brief = args.into.join(DEMO_BRIEF_NAME);
    files::make_folder(&exports).wrap_err_with(|| format!("{}: cannot be created", exports.display()))?;
    match new_brief::write(&brief, DEMO_BRIEF) {
        // It exists from an earlier demo, perhaps edited since: it is kept.
        Ok(()) | Err(NewBriefError::There(_)) => {}
        Err(error) => return Err(error.into()),
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
