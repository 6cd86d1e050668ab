//! The brief as a whole: what its text makes of it.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::units::{Length, Ppi};

use super::requirements::{Edge, Process, Stock, Surface};
use super::*;

mod edges;
mod groups;
mod lists;
mod order_layers;
mod trade_words;
mod versions;

const RULES: &[&str] = &["density.minimum", "density.target", "tone.shadows", "size.aspect"];

fn parsed(text: &str) -> Result<Brief, Vec<Problem>> {
    parse(text, Path::new("jobs/low-water.toml"), None, RULES)
}

#[test]
fn the_shortest_brief_is_a_lab_print() {
    let brief = parsed("[[print]]\nsize = \"8 x 10 in\"\n").unwrap();
    let print = &brief.prints[0];
    assert_eq!(print.requirements.paper.stock, Stock::PhotoPaper);
    assert_eq!(print.requirements.paper.surface, Surface::Lustre);
    assert_eq!(print.requirements.paper.process, Process::SilverHalide);
    assert_eq!(print.requirements.margins.edge, Edge::Borderless);
    assert_eq!(print.requirements.density.target, Ppi::whole(300));
    assert_eq!(print.requirements.density.minimum, Ppi::whole(180));
    assert_eq!(print.requirements.margins.bleed, requirements::Sides::default());
    assert_eq!(print.requirements.margins.safe, requirements::Sides::all(Length::from_um(6_350)));
    assert_eq!(
        (print.id.to_string().as_str(), print.name.as_str(), print.may_be_rotated),
        ("8-x-10-in", "8 x 10 in", true)
    );
}

