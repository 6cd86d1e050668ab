//! `plateside watch --lines`: a line a change, and an end once it is quiet.

use std::io::{BufRead, BufReader};
use std::process::Stdio;
use std::time::{Duration, Instant};

use crate::support::{Job, SMALL, jpeg, program, ran};

#[test]
fn without_lines_both_ways_of_watching_are_named() {
    let job = Job::new(SMALL);
    let ran = job.run("watch brief.toml exports").ends(2);
    ran.complains(&["plateside watch --lines brief.toml exports", "plateside brief.toml exports shows the table"]);
}

#[test]
fn it_ends_once_it_is_quiet_with_the_status_of_a_check() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    job.run("watch --lines brief.toml exports --until-quiet 1s").ends(0).says(&["one.jpg", "PASS"]);
    job.put("small.jpg", jpeg((340, 425), 95));
    let ran = job.run("watch --lines brief.toml exports --until-quiet 1s").ends(1).says(&["small.jpg", "FIX"]);
    assert!(!ran.out.contains('\u{1b}'), "{:?}", ran.out);
}

#[test]
fn an_export_that_lands_is_a_line() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    let words = ["watch", "--lines", "brief.toml", "exports", "--until-quiet", "6s"];
    let mut child = program(&words, &job.path("")).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    assert!(lines.any(|line| line.contains("one.jpg")), "the first picture has no line");
    job.put("late.jpg", jpeg((340, 425), 95));
    let line = lines.find(|line| line.contains("late.jpg") && line.contains("FIX"));
    assert!(line.is_some(), "the late picture has no line");
    let began = Instant::now();
    let ran = ran(&child.wait_with_output().unwrap());
    assert!(began.elapsed() < Duration::from_secs(30), "it did not end when quiet");
    ran.ends(1);
}

#[test]
fn a_change_is_one_line_however_long() {
    let job = Job::new(SMALL);
    job.put("small.jpg", jpeg((340, 425), 60));
    job.put(&format!("{}.jpg", "long-".repeat(30)), jpeg((340, 425), 95));
    let ran = job.run("watch --lines brief.toml exports --until-quiet 1s").ends(1);
    assert!(ran.out.lines().all(|line| line.contains(".jpg") || line.contains("folder")), "{}", ran.out);
}

#[test]
fn it_ends_when_nobody_reads_any_more() {
    let job = Job::new(SMALL);
    let words = ["watch", "--lines", "brief.toml", "exports"];
    let mut child = program(&words, &job.path("")).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    job.sound("one.jpg");
    let until = Instant::now() + Duration::from_secs(20);
    while child.try_wait().unwrap().is_none() {
        if Instant::now() > until {
            child.kill().unwrap();
            panic!("it goes on although nobody reads");
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    assert!(child.wait_with_output().unwrap().stderr.is_empty());
}

/// As `head -1` leaves it: nothing more happens in the folder that could be written.
#[test]
fn it_ends_like_a_filter_once_its_reader_has_left() {
    let job = Job::new(SMALL);
    let words = ["watch", "--lines", "brief.toml", "exports"];
    let mut child = program(&words, &job.path("")).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut reader = BufReader::new(child.stdout.take().unwrap());
    assert!(reader.read_line(&mut String::new()).unwrap() > 0);
    drop(reader);
    let until = Instant::now() + Duration::from_secs(20);
    while child.try_wait().unwrap().is_none() {
        if Instant::now() > until {
            child.kill().unwrap();
            panic!("it goes on although nobody reads");
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    let output = child.wait_with_output().unwrap();
    // 128 and the number of SIGPIPE, as shells tell it of any filter.
    assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(141), &b""[..]));
}

#[test]
fn a_folder_that_is_gone_at_the_end_is_no_clean_end() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    let words = ["watch", "--lines", "brief.toml", "exports", "--until-quiet", "4s"];
    let mut child = program(&words, &job.path("")).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    assert!(lines.any(|line| line.contains("one.jpg") && line.contains("PASS")), "the picture has no verdict");
    std::fs::remove_dir_all(job.path("exports")).unwrap();
    assert!(lines.any(|line| line.contains("gone")), "the folder's end has no line");
    ran(&child.wait_with_output().unwrap()).ends(2);
}

#[test]
fn times_and_folders_that_make_no_sense_are_refused() {
    let job = Job::new(SMALL);
    job.run("watch --lines brief.toml exports --until-quiet soon").ends(2).complains(&["soon", "10m"]);
    job.run("watch --lines brief.toml nowhere --until-quiet 1s").ends(2).complains(&["nowhere"]);
}
