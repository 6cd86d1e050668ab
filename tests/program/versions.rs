//! An order in two versions, from outside: which picture is for which print, in every form of a check and a delivery.

use std::fs;

use crate::support::{Job, Ran, program, ran};

/// Two prints in two versions.
const TWO: &str = "[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n[[version]]\nname = \"web\"\n\
                   folder = \"out/web\"\nfile.jpeg_quality = 91\n\
                   [[print]]\nname = \"tart\"\nsize = \"2 x 2.5 in\"\npicture = \"a*\"\n\
                   [[print]]\nname = \"broth\"\nsize = \"2 x 2.5 in\"\npicture = \"b*\"\n";

/// An order with these pictures among its exports.
fn order(brief: &str, pictures: &[&str]) -> Job {
    let job = Job::new(brief);
    for picture in pictures {
        fs::create_dir_all(job.export(picture).parent().unwrap()).unwrap();
        job.sound(picture);
    }
    job
}

fn deliver(job: &Job, words: &str) -> Ran {
    let words: Vec<&str> = ["deliver", "brief.toml", "exports", "--into"].into_iter().chain(words.split(' ')).collect();
    ran(&program(&words, job.path("").as_path()).output().unwrap())
}

fn read(job: &Job, path: &str) -> String {
    fs::read_to_string(job.path(path)).unwrap()
}

/// Version, picture and state of each row, in order.
fn rows(job: &Job) -> Vec<[String; 3]> {
    let check = job.json();
    let word = |row: &serde_json::Value, key: &str| row[key].as_str().unwrap_or_default().to_owned();
    let rows = check["rows"].as_array().unwrap().iter();
    rows.map(|row| ["version", "picture", "state"].map(|key| word(row, key))).collect()
}

#[test]
fn each_print_is_wanted_from_the_folder_of_each_version() {
    let job = order(TWO, &["rgb/a.jpg", "rgb/b.jpg", "out/web/a.jpg", "b9.jpg", "else/b.jpg", "out/b.jpg"]);
    let wanted = [
        ["masters", "rgb/a.jpg", "PASS"],
        ["web", "out/web/a.jpg", "PASS"],
        ["masters", "rgb/b.jpg", "PASS"],
        ["web", "", "MISSING"],
        ["", "b9.jpg", "EXTRA"],
    ];
    assert_eq!(rows(&job), wanted.map(|row| row.map(str::to_owned)));
    job.check("").ends(0).says(&[
        "tart (web)",
        "broth (web)",
        "under a name that fits \"b*\", in",
        "not in the folder of a version; its name fits broth (web): move it into out/web",
    ]);
    let csv = job.check("--format csv").ends(0).out;
    assert!(csv.starts_with("picture,print,version,page,") && csv.contains("out/web/a.jpg,tart,web,,"), "{csv}");
}

#[test]
fn a_folder_that_is_not_there_is_said_once() {
    let job = order(TWO, &["rgb/a.jpg", "rgb/b.jpg"]);
    let said = job.check("").ends(0).out;
    assert_eq!(said.matches("the version web has no folder out/web; 2 prints are missing").count(), 1, "{said}");
}

#[test]
fn a_named_file_is_for_the_version_in_whose_folder_it_lies() {
    let job = order(TWO, &["rgb/a.jpg", "out/web/a.jpg"]);
    let said = job.run("check brief.toml exports/out/web/a.jpg").ends(0).out;
    assert!(said.contains("tart (web)") && !said.contains("masters"), "{said}");
}

#[test]
fn the_brief_shows_what_comes_from_a_version() {
    let job = order(TWO, &[]);
    job.run("brief show brief.toml").ends(0).says(&["tart (web)", "required: version web, line 7"]);
    job.run("explain version.folder").ends(0).says(&["folder = \"cmyk\""]);
    job.run("explain several versions").ends(0).says(&["a name and a folder"]);
}

#[test]
fn a_delivery_has_a_folder_and_a_section_for_each_version() {
    let all = ["rgb/a.jpg", "rgb/b.jpg", "out/web/a.jpg", "out/web/b.jpg"];
    let job = order(TWO, &all);
    deliver(&job, "exports/out/web/d").ends(2);
    deliver(&job, "d1").ends(0);
    for picture in ["masters/a.jpg", "masters/b.jpg", "web/a.jpg", "web/b.jpg"] {
        assert!(job.path("d1/pictures").join(picture).is_file(), "{picture}");
    }
    job.run("verify d1").ends(0);
    let note = read(&job, "d1/NOTE.txt");
    let places =
        ["\nVersion masters\n", "\nmasters/a.jpg", "\nVersion web\n", "\nweb/a.jpg"].map(|words| note.find(words));
    assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{note}");
    assert!(note.contains("version web: 2 pictures in the folder pictures/web"), "{note}");
    assert!(read(&job, "d1/NOTE.html").contains("Version web</h2>"));
    for list in ["pictures.csv", "orders.csv"] {
        let text = read(&job, &format!("d1/{list}"));
        let lines: Vec<&str> = text.lines().collect();
        assert!(
            lines[0].ends_with(",version") && lines[1].ends_with(",masters") && lines[4].ends_with(",web"),
            "{text}"
        );
    }
    fs::remove_file(job.path("d1/pictures/web/b.jpg")).unwrap();
    job.run("verify d1").ends(1).says(&["pictures/web/b.jpg"]);
}

#[test]
fn a_later_delivery_sends_the_version_that_changed() {
    let job = order(TWO, &["rgb/a.jpg", "rgb/b.jpg", "out/web/a.jpg", "out/web/b.jpg"]);
    deliver(&job, "d1").ends(0);
    deliver(&job, "none --since last").ends(0).says(&["nothing is new"]);
    fs::copy(job.export("rgb/b.jpg"), job.export("out/web/b.jpg")).unwrap();
    deliver(&job, "d2 --since last").ends(0);
    let sent: Vec<_> = fs::read_dir(job.path("d2/pictures")).unwrap().map(|one| one.unwrap().file_name()).collect();
    assert_eq!(sent, ["web"]);
    assert!(job.path("d2/pictures/web/b.jpg").is_file() && !job.path("d2/pictures/web/a.jpg").exists());
    let record: serde_json::Value = serde_json::from_str(&read(&job, "d2/delivery.json")).unwrap();
    let versions: Vec<_> =
        record["pictures"].as_array().unwrap().iter().map(|one| one["order_version"].clone()).collect();
    assert_eq!(versions, ["masters", "masters", "web", "web"]);
}

#[test]
fn a_finding_is_accepted_for_the_file_of_one_version() {
    let brief = TWO
        .replace("file.jpeg_quality = 91", "file.jpeg_quality = 99")
        .replace("folder = \"rgb\"\n", "folder = \"rgb\"\nfile.jpeg_quality = 99\n");
    let job = order(&brief, &["rgb/a.jpg", "rgb/b.jpg", "out/web/a.jpg", "out/web/b.jpg"]);
    let accept = ["accept", "brief.toml", "exports/out/web/a.jpg", "file.jpeg_quality", "--folder", "exports"];
    let words: Vec<&str> = accept.into_iter().chain(["--reason", "meant", "--by", "Maren"]).collect();
    ran(&program(&words, job.path("").as_path()).output().unwrap()).ends(0);
    let states: Vec<String> = rows(&job).into_iter().map(|[_, _, state]| state).collect();
    assert_eq!(states, ["WARN", "PASS", "WARN", "WARN"]);
}
