//! Runs the command that the arguments name; all else stands in the library.
#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    plateside::cli::main()
}
