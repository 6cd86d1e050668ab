//! The effective brief as rows of key, value and origin. Geometry in mm and px is added where placement is known.

use crate::units::{Length, LengthUnit, show};

use super::key_table;
use super::model::{Brief, Print};
use super::origin::Origin;
use super::picture_patterns::PictureSelector;
use super::requirements::{Level, Requirements};

/// One key of the effective brief, ready to be printed; texts may be foreign.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownValue {
    /// The key's path: `density.least`.
    pub key: String,
    /// Its value in words.
    pub value: String,
    /// Where it comes from.
    pub origin: Origin,
}

/// What is shown for a value that is not given.
const NONE: &str = "none";

/// The order as a whole: every key but those of the prints, in the order of the key table, then rules with levels.
pub fn order(brief: &Brief) -> Vec<ShownValue> {
    let mut rows = Vec::new();
    for key in key_table::all().filter(|key| key.table() != "print" && key.name() != "*") {
        let value = of_order(brief, key.path).or_else(|| of_requirements(&brief.requirements, key.path));
        let Some(value) = value else { continue };
        rows.push(ShownValue { key: key.path.to_owned(), value, origin: brief.origins.of(key.path) });
    }
    rows.extend(levels(&brief.requirements, |path| brief.origins.of(path)));
    rows
}

/// One print: its own keys, and whatever differs from the order.
pub fn print(brief: &Brief, print: &Print) -> Vec<ShownValue> {
    let mut rows = Vec::new();
    for key in key_table::all().filter(|key| key.name() != "*") {
        let value = match of_print(print, key.path) {
            Some(value) => Some(value),
            None => of_requirements(&print.requirements, key.path)
                .filter(|value| Some(value) != of_requirements(&brief.requirements, key.path).as_ref()),
        };
        let Some(value) = value else { continue };
        rows.push(ShownValue { key: key.path.to_owned(), value, origin: print.origins.of(key.path) });
    }
    let differing = levels(&print.requirements, |path| print.origins.of(path));
    rows.extend(differing.into_iter().filter(|row| {
        let id = row.key.trim_start_matches("rules.");
        brief.requirements.levels.get(id).copied().map(Level::word) != Some(row.value.as_str())
    }));
    rows
}

fn levels(asked: &Requirements, origin: impl Fn(&str) -> Origin) -> Vec<ShownValue> {
    let row = |(id, level): (&String, &Level)| {
        let key = format!("rules.{id}");
        ShownValue { origin: origin(&key), value: level.word().to_owned(), key }
    };
    asked.levels.iter().map(row).collect()
}

fn or_none(text: &Option<String>) -> String {
    text.clone().unwrap_or_else(|| NONE.to_owned())
}

fn yes_no(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}

fn listed(words: &[impl AsRef<str>]) -> String {
    if words.is_empty() {
        return NONE.to_owned();
    }
    words.iter().map(AsRef::as_ref).collect::<Vec<&str>>().join(", ")
}

/// The value of a key above the first table.
fn of_order(brief: &Brief, path: &str) -> Option<String> {
    Some(match path {
        "title" => or_none(&brief.title),
        "printer" => or_none(&brief.printer),
        "from" => or_none(&brief.from),
        "due" => or_none(&brief.due),
        "colour_correction" => or_none(&brief.colour_correction),
        "prints" => show::count(brief.prints.len(), "print", "prints"),
        "ignore" => listed(&brief.ignore.iter().map(|pattern| pattern.as_str()).collect::<Vec<&str>>()),
        "subfolders" => yes_no(brief.subfolders),
        "versions" => brief.versions.word().to_owned(),
        _ => return None,
    })
}

/// The value of a key of `[[print]]`; keys that were not said and have no default are left out.
fn of_print(print: &Print, path: &str) -> Option<String> {
    let number = |number: Option<u32>| number.map(|number| number.to_string());
    match path {
        "print.id" => Some(print.id.to_string()),
        "print.name" => Some(print.name.clone()),
        "print.page" => number(print.page),
        "print.picture" => match &print.pictures {
            PictureSelector::One(pattern) => Some(pattern.as_str().to_owned()),
            PictureSelector::Many(_) => None,
            PictureSelector::Rest => Some("every picture that no other print names".to_owned()),
        },
        "print.pictures" => match &print.pictures {
            PictureSelector::Many(pattern) => Some(pattern.as_str().to_owned()),
            PictureSelector::One(_) | PictureSelector::Rest => None,
        },
        "print.size" => Some(print.size.show()),
        "print.copies" => number(Some(print.copies)),
        "print.turn" => Some(yes_no(print.turn)),
        "print.crop" => Some(print.crop.word().to_owned()),
        "print.ground" => print.ground.map(|ground| ground.word().to_owned()),
        "print.testprint" => Some(yes_no(print.testprint)),
        "print.batch" => number(print.batch),
        "print.caption" => print.caption.clone(),
        _ => None,
    }
}

