//! A brief that is saved, changed key by key, or broken.

use super::*;

#[test]
fn saving_the_brief_judges_everything_and_reads_nothing() {
    let mut table = SteppedTable::with_one(2400);
    let strict = "[density]\nminimum = \"400 ppi\"\ntarget = \"400 ppi\"\n[[print]]\nsize = \"8 x 10 in\"\n";
    let mut orders = table.event(Event::BriefRead(Ok(Arc::new(testing::brief(strict)))));
    orders.extend(table.pass(500));
    assert_eq!(kinds(&orders), []);
    assert_eq!(table.row().row.state, RowState::Fix);
    assert_eq!(table.notice(), "brief read again: 1 row changed");
    assert!(table.row().export_change.is_none(), "the picture is the same");
}

/// The smallest brief with one more key.
fn with_key(key: &BriefKey) -> String {
    let line = key.line(key.example);
    let part = format!("{BRIEF}picture = \"*\"\ngroup = \"triptych\"\n");
    match (key.table(), key.name()) {
        ("", "paper") => format!("{line}\n{BRIEF}[papers.body]\nstock = \"coated\"\n"),
        ("", _) => format!("{line}\n{BRIEF}"),
        ("print", "group") => part.repeat(2),
        ("print", "gap") => format!("{part}{line}\n{part}"),
        ("print", "size") => format!("[[print]]\n{line}\n"),
        ("print", "paper") => format!("{BRIEF}{line}\n[papers.body]\nstock = \"coated\"\n"),
        ("print", _) => format!("{BRIEF}{line}\n"),
        ("version", "name") => format!("[[version]]\n{line}\nfolder = \"rgb\"\n{BRIEF}"),
        ("version", "folder") => format!("[[version]]\nname = \"press\"\n{line}\n{BRIEF}"),
        ("version", _) => format!(
            "[[version]]\nname = \"press\"\nfolder = \"rgb\"\n{line}\n{BRIEF}[papers.body]\nstock = \"coated\"\n"
        ),
        (table, _) => format!("[{table}]\n{line}\n{BRIEF}"),
    }
}

#[test]
fn every_key_changed_in_turn_reads_nothing_and_says_what_a_cold_run_says() {
    let mut turned = 0;
    for key in key_table::all() {
        // A list of prints, a printer's sheet and a profile are separate files.
        let ids = crate::judge::configurable_ids();
        let Ok(brief) = crate::brief::parse(&with_key(key), "b.toml".as_ref(), None, &ids) else {
            assert!(
                ["prints", "prints_sheet", "sheet", "paper.profile"].contains(&key.path),
                "{}: its example is no brief",
                key.path
            );
            continue;
        };
        let mut warm = SteppedTable::with_one(2400);
        let before = warm.row().row.clone();
        let mut orders = warm.event(Event::BriefRead(Ok(Arc::new(brief.clone()))));
        orders.extend(warm.pass(500));
        let jobs_of_brief = jobs(&orders);
        assert!(jobs_of_brief.iter().all(|job| job.kind() == JobKind::Colours), "{} made something be read", key.path);
        jobs_of_brief.iter().for_each(|job| drop(warm.answer(job, 2400)));
        warm.pass(500);
        let cold = SteppedTable::of_one(brief, 2400);
        let rows = |table: &SteppedTable| {
            table.snapshot.as_ref().unwrap().rows.iter().map(|r| r.row.clone()).collect::<Vec<_>>()
        };
        assert_eq!(rows(&warm), rows(&cold), "{}", key.path);
        turned += usize::from(rows(&warm)[0].findings != before.findings);
    }
    assert!(turned > 10, "only {turned} keys changed a finding: the picture is too plain to tell");
}

#[test]
fn a_broken_brief_shows_its_mistakes_and_the_last_good_one_judges_on() {
    let mut table = SteppedTable::with_one(2400);
    let wrong = crate::brief::parse("size = 1", "b.toml".as_ref(), None, &[]).unwrap_err();
    let (judged, sha256) = (table.judged, table.snapshot.as_ref().unwrap().brief.sha256.clone());
    table.event(Event::BriefRead(Err(wrong.clone())));
    table.pass(500);
    let snapshot = table.snapshot.as_ref().unwrap();
    assert_eq!((&*snapshot.brief_problems, &snapshot.brief.sha256), (&*wrong, &sha256));
    assert_eq!((table.judged, table.row().row.state), (judged, RowState::Pass));
    table.event(Event::BriefRead(Ok(Arc::new(testing::brief(BRIEF)))));
    table.pass(500);
    assert!(table.snapshot.as_ref().unwrap().brief_problems.is_empty());
}
