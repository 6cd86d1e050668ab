//! The delivery: exactly the checked bytes, or nothing at all.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use crate::support::{Job, SMALL, jpeg, program, ran};

fn deliver(job: &Job, words: &[&str]) -> crate::support::Ran {
    let words = [&["deliver", "brief.toml", "exports", "--into"], words].concat();
    ran(&program(&words, job.path("").as_path()).output().unwrap())
}

fn names(folder: &Path) -> BTreeSet<String> {
    fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect()
}

fn sound() -> Job {
    let job = Job::new(&format!("[delivery]\nrename = \"{{copies}}-{{picture}}\"\n{SMALL}"));
    job.sound("a.jpg");
    job.sound("b c.jpg");
    job
}

#[test]
fn what_was_checked_is_what_is_delivered() {
    let job = sound();
    deliver(&job, &["out"]).ends(0).says(&["2 pictures written", "the note gives no contact"]);
    let written = names(&job.path("out"));
    let wanted = [
        "MESSAGE.txt",
        "NOTE.html",
        "NOTE.txt",
        "SHA256SUMS",
        "delivery.json",
        "orders.csv",
        "pictures",
        "pictures.csv",
    ];
    assert_eq!(written, wanted.map(str::to_owned).into());
    assert_eq!(fs::read(job.path("out/pictures/1-b c.jpg")).unwrap(), fs::read(job.export("b c.jpg")).unwrap());
    let columns =
        |file: &str| fs::read_to_string(job.path("out").join(file)).unwrap().lines().next().map(str::to_owned);
    assert_eq!(
        columns("orders.csv").unwrap(),
        "file,print,finished_size,bleed_in_file_mm,border_mm,bar_mm,bar_sides,folds_from_left_mm,copies,paper,edge,exceptions"
    );
    assert!(
        columns("pictures.csv").unwrap().contains(",bleed_in_file_mm,")
            && columns("pictures.csv").unwrap().ends_with(",exceptions,sha256_first_12")
    );
    job.run("verify out").ends(0).says(&["8 files are as delivered"]);
    fs::write(job.path("out/pictures/1-a.jpg"), "x").unwrap();
    fs::remove_file(job.path("out/NOTE.txt")).unwrap();
    fs::write(job.path("out/pictures/more.jpg"), "x").unwrap();
    let lines = ["changed pictures/1-a.jpg", "missing NOTE.txt", "added pictures/more.jpg"];
    job.run("verify out").ends(1).says(&lines);
    deliver(&job, &["zipped", "--zip"]).ends(0).says(&["zipped.zip"]);
    assert!(fs::read(job.path("zipped.zip")).unwrap().starts_with(b"PK"));
    job.run("verify zipped.zip").ends(2).complains(&["zipped.zip: is a file; unpack the archive"]);
    let words = "exports: is not a delivery (it has no SHA256SUMS); name the folder that `plateside deliver` wrote";
    job.run("verify exports").ends(2).complains(&[words]);
    job.run("verify nowhere").ends(2).complains(&["nowhere: no such folder"]);
}

#[test]
fn an_archive_that_was_not_made_any_more_is_made_of_the_same_folder() {
    let job = sound();
    deliver(&job, &["out"]).ends(0);
    fs::write(job.path("out/NOTE.txt"), "x").unwrap();
    deliver(&job, &["out", "--zip"]).ends(2).complains(&["has changed since it was written", "plateside verify out"]);
    fs::remove_dir_all(job.path("out")).unwrap();
    deliver(&job, &["out"]).ends(0);
    let sums = fs::read_to_string(job.path("out/SHA256SUMS")).unwrap();
    deliver(&job, &["out", "--zip", "--only", "exports/a.jpg"]).ends(2).complains(&["is a different delivery"]);
    deliver(&job, &["out", "--zip"]).ends(0).says(&["out is already there, unchanged", "as one archive: out.zip"]);
    assert!(fs::read(job.path("out.zip")).unwrap().starts_with(b"PK"));
    assert_eq!(fs::read_to_string(job.path("out/SHA256SUMS")).unwrap(), sums);
    deliver(&job, &["out", "--zip"]).ends(2).complains(&["out.zip: already exists"]);
}

#[test]
fn the_note_names_who_sends() {
    let job = Job::new(&format!("from = \"Maren Olde, maren@low-water.example\"\n{SMALL}"));
    job.sound("a.jpg");
    let said = deliver(&job, &["out"]).ends(0).out;
    assert!(!said.contains("gives no contact"), "{said}");
    for (file, wanted) in [
        ("NOTE.txt", "Questions to: Maren Olde, maren@low-water.example"),
        ("NOTE.html", "<dt>Questions to</dt><dd><p>Maren Olde, maren@low-water.example</p></dd>"),
        ("delivery.json", "\"from\": \"Maren Olde, maren@low-water.example\""),
    ] {
        let text = fs::read_to_string(job.path("out").join(file)).unwrap();
        assert!(text.contains(wanted), "{file}: {text}");
    }
}

