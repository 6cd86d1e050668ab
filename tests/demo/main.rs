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

/// A finding of a rule at a rank.
fn finding<'a>(row: &'a Value, rule: &str, level: &str) -> Option<&'a Value> {
    let findings = row["findings"].as_array().unwrap();
    findings.iter().find(|finding| finding["rule"] == rule && finding["level"] == level)
}

/// What a finding must say for a truth of the pixels.
struct Said {
    rule: &'static str,
    level: &'static str,
    /// Which of the rule's breaches.
    about: &'static str,
    /// A part of its words.
    words: String,
    /// Its measured number, least and most.
    measured: Option<(f64, f64)>,
}

fn said(rule: &'static str, level: &'static str) -> Said {
    Said { rule, level, about: "", words: String::new(), measured: None }
}

impl Said {
    fn check(&self, name: &str, row: &Value) {
        let Some(found) = finding(row, self.rule, self.level) else {
            panic!("{name}: no {} of {}: {:#}", self.level, self.rule, row["findings"])
        };
        assert_eq!(found["about"], self.about, "{name}: {found:#}");
        assert!(found["found"].as_str().unwrap().contains(&self.words), "{name}: no \"{}\" in {found:#}", self.words);
        if let Some((least, most)) = self.measured {
            let measured = found["measured"].as_f64().unwrap_or(f64::NAN);
            assert!((least..=most).contains(&measured), "{name}: not {least} to {most}: {found:#}");
        }
    }
}

fn measure(row: &Value, name: &str) -> f64 {
    row["measures"][name].as_f64().unwrap_or(f64::NAN)
}

fn near(row: &Value, name: &str, wanted: f64, within: f64) {
    let found = measure(row, name);
    assert!((found - wanted).abs() <= within, "{}: {name} is {found}, made {wanted}", row["picture"]);
}

/// What must answer for a truth of the pixels; checks the row's own measures.
fn holds(truth: Truth, row: &Value) -> Option<Said> {
    match truth {
        Truth::Blown { share } => {
            // Herbs cut the white into pieces, JPEG takes its edge, and cells that are not white to their last pixel go.
            near(row, "highlights_lost", share, 0.008);
            Some(said("tone.highlights", "should"))
        }
        Truth::Sparkle { share } => {
            near(row, "highlights_lost", 0.0, 0.002);
            near(row, "specular", share, 0.35 * share);
            None
        }
        Truth::RedClipped { share } => {
            // JPEG takes the edges of the red areas.
            let measured = Some((share - 0.006, share + 0.002));
            Some(Said { about: "red", measured, ..said("tone.highlights", "note") })
        }
        Truth::Dense { .. } if row["print"] == "evening card, uncoated" => Some(said("tone.shadows", "should")),
        Truth::Dense { .. } => {
            // On lustre next to nothing blocks up, of the places that hold detail.
            near(row, "shadows_lost", 0.0, 0.05);
            Some(said("tone.dark", "should"))
        }
        Truth::InTrim => Some(Said { about: "left", ..said("margins.trim", "should") }),
        Truth::InSafe => Some(Said { about: "bottom", ..said("margins.safe", "should") }),
        Truth::AcrossFold => Some(Said { about: "fold 1", ..said("margins.fold", "should") }),
        Truth::Bordered { left_mm, .. } => {
            // The border's end is told to half a pixel of the small picture, 0.2 mm.
            let measured = Some((left_mm - 0.2, left_mm + 0.2));
            Some(Said { about: "top right bottom left", measured, ..said("margins.frame", "note") })
        }
        Truth::Soft { blur_px } => {
            // 2.563 standard deviations from 10 to 90 % of a blurred step, at 300 ppi, and what was soft before.
            let blurred_mm = 2.563 * blur_px * 25.4 / 300.0;
            Some(Said { measured: Some((0.75 * blurred_mm, 1.1 * blurred_mm)), ..said("detail.focus", "should") })
        }
        Truth::Halo { share, .. } => {
            near(row, "halo", share, 0.03);
            Some(said("detail.halo", "should"))
        }
        Truth::Enlarged { factor } => {
            near(row, "enlarged", factor, 0.05);
            Some(said("detail.enlarged", "should"))
        }
        Truth::Noisy { sigma_levels } => {
            near(row, "noise", sigma_levels, 0.15 * sigma_levels);
            Some(said("detail.noise", "should"))
        }
        Truth::Quality { quality: 0..=60 } | Truth::Blocks { cut_px: (0, 0), .. } => {
            Some(said("detail.blocks", "should"))
        }
        Truth::Blocks { cut_px: (left, top), .. } => {
            // Blocks of 8 px: where the next ones begin, once so many pixels were cut off.
            let words = format!("lies {} and {} pixels off", (8 - left % 8) % 8, (8 - top % 8) % 8);
            Some(Said { about: "earlier", words, ..said("detail.blocks", "should") })
        }
        Truth::NextFrame { of } => Some(Said { about: "look", words: of.to_owned(), ..said("set.duplicate", "note") }),
        Truth::Cast { red, blue } => {
            let words = if red > blue { "yellower" } else { "bluer" }.to_owned();
            Some(Said { about: "cast", words, ..said("set.outlier", "should") })
        }
        Truth::WithoutBleed => Some(said("margins.bleed", "should")),
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
            if let Some(wanted) = &wanted {
                wanted.check(name, row);
            }
            let findings = row["findings"].as_array().unwrap();
            for finding in findings.iter().filter(|finding| finding["level"] != "note") {
                let rule = finding["rule"].as_str().unwrap();
                let of_pixels = PIXELS.iter().any(|group| rule.starts_with(group));
                let expected = wanted.as_ref().is_some_and(|wanted| wanted.rule == rule && wanted.level == "should");
                // The evening is dark on any paper.
                let expected = expected || matches!(truth, Truth::Dense { .. }) && rule == "tone.dark";
                assert!(!of_pixels || expected, "{name}: {finding:#}");
            }
            if truth == Truth::Sound {
                assert_eq!(row["state"], "PASS", "{name}: {findings:#?}");
            }
        }
    }
    sound_pictures_live_with_every_starter(&folder.path().join("exports"), folder.path());
}
