//! Tests of comparing an order with an earlier delivery.

use std::fs;

use super::*;
use crate::picture::PictureKey;
use crate::report::sample;
use crate::units::growth::grows_less_than_square;

fn held(name: &str, sha256: &str) -> RecordedPicture {
    RecordedPicture { name: name.to_owned(), sha256: sha256.to_owned(), ..RecordedPicture::default() }
}

fn holding<const N: usize>(pictures: [RecordedPicture; N]) -> PrinterHoldings {
    let pictures = pictures.into_iter().map(|one| (one.name.clone(), one)).collect();
    PrinterHoldings { pictures, ..PrinterHoldings::default() }
}

fn plan_for(pictures: Vec<PlannedPicture>) -> DeliveryPlan {
    DeliveryPlan { pictures, left_out: Vec::new(), extra: Vec::new() }
}

/// A plan that sends some rows of a report and leaves the others out, each picture once.
fn plan_of(report: &CheckReport, rows: &[usize]) -> DeliveryPlan {
    let picture = |(at, row): (usize, &crate::judge::Row)| {
        let picture = sent(row.key.picture.as_ref()?.as_str(), row.sha256.as_ref()?);
        Some(PlannedPicture { rows: vec![at], ..picture })
    };
    let pictures = report.rows.iter().enumerate().filter_map(picture);
    let (pictures, left_out) = pictures.partition(|one| rows.contains(&one.rows[0]));
    DeliveryPlan { left_out, ..plan_for(pictures) }
}

/// A plan that sends one picture for all rows of a report.
fn plan_of_both(report: &CheckReport) -> DeliveryPlan {
    let mut plan = plan_of(report, &[0]);
    plan.pictures[0].rows = (0..report.rows.len()).collect();
    plan.left_out.clear();
    plan
}

/// Writes the record of a plan, and reads it.
fn read_back(report: &CheckReport, plan: &DeliveryPlan, earlier: Option<&Comparison>) -> PrinterHoldings {
    let room = tempfile::tempdir().unwrap();
    let number = crate::delivery::numbering::DeliveryNumber::default();
    fs::write(room.path().join(RECORD), crate::delivery::lists::record(report, plan, earlier, &number)).unwrap();
    read(room.path()).unwrap()
}

fn sent(name: &str, sha256: &str) -> PlannedPicture {
    let picture = PictureKey::from_text(name);
    PlannedPicture {
        name: name.to_owned(),
        picture,
        path: PathBuf::from(name),
        sha256: sha256.to_owned(),
        rows: vec![0],
    }
}

#[test]
fn only_a_record_is_read() {
    let room = tempfile::tempdir().unwrap();
    assert!(matches!(read(room.path()), Err(EarlierError::NoDelivery(_))));
    let large = fs::File::create(room.path().join(RECORD)).unwrap();
    large.set_len(MAX_LIST_BYTES + 1).unwrap();
    assert!(
        matches!(read(room.path()), Err(EarlierError::NoRecord { why, .. }) if why.contains("is larger than 64 MB"))
    );
    for (text, said) in [
        ("{}", "a value is missing or of the wrong kind (line 1, column 2)"),
        ("{\"pictures\": [{\"name\": 3}]}", "a value is missing"),
        ("[1]", "a value is missing"),
        ("{\"pictures\":\n nothing}", "not valid JSON (line 2, column 3)"),
        ("{\"pictures\": [", "it ends too early"),
    ] {
        fs::write(room.path().join(RECORD), text).unwrap();
        let Err(EarlierError::NoRecord { why, .. }) = read(room.path()) else { panic!("{text} is no record") };
        assert!(why.starts_with(said) && !why.contains("RecordIn"), "{why}");
    }
}

#[test]
fn new_changed_renamed_and_unchanged_pictures_are_distinguished() {
    let room = tempfile::tempdir().unwrap();
    // A record written before orders were part of it.
    let record = r#"{"pictures":[{"name":"a.jpg","sha256":"aa"},{"name":"b.jpg","sha256":"bb"},
        {"name":"c.jpg","sha256":"cc"},{"name":"d.jpg","sha256":"dd"}]}"#;
    fs::write(room.path().join(RECORD), record).unwrap();
    let sent = |(name, sha256): (&str, &str)| sent(name, sha256);
    let plan = plan_for([("a.jpg", "aa"), ("b.jpg", "b2"), ("c-new.jpg", "cc"), ("e.jpg", "ee")].map(sent).into());
    let compared = read(room.path()).unwrap().compare(&sample::report(), &plan);
    let changes: Vec<PictureChange> = plan.pictures.iter().map(|sent| compared.change(sent)).collect();
    let wanted = [
        PictureChange::Unchanged,
        PictureChange::Replaces { sha256: "bb".to_owned(), name: None },
        PictureChange::Renamed("c.jpg".to_owned()),
        PictureChange::New,
    ];
    assert_eq!((changes.as_slice(), compared.withdrawn.as_slice()), (&wanted[..], &["d.jpg".to_owned()][..]));
    // It was ordered, though nobody recorded how.
    let was_ordered = plan.pictures.iter().map(|sent| !compared.ordered_before(sent).is_empty());
    assert_eq!(was_ordered.collect::<Vec<_>>(), [true, true, true, false]);
}

