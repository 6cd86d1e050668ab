//! `plateside check` on folders: verdicts, formats, exit status.

use std::process::Stdio;

use crate::support::{Job, SMALL, SMALL_PX, jpeg, png, program, tiff};

/// Two pages, each wanting its own picture.
const PAGES: &str = "[[print]]\nname = \"p012 tart\"\npicture = \"p012*\"\nsize = \"2 x 2.5 in\"\n\
                     [[print]]\nname = \"p014 broth\"\npicture = \"p014*\"\nsize = \"2 x 2.5 in\"\n";

#[test]
fn a_sound_folder_has_nothing_to_fix() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    job.put("two.tif", tiff(SMALL_PX));
    job.check("").ends(0).says(&["PASS", "one.jpg", "two.tif", "the last word", "2 with nothing to fix"]);
}

#[test]
fn a_picture_with_too_few_pixels_is_to_fix_and_says_the_numbers_to_type() {
    let job = Job::new(SMALL);
    job.sound("good.jpg");
    job.put("small.jpg", jpeg((340, 425), 95));
    let ran = job.check("").ends(1).says(&["FIX", "small.jpg", "density.minimum]", "170 ppi", "600 x 750 px"]);
    let (fix, pass) = (ran.out.find("small.jpg").unwrap(), ran.out.find("good.jpg").unwrap());
    assert!(fix < pass, "what must be fixed comes first:\n{}", ran.out);
}

#[test]
fn warnings_count_when_strict() {
    let job = Job::new(SMALL);
    job.put("soft.jpg", jpeg(SMALL_PX, 60));
    job.check("").ends(0).says(&["WARN", "file.jpeg_quality"]);
    job.check("--strict").ends(1);
}

#[test]
fn missing_pictures_count_when_complete() {
    let job = Job::new(PAGES);
    job.sound("p012-tart.jpg");
    job.check("").ends(0).says(&["MISSING", "p014 broth"]);
    job.check("--strict").ends(0);
    job.check("--complete").ends(1);
    job.sound("p014-broth.jpg");
    job.check("--complete").ends(0);
}

#[test]
fn pictures_that_no_print_wants_are_said_and_change_nothing() {
    let job = Job::new(PAGES);
    job.sound("p012-tart.jpg");
    job.sound("p014-broth.jpg");
    job.put("cover.jpg", jpeg((300, 300), 95));
    job.check("--strict --complete").ends(0).says(&["EXTRA", "cover.jpg"]);
}

#[test]
fn files_can_be_named_instead_of_their_folder() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    job.put("small.jpg", jpeg((340, 425), 95));
    let ran = job.run("check brief.toml exports/one.jpg").ends(0).says(&["one.jpg"]);
    assert!(!ran.out.contains("small.jpg"), "{}", ran.out);
    job.run("check brief.toml exports/one.jpg exports/small.jpg").ends(1).says(&["one.jpg", "small.jpg"]);
    job.run("check brief.toml exports/none.jpg").ends(2).complains(&["none.jpg"]);
    // One name in two forms of Unicode, in two folders: both are read.
    for (folder, name) in [("mac", "cre\u{302}pes.jpg"), ("new", "cr\u{ea}pes.jpg")] {
        std::fs::create_dir(job.export(folder)).unwrap();
        job.put(&format!("{folder}/{name}"), jpeg((340, 425), 95));
    }
    let both = "check brief.toml exports/mac/cre\u{302}pes.jpg exports/new/cr\u{ea}pes.jpg";
    job.run(both).ends(1).says(&["exports/mac/cr\u{ea}pes.jpg", "exports/new/cr\u{ea}pes.jpg"]);
}

#[test]
fn what_cannot_be_done_ends_in_2_and_names_the_file() {
    let job = Job::new(SMALL);
    job.run("check brief.toml nowhere").ends(2).complains(&["nowhere: no such folder or picture; name the folder"]);
    job.check("--jobs 0").ends(2).complains(&["write a number from 1 to 256"]);
    job.run("brief.toml").ends(2).complains(&["name the folder too: plateside BRIEF FOLDER"]);
    job.run("exports").ends(2).complains(&["name the brief first: plateside BRIEF exports"]);
    job.run("check none.toml exports").ends(2).complains(&["none.toml"]);
    job.run("check brief.toml").ends(2).complains(&["FOLDER"]);
    job.run("check brief.toml exports --format xml").ends(2).complains(&["xml", "json"]);
}

