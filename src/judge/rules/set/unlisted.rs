//! set.unlisted: entries that may belong to the order and could not be examined.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{all, named};
use crate::picture::PictureKey;
use crate::picture::unlisted::{NotListed, Unlisted};
use crate::units::show;
use crate::units::words::visible;

/// The rule's words.
pub static RULE: Rule = Rule {
    id: "set.unlisted",
    group: RuleGroup::Set,
    title: "",
    question: "Could everything in the folder be looked at?",
    level: Level::Must,
    why: "a picture that nobody looked at is left out without a word, and is missed only at the printer's",
    page: "Whatever in the folder may be a picture or hold some and is no row: a sub-folder that cannot be read or \
           lies too deep, and a link to a folder elsewhere (with `subfolders = true`), a link that leads nowhere, a \
           pipe or device under a picture's name, and two files whose names look the same, since letters with \
           accents can be stored in two ways. Hidden files, those of editors and systems, and what the brief ignores \
           are no pictures and are left alone.",
    fix: "",
    misses: "",
    keys: &["subfolders", "ignore"],
    source: "Unicode Standard Annex #15 for names that are the same; else ours",
    samples: RuleExamples {
        holds: "every file of the folder is a row",
        fails: "the sub-folder plates may not be read",
    },
    unit: "",
    depends_on: Dependence::Folder,
    silences: &[],
    uses: RuleUses::NONE,
};

pub const CHECK: RuleCheck = RuleCheck::Order(check);

/// One cause, with the words of its finding.
struct UnlistedCause {
    about: &'static str,
    /// The noun counted: singular, plural.
    counted: (&'static str, &'static str),
    fix: &'static str,
}

const UNREADABLE: UnlistedCause = UnlistedCause {
    about: "folder",
    counted: ("sub-folder cannot be read", "sub-folders cannot be read"),
    fix: "let yourself read it, or leave it out in the brief: ignore = [\"NAME/**\"]",
};
const LINKED: UnlistedCause = UnlistedCause {
    about: "linked folder",
    counted: (
        "link leads to a folder elsewhere and is not followed",
        "links lead to folders elsewhere and are not followed",
    ),
    fix: "put the folder itself there, or leave it out in the brief: ignore = [\"NAME/**\"]",
};
const DEEP: UnlistedCause = UnlistedCause {
    about: "deep folder",
    counted: ("sub-folder lies too deep to be looked into", "sub-folders lie too deep to be looked into"),
    fix: "move it further up, or leave it out in the brief: ignore = [\"NAME/**\"]",
};
const DEAD_LINK: UnlistedCause = UnlistedCause {
    about: "link",
    counted: ("link leads nowhere", "links lead nowhere"),
    fix: "put the picture itself there, or take the link away",
};
const NO_FILE: UnlistedCause = UnlistedCause {
    about: "no file",
    counted: ("name stands for no file", "names stand for no file"),
    fix: "put the picture itself there, or take it away",
};
const SAME_NAME: UnlistedCause = UnlistedCause {
    about: "name",
    counted: (
        "name stands for several files, of which one is looked at",
        "names stand for several files each, of which one is looked at",
    ),
    fix: "give each file a name of its own, or take the others away",
};

fn check(order: &JudgedOrder, report: BreachSink) {
    found(order.unlisted).into_iter().for_each(report);
}

/// Returns the breaches for entries that were left out, cause by cause.
pub fn found(unlisted: &Unlisted) -> Vec<OrderBreach> {
    let of = |cause: &UnlistedCause| {
        let found = unlisted.iter().filter(|(_, why)| cause_of(why).about == cause.about);
        let pictures: Vec<PictureKey> = found.map(|(path, _)| path.clone()).collect();
        (!pictures.is_empty()).then(|| breach(unlisted, cause, pictures))
    };
    [UNREADABLE, LINKED, DEEP, DEAD_LINK, NO_FILE, SAME_NAME].iter().filter_map(of).collect()
}

fn cause_of(why: &NotListed) -> UnlistedCause {
    match why {
        NotListed::Unreadable(_) => UNREADABLE,
        NotListed::LinkedFolder => LINKED,
        NotListed::TooDeep(_) => DEEP,
        NotListed::DeadLink => DEAD_LINK,
        NotListed::NoFile(_) => NO_FILE,
        NotListed::SameName(_) => SAME_NAME,
    }
}

fn breach(unlisted: &Unlisted, cause: &UnlistedCause, pictures: Vec<PictureKey>) -> OrderBreach {
    let (one, many) = cause.counted;
    let count = show::count(pictures.len(), one, many);
    let names = named(&pictures, |path| match unlisted.get(path) {
        Some(NotListed::Unreadable(why)) => format!("{path} ({})", visible(why)),
        Some(NotListed::TooDeep(most)) => format!("{path} (below {})", show::count(*most, "other", "others")),
        Some(NotListed::NoFile(kind)) => format!("{path} ({kind})"),
        Some(NotListed::SameName(spelt)) => format!("{path} (stored as {})", all(spelt)),
        Some(NotListed::LinkedFolder | NotListed::DeadLink) | None => path.to_string(),
    });
    OrderBreach {
        rows: Vec::new(),
        pictures,
        breach: Breach {
            about: cause.about.to_owned(),
            short: "not looked at".to_owned(),
            found: format!("{count}: {names}"),
            fix: cause.fix.to_owned(),
            ..Breach::default()
        },
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::judge::testing::{brief, delivered};
    use crate::judge::{FolderContents, judge_folder};

    #[test]
    fn each_cause_is_one_finding_on_the_order_with_its_names() {
        let spelt = vec!["cr\\u{ea}pe.jpg".to_owned(), "cre\\u{302}pe.jpg".to_owned()];
        let unlisted = [
            ("a.jpg", NotListed::DeadLink),
            ("b.jpg", NotListed::DeadLink),
            ("crêpe.jpg", NotListed::SameName(spelt)),
            ("pipe.jpg", NotListed::NoFile("a pipe")),
            ("plates", NotListed::Unreadable("Permission denied".to_owned())),
        ]
        .map(|(path, why)| (PictureKey::from_text(path), why));
        let folder = FolderContents {
            files: vec![delivered("c.jpg", 2400, 3000)],
            unlisted: Arc::new(unlisted.into_iter().collect()),
        };
        let found = |rules: &str| {
            let brief = brief(&format!("{rules}[[print]]\nsize = \"8 x 10 in\""));
            judge_folder(&brief, &folder).order_findings
        };
        let said: Vec<(Level, String)> = found("").iter().map(|one| (one.level, one.found.clone())).collect();
        let wanted = [
            "1 sub-folder cannot be read: plates (Permission denied)",
            "2 links lead nowhere: a.jpg and b.jpg",
            "1 name stands for no file: pipe.jpg (a pipe)",
            "1 name stands for several files, of which one is looked at: crêpe.jpg (stored as cr\\u{ea}pe.jpg and \
             cre\\u{302}pe.jpg)",
        ];
        assert_eq!(said, wanted.map(|found| (Level::Must, found.to_owned())));
        assert!(found("[rules]\n\"set.unlisted\" = \"off\"\n").is_empty());
    }
}
