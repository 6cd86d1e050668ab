//! Deliveries are remembered beside the brief, and the next one is compared with all that was sent.

use std::fs;

use crate::support::{Job, Ran, SMALL, jpeg, ran};

/// Two prints that go in two batches, to somebody by some way.
const BATCHES: &str = "printer = \"Corrow Lane Press\"\n[delivery]\ntransfer = \"upload\"\n\
                       [[print]]\nname = \"one\"\nsize = \"2 x 2.5 in\"\npicture = \"a*\"\nbatch = 1\n\
                       [[print]]\nname = \"two\"\nsize = \"2 x 2.5 in\"\npicture = \"b*\"\nbatch = 2\ncopies = 3\n";

fn deliver(job: &Job, words: &str) -> Ran {
    job.run(&format!("deliver brief.toml exports --into {words}"))
}

fn text(job: &Job, file: &str) -> String {
    fs::read_to_string(job.path(file)).unwrap()
}

/// An order of two pictures.
fn small() -> Job {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    job.sound("b.jpg");
    job
}

#[test]
fn the_next_delivery_is_compared_with_all_that_was_sent_even_when_its_folders_are_gone() {
    let job = small();
    deliver(&job, "d0 --since last").ends(2).complains(&["no delivery of this order is remembered yet"]);
    let first = deliver(&job, "d1").ends(0).out;
    assert!(!first.contains("sent "), "{first}");
    fs::remove_dir_all(job.path("d1")).unwrap();
    deliver(&job, "none --since last").ends(0).says(&["2 unchanged", "nothing is new since the delivery of "]);
    assert!(!job.path("none").exists());
    job.put("a.jpg", jpeg((600, 750), 93));
    job.sound("c.jpg");
    fs::remove_file(job.export("b.jpg")).unwrap();
    let said =
        deliver(&job, "d2 --since last").ends(0).says(&[": 1 changed, 1 new, 1 withdrawn", "2 pictures written"]);
    assert!(said.out.find("1 withdrawn") < said.out.find("2 pictures written"), "before it writes: {}", said.out);
    let note = text(&job, "d2/NOTE.txt");
    for part in
        ["\nsecond delivery of ", "\nfollows the first delivery of the same day\n", "Withdrawn, do not print: b.jpg"]
    {
        assert!(note.contains(part), "{part}: {note}");
    }
    deliver(&job, "none --since last").ends(0).says(&["2 unchanged"]);
    job.run("verify d2").ends(0);
}

#[test]
fn batches_that_went_one_by_one_are_held_together_and_named() {
    let job = Job::new(BATCHES);
    job.sound("a1.jpg");
    job.sound("b1.jpg");
    deliver(&job, "d1 --batch 1").ends(0);
    deliver(&job, "d2 --batch 2").ends(0).says(&["to Corrow Lane Press: 1 new"]);
    let (note, page, message) = (text(&job, "d2/NOTE.txt"), text(&job, "d2/NOTE.html"), text(&job, "d2/MESSAGE.txt"));
    assert!(note.contains("\nbatch 2 of the order\nsecond delivery of ") && page.contains("batch 2 of the order<br>"));
    assert!(message.contains("This is batch 2 of the order.\nThis is the second delivery of "), "{message}");
    deliver(&job, "none --since last").ends(0).says(&["2 unchanged"]);
    fs::write(job.path("brief.toml"), BATCHES.replace("copies = 3", "copies = 5")).unwrap();
    deliver(&job, "d3 --since last").ends(0).says(&["1 unchanged, 1 changed"]);
    let orders = text(&job, "d3/orders.csv");
    assert!(
        orders.starts_with("file,print,finished_size,") && orders.contains("_mm,copies,copies_before,paper,"),
        "{orders}"
    );
    assert!(orders.contains(",5,3,") && !text(&job, "d2/orders.csv").contains("copies_before"), "{orders}");
    let list = job.run("deliver brief.toml --list").ends(0).out;
    for part in [
        "batch 1, 1 picture, upload",
        "(second delivery) to Corrow Lane Press: batch 2",
        "the printer now has 2 pictures",
    ] {
        assert!(list.contains(part), "{part}: {list}");
    }
}

