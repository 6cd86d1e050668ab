//! Arguments, then hands over.
#![forbid(unsafe_code)]

mod args;

use clap::Parser;

fn main() {
    let _line = args::CommandLine::parse();
}
