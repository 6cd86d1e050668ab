//! The user's decisions in the live table: accepted findings, and subjects' boxes.

use super::*;
use crate::decisions;
use crate::judge::Finding;
use crate::units::growth::grows_less_than_square;

/// A folder with a brief in it.
fn place() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("b.toml"), "").unwrap();
    folder
}

#[test]
fn a_finding_is_accepted_kept_and_judged_without_reading_the_picture_again() {
    let mut table = SteppedTable::with_one(2000);
    let row = table.row().row.clone();
    let rule = row.findings[0].rule.id;
    let said = AcceptanceReason { reason: "meant".to_owned(), by: "Maren".to_owned(), ..AcceptanceReason::default() };
    let ask = |said| {
        Event::Command(LiveCommand::Accept(AcceptRequest {
            rows: vec![ShownFinding::of(&row, &row.findings[0])],
            left_out_new_rows: 0,
            reason: said,
        }))
    };
    let orders = table.event(ask(Some(said)));
    let [Effect::WriteDecisions(changes)] = orders.as_slice() else { panic!("{orders:?}") };
    let folder = place();
    let brief = folder.path().join("b.toml");
    let kept = decisions::keep(&brief, changes).map(Arc::new);
    assert_eq!(kinds(&table.event(Event::DecisionsWritten(changes.clone(), kept))), []);
    assert_eq!(kinds(&table.pass(500)), []);
    assert!(table.row().row.accepted.iter().any(|one| one.finding.rule.id == rule), "{:?}", table.row().row.findings);
    assert!(table.notice().starts_with("1 finding accepted"), "{}", table.notice());
    let orders = table.event(ask(None));
    let [Effect::WriteDecisions(changes)] = orders.as_slice() else { panic!("{orders:?}") };
    let kept = decisions::keep(&brief, changes).map(Arc::new);
    table.event(Event::DecisionsWritten(changes.clone(), kept));
    table.pass(500);
    assert!(table.row().row.accepted.is_empty() && table.notice().contains("no longer accepted"), "{}", table.notice());
}

#[test]
fn nothing_is_accepted_of_a_picture_that_was_exported_again_since_it_was_shown() {
    let mut table = SteppedTable::with_one(2000);
    let row = table.row().row.clone();
    let said =
        Some(AcceptanceReason { reason: "meant".to_owned(), by: "Maren".to_owned(), ..AcceptanceReason::default() });
    table.export_again(1960);
    let request =
        AcceptRequest { rows: vec![ShownFinding::of(&row, &row.findings[0])], left_out_new_rows: 0, reason: said };
    assert_eq!(table.event(Event::Command(LiveCommand::Accept(request))), []);
    assert!(table.notice().contains("exported again meanwhile"), "{}", table.notice());
}

/// Accepts the density of all rows, as they are shown now, once something has happened.
fn accepted_after(
    table: &mut SteppedTable,
    left_out_new_rows: usize,
    happens: impl Fn(&mut SteppedTable),
) -> Vec<Effect> {
    let rows = table.snapshot.as_ref().unwrap().rows.clone();
    let is_density = |finding: &&Arc<Finding>| finding.rule.id == "density.target";
    let density = |row: &TableRow| ShownFinding::of(&row.row, row.row.findings.iter().find(is_density).unwrap());
    let rows: Vec<ShownFinding> = rows.iter().map(|row| density(row)).collect();
    let said =
        Some(AcceptanceReason { reason: "meant".to_owned(), by: "Maren".to_owned(), ..AcceptanceReason::default() });
    happens(table);
    table.event(Event::Command(LiveCommand::Accept(AcceptRequest { rows, left_out_new_rows, reason: said })))
}

