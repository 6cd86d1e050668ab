//! What the program says of itself: help, handbook, completions, man page, and the words for a beginner.

use crate::support::{Job, SMALL};

#[test]
fn alone_it_says_how_to_begin() {
    Job::new(SMALL).run("").ends(0).says(&["plateside demo", "plateside brief new", "plateside BRIEF FOLDER"]);
}

#[test]
fn the_live_table_without_a_terminal_says_what_to_do_instead() {
    let job = Job::new(SMALL);
    job.run("brief.toml exports").ends(2).complains(&["terminal", "plateside check"]);
    job.run("brief.toml").ends(2);
}

#[test]
fn explain_lists_every_rule_and_opens_its_page() {
    let job = Job::new(SMALL);
    job.run("explain").ends(0).says(&["density.minimum", "file.readable", "margins.bleed", "set.missing"]);
    job.run("explain density.minimum").ends(0).says(&["why", "source", "\"density.minimum\" = \"must\""]);
    job.run("explain margins.safe").ends(0).says(&["a key of the brief"]);
    job.run("explain edge").ends(0).says(&["margins.edge", "borderless"]);
    job.run("explain rename").ends(0).says(&["delivery.rename"]);
    job.run("explain dpi").ends(0).says(&["dots per inch", "density.target"]);
    job.run("explain FIX").ends(0).says(&["a state", "must not go out"]);
}

#[test]
fn explain_suggests_the_rule_that_was_meant() {
    let job = Job::new(SMALL);
    job.run("explain density.leest").ends(2).complains(&["density.leest", "density.minimum"]);
}

#[test]
fn a_misspelt_command_is_no_brief() {
    let job = Job::new(SMALL);
    for line in ["chekc", "chekc brief.toml exports", "chekc exports --strict"] {
        job.run(line).ends(2).complains(&["chekc", "no such command", "check?"]);
    }
    job.run("plum.toml exports").ends(2).complains(&["plum.toml", "cannot be read"]);
}

#[test]
fn completions_and_man_page_know_the_commands() {
    let job = Job::new(SMALL);
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        job.run(&format!("completions {shell}")).ends(0).says(&["plateside", "until-quiet"]);
    }
    job.run("man").ends(0).says(&[
        ".TH plateside",
        "PLATESIDE BRIEF NEW",
        r"\-\-strict",
        r"\-\-until\-quiet",
        r"\-\-from",
        r"\-\-box",
        "EXIT STATUS",
    ]);
}

#[test]
fn help_names_every_command_and_the_exit_status() {
    let job = Job::new(SMALL);
    job.run("--help").ends(0).says(&["check", "watch", "brief", "explain", "look", "demo", "Exit status"]);
    job.run("--version").ends(0).says(&["plateside"]);
}
