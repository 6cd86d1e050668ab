//! The demo paints pictures of which it knows what is wrong; the check must find that, in its size, and nothing else.

use std::path::Path;
use std::process::Command;

use plateside::demo::{Known, Truth, known};
use serde_json::Value;

/// Groups of rules that look at pixels.
const PIXELS: [&str; 4] = ["tone.", "margins.", "detail.", "set.outlier"];

fn plateside(words: &[&str]) -> Vec<u8> {
    let done = Command::new(env!("CARGO_BIN_EXE_plateside")).args(words).output().unwrap();
    assert!(matches!(done.status.code(), Some(0 | 1)), "{}", String::from_utf8_lossy(&done.stderr));
    done.stdout
}

/// The rows of a check of the demo, painted anew into a folder.
fn rows(into: &Path) -> Vec<Value> {
    let path = |name: &str| into.join(name).to_string_lossy().into_owned();
    plateside(&["demo", "--into", &into.to_string_lossy(), "--no-screen"]);
    let json = plateside(&["check", &path("low-water.toml"), &path("exports"), "--format", "json"]);
    let mut report: Value = serde_json::from_slice(&json).unwrap();
    std::mem::take(report["rows"].as_array_mut().unwrap())
}

/// Findings of a rule: rank and what they are about.
fn found<'a>(row: &'a Value, rule: &str) -> Vec<(&'a str, &'a str)> {
    let findings = row["findings"].as_array().unwrap().iter().filter(|finding| finding["rule"] == rule);
    findings.map(|finding| (finding["level"].as_str().unwrap(), finding["about"].as_str().unwrap())).collect()
}

/// Whether a rule found something at this rank.
fn has(row: &Value, rule: &str, level: &str) -> bool {
    found(row, rule).iter().any(|(found, _)| *found == level)
}

fn measure(row: &Value, name: &str) -> f64 {
    row["measures"][name].as_f64().unwrap_or(f64::NAN)
}

fn near(row: &Value, name: &str, wanted: f64, within: f64) {
    let found = measure(row, name);
    assert!((found - wanted).abs() <= within, "{}: {name} is {found}, made {wanted}", row["picture"]);
}

/// The rule and rank that must answer for a truth of the pixels; checks its size.
fn holds(truth: Truth, row: &Value) -> Option<(&'static str, &'static str)> {
    match truth {
        Truth::Blown { share } => {
            // Herbs cut the white into pieces, and JPEG takes its edge.
            near(row, "highlights_lost", share, 0.006);
            Some(("tone.highlights", "should"))
        }
        Truth::Sparkle { share } => {
            near(row, "highlights_lost", 0.0, 0.002);
            near(row, "specular", share, 0.35 * share);
            None
        }
        Truth::RedClipped { .. } => Some(("tone.highlights", "note")),
        Truth::Dense { .. } if row["print"] == "evening card, uncoated" => Some(("tone.shadows", "should")),
        Truth::Dense { .. } => {
            near(row, "shadows_lost", 0.0, 0.02);
            None
        }
        Truth::InTrim => Some(("margins.trim", "should")),
        Truth::InSafe => Some(("margins.safe", "should")),
        Truth::AcrossFold => Some(("margins.fold", "should")),
        Truth::Bordered { .. } => Some(("margins.frame", "note")),
        Truth::Soft { .. } => Some(("detail.focus", "should")),
        Truth::Halo { share, .. } => {
            near(row, "halo", share, 0.03);
            Some(("detail.halo", "should"))
        }
        Truth::Enlarged { factor } => {
            near(row, "enlarged", factor, 0.05);
            Some(("detail.enlarged", "should"))
        }
        Truth::Noisy { sigma_levels } => {
            near(row, "noise", sigma_levels, 0.15 * sigma_levels);
            Some(("detail.noise", "note"))
        }
        Truth::Blocks { cut_px: (0, 0), .. } => Some(("detail.blocks", "should")),
        Truth::Blocks { .. } => Some(("detail.blocks", "note")),
        Truth::NextFrame { .. } => Some(("set.duplicate", "note")),
        Truth::Cast { .. } => Some(("set.outlier", "should")),
        Truth::WithoutBleed => Some(("margins.bleed", "should")),
        Truth::Sound | Truth::InTheFile | Truth::Density { .. } | Truth::Cropped { .. } | Truth::Quality { .. } => None,
    }
}

/// A starter with its prints replaced by one that takes every picture, of the first print's size.
fn for_all(starter: &str) -> String {
    let mut brief: toml::Table = starter.parse().unwrap();
    let first = brief["print"].as_array().unwrap()[0].as_table().unwrap();
    let mut print = toml::Table::new();
    print.insert("name".to_owned(), "all".into());
    print.insert("pictures".to_owned(), "*".into());
    print.insert("size".to_owned(), first["size"].clone());
    brief.insert("print".to_owned(), toml::Value::Array(vec![print.into()]));
    brief.to_string()
}

/// A starter must be livable: of sound pictures at most one in ten leaves PASS by what its pixels say. Their size and
/// shape are others' than the starter's, so that only the rules about pixels are counted.
fn sound_pictures_live_with_every_starter(exports: &Path, room: &Path) {
    let sound = room.join("sound");
    std::fs::create_dir_all(&sound).unwrap();
    let names: Vec<&str> = known().iter().filter(|known| known.truth == Truth::Sound).map(|known| known.name).collect();
    assert!(names.len() >= 10, "only {} sound pictures", names.len());
    for name in &names {
        std::fs::copy(exports.join(name), sound.join(name)).unwrap();
    }
    for starter in std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/briefs")).unwrap() {
        let starter = starter.unwrap().path();
        let brief = room.join("starter.toml");
        std::fs::write(&brief, for_all(&std::fs::read_to_string(&starter).unwrap())).unwrap();
        let json = plateside(&["check", &brief.to_string_lossy(), &sound.to_string_lossy(), "--format", "json"]);
        let report: Value = serde_json::from_slice(&json).unwrap();
        let blamed = |row: &&Value| {
            row["findings"].as_array().unwrap().iter().any(|finding| {
                let rule = finding["rule"].as_str().unwrap();
                finding["level"] != "note"
                    && rule != "margins.bleed"
                    && PIXELS.iter().any(|group| rule.starts_with(group))
            })
        };
        let blamed: Vec<&Value> = report["rows"].as_array().unwrap().iter().filter(blamed).collect();
        assert!(blamed.len() * 10 <= names.len(), "{}: {:#}", starter.display(), blamed[0]);
    }
}

#[test]
fn the_check_finds_what_the_painter_made_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let rows = rows(folder.path());
    for Known { name, truth, .. } in known() {
        let mut of_picture = rows.iter().filter(|row| row["picture"] == name).peekable();
        assert!(of_picture.peek().is_some(), "{name} has no row");
        for row in of_picture {
            let wanted = holds(truth, row);
            if let Some((rule, level)) = wanted {
                assert!(has(row, rule, level), "{name}: no {level} of {rule}: {:#}", row["findings"]);
            }
            let findings = row["findings"].as_array().unwrap();
            for finding in findings.iter().filter(|finding| finding["level"] != "note") {
                let rule = finding["rule"].as_str().unwrap();
                let of_pixels = PIXELS.iter().any(|group| rule.starts_with(group));
                assert!(!of_pixels || wanted == Some((rule, "should")), "{name}: {finding:#}");
            }
            if truth == Truth::Sound {
                assert_eq!(row["state"], "PASS", "{name}: {findings:#?}");
            }
        }
    }
    sound_pictures_live_with_every_starter(&folder.path().join("exports"), folder.path());
}
