//! `plateside sizes`: which sizes a file carries, as text, JSON and CSV.

use serde_json::{Value, json};

use crate::support::{Job, jpeg};

#[test]
fn the_usual_sizes_of_a_file_are_told_without_a_brief() {
    let job = Job::new("[[print]]\nsize = \"8 x 10 in\"");
    job.put("tart.jpg", jpeg((2400, 3000), 90));
    // Arithmetic: 2400 x 3000 px are 300 ppi at 8 x 10 in; 16 x 20 in are 150 ppi, seen from 8732 / 150 cm.
    job.run("sizes exports/tart.jpg").ends(0).says(&[
        "exports/tart.jpg 2400 x 3000 px",
        "8 x 10 in 300 ppi 0 % at arm's length",
        "16 x 20 in 150 ppi 0 % on a wall, from 59 cm",
        "too coarse",
        "a hard proof have the last word",
    ]);
    let csv = job.run("sizes exports/tart.jpg --format csv").ends(0).out;
    assert!(
        csv.lines().any(|line| line.starts_with("exports/tart.jpg,,8 x 10 in,203.2,254,300.0,0.0000,at arm's length,")),
        "{csv}"
    );
}

#[test]
fn a_brief_adds_its_prints_and_whether_it_is_content_with_them() {
    let job = Job::new("[density]\ntarget = \"150 ppi\"\n[[print]]\nname = \"wall\"\nsize = \"16 x 20 in\"");
    job.put("tart.jpg", jpeg((2400, 3000), 90));
    let out = job.run("sizes exports/tart.jpg --brief brief.toml --format json").ends(0).out;
    let value: Value = serde_json::from_str(&out).unwrap();
    let first = &value[0]["sizes"][0];
    assert_eq!((&first["prints"], &first["viewing"]), (&json!(["wall"]), &json!("wall")));
    assert_eq!((&first["verdict"], &value[0]["sizes"][1]["verdict"]), (&json!("on target"), &json!(null)));
    assert_eq!(first["size_mm"], json!([406.4, 508.0]));
}

#[test]
fn what_cannot_be_read_is_said_and_the_others_are_told_all_the_same() {
    let job = Job::new("[[print]]\nsize = \"8 x 10 in\"");
    job.put("tart.jpg", jpeg((240, 300), 90));
    job.put("no\u{1b}[2J.jpg", b"no picture");
    let ran = job.run("sizes exports/no\u{1b}[2J.jpg exports/tart.jpg");
    let ran = ran.ends(2).says(&["exports/tart.jpg 240 x 300 px"]);
    assert!(!ran.complains(&["a text file, not a print picture"]).err.contains('\u{1b}'));
    let alone = job.run("sizes exports/gone.jpg").ends(2).complains(&["exports/gone.jpg: there is no such file"]);
    assert_eq!(alone.out, "");
    job.run("sizes exports/tart.jpg --brief gone.toml").ends(2).complains(&["gone.toml"]);
}

#[test]
fn a_folder_stands_for_its_pictures() {
    let job = Job::new("ignore = [\"old/*\"]\nsubfolders = true\n[[print]]\nsize = \"8 x 10 in\"");
    for name in ["tart.jpg", "bread.jpg", "more/soup.jpg", "old/pear.jpg"] {
        std::fs::create_dir_all(job.export(name).parent().unwrap()).unwrap();
        job.put(name, jpeg((240, 300), 90));
    }
    let told = |words: &str| -> Vec<String> {
        let out = job.run(words).ends(0).out;
        out.lines()
            .filter(|line| line.contains("240 x 300 px"))
            .map(|line| line.split("  ").next().unwrap().to_owned())
            .collect()
    };
    assert_eq!(told("sizes exports"), ["exports/bread.jpg", "exports/tart.jpg"]);
    // With a brief, what it would find there.
    let of_the_order = ["exports/bread.jpg", "exports/more/soup.jpg", "exports/tart.jpg"];
    assert_eq!(told("sizes exports --brief brief.toml"), of_the_order);
    std::fs::create_dir(job.path("empty")).unwrap();
    job.run("sizes empty").ends(2).complains(&["empty: no pictures in this folder"]);
}
