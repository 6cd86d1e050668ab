//! Briefs: written from starters, shown, asked about, and refused with place and remedy.

use std::fs;

use crate::support::{Job, SMALL};

#[test]
fn a_malformed_brief_is_refused_with_place_and_remedy() {
    let job = Job::new("[[print]]\nsize = \"8x10\"\n");
    for command in ["check brief.toml exports", "brief show brief.toml", "brief ask brief.toml"] {
        job.run(command).ends(2).complains(&["brief.toml:2:", "size = \"8x10\"", "8 x 10 in", "^"]);
    }
}

#[test]
fn all_problems_are_said_at_once() {
    let job = Job::new("titel = \"Suppers\"\n[density]\nminimum = 240\n[[print]]\nsize = \"8x10\"\n");
    job.check("").ends(2).complains(&["brief.toml:1:", "title", "brief.toml:3:", "240 ppi", "brief.toml:5:"]);
}

#[test]
fn a_brief_that_is_no_text_is_refused() {
    let job = Job::new(SMALL);
    fs::write(job.path("brief.toml"), b"\xff\xfe\x00").unwrap();
    job.check("").ends(2).complains(&["brief.toml"]);
}

#[test]
fn a_briefs_own_words_cannot_speak_to_the_terminal() {
    let job = Job::new("title = \"\\u001b[2J\"\nwhat = \"\u{202e}\"\n[[print]]\nsize = \"8 x 10 in\"\n");
    let ran = job.check("").ends(2);
    assert!(!ran.err.contains(['\u{1b}', '\u{202e}']), "{:?}", ran.err);
}

#[test]
fn where_nothing_can_be_written_the_remedy_is_said_and_no_name_of_ours() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    let gone = job.run("brief new canvas-wrapped --into gone/away.toml").ends(2);
    gone.complains(&["gone/away.toml: cannot be written: there is no such folder: make it first"]);
    // Even the superuser makes no file there.
    #[cfg(target_os = "linux")]
    for command in ["brief new canvas-wrapped --into /sys/new.toml", "deliver brief.toml exports --into /sys/out"] {
        let ran = job.run(command).ends(2).complains(&["/sys/"]);
        assert!(ran.err.contains("choose another place") || ran.err.contains("there is no"), "{}", ran.err);
        assert!(!ran.err.contains(".plateside") && !ran.err.contains("os error"), "{command}: {}", ran.err);
    }
    job.run("accept brief.toml a.jpg density.target --reason meant --by Maren")
        .ends(2)
        .complains(&["a.jpg: there is no such file; write its path, for example exports/a.jpg"]);
}

#[test]
fn new_lists_the_starters_and_writes_one_that_checks() {
    let job = Job::new(SMALL);
    let listed = job.run("brief new").ends(0);
    let names: Vec<&str> =
        listed.out.lines().filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next()).collect();
    assert!(names.len() >= 8, "{}", listed.out);
    for name in names {
        job.run(&format!("brief new {name} --into {name}.toml")).ends(0);
        job.run(&format!("brief show {name}.toml")).ends(0);
        job.run(&format!("brief ask {name}.toml")).ends(0);
    }
}

#[test]
fn new_never_overwrites() {
    let job = Job::new(SMALL);
    let listed = job.run("brief new").ends(0).out;
    let name = listed.lines().find_map(|line| line.strip_prefix("  ")?.split_whitespace().next()).unwrap();
    job.run(&format!("brief new {name} --into brief.toml")).ends(2).complains(&["brief.toml", "already"]);
    assert_eq!(fs::read_to_string(job.path("brief.toml")).unwrap(), SMALL);
    job.run(&format!("brief new {name}")).ends(0);
    assert!(job.path(&format!("{name}.toml")).is_file());
    job.run(&format!("brief new {name}")).ends(2).complains(&["already"]);
    let written = fs::read_to_string(job.path(&format!("{name}.toml"))).unwrap();
    assert_eq!(job.run(&format!("brief new {name} --into -")).ends(0).out, written);
}

#[test]
fn new_says_which_starter_was_meant() {
    let job = Job::new(SMALL);
    job.run("brief new canvass").ends(2).complains(&["canvas"]);
}

#[test]
fn new_begins_from_a_picture_list() {
    let job = Job::new(SMALL);
    fs::write(job.path("pictures.csv"), "page,name,picture,size\n12,plum tart,p012*,8 x 10 in\n").unwrap();
    job.run("brief new --from pictures.csv --into book.toml").ends(0);
    job.run("brief show book.toml").ends(0).says(&["plum tart"]);
}