#[test]
fn what_is_withdrawn_is_said_by_a_delivery_of_everything_too() {
    let job = small();
    deliver(&job, "d1").ends(0);
    fs::remove_file(job.export("b.jpg")).unwrap();
    let said = ["1 unchanged, 1 withdrawn", "unchanged pictures go again"];
    deliver(&job, "d2").ends(0).says(&said);
    assert!(text(&job, "d2/NOTE.txt").contains("Withdrawn, do not print: b.jpg\n"));
    let mail = text(&job, "d2/MESSAGE.txt");
    assert!(mail.contains("Withdrawn: please do not print these any more") && mail.contains("b.jpg"), "{mail}");
    deliver(&job, "d3 --since last").ends(0).says(&["1 picture withdrawn, do not print: b.jpg"]);
    deliver(&job, "none --since last").ends(0).says(&["nothing is new since"]);
}

#[test]
fn a_second_delivery_of_everything_says_on_top_that_nothing_is_ordered_twice() {
    let job = Job::new(BATCHES);
    job.sound("a1.jpg");
    job.sound("b1.jpg");
    deliver(&job, "d1").ends(0);
    assert!(!text(&job, "d1/NOTE.txt").contains("Sent again") && !text(&job, "d1/orders.csv").contains("already"));
    deliver(&job, "d2").ends(0).says(&["the note says that they are not ordered twice"]);
    let again = "this is the whole order again: nothing that you have from earlier deliveries is ordered a second time";
    let note = text(&job, "d2/NOTE.txt");
    let first = note.lines().skip_while(|line| !line.is_empty()).nth(1).unwrap();
    assert_eq!(first, format!("Sent again: {again}"));
    assert!(note.contains("\nSent again: each number of copies replaces the earlier one; it does not add to it\n"));
    let page = text(&job, "d2/NOTE.html");
    assert!(page.contains("<dt class=\"mark\">Sent again</dt><dd class=\"mark\"><p>this is the whole order again: "));
    let mail = text(&job, "d2/MESSAGE.txt");
    assert!(mail.contains(&format!("Press,\n\nT{}.\nUse the files of this delivery", &again[1..])), "{mail}");
    let orders = text(&job, "d2/orders.csv");
    assert!(orders.starts_with("already_ordered,file,") && orders.contains(",copies,copies_before,"), "{orders}");
    let yes = "\n\"yes, in an earlier delivery; do not print it again\",b1.jpg,";
    assert!(orders.contains(yes), "{orders}");
    assert!(orders.contains(",3,3,"), "{orders}");
    // The archive of it can still be made, of the very same documents.
    deliver(&job, "d2 --zip").ends(0).says(&["d2 is already there, unchanged", "d2.zip"]);
    // A batch that went before says so too; one that is new says nothing.
    fs::write(job.path("brief.toml"), BATCHES.replace("b*", "c*")).unwrap();
    job.sound("c1.jpg");
    deliver(&job, "d3").ends(0);
    let note = text(&job, "d3/NOTE.txt");
    assert!(note.contains("Sent again: this is the whole order again: nothing"), "{note}");
    deliver(&job, "d4 --batch 1").ends(0);
    assert!(text(&job, "d4/NOTE.txt").contains("Sent again: you have these pictures already: nothing"));
}

#[test]
fn a_picture_that_is_new_in_a_delivery_of_everything_is_called_new() {
    let job = small();
    deliver(&job, "d1").ends(0);
    job.sound("c.jpg");
    deliver(&job, "d2").ends(0);
    let note = text(&job, "d2/NOTE.txt");
    assert!(note.contains("\nc.jpg (new)\n") && note.contains("\na.jpg\n"), "{note}");
    let orders = text(&job, "d2/orders.csv");
    assert!(orders.lines().any(|line| line.starts_with("\"no: new or changed, see the note\",c.jpg,")), "{orders}");
    assert_eq!(orders.matches("do not print it again").count(), 2, "{orders}");
}

#[test]
fn an_order_that_has_changed_or_is_there_twice_is_not_called_already_ordered() {
    let print = |name: &str, size: &str| {
        format!("[[print]]\nname = \"{name}\"\nsize = \"{size}\"\npicture = \"a.jpg\"\ncopies = 3\n")
    };
    let job = Job::new(&print("tart", "2 x 2.5 in"));
    job.sound("a.jpg");
    deliver(&job, "d1").ends(0);
    let already = |job: &Job, into: &str| -> Vec<bool> {
        text(job, &format!("{into}/orders.csv")).lines().skip(1).map(|line| line.starts_with("\"yes")).collect()
    };
    // Another size under the same name is another order.
    fs::write(job.path("brief.toml"), print("tart", "1.6 x 2 in")).unwrap();
    deliver(&job, "d2").ends(0);
    assert_eq!(already(&job, "d2"), [false]);
    let note = text(&job, "d2/NOTE.txt");
    assert!(note.contains("1.6 x 2 in; before: 2 x 2.5 in"), "{note}");
    // The same order twice: the printer has one of them.
    fs::write(job.path("brief.toml"), print("tart", "1.6 x 2 in") + &print("tart", "1.6 x 2 in")).unwrap();
    deliver(&job, "d3").ends(0);
    assert_eq!(already(&job, "d3"), [true, false]);
}

