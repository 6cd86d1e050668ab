//! `plateside deliver`: writes the pictures that are ready for the printer.

use color_eyre::eyre::Result;

use crate::cli::args::{ColourChoice, DeliverArgs};
use crate::cli::output::{check_options, report_problems, say, with_progress};
use crate::delivery::{self, DeliveryRequest, DeliverySelection, Refusal, words};
use crate::picture::PictureKey;
use crate::report::Exit;

/// Delivers an order or a part of it.
pub fn deliver(args: &DeliverArgs) -> Result<Exit> {
    let only = args.only.iter().map(|path| PictureKey::of(path.strip_prefix(&args.folder).unwrap_or(path)).0).collect();
    let request = DeliveryRequest {
        brief: &args.brief,
        folder: &args.folder,
        into: &args.into,
        selection: DeliverySelection { batch: args.batch, only, strict: args.strict },
        since: args.since.as_deref(),
        zip: args.zip,
        check: check_options(args.work),
    };
    match with_progress(|progress| delivery::deliver(&request, progress)) {
        Ok(receipt) => say(&words::receipt(&receipt), ColourChoice::Auto),
        Err(Refusal::Mistakes(problems)) => Ok(report_problems(&problems)),
        Err(refusal @ Refusal::NotReady(_)) => {
            say(&words::refusal(&refusal), ColourChoice::Auto).map(|said| said.max(refusal.exit()))
        }
        Err(refusal) => Err(refusal.into()),
    }
}
