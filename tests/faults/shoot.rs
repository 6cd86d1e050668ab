//! A shoot that goes wrong in every way: an export folder, a live table that watches it, and chance.

use std::ffi::OsStr;
use std::fs;
use std::io::Write;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant, SystemTime};

use jpeg_encoder::{ColorType, Encoder};
use plateside::brief;
use plateside::decisions::Decisions;
use plateside::judge::{Finding, Row, RowState, configurable_ids};
use plateside::live::{LiveTable, LiveTableOptions};
use plateside::reading::batch::{CheckTarget, check};
use plateside::reading::evidence_spill::{EvidenceSpill, SpillContents};
use plateside::reading::inspect::FileInspector;
use plateside::reading::limits::MEMORY_BYTES;
use plateside::reading::work_limits::WorkLimits;

/// Longest wait for a live table to come to rest.
const PATIENCE: Duration = Duration::from_secs(240);
/// A live table rests once it had nothing to do for so long; longer than a file must lie still before it is read.
const REST: Duration = Duration::from_millis(2_500);
/// Names that exports come and go under.
const NAMES: u64 = 40;
/// The print that sound pictures are right for: 300 x 375 px at 300 ppi.
const PRINT: &str = "[[print]]\nname = \"card\"\nsize = \"1 x 1.25 in\"\npictures = \"*\"\n";

/// A picture, its state, and what is found about it.
pub type Told = (Option<String>, RowState, Vec<String>);

/// Everything at once.
pub struct Shoot {
    home: tempfile::TempDir,
    head: String,
    live_table: LiveTable,
    sound: Vec<u8>,
    wide: Vec<u8>,
    chance: u64,
}

impl Shoot {
    /// An empty folder; `head` stands at the head of the brief.
    pub fn new(head: &str) -> Shoot {
        let home = tempfile::tempdir().unwrap();
        fs::create_dir(home.path().join("exports")).unwrap();
        fs::write(home.path().join("brief.toml"), format!("{head}{PRINT}")).unwrap();
        let options = LiveTableOptions {
            jobs: 2,
            ..LiveTableOptions::new(&home.path().join("brief.toml"), &home.path().join("exports"))
        };
        let live_table = LiveTable::open(options).unwrap_or_else(|error| panic!("{error:?}"));
        Shoot { home, head: head.to_owned(), live_table, sound: jpeg(300, 375), wide: jpeg(450, 300), chance: 0x5EED }
    }