#[test]
fn show_says_values_origins_and_geometry() {
    let job = Job::new("[density]\nminimum = \"200 ppi\"\n[[print]]\nname = \"the wall\"\nsize = \"8 x 10 in\"\n");
    job.run("brief show brief.toml").ends(0).says(&[
        "density.minimum",
        "200 ppi",
        "line 2",
        "default",
        "the wall",
        "8 x 10 in",
        "203.2 x 254 mm",
        "2400 x 3000 px",
    ]);
}

#[test]
fn ask_names_the_key_that_will_hold_each_answer() {
    let job = Job::new(SMALL);
    job.run("brief ask brief.toml").ends(0).says(&["?", "margins.safe", "paper.stock"]);
}

#[test]
fn a_profile_that_is_not_there_is_said_wherever_the_brief_is_read() {
    let job = Job::new(&format!("[paper]\nprofile = \"nosuch.icc\"\n{SMALL}"));
    job.sound("a.jpg");
    job.run("brief show brief.toml").ends(0).says(&["brief.toml:2:", "nosuch.icc"]);
    job.check("").ends(0).says(&["nosuch.icc: there is no such file", "paper.profile (line"]);
    job.check("--strict").ends(1);
    job.check("--format csv").ends(0).says(&["nosuch.icc"]);
    let findings = &job.json()["brief"]["findings"];
    assert_eq!((&findings[0]["rule"], &findings[0]["level"]), (&"paper.profile".into(), &"should".into()));
}

#[test]
fn a_bleed_that_is_asked_for_is_asked_of_the_pictures_or_the_brief_is_refused() {
    let job = Job::new(&format!("[margins]\nbleed = \"3 mm\"\n{SMALL}"));
    job.sound("a.jpg");
    job.check("--strict").ends(1).says(&["WARN", "a.jpg", "margins.bleed]"]);
    let job = Job::new(&format!("[margins]\nedge = \"borderless\"\nbleed = \"3 mm\"\n{SMALL}"));
    job.sound("a.jpg");
    job.check("").ends(2).complains(&["brief.toml:3:", "bleed belongs to edge = \"bleed\"", "or take bleed out"]);
    let job = Job::new(&format!("[margins]\nedge = \"enlarged\"\n{SMALL}"));
    job.check("").ends(2).complains(&["brief.toml:2:", "is now called borderless", "edge = \"borderless\""]);
}

#[test]
fn a_brief_has_values_from_a_starter_a_sheet_and_a_named_paper_and_says_which() {
    let job = Job::new(&format!(
        "like = \"cookbook-coated\"\nsheet = \"corrow-lane.toml\"\n[papers.body]\nstock = \"uncoated\"\n{SMALL}paper = \"body\"\n\
         [print.margins]\nedge = \"borderless\"\n"
    ));
    fs::create_dir_all(job.path("config/plateside/printers")).unwrap();
    let sheet = "contact = \"Ines Falk\"\n[density]\nminimum = \"400 ppi\"\ntarget = \"400 ppi\"\n[answered]\n\
                 \"density.minimum\" = 2026-11-30\n";
    fs::write(job.path("config/plateside/printers/corrow-lane.toml"), sheet).unwrap();
    job.sound("a.jpg");
    job.run("brief show brief.toml").ends(0).says(&[
        "like cookbook-coated (brief, line 1)",
        "contact Ines Falk (printer's sheet corrow-lane.toml, line 1)",
        "density.minimum 400 ppi (required: printer's sheet corrow-lane.toml, line 3, answered 2026-11-30)",
        "file.jpeg_quality 90 (usual: starter cookbook-coated)",
        "paper.stock uncoated (required: paper body, line 4)",
    ]);
    job.check("").ends(1).says(&["at least 400 ppi required by the printer's sheet"]);
    let row = job.row("a.jpg");
    let origins = row["findings"].as_array().unwrap().iter().flat_map(|one| one["origins"].as_array().unwrap());
    let of = |key: &str| origins.clone().find(|one| one["key"] == key).unwrap()["from"].clone();
    assert_eq!(of("density.minimum"), "required: printer's sheet corrow-lane.toml, line 3");
    fs::remove_file(job.path("config/plateside/printers/corrow-lane.toml")).unwrap();
    job.check("").ends(2).complains(&[
        "brief.toml:2:9: there is no printer's sheet \"corrow-lane.toml\", neither beside this file nor in \
         plateside/printers of your configuration folder",
        "begin the sheet: plateside brief answer brief.toml",
    ]);
}