#[test]
fn copies_of_before_follow_a_print_that_is_renamed_and_pictures_that_change_names() {
    let print = |name: &str, picture: &str, copies: u32| {
        format!("[[print]]\nname = \"{name}\"\nsize = \"2 x 2.5 in\"\npicture = \"{picture}.jpg\"\ncopies = {copies}\n")
    };
    let job = Job::new(&[print("tart", "a", 3), print("leeks", "b", 7)].concat());
    job.sound("a.jpg");
    job.sound("b.jpg");
    deliver(&job, "d1").ends(0);
    fs::write(job.path("brief.toml"), [print("plum tart", "a", 4), print("leeks", "b", 7)].concat()).unwrap();
    deliver(&job, "d2 --since last").ends(0);
    let orders = text(&job, "d2/orders.csv");
    assert!(orders.contains("\na.jpg,plum tart,") && orders.contains(",4,3,"), "{orders}");
    let note = text(&job, "d2/NOTE.txt");
    let line = "a.jpg (now called plum tart; before: tart), a.jpg (4 copies instead of 3)\n";
    assert!(note.contains(&format!("\nChanges: order changed, files as before: {line}")), "in one line: {note}");
    // The pictures change places, and their prints with them.
    fs::rename(job.export("a.jpg"), job.export("x.jpg")).unwrap();
    fs::rename(job.export("b.jpg"), job.export("a.jpg")).unwrap();
    fs::rename(job.export("x.jpg"), job.export("b.jpg")).unwrap();
    fs::write(job.path("brief.toml"), [print("plum tart", "b", 5), print("leeks", "a", 8)].concat()).unwrap();
    deliver(&job, "d3 --since last").ends(0);
    let orders = text(&job, "d3/orders.csv");
    let line = |file: &str| orders.lines().find(|line| line.starts_with(file)).unwrap().to_owned();
    assert!(line("b.jpg").contains(",5,4,") && line("a.jpg").contains(",8,7,"), "{orders}");
    let note = text(&job, "d3/NOTE.txt");
    assert!(!note.contains("Withdrawn") && !note.contains("is now called"), "{note}");
}

#[test]
fn a_file_and_its_print_that_are_renamed_together_are_one_line() {
    let print = |name: &str| format!("[[print]]\nname = \"{name}\"\nsize = \"2 x 2.5 in\"\npicture = \"*.jpg\"\n");
    let job = Job::new(&format!("[delivery]\nrename = \"{{name}}\"\n{}", print("broth")));
    job.sound("a.jpg");
    deliver(&job, "d1").ends(0);
    fs::write(job.path("brief.toml"), format!("[delivery]\nrename = \"{{name}}\"\n{}", print("soup"))).unwrap();
    deliver(&job, "d2 --since last").ends(0);
    let note = text(&job, "d2/NOTE.txt");
    let line = "\nChanges: broth.jpg is now called soup.jpg, and the print is now called soup; before: broth; nothing \
                is withdrawn\n";
    assert!(note.contains(line) && note.matches("\nChanges: ").count() == 1, "{note}");
}

#[test]
fn the_mail_asks_in_printed_words_and_only_about_what_goes() {
    let brief = "[[print]]\nname = \"page\"\nsize = \"2 x 2.5 in\"\npicture = \"a*\"\nbatch = 1\n\
                 [[print]]\nname = \"wall\"\nsize = \"2 x 2.5 in\"\npicture = \"b*\"\nbatch = 2\n\
                 paper.stock = \"canvas\"\nmargins.edge = \"wrap\"\nmargins.wrap = \"0 mm\"\n";
    let job = Job::new(brief);
    job.sound("a1.jpg");
    job.sound("b1.jpg");
    deliver(&job, "d1 --batch 1").ends(0);
    let mail = text(&job, "d1/MESSAGE.txt");
    assert!(mail.contains("assume: sRGB.") && !mail.contains("srgb") && !mail.contains("jpeg, "), "{mail}");
    assert!(!mail.contains("matte canvas") && !mail.contains("\"wall\"") && !mail.contains("stretcher bar"), "{mail}");
    deliver(&job, "d2").ends(0);
    let mail = text(&job, "d2/MESSAGE.txt");
    let sides = "assume: for \"wall\": the picture goes round the sides.";
    assert!(mail.contains(sides), "{mail}");
}

