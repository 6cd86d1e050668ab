//! set.unlisted: entries that may belong to the order and could not be examined.

use crate::brief::requirements::Level;
use crate::judge::model::check::{Breach, BreachSink, JudgedOrder, OrderBreach, RuleCheck};
use crate::judge::model::rule::{Dependence, Rule, RuleExamples, RuleGroup, RuleUses};
use crate::judge::rules::phrases::{join_with_and, name_pictures};
use crate::picture::PictureKey;
use crate::picture::unlisted::{NotListed, Unlisted};
use crate::units::show;
use crate::units::words::visible;

/// The rule's words.
pub static RULE: Rule = Rule {
    id: "set.unlisted",
    group: RuleGroup::Set,
    title: "Files left unchecked",
    question: "Could everything in the folder be checked?",
    level: Level::Must,
    why: "an unchecked picture is left out, and missed only at the printer's",
    page: "It reports what may be a picture, or hold some, and is not a row. With `subfolders = true`: a sub-folder \
           that cannot be read or lies too deep, and a link to a folder elsewhere. Always: a link that leads nowhere, \
           a pipe or device under a picture's name, and files whose names look the same because accented letters can \
           be stored in two ways.",
    fix: "Put the file itself in the folder, make it readable, and give it a name of its own; or list it under \
          `ignore` in the brief.",
    misses: "Sub-folders are not looked into without `subfolders = true`, but for the folders of versions. \
             Hidden files, those of editors and systems, and what the brief ignores are not reported.",
    keys: &["subfolders", "ignore"],
    source: "Unicode Standard Annex #15 for names that are the same; else ours",
    samples: RuleExamples {
        passes: "every file in the folder is a row",
        fails: "no permission to read the sub-folder plates",
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
    fix: "give yourself permission to read it\nor leave it out in the brief: ignore = [\"NAME/**\"]",
};
const LINKED: UnlistedCause = UnlistedCause {
    about: "linked folder",
    counted: (
        "link leads to a folder elsewhere and is not followed",
        "links lead to folders elsewhere and are not followed",
    ),
    fix: "put the folder itself there\nor leave it out in the brief: ignore = [\"NAME/**\"]",
};
const DEEP: UnlistedCause = UnlistedCause {
    about: "deep folder",
    counted: ("sub-folder lies too deep to be checked", "sub-folders lie too deep to be checked"),
    fix: "move it further up\nor leave it out in the brief: ignore = [\"NAME/**\"]",
};
const DEAD_LINK: UnlistedCause = UnlistedCause {
    about: "link",
    counted: ("link leads nowhere", "links lead nowhere"),
    fix: "put the picture itself there\nor remove the link",
};
const NO_FILE: UnlistedCause = UnlistedCause {
    about: "no file",
    counted: ("entry is not a file", "entries are not files"),
    fix: "put the picture itself there\nor remove the entry",
};
const SAME_NAME: UnlistedCause = UnlistedCause {
    about: "name",
    counted: (
        "name belongs to several files, of which only one is checked",
        "names belong to several files each, of which only one is checked",
    ),
    fix: "give each file a name of its own\nor remove the others",
};

fn check(order: &JudgedOrder, report: BreachSink) {
    breaches(order.unlisted).into_iter().for_each(report);
}

/// Returns the breaches for entries that were left out, cause by cause.
pub fn breaches(unlisted: &Unlisted) -> Vec<OrderBreach> {
    let of = |cause: &UnlistedCause| {
        let found = unlisted.iter().filter(|(_, why)| cause_of(why).is_some_and(|found| found.about == cause.about));
        let pictures: Vec<PictureKey> = found.map(|(path, _)| path.clone()).collect();
        (!pictures.is_empty()).then(|| breach(unlisted, cause, pictures))
    };
    [UNREADABLE, LINKED, DEEP, DEAD_LINK, NO_FILE, SAME_NAME].iter().filter_map(of).collect()
}

/// Returns the cause of an entry that was left out; `None` where the rule of versions reports it.
fn cause_of(why: &NotListed) -> Option<UnlistedCause> {
    Some(match why {
        NotListed::Unreadable(_) => UNREADABLE,
        NotListed::LinkedFolder => LINKED,
        NotListed::TooDeep(_) => DEEP,
        NotListed::DeadLink => DEAD_LINK,
        NotListed::NoFile(_) => NO_FILE,
        NotListed::SameName(_) => SAME_NAME,
        NotListed::NoVersionFolder => return None,
    })
}

fn breach(unlisted: &Unlisted, cause: &UnlistedCause, pictures: Vec<PictureKey>) -> OrderBreach {
    let (one, many) = cause.counted;
    let count = show::count(pictures.len(), one, many);
    let names = name_pictures(&pictures, |path| match unlisted.get(path) {
        Some(NotListed::Unreadable(why)) => format!("{path} ({})", visible(why)),
        Some(NotListed::TooDeep(most)) => format!("{path} (below {})", show::count(*most, "other", "others")),
        Some(NotListed::NoFile(kind)) => format!("{path} ({kind})"),
        Some(NotListed::SameName(spelt)) => format!("{path} (stored as {})", join_with_and(spelt)),
        Some(NotListed::LinkedFolder | NotListed::DeadLink | NotListed::NoVersionFolder) | None => path.to_string(),
    });
    OrderBreach {
        rows: Vec::new(),
        pictures,
        breach: Breach {
            about: cause.about.to_owned(),
            short: "left unchecked".to_owned(),
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
    use crate::judge::testing::{brief, sound_submission};
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
            files: vec![sound_submission("c.jpg", 2400, 3000)],
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
            "1 entry is not a file: pipe.jpg (a pipe)",
            "1 name belongs to several files, of which only one is checked: crêpe.jpg (stored as cr\\u{ea}pe.jpg and \
             cre\\u{302}pe.jpg)",
        ];
        assert_eq!(said, wanted.map(|found| (Level::Must, found.to_owned())));
        assert!(found("[rules]\n\"set.unlisted\" = \"off\"\n").is_empty());
    }
}