/// The value of a key that the order and each print have.
pub(super) fn of_requirements(asked: &Requirements, path: &str) -> Option<String> {
    match path.split_once('.')?.0 {
        "paper" => of_paper(asked, path),
        "file" => of_file(asked, path),
        "margins" => of_margins(asked, path),
        "density" => of_density(asked, path),
        _ => of_the_rest(asked, path),
    }
}

fn of_paper(asked: &Requirements, path: &str) -> Option<String> {
    let paper = &asked.paper;
    Some(match path {
        "paper.stock" => paper.stock.word().to_owned(),
        "paper.surface" => paper.surface.word().to_owned(),
        "paper.process" => paper.process.word().to_owned(),
        "paper.profile" => or_none(&paper.profile.as_ref().map(|path| path.display().to_string())),
        "paper.black_d" => format!("D {}", paper.black_d),
        "paper.white" => format!("L* {}", paper.white_l),
        "paper.ink_limit" => or_none(&paper.ink_limit.map(show::share)),
        _ => return None,
    })
}

fn of_file(asked: &Requirements, path: &str) -> Option<String> {
    let file = &asked.file;
    Some(match path {
        "file.formats" => listed(&file.formats),
        "file.depth" => listed(&file.depth.iter().map(u32::to_string).collect::<Vec<String>>()),
        "file.jpeg_quality" => file.jpeg_quality.to_string(),
        "file.largest" => file.largest.map_or("no limit".to_owned(), show::bytes),
        "file.name" => file.name.words.clone().unwrap_or_else(|| match file.name.pattern {
            Some(_) => "see name_pattern".to_owned(),
            None => "any name".to_owned(),
        }),
        "file.name_pattern" => or_none(&file.name.pattern),
        "file.credit" => listed(&file.credit),
        "file.location" => file.location.word().to_owned(),
        _ => return None,
    })
}

fn of_density(asked: &Requirements, path: &str) -> Option<String> {
    let density = &asked.density;
    Some(match path {
        "density.wanted" => show::ppi(density.wanted),
        "density.least" => show::ppi(density.least),
        "density.ruling" => or_none(&density.ruling_lpi.map(|lpi| format!("{lpi} lpi"))),
        "density.distance" => or_none(&density.distance.map(|length| show::length(length, LengthUnit::Centimetre))),
        _ => return None,
    })
}

fn of_margins(asked: &Requirements, path: &str) -> Option<String> {
    let margins = &asked.margins;
    let length = |length: Length| show::length(length, margins.unit);
    Some(match path {
        "margins.edge" => margins.edge.word().to_owned(),
        "margins.bleed" => margins.bleed.show(margins.unit),
        "margins.safe" => margins.safe.show(margins.unit),
        "margins.border" => margins.border.show(margins.unit),
        "margins.fit" => margins.fit.word().to_owned(),
        "margins.depth" => length(margins.depth),
        "margins.sides" => margins.sides.word().to_owned(),
        "margins.hidden" => length(margins.hidden),
        "margins.folds" => listed(&margins.folds.iter().map(|fold| length(*fold)).collect::<Vec<String>>()),
        "margins.gutter" => length(margins.gutter),
        "margins.cut_tolerance" => length(margins.cut_tolerance),
        "margins.includes_bleed" => yes_no(margins.includes_bleed),
        _ => return None,
    })
}

fn of_the_rest(asked: &Requirements, path: &str) -> Option<String> {
    Some(match path {
        "colour.space" => listed(&asked.colour.spaces.iter().map(|space| space.word()).collect::<Vec<&str>>()),
        "tone.lost_highlights" => show::share(asked.tone.lost_highlights),
        "tone.lost_shadows" => show::share(asked.tone.lost_shadows),
        "detail.halo" => show::share(asked.detail.halo),
        "detail.enlarged" => format!("{} x", asked.detail.enlarged),
        "detail.noise" => asked.detail.noise.to_string(),
        "detail.sharpened" => asked.detail.sharpened.word().to_owned(),
        "handover.transfer" => or_none(&asked.handover.transfer),
        "handover.rename" => or_none(&asked.handover.rename),
        _ => return None,
    })
}