#[test]
fn a_target_in_the_brief_does_not_lift_the_minimum_that_the_printer_has_said() {
    let brief = |target: &str| format!("sheet = \"corrow-lane.toml\"\n[density]\ntarget = \"{target}\"\n{SMALL}");
    let job = Job::new(&brief("450 ppi"));
    fs::write(job.path("corrow-lane.toml"), "[density]\ntarget = \"500 ppi\"\nminimum = \"400 ppi\"\n").unwrap();
    job.sound("a.jpg");
    job.check("").ends(1).says(&["at least 400 ppi required by the printer's sheet"]);
    fs::write(job.path("brief.toml"), brief("300 ppi")).unwrap();
    job.check("").ends(2).complains(&["corrow-lane.toml:3:", "the minimum (400 ppi) is above the target (300 ppi)"]);
    // A starter's minimum is nobody's word: it follows the target.
    fs::write(job.path("brief.toml"), format!("like = \"cookbook-coated\"\n[density]\ntarget = \"300 ppi\"\n{SMALL}"))
        .unwrap();
    job.run("brief show brief.toml")
        .ends(0)
        .says(&["density.target 300 ppi (required", "density.minimum 240 ppi (usual"]);
}

#[test]
fn new_writes_the_short_form_and_the_next_order_like_the_last() {
    let job = Job::new(SMALL);
    job.run("brief new cookbook-coated --into book.toml").ends(0);
    let text = fs::read_to_string(job.path("book.toml")).unwrap();
    assert!(text.contains("\nlike = \"cookbook-coated\"\n"), "{text}");
    let stock = text.lines().find(|line| line.starts_with("# paper.stock = \"coated\" ")).unwrap();
    assert!(stock.ends_with(" # usual; uncomment when your printer has said so"), "{stock}");
    job.run("brief show book.toml").ends(0).says(&["paper.stock coated (usual: starter cookbook-coated)"]);
    job.run("brief ask book.toml").ends(0).says(&["paper.stock until answered: coated"]);
    let last =
        format!("title = \"first batch\"\nprinter = \"Corrow Lane Press\"\n{SMALL}[print.paper]\nstock = \"coated\"\n");
    fs::write(job.path("last.toml"), last).unwrap();
    job.run("brief new --like last.toml").ends(0).says(&["last-next.toml is written"]);
    let next = fs::read_to_string(job.path("last-next.toml")).unwrap();
    assert!(next.contains("\nprinter = \"Corrow Lane Press\"\n") && !next.contains("\n[[print]]"), "{next}");
    fs::write(job.path("pages.csv"), "picture,size\na.jpg,A4\n").unwrap();
    job.run("brief new --like last.toml --from pages.csv --into third.toml").ends(0);
    job.run("brief show third.toml").ends(0).says(&["printer Corrow Lane Press (brief, line"]);
    job.run("brief new --like nowhere.toml").ends(2).complains(&["nowhere.toml", "there is no such file"]);
    fs::write(job.path("broken.toml"), "title = [\n").unwrap();
    job.run("brief new --like broken.toml").ends(2).complains(&["broken.toml:"]);
}

#[test]
fn answers_typed_at_the_prompt_are_checked_and_written_one_by_one() {
    let job = Job::new(&format!("sheet = \"corrow-lane.toml\"\n{SMALL}"));
    // By key: no contact, no due date, then the paper; the first answer is none, and the surface is the usual one.
    let typed = "Ines Falk\n\n\ncoatet\ncoated\n=\n";
    let ran = job.run_with_input("brief answer brief.toml", typed).ends(0).says(&[
        "corrow-lane.toml is begun",
        "Answers go into the printer's sheet corrow-lane.toml",
        "contact = \"Ines Falk\", written into corrow-lane.toml",
        "By what date do you need the pictures? due",
        "\"coatet\" is not a word that this key takes type coated",
        "paper.stock = \"coated\", written into corrow-lane.toml",
        "paper.surface usual: gloss",
        "3 answers written;",
    ]);
    assert!(!ran.out.contains("0 questions"), "{}", ran.out);
    let sheet = fs::read_to_string(job.path("corrow-lane.toml")).unwrap();
    assert!(sheet.contains("\n[paper]\nstock = \"coated\"\nsurface = \"gloss\"\n"), "{sheet}");
    assert!(sheet.contains("\"paper.stock\" = 20"), "{sheet}");
    job.run("brief show brief.toml")
        .ends(0)
        .says(&["paper.stock coated (required: printer's sheet corrow-lane.toml, line"]);
    let later = job.run_with_input("brief answer brief.toml", "").ends(0);
    assert!(!later.out.contains("Which paper or material") && !later.out.contains("is begun"), "{}", later.out);
    job.run("brief ask brief.toml --message").ends(0).says(&["To: Ines Falk", "Hello Ines Falk,", "1. By what date"]);
    let asked = job.run("brief ask brief.toml").ends(0);
    assert!(!asked.out.contains("Not asked"), "the printer has answered these: {}", asked.out);
}