fn long() -> Brief {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/briefs/long.toml");
    read(&path, RULES).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

#[test]
fn the_long_brief_is_read_to_its_last_key() {
    let brief = long();
    assert_eq!(brief.title.as_deref(), Some("Low Water Suppers: plates, first batch"));
    assert_eq!(brief.printer.as_deref(), Some("Corrow Lane Press"));
    assert_eq!(brief.from.as_deref(), Some("Maren Olde, maren@low-water.example"));
    assert_eq!(brief.due.as_deref(), Some("2026-12-18"));
    assert_eq!(brief.colour_correction.as_deref(), Some("none, convert only"));
    assert_eq!(
        (brief.ignore[0].as_str(), brief.includes_subfolders, brief.versions),
        ("web/*", true, model::VersionPolicy::Newest)
    );
    assert_eq!(brief.sha256.len(), 64);

    let print = &brief.prints[0];
    assert_eq!((print.id.to_string().as_str(), print.page, print.copies), ("p012-plum-tart", Some(Pages::one(12)), 1));
    assert_eq!(print.size.show(), "210 x 260 mm");
    assert!(matches!(&print.pictures, picture_patterns::PictureSelector::One(pattern) if pattern.as_str() == "p012*"));
    assert_eq!(
        (print.may_be_rotated, print.crop, print.requires_test_print, print.batch),
        (false, model::Crop::ByDesigner, true, Some(1))
    );
    assert_eq!(print.background, Some(model::Background::White));

    let required = &print.requirements;
    let paper = &required.paper;
    assert_eq!((paper.stock, paper.surface, paper.process), (Stock::Coated, Surface::Matte, Process::Offset));
    assert!(paper.profile.as_ref().unwrap().ends_with("tests/briefs/profiles/press.icc"));
    assert_eq!((paper.dmax, paper.white_l), (1.9, 94.0));
    assert_eq!(paper.ink_limit, Some(crate::units::Share::percent(300)));
    assert_eq!(required.file.formats, ["tiff", "jpeg"]);
    assert_eq!((required.file.depth.as_slice(), required.file.jpeg_quality), ([8, 16].as_slice(), 90));
    assert_eq!(required.file.largest, Some(120_000_000));
    assert_eq!(required.file.name.pattern.as_deref(), Some(r"[a-z0-9\-]+"));
    assert_eq!(required.file.credit, ["creator", "copyright"]);
    assert_eq!(required.file.location, requirements::LocationRequirement::None);
    assert_eq!(required.density.target, Ppi::whole(300));
    assert_eq!(required.density.minimum, Ppi::whole(200));
    assert_eq!(
        (required.density.basis, required.density.ruling_lpi),
        (requirements::DensityBasis::Number, Some(150.0))
    );
    assert_eq!(required.margins.folds, [Length::from_mm(105)]);
    assert_eq!(brief.prints[2].requirements.margins.border, requirements::Sides::all(Length::from_um(38_100)));
    assert_eq!(brief.prints[3].requirements.margins.wrap, Length::from_mm(20));
    assert_eq!(required.levels["density.minimum"], requirements::Level::Must);
    assert_eq!(required.levels["tone.shadows"], requirements::Level::Note);
    assert_eq!(required.levels["size.aspect"], requirements::Level::Off);
    assert!(!brief.requirements.levels.contains_key("size.aspect"));
    assert_eq!(required.delivery.rename.as_deref(), Some("{page}-{name}"));
}

#[test]
fn an_even_page_has_its_spine_on_the_right() {
    let brief = long();
    let (left_hand, right_hand) = (&brief.prints[0].requirements.margins, &brief.prints[1].requirements.margins);
    let mm = Length::from_mm;
    assert_eq!(left_hand.bleed.each(), [mm(3), Length::ZERO, mm(3), mm(3)]);
    assert_eq!(right_hand.bleed.each(), [mm(3), mm(3), mm(3), Length::ZERO]);
    assert_eq!(left_hand.safe, requirements::Sides::all(mm(5)));
}

#[test]
fn what_only_one_edge_knows_says_which_edge_is_meant() {
    let margins = |text: &str| {
        let brief = parsed(&format!("[margins]\n{text}\n[[print]]\nsize = \"16 x 20 in\"\n")).unwrap();
        brief.prints[0].requirements.margins.clone()
    };
    let inch = |count: i64| Length::from_um(25_400 * count);
    let inside = margins("fit = \"inside\"");
    assert_eq!((inside.edge, inside.border), (Edge::Border, requirements::Sides::all(inch(1))));
    let wide =
        margins("edge = \"border\"\nborder = { top = \"2 in\", right = \"2 in\", bottom = \"3 in\", left = \"2 in\" }");
    assert_eq!((wide.border.each(), wide.fit), ([inch(2), inch(2), inch(3), inch(2)], requirements::BorderFit::Fill));
    assert_eq!(margins("sides = \"plain\"").edge, Edge::Wrap);
    assert!(!margins("sides = \"plain\"").goes_round() && margins("edge = \"wrap\"").goes_round());
}

#[test]
fn every_value_says_where_it_comes_from() {
    let brief = long();
    let of = |print: usize, path: &str| brief.prints[print].origins.of(path);
    assert_eq!(of(0, "density.minimum"), Origin::Print(80));
    assert_eq!(of(1, "density.minimum"), Origin::Brief(37));
    assert_eq!(of(0, "print.size"), Origin::Print(72));
    assert_eq!(of(1, "print.copies"), Origin::Default);
    assert_eq!(of(1, "print.rotate"), Origin::Process);
    assert_eq!(of(0, "rules.size.aspect"), Origin::Print(82));
    assert_eq!(brief.origins.of("title"), Origin::Brief(1));
}

#[test]
fn the_demo_brief_is_sound() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/low-water.toml");
    let brief = read(&path, RULES).unwrap_or_else(|problems| panic!("{problems:#?}"));
    let wall = brief.prints.iter().find(|print| print.name.starts_with("wall 01")).unwrap();
    assert_eq!(wall.requirements.paper.process, Process::SilverHalide);
    assert_eq!(
        (wall.requirements.density.minimum, wall.requirements.margins.edge),
        (Ppi::whole(120), Edge::Borderless)
    );
    // The book's bleed is none of a borderless print's.
    assert_eq!(
        (wall.requirements.margins.bleed, wall.origins.of("margins.bleed").is_open()),
        (requirements::Sides::default(), true)
    );
    assert_eq!(brief.prints.iter().filter(|print| print.page.is_some()).count() + 7, brief.prints.len());
}

