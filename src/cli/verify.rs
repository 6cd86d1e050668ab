//! `plateside verify`: checks a delivery after the transfer.

use color_eyre::eyre::Result;

use crate::cli::args::{ColourChoice, VerifyArgs};
use crate::cli::output::say;
use crate::delivery::{self, words};
use crate::report::Exit;

/// Lists the differences from what was written.
pub fn verify(args: &VerifyArgs) -> Result<Exit> {
    let found = delivery::verify::verify(&args.folder)?;
    say(&words::differences(&found), ColourChoice::Auto).map(|said| said.max(found.exit()))
}