#[test]
fn a_new_export_after_its_test_print_was_seen_is_said() {
    let job = small();
    job.run("testprint brief.toml exports --only exports/a.jpg --seen good").ends(0);
    let first = deliver(&job, "d1").ends(0).out;
    assert!(!first.contains("test print"), "{first}");
    job.put("a.jpg", jpeg((600, 750), 80));
    let line = "1 print goes as a new export: the test print that you looked at was of an earlier one";
    deliver(&job, "d2 --since last").ends(0).says(&[line]);
}

#[test]
fn the_mail_says_what_is_attached_what_changed_what_to_throw_away_and_what_is_open() {
    let brief =
        format!("title = \"Low Water Suppers\"\nprinter = \"Corrow Lane Press\"\nfrom = \"Maren Olde\"\n{SMALL}");
    let job = Job::new(&brief);
    job.sound("a.jpg");
    job.sound("b.jpg");
    deliver(&job, "d1").ends(0);
    let mail = text(&job, "d1/MESSAGE.txt");
    for part in [
        "Low Water Suppers\n\nHello Corrow Lane Press,\n\nHere are the pictures for this order: 2 pictures, ",
        "In this delivery\n- 2 pictures in the folder \"pictures\": a.jpg, b.jpg\n",
        "Open questions\n- ",
        "\n\nMaren Olde\n",
    ] {
        assert!(mail.contains(part), "{part}: {mail}");
    }
    assert!(!mail.contains("Replaced or renamed") && !mail.contains("SHA256"), "{mail}");
    job.put("a.jpg", jpeg((600, 750), 93));
    fs::rename(job.export("b.jpg"), job.export("c.jpg")).unwrap();
    deliver(&job, "d2 --since last").ends(0);
    let mail = text(&job, "d2/MESSAGE.txt");
    for part in [
        "It follows the first delivery of the same day.",
        "Changed since then\n- replaced, use the new files: a.jpg\n",
        "Replaced or renamed: please delete the earlier files\n- a.jpg: the name is unchanged, the picture is new\n\
         - b.jpg: now called c.jpg; the picture is unchanged\n",
    ] {
        assert!(mail.contains(part), "{part}: {mail}");
    }
    assert!(!mail.contains("Withdrawn"), "{mail}");
    // What is withdrawn has a list of its own, and what is new is named.
    fs::remove_file(job.export("a.jpg")).unwrap();
    job.sound("n.jpg");
    deliver(&job, "d3 --since last").ends(0);
    let mail = text(&job, "d3/MESSAGE.txt");
    assert!(mail.contains("Withdrawn: please do not print these any more\n- a.jpg\n"), "{mail}");
    assert!(mail.contains("Changed since then\n- new: n.jpg\n") && !mail.contains("Replaced or renamed"), "{mail}");
    assert!(text(&job, "d2/SHA256SUMS").contains("  MESSAGE.txt\n"));
}

#[test]
fn that_the_printer_received_it_is_noted_and_shown() {
    let job = small();
    job.run("deliver brief.toml --received today").ends(2).complains(&["no delivery of this order is remembered"]);
    job.run("deliver brief.toml --list").ends(0).says(&["no delivery of this order is remembered"]);
    deliver(&job, "d1").ends(0);
    job.put("a.jpg", jpeg((600, 750), 93));
    deliver(&job, "d2 --since last").ends(0);
    let early = "1 January 2020 is before the delivery was sent";
    job.run("deliver brief.toml --received 2020-01-01").ends(2).complains(&[early]);
    // A folder that was moved is known by its content.
    fs::rename(job.path("d1"), job.path("moved")).unwrap();
    job.run("deliver brief.toml --received 2020-02-30").ends(2).complains(&["is not a date"]);
    job.run("deliver brief.toml --received 2999-01-01").ends(2).complains(&["is still to come"]);
    job.run("deliver brief.toml --received today --into moved").ends(0).says(&[", received "]);
    job.run("deliver brief.toml --received today --into exports")
        .ends(2)
        .complains(&["is not remembered as a delivery"]);
    let list = job.run("deliver brief.toml --list").ends(0).out;
    assert_eq!(list.matches("received").count(), 1, "{list}");
    job.run("deliver brief.toml --received today").ends(0);
    deliver(&job, "none --since last").ends(0).says(&[", received ", ": 2 unchanged"]);
}

