//! A running live table on a real folder; its pictures are simulated, its files and the system's events are real.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{LiveTable, LiveTableOptions, OpenError};
use crate::files::os;
use crate::judge::RowState;
use crate::judge::acceptance::AcceptanceReason;
use crate::live::Snapshot;
use crate::live::changes::{RowChange, changes};
use crate::live::limits;
use crate::live::snapshot::{AcceptRequest, LiveCommand, ShownFinding, Watching};
use crate::picture::PictureKey;
use crate::reading::testing::{BRIEF, Reads, inspectors};

mod while_judging;

/// Longer than any step here takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(15);

struct RunningTable {
    table: LiveTable,
    reads: Arc<Reads>,
    home: tempfile::TempDir,
}

impl RunningTable {
    /// A live table on a folder that already holds these files, long enough to be finished.
    fn with(files: &[(&str, &str)], poll: bool) -> RunningTable {
        RunningTable::named(files, poll, Path::to_owned)
    }

    /// A live table whose folder is named another way.
    fn named(files: &[(&str, &str)], must_poll: bool, name: impl Fn(&Path) -> PathBuf) -> RunningTable {
        RunningTable::opened(files, |options| LiveTableOptions { must_poll, folder: name(&options.folder), ..options })
    }

    /// A live table opened with other options.
    fn opened(files: &[(&str, &str)], with: impl FnOnce(LiveTableOptions) -> LiveTableOptions) -> RunningTable {
        let home = tempfile::tempdir().unwrap();
        let (brief, folder) = (home.path().join("b.toml"), home.path().join("exports"));
        fs::write(&brief, BRIEF).unwrap();
        fs::create_dir(&folder).unwrap();
        for (name, text) in files {
            fs::write(folder.join(name), text).unwrap();
            age(&folder.join(name));
        }
        let reads = Arc::new(Reads::default());
        let options =
            LiveTableOptions { jobs: 2, inspectors: inspectors(&reads), ..LiveTableOptions::new(&brief, &folder) };
        let table = LiveTable::open(with(options)).unwrap_or_else(|error| panic!("{error:?}"));
        let running = RunningTable { table, reads, home };
        running.until("it has looked", |_| running.table.snapshot().generation > 1);
        running.until("all is read", Snapshot::is_quiet);
        running
    }

    fn new() -> RunningTable {
        RunningTable::with(&[], false)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join("exports").join(name)
    }

    fn until(&self, what: &str, holds: impl Fn(&Snapshot) -> bool) -> Arc<Snapshot> {
        let begin = Instant::now();
        loop {
            let snapshot = self.table.snapshot();
            if holds(&snapshot) {
                return snapshot;
            }
            assert!(begin.elapsed() < PATIENCE, "never: {what}\n{snapshot:#?}");
            let _ = self.table.wake().recv_timeout(Duration::from_millis(20));
        }
    }

    /// Waits until a picture's row has a state, with its own verdict.
    fn until_state(&self, name: &str, state: RowState) -> Arc<Snapshot> {
        self.until(&format!("{name} is {}", state.word()), |snapshot| state_of(snapshot, name) == Some(state))
    }
}

fn state_of(snapshot: &Snapshot, name: &str) -> Option<RowState> {
    let is = |row: &&Arc<crate::live::snapshot::TableRow>| {
        row.row.key.picture.as_ref().is_some_and(|picture| picture.as_str() == name)
    };
    snapshot.rows.iter().find(is).map(|row| row.state_now())
}

/// Makes a file look as if it had been there for long.
fn age(path: &Path) {
    let file = fs::File::options().write(true).open(path).unwrap();
    file.set_modified(std::time::SystemTime::now() - Duration::from_secs(3600)).unwrap();
}

