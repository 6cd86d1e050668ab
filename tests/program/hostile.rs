//! Bad files and bad names: a FIX row with the reason, never a panic, never a command to the terminal.

use std::fs;

use serde_json::json;

use crate::support::{Job, SMALL, SMALL_PX, jpeg, png};

/// The row must be FIX by `file.readable` and say one of these words.
#[track_caller]
fn unreadable(job: &Job, name: &str, words: &[&str]) {
    let row = job.row(name);
    assert_eq!(row["state"], "FIX", "{row}");
    let finding = row["findings"].as_array().unwrap().iter().find(|one| one["rule"] == "file.readable");
    let what = finding.unwrap_or_else(|| panic!("no file.readable in {row}"))["found"].as_str().unwrap();
    assert!(words.iter().any(|word| what.contains(word)), "{what}");
    let ran = job.check("").ends(1).says(&["FIX", name, what]);
    assert!(!ran.err.contains("panicked"), "{}", ran.err);
}

#[test]
fn an_empty_file() {
    let job = Job::new(SMALL);
    job.put("empty.jpg", b"");
    unreadable(&job, "empty.jpg", &["empty", "no bytes", "0 bytes"]);
}

#[test]
fn a_truncated_file_keeps_its_facts() {
    let job = Job::new(SMALL);
    let whole = jpeg(SMALL_PX, 95);
    job.put("cut.jpg", &whole[..whole.len() * 2 / 3]);
    unreadable(&job, "cut.jpg", &["early", "truncated", "end"]);
    assert_eq!(job.row("cut.jpg")["facts"]["width_px"], json!(600));
}

#[test]
fn a_file_that_is_no_picture() {
    let job = Job::new(SMALL);
    job.put("notes.jpg", b"Shopping list: leeks, barley, butter.");
    unreadable(&job, "notes.jpg", &["not a picture", "no picture", "not a"]);
}

#[test]
fn a_picture_under_another_pictures_extension_is_told_by_its_content() {
    let job = Job::new(SMALL);
    job.put("really-png.jpg", png(SMALL_PX));
    let row = job.row("really-png.jpg");
    assert_eq!(row["facts"]["format"], "png", "{row}");
}

#[test]
fn a_file_that_claims_more_pixels_than_there_are() {
    let job = Job::new(SMALL);
    let mut claim = jpeg((16, 16), 90);
    let frame = claim.windows(2).position(|pair| pair == [0xff, 0xc0]).expect("a baseline frame header");
    claim[frame + 5..frame + 9].copy_from_slice(&[0xea, 0x60, 0xea, 0x60]); // 60,000 x 60,000 px
    job.put("vast.jpg", claim);
    let row = job.row("vast.jpg");
    assert_eq!(row["state"], "FIX", "{row}");
    assert!(row["findings"].as_array().unwrap().iter().any(|one| one["rule"] == "file.readable"), "{row}");
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read() {
    use std::os::unix::fs::PermissionsExt;
    let job = Job::new(SMALL);
    job.sound("locked.jpg");
    fs::set_permissions(job.export("locked.jpg"), fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read(job.export("locked.jpg")).is_ok() {
        // The superuser may read everything: a dangling link is as unreachable for it.
        fs::remove_file(job.export("locked.jpg")).unwrap();
        fs::create_dir(job.export("locked.jpg")).unwrap();
        let check = job.json();
        assert!(check["rows"].as_array().unwrap().iter().all(|row| row["picture"] != "locked.jpg"), "{check}");
        return;
    }
    unreadable(&job, "locked.jpg", &["not permitted", "permission"]);
}

#[cfg(unix)]
#[test]
fn names_cannot_speak_to_the_terminal() {
    let job = Job::new(SMALL);
    let name = "tart\u{1b}[31m\u{202e}gpj.jpg";
    job.sound(name);
    for format in ["text", "csv"] {
        let ran = job.check(&format!("--format {format}")).says(&["tart\\u{1b}[31m\\u{202e}gpj.jpg"]);
        assert!(!ran.out.contains(['\u{1b}', '\u{202e}']), "{format}: {:?}", ran.out);
    }
    let ran = job.check("--format json");
    assert!(!ran.out.contains(['\u{1b}', '\u{202e}']), "{:?}", ran.out);
    assert_eq!(job.row(name)["picture"], name);
}

#[cfg(target_os = "linux")]
#[test]
fn a_name_that_is_not_utf8_is_shown_escaped() {
    use std::os::unix::ffi::OsStrExt;
    let job = Job::new(SMALL);
    let name = std::ffi::OsStr::from_bytes(b"tart-\xff.jpg");
    fs::write(job.export("").join(name), jpeg(SMALL_PX, 95)).unwrap();
    job.check("").says(&["tart-\\xff.jpg"]);
}

#[test]
fn cut_anywhere_a_picture_never_brings_the_check_down() {
    let job = Job::new(SMALL);
    for (kind, whole) in [("jpg", jpeg((64, 80), 90)), ("png", png((64, 80))), ("tif", crate::support::tiff((64, 80)))]
    {
        let step = (whole.len() / 24).max(1);
        for cut in (0..whole.len()).step_by(step) {
            job.put(&format!("cut-{cut:06}.{kind}"), &whole[..cut]);
        }
    }
    let ran = job.check("--format json").ends(1);
    assert!(!ran.err.contains("panicked"), "{}", ran.err);
}

#[test]
fn look_shows_facts_and_nothing_but_text_in_a_pipe() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    let whole = jpeg(SMALL_PX, 95);
    job.put("cut.jpg", &whole[..whole.len() / 2]);
    job.put("empty.jpg", b"");
    let ran =
        job.run("look exports/one.jpg exports/cut.jpg").ends(0).says(&["one.jpg", "600 x 750 px", "sRGB", "cut.jpg"]);
    assert!(!ran.out.contains('\u{1b}'), "{:?}", ran.out);
    job.run("look exports/one.jpg exports/empty.jpg").ends(2).says(&["one.jpg", "empty.jpg"]);
}
