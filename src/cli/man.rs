//! The manual page, from the same definitions as the arguments.

use std::io::{self, Write};

use clap::CommandFactory;

use crate::cli::args::CommandLine;

/// Writes one page with every command, since separate pages would not be installed anywhere.
pub fn write(page: &mut Vec<u8>) -> io::Result<()> {
    let command = CommandLine::command();
    // What the short help leaves out has its words here too.
    let whole = clap_mangen::Man::new(command.clone().mut_args(|arg| arg.hide_short_help(false)));
    whole.render_title(page)?;
    whole.render_name_section(page)?;
    whole.render_synopsis_section(page)?;
    whole.render_description_section(page)?;
    whole.render_options_section(page)?;
    subcommands(page, &command, "plateside")?;
    writeln!(page, ".SH \"EXIT STATUS\"\n0 nothing to fix, 1 something to fix, 2 it could not be done.")
}

/// Writes a section for each command below another.
fn subcommands(page: &mut Vec<u8>, command: &clap::Command, name: &str) -> io::Result<()> {
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set() && sub.get_name() != "help") {
        let name = format!("{name} {}", sub.get_name());
        writeln!(page, ".SH \"{}\"", name.to_uppercase())?;
        let mut text = sub.clone().bin_name(name.clone()).display_name(name.clone());
        let about = text.render_long_help().to_string();
        // Lines as they are; a leading dot or quote would be a command of the page's own language.
        writeln!(page, ".nf")?;
        for line in about.lines() {
            writeln!(page, "\\&{}", line.replace('\\', "\\e").replace('-', "\\-"))?;
        }
        writeln!(page, ".fi")?;
        subcommands(page, sub, &name)?;
    }
    Ok(())
}