#[test]
fn a_box_drawn_on_one_live_table_is_seen_on_another_and_at_the_next_opening() {
    let running = RunningTable::with(&[("a.jpg", "2400 3000")], false);
    let area = crate::judge::subject::Area::new(0.25, 0.25, 0.75, 0.75);
    let picture = PictureKey::from_text("a.jpg");
    let options = LiveTableOptions {
        inspectors: inspectors(&running.reads),
        ..LiveTableOptions::new(&running.home.path().join("b.toml"), &running.home.path().join("exports"))
    };
    let other = LiveTable::open(options).unwrap_or_else(|error| panic!("{error:?}"));
    running.table.send(LiveCommand::DrawSubject { picture: picture.clone(), print: None, area });
    running.until("it is drawn", |snapshot| snapshot.rows[0].row.subject.map(|subject| subject.area) == area);
    let begin = Instant::now();
    while other.snapshot().rows.first().and_then(|row| row.row.subject).is_none() {
        assert!(begin.elapsed() < PATIENCE, "the other live table never sees it");
        let _ = other.wake().recv_timeout(Duration::from_millis(20));
    }
    other.send(LiveCommand::DrawSubject { picture, print: None, area: None });
    running.until("it is taken away", |snapshot| snapshot.rows[0].row.subject.is_none());
    assert_eq!(running.reads.count(), 2, "each live table reads the picture once");
}

#[test]
fn a_slowly_written_export_is_arriving_and_then_judged_once_and_soon() {
    let running = RunningTable::new();
    let mut file = fs::File::create(running.path("a.jpg")).unwrap();
    for part in ["24", "00 ", "30", "00"] {
        file.write_all(part.as_bytes()).unwrap();
        running.until_state("a.jpg", RowState::Arriving);
        sleep(Duration::from_millis(150));
        assert_eq!(running.reads.count(), 0);
    }
    let finished = Instant::now();
    drop(file);
    running.until("its facts show", |snapshot| snapshot.rows.iter().any(|row| row.row.facts.is_some()));
    let took = finished.elapsed();
    running.until_state("a.jpg", RowState::Pass);
    sleep(Duration::from_millis(300));
    assert_eq!(running.reads.count(), 1);
    // The promise is 0.3 s; a machine that builds beside the tests gets more.
    assert!(took < Duration::from_millis(1_500), "{took:?}");
}

#[test]
fn a_folder_named_from_here_tells_of_its_exports_as_one_named_from_the_root_does() {
    let here = std::env::current_dir().unwrap();
    let up: PathBuf = here.components().skip(1).map(|_| "..").collect();
    let running = RunningTable::named(&[], false, |folder| up.join(folder.strip_prefix("/").unwrap()));
    assert_eq!(running.table.snapshot().watching, Watching::Notified);
    let begun = Instant::now();
    fs::write(running.path("a.jpg"), "2400 3000").unwrap();
    running.until_state("a.jpg", RowState::Pass);
    // Without a notice about its writer the file would be waited for twice as long.
    assert!(begun.elapsed() < limits::QUIET_WITHOUT_NOTICE, "{:?}", begun.elapsed());
}

#[test]
fn exports_are_followed_through_rename_overwriting_deleting_and_moving_out() {
    let running = RunningTable::new();
    fs::write(running.path(".a.jpg.Xy12Zq"), "1400 2400").unwrap();
    fs::rename(running.path(".a.jpg.Xy12Zq"), running.path("a.jpg")).unwrap();
    running.until_state("a.jpg", RowState::Fix);

    fs::write(running.path("a.jpg"), "2400 3000").unwrap();
    let snapshot = running.until_state("a.jpg", RowState::Pass);
    assert_eq!(snapshot.rows[0].export_change.as_ref().map(|before| before.state_before), Some(RowState::Fix));

    fs::remove_file(running.path("a.jpg")).unwrap();
    running.until("it is gone", |snapshot| state_of(snapshot, "a.jpg").is_none());
    fs::write(running.path("a.jpg"), "2400 3000").unwrap();
    running.until_state("a.jpg", RowState::Pass);

    let reads = running.reads.count();
    fs::rename(running.path("a.jpg"), running.path("b.jpg")).unwrap();
    running.until_state("b.jpg", RowState::Pass);
    assert_eq!(running.reads.count(), reads, "only the name changed");

    fs::rename(running.path("b.jpg"), running.home.path().join("elsewhere.jpg")).unwrap();
    running.until("it moved out", |snapshot| state_of(snapshot, "b.jpg").is_none());
}

