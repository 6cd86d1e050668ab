//! `plateside subject`: drawn, seen by `check`, carried to new exports, kept in a file that nobody loses work by.

use std::fs;

use serde_json::{Value, json};

use crate::support::{Job, srgb};

const WALL: &str = "[[print]]\nname = \"wall\"\nsize = \"8 x 6 in\"\n";

/// A picture of dishes on a table, one of many by its seed; a crop of it in pixels of 800 x 600.
fn picture(seed: u32, [left, top, right, bottom]: [u16; 4], quality: u8) -> Vec<u8> {
    let mut state = seed.wrapping_mul(2_654_435_761).wrapping_add(12_345);
    let mut next = |most: f64| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1 << 24) * most
    };
    let dishes: Vec<[f64; 4]> =
        (0..40).map(|_| [next(800.0), next(600.0), 20.0 + next(80.0), 30.0 + next(200.0)]).collect();
    let code = |x: u16, y: u16| {
        let (x, y) = (f64::from(x), f64::from(y));
        let on = |dish: &&[f64; 4]| (x - dish[0]).hypot(y - dish[1]) < dish[2];
        dishes.iter().rev().find(on).map_or(90.0 + x / 20.0, |dish| dish[3]) as u8
    };
    let samples: Vec<u8> =
        (top..bottom).flat_map(|y| (left..right).flat_map(move |x| [(x, y); 3])).map(|(x, y)| code(x, y)).collect();
    let mut bytes = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, quality);
    encoder.add_icc_profile(&srgb()).unwrap();
    encoder.encode(&samples, right - left, bottom - top, jpeg_encoder::ColorType::Rgb).unwrap();
    bytes
}

const WHOLE: [u16; 4] = [0, 0, 800, 600];

/// A job with one picture whose subject is drawn.
fn drawn() -> Job {
    let job = Job::new(WALL);
    job.put("tart.jpg", picture(1, WHOLE, 95));
    job.run("subject brief.toml exports/tart.jpg --box 20%,0.3,560px,0.8").ends(0).says(&["0.2,0.3,0.7,0.8", "drawn"]);
    job
}

fn subject(job: &Job) -> Value {
    job.row("tart.jpg")["subject"].clone()
}

#[test]
fn a_box_is_drawn_seen_by_check_and_taken_away() {
    let job = Job::new(WALL);
    job.put("tart.jpg", picture(1, WHOLE, 95));
    assert_eq!(subject(&job), Value::Null);
    job.run("subject brief.toml exports/tart.jpg").ends(0).says(&["tart.jpg", "no box yet", "--box"]);
    assert!(!job.path("brief.decisions.toml").exists(), "nothing was decided yet");
    let job = drawn();
    assert_eq!(subject(&job), json!({ "box": [0.2, 0.3, 0.7, 0.8], "from": "drawn" }));
    job.run("subject brief.toml exports/tart.jpg").ends(0).says(&["0.2,0.3,0.7,0.8", "160, 180, 560, 480", "drawn on"]);
    job.run("subject brief.toml exports/tart.jpg --remove").ends(0).says(&["removed"]);
    assert_eq!(subject(&job), Value::Null);
    job.run("subject brief.toml exports/tart.jpg --remove").ends(2).complains(&["no such box"]);
    assert_eq!(fs::read_dir(job.path("")).unwrap().count(), 3, "brief, its decisions, exports; nothing else");
}

#[test]
fn lengths_are_those_of_the_one_print() {
    let job = Job::new(WALL);
    job.put("tart.jpg", picture(1, WHOLE, 95));
    // Arithmetic: 800 px over 8 in = 100 ppi, so 2 in = 200 px = 1/4 of the width and 76.2 mm = 300 px = half the height.
    job.run("subject brief.toml exports/tart.jpg --box 2in,0mm,4in,76.2mm").ends(0).says(&["0.25,0,0.5,0.5"]);
    let two = Job::new(&format!(
        "{}{}",
        WALL.replace("size", "pictures = \"*\"\nsize"),
        "[[print]]\nname = \"card\"\npictures = \"t*\"\nsize = \"4 x 3 in\"\n"
    ));
    two.put("tart.jpg", picture(1, WHOLE, 95));
    two.run("subject brief.toml exports/tart.jpg --box 1in,0,2in,1")
        .ends(2)
        .complains(&["1in", "none or several prints"]);
    two.run("subject brief.toml exports/tart.jpg --box 1in,0,2in,1 --print card")
        .ends(0)
        .says(&["card", "0.25,0,0.5,1"]);
    two.run("subject brief.toml exports/tart.jpg --box 0,0,1,1 --print cart")
        .ends(2)
        .complains(&["cart", "wall, card"]);
    let rows = two.json()["rows"].clone();
    let of =
        |print: &str| rows.as_array().unwrap().iter().find(|row| row["print"] == print).unwrap()["subject"].clone();
    assert_eq!((of("wall"), of("card")["box"].clone()), (Value::Null, json!([0.25, 0.0, 0.5, 1.0])));
}

