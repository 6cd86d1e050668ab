//! What comes from where: starter, printer's sheets, brief, named papers, prints; and sheets that cannot be used.

use std::fs;
use std::path::{Path, PathBuf};

use crate::brief::requirements::{Edge, Level, Stock, Surface};
use crate::brief::sheet::SheetText;
use crate::brief::{Brief, Origin, Problem, parse_all, questions, read};
use crate::units::{Length, Ppi, Share};

const PRINT: &str = "[[print]]\nsize = \"210 x 260 mm\"\n";

/// Returns a brief with a printer's sheet.
fn with_sheet(brief: &str, sheet: &str) -> Result<Brief, Vec<Problem>> {
    let sheet = SheetText { path: PathBuf::from("jobs/corrow-lane.toml"), text: sheet.to_owned() };
    let text = format!("sheet = \"corrow-lane.toml\"\n{brief}");
    parse_all(&text, Path::new("jobs/a.toml"), None, &[sheet], super::RULES)
}

fn alone(brief: &str) -> Brief {
    super::parsed(brief).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

#[test]
fn a_starters_values_are_usual_and_stay_open_questions() {
    let brief = alone(&format!("like = \"cookbook-coated\"\n[margins]\nbleed = \"5 mm\"\n{PRINT}"));
    let print = &brief.prints[0];
    assert_eq!((print.requirements.paper.stock, print.requirements.density.minimum), (Stock::Coated, Ppi::whole(240)));
    assert_eq!(print.origins.of("paper.stock"), Origin::Starter("cookbook-coated"));
    assert_eq!(print.origins.of("margins.bleed"), Origin::Brief(3));
    let asked = questions::questions(&brief);
    let is_asked = |key: &str| asked.iter().find(|question| question.key == key);
    assert_eq!(is_asked("paper.dmax").map(|question| question.assumed.as_str()), Some("Dmax 1.9"));
    assert!(is_asked("margins.safe").is_some() && is_asked("margins.bleed").is_none());
    assert_eq!(
        (brief.like, print.origins.of("paper.stock").words().as_str()),
        (Some("cookbook-coated"), "usual: starter cookbook-coated")
    );
    assert_eq!(brief.prints.len(), 1, "its prints and sizes are examples");
}

#[test]
fn every_layer_comes_before_the_one_below() {
    let text = "like = \"cookbook-coated\"\npaper = \"body\"\n[file]\njpeg_quality = 95\n[papers.body]\n\
                stock = \"uncoated\"\n[[print]]\nsize = \"A4\"\n[print.file]\nformats = \"png\"\n";
    let sheet = "printer = \"Corrow Lane Press\"\n[file]\nformats = \"tiff\"\njpeg_quality = 80\ndepth = 16\n\
                 [answered]\n\"file.depth\" = 2026-11-30\n";
    let brief = with_sheet(text, sheet).unwrap();
    let of = |key: &str| brief.prints[0].origins.of(key);
    assert_eq!(of("file.credit"), Origin::Starter("cookbook-coated"));
    assert_eq!(of("file.depth"), Origin::Sheet("corrow-lane.toml".into(), 5));
    assert_eq!((of("file.jpeg_quality"), of("file.formats")), (Origin::Brief(5), Origin::Print(11)));
    assert_eq!(of("paper.stock").place(), "paper body, line 7");
    assert_eq!(of("file.depth").words(), "required: printer's sheet corrow-lane.toml, line 5");
    assert_eq!(brief.answered_on("file.depth", &of("file.depth")), Some("2026-11-30"));
    assert_eq!(brief.answered_on("file.depth", &Origin::Brief(5)), None, "the day is the sheet's answer's");
    assert_eq!(brief.printer.as_deref(), Some("Corrow Lane Press"));
    assert_eq!(brief.origins.of("paper.stock"), of("paper.stock"), "the order is on that paper too");
}

#[test]
fn a_paper_by_name_starts_from_its_own_stock() {
    let text = "[paper]\nstock = \"coated\"\nsurface = \"gloss\"\ndmax = 1.9\n[papers.cover]\nstock = \"coated\"\n\
                surface = \"matte\"\n[papers.wall]\nsurface = \"lustre\"\n\
                [[print]]\npaper = \"cover\"\nsize = \"A4\"\n[[print]]\npaper = \"wall\"\n\
                size = \"A4\"\n[[print]]\nsize = \"A4\"\n";
    let brief = alone(text);
    let paper = |at: usize| &brief.prints[at].requirements.paper;
    assert_eq!((paper(0).surface, brief.prints[0].origins.of("paper.dmax")), (Surface::Matte, Origin::Paper));
    assert_eq!((paper(1).stock, paper(1).surface, paper(1).dmax), (Stock::Coated, Surface::Lustre, 1.9));
    assert_eq!((paper(2).surface, brief.prints[2].paper.as_deref()), (Surface::Gloss, None));
    assert_eq!(brief.prints[0].paper.as_deref(), Some("cover"));
}

#[test]
fn what_was_said_of_another_paper_or_density_does_not_hold() {
    let sheet = "[paper]\nstock = \"coated\"\ndmax = 1.8\n[density]\ntarget = \"300 ppi\"\nminimum = \"250 ppi\"\n";
    let same = with_sheet(&format!("[paper]\nstock = \"coated\"\n{PRINT}"), sheet).unwrap();
    assert_eq!((same.requirements.paper.dmax, same.requirements.density.minimum), (1.8, Ppi::whole(250)));
    let other = with_sheet(&format!("[paper]\nstock = \"cotton\"\n[density]\ntarget = \"200 ppi\"\n{PRINT}"), sheet);
    let other = other.unwrap();
    assert_eq!(other.origins.of("paper.dmax"), Origin::Paper);
    assert_eq!(other.requirements.density.minimum, Ppi::whole(120));
    let target = with_sheet(&format!("[density]\ntarget = \"280 ppi\"\n{PRINT}"), sheet).unwrap();
    assert_eq!(target.requirements.density.minimum, Ppi::whole(250), "the printer still refuses less");
    let finish = with_sheet(&format!("like = \"cookbook-coated\"\n{PRINT}"), "[paper]\nsurface = \"matte\"\n").unwrap();
    assert_eq!(finish.origins.of("paper.dmax"), Origin::Paper, "the starter's is that of a gloss paper");
    assert_eq!(finish.requirements.paper.ink_limit, Some(Share::percent(320)));
    let ruling = with_sheet(&format!("like = \"cookbook-coated\"\n{PRINT}"), "[density]\nruling = \"120 lpi\"\n");
    assert_eq!(ruling.unwrap().requirements.density.target, Ppi::whole(240));
}

#[test]
fn a_starter_or_a_sheet_may_have_margins_of_another_edge() {
    let edge = |brief: &str, sheet: &str| {
        let brief = with_sheet(&format!("{brief}\n{PRINT}"), sheet).unwrap_or_else(|problems| panic!("{problems:#?}"));
        brief.prints[0].requirements.margins.clone()
    };
    let bleed = "[margins]\nbleed = \"4 mm\"\n";
    assert_eq!(edge("", bleed).bleed.top, Length::from_mm(4));
    assert_eq!(edge("[margins]\nedge = \"borderless\"", bleed).edge, Edge::Borderless);
    assert_eq!(edge("[margins]\nborder = \"20 mm\"", bleed).edge, Edge::Border);
    assert_eq!(edge("[margins]\nborder = \"20 mm\"", "[margins]\nedge = \"bleed\"\n").edge, Edge::Border);
    assert_eq!(edge("like = \"cookbook-coated\"\n[margins]\nwrap = \"40 mm\"", "").edge, Edge::Wrap);
    let print = "[[print]]\nsize = \"A3\"\n[print.margins]\nborder = \"20 mm\"\n";
    let of_print = alone(&format!("like = \"cookbook-coated\"\n{print}"));
    assert_eq!(of_print.prints[0].requirements.margins.edge, Edge::Border, "nobody has said the starter's edge");
    let against = with_sheet(print, "[margins]\nedge = \"bleed\"\n").unwrap_err();
    assert!(against[0].what.contains("printer's sheet corrow-lane.toml, line 2"), "{against:#?}");
}

#[test]
fn names_and_levels_of_a_sheet_count_until_the_brief_has_its_own() {
    let sheet = "[sizes]\nsquare = \"210 x 210 mm\"\nfull = \"A4\"\n[file]\nname = \"lower case\"\n\
                 [rules]\n\"tone.shadows\" = \"note\"\n";
    let text = "[sizes]\nfull = \"A5\"\n[file]\nname_pattern = \"p[0-9]+\"\n\
                [[print]]\nsize = \"square\"\n[[print]]\nsize = \"full\"\n";
    let brief = with_sheet(text, sheet).unwrap();
    let sizes: Vec<String> = brief.prints.iter().map(|print| print.size.show()).collect();
    assert_eq!(sizes, ["210 x 210 mm", "148 x 210 mm"]);
    assert_eq!(brief.requirements.file.name.pattern.as_deref(), Some("p[0-9]+"));
    assert_eq!(brief.requirements.levels["tone.shadows"], Level::Note);
}

#[test]
fn what_belongs_to_one_order_is_refused_in_a_sheet() {
    let sheet =
        "due = 2026-12-18\nprints = \"a.csv\"\n[answered]\n\"paper.dmux\" = 2026-11-30\n[[print]]\nsize = \"A4\"\n";
    let problems = with_sheet(PRINT, sheet).unwrap_err();
    let said: Vec<(usize, &str, &str)> =
        problems.iter().map(|one| (one.line, one.what.as_str(), one.fix.as_str())).collect();
    let prints = "a printer's sheet has no prints: it serves all your orders with this printer";
    let to_move = "move the prints to the brief that names this sheet";
    let due = "due belongs to one order, and this sheet serves all of them";
    assert_eq!(
        said,
        [
            (1, due, "move the line to the brief that names this sheet: due = 2026-12-18"),
            (2, prints, to_move),
            (4, "there is no key \"paper.dmux\"", "\"paper.dmax\" = 2026-11-30"),
            (5, prints, to_move),
        ]
    );
    assert!(problems.iter().all(|problem| problem.file == Path::new("jobs/corrow-lane.toml")));
}

/// Writes files and reads the first as a brief.
fn read_of(files: &[(&str, &str)]) -> (tempfile::TempDir, Result<Brief, Vec<Problem>>) {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let read = read(&folder.path().join(files[0].0), super::RULES);
    (folder, read)
}

#[test]
fn a_sheet_may_name_another_and_its_paths_are_its_own() {
    let (folder, read) = read_of(&[
        ("a.toml", "sheet = \"printers/digital.toml\"\n[[print]]\nsize = \"A4\"\n"),
        ("printers/digital.toml", "sheet = \"house.toml\"\n[paper]\nstock = \"coated\"\n"),
        ("printers/house.toml", "contact = \"Ines Falk\"\n[paper]\nprofile = \"icc/press.icc\"\n"),
    ]);
    let brief = read.unwrap_or_else(|problems| panic!("{problems:#?}"));
    assert_eq!(brief.contact.as_deref(), Some("Ines Falk"));
    assert_eq!(brief.requirements.paper.profile, Some(folder.path().join("printers/icc/press.icc")));
    assert!(brief.findings[0].problem.file.ends_with("house.toml") && brief.findings[0].problem.line == 3);
    assert_eq!(brief.sheets.len(), 2);
}

#[test]
fn a_circle_of_sheets_and_one_that_is_not_there_are_said_where_they_are_named() {
    let said = |files: &[(&str, &str)]| {
        let (_folder, read) = read_of(files);
        let problems = read.unwrap_err();
        assert_eq!(problems.len(), 1, "{problems:#?}");
        let file = problems[0].file.file_name().unwrap().to_string_lossy().into_owned();
        (file, problems[0].line, problems[0].what.clone())
    };
    let brief = "sheet = \"b.toml\"\n[[print]]\nsize = \"A4\"\n";
    let (file, line, what) = said(&[("a.toml", brief)]);
    assert_eq!((file.as_str(), line), ("a.toml", 1));
    assert!(what.starts_with("there is no printer's sheet \"b.toml\", neither beside this file nor in"), "{what}");
    let (file, line, what) = said(&[("a.toml", brief), ("b.toml", "printer = \"x\"\nsheet = \"c.toml\"\n")]);
    assert_eq!((file.as_str(), line), ("b.toml", 2));
    assert!(what.starts_with("there is no printer's sheet \"c.toml\""), "{what}");
    let circles: [&[(&str, &str)]; 3] = [
        &[("a.toml", "sheet = \"a.toml\"\n[[print]]\nsize = \"A4\"\n")],
        &[("a.toml", brief), ("b.toml", "sheet = \"a.toml\"\n")],
        &[("a.toml", brief), ("b.toml", "sheet = \"c.toml\"\n"), ("c.toml", "sheet = \"./b.toml\"\n")],
    ];
    for files in circles {
        let (file, _, what) = said(files);
        assert_eq!(file, files.last().unwrap().0);
        assert!(what.contains("was read before"), "{what}");
    }
}

#[test]
fn a_paper_that_nobody_describes_is_answered_once() {
    let said = |paper: &str| {
        let text = format!("[papers.body]\nstock = \"coated\"\n[[print]]\nsize = \"A4\"\npaper = \"{paper}\"\n");
        let problems = super::parsed(&text).unwrap_err();
        assert_eq!((problems.len(), problems[0].line), (1, 5), "{problems:#?}");
        problems[0].fix.clone()
    };
    assert_eq!(said("bodi"), "paper = \"body\"");
    assert_eq!(said("glossy"), "write it below [paper], or [print.paper] for one print: surface = \"gloss\"");
    assert_eq!(said("endpapers"), "describe it: [papers.endpapers], and below it, for example, stock = \"coated\"");
    let wrong = super::parsed("[papers.body]\nstok = \"coated\"\n[[print]]\nsize = \"A4\"\n").unwrap_err();
    assert_eq!(wrong[0].what, "[papers.body] has no key \"stok\"");
    let order = super::parsed("paper = \"body\"\n[[print]]\nsize = \"A4\"\n").unwrap_err();
    assert_eq!((order.len(), order[0].line), (1, 1));
}

#[test]
fn a_named_paper_of_the_sheet_s_stock_keeps_its_answers_and_one_of_another_stock_does_not() {
    let sheet = "[paper]\nstock = \"coated\"\nsurface = \"gloss\"\nprocess = \"offset\"\ndmax = 1.75\n";
    let dmax = |stock: &str| {
        let text = format!(
            "[papers.body]\nstock = \"{stock}\"\nsurface = \"gloss\"\n[[print]]\nsize = \"A4\"\npaper = \"body\"\n"
        );
        with_sheet(&text, sheet).unwrap().prints[0].requirements.paper.dmax
    };
    assert_eq!(dmax("coated"), 1.75);
    assert_ne!(dmax("uncoated"), 1.75);
}

#[test]
fn a_version_with_a_target_of_its_own_keeps_the_minimum_that_the_printer_has_said() {
    let sheet = "[density]\ntarget = \"300 ppi\"\nminimum = \"280 ppi\"\n";
    let text = "[[version]]\nname = \"a\"\nfolder = \"a\"\ndensity.target = \"290 ppi\"\n\
                [[version]]\nname = \"b\"\nfolder = \"b\"\n[[print]]\nsize = \"A4\"\n";
    let brief = with_sheet(text, sheet).unwrap();
    let minima: Vec<Ppi> = brief.prints.iter().map(|print| print.requirements.density.minimum).collect();
    assert_eq!(minima, [Ppi::whole(280), Ppi::whole(280)]);
}
