//! What grows with the order: 4,000 and 20,000 look-alikes beside as many strangers, 2,000 prints over 1,000 pictures,
//! 2,000 prints in two versions, and the papers of large orders. Prints n, seconds, ratio and peak memory; each line is
//! measured in a process of its own. Linux: peak memory is the system's `VmHWM`.

use std::process::Command;
use std::sync::Arc;
use std::time::Instant;

use plateside::brief::{self, Brief};
use plateside::colour::{Encoding, ProfileClass, ProfileFacts, ProfileSpace};
use plateside::delivery::note::Note;
use plateside::delivery::numbering::DeliveryNumber;
use plateside::delivery::plan::{DeliverySelection, ListedFiles, plan};
use plateside::delivery::{lists, since};
use plateside::judge::{
    EvidenceHandle, FolderContents, HeaderState, Judgement, Pixels, Row, RowMemo, Submission, Totals, configurable_ids,
    judge_unless_superseded,
};
use plateside::live::Snapshot;
use plateside::live::snapshot::{TableRow, Watching, WorkProgress};
use plateside::measure::evidence::{Appearance, Clipped, Detail};
use plateside::measure::{Evidence, Grid, Thumbnail};
use plateside::picture::facts::{ColourModel, Compression, EmbeddedProfile, Format, JpegFacts};
use plateside::picture::{CaptureTime, Facts, PictureKey};
use plateside::reading::check_report::CheckReport;
use plateside::report::{csv, json, text};
use plateside::testprint::ranking::rank;
use plateside::tui::view_state::ViewState;

/// A case by its name: what is done with so many; seconds of its parts.
type Case = (&'static str, fn(usize) -> Vec<f64>);

const CASES: [Case; 7] = [
    ("strangers", |count| judged(&rest(), &pictures(count, fingerprint))),
    ("look-alikes", |count| judged(&rest(), &pictures(count, |_| 0))),
    ("patterns", |count| judged(&prints(2 * count, |at| format!("*x{at:05}*")), &pictures(count, fingerprint))),
    ("stars", |count| judged(&prints(2 * count, |_| "*".to_owned()), &pictures(count, fingerprint))),
    ("versions", versions),
    ("papers", papers),
    ("arrivals", arrivals),
];

/// A case and how many, and the case and count that its ratio is against.
type Measured = (&'static str, usize, Option<(&'static str, usize)>);

/// The lines of the table: a case, how many, which case and count its ratio is against.
const LINES: [Measured; 15] = [
    ("strangers", 1_000, None),
    ("strangers", 4_000, Some(("strangers", 1_000))),
    ("strangers", 20_000, Some(("strangers", 4_000))),
    ("look-alikes", 1_000, Some(("strangers", 1_000))),
    ("look-alikes", 4_000, Some(("strangers", 4_000))),
    ("look-alikes", 20_000, Some(("strangers", 20_000))),
    ("patterns", 250, None),
    ("patterns", 1_000, Some(("patterns", 250))),
    ("stars", 1_000, None),
    ("versions", 500, None),
    ("versions", 2_000, Some(("versions", 500))),
    ("papers", 1_000, None),
    ("papers", 4_000, Some(("papers", 1_000))),
    ("arrivals", 1_000, None),
    ("arrivals", 4_000, Some(("arrivals", 1_000))),
];

fn main() {
    let mut arguments = std::env::args().skip(1).filter(|argument| !argument.starts_with("--"));
    if let (Some(name), Some(count)) = (arguments.next(), arguments.next()) {
        let (_, case) = CASES.iter().find(|(known, _)| *known == name).expect("a case of the list");
        let seconds = case(count.parse().expect("a count"));
        let seconds: Vec<String> = seconds.iter().map(f64::to_string).collect();
        return println!("{} {}", peak_mb(), seconds.join(" "));
    }
    println!(
        "{:<12} {:>7} {:>9} {:>9} {:>7} {:>9} {:>7}",
        "what", "n", "first s", "again s", "ratio", "peak MB", "ratio"
    );
    let mut known: Vec<(&str, usize, Vec<f64>)> = Vec::new();
    for (name, count, against) in LINES {
        let numbers = in_its_own_process(name, count);
        let other = against.and_then(|of| known.iter().find(|(name, count, _)| (*name, *count) == of));
        let ratio = |at: usize| other.map_or_else(String::new, |(.., other)| format!("{:.2}", numbers[at] / other[at]));
        let again = numbers.get(2).map_or_else(String::new, |again| format!("{again:.3}"));
        let (peak, first) = (numbers[0], numbers[1]);
        println!("{name:<12} {count:>7} {first:>9.3} {again:>9} {:>7} {peak:>9.0} {:>7}", ratio(1), ratio(0));
        known.push((name, count, numbers));
    }
}

