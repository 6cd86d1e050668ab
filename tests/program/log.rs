//! `--log FILE`: what the program does, a line an event.

use std::fs;

use crate::support::{Job, SMALL};

#[test]
fn every_job_and_every_decision_is_logged_after_what_was_there_and_names_are_escaped() {
    let job = Job::new(SMALL);
    job.sound("a\u{1b}[2J.jpg");
    job.run("check brief.toml exports --log run.log").ends(0);
    let before = fs::read_to_string(job.path("run.log")).unwrap();
    job.run("check brief.toml exports --log run.log").ends(0);
    let log = fs::read_to_string(job.path("run.log")).unwrap();
    assert!(log.starts_with(&before) && log.len() > before.len(), "{log}");
    assert!(log.starts_with("# log of plateside"), "{log}");
    assert!(log.contains("job done") && log.contains("a\\u{1b}[2J.jpg") && !log.contains('\u{1b}'), "{log}");
}

#[test]
fn a_picture_or_a_brief_named_as_the_log_is_left_as_it_is() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    let before = [job.export("a.jpg"), job.path("brief.toml")].map(|path| fs::read(path).unwrap());
    for other in ["exports/a.jpg", "brief.toml"] {
        let said = [other, "is not a log of plateside", "name a new file"];
        job.run(&format!("check brief.toml exports --log {other}")).ends(2).complains(&said);
    }
    let after = [job.export("a.jpg"), job.path("brief.toml")].map(|path| fs::read(path).unwrap());
    assert!(before == after, "both as they were");
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
