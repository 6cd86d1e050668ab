//! What a second delivery tells the printer of the first: of a part of the order, and of what changed beside pictures.

use std::collections::BTreeMap;
use std::fs;

use crate::support::{Job, Ran, SMALL, jpeg, program, ran};

/// Two prints that go in two batches.
const BATCHES: &str = "[[print]]\nname = \"one\"\nsize = \"2 x 2.5 in\"\npicture = \"a*\"\nbatch = 1\n\
                       [[print]]\nname = \"two\"\nsize = \"2 x 2.5 in\"\npicture = \"b*\"\nbatch = 2\n";

fn deliver(job: &Job, words: &str) -> Ran {
    let words: Vec<&str> = ["deliver", "brief.toml", "exports", "--into"].into_iter().chain(words.split(' ')).collect();
    ran(&program(&words, job.path("").as_path()).output().unwrap())
}

fn note(job: &Job, into: &str) -> String {
    fs::read_to_string(job.path(into).join("NOTE.txt")).unwrap()
}

/// The pictures of a record, and whether each went with the delivery.
fn recorded(job: &Job, into: &str) -> BTreeMap<String, bool> {
    let text = fs::read_to_string(job.path(into).join("delivery.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&text).unwrap();
    let pictures = record["pictures"].as_array().unwrap().iter();
    pictures.map(|one| (one["name"].as_str().unwrap().to_owned(), one["sent"].as_bool().unwrap())).collect()
}

fn names(pictures: &[(&str, bool)]) -> BTreeMap<String, bool> {
    pictures.iter().map(|(name, sent)| ((*name).to_owned(), *sent)).collect()
}

#[test]
fn a_batch_or_a_single_picture_withdraws_nothing_of_the_rest() {
    let job = Job::new(BATCHES);
    job.sound("a1.jpg");
    job.sound("b1.jpg");
    deliver(&job, "d1 --batch 1").ends(0);
    let said = deliver(&job, "d2 --batch 2 --since d1").ends(0).out;
    assert!(!note(&job, "d2").to_lowercase().contains("withdrawn") && !said.contains("withdrawn"), "{said}");
    assert_eq!(recorded(&job, "d2"), names(&[("a1.jpg", false), ("b1.jpg", true)]));
    deliver(&job, "none --since d2").ends(0).says(&["nothing is new since d2"]);
    deliver(&job, "none --only exports/a1.jpg --since d2").ends(0).says(&["nothing is new since d2"]);
    assert!(!job.path("none").exists());
    // What nothing of the order has any longer is withdrawn, and the prompt says so, too.
    fs::write(job.path("brief.toml"), BATCHES.replace("a*", "c*")).unwrap();
    job.sound("c1.jpg");
    deliver(&job, "d3 --batch 2 --since d2").ends(0).says(&["1 picture withdrawn, do not print: a1.jpg"]);
    assert!(note(&job, "d3").to_lowercase().contains("withdrawn, do not print: a1.jpg"), "{}", note(&job, "d3"));
    assert_eq!(recorded(&job, "d3"), names(&[("b1.jpg", false)]));
}

#[test]
fn a_picture_of_two_batches_is_for_more_prints_and_not_ordered_differently() {
    let brief = BATCHES.replace("b*", "a*").replace("batch = 2", "copies = 3\nbatch = 2");
    let job = Job::new(&brief);
    job.sound("a1.jpg");
    deliver(&job, "d1 --batch 1").ends(0);
    deliver(&job, "d2 --batch 2 --since d1").ends(0);
    let note = note(&job, "d2");
    assert!(note.contains("a1.jpg (the same file as before, for more prints)") && !note.contains("before: "), "{note}");
    deliver(&job, "none --since d2").ends(0).says(&["nothing is new since d2"]);
}

#[test]
fn what_changes_in_the_brief_beside_pictures_reaches_the_printer() {
    let job = Job::new(&format!("due = 2026-12-11\n{SMALL}"));
    job.sound("a.jpg");
    job.sound("b.jpg");
    deliver(&job, "d1").ends(0);
    fs::write(job.path("brief.toml"), format!("due = 2026-12-18\ncolour_correction = \"none\"\n{SMALL}")).unwrap();
    deliver(&job, "d2 --since d1").ends(0).says(&["0 pictures", "changed since the earlier delivery"]);
    let said = note(&job, "d2");
    for changed in [
        "Changes: files due at the printer: 18 December 2026; before: 11 December 2026",
        "colour correction: none; before: not given",
    ] {
        assert!(said.contains(changed), "{said}");
    }
    job.run("verify d2").ends(0);
    deliver(&job, "none --since d2").ends(0).says(&["nothing is new since d2"]);
    let captioned = format!("due = 2026-12-18\ncolour_correction = \"none\"\n{SMALL}caption = \"new words\"\n");
    fs::write(job.path("brief.toml"), captioned).unwrap();
    deliver(&job, "d3 --since d2").ends(0).says(&["2 pictures"]);
    let list = fs::read_to_string(job.path("d3/pictures.csv")).unwrap();
    assert_eq!(list.matches("new words").count(), 2, "{list}");
    let said = note(&job, "d3");
    assert!(said.contains("Changes: caption changed, same file: a.jpg, b.jpg\n"), "{said}");
    assert!(
        said.contains("a.jpg (the same file as before; its caption has changed; the number of copies has not)"),
        "{said}"
    );
    assert!(said.contains("\nfollows the second delivery of the same day\n"), "{said}");
    assert!(!said.contains("Changes: files due"), "{said}");
    assert!(!note(&job, "d1").contains("follows"));
}

#[test]
fn an_archive_is_made_of_what_would_be_delivered_and_of_nothing_less() {
    let job = Job::new(SMALL);
    job.sound("a.jpg");
    job.sound("b.jpg");
    deliver(&job, "d1").ends(0);
    job.put("b.jpg", jpeg((600, 750), 93));
    deliver(&job, "d2 --since d1").ends(0).says(&["1 picture"]);
    // The whole order is not the part of it that is there; the same command makes the archive of the part.
    assert!(!deliver(&job, "d2 --zip").ends(2).err.is_empty());
    assert!(!job.path("d2.zip").exists());
    deliver(&job, "d2 --zip --since d1").ends(0).says(&["d2.zip"]);
    // Nor is an order with other words the one that is there.
    deliver(&job, "d3").ends(0);
    fs::write(job.path("brief.toml"), format!("{SMALL}caption = \"new words\"\n")).unwrap();
    assert!(!deliver(&job, "d3 --zip").ends(2).err.is_empty());
    assert!(!job.path("d3.zip").exists());
}

#[test]
fn a_new_export_whose_name_differs_in_case_alone_replaces_the_earlier_one() {
    let job = Job::new(SMALL);
    job.sound("p1.jpg");
    deliver(&job, "d1").ends(0);
    fs::remove_file(job.export("p1.jpg")).unwrap();
    job.put("P1.jpg", jpeg((600, 750), 93));
    deliver(&job, "d2 --since d1").ends(0);
    let note = note(&job, "d2");
    assert!(note.contains("P1.jpg (replaces ") && !note.to_lowercase().contains("withdrawn"), "{note}");
}

/// One picture for two papers.
const CARDS: &str = "[[print]]\nname = \"evening card, lustre\"\nsize = \"2 x 2.5 in\"\npicture = \"a*\"\ncopies = 50\n\
                     [[print]]\nname = \"evening card, uncoated\"\nsize = \"2 x 2.5 in\"\npicture = \"a*\"\ncopies = 20\n\
                     paper.stock = \"uncoated\"\n";

#[test]
fn a_print_that_is_taken_out_of_the_brief_is_withdrawn_by_its_name() {
    let job = Job::new(CARDS);
    job.sound("a1.jpg");
    deliver(&job, "d1").ends(0);
    let first = CARDS.split("[[print]]").nth(1).unwrap();
    fs::write(job.path("brief.toml"), format!("[[print]]{first}")).unwrap();
    let withdrawn = "a1.jpg as evening card, uncoated (evening card, lustre stays)";
    deliver(&job, "d2 --since d1").ends(0).says(&[&format!("withdrawn, do not print: {withdrawn}")]);
    let said = note(&job, "d2");
    assert!(said.contains(&format!("\nWithdrawn, do not print: {withdrawn}\n")), "{said}");
    assert!(!said.contains("Changes: ") && !said.contains("before: "), "{said}");
    deliver(&job, "none --since d2").ends(0).says(&["nothing is new since d2"]);
}

#[test]
fn other_copies_are_instead_of_the_earlier_ones_and_not_in_addition() {
    let job = Job::new(CARDS);
    job.sound("a1.jpg");
    deliver(&job, "d1").ends(0);
    fs::write(job.path("brief.toml"), CARDS.replace("copies = 50", "copies = 60")).unwrap();
    deliver(&job, "d2 --since d1").ends(0);
    let said = note(&job, "d2");
    let changed = "order changed, files as before: a1.jpg as evening card, lustre (60 copies instead of 50)";
    assert!(said.contains(&format!("\nChanges: {changed}\n")), "{said}");
    assert!(said.contains("evening card, lustre: 60 copies, instead of 50, not in addition"), "{said}");
    // A new file of a picture with another order says both.
    job.put("a1.jpg", jpeg((600, 750), 93));
    fs::write(job.path("brief.toml"), CARDS).unwrap();
    deliver(&job, "d3 --since d2").ends(0);
    let said = note(&job, "d3");
    for part in [
        "replaced, and the order changed (use the new file): a1.jpg",
        "(50 copies instead of 60)",
        "50 copies, instead of 60",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn a_fold_that_has_moved_is_a_changed_order() {
    let folded = |place: &str| format!("{SMALL}margins.folds = [\"{place}\"]\n");
    let job = Job::new(&folded("0.8 in"));
    job.sound("a.jpg");
    deliver(&job, "d1").ends(0);
    fs::write(job.path("brief.toml"), folded("1 in")).unwrap();
    deliver(&job, "d2 --since d1").ends(0).says(&["1 picture written"]);
    let said = note(&job, "d2");
    let change = "order changed, files as before: a.jpg";
    assert!(said.contains("fold 1 in from the left") && said.contains(change), "{said}");
}

#[test]
fn what_is_not_sent_is_said_with_its_reason() {
    let job = Job::new("[[print]]\nsize = \"2 x 2.5 in\"\npicture = \"a*\"\nbatch = 1\n");
    job.sound("a.jpg");
    deliver(&job, "d4 --batch 4").ends(1).says(&["no print has batch = 4"]);
    job.sound("z.jpg");
    deliver(&job, "d1").ends(0).says(&["not sent, because no print takes it: z.jpg"]);
}