#[test]
fn a_finding_that_goes_or_changes_while_a_reason_is_typed_is_not_accepted_and_that_is_said() {
    for (density, said) in [
        ("minimum = \"300 ppi\"", "nothing is accepted: a.jpg: density.target is no longer found"),
        ("target = \"310 ppi\"", "nothing is accepted: a.jpg: density.target has changed meanwhile"),
    ] {
        let mut table = SteppedTable::with_one(2000);
        let stricter = testing::brief(&format!("[density]\n{density}\n{BRIEF}"));
        let orders = accepted_after(&mut table, 0, |table| {
            table.event(Event::BriefRead(Ok(Arc::new(stricter.clone()))));
            table.pass(500);
        });
        assert_eq!((orders, table.notice()), (vec![], said));
    }
}

#[test]
fn of_several_rows_those_that_changed_or_came_since_they_were_counted_are_left_out_and_named() {
    for (came, more) in [(0, ""), (2, ", and 2 more rows")] {
        let mut table = SteppedTable::new();
        table.put("a.jpg", 100, 7, 10, WriteNotice::None);
        table.put("b.jpg", 100, 8, 10, WriteNotice::None);
        let orders = table.look();
        table.read_all(&orders, 2000);
        let orders = accepted_after(&mut table, came, |table| table.export_again(1960));
        let [Effect::WriteDecisions(changes)] = orders.as_slice() else { panic!("{orders:?}") };
        let folder = place();
        let kept = decisions::keep(&folder.path().join("b.toml"), changes).map(Arc::new);
        table.event(Event::DecisionsWritten(changes.clone(), kept));
        table.pass(500);
        let accepted: Vec<usize> =
            table.snapshot.as_ref().unwrap().rows.iter().map(|row| row.row.accepted.len()).collect();
        assert_eq!(accepted, [0, 1]);
        let said = format!("1 finding accepted: no row changed; left out: a.jpg was exported again meanwhile{more}");
        assert_eq!(table.notice(), said);
    }
}

#[test]
fn a_file_replaced_before_its_pixels_were_read_is_not_what_was_shown() {
    let mut table = SteppedTable::with_one(2000);
    let row = table.row().row.clone();
    let unread = ShownFinding { sha256: None, ..ShownFinding::of(&row, &row.findings[0]) };
    assert!(unread.is_of_same_file(&row));
    table.export_again(2000);
    assert!(!unread.is_of_same_file(&table.row().row));
}

#[test]
fn what_is_accepted_is_no_merit_of_the_export_and_what_stood_accepted_is_not_new_with_the_next() {
    let mut table = SteppedTable::with_one(2000);
    table.export_again(1960);
    let (before, row) = (table.row().export_change.clone(), table.row().row.clone());
    assert!(
        before.as_ref().unwrap().fixed.is_empty() && row.findings.iter().any(|one| one.rule.id == "density.target")
    );
    let said =
        Some(AcceptanceReason { reason: "meant".to_owned(), by: "Maren".to_owned(), ..AcceptanceReason::default() });
    let rows = vec![ShownFinding::of(&row, &row.findings[0])];
    let orders =
        table.event(Event::Command(LiveCommand::Accept(AcceptRequest { rows, left_out_new_rows: 0, reason: said })));
    let [Effect::WriteDecisions(changes)] = orders.as_slice() else { panic!("{orders:?}") };
    let folder = place();
    let kept = decisions::keep(&folder.path().join("b.toml"), changes).map(Arc::new);
    table.event(Event::DecisionsWritten(changes.clone(), kept));
    table.pass(500);
    assert_eq!(table.row().row.accepted.len(), 1);
    assert_eq!(table.row().export_change, before);
    table.export_again(1930);
    let before = table.row().export_change.clone().unwrap();
    assert!(before.fixed.is_empty() && before.new.is_empty(), "{before:?}");
}

#[test]
fn what_another_finding_says_louder_now_is_not_fixed() {
    let mut table = SteppedTable::with_one(2000);
    table.export_again(1400);
    let before = table.row().export_change.clone().unwrap();
    assert_eq!((before.state_before, before.first_state), (RowState::Warn, RowState::Fix));
    let new: Vec<&str> = before.new.iter().map(|finding| finding.rule.id).collect();
    assert!(before.fixed.is_empty() && new == ["density.minimum"], "{before:?}");
}

