//! What the program says of itself: help, handbook, completions, man page, and the words for a beginner.

use crate::support::{Job, SMALL};

#[test]
fn alone_it_says_how_to_begin() {
    Job::new(SMALL).run("").ends(0).says(&[
        "plateside demo",
        "plateside brief new",
        "plateside brief ask",
        "plateside BRIEF FOLDER",
        "plateside deliver",
        "plateside explain",
        "plateside --help",
    ]);
}

#[test]
fn help_is_shown_however_it_is_typed() {
    let job = Job::new(SMALL);
    let typed = job.run("help").ends(0).says(&["Usage", "plateside COMMAND", "States of a row"]).out;
    assert_eq!(typed, job.run("--help").ends(0).out);
    assert_eq!(job.run("help brief ask").ends(0).out, job.run("brief ask --help").ends(0).out);
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
    let labels = ["found", "fix", "why", "measured", "misses", "source", "\"density.minimum\" = \"must\""];
    job.run("explain density.minimum").ends(0).says(&labels);
    job.run("explain margins.safe").ends(0).says(&["a key of the brief"]);
    job.run("explain edge").ends(0).says(&["margins.edge", "borderless"]);
    job.run("explain rename").ends(0).says(&["delivery.rename"]);
    job.run("explain rules").ends(0).says(&["density.minimum", "?", "keys of the brief"]);
}

#[test]
fn explain_opens_words_of_the_screen_and_of_the_trade() {
    let job = Job::new(SMALL);
    job.run("explain").ends(0).says(&["FIX, MISSING", "must, should", "lost tones", "required or usual", "soft proof"]);
    job.run("explain dpi").ends(0).says(&["dots", "density.target"]);
    job.run("explain FIX").ends(0).says(&["Do not send", "levels"]);
    job.run("explain marks").ends(0).says(&["214!", "The selected row"]);
    job.run("explain usual").ends(0).says(&["plateside brief ask"]);
    job.run("explain keys").ends(0).says(&["Ctrl-Z", "next row to fix"]);
    job.run("explain status").ends(0).says(&["141", "--strict"]);
    job.run("explain json").ends(0).says(&["order_findings", "needed_px"]);
}

#[test]
fn explain_suggests_the_name_that_was_meant_and_says_how_to_list_all() {
    let job = Job::new(SMALL);
    for (slip, meant) in [("density.minimun", "density.minimum"), ("blead", "bleed"), ("gammut", "gamut")] {
        let all = "plateside explain lists every page";
        job.run(&format!("explain {slip}")).ends(2).complains(&[slip, &format!("did you mean {meant}?"), all]);
    }
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
