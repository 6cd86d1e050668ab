//! Findings that may stand: kept beside the brief, said in every report, asked again when they change.

use std::fs;

use crate::support::{Job, SMALL, jpeg, program, ran};

/// A job with a picture of 250 ppi where 300 are wanted.
fn soft() -> Job {
    let job = Job::new(SMALL);
    job.put("a.jpg", jpeg((500, 625), 95));
    job
}

fn accept(job: &Job, words: &[&str]) -> crate::support::Ran {
    let words = [&["accept", "brief.toml"], words].concat();
    ran(&program(&words, job.path("").as_path()).output().unwrap())
}

const MEANT: &[&str] = &["exports/a.jpg", "density.target", "--reason", "it hangs high", "--by", "Maren"];

#[test]
fn what_stands_is_kept_said_and_taken_back() {
    let job = soft();
    assert_eq!(job.row("a.jpg")["state"], "WARN");
    accept(&job, MEANT).ends(0).says(&["density.target at 250 ppi", "it hangs high", "1 finding accepted"]);
    let row = job.row("a.jpg");
    let kept = row["findings"].as_array().unwrap().iter().find(|one| one["rule"] == "density.target").unwrap();
    assert_eq!((&row["state"], &kept["accepted"]["reason"]), (&"PASS".into(), &"it hangs high".into()));
    job.check("--strict").ends(0).says(&["accepted by Maren on 20", "it hangs high"]);
    assert_eq!(job.json()["totals"]["accepted"], 1);
    accept(&job, &["--list"]).ends(0).says(&["a.jpg", "density.target"]);
    // The same bytes under another name are the same picture.
    fs::rename(job.export("a.jpg"), job.export("b.jpg")).unwrap();
    assert_eq!(job.row("b.jpg")["state"], "PASS");
    accept(&job, &["exports/a.jpg", "density.target", "--withdraw"]).ends(0).says(&["withdrawn"]);
    assert_eq!(job.row("b.jpg")["state"], "WARN");
    accept(&job, &["--list"]).ends(0).says(&["No finding is accepted"]);
}

#[test]
fn what_is_accepted_again_or_withdrawn_under_a_new_name_is_what_was_accepted_before() {
    let job = soft();
    accept(&job, MEANT).ends(0);
    fs::rename(job.export("a.jpg"), job.export("b.jpg")).unwrap();
    let renamed = [&["exports/b.jpg"], &MEANT[1..]].concat();
    accept(&job, &renamed).ends(0).says(&["1 finding accepted"]);
    accept(&job, &["exports/b.jpg", "density.target", "--withdraw"]).ends(0).says(&["withdrawn"]);
    assert_eq!(job.row("b.jpg")["state"], "WARN");
    accept(&job, &["--list"]).ends(0).says(&["No finding is accepted"]);
}

#[test]
fn a_picture_in_a_sub_folder_is_accepted_where_it_lies() {
    let job = Job::new(&format!("subfolders = true\n{SMALL}"));
    job.put("a.jpg", jpeg((500, 625), 95));
    fs::create_dir(job.export("mains")).unwrap();
    job.put("mains/a.jpg", jpeg((500, 625), 90));
    let meant = ["exports/mains/a.jpg", "density.target", "--reason", "it hangs high", "--by", "Maren"];
    accept(&job, &meant).ends(2).complains(&["--folder FOLDER"]);
    accept(&job, &[&meant[..], &["--folder", "exports"]].concat()).ends(0).says(&["mains/a.jpg"]);
    assert_eq!((&job.row("mains/a.jpg")["state"], &job.row("a.jpg")["state"]), (&"PASS".into(), &"WARN".into()));
}

#[test]
fn a_new_export_is_reopened_and_one_of_the_same_pixels_is_not() {
    let job = soft();
    accept(&job, MEANT).ends(0);
    // The same pixels in other bytes: a comment more (ITU-T T.81, B.2.4.5).
    let mut bytes = fs::read(job.export("a.jpg")).unwrap();
    bytes.splice(2..2, [0xff, 0xfe, 0, 4, b'h', b'i']);
    job.put("a.jpg", &bytes);
    assert_eq!(job.row("a.jpg")["state"], "PASS");
    job.put("a.jpg", jpeg((500, 625), 60));
    let row = job.row("a.jpg");
    let found = row["findings"].as_array().unwrap().iter().find(|one| one["rule"] == "density.target").unwrap();
    assert_eq!(found["accepted"]["reopened"], "the file has been exported again");
    job.check("").says(&["open again", "it hangs high"]);
}

#[test]
fn a_changed_box_says_how_many_accepted_findings_it_opens_again() {
    let job = soft();
    accept(&job, MEANT).ends(0);
    let drawn = "subject brief.toml exports/a.jpg --box 0.2,0.3,0.7,0.8";
    job.run(drawn).ends(0).says(&["1 accepted finding is open again"]);
    accept(&job, &["--list"]).ends(0).says(&["it hangs high", "open again: the subject's box has changed"]);
    job.check("").says(&["open again: the subject's box has changed", "it hangs high"]);
    // Open already: the same box once more opens nothing.
    assert!(!job.run(drawn).ends(0).out.contains("open again"));
    accept(&job, MEANT).ends(0);
    job.run("subject brief.toml exports/a.jpg --remove").ends(0).says(&["removed", "1 accepted finding is open again"]);
}

#[test]
fn what_cannot_be_accepted_says_why() {
    let job = soft();
    accept(&job, &["exports/a.jpg", "tone.paper", "--reason", "x", "--by", "M"]).ends(2).complains(&["no finding"]);
    accept(&job, &["exports/a.jpg", "density.target", "--by", "M"]).ends(2).complains(&["--reason"]);
    fs::write(job.path("brief.toml"), format!("[file]\ncredit = [\"creator\", \"copyright\"]\n{SMALL}")).unwrap();
    let one_of = ["exports/a.jpg", "file.credit", "--reason", "x", "--by", "M"];
    accept(&job, &one_of)
        .ends(2)
        .complains(&["several findings", "\"file.credit:copyright\" or \"file.credit:creator\""]);
    let as_printed = ["exports/a.jpg", "file.credit (creator)", "--reason", "x", "--by", "M"];
    accept(&job, &as_printed).ends(0).says(&["file.credit", "accepted"]);
    fs::write(job.path("brief.toml"), SMALL).unwrap();
    job.put("a.jpg", jpeg((300, 375), 95));
    let must = ["exports/a.jpg", "density.minimum", "--reason", "x", "--by", "M"];
    accept(&job, &must).ends(2).complains(&["name who allowed it", "--allowed-by NAME"]);
    accept(&job, &[&must[..], &["--allowed-by", "Corrow Lane"]].concat()).ends(0);
    assert_eq!(job.row("a.jpg")["state"], "PASS");
    job.put("a.jpg", b"no picture");
    let unreadable = ["exports/a.jpg", "file.readable", "--reason", "x", "--by", "M", "--allowed-by", "N"];
    accept(&job, &unreadable).ends(2).complains(&["cannot be accepted"]);
    fs::write(job.path("brief.decisions.toml"), "version = 1\n[[accepted]]\nrule = 1\n").unwrap();
    accept(&job, MEANT).ends(2).complains(&["brief.decisions.toml:3", "rule must be text"]);
    assert!(fs::read_to_string(job.path("brief.decisions.toml")).unwrap().ends_with("rule = 1\n"));
}
