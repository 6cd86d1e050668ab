//! Briefs to start from: one for each usual kind of job, and one that names a picture list.

use std::path::Path;

use super::problem::Problem;
use super::toml_value::quote;

/// A brief to start from.
#[derive(Clone, Copy, Debug)]
pub struct Starter {
    /// What it is called on the command line.
    pub name: &'static str,
    /// What it is for, in one line.
    pub about: &'static str,
    /// The whole brief, commented.
    pub text: &'static str,
}

/// Every starter, the simplest first. Each is a file in `briefs/`.
pub static STARTERS: &[Starter] = &[
    Starter {
        name: "photo-lab",
        about: "borderless prints from a photo lab",
        text: include_str!("../../briefs/photo-lab.toml"),
    },
    Starter {
        name: "cookbook-coated",
        about: "book pages on coated paper, offset, with bleed",
        text: include_str!("../../briefs/cookbook-coated.toml"),
    },
    Starter {
        name: "cookbook-uncoated",
        about: "book pages on uncoated paper, offset, with bleed",
        text: include_str!("../../briefs/cookbook-uncoated.toml"),
    },
    Starter {
        name: "fine-art-matte",
        about: "matte cotton paper with a white border, inkjet",
        text: include_str!("../../briefs/fine-art-matte.toml"),
    },
    Starter {
        name: "canvas-wrapped",
        about: "canvas on a stretcher bar, with the picture carried round the edges",
        text: include_str!("../../briefs/canvas-wrapped.toml"),
    },
    Starter {
        name: "greeting-card",
        about: "folded cards, toner (digital press), with bleed",
        text: include_str!("../../briefs/greeting-card.toml"),
    },
    Starter {
        name: "metal-acrylic",
        about: "aluminium or acrylic, gloss, borderless",
        text: include_str!("../../briefs/metal-acrylic.toml"),
    },
    Starter {
        name: "large-wall",
        about: "a large wall print, seen from across the room",
        text: include_str!("../../briefs/large-wall.toml"),
    },
];

/// The starter of a name.
pub fn find(name: &str) -> Option<&'static Starter> {
    STARTERS.iter().find(|starter| starter.name == name)
}

/// A picture list for a new brief.
#[derive(Clone, Copy, Debug)]
pub struct ListForBrief<'a> {
    /// Its path as the brief shall name it, relative to the brief.
    pub name: &'a str,
    /// Its bytes.
    pub bytes: &'a [u8],
    /// The sheet that lists the prints, where a workbook has several.
    pub sheet: Option<&'a str>,
}

/// A brief that takes its prints from a picture list; the rest of the brief is `starter`, without its own prints.
///
/// # Errors
/// All that is wrong with the list, by line and column.
pub fn from_list(starter: &Starter, list: ListForBrief<'_>) -> Result<String, Vec<Problem>> {
    let mut brief = String::with_capacity(starter.text.len() + 200);
    let mut named = false;
    for line in starter.text.lines() {
        if line.starts_with("[[print]]") {
            break;
        }
        if line.starts_with('[') && !named {
            brief.push_str(&format!("prints = {}    # one print a row\n", quote(list.name)));
            brief.extend(list.sheet.map(|sheet| format!("prints_sheet = {}\n", quote(sheet))));
            brief.push('\n');
            named = true;
        }
        brief.push_str(line);
        brief.push('\n');
    }
    let path = Path::new("new.toml");
    let read = super::parse(&brief, path, Some((Path::new(list.name), list.bytes)), &[]);
    // The brief is not there yet: what concerns the list as a whole stands on the list.
    let of_list = |problem: Problem| match problem.file == path {
        true => Problem {
            file: list.name.into(),
            line: 1,
            column: 1,
            text: String::new(),
            fix: problem.fix.replace("prints_sheet = ", "--sheet "),
            ..problem
        },
        false => problem,
    };
    read.map_err(|problems| problems.into_iter().map(of_list).collect::<Vec<_>>())?;
    Ok(brief)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_starter_is_a_sound_brief() {
        for starter in STARTERS {
            let path = Path::new(starter.name);
            let brief = crate::brief::parse(starter.text, path, None, &[])
                .unwrap_or_else(|problems| panic!("{}: {problems:#?}", starter.name));
            assert!(!brief.prints.is_empty());
            let last_word = ["own specification", "hard proof", "last word"];
            assert!(last_word.iter().all(|words| starter.text.matches(words).count() == 1), "{}", starter.name);
            assert!(brief.colour_correction.is_none(), "{}: an instruction that nobody gave", starter.name);
        }
    }

    #[test]
    fn every_file_of_the_folder_is_a_starter() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("briefs");
        let mut files: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned())
            .collect();
        let mut names: Vec<&str> = STARTERS.iter().map(|starter| starter.name).collect();
        files.sort_unstable();
        names.sort_unstable();
        assert_eq!(files, names);
    }

    #[test]
    fn a_list_becomes_a_brief() {
        let of = |text: &'static str| ListForBrief { name: "pictures.csv", bytes: text.as_bytes(), sheet: None };
        let list = of("page,name,picture,size\n12,plum tart,p012*,210 x 260 mm\n");
        for starter in STARTERS {
            let text = from_list(starter, list).unwrap();
            assert!(text.contains("prints = \"pictures.csv\"") && !text.contains("[[print]]"));
        }
        let wrong = from_list(&STARTERS[0], of("page,picture,size\nx,p1*,A4\n")).unwrap_err();
        assert_eq!((wrong[0].line, wrong[0].column), (2, 1));
    }
}