#[test]
fn a_changed_order_of_the_same_file_names_the_earlier_one() {
    let (report, plan) = (sample::report(), plan_for(vec![sent("a.jpg", "aa")]));
    let earlier = |ordered: Vec<String>| holding([RecordedPicture { ordered: Some(ordered), ..held("a.jpg", "aa") }]);
    let now = orders_of(&report, &report.prints(), &[0]);
    let now: Vec<String> = now.into_iter().map(|one| one.words).collect();
    assert_eq!(earlier(now.clone()).compare(&report, &plan).change(&plan.pictures[0]), PictureChange::Unchanged);
    let old = vec!["wall, 8 x 10 in, 9 copies".to_owned()];
    let compared = earlier(old.clone()).compare(&report, &plan);
    assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Ordered);
    assert_eq!(compared.prints(&plan.pictures[0])[0], PrintChange::Differs(old[0].clone()));
    assert!(compared.must_be_sent(&plan.pictures[0]));
    // One more print, and none removed.
    let compared = earlier(Vec::new()).compare(&report, &plan);
    assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Ordered);
    assert!(matches!(compared.prints(&plan.pictures[0]), [PrintChange::Added(_)]));
}

#[test]
fn a_part_of_an_order_withdraws_nothing_of_the_rest_and_carries_it_along() {
    let mut report = sample::many(4);
    let name = |at: usize| format!("p{at:05}.jpg");
    report.rows.iter_mut().zip(["00", "11", "22", "33"]).for_each(|(row, sum)| row.sha256 = Some(sum.to_owned()));
    let whole = plan_of(&report, &[0, 1, 2, 3]);
    let first = read_back(&report, &whole, None);
    // The printer has a picture more, which nothing of the order has any longer.
    let mut earlier = first.clone();
    earlier.pictures.insert("gone.jpg".to_owned(), held("gone.jpg", "gg"));
    let part = plan_of(&report, &[2]);
    let compared = earlier.compare(&report, &part);
    assert_eq!(compared.change(&part.pictures[0]), PictureChange::Unchanged);
    assert_eq!(compared.withdrawn, ["gone.jpg"]);
    let second = read_back(&report, &part, Some(&compared));
    let shas = |one: &PrinterHoldings| -> Vec<(String, String, Option<Vec<String>>)> {
        let of = |one: &RecordedPicture| (one.name.clone(), one.sha256.clone(), one.ordered.clone());
        one.pictures.values().map(of).collect()
    };
    assert_eq!(shas(&second), shas(&first));
    assert!(second.pictures.values().all(|one| !one.sent));
    // A picture whose file was renamed meanwhile; the delivery that sends it says so.
    let mut renamed = report.clone();
    renamed.rows[1].key.picture = Some(PictureKey::from_text("p00001-final.jpg"));
    assert!(first.compare(&renamed, &plan_of(&renamed, &[2])).withdrawn.is_empty());
    // A print whose picture is being exported again: what the printer has of it is not withdrawn.
    let mut missing = report.clone();
    missing.rows[1].key.picture = None;
    missing.rows[1].state = crate::judge::RowState::Missing;
    assert!(first.compare(&missing, &plan_of(&missing, &[2])).withdrawn.is_empty());
    // The same part of an order that no longer has the print at all.
    missing.rows.remove(1);
    let compared = first.compare(&missing, &plan_of(&missing, &[1]));
    assert_eq!(compared.withdrawn, [name(1)]);
}

