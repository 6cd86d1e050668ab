//! Versions of an order: what each print is in each of them, and where its values come from.

use std::path::Path;

use crate::brief::requirements::{Edge, Space, Stock};
use crate::brief::{Brief, Origin, questions, show};
use crate::colour::Encoding;

/// An order in two versions, the second with values of its own.
const TWO: &str = "[papers.body]\nstock = \"coated\"\n[[version]]\nname = \"masters\"\nfolder = \"rgb\"\n\
                   colour.space = \"adobe rgb\"\n[[version]]\nname = \"press\"\nfolder = \"out/cmyk/\"\n\
                   paper = \"body\"\n[version.colour]\nspace = \"cmyk\"\n[version.margins]\nbleed = \"3 mm\"\n";

fn two(prints: &str) -> Brief {
    super::parsed(&format!("{TWO}{prints}")).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

#[test]
fn every_print_is_wanted_once_a_version_with_that_versions_values() {
    let brief = two("[[print]]\nname = \"plum tart\"\nsize = \"A5\"\n[[print]]\nid = \"wall\"\nsize = \"A2\"\n");
    let ids: Vec<(&str, &str, &str)> = brief
        .prints
        .iter()
        .map(|print| (&*print.id.0, &*print.base_id.0, &*print.version.as_ref().unwrap().folder))
        .collect();
    let wanted = [
        ("masters/plum-tart", "plum-tart", "rgb"),
        ("press/plum-tart", "plum-tart", "out/cmyk"),
        ("masters/wall", "wall", "rgb"),
        ("press/wall", "wall", "out/cmyk"),
    ];
    assert_eq!(ids, wanted);
    let names: Vec<&str> = brief.order_versions.iter().map(|version| &*version.name).collect();
    assert_eq!((names, &*brief.prints[1].name_with_version()), (vec!["masters", "press"], "plum tart (press)"));
    let required = |at: usize| &brief.prints[at].requirements;
    assert_eq!(required(0).colour.spaces, [Space::Rgb(Encoding::AdobeRgb)]);
    assert_eq!(required(1).colour.spaces, [Space::Cmyk]);
    assert_eq!((required(0).paper.stock, required(1).paper.stock), (Stock::PhotoPaper, Stock::Coated));
    assert_eq!((required(0).margins.edge, required(1).margins.edge), (Edge::Borderless, Edge::Bleed));
    assert!(std::sync::Arc::ptr_eq(required(1), required(3)), "kept once for the prints of a version");
    let of = |at: usize, key: &str| brief.prints[at].origins.of(key);
    assert_eq!(of(1, "colour.space"), Origin::Version("press".into(), 12));
    assert_eq!(of(0, "colour.space").words(), "required: version masters, line 6");
    assert_eq!(of(1, "paper.stock").place(), "paper body, line 2");
}

#[test]
fn a_prints_own_value_comes_before_its_versions_and_that_before_the_papers() {
    let brief =
        two("[[print]]\nsize = \"A5\"\npaper = \"body\"\n[print.colour]\nspace = \"srgb\"\n[[print]]\nsize = \"A4\"\n\
         [print.margins]\nedge = \"border\"\n");
    assert_eq!(brief.prints[1].requirements.colour.spaces, [Space::Rgb(Encoding::Srgb)]);
    assert_eq!(brief.prints[0].requirements.paper.stock, Stock::Coated, "the print's paper, in each version");
    assert_eq!(brief.prints[3].requirements.margins.edge, Edge::Border, "the version's bleed serves other prints");
    let surface = TWO.replace("paper = \"body\"", "paper.surface = \"gloss\"");
    let text = format!("paper = \"body\"\n{surface}[[print]]\nsize = \"A5\"\n");
    let brief = super::parsed(&text).unwrap_or_else(|problems| panic!("{problems:#?}"));
    let of = |key: &str| brief.prints[1].origins.of(key).place();
    assert_eq!(
        (of("paper.stock").as_str(), of("paper.surface").as_str()),
        ("paper body, line 3", "version press, line 11")
    );
}

#[test]
fn each_print_shows_its_version_and_the_values_from_there() {
    let brief = two("[[print]]\nname = \"plum tart\"\nsize = \"A5\"\n");
    let rows = show::print(&brief, &brief.prints[1]);
    let row = |key: &str| rows.iter().find(|row| row.key == key).map(|row| (row.value.as_str(), row.origin.place()));
    assert_eq!(row("version.name"), Some(("press", "version press, line 8".to_owned())));
    assert_eq!(row("version.folder"), Some(("out/cmyk", "version press, line 9".to_owned())));
    assert_eq!(row("colour.space"), Some(("cmyk", "version press, line 12".to_owned())));
}

#[test]
fn a_version_answers_for_its_own_prints_alone() {
    let brief = two("[[print]]\nname = \"plum tart\"\nsize = \"A5\"\n");
    let asked = questions::questions(&brief);
    let about = |key: &str| asked.iter().filter(|one| one.key == key).flat_map(|one| one.prints.clone()).collect();
    let (space, edge): (Vec<String>, Vec<String>) = (about("colour.space"), about("margins.edge"));
    assert_eq!((space, edge), (vec![], vec!["plum tart (masters)".to_owned()]));
}

#[test]
fn a_print_is_called_by_its_id_in_a_version_and_its_name_is_that_of_several() {
    let brief = two("[[print]]\nname = \"plum tart\"\nsize = \"A5\"\n");
    assert_eq!(brief.print_called("press/plum-tart").unwrap(), Some(&brief.prints[1]));
    let several = brief.print_called("plum tart").unwrap_err().to_string();
    assert!(several.ends_with("name one by its id: masters/plum-tart, press/plum-tart"), "{several}");
    assert!(brief.prints.iter().all(|print| print.is_called("plum-tart")));
}

#[test]
fn a_printers_sheet_has_no_versions() {
    let sheet = crate::brief::sheet::SheetText {
        path: "jobs/corrow-lane.toml".into(),
        text: "[[version]]\nname = \"press\"\nfolder = \"cmyk\"\n".to_owned(),
    };
    let text = "sheet = \"corrow-lane.toml\"\n[[print]]\nsize = \"A5\"\n";
    let wrong = crate::brief::parse_all(text, Path::new("jobs/a.toml"), None, &[sheet], super::RULES).unwrap_err();
    assert_eq!(wrong[0].what, "version belongs to one order, and this sheet serves all of them");
    assert!(wrong[0].fix.ends_with("names this sheet: [[version]]"), "{}", wrong[0].fix);
}
