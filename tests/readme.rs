//! The README against the code: its tables say what there is.

use std::fs;
use std::path::Path;

use plateside::judge::rules;
use plateside::tui::keys;
use plateside::tui::keys::Context;

fn readme() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap()
}

/// The body of the table whose head is given.
fn table(head: &str) -> Vec<String> {
    let readme = readme();
    let mut lines = readme.lines().skip_while(|line| *line != head).skip(2);
    let rows: Vec<String> = lines.by_ref().take_while(|line| line.starts_with('|')).map(str::to_owned).collect();
    assert!(!rows.is_empty(), "README.md has no table headed {head}");
    rows
}

#[test]
fn every_rule_stands_in_the_table_with_its_rank() {
    let expected: Vec<String> =
        rules::all().map(|rule| format!("| `{}` | {} | {} |", rule.id, rule.level.word(), rule.question)).collect();
    assert_eq!(table("| rule | rank | asks |"), expected);
}

#[test]
fn every_key_stands_in_the_tables() {
    let of = |in_box| -> Vec<String> {
        keys::Keys::usual()
            .explained(in_box)
            .into_iter()
            .map(|(names, words)| format!("| {names} | {words} |"))
            .collect()
    };
    assert_eq!(table("| key | does |"), of(false));
    assert_eq!(table("| key in the box | does |"), of(true));
}

#[test]
fn the_two_commands_come_first() {
    let readme = readme();
    let blocks: Vec<&str> =
        readme.split("```sh\n").skip(1).map(|block| block.split("```").next().unwrap().trim()).collect();
    assert_eq!(blocks[..2], ["cargo run --release -- demo", "cargo test"]);
}

#[test]
fn the_screen_is_the_one_that_the_tests_draw() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/tui/tests/golden/book_100x30.snap");
    let golden = fs::read_to_string(path).unwrap();
    let drawn: Vec<&str> = golden.splitn(3, "---\n").nth(2).unwrap().lines().map(str::trim_end).collect();
    let readme = readme();
    let shown: Vec<&str> = readme.split("```text\n").nth(1).unwrap().split("\n```").next().unwrap().lines().collect();
    assert_eq!(shown, drawn);
}

/// The words of a picture's last line, which names the keys.
fn last_line(picture: &str) -> String {
    let svg = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo").join(picture)).unwrap();
    let attribute = |tag: &str, name: &str| tag.split(name).nth(1).unwrap().split('"').nth(1).unwrap().to_owned();
    let texts: Vec<(String, String)> = svg
        .split("<text ")
        .skip(1)
        .filter_map(|text| {
            let (tag, rest) = text.split_once('>')?;
            Some((attribute(tag, "y="), rest.split("</text>").next()?.to_owned()))
        })
        .collect();
    let low = |at: &(String, String)| at.0.parse::<f64>().unwrap();
    let last = texts.iter().map(low).fold(0.0, f64::max);
    let words: Vec<&str> = texts.iter().filter(|text| low(text) >= last).map(|text| text.1.as_str()).collect();
    words.join(" ")
}

#[test]
fn the_pictures_name_the_keys_that_there_are() {
    let keys = keys::Keys::usual();
    let footer = |context| -> String {
        let named: Vec<String> =
            keys.of_footer(context).map(|key| format!("{} {}", keys::name(key), key.short)).collect();
        named.join(" ")
    };
    let regenerate = "draw it again: tests/pictures/screen.rs says how";
    let live_table = last_line("live-table.svg");
    assert!(
        live_table.split(' ').count() > 10 && footer(Context::Table).starts_with(&live_table),
        "{regenerate}: {live_table}"
    );
    let handing = last_line("delivery.svg");
    let asks = [Context::Delivery, Context::DeliveryReport].map(footer);
    assert!(!handing.is_empty() && asks.iter().any(|footer| footer.starts_with(&handing)), "{regenerate}: {handing}");
}
