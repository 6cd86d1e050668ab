//! The live table among faults: an hour's worth of whatever happens to an export folder, at hundreds of times the pace, and what
//! no single day brings. Whatever happened, the rows end as a fresh check finds them.

mod shoot;

use std::fs::{self, File};
use std::os::unix::fs::symlink;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};

use plateside::judge::RowState;

use shoot::{Shoot, resident_bytes};

/// Tests here share the machine's memory and its events: one at a time.
static ALONE: Mutex<()> = Mutex::new(());

fn alone() -> MutexGuard<'static, ()> {
    ALONE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// One event a second for an hour.
const EVENTS: usize = 3_600;
/// Between two events.
const PAUSE: Duration = Duration::from_millis(2);
/// Changes of what stands in place of files.
const CHANGES: usize = 400;
/// Between two of them: some stay long enough to be read.
const PAUSE_BETWEEN_CHANGES: Duration = Duration::from_millis(50);
/// What a live table that reads an endless file holds after a second or two, in bytes.
const ENDLESS_BYTES: u64 = 1 << 30;
/// What a soaked live table may hold more than after its first third, in bytes: a table of notices, some rows.
const MAX_GROWTH: u64 = 24 << 20;
/// More files than the system's own queue of events holds (16,384), at three events and more a file. Source: inotify(7).
const FLOOD: usize = 20_000;

#[test]
fn an_hour_of_events_leaves_the_rows_that_a_fresh_check_finds_and_the_memory_flat() {
    let _alone = alone();
    let mut shoot = Shoot::new("subfolders = true\n");
    let mut early = 0;
    for event in 0..EVENTS {
        shoot.something_happens();
        std::thread::sleep(PAUSE);
        if event == EVENTS / 3 {
            shoot.settle();
            early = resident_bytes();
        }
    }
    shoot.calm_down();
    shoot.settle();
    let late = resident_bytes();
    shoot.assert_as_checked();
    assert!(late < early + MAX_GROWTH, "{} MB after a third, {} MB at the end", early >> 20, late >> 20);
}

#[test]
fn a_flood_of_files_is_read_to_the_last_although_the_system_loses_events() {
    let _alone = alone();
    let shoot = Shoot::new("");
    for number in 0..FLOOD {
        fs::write(shoot.path(&format!("f{number:05}.jpg")), "no picture").unwrap();
    }
    shoot.settle();
    let rows = shoot.rows();
    assert_eq!(rows.len(), FLOOD);
    assert!(rows.iter().all(|(_, state, _)| *state == RowState::Fix));
}

#[test]
fn links_in_a_circle_and_links_to_nothing_are_no_pictures_and_no_end() {
    let _alone = alone();
    let shoot = Shoot::new("subfolders = true\n");
    fs::create_dir(shoot.path("sub")).unwrap();
    symlink(shoot.path("sub"), shoot.path("sub/again")).unwrap();
    symlink(shoot.path("."), shoot.path("sub/up")).unwrap();
    symlink(shoot.path("own.jpg"), shoot.path("own.jpg")).unwrap();
    symlink(shoot.path("nothing.jpg"), shoot.path("gone.jpg")).unwrap();
    fs::write(shoot.path("sub/a.jpg"), shoot.sound()).unwrap();
    shoot.settle();
    shoot.assert_as_checked();
    let states: Vec<_> = shoot.rows().into_iter().filter(|(name, ..)| name.as_deref() == Some("sub/a.jpg")).collect();
    assert_eq!(states.len(), 1, "{states:?}");
    assert_eq!(shoot.order(), ["set.unlisted: 1 link leads nowhere: gone.jpg"]);
}

#[test]
fn pipes_devices_and_folders_in_place_of_files_are_never_waited_for() {
    let _alone = alone();
    let mut shoot = Shoot::new("subfolders = true\n");
    fs::create_dir(shoot.path("sub")).unwrap();
    for _ in 0..CHANGES {
        shoot.something_else_stands_there();
        std::thread::sleep(PAUSE_BETWEEN_CHANGES);
    }
    shoot.files_stand_again();
    shoot.settle();
    shoot.assert_as_checked();
    assert!(shoot.order().iter().any(|found| found.starts_with("set.unlisted: ")), "{:?}", shoot.order());
    assert!(resident_bytes() < ENDLESS_BYTES, "{} MB", resident_bytes() >> 20);
}

#[test]
fn bytes_that_change_behind_an_unchanged_time_and_size_are_read_again() {
    let _alone = alone();
    let shoot = Shoot::new("");
    let (sound, long_ago) = (shoot.sound(), SystemTime::UNIX_EPOCH + Duration::from_secs(1));
    let far_ahead = SystemTime::now() + Duration::from_secs(3_000_000_000);
    for (name, time) in [("past.jpg", long_ago), ("future.jpg", far_ahead)] {
        fs::write(shoot.path(name), &sound).unwrap();
        File::options().write(true).open(shoot.path(name)).unwrap().set_modified(time).unwrap();
    }
    shoot.settle();
    assert!(shoot.rows().iter().all(|(_, state, _)| *state != RowState::Fix), "{:?}", shoot.rows());
    let mut broken = sound.clone();
    let half = broken.len() / 2;
    broken[half..].fill(0);
    for (name, time) in [("past.jpg", long_ago), ("future.jpg", far_ahead)] {
        fs::write(shoot.path(name), &broken).unwrap();
        File::options().write(true).open(shoot.path(name)).unwrap().set_modified(time).unwrap();
    }
    shoot.settle();
    assert!(shoot.rows().iter().all(|(_, state, _)| *state == RowState::Fix), "{:?}", shoot.rows());
    shoot.assert_as_checked();
}