#[test]
fn a_folder_that_is_removed_is_shown_and_found_again() {
    let running = RunningTable::with(&[("a.jpg", "2400 3000")], false);
    let first = running.table.snapshot();
    fs::remove_dir_all(running.path("")).unwrap();
    let gone = running.until("the folder is gone", |snapshot| snapshot.watching == Watching::Gone);
    assert!(changes(&first, &gone).contains(&RowChange::Folder(Watching::Gone)));
    fs::create_dir(running.path("")).unwrap();
    running.until("the folder is back", |snapshot| snapshot.watching == Watching::Notified);
    fs::write(running.path("b.jpg"), "2400 3000").unwrap();
    running.until_state("b.jpg", RowState::Pass);
    assert_eq!(state_of(&running.table.snapshot(), "a.jpg"), None);
}

#[test]
fn a_brief_that_is_edited_and_broken_is_followed_without_reading() {
    let running = RunningTable::with(&[("a.jpg", "2400 3000")], false);
    let brief = running.home.path().join("b.toml");
    let strict = format!("[density]\ntarget = \"400 ppi\"\nminimum = \"400 ppi\"\n{BRIEF}");
    fs::write(&brief, &strict).unwrap();
    running.until_state("a.jpg", RowState::Fix);
    fs::write(&brief, "size = 8x10").unwrap();
    let snapshot = running.until("it is broken", |snapshot| !snapshot.brief_problems.is_empty());
    assert_eq!(state_of(&snapshot, "a.jpg"), Some(RowState::Fix));
    let beside = running.home.path().join("b.toml.new");
    fs::write(&beside, BRIEF).unwrap();
    fs::rename(&beside, &brief).unwrap();
    let snapshot = running.until_state("a.jpg", RowState::Pass);
    assert!(snapshot.brief_problems.is_empty());
    assert_eq!(running.reads.count(), 1);
}

#[test]
fn two_thousand_files_at_once_are_all_read_once() {
    let running = RunningTable::new();
    for n in 0..2_000 {
        fs::write(running.path(&format!("{n:04}.jpg")), format!("2400 3000 {n}")).unwrap();
    }
    running.until("all pass", |snapshot| snapshot.totals.pass == 2_000);
    assert_eq!(running.reads.count(), 2_000);
    assert!(running.table.snapshot().is_quiet());
}

#[test]
fn one_bad_picture_spoils_no_other_and_says_why() {
    let files = [
        ("a.jpg", "panic"),
        ("b.jpg", "2400 3000"),
        ("c.jpg", ""),
        ("d.jpg", "locked"),
        ("e.jpg", "panic"),
        ("f.jpg", "panic"),
        ("g.jpg", "short"),
    ];
    let running = RunningTable::with(&files, false);
    let snapshot = running.table.snapshot();
    let states = files.map(|(name, _)| state_of(&snapshot, name).unwrap());
    let mut wanted = [RowState::Fix; 7];
    wanted[1] = RowState::Pass;
    assert_eq!(states, wanted);
    assert!(snapshot.rows.iter().filter(|row| row.row.state == RowState::Fix).all(|row| !row.row.findings.is_empty()));
}

#[test]
fn a_polled_folder_is_followed_too_and_says_why_it_is_polled() {
    let running = RunningTable::with(&[("a.jpg", "2400 3000")], true);
    assert_eq!(running.table.snapshot().watching, Watching::Polled("set by --poll".to_owned()));
    fs::write(running.path("b.jpg"), "2400 3000 b").unwrap();
    running.until_state("b.jpg", RowState::Pass);
}

#[test]
fn the_selected_pictures_thumbnail_is_made() {
    let running = RunningTable::with(&[("a.jpg", "2400 3000"), ("b.jpg", "3000 2400")], false);
    for name in ["a.jpg", "b.jpg"] {
        let snapshot = running.table.snapshot();
        let row = snapshot.rows.iter().find(|row| row.row.key.picture.as_ref().unwrap().as_str() == name).unwrap();
        running.table.send(LiveCommand::ShowRows { selected: Some(row.row.key.clone()), visible: vec![], proof: None });
        running.until("its thumbnail", |_| {
            running.table.thumbnail().is_some_and(|shown| shown.picture.as_str() == name && !shown.is_preview)
        });
    }
}

