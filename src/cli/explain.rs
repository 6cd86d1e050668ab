//! `plateside explain`: pages of the handbook.

use color_eyre::eyre::{Result, eyre};

use crate::cli::args::ExplainArgs;
use crate::cli::output::say;
use crate::report::{Exit, explain};

/// Shows the page with a given name, or the list of all.
pub fn explain(args: &ExplainArgs) -> Result<Exit> {
    let lines = match args.name.join(" ").as_str() {
        "" => explain::index(),
        name => explain::page(name).map_err(|unknown| eyre!(unknown))?,
    };
    say(&lines, args.text.colour)
}