#[test]
fn the_next_export_of_the_same_frame_keeps_the_box() {
    let job = drawn();
    job.put("tart.jpg", picture(1, WHOLE, 88));
    assert_eq!(subject(&job), json!({ "box": [0.2, 0.3, 0.7, 0.8], "from": "carried" }));
}

#[test]
fn a_crop_anew_moves_the_box() {
    let job = drawn();
    // 160 px off the left and 60 off the top: 0.2 of the width is the new edge, 0.7 is (560 - 160) / 640.
    job.put("tart.jpg", picture(1, [160, 60, 800, 600], 90));
    let subject = subject(&job);
    assert_eq!(subject["from"], "carried", "{subject}");
    let wanted = [0.0, (180.0 - 60.0) / 540.0, 400.0 / 640.0, (480.0 - 60.0) / 540.0];
    for (side, wanted) in subject["box"].as_array().unwrap().iter().zip(wanted) {
        assert!((side.as_f64().unwrap() - wanted).abs() < 0.015, "{subject}");
    }
}

#[test]
fn on_another_picture_the_box_is_doubtful_until_it_is_drawn_again() {
    let job = drawn();
    job.put("tart.jpg", picture(2, WHOLE, 95));
    assert_eq!(subject(&job), json!({ "box": [0.2, 0.3, 0.7, 0.8], "from": "doubtful" }));
    job.run("subject brief.toml exports/tart.jpg").ends(0).says(&["doubtful", "draw it again"]);
    job.run("subject brief.toml exports/tart.jpg --box 0.2,0.3,0.7,0.8").ends(0);
    assert_eq!(subject(&job)["from"], "drawn");
}

#[test]
fn a_broken_file_is_said_and_never_written() {
    let job = drawn();
    let path = job.path("brief.decisions.toml");
    let sound = fs::read_to_string(&path).unwrap();
    let broken = sound.replace("0.7, 0.8]", "0.1, 0.8] # by \u{202e}hand");
    assert_ne!(sound, broken);
    fs::write(&path, &broken).unwrap();
    let box_again = "subject brief.toml exports/tart.jpg --box 0,0,1,1";
    for words in [
        box_again,
        "subject brief.toml exports/tart.jpg",
        "subject brief.toml exports/tart.jpg --remove",
        "check brief.toml exports",
    ] {
        let ran = job.run(words).ends(2).complains(&[
            "brief.decisions.toml:",
            "this box is not inside the picture",
            "left, top, right, bottom",
        ]);
        assert!(ran.out.is_empty() && !ran.err.contains(['\u{1b}', '\u{202e}']), "{words}: {}{}", ran.out, ran.err);
    }
    job.run("watch --lines brief.toml exports --until-quiet 1s").ends(2).complains(&["brief.decisions.toml:"]);
    assert_eq!(fs::read_to_string(&path).unwrap(), broken);
}

#[test]
fn what_is_no_box_or_no_picture_is_refused_and_nothing_is_kept() {
    let job = Job::new(WALL);
    job.put("tart.jpg", picture(1, WHOLE, 95));
    for (typed, words) in [
        ("20%,30%,70%", "separated by commas"),
        ("400,0,500,1", "type 400px"),
        ("-0.1,0,1,1", "left -0.1 lies outside"),
        ("0.7,0,0.2,1", "must be less than"),
        ("0,0,900px,1", "800 px wide"),
    ] {
        job.run(&format!("subject brief.toml exports/tart.jpg --box {typed}")).ends(2).complains(&[words]);
    }
    job.run("subject brief.toml exports/none.jpg --box 0,0,1,1").ends(2).complains(&["none.jpg"]);
    job.run("subject brief.toml exports --box 0,0,1,1").ends(2).complains(&["exports"]);
    assert!(!job.path("brief.decisions.toml").exists());
}

#[test]
fn pictures_in_sub_folders_need_the_watched_folder() {
    let job = Job::new(&format!("subfolders = true\n{WALL}"));
    fs::create_dir(job.export("day-2")).unwrap();
    job.put("day-2/tart.jpg", picture(1, WHOLE, 95));
    job.run("subject brief.toml exports/day-2/tart.jpg --box 0,0,1,1").ends(2).complains(&["--folder"]);
    job.run("subject brief.toml exports/day-2/tart.jpg --folder exports --box 0.1,0,1,1")
        .ends(0)
        .says(&["day-2/tart.jpg"]);
    assert_eq!(job.row("day-2/tart.jpg")["subject"]["from"], "drawn");
}
