//! `plateside spec`, what MISSING rows say, and what to do by cause.

use serde_json::Value;

use crate::support::{Job, SMALL_PX, jpeg, png};

/// A book of two pages and a print of every other picture, with a list's usual requirements.
const BOOK: &str = r#"
title = "Low Water Suppers"

[paper]
stock = "coated"
surface = "matte"

[file]
formats = ["jpeg", "tiff"]
jpeg_quality = 90
credit = ["creator"]

[margins]
edge = "bleed"
bleed = "3 mm"

[[print]]
name = "oyster board"
page = 40
picture = "p040*"
size = "420 x 260 mm"

[[print]]
name = "plum tart"
page = 12
picture = "p012*"
size = "210 x 260 mm"
"#;

#[test]
fn a_brief_without_a_file_says_what_to_export() {
    let job = Job::new(BOOK);
    job.run("spec brief.toml").ends(0).says(&[
        "Export preset for 2 prints",
        "format JPEG (TIFF is accepted too)",
        "quality 90 of 100 or higher",
        "metadata included, with creator filled in",
        "colour space convert to sRGB, and embed the profile (usual)",
        "resolution 300 ppi (usual)",
        "sharpening last of all, at the final pixels, for matte coated paper",
        "page 12: plum tart size 2551 x 3142 px, portrait: long side 3142 px, short side 2551 px",
        "printed 210 x 260 mm with 3 mm bleed",
        "file name p012-plum-tart.jpg",
        "page 40: oyster board size 5031 x 3142 px, landscape",
    ]);
    let csv = job.run("spec brief.toml --format csv").ends(0).out;
    assert_eq!(csv.lines().count(), 3, "{csv}");
    let json: Value = serde_json::from_str(&job.run("spec brief.toml --format json").ends(0).out).unwrap();
    assert_eq!((&json["prints"][0]["page"], &json["prints"][0]["width_px"]), (&Value::from(12), &Value::from(2551)));
    assert_eq!(json["prints"][0]["file_name"], "p012-plum-tart.jpg");
    assert_eq!((&json["presets"][0]["prints"], &json["presets"][0]["jpeg_quality"]), (&2.into(), &90.into()));
}

#[test]
fn a_brief_with_a_mistake_is_answered_with_its_place() {
    let job = Job::new("[[print]]\nsize = \"8 by 10\"\n");
    job.run("spec brief.toml").ends(2).complains(&["brief.toml:2:8: \"8 by 10\" is not a size", "fix for example"]);
}

#[test]
fn a_missing_print_says_what_to_export_in_every_report() {
    let job = Job::new(BOOK);
    job.put("p12-tart.jpg", jpeg(SMALL_PX, 95));
    let export = "export 2551 x 3142 px, sRGB, JPEG, under a name that fits \"p012*\"";
    job.check("").ends(0).says(&["p12-tart.jpg comes close to \"p012*\"", export, "plateside spec brief.toml lists"]);
    let check = job.json();
    let rows = check["rows"].as_array().unwrap();
    let missing = rows.iter().find(|row| row["print"] == "plum tart").unwrap();
    assert_eq!(missing["export"], export);
    assert!(job.check("--format csv").out.contains("export 2551 x 3142 px"));
    let page = job.check("--format html").out;
    assert!(page.contains("export 2551\u{a0}x\u{a0}3142\u{a0}px, sRGB, JPEG"), "{}", page.len());
}

#[test]
fn findings_with_one_cause_are_one_thing_to_do() {
    let job = Job::new("[file]\nformats = \"jpeg\"\ncredit = \"creator\"\n[[print]]\nsize = \"2 x 2.5 in\"\n");
    for name in ["a.jpg", "b.jpg", "c.jpg"] {
        job.sound(name);
    }
    job.put("d.png", png(SMALL_PX));
    let said = [
        "To do, by cause: what settles several findings at once must 1 picture: a PNG file [file.format] d.png",
        "should 4 pictures: no creator [file.credit] a.jpg, b.jpg, c.jpg, d.png",
        "fix one export preset fixes them all: format: JPEG metadata: included, with creator filled in",
    ];
    job.check("").ends(1).says(&said);
    let to_do = &job.json()["to_do"][0];
    assert_eq!((&to_do["level"], &to_do["pictures"], &to_do["preset"]), (&"must".into(), &4.into(), &true.into()));
    let causes = to_do["causes"].as_array().unwrap();
    let levels: Vec<_> =
        causes.iter().map(|cause| (&cause["level"], cause["pictures"].as_array().unwrap().len())).collect();
    assert_eq!(levels, [(&"must".into(), 1), (&"should".into(), 4)]);
    assert_eq!(to_do["fix"][0], "format: JPEG");
    assert!(job.check("--format html").out.contains("one export preset fixes them all"));
}
