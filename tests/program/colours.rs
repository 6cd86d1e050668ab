//! Colour from outside: a wide picture where sRGB is asked, and the printer's own profile.

use plateside::colour::Encoding;
use serde_json::Value;

use crate::support::Job;

/// A JPEG of one strong green beside grey, with a profile.
fn green(profile: &[u8]) -> Vec<u8> {
    let samples: Vec<u8> = (0..64 * 80).flat_map(|at| if at % 64 < 16 { [0, 250, 0] } else { [128; 3] }).collect();
    let mut bytes = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, 100);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::F_1_1);
    encoder.add_icc_profile(profile).unwrap();
    encoder.encode(&samples, 64, 80, jpeg_encoder::ColorType::Rgb).unwrap();
    bytes
}

/// A JPEG in RGB that is grey throughout, from dark to light, with a profile.
fn grey(profile: &[u8]) -> Vec<u8> {
    let samples: Vec<u8> = (0..64 * 80).flat_map(|at| [(40 + at % 64 * 3) as u8; 3]).collect();
    let mut bytes = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, 100);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::F_1_1);
    encoder.add_icc_profile(profile).unwrap();
    encoder.encode(&samples, 64, 80, jpeg_encoder::ColorType::Rgb).unwrap();
    bytes
}

/// A printer that holds what an encoding holds: its profile with the class of a printer's (ICC.1:2022, section 7.2).
fn printer(encoding: Encoding) -> Vec<u8> {
    let mut bytes = encoding.icc_bytes();
    bytes[12..16].copy_from_slice(b"prtr");
    bytes
}

fn levels(row: &Value) -> Vec<(&str, &str)> {
    let findings =
        row["findings"].as_array().unwrap().iter().filter(|f| f["rule"].as_str().unwrap().starts_with("colour."));
    findings.map(|f| (f["rule"].as_str().unwrap(), f["level"].as_str().unwrap())).collect()
}

fn near(found: &Value, wanted: f64) {
    let found = found.as_f64().unwrap();
    assert!((found - wanted).abs() < 0.01, "{found}, wanted {wanted}");
}

#[test]
fn a_wide_picture_says_what_srgb_cannot_hold_and_how_muted_it_prints() {
    let job = Job::new("[[print]]\nsize = \"4 x 5 in\"");
    job.put("basil.jpg", green(&Encoding::AdobeRgb.icc_bytes()));
    let row = job.row("basil.jpg");
    let wanted = [("colour.profile", "must"), ("colour.gamut", "should"), ("colour.misread", "should")];
    assert_eq!(levels(&row), wanted);
    // A quarter of the picture is green.
    near(&row["measures"]["out_of_space"], 0.25);
    assert_eq!(row["measures"]["out_of_paper"], Value::Null);
    job.check("").ends(1).says(&["sRGB cannot hold 25 % of the picture: light greens"]);
    job.put("basil.jpg", green(&Encoding::Srgb.icc_bytes()));
    let reason = "whether the paper holds its colours (the brief names no paper profile)";
    job.check("").says(&[&format!("Not checked for any picture: {reason}")]);
}

#[test]
fn the_printers_profile_says_what_the_paper_holds() {
    let job =
        Job::new("[paper]\nprofile = \"press.icc\"\n[colour]\nspace = \"adobe rgb\"\n[[print]]\nsize = \"4 x 5 in\"");
    std::fs::write(job.path("press.icc"), printer(Encoding::Srgb)).unwrap();
    job.put("basil.jpg", green(&Encoding::AdobeRgb.icc_bytes()));
    let row = job.row("basil.jpg");
    assert_eq!(levels(&row), [("colour.gamut", "note")]);
    near(&row["measures"]["out_of_paper"], 0.25);
    near(&row["measures"]["out_of_space"], 0.0);
    assert!(!job.check("").out.contains("Not checked for any picture"));
}

#[test]
fn a_profile_that_is_no_printers_is_said_with_its_remedy() {
    let job = Job::new("[paper]\nprofile = \"press.icc\"\n[colour]\nspace = \"paper\"\n[[print]]\nsize = \"4 x 5 in\"");
    std::fs::write(job.path("press.icc"), Encoding::Srgb.icc_bytes()).unwrap();
    job.put("basil.jpg", green(&Encoding::AdobeRgb.icc_bytes()));
    job.check("").says(&["class display, not of class output", "ask the printer for the output profile"]);
    std::fs::write(job.path("press.icc"), printer(Encoding::AdobeRgb)).unwrap();
    let row = job.row("basil.jpg");
    let tolerated = row["within_tolerance"][0]["found"].as_str().unwrap();
    let words = "the profile is Adobe RGB (1998), though not byte for byte the printer's";
    assert!(tolerated.starts_with(words), "{tolerated}");
    job.put("basil.jpg", green(&printer(Encoding::AdobeRgb)));
    assert_eq!(levels(&job.row("basil.jpg")), []);
    std::fs::write(job.path("press.icc"), printer(Encoding::Srgb)).unwrap();
    job.check("").ends(1).says(&["the printer's own (sRGB) required"]);
}

/// The texts of a list.
fn texts(list: &Value) -> Vec<String> {
    list.as_array().unwrap().iter().map(|text| text.as_str().unwrap().to_owned()).collect()
}

#[test]
fn grey_that_is_stored_as_rgb_is_said_to_lose_nothing() {
    let fixes = |space: &str, picture: Vec<u8>| {
        let job = Job::new(&format!("[colour]\nspace = \"{space}\"\n[[print]]\nsize = \"4 x 5 in\""));
        job.put("one.jpg", picture);
        let row = job.row("one.jpg");
        let of_colour = row["findings"].as_array().unwrap().iter().filter(|one| {
            one["rule"].as_str().is_some_and(|rule| rule.starts_with("colour.") && one["level"] != "note")
        });
        of_colour.flat_map(|one| texts(&one["fix"])).collect::<Vec<String>>()
    };
    let lost = "export the original again in greyscale";
    let to_grey = fixes("grey", grey(&Encoding::Srgb.icc_bytes()));
    assert_eq!(to_grey, ["convert this file to greyscale without loss (it is grey throughout)"]);
    assert!(fixes("grey", green(&Encoding::Srgb.icc_bytes()))[0] == lost);
    let to_srgb = fixes("srgb", grey(&Encoding::AdobeRgb.icc_bytes()));
    assert!(to_srgb.len() == 1 && to_srgb[0].contains("sRGB without loss (it is grey throughout)"), "{to_srgb:?}");
}
