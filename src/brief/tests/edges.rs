//! What becomes of a print's edge, and that no margin is passed over.

use super::super::requirements::{Edge, Sides};
use super::super::*;
use super::parsed;
use crate::units::Length;

/// Returns the edge of each print, with the widest of its bleed, border and bar.
fn edges(text: &str) -> Vec<(Edge, Length)> {
    let of = |print: &Print| {
        let margins = &print.requirements.margins;
        let widest = margins.bleed.each().into_iter().chain(margins.border.each()).chain([margins.wrap]).max();
        (margins.edge, widest.unwrap())
    };
    parsed(text).unwrap_or_else(|problems| panic!("{text}\n{problems:#?}")).prints.iter().map(of).collect()
}

/// Line, what is wrong and the cure of each problem.
fn wrong(text: &str) -> Vec<String> {
    let problems = parsed(text).expect_err(text);
    problems.iter().map(|one| format!("{}: {} => {}", one.line, one.what, one.fix)).collect()
}

const PRINT: &str = "[[print]]\nname = \"a\"\nsize = \"A4\"\n";

#[test]
fn without_an_edge_the_margin_says_it() {
    let mm = Length::from_mm;
    for (line, edge, width) in [
        ("bleed = \"3 mm\"", Edge::Bleed, 3),
        ("bleed = { top = \"4 mm\" }", Edge::Bleed, 4),
        ("includes_bleed = false", Edge::Bleed, 3),
        ("border = \"12 mm\"", Edge::Border, 12),
        ("wrap = \"20 mm\"", Edge::Wrap, 20),
        // No bleed is no wish for one.
        ("bleed = \"0 mm\"", Edge::Borderless, 0),
        ("bleed = { top = \"0 mm\" }", Edge::Borderless, 0),
    ] {
        assert_eq!(edges(&format!("[margins]\n{line}\n{PRINT}")), [(edge, mm(width))], "{line}");
        assert_eq!(edges(&format!("{PRINT}[print.margins]\n{line}\n")), [(edge, mm(width))], "{line}");
    }
    let brief = parsed(&format!("[margins]\nbleed = \"3 mm\"\n{PRINT}")).unwrap();
    assert_eq!((brief.requirements.margins.edge, brief.origins.of("margins.edge")), (Edge::Bleed, Origin::Brief(2)));
    assert_eq!(brief.prints[0].origins.of("margins.edge"), Origin::Brief(2));
    assert!(questions::questions(&brief).iter().all(|question| question.key != "margins.edge"));
}

#[test]
fn a_print_goes_before_its_brief() {
    let mm = Length::from_mm;
    let own = format!("[margins]\nbleed = \"3 mm\"\n{PRINT}{PRINT}[print.margins]\nborder = \"12 mm\"\n");
    assert_eq!(edges(&own), [(Edge::Bleed, mm(3)), (Edge::Border, mm(12))]);
    let borderless = own.replace("border = \"12 mm\"", "edge = \"borderless\"");
    assert_eq!(edges(&borderless), [(Edge::Bleed, mm(3)), (Edge::Borderless, mm(0))]);
    let wall = &parsed(&borderless).unwrap().prints[1];
    assert_eq!(
        (wall.requirements.margins.bleed, wall.origins.of("margins.bleed")),
        (Sides::default(), Origin::Process)
    );
    // What the brief keeps ready for one print is no mistake.
    let ready = format!(
        "[margins]\nedge = \"borderless\"\nbleed = \"3 mm\"\n{PRINT}{PRINT}[print.margins]\nedge = \"bleed\"\n"
    );
    assert_eq!(edges(&ready), [(Edge::Borderless, mm(0)), (Edge::Bleed, mm(3))]);
}

#[test]
fn a_margin_that_the_edge_does_not_use_is_refused() {
    assert_eq!(
        wrong(&format!("[margins]\nedge = \"borderless\"\nbleed = \"3 mm\"\n{PRINT}")),
        ["3: bleed belongs to edge = \"bleed\", and no print has that edge => write edge = \"bleed\" in the \
          prints that have it, or take bleed out"]
    );
    assert_eq!(
        wrong(&format!("[margins]\nedge = \"bleed\"\n{PRINT}[print.margins]\nborder = \"1 in\"\n")),
        ["7: border belongs to edge = \"border\", but the edge is \"bleed\" (brief, line 2), for the print \"a\" => \
             write edge = \"border\" here, or take border out"]
    );
    assert_eq!(
        wrong(&format!("{PRINT}[print.margins]\nedge = \"border\"\nwrap = \"38 mm\"\n")),
        ["6: wrap belongs to edge = \"wrap\", but the edge is \"border\" (print, line 5), for the print \"a\" => \
             write edge = \"wrap\" here, or take wrap out"]
    );
    let two = "bleed belongs to edge = \"bleed\"";
    assert_eq!(
        wrong(&format!("[margins]\nborder = \"1 in\"\nwrap = \"38 mm\"\n{PRINT}")),
        ["3: wrap belongs to edge = \"wrap\", border to edge = \"border\" (brief, line 2), for the print \"a\" => \
             keep one of the two, wrap or border; write what only some prints have in those prints"]
    );
    let all_others = format!("[margins]\nbleed = \"3 mm\"\n{PRINT}[print.margins]\nborder = \"12 mm\"\n");
    assert!(wrong(&all_others)[0].starts_with(&format!("2: {two}, and no print has that edge")));
    // A brief that has yet to get its prints may have their margins.
    let without = wrong("[margins]\nedge = \"borderless\"\nbleed = \"3 mm\"\n");
    assert!(without.len() == 1 && without[0].contains("print") && !without[0].contains("belongs"), "{without:?}");
    // One line is said to be wrong once, however many prints it spoils.
    assert_eq!(wrong(&format!("[margins]\nborder = \"1 in\"\nbleed = \"3 mm\"\n{PRINT}{PRINT}")).len(), 1);
}

#[test]
fn prints_of_a_picture_list_have_the_briefs_edge() {
    let list = "page,name,picture,size\n12,plum tart,p012*,A4\n13,broth,p013*,A4\n";
    let read = |margins: &str| {
        let text = format!("prints = \"pictures.csv\"\n[margins]\n{margins}\n");
        parse(&text, Path::new("a.toml"), Some((Path::new("pictures.csv"), list.as_bytes())), &[])
    };
    let bled = read("bleed = \"3 mm\"").unwrap();
    assert!(bled.prints.iter().all(|print| print.requirements.margins.edge == Edge::Bleed));
    let problems = read("edge = \"wrap\"\nbleed = \"3 mm\"").unwrap_err();
    assert_eq!((problems.len(), problems[0].line, problems[0].file.as_path()), (1, 4, Path::new("a.toml")));
}