#[test]
fn nothing_is_written_while_something_is_to_be_fixed_or_is_there_already() {
    let job = sound();
    job.put("c.jpg", jpeg((100, 125), 95));
    deliver(&job, &["out"]).ends(1).says(&["Nothing was written", "FIX c.jpg"]);
    assert!(!job.path("out").exists());
    deliver(&job, &["out", "--only", "exports/a.jpg"]).ends(0).says(&["1 picture written"]);
    let before = names(&job.path("out/pictures"));
    deliver(&job, &["out"]).ends(2).complains(&["a delivery is never overwritten"]);
    assert_eq!(names(&job.path("out/pictures")), before);
    fs::remove_file(job.export("c.jpg")).unwrap();
    job.put("A.jpg", jpeg((600, 750), 95));
    deliver(&job, &["two"]).ends(1).says(&["would both be called"]);
    deliver(&job, &["nowhere/at/all", "--only", "exports/a.jpg"]).ends(2).complains(&["nothing was written"]);
}

#[test]
fn a_list_of_checksums_that_was_cut_with_its_picture_is_told() {
    let job = sound();
    deliver(&job, &["out"]).ends(0);
    let list = job.path("out/SHA256SUMS");
    let text = fs::read_to_string(&list).unwrap();
    let last = text.lines().last().unwrap();
    fs::write(&list, text.replace(&format!("{last}\n"), "")).unwrap();
    let name = last.split_once("  ").unwrap().1;
    fs::remove_file(job.path("out").join(name)).unwrap();
    let verify = ran(&program(&["verify", "out"], job.path("").as_path()).output().unwrap());
    verify.ends(1).says(&["missing", name]);
}

#[test]
fn nothing_is_written_among_the_exports_where_sub_folders_are_read() {
    let job = Job::new(&format!("subfolders = true\n{SMALL}"));
    job.sound("a.jpg");
    let said = ["is inside the folder of exports", "name a folder outside"];
    deliver(&job, &["exports/out"]).ends(2).complains(&said);
    job.run("testprint brief.toml exports --only a.jpg --into exports/sheets").ends(2).complains(&said);
    job.run("guide brief.toml --into exports/frames").ends(2).complains(&said);
    assert_eq!(fs::read_dir(job.path("exports")).unwrap().count(), 1, "the picture alone");
    deliver(&job, &["out"]).ends(0);
    job.run("guide brief.toml --into frames").ends(0);
}

#[test]
fn only_what_is_new_or_changed_goes_a_second_time() {
    let job = sound();
    deliver(&job, &["one"]).ends(0);
    fs::remove_file(job.export("b c.jpg")).unwrap();
    job.put("a.jpg", jpeg((600, 750), 93));
    job.sound("d.jpg");
    deliver(&job, &["two", "--since", "one"]).ends(0).says(&["2 pictures written"]);
    let note = fs::read_to_string(job.path("two/NOTE.txt")).unwrap();
    assert!(
        note.contains("1-a.jpg (replaces the file that you have under this name)") && note.contains("1-d.jpg (new)"),
        "{note}"
    );
    assert!(note.contains("\nWithdrawn, do not print: 1-b c.jpg\n"), "{note}");
    job.sound("e.jpg");
    // The record of the second holds what the printer has by now.
    deliver(&job, &["three", "--since", "two"]).ends(0).says(&["1 picture written"]);
    assert_eq!(names(&job.path("three/pictures")), ["1-e.jpg".to_owned()].into());
    job.run("verify three").ends(0);
    deliver(&job, &["none", "--since", "three"]).ends(0).says(&["nothing is new since three: nothing was written"]);
    assert!(!job.path("none").exists());
    // The same files go with another order; by default their names say the copies.
    let brief = fs::read_to_string(job.path("brief.toml")).unwrap();
    fs::write(job.path("brief.toml"), format!("{brief}\ncopies = 5\n")).unwrap();
    deliver(&job, &["five", "--since", "three"]).ends(0).says(&["3 pictures written"]);
    let note = fs::read_to_string(job.path("five/NOTE.txt")).unwrap();
    let said = "5-a.jpg (the same file as 1-a.jpg, which this name replaces; \
                5 copies, instead of 1, not in addition)";
    assert!(note.contains(said) && !note.contains("Withdrawn"), "{note}");
    let orders = fs::read_to_string(job.path("five/orders.csv")).unwrap();
    // The copies of now, and those of before.
    assert!(orders.lines().skip(1).all(|line| line.contains(",,,5,1,")), "{orders}");
    let matte = format!("[paper]\nsurface = \"matte\"\n{brief}\ncopies = 5\n");
    fs::write(job.path("brief.toml"), matte).unwrap();
    deliver(&job, &["six", "--since", "five"]).ends(0).says(&["3 pictures written"]);
    let note = fs::read_to_string(job.path("six/NOTE.txt")).unwrap();
    assert!(note.contains("5-a.jpg (the same file as before; now matte)"), "{note}");
    fs::rename(job.export("e.jpg"), job.export("f.jpg")).unwrap();
    deliver(&job, &["seven", "--since", "six"]).ends(0).says(&["1 picture written"]);
    let note = fs::read_to_string(job.path("seven/NOTE.txt")).unwrap();
    assert!(note.contains("5-f.jpg (the same file as 5-e.jpg, which this name replaces)"), "{note}");
    deliver(&job, &["four", "--since", "exports"]).ends(2).complains(&["earlier delivery"]);
}