/// Returns a brief with the key's example in it, and the same brief without; for a print's keys and for each print's
/// own copy of a table, the line stands in the print.
fn with_and_without(key: &key::BriefKey, in_print: bool) -> (String, String) {
    let before = "[[print]]\nsize = \"210 x 260 mm\"\npage = 7\n";
    let before = match key.path {
        "print.page" => before.replace("page = 7\n", ""),
        "print.size" => before.replace("size = \"210 x 260 mm\"\n", ""),
        _ => before.to_owned(),
    };
    let line = key.line(key.example);
    if key.path == "prints_sheet" {
        return (format!("prints = \"pages.xlsx\"\n{line}\n"), "prints = \"pages.xlsx\"\n".to_owned());
    }
    if ["print.group", "print.gap"].contains(&key.path) {
        let part = |keys: &str| format!("{before}picture = \"a*\"\n{keys}\n");
        let group = "group = \"triptych\"";
        let parts = |own: &str| format!("{}{}", part(own), part(group));
        return match key.path {
            "print.group" => (parts(&line), part("")),
            _ => (parts(&format!("{group}\n{line}")), parts(group)),
        };
    }
    let with = match (key.table(), in_print) {
        ("", _) => format!("{line}\n{before}"),
        ("print", _) => format!("{before}{line}\n"),
        ("sizes", _) => format!("[sizes]\n{line}\n{}", before.replace("210 x 260 mm", "full")),
        ("papers", _) => format!("[papers]\n{line}\n{before}paper = \"body\"\n"),
        ("version", _) if key.name() == "name" => format!("[[version]]\n{line}\nfolder = \"rgb\"\n{before}"),
        ("version", _) if key.name() == "folder" => format!("[[version]]\nname = \"masters\"\n{line}\n{before}"),
        ("version", _) => format!("[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n{line}\n{before}"),
        ("answered", _) => format!("[answered]\n{line}\n{before}[paper]\ndmax = 1.5\n"),
        (table, false) => format!("[{table}]\n{line}\n{before}"),
        (table, true) => format!("{before}[print.{table}]\n{line}\n"),
    };
    let without = match key.path {
        "print.size" => format!("{before}size = \"A4\"\n"),
        "sizes.*" => before.replace("210 x 260 mm", "A4"),
        "answered.*" => format!("{before}[paper]\ndmax = 1.5\n"),
        "version.name" | "version.folder" => before,
        "version.paper" => format!("[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n{before}"),
        _ => before,
    };
    if key.name() == "paper" {
        let body = "[papers.body]\nstock = \"coated\"\n";
        return (format!("{with}{body}"), format!("{without}{body}"));
    }
    (with, without)
}

