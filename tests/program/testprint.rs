//! Test prints: which pictures need one, the sheets, and what was seen on them.

use std::fs;

use crate::support::{Job, jpeg, program, ran};

const ORDER: &str = "title = \"Low Water Suppers\"\n[[print]]\nname = \"wall\"\nsize = \"2 x 2.5 in\"\npicture = \"a.jpg\"\n\
                     testprint = true\n[[print]]\nname = \"cards\"\nsize = \"2 x 2.5 in\"\npicture = \"b.jpg\"\ncopies = 40\n\
                     [[print]]\nname = \"page\"\nsize = \"2 x 2.5 in\"\npicture = \"c.jpg\"\n";

fn order() -> Job {
    let job = Job::new(ORDER);
    ["a.jpg", "b.jpg", "c.jpg"].iter().for_each(|name| job.sound(name));
    job
}

fn testprint(job: &Job, words: &[&str]) -> crate::support::Ran {
    let words = [&["testprint", "brief.toml", "exports"], words].concat();
    ran(&program(&words, job.path("").as_path()).output().unwrap())
}

#[test]
fn pictures_are_ranked_with_their_reasons() {
    let said = testprint(&order(), &[])
        .ends(0)
        .says(&["a.jpg for wall", "the brief requires one", "1 more is only large or has many copies: b.jpg for cards"])
        .out;
    assert!(said.find("a.jpg for wall") < said.find("b.jpg for cards"));
    assert!(!said.contains("c.jpg"), "nothing is doubtful: {said}");
}

#[test]
fn sheets_are_written_with_a_note_and_never_over_anything() {
    let job = order();
    let said =
        testprint(&job, &["--into", "sheets"]).ends(0).says(&["1 sheet written", "hard proof have the last word"]).out;
    assert!(said.contains("not a contract proof"));
    let note = fs::read_to_string(job.path("sheets/NOTE.txt")).unwrap();
    let lab = "For the lab: print at 100 % on 8 x 10 in paper. The white margin is in the file; add none. No colour \
               correction.";
    for wanted in [lab, "not a contract proof", "1a", "--seen", "a.jpg"] {
        assert!(note.contains(wanted), "{wanted}: {note}");
    }
    assert!(fs::read(job.path("sheets/test-sheet-1-300ppi.jpg")).unwrap().starts_with(&[0xff, 0xd8]));
    testprint(&job, &["--into", "sheets"]).ends(2).complains(&["sheets already exists; name a new folder"]);
    testprint(&job, &["--into", "by-name", "--only", "c.jpg"]).ends(0);
    let said = testprint(&job, &["--into", "one", "--most", "1"]).ends(0).says(&["1 more picture"]).out;
    assert!(said.contains("--most 2"));
    testprint(&job, &["--into", "whole", "--whole", "--only", "exports/c.jpg"]).ends(0).says(&["1 sheet written"]);
    assert!(fs::read_to_string(job.path("whole/NOTE.txt")).unwrap().contains("the whole picture at its own scale"));
}

#[test]
fn what_cannot_be_done_is_said_and_leaves_nothing() {
    let job = order();
    testprint(&job, &["--into", "out", "--onto", "4 x 6 in"]).ends(2).complains(&["no room", "8 x 10 in"]);
    testprint(&job, &["--into", "out", "--onto", "8x10"]).ends(2).complains(&["has no unit"]);
    testprint(&job, &["--into", "out", "--only", "exports/nobody.jpg"]).ends(2).complains(&["no such picture"]);
    testprint(&job, &["--into", "no/where/out"])
        .ends(2)
        .complains(&["there is no folder no/where", "nothing was written"]);
    testprint(&job, &["--into", "out", "--onto", "200 x 300 in"])
        .ends(2)
        .complains(&["megapixels", "take a smaller sheet"]);
    testprint(&job, &["--into", "out", "--most", "0"]).ends(2).complains(&["--most"]);
    let other = ["--into", "out", "--only", "a.jpg", "--print", "cards"];
    testprint(&job, &other).ends(2).complains(&["a.jpg: is not for the print \"cards\""]);
    job.put("stray.jpg", jpeg((600, 750), 95));
    testprint(&job, &["--into", "out", "--only", "stray.jpg"]).ends(2).complains(&["it is for no print"]);
    job.put("a.jpg", jpeg((40, 50), 95));
    testprint(&job, &["--into", "out", "--only", "a.jpg"]).ends(2).complains(&["too few pixels for a test print"]);
    assert!(!job.path("out").exists());
    let none = Job::new("[[print]]\nsize = \"2 x 2.5 in\"\n");
    none.sound("a.jpg");
    testprint(&none, &["--into", "out"]).ends(2).complains(&["--only"]);
    let inks = Job::new("[colour]\nspace = \"cmyk\"\n[[print]]\nsize = \"2 x 2.5 in\"\n");
    inks.sound("a.jpg");
    testprint(&inks, &["--into", "out", "--only", "exports/a.jpg"]).ends(2).complains(&["profile in [paper]"]);
}