#[test]
fn a_second_batch_withdraws_nothing_of_the_first() {
    let print = |name: &str, batch: u32| {
        format!("[[print]]\nname = \"{name}\"\nsize = \"2 x 2.5 in\"\npicture = \"{name}.jpg\"\nbatch = {batch}\n")
    };
    let job = Job::new(&[print("a", 1), print("b", 2)].concat());
    job.sound("a.jpg");
    job.sound("b.jpg");
    deliver(&job, &["one", "--batch", "1"]).ends(0).says(&["1 picture written"]);
    deliver(&job, &["two", "--batch", "2", "--since", "one"]).ends(0).says(&["1 picture written"]);
    let note = fs::read_to_string(job.path("two/NOTE.txt")).unwrap();
    assert!(note.contains("b.jpg (new)") && !note.contains("Withdrawn"), "{note}");
    // The printer has both by now.
    deliver(&job, &["three", "--since", "two"]).ends(0).says(&["nothing is new since two"]);
}

#[test]
fn hostile_words_stay_words() {
    let job = Job::new(SMALL);
    fs::write(
        job.path("brief.toml"),
        "title = \"<img src=x onerror=alert(1)>\"\nprinter = \"=HYPERLINK(1)\"\n[delivery]\nrename = \"{name}\"\n\
         [[print]]\nname = \"../../=p\\u001b[31m\\u202e\"\nsize = \"2 x 2.5 in\"\n",
    )
    .unwrap();
    job.sound("a.jpg");
    deliver(&job, &["out"]).ends(0);
    let pictures = names(&job.path("out/pictures"));
    let name = pictures.first().unwrap();
    assert!(pictures.len() == 1 && !name.contains(['/', '\u{1b}', '\u{202e}']), "{name:?}");
    for file in ["NOTE.html", "NOTE.txt", "pictures.csv", "orders.csv"] {
        let text = fs::read_to_string(job.path("out").join(file)).unwrap();
        assert!(!text.contains(['\u{1b}', '\u{202e}']), "{file}: {text}");
        assert!(file == "NOTE.txt" || !text.contains("<img src=x"), "{file}: {text}");
        assert!(
            file.starts_with("NOTE") || !text.lines().any(|line| line.split(',').any(|cell| cell.starts_with('='))),
            "{file}: {text}"
        );
    }
    job.run("verify out").ends(0);
}

#[cfg(unix)]
#[test]
fn told_to_end_it_leaves_a_whole_delivery_or_nothing() {
    let job = Job::new(SMALL);
    for number in 0..24 {
        job.sound(&format!("p{number:02}.jpg"));
    }
    let unfinished = || names(&job.path("")).into_iter().find(|name| name.starts_with(".plateside"));
    for signal in ["INT", "TERM"] {
        let mut child = program(&["deliver", "brief.toml", "exports", "--into", signal], job.path("").as_path())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        while unfinished().is_none() && child.try_wait().unwrap().is_none() {
            std::thread::yield_now();
        }
        let told = Command::new("kill").args(["-s", signal, &child.id().to_string()]).status().unwrap();
        let ended = child.wait().unwrap();
        assert_eq!(unfinished(), None, "after {signal}");
        if job.path(signal).exists() {
            job.run(&format!("verify {signal}")).ends(0);
        } else {
            assert!(told.success() && ended.code().is_none(), "after {signal}: {ended}");
        }
    }
}