#[test]
fn every_key_has_an_example_that_changes_the_effective_brief() {
    let list: (&Path, &[u8]) = (Path::new("jobs/pictures.csv"), b"name,picture,size\nplum tart,p012*,A5\n");
    let rows = [["picture", "size"], ["p012*", "A5"]];
    let one = workbook::testing::xlsx(&[("Proofs", &workbook::testing::rows(&rows))]);
    let sheet = workbook::testing::rows(&rows);
    let several = workbook::testing::xlsx(&[("Proofs", &sheet), ("Plates", &sheet)]);
    for key in key_table::all() {
        for in_print in [false, true] {
            if in_print && (!key_table::is_in_print(key) || key.table() == "print") {
                continue;
            }
            let (with, without) = with_and_without(key, in_print);
            let of_key = |named| match key.path {
                "prints" => Some(list).filter(|_| named),
                "prints_sheet" => Some((Path::new("pages.xlsx"), if named { &several[..] } else { &one[..] })),
                _ => None,
            };
            let sheet = SheetText { path: PathBuf::from("jobs/corrow-lane.toml"), text: String::new() };
            let sheets = [sheet];
            let sheets_of = |named| if named && key.path == "sheet" { &sheets[..] } else { &[] };
            let parsed = |text: &str, named| {
                let read = parse_all(text, Path::new("a.toml"), of_key(named), sheets_of(named), RULES);
                read.unwrap_or_else(|problems| panic!("{}: {problems:#?}", key.path))
            };
            let (with, without) = (parsed(&with, true), parsed(&without, false));
            let rows = |brief: &Brief| {
                let all = show::order(brief).into_iter().chain(show::print(brief, &brief.prints[0]));
                all.map(|row| (row.key, row.value, row.answered)).collect::<Vec<_>>()
            };
            assert_ne!(rows(&with), rows(&without), "{} in print: {in_print}", key.path);
            let path = match key.path {
                "papers.*" => "paper.stock",
                "answered.*" => "paper.dmax",
                "rules.*" => "rules.density.minimum",
                path => path,
            };
            let origins = if key.table().is_empty() { &with.origins } else { &with.prints[0].origins };
            assert!(key.table() == "sizes" || !origins.of(path).is_open(), "{}", key.path);
        }
    }
}

#[test]
fn every_key_is_shown() {
    let brief = long();
    let shown: Vec<String> =
        show::order(&brief).into_iter().chain(show::print(&brief, &brief.prints[0])).map(|row| row.key).collect();
    for key in key_table::all().filter(|key| {
        key.name() != "*"
            && key.table() != "version"
            && !["print.pictures", "print.caption", "print.credit", "print.paper", "print.group", "print.gap"]
                .contains(&key.path)
    }) {
        assert!(shown.iter().any(|shown| shown == key.path), "{} is not shown", key.path);
    }
}

/// One wrong brief a file. Its last lines say what it must be told, problem by problem and nothing more:
/// `#! LINE:COLUMN what is wrong => what to write instead`.
#[test]
fn every_wrong_brief_says_where_and_what_to_write() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/briefs_wrong");
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "toml"));
    assert!(files.len() > 30, "{} files", files.len());
    files.sort();
    let mut failed = String::new();
    for path in files {
        let text = fs::read_to_string(&path).unwrap();
        let said: Vec<String> = match read(&path, RULES) {
            Ok(_) => vec!["nothing is wrong with it".to_owned()],
            Err(problems) => problems.iter().map(one_line).collect(),
        };
        let expected: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("#! ")).collect();
        if said != expected {
            failed.push_str(&format!("{}\n", path.display()));
            said.iter().for_each(|line| failed.push_str(&format!("#! {line}\n")));
        }
    }
    assert!(failed.is_empty(), "{failed}");
}

/// Returns the line that a remedy suggests in place of the wrong one, if it suggests one.
fn suggested(problem: &Problem) -> Option<&str> {
    let ways_in = ["for example: ", "correct the one that is wrong, for example: "];
    let line = ways_in.iter().find_map(|words| problem.fix.strip_prefix(words)).unwrap_or(&problem.fix);
    let line = line.split(", or \"").next().unwrap_or(line);
    line.parse::<toml::Table>().is_ok().then_some(line)
}

/// Puts a suggested line in the place of the wrong one and asks that the same is not said again.
fn assert_cured(text: &str, problem: &Problem) -> bool {
    let Some(line) = suggested(problem) else { return false };
    let mut lines: Vec<&str> = text.lines().collect();
    // What a version or a print lacks goes below its header, not in its place.
    if problem.text.trim_start().starts_with("[[") && !line.starts_with('[') {
        lines.insert(problem.line, line);
    } else {
        lines[problem.line - 1] = line;
    }
    let cured = lines.join("\n");
    let left = parse(&cured, Path::new("a.toml"), None, RULES).err().unwrap_or_default();
    let again = left.iter().find(|other| other.line == problem.line && other.what == problem.what);
    assert!(again.is_none(), "{text}\n{line}\n{again:#?}");
    let syntax = cured.parse::<toml::Table>();
    assert!(syntax.is_ok() || text.parse::<toml::Table>().is_err(), "{text}\n{line}\n{syntax:?}");
    true
}