#[test]
fn a_decision_made_just_before_the_end_is_kept() {
    let running = RunningTable::with(&[("a.jpg", "240 300")], false);
    let row = running.until_state("a.jpg", RowState::Fix).rows[0].row.clone();
    let finding = row.findings.iter().find(|finding| finding.rule.id == "density.minimum").unwrap();
    let (reason, by, when) = ("meant so".to_owned(), "Maren".to_owned(), String::new());
    let said = AcceptanceReason { reason, by, allowed_by: Some("the printer".to_owned()), when, is_on_note: false };
    let rows = vec![ShownFinding::of(&row, finding)];
    let RunningTable { table, home, .. } = running;
    // Another live table writes for longer than the end waits for threads.
    let others = os::lock_folder(home.path(), &home.path().join("b.toml"), Duration::ZERO).unwrap();
    let writing = std::thread::spawn(move || {
        sleep(3 * crate::reading::limits::SHUTDOWN_WAIT);
        drop(others);
    });
    table.send(LiveCommand::Accept(AcceptRequest { rows, left_out_new_rows: 0, reason: Some(said) }));
    drop(table);
    assert!(fs::read_to_string(home.path().join("b.decisions.toml")).unwrap().contains("density.minimum"));
    writing.join().unwrap();
}

#[test]
fn whoever_quits_while_another_writes_is_told_what_is_not_written() {
    let running = RunningTable::with(&[("a.jpg", "2400 3000")], false);
    running.until_state("a.jpg", RowState::Pass);
    let RunningTable { mut table, home, .. } = running;
    let others = os::lock_folder(home.path(), &home.path().join("b.toml"), Duration::ZERO).unwrap();
    let area = crate::judge::subject::Area::new(0.25, 0.25, 0.75, 0.75);
    table.send(LiveCommand::DrawSubject { picture: PictureKey::from_text("a.jpg"), print: None, area });
    assert_eq!(table.pending_decisions(), 1, "at once");
    let begin = Instant::now();
    let lost = table.end().unwrap();
    assert!(lost.decisions == 1 && lost.why.contains("another plateside"), "{lost:?}");
    assert!(begin.elapsed() < limits::DECISIONS_WAIT + Duration::from_secs(2));
    drop(others);
    sleep(2 * crate::decisions::limits::LIVE_LOCK_TIMEOUT);
    assert!(!home.path().join("b.decisions.toml").exists(), "what was said to be lost is not written after all");
}

#[test]
fn what_was_refused_is_told_at_the_end_unless_something_was_kept_since() {
    for is_fixed in [false, true] {
        let running = RunningTable::with(&[("a.jpg", "2400 3000")], false);
        running.until_state("a.jpg", RowState::Pass);
        let file = running.home.path().join("b.decisions.toml");
        fs::write(&file, "version = [").unwrap();
        let area = crate::judge::subject::Area::new(0.25, 0.25, 0.75, 0.75);
        let draw = || LiveCommand::DrawSubject { picture: PictureKey::from_text("a.jpg"), print: None, area };
        running.table.send(draw());
        running.until("it is refused", |seen| !seen.decisions_problems.is_empty());
        if is_fixed {
            fs::remove_file(&file).unwrap();
        }
        let RunningTable { mut table, home, .. } = running;
        table.send(draw());
        let lost = table.end();
        assert_eq!(lost.as_ref().map(|lost| lost.decisions), (!is_fixed).then_some(2));
        assert!(lost.is_none_or(|lost| lost.why.contains("b.decisions.toml, line 1")));
        drop(home);
    }
}

#[test]
fn a_live_table_ends_quickly_and_says_why_it_cannot_be_opened() {
    let running = RunningTable::with(&[("a.jpg", "2400 3000")], false);
    let begin = Instant::now();
    let RunningTable { table, home, .. } = running;
    drop(table);
    assert!(begin.elapsed() < Duration::from_secs(2), "{:?}", begin.elapsed());
    let brief = home.path().join("b.toml");
    let nowhere = LiveTableOptions::new(&brief, &home.path().join("nowhere"));
    assert!(matches!(LiveTable::open(nowhere), Err(OpenError::Folder { .. })));
    fs::write(&brief, "size = 8x10").unwrap();
    assert!(matches!(LiveTable::open(LiveTableOptions::new(&brief, home.path())), Err(OpenError::Brief(_))));
}
