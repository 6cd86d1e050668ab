//! What is shown is written for a person: no type, number or name of a library's errors.

use std::fs;

use crate::support::{Job, SMALL, SMALL_PX, jpeg, png};

/// Fails where words of a library's own stand in a text.
#[track_caller]
fn for_a_person(text: &str) {
    for alien in ["{", "struct ", "Os ", "::", "os error", "TOML parse"] {
        assert!(!text.contains(alien), "\"{alien}\" in:\n{text}");
    }
}

#[test]
fn damaged_pictures_are_told_in_plain_words() {
    let job = Job::new(SMALL);
    let damaged = |bytes: Vec<u8>, mark: &[u8], by: usize| {
        let at = bytes.windows(mark.len()).position(|some| some == mark).expect("the mark is there") + by;
        let mut bytes = bytes;
        bytes[at..at + 8].fill(0xFF);
        bytes
    };
    job.put("header.png", damaged(png(SMALL_PX), b"IHDR", 8));
    job.put("pixels.png", damaged(png(SMALL_PX), b"IDAT", 20));
    job.put("tables.jpg", damaged(jpeg(SMALL_PX, 90), &[0xFF, 0xC4], 5));
    job.put("frame.jpg", damaged(jpeg(SMALL_PX, 90), &[0xFF, 0xC0], 9));
    job.put("directory.tif", b"II*\0\x08\0\0\0\xFF\xFF");
    let ran = job.check("").ends(1);
    for_a_person(&ran.out);
    for_a_person(&ran.err);
}

#[test]
fn files_of_ours_that_others_changed_are_told_in_plain_words() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    let folder = job.path("config/plateside");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("settings.toml"), "by = 3\n").unwrap();
    let said = job.run("accept brief.toml exports/a.jpg detail.noise --reason meant").ends(2);
    for_a_person(&said.err);
    assert!(said.err.contains("settings.toml:1: this is none of the settings; it may hold"), "{}", said.err);
    fs::remove_file(folder.join("settings.toml")).unwrap();
    let earlier = job.path("earlier");
    fs::create_dir_all(&earlier).unwrap();
    fs::write(earlier.join("delivery.json"), "[1, 2]").unwrap();
    let said = job.run("deliver brief.toml exports --into out --since earlier").ends(2);
    for_a_person(&said.err);
    assert!(said.err.contains("is not the record of a delivery"), "{}", said.err);
}
