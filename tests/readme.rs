//! The README against the code: its tables say what there is.

use std::fs;
use std::path::Path;

use plateside::report::explain;
use plateside::tui::keys;
use plateside::tui::keys::{Context, HelpTopic};
use plateside::tui::picture::views::VIEWS;

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

/// The keys of the screen with what they do, as a page of the handbook has them.
fn of_handbook(page: &str) -> Vec<(String, String)> {
    let lines = explain::page(page).unwrap();
    let entries = lines.iter().filter(|line| line.spans.len() == 2);
    entries.map(|line| (line.spans[0].text.clone(), line.spans[1].text.trim_start().to_owned())).collect()
}

#[test]
fn every_key_stands_in_the_tables_and_in_the_handbook() {
    for (topic, head, page) in [
        (HelpTopic::Table, "| key | does |", "keys"),
        (HelpTopic::SubjectBox, "| key in the box | does |", "keys of the box"),
    ] {
        let keys = keys::Keys::usual().explained(topic).into_iter();
        let keys: Vec<(String, String)> = keys.map(|(names, words)| (names, words.to_owned())).collect();
        let rows: Vec<String> = keys.iter().map(|(names, words)| format!("| {names} | {words} |")).collect();
        assert_eq!(table(head), rows);
        assert_eq!(of_handbook(page), keys);
    }
}

#[test]
fn the_handbook_lists_the_views_of_the_screen() {
    let views: Vec<String> = VIEWS.iter().map(|view| view.name.to_owned()).collect();
    let listed: Vec<String> = of_handbook("views").into_iter().map(|(name, _)| name).collect();
    assert_eq!(listed, views);
}

#[test]
fn every_state_stands_in_the_table_of_states() {
    let listed: Vec<String> = of_handbook("states").into_iter().map(|(name, _)| name).collect();
    let rows = table("| state | meaning | what to do |");
    let states: Vec<&str> = rows.iter().filter_map(|row| row.split(" | ").next()?.strip_prefix("| ")).collect();
    assert_eq!(states, listed);
}

#[test]
fn every_page_of_the_handbook_that_is_named_is_there() {
    let readme = readme();
    let named = readme.split("`plateside explain ").skip(1).filter_map(|rest| rest.split('`').next());
    let pages: Vec<&str> = named.filter(|name| !name.starts_with('[') && !["RULE", "KEY"].contains(name)).collect();
    assert!(pages.len() > 4, "{pages:?}");
    for name in pages {
        assert!(explain::page(name).is_ok(), "{name}");
    }
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