#[test]
fn what_was_seen_is_kept_and_asked_again_of_other_pixels() {
    let job = order();
    job.run("check brief.toml exports").says(&["test print required, not seen yet"]);
    let saw = ["--only", "exports/a.jpg", "--seen", "shadows hold", "--by", "Maren"];
    testprint(&job, &saw).ends(0).says(&["1 test print seen", "brief.decisions.toml"]);
    job.run("check brief.toml exports").says(&["test print seen: \"shadows hold\" (Maren, 20"]);
    let json = job.run("check brief.toml exports --format json").ends(0).says(&["\"state\": \"seen\""]).out;
    assert!(json.contains("\"saw\": \"shadows hold\""));
    testprint(&job, &["--only", "exports/a.jpg", "--seen", "a little dark", "--by", "Maren"]).ends(0);
    let kept = fs::read_to_string(job.path("brief.decisions.toml")).unwrap();
    assert_eq!(kept.matches("[[seen]]").count(), 1, "{kept}");
    assert!(kept.contains("a little dark"));
    job.put("a.jpg", jpeg((640, 800), 95));
    job.run("check brief.toml exports").says(&["test print seen for an earlier export"]);
    let bad = ["--only", "exports/a.jpg", "--seen", "greens dull", "--not-good", "--by", "Maren"];
    testprint(&job, &bad).ends(0).says(&["seen and not good enough"]);
    let bad = ["FIX", "proof.testprint", "test print seen, not good enough: \"greens dull\""];
    job.run("check brief.toml exports").ends(1).says(&bad);
    job.run("deliver brief.toml exports --into bad").ends(1).says(&["its test print was not good enough"]);
    testprint(&job, &["--only", "exports/a.jpg", "--withdraw"])
        .ends(0)
        .says(&["1 test print no longer recorded as seen"]);
    job.run("check brief.toml exports").says(&["not seen yet"]);
    testprint(&job, &["--only", "exports/a.jpg", "--withdraw"]).ends(2).complains(&["no remark on its test print"]);
    testprint(&job, &["--only", "exports/a.jpg", "--seen", " "]).ends(2).complains(&["say what you saw"]);
    testprint(&job, &["--seen", "all well"]).ends(2).complains(&["--only"]);
}

#[test]
fn a_delivery_says_what_nobody_has_seen_yet() {
    let job = order();
    job.run("deliver brief.toml exports --into out").ends(0).says(&["1 print needs a test print"]);
    let note = fs::read_to_string(job.path("out/NOTE.txt")).unwrap();
    assert!(!note.contains("test print"), "that is the photographer's own business: {note}");
}

#[test]
fn hostile_words_stay_words_on_sheets_too() {
    let job = Job::new(
        "title = \"\\u001b[31m\\u202etitle\"\n[[print]]\nname = \"../../\\u001b]0;x\\u0007\\u202e\"\nsize = \"2 x 2.5 in\"\n\
         testprint = true\n",
    );
    job.sound("a\u{1b}[2J$(touch x).jpg");
    let said = testprint(&job, &["--into", "sheets"]).ends(0);
    let acts = |text: &str| text.contains(['\u{1b}', '\u{202e}', '\u{7}']);
    assert!(!acts(&said.out) && !acts(&said.err), "{}{}", said.out, said.err);
    for entry in fs::read_dir(job.path("sheets")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        assert!(name.starts_with("test-sheet") || name == "NOTE.txt", "{name}");
        if !name.ends_with("jpg") {
            let text = fs::read_to_string(&path).unwrap();
            assert!(!acts(&text), "{name}: {text}");
        }
    }
    let saw = ["--only", "a\u{1b}[2J$(touch x).jpg", "--seen", "\u{1b}[31mred\u{202e}", "--by", "\u{1b}M"];
    assert!(!acts(&testprint(&job, &saw).ends(0).out));
    let kept = fs::read_to_string(job.path("brief.decisions.toml")).unwrap();
    assert!(!acts(&kept), "{kept}");
    assert!(!acts(&job.run("check brief.toml exports").out));
}

#[test]
fn a_name_that_two_prints_have_is_refused_wherever_one_print_is_meant_and_shown_with_the_ids() {
    let print = |size: &str| format!("[[print]]\nname = \"wall\"\npicture = \"a*\"\nsize = \"{size}\"\n");
    let job = Job::new(&format!("{}{}", print("2 x 2.5 in"), print("4 x 5 in")));
    job.sound("a.jpg");
    let ids = ["wall-2-x-2-5-in", "wall-4-x-5-in"];
    for command in [
        "testprint brief.toml exports --only a.jpg --print wall --seen dull --by M",
        "accept brief.toml exports/a.jpg density.minimum --print wall --reason x --by M --allowed-by C",
        "accept brief.toml exports/a.jpg density.minimum --print wall --withdraw",
        "subject brief.toml exports/a.jpg --print wall --box .2,.2,.8,.8",
    ] {
        job.run(command).ends(2).complains(&["2 prints named \"wall\"", "by its id", ids[0], ids[1]]);
    }
    assert!(!job.path("brief.decisions.toml").exists(), "nothing is kept");
    job.run("testprint brief.toml exports --only a.jpg --print wall-4-x-5-in --seen dull --by M").ends(0);
    let kept = fs::read_to_string(job.path("brief.decisions.toml")).unwrap();
    assert!(kept.contains(ids[1]) && !kept.contains(ids[0]), "{kept}");
    job.run("check brief.toml exports").ends(1).says(&["wall (wall-2-x-2-5-in)", "wall (wall-4-x-5-in)"]);
    job.run("brief show brief.toml").ends(0).says(&["wall (wall-2-x-2-5-in)", "wall (wall-4-x-5-in)"]);
}