#[cfg(unix)]
#[test]
fn a_log_that_cannot_be_written_is_said_and_the_delivery_is_there() {
    let job = small();
    // A file that is larger than the system lets anybody write now: 1,500 blocks are 768 kB or 1.5 MB.
    fs::write(job.path("brief.decisions.toml"), format!("version = 1\n{}", "# and so on\n".repeat(200_000))).unwrap();
    let limited = "ulimit -f 1500; exec \"$0\" deliver brief.toml exports --into d1";
    let mut shell = std::process::Command::new("sh");
    let shell = shell.args(["-c", limited, env!("CARGO_BIN_EXE_plateside")]).current_dir(job.path(""));
    let said = ["2 pictures written", "it is not remembered: ", "use --since d1 instead of --since last"];
    ran(&shell.output().unwrap()).ends(2).says(&said);
    job.run("verify d1").ends(0);
    deliver(&job, "d2 --since last").ends(2).complains(&["no delivery of this order is remembered"]);
    deliver(&job, "d2 --since d1").ends(0).says(&["nothing is new since d1"]);
}

#[test]
fn decisions_that_cannot_be_read_stop_a_delivery_before_anything_is_written() {
    let job = small();
    fs::write(job.path("brief.decisions.toml"), "version = 1\n[[sent]]\nname = 3\n").unwrap();
    deliver(&job, "d1").ends(2).complains(&["name must be text"]);
    assert!(!job.path("d1").exists());
}

#[test]
fn an_archive_that_was_stopped_is_made_of_the_latest_delivery() {
    let job = small();
    deliver(&job, "d1").ends(0);
    job.put("a.jpg", jpeg((600, 750), 93));
    deliver(&job, "d2 --since last").ends(0);
    deliver(&job, "d1 --zip --since last").ends(2).complains(&["is a different delivery"]);
    deliver(&job, "d2 --zip --since last").ends(0).says(&["d2 is already there, unchanged", "d2.zip"]);
    deliver(&job, "d3 --zip --since d1").ends(0).says(&["d3.zip"]);
}

#[test]
fn warnings_leave_the_house_only_where_the_brief_says_so() {
    let told = |tell: &str| {
        let job = Job::new(&format!("[file]\ncredit = \"creator\"\n[delivery]\ntell = {tell}\n{SMALL}"));
        job.sound("a.jpg");
        deliver(&job, "d1").ends(0);
        text(&job, "d1/NOTE.txt")
    };
    let known = "\nKnown, leave as it is: a.jpg: ";
    assert!(told("[\"file.credit\"]").contains(known) && told("\"file\"").contains(known));
    assert!(!told("[]").contains("Known") && !told("[\"tone\"]").contains("Known"));
    // Telling it later is a change of the order, which the printer hears of.
    let job = Job::new(&format!("[file]\ncredit = \"creator\"\n{SMALL}"));
    job.sound("a.jpg");
    deliver(&job, "d1").ends(0);
    fs::write(job.path("brief.toml"), format!("[file]\ncredit = \"creator\"\n[delivery]\ntell = \"file\"\n{SMALL}"))
        .unwrap();
    deliver(&job, "d2 --since last").ends(0).says(&["1 changed"]);
    assert!(text(&job, "d2/NOTE.txt").contains(known));
}

#[test]
fn one_finding_is_named_on_the_note_where_its_acceptance_says_so() {
    let job = Job::new(&format!("[file]\ncredit = \"creator\"\n{SMALL}"));
    job.sound("a.jpg");
    let accept = "accept brief.toml exports/a.jpg file.credit --by Maren --reason meant";
    job.run(accept).ends(0);
    deliver(&job, "d1").ends(0);
    assert!(!text(&job, "d1/NOTE.txt").contains("Exceptions"));
    job.run(&format!("{accept} --on-note")).ends(0);
    deliver(&job, "d2 --since last").ends(0).says(&["1 changed"]);
    let note = text(&job, "d2/NOTE.txt");
    assert!(note.contains("\nExceptions: a.jpg: ") && note.contains("accepted by Maren, "), "{note}");
    let said = note.lines().find_map(|line| line.strip_prefix("Exceptions: a.jpg: ")).unwrap();
    let orders = text(&job, "d2/orders.csv");
    assert!(orders.contains(&said.replace('"', "\"\"")), "in the note's words: {said}\n{orders}");
}
