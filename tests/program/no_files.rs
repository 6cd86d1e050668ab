//! What stands where a file should: links to devices, pipes, folders, files without an end. Each is answered in words
//! and in time.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use crate::support::{Job, Ran, SMALL, program, ran};

/// Longer than any run here takes on a slow machine; whoever waits for a pipe waits for ever.
const ANSWERED_WITHIN: Duration = Duration::from_secs(60);
/// Memory that a run may take: far above what it needs, far below what an endless file would fill.
const MEMORY_KB: u64 = 4_000_000;

/// Runs the program beside the brief; fails where it hangs. A shell bounds its memory.
#[track_caller]
fn answered(job: &Job, words: &str) -> Ran {
    let bounded = format!("ulimit -v {MEMORY_KB}; exec {} {words}", env!("CARGO_BIN_EXE_plateside"));
    let mut command = std::process::Command::new("sh");
    command.args(["-c", &bounded]).current_dir(job.path("")).stdin(Stdio::null());
    command.env("XDG_CACHE_HOME", job.path("cache")).env("XDG_CONFIG_HOME", job.path("config"));
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    ended(child, words)
}

#[track_caller]
fn ended(mut child: Child, words: &str) -> Ran {
    let until = Instant::now() + ANSWERED_WITHIN;
    while child.try_wait().unwrap().is_none() {
        if Instant::now() > until {
            child.kill().unwrap();
            panic!("no answer to: {words}");
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    ran(&child.wait_with_output().unwrap())
}

/// Puts each in turn where a file should be, and says what it is called.
fn in_place_of(path: &Path, mut each: impl FnMut(&str)) {
    let gone = || {
        let _not_there = fs::remove_file(path);
    };
    gone();
    symlink("/dev/zero", path).unwrap();
    each("it is a device, not a file");
    gone();
    assert!(std::process::Command::new("mkfifo").arg(path).status().unwrap().success());
    each("it is a pipe, not a file");
    gone();
}

#[test]
fn a_brief_a_list_and_decisions_that_are_no_files() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    in_place_of(&job.path("brief.toml"), |said| {
        answered(&job, "check brief.toml exports").ends(2).complains(&["brief.toml", said]);
    });
    fs::write(job.path("brief.toml"), "prints = \"list.csv\"\n").unwrap();
    in_place_of(&job.path("list.csv"), |said| {
        answered(&job, "check brief.toml exports").ends(2).complains(&["brief.toml", said]);
        answered(&job, "brief new --from list.csv").ends(2).complains(&["list.csv", said]);
    });
    fs::write(job.path("brief.toml"), SMALL).unwrap();
    in_place_of(&job.path("brief.decisions.toml"), |said| {
        answered(&job, "check brief.toml exports").ends(2).complains(&["brief.decisions.toml", said]);
        answered(&job, "accept brief.toml exports/a.jpg file.name --reason meant").ends(2).complains(&[said]);
    });
    fs::write(job.path("brief.toml"), format!("[paper]\nprofile = \"press.icc\"\n{SMALL}")).unwrap();
    in_place_of(&job.path("press.icc"), |said| {
        answered(&job, "check brief.toml exports").says(&["press.icc", said]);
    });
}

#[test]
fn settings_that_are_no_files() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    fs::create_dir_all(job.path("config/plateside")).unwrap();
    in_place_of(&job.path("config/plateside/settings.toml"), |said| {
        let words = "accept brief.toml exports/a.jpg file.name --reason meant";
        answered(&job, words).ends(2).complains(&["settings.toml", said]);
    });
    in_place_of(&job.path("config/plateside/screens.toml"), |said| {
        answered(&job, "calibrated today").ends(2).complains(&["screens.toml", said]);
    });
}

#[test]
fn a_delivery_of_strangers_that_holds_no_files() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    fs::create_dir_all(job.path("theirs/pictures")).unwrap();
    in_place_of(&job.path("theirs/SHA256SUMS"), |said| {
        answered(&job, "verify theirs").ends(2).complains(&["SHA256SUMS", said]);
    });
    in_place_of(&job.path("theirs/delivery.json"), |said| {
        let words = "deliver brief.toml exports --into out --since theirs";
        answered(&job, words).ends(2).complains(&["delivery.json", said]);
    });
    fs::write(job.path("theirs/SHA256SUMS"), format!("{}  pictures/a.jpg\n", "0".repeat(64))).unwrap();
    for (made, said) in [("ln -s /dev/zero", "it is a link"), ("mkfifo", "it is a pipe"), ("mkdir", "it is a folder")] {
        let path = job.path("theirs/pictures/a.jpg");
        let make = format!("{made} {}", path.display());
        assert!(std::process::Command::new("sh").args(["-c", &make]).status().unwrap().success());
        answered(&job, "verify theirs").ends(1).says(&[&format!("unread pictures/a.jpg: {said}")]);
        fs::remove_file(&path).or_else(|_| fs::remove_dir(&path)).unwrap();
    }
}

#[test]
fn a_list_of_checksums_that_proves_nothing() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    job.run("deliver brief.toml exports --into out").ends(0);
    let sums = fs::read_to_string(job.path("out/SHA256SUMS")).unwrap();
    fs::write(job.path("out/SHA256SUMS"), format!("{sums}{sums}")).unwrap();
    let second = format!("line {}: lists ", sums.lines().count() + 1);
    job.run("verify out").ends(2).complains(&["SHA256SUMS", &second, "a second time"]);
    fs::write(job.path("out/SHA256SUMS"), "").unwrap();
    job.run("verify out").ends(2).complains(&["SHA256SUMS: lists no file, so nothing can be checked"]);
}

#[test]
fn pictures_that_are_named_and_are_no_files() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    in_place_of(&job.export("b.jpg"), |said| {
        answered(&job, "check brief.toml exports/a.jpg exports/b.jpg").ends(1).says(&["FIX b.jpg", said]);
        answered(&job, "look exports/b.jpg").ends(2).says(&[said]);
        answered(&job, "sizes exports/b.jpg").ends(2).complains(&[said]);
        answered(&job, "subject brief.toml exports/b.jpg").ends(2).complains(&[said]);
    });
}

/// The live table's own reading, without a screen: a brief that turns into a pipe is said, and the watch goes on.
#[test]
fn a_brief_that_becomes_a_pipe_is_said_while_it_is_watched() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    let words = ["watch", "--lines", "brief.toml", "exports", "--until-quiet", "5s"];
    let mut command = program(&words, &job.path(""));
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut lines = {
        use std::io::BufRead;
        std::io::BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap)
    };
    assert!(lines.any(|line| line.contains("PASS a.jpg")), "the picture has no verdict");
    fs::rename(job.path("brief.toml"), job.path("kept.toml")).unwrap();
    assert!(std::process::Command::new("mkfifo").arg(job.path("brief.toml")).status().unwrap().success());
    // Read to the end: a watch ends with its reader.
    let said = std::thread::spawn(move || lines.filter(|line| line.contains("the brief has 1 mistake")).count());
    ended(child, "watch --lines").ends(2);
    assert_eq!(said.join().unwrap(), 1, "what was said of the brief");
}