#[test]
fn every_suggested_line_is_right_in_the_place_of_the_wrong_one() {
    let mut lines = 0;
    for path in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/briefs_wrong")).unwrap() {
        let path = path.unwrap().path();
        let text = fs::read_to_string(&path).unwrap();
        if path.extension().is_some_and(|extension| extension == "toml") && list_of(&text, &path).is_none() {
            let problems = parse(&text, Path::new("a.toml"), None, RULES).unwrap_err();
            lines += problems.iter().filter(|problem| assert_cured(&text, problem)).count();
        }
    }
    let wrong =
        ["3", "\"perhaps\"", "true", "[]", "[\"perhaps\"]", "{ spine = \"x\" }", "2026-12-18", "\"\"", "\"1,5 q\""];
    for key in key_table::all() {
        let name = if key.name() == "*" { "density.minimum" } else { key.name() };
        for value in wrong {
            for line in [format!("{name} = {value}"), format!("{name}x = {value}")] {
                let print = "[[print]]\nsize = \"A4\"\n";
                let texts = match key.table() {
                    "" => vec![format!("{line}\n{print}")],
                    "print" => vec![format!("[[print]]\n{line}\n")],
                    "version" => vec![format!("[[version]]\n{line}\n{print}")],
                    table => vec![
                        format!("[{table}]\n{line}\n{print}"),
                        format!("{table}.{line}\n{print}"),
                        format!("{table} = {{ {line} }}\n{print}"),
                    ],
                };
                for text in texts {
                    let problems = parsed(&text).err().unwrap_or_default();
                    lines += problems.iter().filter(|problem| assert_cured(&text, problem)).count();
                }
            }
        }
    }
    assert!(lines > 500, "{lines} lines");
}

#[test]
fn suggestions_keep_the_words_around_them() {
    let fix = |text: &str| parsed(&format!("{text}\n[[print]]\nsize = \"A4\"\n")).unwrap_err().swap_remove(0).fix;
    assert_eq!(fix("paper.dmax = \"perhaps\""), "for example: paper.dmax = 1.5");
    assert_eq!(fix("[rules.density]\nminimun = \"must\""), "minimum = \"must\"");
    assert_eq!(fix("paper.stok = \"coated\""), "paper.stock = \"coated\"");
    assert_eq!(fix("[margins.bleed]\nspine = \"x\""), "for example: spine = \"3 mm\"");
    assert_eq!(fix("[margins]\nbleed = \"3,5 mm\""), "bleed = \"3.5 mm\"");
}

fn one_line(problem: &Problem) -> String {
    let list = if problem.file.extension().is_some_and(|extension| extension == "csv") { "list " } else { "" };
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/briefs_wrong/");
    let what = problem.what.replace(folder, "");
    format!("{list}{}:{} {what} => {}", problem.line, problem.column, problem.fix.replace(folder, ""))
}

#[test]
fn a_damaged_brief_never_ends_the_program() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/briefs/long.toml");
    let text = fs::read_to_string(path).unwrap();
    for at in (0..text.len()).step_by(3) {
        let _ = parsed(&text[..at]);
    }
    // Every seventh byte becomes each of the letters that mean something to TOML or to us.
    for at in (0..text.len()).step_by(7) {
        for byte in *b"\"'[]{}=#.,\n%x9\0" {
            let mut bytes = text.as_bytes().to_vec();
            bytes[at] = byte;
            if let Err(problems) = parsed(&String::from_utf8_lossy(&bytes)) {
                assert!(!problems.is_empty());
                assert!(problems.iter().all(|problem| problem.line >= 1 && !problem.fix.is_empty()), "{problems:#?}");
            }
        }
    }
}

