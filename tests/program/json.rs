//! The JSON of `check`: every promised key is there, with its type. DESIGN's example is written out as a shape.

use serde_json::{Value, json};

use crate::support::{Job, SMALL, SMALL_PX, jpeg};

/// The shape of a whole check: a word names a type; `?` allows null; a list's one element is the shape of each.
fn shape() -> Value {
    let finding = json!({
        "rule": "text", "about": "text", "pictures": ["text"], "level": "text", "measured": "number?",
        "required": "number?", "unit": "text?", "found": "text", "fix": ["text"], "why": "text", "accepted": "object?"
    });
    json!({
        "plateside": "number", "version": "text", "made": "text", "folder": "text",
        "brief": { "path": "text", "sha256": "text", "title": "text?", "printer": "text?", "from": "text?", "findings": [finding] },
        "order_findings": [finding],
        "rows": [{
            "picture": "text?", "print": "text?", "state": "text", "sha256": "text?", "geometry": "object?",
            "facts": "object?", "measures": measures(), "findings": [finding], "passed": ["text"],
            "not_checked": [{ "rule": "text", "reason": "text" }], "subject": "object?"
        }],
        "totals": { "pass": "number", "warn": "number", "fix": "number", "missing": "number", "extra": "number",
                    "accepted": "number" }
    })
}

fn measures() -> Value {
    let keys = [
        "effective_ppi",
        "crop_lost",
        "highlights_lost",
        "specular",
        "shadows_lost",
        "halo",
        "halo_mm",
        "edge_mm",
        "enlarged",
        "noise",
        "out_of_space",
        "out_of_paper",
        "delta_e_mean",
        "delta_e_95",
        "delta_e_largest",
        "paper_delta_e_mean",
        "paper_delta_e_95",
        "paper_delta_e_largest",
        "ink_max",
        "importance_in_trim",
        "importance_in_safe",
    ];
    keys.into_iter().map(|key| (key.to_owned(), json!("number?"))).collect::<serde_json::Map<_, _>>().into()
}

fn geometry() -> Value {
    json!({ "size_mm": ["number"], "bleed_mm": ["number"], "needed_px": ["number"], "rotated": "yes or no",
            "copies": "number", "page": "number?", "crop_lost_sides": "list?" })
}

fn facts() -> Value {
    json!({ "format": "text", "compression": "text", "width_px": "number", "height_px": "number", "model": "text",
            "bits": "number", "alpha": "yes or no", "pages": "number", "orientation": "number", "tag_ppi": "list?",
            "bytes": "number", "profile": "object?", "exif_colour_space": "number?", "jpeg": "object?",
            "creator": "text?", "copyright": "text?", "caption": "text?", "location": "yes or no?", "taken": "text?" })
}

/// Fails unless the value has the shape; more keys than the shape's are allowed.
#[track_caller]
fn fits(value: &Value, shape: &Value, place: &str) {
    match shape {
        Value::Object(keys) => {
            for (key, shape) in keys {
                let inner = value.get(key).unwrap_or_else(|| panic!("{place}.{key} is missing in {value}"));
                fits(inner, shape, &format!("{place}.{key}"));
            }
        }
        Value::Array(each) => {
            for (at, one) in value.as_array().unwrap_or_else(|| panic!("{place} is no list")).iter().enumerate() {
                fits(one, &each[0], &format!("{place}[{at}]"));
            }
        }
        other => {
            let word = other.as_str().unwrap();
            let fits = match value {
                Value::Null => word.ends_with('?'),
                Value::Bool(_) => word.starts_with("yes or no"),
                Value::Number(_) => word.starts_with("number"),
                Value::String(_) => word.starts_with("text"),
                Value::Array(_) => word.starts_with("list"),
                Value::Object(_) => word.starts_with("object"),
            };
            assert!(fits, "{place} is {value}, not {word}");
        }
    }
}

#[test]
fn the_shape_is_the_promised_one_for_every_state() {
    let job = Job::new(
        "title = \"Suppers\"\n[[print]]\nname = \"p012 tart\"\npicture = \"p012*\"\nsize = \"2 x 2.5 in\"\n\
         [[print]]\nname = \"p014 broth\"\npicture = \"p014*\"\nsize = \"2 x 2.5 in\"\n\
         [[print]]\nname = \"p016 leeks\"\npicture = \"p016*\"\nsize = \"2 x 2.5 in\"\n",
    );
    job.sound("p012-tart.jpg");
    job.put("p014-broth.jpg", jpeg((340, 425), 95));
    job.put("cover.jpg", b"");
    let check = job.json();
    fits(&check, &shape(), "check");
    let of = |state: &str| {
        let rows = check["rows"].as_array().unwrap();
        rows.iter().find(|row| row["state"] == state).unwrap_or_else(|| panic!("no {state}: {check}"))
    };
    for state in ["PASS", "FIX"] {
        fits(&of(state)["geometry"], &geometry(), state);
        fits(&of(state)["facts"], &facts(), state);
        assert_eq!(of(state)["sha256"].as_str().map(str::len), Some(64), "{state}");
    }
    fits(&of("MISSING")["geometry"], &geometry(), "MISSING");
    assert_eq!(of("MISSING")["picture"], Value::Null);
    assert_eq!((&of("EXTRA")["print"], &of("EXTRA")["geometry"]), (&Value::Null, &Value::Null));
    assert_eq!(check["totals"]["missing"], 1);
}

#[test]
fn numbers_are_those_of_the_print() {
    let job = Job::new(SMALL);
    job.put("one.jpg", jpeg(SMALL_PX, 95));
    let row = job.row("one.jpg");
    // 2 x 2.5 in = 50.8 x 63.5 mm; 600 px over 2 in = 300 ppi (arithmetic).
    assert_eq!(row["geometry"]["size_mm"], json!([50.8, 63.5]));
    assert_eq!(row["measures"]["effective_ppi"], json!(300.0));
    assert_eq!(row["facts"]["profile"]["known_as"], "srgb");
    assert_eq!(row["facts"]["jpeg"]["subsampling"], "4:4:4");
}

#[test]
fn the_time_is_rfc_3339() {
    let job = Job::new(SMALL);
    let made = job.json()["made"].as_str().unwrap().to_owned();
    assert!(made.parse::<jiff::Timestamp>().is_ok(), "{made}");
}
