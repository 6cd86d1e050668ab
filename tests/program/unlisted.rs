//! What may belong to the order and cannot be looked at: said in every report, and nothing is handed over without it.

use std::fs;
use std::os::unix::fs::symlink;

use crate::support::{Job, Ran, SMALL, jpeg, program, ran};

/// A folder so deep in itself that the system cannot reach what lies in its sub-folder, whoever asks: its path gets
/// longer than any may be. Source: PATH_MAX of Linux is 4096 with the byte that ends it.
fn long_way(folder: &str) -> String {
    format!("{folder}/{}", "./".repeat((4096 - 200) / 2))
}

/// Runs the program with these words, which may be long.
fn run(job: &Job, words: &[&str]) -> Ran {
    ran(&program(words, &job.path("")).output().unwrap())
}

/// The check finds it, the status counts it, and nothing is handed over.
#[track_caller]
fn nothing_goes(job: &Job, exports: &str, found: &str, fix: &str) {
    let check = run(job, &["check", "brief.toml", exports, "--format", "json"]).ends(1).out;
    let check: serde_json::Value = serde_json::from_str(&check).unwrap();
    let finding = &check["order_findings"][0];
    assert_eq!((&finding["rule"], &finding["level"]), (&"set.unlisted".into(), &"must".into()), "{check}");
    assert!(finding["found"].as_str().unwrap().contains(found), "{finding}");
    run(job, &["deliver", "brief.toml", exports, "--into", "out"]).ends(1).says(&["the order:", found, fix]);
    assert!(!job.path("out").exists());
}

#[test]
fn a_subfolder_that_cannot_be_read() {
    let job = Job::new(&format!("subfolders = true\n{SMALL}"));
    let name = "n".repeat(255);
    fs::create_dir(job.export(&name)).unwrap();
    for picture in ["a.jpg".to_owned(), "b.jpg".to_owned(), format!("{name}/c.jpg")] {
        job.sound(&picture);
    }
    let exports = long_way("exports");
    let found = "1 sub-folder cannot be read: nnn";
    nothing_goes(&job, &exports, found, "ignore = [\"NAME/**\"]");
    for format in ["text", "csv", "html"] {
        run(&job, &["check", "brief.toml", &exports, "--format", format]).ends(1).says(&[found]);
    }
    fs::write(job.path("brief.toml"), format!("subfolders = true\nignore = [\"n*/**\"]\n{SMALL}")).unwrap();
    run(&job, &["deliver", "brief.toml", &exports, "--into", "out"]).ends(0).says(&["2 pictures written"]);
}

#[test]
fn links_that_lead_nowhere_and_pipes() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    symlink("nowhere.jpg", job.export("b.jpg")).unwrap();
    nothing_goes(&job, "exports", "1 link leads nowhere: b.jpg", "put the picture itself there");
    let watched = run(&job, &["watch", "--lines", "brief.toml", "exports", "--until-quiet", "1s"]).ends(1);
    watched.says(&["FIX the order: 1 link leads nowhere: b.jpg"]);
    fs::remove_file(job.export("b.jpg")).unwrap();
    let made = std::process::Command::new("mkfifo").arg(job.export("b.jpg")).status().unwrap();
    assert!(made.success());
    nothing_goes(&job, "exports", "1 entry is not a file: b.jpg (a pipe)", "put the picture itself there");
    run(&job, &["sizes", "exports"])
        .ends(2)
        .says(&["a.jpg"])
        .complains(&["b.jpg (a pipe); put the picture itself there"]);
    fs::remove_file(job.export("b.jpg")).unwrap();
    run(&job, &["deliver", "brief.toml", "exports", "--into", "out"]).ends(0);
}

#[test]
fn two_spellings_of_one_name() {
    let job = Job::new(SMALL);
    for name in ["cr\u{ea}pe.jpg", "cre\u{302}pe.jpg"] {
        job.sound(name);
    }
    let found = "cr\u{ea}pe.jpg (stored as cr\\u{ea}pe.jpg and cre\\u{302}pe.jpg)";
    nothing_goes(&job, "exports", found, "give each file a name of its own");
    // Named one by one they are as many.
    let words = ["check", "brief.toml", "exports/cr\u{ea}pe.jpg", "exports/cre\u{302}pe.jpg"];
    run(&job, &words).ends(1).says(&["1 name belongs to several files"]);
    run(&job, &["check", "brief.toml", "exports/cr\u{ea}pe.jpg", "exports/cr\u{ea}pe.jpg"]).ends(0);
}

#[cfg(target_os = "linux")]
#[test]
fn a_byte_and_letters_that_spell_it_are_two_pictures() {
    use std::os::unix::ffi::OsStrExt;
    let job = Job::new(SMALL);
    fs::write(job.export("").join(std::ffi::OsStr::from_bytes(b"p\xff.jpg")), jpeg((600, 750), 95)).unwrap();
    job.sound("p\\xff.jpg");
    let pictures: Vec<String> =
        job.json()["rows"].as_array().unwrap().iter().map(|row| row["picture"].as_str().unwrap().to_owned()).collect();
    assert_eq!(pictures, ["p\\\\xff.jpg", "p\\xff.jpg"]);
}
