//! Briefs to start from: one for each usual kind of job.

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

/// Their names, in the same order.
pub static NAMES: &[&str] = &[
    "photo-lab",
    "cookbook-coated",
    "cookbook-uncoated",
    "fine-art-matte",
    "canvas-wrapped",
    "greeting-card",
    "metal-acrylic",
    "large-wall",
];

/// Returns the starter of a name.
pub fn find(name: &str) -> Option<&'static Starter> {
    STARTERS.iter().find(|starter| starter.name == name)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

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
        assert_eq!(names, NAMES);
        files.sort_unstable();
        names.sort_unstable();
        assert_eq!(files, names);
    }
}
