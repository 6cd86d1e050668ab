//! Tests of making the shoot.

use std::fs;
use std::path::PathBuf;
use std::time::SystemTime;

use painter::{Frame, Rect, dishes};

use super::*;
use crate::demo::picture::SOUND;

const SMALL: Frame = Frame::new(36, 44);

const TAKEN: &str = "2026:11:02 10:21:07";

const CORNER: Rect = Rect { left: 4, top: 8, width_px: 16, height_px: 20 };

const FEW: &[Shot] = &[
    Shot {
        scene: dishes::plum_tart,
        frame: SMALL,
        taken: TAKEN,
        pictures: &[
            Picture { name: "a.jpg", twin: Some("a again.jpg"), ..SOUND },
            Picture { name: "b.jpg", part: Some(CORNER), ..SOUND },
        ],
    },
    Shot { scene: dishes::barley_broth, frame: SMALL, taken: TAKEN, pictures: &[Picture { name: "c.jpg", ..SOUND }] },
];

const NAMES: [&str; 4] = ["a.jpg", "a again.jpg", "b.jpg", "c.jpg"];

fn run(into: &Path, workers: usize, cancel: &AtomicBool) -> (Summary, Vec<FileDone>) {
    let profiles = Profiles { srgb: vec![1; 40], adobe_rgb: vec![2; 40] };
    let heard = Mutex::new(Vec::new());
    let summary = make_shots(FEW, into, &profiles, workers, cancel, &|made| heard.lock().push(made));
    (summary.expect("writes"), heard.into_inner())
}

fn go(into: &Path, workers: usize) -> (Summary, Vec<FileDone>) {
    run(into, workers, &AtomicBool::new(false))
}

fn bytes_and_times(folder: &Path) -> Vec<(PathBuf, Vec<u8>, SystemTime)> {
    let mut all: Vec<_> = fs::read_dir(folder)
        .expect("readable")
        .map(|entry| entry.expect("readable").path())
        .map(|path| {
            let time = fs::metadata(&path).and_then(|m| m.modified()).expect("a time");
            let bytes = fs::read(&path).expect("readable");
            (path, bytes, time)
        })
        .collect();
    all.sort();
    all
}

#[test]
fn one_worker_and_two_write_the_same_bytes() {
    let (one, two) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let (summary, heard) = go(one.path(), 1);
    go(two.path(), 2);
    assert_eq!((summary.painted, heard.len()), (4, 4));
    assert_eq!(heard.last().map(|made| (made.done, made.of)), Some((4, 4)));
    for name in NAMES {
        let read = |folder: &tempfile::TempDir| fs::read(folder.path().join(name)).expect(name);
        assert!(read(&one) == read(&two), "{name} differs");
    }
    let (a, again) = (fs::read(one.path().join("a.jpg")), fs::read(one.path().join("a again.jpg")));
    assert_eq!(a.expect("there"), again.expect("there"));
}

#[test]
fn a_second_run_changes_neither_bytes_nor_times() {
    let folder = tempfile::tempdir().expect("a folder");
    go(folder.path(), 1);
    let before = bytes_and_times(folder.path());
    let (summary, _) = go(folder.path(), 2);
    assert_eq!(summary, Summary { kept: 4, ..Summary::default() });
    assert!(before == bytes_and_times(folder.path()));
}

#[test]
fn a_missing_file_comes_back_and_a_changed_one_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    go(folder.path(), 1);
    let first = fs::read(folder.path().join("b.jpg")).expect("there");
    fs::remove_file(folder.path().join("b.jpg")).expect("removed");
    fs::write(folder.path().join("c.jpg"), b"a new export").expect("written");
    let (summary, _) = go(folder.path(), 1);
    assert_eq!(summary, Summary { painted: 1, kept: 2, left_alone: 1, is_cancelled: false });
    assert_eq!(fs::read(folder.path().join("b.jpg")).expect("there"), first);
    assert_eq!(fs::read(folder.path().join("c.jpg")).expect("there"), b"a new export");
}

#[test]
fn what_was_there_before_is_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("a.jpg"), b"somebody's picture").expect("written");
    let (summary, _) = go(folder.path(), 1);
    assert_eq!((summary.painted, summary.left_alone), (3, 1));
    assert_eq!(fs::read(folder.path().join("a.jpg")).expect("there"), b"somebody's picture");
}

#[test]
fn a_raised_flag_ends_the_work_and_leaves_no_half_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let (summary, heard) = run(folder.path(), 1, &AtomicBool::new(true));
    assert!(summary.is_cancelled && heard.is_empty());
    assert_eq!(fs::read_dir(folder.path()).expect("readable").count(), 0);
}

#[test]
fn a_folder_that_cannot_be_is_named_with_a_remedy() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("not a folder");
    fs::write(&file, b"").expect("written");
    let profiles = Profiles { srgb: Vec::new(), adobe_rgb: Vec::new() };
    let error = make(&file, &profiles, 1, &AtomicBool::new(false), &|_| ());
    let said = error.expect_err("a file is in the way").to_string();
    assert!(said.contains("not a folder") && said.contains("choose a folder"), "{said}");
}
