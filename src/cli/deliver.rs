//! `plateside deliver`: writes the pictures that are ready for the printer, and remembers what was sent.

use std::path::Path;

use color_eyre::eyre::Result;
use indicatif::ProgressBar;

use crate::cli::args::{ColourChoice, DeliverArgs};
use crate::cli::output::{check_options, progress_bar, report_problems, say};
use crate::decisions;
use crate::delivery::log::{SentBefore, note_received};
use crate::delivery::observer::DeliveryObserver;
use crate::delivery::{self, DeliveryRequest, DeliverySelection, Refusal, Since, words};
use crate::picture::PictureKey;
use crate::reading::batch::{CheckObserver, Progress};
use crate::report::Exit;

/// The word for all that was sent, in place of a folder.
const LAST: &str = "last";

/// Delivers an order or a part of it, lists what was sent, or notes that it was received.
pub fn deliver(args: &DeliverArgs) -> Result<Exit> {
    if args.list {
        return match decisions::read(&args.brief) {
            Ok(decisions) => say(&words::log(&decisions.sent), ColourChoice::Auto),
            Err(problems) => Ok(report_problems(&problems)),
        };
    }
    if let Some(day) = args.received {
        let received = note_received(&args.brief, args.into.as_deref(), &day.to_string())?;
        return say(&words::received(&received), ColourChoice::Auto);
    }
    // The arguments require both.
    let (Some(folder), Some(into)) = (&args.folder, &args.into) else { return Ok(Exit::CouldNot) };
    let only = args.only.iter().map(|path| PictureKey::of(path.strip_prefix(folder).unwrap_or(path)).0).collect();
    let since =
        args.since.as_deref().map(|since| if since == Path::new(LAST) { Since::Last } else { Since::Folder(since) });
    let request = DeliveryRequest {
        brief: &args.brief,
        folder,
        into,
        selection: DeliverySelection { batch: args.batch, only, is_strict: args.strict },
        since,
        wants_archive: args.zip,
        shown: None,
        check: check_options(args.work),
    };
    let observer = PromptObserver(progress_bar());
    let delivered = delivery::deliver(&request, &observer);
    observer.0.finish_and_clear();
    match delivered {
        Ok(receipt) => say(&words::receipt(&receipt), ColourChoice::Auto).map(|said| said.max(receipt.exit())),
        Err(Refusal::Mistakes(problems)) => Ok(report_problems(&problems)),
        Err(refusal @ Refusal::NotReady(_)) => {
            say(&words::refusal(&refusal), ColourChoice::Auto).map(|said| said.max(refusal.exit()))
        }
        Err(refusal) => Err(refusal.into()),
    }
}

/// Shows at the prompt how far a delivery is, and what was sent before.
struct PromptObserver(ProgressBar);

impl CheckObserver for PromptObserver {
    fn on_checked(&self, progress: Progress) {
        self.0.set_length(progress.of as u64);
        self.0.set_position(progress.done as u64);
    }
}

impl DeliveryObserver for PromptObserver {
    fn on_planned(&self, before: &SentBefore) {
        // If nobody listens, the delivery is made all the same.
        let _unheard = self.0.suspend(|| say(&words::sent_before(before, "--since last"), ColourChoice::Auto));
    }

    fn on_copied(&self, done: usize, of: usize) {
        self.0.set_length(of as u64);
        self.0.set_position(done as u64);
    }
}