#[test]
fn a_picture_of_two_prints_in_two_parts_is_ordered_for_both() {
    let text = |one: u32| {
        format!(
            "[[print]]\nname = \"one\"\nsize = \"8 x 10 in\"\ncopies = {one}\n[[print]]\nname = \"two\"\n\
             size = \"5 x 7 in\"\n"
        )
    };
    let report = |one: u32| {
        let brief = crate::judge::testing::brief(&text(one));
        let of = |print| crate::report::sample::row(Some(print), Some("a.jpg"), crate::judge::RowState::Pass);
        let rows = brief.prints.iter().map(of).map(|row| crate::judge::Row { copies: one, ..row }).collect();
        CheckReport { rows, brief: std::sync::Arc::new(brief), ..sample::report() }
    };
    let first = report(1);
    let earlier = read_back(&first, &plan_of(&first, &[0]), None);
    // The order of the part that is left out may have changed meanwhile: nothing is said of it.
    for now in [report(1), report(5)] {
        let plan = plan_of(&now, &[1]);
        let compared = earlier.compare(&now, &plan);
        assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Ordered);
        assert_eq!(compared.prints(&plan.pictures[0]), [PrintChange::Added("two".to_owned())], "for more prints");
        let second = read_back(&now, &plan, Some(&compared));
        assert_eq!(second.pictures["a.jpg"].prints, ["one", "two"]);
        let compared = second.compare(&now, &plan);
        assert!(!compared.is_news(), "{compared:?}");
    }
    let now = report(5);
    let plan = plan_of(&now, &[0]);
    let compared = earlier.compare(&now, &plan);
    let copies = PrintChange::Copies { print: "one".to_owned(), before: Some(1), now: Some(5) };
    assert_eq!(compared.prints(&plan.pictures[0]), [copies]);
    // The other print is taken out of the brief.
    let both = plan_of_both(&first);
    let earlier = read_back(&first, &both, None);
    let mut one = first.clone();
    one.rows.truncate(1);
    let plan = plan_of(&one, &[0]);
    let compared = earlier.compare(&one, &plan);
    assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Ordered);
    let sent: Vec<&PlannedPicture> = plan.pictures.iter().collect();
    assert_eq!(compared.withdrawn_prints(&sent), ["a.jpg as two (one stays)"]);
}

/// A report of pictures, each with its SHA-256 and its print.
fn report_of(pictures: &[(&str, &str, &str)]) -> CheckReport {
    let prints: Vec<&str> = pictures.iter().map(|(.., print)| *print).collect();
    let print = |name: &&str| format!("[[print]]\nname = \"{name}\"\nsize = \"8 x 10 in\"\ncopies = 2\n");
    let brief = crate::judge::testing::brief(&prints.iter().map(print).collect::<String>());
    let row = |(print, (picture, sha256, _)): (&crate::brief::Print, &(&str, &str, &str))| {
        let row = sample::row(Some(print), Some(picture), crate::judge::RowState::Pass);
        crate::judge::Row { sha256: Some((*sha256).to_owned()), ..row }
    };
    let rows = brief.prints.iter().zip(pictures).map(row).collect();
    CheckReport { rows, brief: std::sync::Arc::new(brief), ..sample::report() }
}

#[test]
fn a_picture_of_two_batches_that_was_renamed_is_renamed_in_a_part_of_the_order_too() {
    let before = report_of(&[("P1.JPG", "aa", "one"), ("P1.JPG", "aa", "two")]);
    let earlier = read_back(&before, &plan_of_both(&before), None);
    for name in ["p1-x.jpg", "p1.jpg"] {
        let now = report_of(&[(name, "aa", "one"), (name, "aa", "two")]);
        let plan = plan_of(&now, &[1]);
        let compared = earlier.compare(&now, &plan);
        assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Renamed("P1.JPG".to_owned()), "{name}");
        assert_eq!(compared.prints(&plan.pictures[0]), [], "what is ordered is the same");
        let record = read_back(&now, &plan, Some(&compared));
        assert_eq!(record.pictures.keys().collect::<Vec<_>>(), [name]);
        assert_eq!(record.pictures[name].prints, ["one", "two"]);
        assert!(!record.compare(&now, &plan_of_both(&now)).is_news());
    }
    // It was exported again beside the other name.
    let now = report_of(&[("p1.jpg", "bb", "one"), ("p1.jpg", "bb", "two")]);
    let plan = plan_of(&now, &[1]);
    let compared = earlier.compare(&now, &plan);
    let replaces = PictureChange::Replaces { sha256: "aa".to_owned(), name: Some("P1.JPG".to_owned()) };
    assert_eq!((compared.change(&plan.pictures[0]), compared.left_out.len()), (replaces, 0));
}

#[test]
fn a_renamed_picture_takes_its_own_place_and_not_that_of_a_copy_that_is_left_out() {
    let before = report_of(&[("a.jpg", "aa", "one"), ("b.jpg", "aa", "two")]);
    let earlier = read_back(&before, &plan_of(&before, &[0, 1]), None);
    let now = report_of(&[("A-1.jpg", "aa", "one"), ("b.jpg", "aa", "two")]);
    let plan = plan_of(&now, &[0]);
    let compared = earlier.compare(&now, &plan);
    assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Renamed("a.jpg".to_owned()));
    assert_eq!(compared.left_out.iter().map(|one| one.name.as_str()).collect::<Vec<_>>(), ["b.jpg"]);
    // The copy is renamed too: its print says which of the two it is.
    let now = report_of(&[("A-1.jpg", "aa", "one"), ("B-1.jpg", "aa", "two")]);
    for (row, old) in [(0, "a.jpg"), (1, "b.jpg")] {
        let plan = plan_of(&now, &[row]);
        let compared = earlier.compare(&now, &plan);
        assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Renamed(old.to_owned()));
    }
}