#[test]
fn density_follows_ruling_and_distance() {
    let density = |keys: &str| {
        let text = format!("[density]\n{keys}\n[[print]]\nsize = \"A4\"\n");
        parsed(&text).unwrap().prints[0].requirements.density.clone()
    };
    assert_eq!(density("ruling = \"120 lpi\"").target, Ppi::whole(240));
    assert_eq!(density("ruling = \"175 lpi\"").target, Ppi::whole(300));
    // Source: 8732 / cm, one pixel per arc minute; 40 cm is 218.3 ppi, 100 cm is below the floor of 150.
    assert!((density("distance = \"40 cm\"").target.as_f64() - 218.3).abs() < 0.01);
    assert_eq!(density("distance = \"1 m\"").target, Ppi::whole(150));
    let both = density("distance = \"100 cm\"\nruling = \"150 lpi\"");
    assert_eq!((both.target, both.basis), (Ppi::whole(150), requirements::DensityBasis::Distance));
}

#[test]
fn the_minimum_density_follows_paper_and_distance() {
    let minimum = |stock: &str, keys: &str| {
        let text = format!("[paper]\nstock = \"{stock}\"\n[density]\n{keys}\n[[print]]\nsize = \"A4\"\n");
        parsed(&text).unwrap().prints[0].requirements.density.minimum
    };
    // Source: labs and guides name 180 to 240 ppi for photographic prints.
    for (stock, ppi) in [("photo paper", 180), ("cotton", 180), ("canvas", 150), ("coated", 240), ("uncoated", 200)] {
        assert_eq!(minimum(stock, ""), Ppi::whole(ppi), "{stock}");
    }
    assert_eq!(minimum("photo paper", "target = \"250 ppi\""), Ppi::whole(150));
    assert_eq!(minimum("photo paper", "distance = \"2 m\""), Ppi::whole(100));
    assert_eq!(minimum("photo paper", "target = \"90 ppi\""), Ppi::whole(90));
    // The halftone rule asks 1.3 pixels for each line.
    for (stock, lpi, ppi) in [("coated", 120, 192), ("uncoated", 120, 160), ("newsprint", 85, 113)] {
        let minimum = minimum(stock, &format!("ruling = \"{lpi} lpi\"")).as_f64();
        assert!(minimum >= 1.3 * f64::from(lpi) && (minimum - f64::from(ppi)).abs() < 0.5, "{stock}: {minimum}");
    }
}

#[test]
fn a_print_with_another_density_starts_from_it() {
    let text = "[density]\ntarget = \"300 ppi\"\nminimum = \"240 ppi\"\n\
                [[print]]\nsize = \"A1\"\n[print.density]\ndistance = \"2 mm\"\n";
    assert_eq!(parsed(text).unwrap().prints[0].requirements.density.minimum, Ppi::whole(180));
    let text = text.replace("2 mm", "200 cm");
    let density = parsed(&text).unwrap().prints[0].requirements.density.clone();
    assert_eq!((density.target, density.minimum), (Ppi::whole(150), Ppi::whole(100)));
}

#[test]
fn names_become_ids_that_are_there_once() {
    let text = "[[print]]\nname = \"Plum tart\"\nsize = \"A4\"\n[[print]]\nname = \"plum-tart\"\nsize = \"A4\"\n\
                [[print]]\nid = \"plum-tart-2\"\nsize = \"A4\"\n[[print]]\nname = \"??\"\nsize = \"A4\"\n";
    let ids: Vec<String> = parsed(text).unwrap().prints.iter().map(|print| print.id.to_string()).collect();
    assert_eq!(ids, ["plum-tart-210-x-297-mm", "plum-tart-210-x-297-mm-2", "plum-tart-2", "print"]);
}