#[test]
fn a_table_for_spreadsheets_has_a_line_a_row() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    job.sound("=cmd.jpg");
    job.put("small.jpg", jpeg((340, 425), 95));
    let ran = job.check("--format csv").ends(1);
    let mut reader = csv::Reader::from_reader(ran.out.as_bytes());
    let lines: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let of = |name: &str| lines.iter().find(|line| &line[0] == name).unwrap_or_else(|| panic!("{name}: {}", ran.out));
    assert_eq!(&of("small.jpg")[4], "FIX");
    assert!(of("small.jpg").iter().any(|cell| cell.contains("density.minimum")));
    assert_eq!(&of("'=cmd.jpg")[5], "jpeg");
}

#[test]
fn one_worker_and_two_write_the_same() {
    let job = Job::new(SMALL);
    for n in 0..6 {
        job.put(&format!("p{n}.jpg"), jpeg((500 + n * 20, 750), 90));
    }
    job.put("p7.png", png(SMALL_PX));
    job.put("p8.tif", tiff(SMALL_PX));
    job.put("p9.jpg", b"no picture");
    let without_time = |jobs: u8| {
        let ran = job.check(&format!("--format json --jobs {jobs}")).ends(1);
        ran.out.lines().filter(|line| !line.contains("\"made\"")).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(without_time(1), without_time(2));
    assert_eq!(job.check("--jobs 1").out, job.check("--jobs 2").out);
}

#[test]
fn colour_is_written_only_where_it_is_wanted() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    assert!(!job.check("").out.contains('\u{1b}'));
    assert!(job.check("--colour always").out.contains('\u{1b}'));
    assert!(!job.check("--colour never").out.contains('\u{1b}'));
}

#[test]
fn a_reader_that_leaves_early_is_no_disaster() {
    let job = Job::new(SMALL);
    job.sound("one.jpg");
    for words in
        [["check", "brief.toml", "exports"].as_slice(), &["explain"], &["man"], &["brief", "show", "brief.toml"]]
    {
        let mut child = program(words, &job.path("")).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert!(output.stderr.is_empty(), "{words:?}: {}", String::from_utf8_lossy(&output.stderr));
        assert!(output.status.code().is_some(), "{words:?} was killed: {}", output.status);
    }
}

#[test]
fn a_border_print_may_keep_the_shape_of_its_picture() {
    let border = "border = { top = \"0.5 in\", right = \"0.5 in\", bottom = \"0.75 in\", left = \"0.5 in\" }";
    let order = |fit: &str| {
        let brief = format!("[margins]\nedge = \"border\"\n{fit}\n{border}\n[[print]]\nsize = \"4 x 5.25 in\"\n");
        let job = Job::new(&brief);
        job.put("one.jpg", jpeg((800, 1200), 95));
        job
    };
    // 2:3 within 3 x 4 in: cut to 3:4, or whole and 2.667 in wide.
    order("").check("").ends(0).says(&[
        "WARN",
        "a centred crop loses 11.1 %",
        "or ask for a border that is wider on two sides: fit = \"inside\"",
    ]);
    let job = order("fit = \"inside\"");
    job.check("--strict").ends(0).says(&["PASS"]);
    let row = job.row("one.jpg");
    assert_eq!(row["geometry"]["needed_px"], serde_json::json!([800, 1200]));
    assert_eq!(row["geometry"]["crop_lost_sides"], serde_json::json!([0.0, 0.0, 0.0, 0.0]));
}

#[test]
fn a_text_among_the_exports_is_named_as_what_it_is() {
    let job = Job::new("[[print]]\nname = \"tart\"\nsize = \"2 x 2.5 in\"\npicture = \"p012*\"\n");
    job.put("p12", "remarks of the designer\n");
    let ran = job.check("").says(&[
        "p12",
        "a text file, not a print picture: it is not sent; take it out of the folder or list it under ignore",
    ]);
    assert!(!ran.out.contains("rename it"), "{}", ran.out);
}

#[test]
fn an_option_that_is_not_there_is_answered_like_every_other_error() {
    let job = Job::new(SMALL);
    let words = "plateside: plateside check has no option --stict\n    did you mean --strict?\n";
    assert_eq!(job.check("--stict").ends(2).err, words);
}
