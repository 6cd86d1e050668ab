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

/// A brief that takes its prints from a picture list. `list_name` is the list's path as the brief shall name it,
/// relative to the brief; the rest of the brief is `starter`, without its own prints.
///
/// # Errors
/// All that is wrong with the list, by line and column.
pub fn from_list(starter: &Starter, list_name: &str, list_text: &str) -> Result<String, Vec<Problem>> {
    let mut brief = String::with_capacity(starter.text.len() + 200);
    let mut named = false;
    for line in starter.text.lines() {
        if line.starts_with("[[print]]") {
            break;
        }
        if line.starts_with('[') && !named {
            brief.push_str(&format!("prints = {}    # one print a line\n\n", quote(list_name)));
            named = true;
        }
        brief.push_str(line);
        brief.push('\n');
    }
    super::parse(&brief, Path::new("new.toml"), Some((Path::new(list_name), list_text)), &[])?;
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
        let list = "page,name,picture,size\n12,plum tart,p012*,210 x 260 mm\n";
        for starter in STARTERS {
            let text = from_list(starter, "pictures.csv", list).unwrap();
            assert!(text.contains("prints = \"pictures.csv\"") && !text.contains("[[print]]"));
        }
        let wrong = from_list(&STARTERS[0], "pictures.csv", "page,picture,size\nx,p1*,A4\n").unwrap_err();
        assert_eq!((wrong[0].line, wrong[0].column), (2, 1));
    }
}
