//! `--log FILE`: what the program does, a line an event.

use std::fs;

use crate::support::{Job, SMALL};

#[test]
fn every_job_and_every_decision_is_logged_after_what_was_there_and_names_are_escaped() {
    let job = Job::new(SMALL);
    job.sound("a\u{1b}[2J.jpg");
    fs::write(job.path("run.log"), "before\n").unwrap();
    job.run("check brief.toml exports --log run.log").ends(0);
    let log = fs::read_to_string(job.path("run.log")).unwrap();
    assert!(log.starts_with("before\n"), "{log}");
    assert!(log.contains("job done") && log.contains("a\\u{1b}[2J.jpg") && !log.contains('\u{1b}'), "{log}");
}

#[cfg(unix)]
#[test]
fn a_log_that_is_no_file_is_refused_in_words() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    fs::create_dir(job.path("logs")).unwrap();
    assert!(std::process::Command::new("mkfifo").arg(job.path("pipe")).status().unwrap().success());
    job.run("check brief.toml exports --log logs").ends(2).complains(&["logs", "no log can be written there"]);
    job.run("check brief.toml exports --log pipe").ends(2).complains(&["pipe", "it is a pipe, not a file"]);
}
