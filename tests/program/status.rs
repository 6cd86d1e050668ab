//! The exit status: `check`, `watch --lines` and `deliver` end alike, whatever it is that is to be fixed.

use crate::support::{Job, Ran, SMALL, SMALL_PX, jpeg};

/// Fails unless each of the three ends so, without and with `--strict`; gives what the watch said at last.
#[track_caller]
fn all_end(job: &Job, plain: i32, strict: i32) -> Ran {
    let both = [("", plain), ("--strict", strict)];
    let mut watched = Vec::new();
    for (number, (word, status)) in both.into_iter().enumerate() {
        job.check(word).ends(status);
        watched.push(job.run(&format!("watch --lines brief.toml exports --until-quiet 1s {word}")).ends(status));
        job.run(&format!("deliver brief.toml exports --into out-{number} {word}")).ends(status);
        assert_eq!(job.path(&format!("out-{number}")).exists(), status == 0);
    }
    watched.remove(1)
}

#[test]
fn pictures_end_all_of_them_alike() {
    for (pixels, quality, plain, strict) in [(SMALL_PX, 95, 0, 0), (SMALL_PX, 60, 0, 1), ((340, 425), 95, 1, 1)] {
        let job = Job::new(SMALL);
        job.put("one.jpg", jpeg(pixels, quality));
        all_end(&job, plain, strict);
    }
}

#[test]
fn a_brief_without_which_nothing_can_be_said_of_colour_is_something_to_fix() {
    let job = Job::new(&format!("[colour]\nspace = \"paper\"\n{SMALL}"));
    job.sound("one.jpg");
    all_end(&job, 1, 1).says(&["PASS one.jpg", "FIX the order: the brief requires the printer's own profile"]);
}

#[test]
fn a_brief_that_names_what_is_not_there_warns() {
    let job = Job::new(&format!("[paper]\nprofile = \"none.icc\"\n{SMALL}"));
    job.sound("one.jpg");
    all_end(&job, 0, 1).says(&["PASS one.jpg", "WARN the order: the printer's profile cannot be used"]);
}

#[test]
fn what_is_found_of_the_order_as_a_whole_counts_too() {
    let job = Job::new(&format!("[rules]\n\"colour.profile\" = \"off\"\n\"set.mixed\" = \"must\"\n{SMALL}"));
    job.sound("one.jpg");
    let (mut bare, (width, height)) = (Vec::new(), SMALL_PX);
    let grey = vec![120; usize::from(width) * usize::from(height) * 3];
    let encoder = jpeg_encoder::Encoder::new(&mut bare, 95);
    encoder.encode(&grey, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    job.put("bare.jpg", bare);
    let watched = all_end(&job, 1, 1).says(&["FIX the order: the order is mixed"]);
    assert!(!watched.out.contains("FIX bare.jpg") && !watched.out.contains("FIX one.jpg"), "{}", watched.out);
}