/// Peak memory in MB, then seconds.
fn in_its_own_process(name: &str, count: usize) -> Vec<f64> {
    let program = std::env::current_exe().expect("this program");
    let done = Command::new(program).args([name, &count.to_string()]).output().expect("it runs");
    assert!(done.status.success(), "{name} {count}: {}", String::from_utf8_lossy(&done.stderr));
    let text = String::from_utf8(done.stdout).expect("numbers");
    text.split_whitespace().map(|number| number.parse().expect("a number")).collect()
}

/// Source of the name: proc(5).
fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("Linux");
    let line = status.lines().find(|line| line.starts_with("VmHWM")).expect("its peak");
    line.split_whitespace().nth(1).and_then(|kb| kb.parse::<f64>().ok()).expect("a number") * 1024.0 / 1e6
}

/// Judges once, and once more with nothing new.
fn judged(brief: &Arc<Brief>, pictures: &[Submission]) -> Vec<f64> {
    let (folder, mut memo) = (folder(pictures), RowMemo::default());
    let (first, of_first) = timed(|| judge_unless_superseded(brief, &folder, &mut memo, &|| false).unwrap());
    let (again, of_again) = timed(|| judge_unless_superseded(brief, &folder, &mut memo, &|| false).unwrap());
    assert_eq!(first.rows.len(), again.rows.len());
    vec![of_first, of_again]
}

fn folder(pictures: &[Submission]) -> FolderContents {
    FolderContents { files: pictures.to_vec(), ..FolderContents::default() }
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let began = Instant::now();
    let made = work();
    (made, began.elapsed().as_secs_f64())
}

/// So many prints in two versions, each with a picture of its own that is found in the other.
fn versions(count: usize) -> Vec<f64> {
    let versions =
        "[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n[[version]]\nname = \"press\"\nfolder = \"cmyk\"\n";
    let print = |at: usize| format!("[[print]]\nname = \"n{at}\"\nsize = \"8 x 10 in\"\npicture = \"x{at:05}*\"\n");
    let brief = parsed(&(versions.to_owned() + &(0..count).map(print).collect::<String>()));
    let of = |(version, folder): (usize, &str)| {
        let named = |(at, one): (usize, Submission)| {
            let shows = evidence(version * count + at, fingerprint(at));
            let small = Grid { across: SMALL.0, down: SMALL.1, fields: blots(at) };
            let appearance = Appearance { small, ..shows.appearance.clone() };
            Submission {
                key: PictureKey::from_text(&format!("{folder}/{}", one.key.as_str())),
                pixels: Pixels::Read(Arc::new(EvidenceHandle::in_memory(Evidence { appearance, ..shows }))),
                ..one
            }
        };
        pictures(count, fingerprint).into_iter().enumerate().map(named).collect::<Vec<_>>()
    };
    let all: Vec<Submission> = [(1, "cmyk"), (0, "rgb")].into_iter().flat_map(of).collect();
    judged(&brief, &all)
}

/// Cells of a small grey picture, as the program makes it of one of 4:5.
const SMALL: (usize, usize) = (102, 128);

/// A small grey picture of fields in shades of its own.
fn blots(number: usize) -> Vec<u8> {
    let shade = |at: usize| {
        let (x, y) = (at % SMALL.0 / 8, at / SMALL.0 / 8);
        (fingerprint(number * 1_000 + y * SMALL.0 + x) >> 56) as u8
    };
    (0..SMALL.0 * SMALL.1).map(shade).collect()
}

/// Every paper of an order of so many prints, each with its picture.
fn papers(count: usize) -> Vec<f64> {
    let brief = prints(count, |at| format!("x{at:05}*"));
    let pictures = pictures(count, fingerprint);
    let Judgement { rows, order_findings } =
        judge_unless_superseded(&brief, &folder(&pictures), &mut RowMemo::default(), &|| false).unwrap();
    let rows: Vec<Row> = rows.iter().map(|row| Row::clone(row)).collect();
    let totals = Totals::of(&rows);
    let report = CheckReport {
        brief: brief.clone(),
        folder: "exports".into(),
        rows,
        order_findings,
        totals,
        made: String::new(),
    };
    let files: ListedFiles = pictures.iter().map(|one| (one.key.clone(), (one.key.as_str().into(), true))).collect();
    let wanted = DeliverySelection {
        only: pictures.iter().map(|one| one.key.clone()).collect(),
        ..DeliverySelection::default()
    };
    let of_check = timed(|| (json::write(&report), csv::write(&report), text::lines(&report))).1;
    let of_delivery = timed(|| {
        let plan = plan(&report, &files, &wanted).expect("all of it may go");
        let compared = since::PrinterHoldings::default().compare(&report, &plan);
        let sent: Vec<_> = plan.pictures.iter().collect();
        let lists = (lists::pictures(&report, &sent), lists::orders(&report, &sent, Some(&compared), None));
        let number = DeliveryNumber::default();
        let record = lists::record(&report, &plan, Some(&compared), &number);
        (lists, record, Note::of(&report, &plan, None, &number, &|_| None).text())
    })
    .1;
    let prints = report.prints();
    let print_of = |row: &Row| prints.get(row.key.print.as_ref());
    let of_ranking = timed(|| rank(&report.rows, &print_of)).1;
    vec![of_check + of_delivery + of_ranking]
}