#[test]
fn a_picture_that_was_exported_again_and_gets_another_name_replaces_its_earlier_file() {
    let before = report_of(&[("a.jpg", "aa", "one"), ("b.jpg", "bb", "two")]);
    let earlier = read_back(&before, &plan_of(&before, &[0, 1]), None);
    // The two files have changed places among the exports, and the delivery's names have another form.
    let now = report_of(&[("a.jpg", "cc", "one"), ("b.jpg", "aa", "two")]);
    let mut plan = plan_of(&now, &[0]);
    plan.pictures[0].name = "one-a.jpg".to_owned();
    let compared = earlier.compare(&now, &plan);
    let replaces = PictureChange::Replaces { sha256: "aa".to_owned(), name: Some("a.jpg".to_owned()) };
    assert_eq!(compared.change(&plan.pictures[0]), replaces);
}

#[test]
fn what_is_said_afterwards_is_a_changed_order_though_it_is_the_usual_value() {
    let report = |keys: &str| {
        let brief = format!("[[print]]\nsize = \"8 x 10 in\"\nname = \"one\"\npage = 3\n{keys}\n");
        let brief = crate::judge::testing::brief(&brief);
        let row = sample::row(brief.prints.first(), Some("a.jpg"), crate::judge::RowState::Pass);
        let row = crate::judge::Row { sha256: Some("aa".to_owned()), ..row };
        CheckReport { rows: vec![row], brief: std::sync::Arc::new(brief), ..sample::report() }
    };
    let before = report("");
    let earlier = read_back(&before, &plan_of(&before, &[0]), None);
    for (keys, words) in [
        ("copies = 1", "1 copy; before: no number of copies"),
        ("crop = \"by the photographer\"", "now do not crop"),
        ("paper.surface = \"lustre\"", "now lustre"),
        ("margins.edge = \"borderless\"", "borderless; before: borderless (not confirmed)"),
    ] {
        let now = report(keys);
        let plan = plan_of(&now, &[0]);
        let compared = earlier.compare(&now, &plan);
        assert_eq!(compared.change(&plan.pictures[0]), PictureChange::Ordered, "{keys}");
        let said: Vec<String> = compared.prints(&plan.pictures[0]).iter().map(|one| one.words(false)).collect();
        assert_eq!(said, [words], "{keys}");
    }
}

#[test]
fn names_that_differ_in_case_alone_are_one_and_nothing_of_them_is_withdrawn() {
    let report = sample::report();
    let of = |name: &str, sha256: &str| {
        let plan = plan_for(vec![sent(name, sha256)]);
        let compared = holding([held("p1.jpg", "aa")]).compare(&report, &plan);
        assert!(compared.withdrawn.is_empty(), "{name}");
        compared.change(&plan.pictures[0])
    };
    let replaces = PictureChange::Replaces { sha256: "aa".to_owned(), name: Some("p1.jpg".to_owned()) };
    assert_eq!(of("P1.jpg", "bb"), replaces);
    assert_eq!(of("P1.jpg", "aa"), PictureChange::Renamed("p1.jpg".to_owned()));
}

#[test]
fn terms_that_changed_are_news_where_the_record_has_them() {
    let mut report = sample::many(1);
    let plan = plan_of(&report, &[0]);
    let earlier = read_back(&report, &plan, None);
    assert!(!earlier.compare(&report, &plan).is_news());
    std::sync::Arc::make_mut(&mut report.brief).due = Some("2026-12-24".to_owned());
    let compared = earlier.compare(&report, &plan);
    assert!(
        compared.is_news() && compared.terms.len() == 1 && compared.terms[0].about == "files due at the printer",
        "{compared:?}"
    );
    let before_terms = PrinterHoldings { terms: None, ..earlier };
    assert!(!before_terms.compare(&report, &plan).is_news());
}

#[test]
fn a_comparison_costs_by_its_pictures_and_not_by_their_square() {
    let many = |count: usize| {
        let report = sample::many(count);
        let earlier = read_back(&report, &plan_of(&report, &(0..count).collect::<Vec<usize>>()), None);
        let plan = plan_of(&report, &[0]);
        (report, earlier, plan)
    };
    grows_less_than_square(500, many, |(report, earlier, plan)| {
        assert_eq!(earlier.compare(&report, &plan).left_out.len(), report.rows.len() - 1);
    });
}