#[test]
fn what_is_decided_of_many_rows_costs_by_the_rows_and_not_by_their_square() {
    let missing = |count: usize| {
        let print = |at| format!("[[print]]\nname = \"{at}\"\nsize = \"8 x 10 in\"\npicture = \"p{at}*\"\n");
        let mut table = SteppedTable::of(testing::brief(&(0..count).map(print).collect::<String>()));
        table.look();
        table.pass(500);
        let any = &SteppedTable::with_one(2000).row().row.findings[0].clone();
        let rows = table.snapshot.as_ref().unwrap().rows.iter().map(|row| ShownFinding::of(&row.row, any)).collect();
        (table, LiveCommand::Accept(AcceptRequest { rows, left_out_new_rows: 0, reason: None }))
    };
    grows_less_than_square(500, missing, |(mut table, command): (SteppedTable, LiveCommand)| {
        assert!(table.state.update(Event::Command(command), table.now).is_empty());
    });
}

fn half() -> Area {
    Area::new(0.25, 0.25, 0.75, 0.75).unwrap()
}

#[test]
fn a_box_is_kept_and_judged_without_reading_the_picture_again() {
    let mut table = SteppedTable::with_one(2400);
    let picture = PictureKey::from_text("a.jpg");
    let draw = |area| LiveCommand::DrawSubject { picture: picture.clone(), print: None, area };
    let orders = table.event(Event::Command(draw(Some(half()))));
    let [Effect::WriteDecisions(change)] = orders.as_slice() else { panic!("{orders:?}") };
    let folder = place();
    let kept = decisions::keep(&folder.path().join("b.toml"), change).map(Arc::new);
    let orders = table.event(Event::DecisionsWritten(change.clone(), kept.clone()));
    assert_eq!(kinds(&orders), []);
    assert_eq!(kinds(&table.pass(500)), []);
    assert_eq!(table.row().row.subject, Some(Subject { area: half(), origin: BoxOrigin::Drawn }));
    assert!(table.notice().starts_with("subject of a.jpg saved"), "{}", table.notice());
    let judged = table.judged;
    table.event(Event::DecisionsRead(Ok(kept.unwrap())));
    table.pass(500);
    assert_eq!(table.judged, judged, "the same again is nothing new");
    table.event(Event::DecisionsRead(Ok(Arc::default())));
    table.pass(500);
    assert_eq!(table.row().row.subject, None);
}

#[test]
fn a_broken_file_of_decisions_leaves_the_boxes_that_were_there() {
    let mut table = SteppedTable::with_one(2400);
    let picture = PictureKey::from_text("a.jpg");
    let draw = LiveCommand::DrawSubject { picture: picture.clone(), print: None, area: Some(half()) };
    let orders = table.event(Event::Command(draw));
    let Effect::WriteDecisions(change) = &orders[0] else { panic!("{orders:?}") };
    let folder = place();
    let brief = folder.path().join("b.toml");
    let kept = decisions::keep(&brief, change).map(Arc::new);
    table.event(Event::DecisionsWritten(change.clone(), kept));
    table.pass(500);
    std::fs::write(decisions::path_beside(&brief), "version = [").unwrap();
    table.event(Event::DecisionsRead(decisions::read(&brief).map(Arc::new)));
    table.pass(500);
    assert!(table.row().row.subject.is_some() && table.notice().contains("b.decisions.toml, line 1"));
    assert_eq!(table.snapshot.as_ref().unwrap().decisions_problems.len(), 1);
    table.event(Event::DecisionsWritten(change.clone(), decisions::keep(&brief, change).map(Arc::new)));
    table.pass(500);
    assert!(table.row().row.subject.is_some() && table.notice().contains("until this is fixed"));
}

#[test]
fn a_picture_that_is_not_read_yet_takes_no_box() {
    let mut table = SteppedTable::empty();
    let draw = |area| LiveCommand::DrawSubject { picture: PictureKey::from_text("a.jpg"), print: None, area };
    assert!(table.event(Event::Command(draw(Some(half())))).is_empty());
    assert!(table.notice().contains("not read yet"), "{}", table.notice());
}