/// Pictures that arrive one by one, each seen by the screen.
fn arrivals(count: usize) -> Vec<f64> {
    let (brief, pictures) = (rest(), pictures(count, fingerprint));
    let Judgement { rows, .. } =
        judge_unless_superseded(&brief, &folder(&pictures), &mut RowMemo::default(), &|| false).unwrap();
    let row = |row| Arc::new(TableRow { row, is_outdated: false, arriving_bytes: None, export_change: None });
    let mut snapshot = Snapshot {
        generation: 1,
        brief,
        brief_problems: Vec::new().into(),
        decisions_problems: Vec::new().into(),
        folder: "exports".into(),
        watching: Watching::Notified,
        is_cut_off: false,
        rows: rows.into_iter().map(row).collect(),
        order_findings: Vec::new().into(),
        totals: Totals::default(),
        work: WorkProgress::default(),
        judging: Default::default(),
        newest: None,
        notice: None,
    };
    let mut view = ViewState::default();
    view.update(&snapshot);
    let seen = timed(|| {
        for picture in &pictures {
            snapshot.newest = Some(picture.key.clone());
            view.update(&snapshot);
        }
    });
    vec![seen.1]
}

fn rest() -> Arc<Brief> {
    parsed("[[print]]\nsize = \"8 x 10 in\"")
}

fn prints(count: usize, picture: impl Fn(usize) -> String) -> Arc<Brief> {
    let print =
        |at: usize| format!("[[print]]\nname = \"n{at}\"\nsize = \"8 x 10 in\"\npictures = \"{}\"\n", picture(at));
    parsed(&(0..count).map(print).collect::<String>())
}

fn parsed(text: &str) -> Arc<Brief> {
    brief::parse(text, "scale.toml".as_ref(), None, &configurable_ids()).expect("a sound brief").into()
}

/// Bits that no two numbers have alike. Source: the finaliser of SplitMix64, public domain.
fn fingerprint(number: usize) -> u64 {
    let mixed = (number as u64 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let mixed = (mixed ^ mixed >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ mixed >> 31
}

/// So many sound pictures, with what each looks like.
fn pictures(count: usize, look: impl Fn(usize) -> u64) -> Vec<Submission> {
    let one = |at: usize| Submission {
        key: PictureKey::from_text(&format!("x{at:05}.jpg")),
        name_is_utf8: true,
        bytes: 1_000_000,
        modified_ns: at as i128,
        header: HeaderState::Read(Arc::new(facts(at))),
        pixels: Pixels::Read(Arc::new(EvidenceHandle::in_memory(evidence(at, look(at))))),
        subjects: Arc::default(),
        acceptances: Arc::default(),
        test_print_remarks: Arc::default(),
    };
    (0..count).map(one).collect()
}

fn facts(at: usize) -> Facts {
    let profile = ProfileFacts {
        description: "sRGB".to_owned(),
        class: ProfileClass::Display,
        space: ProfileSpace::Rgb,
        bytes: 3144,
        known_as: Some(Encoding::Srgb),
        sha256: "srgb".to_owned(),
        grid: None,
    };
    let jpeg = JpegFacts {
        quality: 95,
        is_exact: true,
        subsampling: "4:4:4".to_owned(),
        is_progressive: false,
        adobe_transform: None,
        stray_bytes: 0,
    };
    Facts {
        compression: Compression::Jpeg,
        width_px: 2400,
        height_px: 3000,
        profile: EmbeddedProfile::Embedded(profile),
        jpeg: Some(jpeg),
        taken: CaptureTime::from_iso(&format!("2026-11-02T{:02}:{:02}:{:02}", at / 3600 % 24, at / 60 % 60, at % 60)),
        ..Facts::unknown(Format::Jpeg, 1_000_000)
    }
}

fn evidence(at: usize, fingerprint: u64) -> Evidence {
    Evidence {
        sha256: format!("{at:064x}"),
        pixel_digest: format!("{at:064x}"),
        alpha_hides: None,
        thumbnail: Arc::new(Thumbnail { width_px: 1, height_px: 1, model: ColourModel::Rgb, samples: vec![0; 3] }),
        tone: None,
        clipped: Clipped::default(),
        field_tones: Grid::default(),
        colours: Vec::new(),
        most_saturated: Grid::default(),
        counted_in: None,
        as_srgb: None,
        ink: None,
        detail: Detail::default(),
        lost_rows: 0,
        appearance: Appearance {
            difference_hash: fingerprint.rotate_left(17),
            frequency_hash: fingerprint,
            small: Grid { across: 1, down: 1, fields: vec![0] },
            ..Appearance::default()
        },
    }
}