#[test]
fn an_id_does_not_depend_on_the_order_of_the_prints() {
    let text = |sizes: &[&str]| -> String {
        sizes.iter().map(|size| format!("[[print]]\nname = \"tart\"\nsize = \"{size}\"\n")).collect()
    };
    let ids = |sizes: &[&str]| -> BTreeSet<(String, String)> {
        let brief = parsed(&text(sizes)).unwrap();
        brief.prints.iter().map(|print| (print.size.show(), print.id.to_string())).collect()
    };
    let (one, other) = (ids(&["8 x 10 in", "A5"]), ids(&["A5", "8 x 10 in"]));
    assert_eq!(one, other);
    assert!(one.contains(&("8 x 10 in".to_owned(), "tart-8-x-10-in".to_owned())));
}

#[test]
fn a_picture_list_is_read_as_spreadsheets_save_it() {
    let brief = "prints = \"pictures.csv\"\n[sizes]\nfull = \"210 x 260 mm\"\n[[print]]\nsize = \"A4\"\n";
    let list =
        |text: &str| parse(brief, Path::new("a.toml"), Some((Path::new("pictures.csv"), text.as_bytes())), RULES);
    let comma = "page,name,picture,size,caption\n12,plum tart,p012*,full,\"Plum tart, warm\"\n\n,broth,p018*,A5,\n";
    let read = list(comma).unwrap();
    let names: Vec<&str> = read.prints.iter().map(|print| print.name.as_str()).collect();
    assert_eq!(names, ["plum tart", "broth", "210 x 297 mm"]);
    assert_eq!(
        (read.prints[0].page, read.prints[0].caption.as_deref()),
        (Some(Pages::one(12)), Some("Plum tart, warm"))
    );
    assert_eq!(read.prints[1].origins.of("print.size"), Origin::List(4));
    let semicolon = "\u{feff}Page;Name;Picture;Size;Caption\r\n12;plum tart;p012*;full;\"Plum tart, warm\"\r\n\r\n\
                     ;broth;p018*;A5;\r\n";
    assert_eq!(list(semicolon).unwrap().prints, read.prints);
    assert_ne!(list(semicolon).unwrap().sha256, read.sha256);
}

#[test]
fn a_list_of_a_whole_book_series_is_read_at_once() {
    let mut list = String::from("page,name,picture,size\n");
    (1..=5_000).for_each(|page| list.push_str(&format!("{page},plate {page},p{page:04}*,A4\n")));
    let brief = "prints = \"pictures.csv\"\n";
    let started = std::time::Instant::now();
    let read = parse(brief, Path::new("a.toml"), Some((Path::new("pictures.csv"), list.as_bytes())), RULES).unwrap();
    assert_eq!(read.prints.len(), 5_000);
    let one_line = format!("title = \"x\"\nprint = [{}]\n", "{},".repeat(100_000));
    let problems = parse(&one_line, Path::new("a.toml"), None, RULES).unwrap_err();
    assert_eq!((problems.len(), problems[0].line, problems[0].text.len()), (1, 2, 60));
    let sizeless = "[[print]]\n".repeat(100_000);
    let problems = parse(&sizeless, Path::new("a.toml"), None, RULES).unwrap_err();
    assert_eq!((problems.len(), problems[99_999].line), (100_000, 100_000));
    // A brief is read again at each save: a loop over all prints for each print would take minutes here.
    assert!(started.elapsed().as_secs() < 20, "{:?}", started.elapsed());
}

#[test]
fn foreign_letters_in_a_brief_cannot_move_the_cursor() {
    let problems = parsed("title = 3\n[paper]\nstock = \"\\u001b[31m\"\n[[print]]\nsize = \"A4\"\n").unwrap_err();
    assert!(problems.iter().all(|problem| !problem.what.contains('\u{1b}') && !problem.fix.contains('\u{1b}')));
    assert_eq!(problems.len(), 2);
}
