//! Groups of prints, and the fold of a spread.

use crate::brief::Origin;
use crate::brief::problem::Problem;
use crate::units::Length;

use super::parsed;

fn part(picture: &str, keys: &str) -> String {
    format!("[[print]]\npicture = \"{picture}\"\nsize = \"300 x 400 mm\"\n{keys}\n")
}

#[test]
fn the_parts_of_a_group_have_one_gap() {
    let text = [part("a", "group = \"wall\""), part("b", "group = \"wall\"\ngap = \"20 mm\""), part("c", "")].concat();
    let prints = parsed(&text).unwrap().prints;
    let gaps: Vec<_> = prints.iter().map(|print| (print.group.as_deref(), print.gap)).collect();
    let gap = Some(Length::from_mm(20));
    assert_eq!(gaps, [(Some("wall"), gap), (Some("wall"), gap), (None, None)]);
    assert_eq!(prints[0].origins.of("print.gap"), Origin::Print(9), "it comes from where it is written");
}

#[test]
fn what_is_wrong_with_a_group_is_said_with_what_to_write() {
    let said = |text: &str| -> Vec<(usize, String, String)> {
        let of = |problem: Problem| (problem.line, problem.what, problem.fix);
        parsed(text).unwrap_err().into_iter().map(of).collect()
    };
    let one = |line: usize, what: &str, fix: &str| vec![(line, what.to_owned(), fix.to_owned())];
    let triptych = part("a", "group = \"triptych\"");
    assert_eq!(
        said(&triptych),
        one(
            4,
            "only one print is in the group \"triptych\"",
            "write group = \"triptych\" in its other parts, or take it out"
        )
    );
    let misspelt = [triptych.clone(), triptych.clone(), part("c", "group = \"triptich\"")].concat();
    assert_eq!(said(&misspelt), one(12, "only one print is in the group \"triptich\"", "group = \"triptych\""));
    assert_eq!(
        said(&part("a", "gap = \"20 mm\"")),
        one(
            4,
            "gap is the distance between the parts of a group, and this print is in none",
            "write group = \"triptych\" in each part, or take gap out"
        )
    );
    let gap = |mm: u32| part("a", &format!("group = \"wall\"\ngap = \"{mm} mm\""));
    assert_eq!(
        said(&[gap(20), gap(30)].concat()),
        one(
            10,
            "the gap is 30 mm here and 20 mm in another part",
            "a group has one gap: keep it in one part, take out the others"
        )
    );
    let many = triptych.replace("picture =", "pictures =");
    assert_eq!(
        said(&[many, triptych].concat()),
        one(
            4,
            "a part of a group takes exactly one picture",
            "picture = \"p012-left*\" in this print, or take group out"
        )
    );
}

#[test]
fn a_spread_folds_at_its_spine_unless_folds_are_stated() {
    let folds = |text: &str| {
        let print = parsed(text).unwrap().prints.swap_remove(0);
        (print.requirements.margins.folds.clone(), print.origins.of("margins.folds").place())
    };
    let spread = "[[print]]\npage = \"12-13\"\nsize = \"420 x 260 mm\"\n";
    assert_eq!(folds(spread), (vec![Length::from_mm(210)], "the spread's spine".to_owned()));
    let own = |stated: &str| folds(&format!("{spread}[print.margins]\nfolds = {stated}\n"));
    assert_eq!(own("[]"), (vec![], "print, line 5".to_owned()));
    assert_eq!(own("[\"200 mm\"]").0, [Length::from_mm(200)]);
    let order = |head: &str| folds(&format!("{head}\n{spread}"));
    assert_eq!(order("[margins]\nfolds = [\"100 mm\"]").0, [Length::from_mm(100)]);
    assert_eq!(order("like = \"greeting-card\"").0, [Length::from_mm(210)], "a starter knows nothing of this spread");
    assert_eq!(folds("[[print]]\npage = 12\nsize = \"420 x 260 mm\"\n").0, []);
}