    /// A place in the export folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.home.path().join("exports").join(name)
    }

    /// A picture that is right for the print.
    pub fn sound(&self) -> Vec<u8> {
        self.sound.clone()
    }

    /// A number below `below`.
    fn any(&mut self, below: u64) -> u64 {
        self.chance = self.chance.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.chance >> 33) % below
    }

    fn any_path(&mut self) -> PathBuf {
        let number = self.any(NAMES);
        match self.any(8) {
            0 => self.path(&format!("sub/p{number:02}.jpg")),
            // A name that is no text.
            1 if number < 4 => {
                self.path("").join(OsStr::from_bytes(&[b'p', 0xFF, b'0' + number as u8, b'.', b'j', b'p', b'g']))
            }
            _ => self.path(&format!("p{number:02}.jpg")),
        }
    }

    fn any_bytes(&mut self) -> Vec<u8> {
        match self.any(6) {
            0 => self.wide.clone(),
            1 => self.sound[..self.sound.len() * 2 / 3].to_vec(),
            2 => b"no picture at all".to_vec(),
            3 => Vec::new(),
            _ => self.sound.clone(),
        }
    }

    /// One event of a folder's life. What cannot be done, since another event came before, is left.
    pub fn something_happens(&mut self) {
        let (path, bytes) = (self.any_path(), self.any_bytes());
        let exports = self.path("");
        let _done = match self.any(16) {
            0..=4 => fs::create_dir_all(path.parent().unwrap()).and_then(|()| fs::write(&path, bytes)),
            5 | 6 => {
                let beside = path.with_extension("part");
                fs::write(&beside, bytes).and_then(|()| fs::rename(beside, &path))
            }
            7 => self.grows(&path, &bytes),
            8 => fs::rename(&path, self.any_path()),
            9 => fs::remove_file(&path),
            10 => fs::remove_dir_all(self.path("sub")),
            11 => {
                let mode = if self.any(2) == 0 { 0o000 } else { 0o644 };
                fs::set_permissions(&path, fs::Permissions::from_mode(mode))
            }
            12 => symlink(&exports, self.path("sub/circle")),
            13 => {
                // The camera's or the other machine's clock: 1970, or a century ahead.
                let time = SystemTime::UNIX_EPOCH + Duration::from_secs(self.any(5_000_000_000));
                fs::File::options().write(true).open(&path).and_then(|file| file.set_modified(time))
            }
            14 => self.brief_changes(),
            _ => {
                let away = self.home.path().join("away");
                let gone = fs::rename(&exports, &away);
                sleep(Duration::from_millis(self.any(30)));
                gone.and_then(|()| fs::rename(away, &exports))
            }
        };
    }

    /// Something that is no file comes to stand where one was, or the file comes back: the brief, the decisions, a picture.
    pub fn something_else_stands_there(&mut self) {
        let places =
            [self.home.path().join("brief.toml"), self.home.path().join("brief.decisions.toml"), self.any_path()];
        let path = &places[self.any(3) as usize];
        clear(path);
        let _done = match self.any(6) {
            0 => Command::new("mkfifo").arg(path).status().map(drop),
            1 => symlink("/dev/zero", path),
            2 => fs::create_dir_all(path),
            3 => symlink("nowhere", path),
            _ if *path == places[0] => fs::write(path, format!("{}{PRINT}", self.head)),
            _ if *path == places[1] => fs::write(path, "version = 1\n"),
            _ => fs::write(path, &self.sound),
        };
    }

    /// Files stand again where the brief and the decisions do, and the brief is sound.
    pub fn files_stand_again(&self) {
        for (name, text) in
            [("brief.toml", format!("{}{PRINT}", self.head)), ("brief.decisions.toml", "version = 1\n".to_owned())]
        {
            let path = self.home.path().join(name);
            clear(&path);
            fs::write(path, text).unwrap();
        }
    }

    /// An export that is written in pieces, and now and then never to its end.
    fn grows(&mut self, path: &Path, bytes: &[u8]) -> std::io::Result<()> {
        let mut file = fs::File::create(path)?;
        for piece in bytes.chunks(bytes.len() / 3 + 1) {
            if self.any(12) == 0 {
                break;
            }
            file.write_all(piece)?;
            sleep(Duration::from_millis(self.any(6)));
        }
        Ok(())
    }

    fn brief_changes(&mut self) -> std::io::Result<()> {
        let least = 150 + self.any(4) * 50;
        let words = match self.any(4) {
            0 => "[density]\nleast = \n".to_owned(),
            _ => format!("[density]\nminimum = \"{least} ppi\"\n"),
        };
        fs::write(self.home.path().join("brief.toml"), format!("{}{words}{PRINT}", self.head))
    }

    /// The last event: a brief that can be read, and every file may be.
    pub fn calm_down(&self) {
        fs::write(self.home.path().join("brief.toml"), format!("{}{PRINT}", self.head)).unwrap();
        for entry in fs::read_dir(self.path("")).unwrap().chain(fs::read_dir(self.path("sub")).into_iter().flatten()) {
            let path = entry.unwrap().path();
            if path.is_file() {
                fs::set_permissions(path, fs::Permissions::from_mode(0o644)).unwrap();
            }
        }
    }

    /// Waits until the live table had nothing to do for a while.
    pub fn settle(&self) {
        let (begin, mut rested) = (Instant::now(), Instant::now());
        let mut last = self.live_table.snapshot().generation;
        while rested.elapsed() < REST {
            let snapshot = self.live_table.snapshot();
            if snapshot.generation != last || !snapshot.is_quiet() {
                (last, rested) = (snapshot.generation, Instant::now());
            }
            assert!(begin.elapsed() < PATIENCE, "it never comes to rest: {:?}", snapshot.work);
            let _woken = self.live_table.wake().recv_timeout(Duration::from_millis(50));
        }
    }

    /// What the live table finds about the order as a whole.
    pub fn order(&self) -> Vec<String> {
        of_order(&self.live_table.snapshot().order_findings)
    }

    /// What the live table says of every picture.
    pub fn rows(&self) -> Vec<Told> {
        self.live_table.snapshot().rows.iter().map(|row| told(&row.row)).collect()
    }

    /// Checks the folder once, from nothing, and compares.
    pub fn assert_as_checked(&self) {
        let brief = brief::read(&self.home.path().join("brief.toml"), &configurable_ids())
            .unwrap_or_else(|wrong| panic!("{wrong:?}"));
        let work_limits = WorkLimits { jobs: 2, memory_bytes: MEMORY_BYTES, has_lower_priority: false };
        let target = CheckTarget::Folder(self.path(""));
        let make = FileInspector::maker();
        let fresh = check(
            &brief,
            &Decisions::default(),
            &target,
            work_limits,
            &make,
            &EvidenceSpill::new(SpillContents::Numbers, None),
            &|_| {},
        )
        .unwrap();
        let found_of_order = of_order(&fresh.judgement.order_findings);
        let fresh: Vec<Told> = fresh.judgement.rows.iter().map(told).collect();
        let live_table = self.rows();
        for (one, other) in live_table.iter().zip(&fresh) {
            assert_eq!(one, other, "the live table, then the check");
        }
        assert_eq!(live_table.len(), fresh.len());
        assert_eq!(of_order(&self.live_table.snapshot().order_findings), found_of_order);
    }
}

/// Takes away whatever stands there.
fn clear(path: &Path) {
    let _not_there = fs::remove_file(path).or_else(|_| fs::remove_dir_all(path));
}

/// What is found about the order as a whole.
fn of_order(findings: &[Arc<Finding>]) -> Vec<String> {
    findings.iter().map(|finding| format!("{}: {}", finding.rule.id, finding.found)).collect()
}

fn told(row: &Row) -> Told {
    let mut findings: Vec<String> =
        row.findings.iter().map(|finding| format!("{}: {}", finding.rule.id, finding.found)).collect();
    findings.sort();
    (row.key.picture.as_ref().map(|picture| picture.as_str().to_owned()), row.state, findings)
}

/// Resident memory of this process, in bytes. Source: proc(5).
pub fn resident_bytes() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with("VmRSS")).unwrap();
    line.split_whitespace().nth(1).and_then(|kb| kb.parse::<u64>().ok()).unwrap() << 10
}

fn jpeg(width: u16, height: u16) -> Vec<u8> {
    let mut state = 7_u32;
    let grain = std::iter::repeat_with(|| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        96 + (state >> 27) as u8
    });
    let samples: Vec<u8> = grain.take(usize::from(width) * usize::from(height) * 3).collect();
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 95);
    encoder.add_icc_profile(&plateside::colour::Encoding::Srgb.icc_bytes()).unwrap();
    encoder.encode(&samples, width, height, ColorType::Rgb).unwrap();
    bytes
}
