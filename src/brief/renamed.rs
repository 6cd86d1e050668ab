//! Words of earlier briefs and the ones that took their place: an old word is refused with the new one.

/// Old and new names of keys, by the path that the key has now.
const KEYS: &[(&str, &str)] = &[
    ("wanted", "density.target"),
    ("least", "density.minimum"),
    ("black_d", "paper.dmax"),
    ("depth", "margins.wrap"),
    ("hidden", "margins.rebate"),
    ("ground", "print.background"),
    ("turn", "print.rotate"),
];

/// Old and new names of tables.
const TABLES: &[(&str, &str)] = &[("handover", "delivery")];

/// Old and new ids of rules.
const RULES: &[(&str, &str)] =
    &[("density.wanted", "density.target"), ("density.least", "density.minimum"), ("size.shape", "size.aspect")];

/// Old and new values, by the path of their key.
const VALUES: &[(&str, &str, &str)] = &[
    ("margins.edge", "enlarged", "borderless"),
    ("print.crop", "ours", "by the photographer"),
    ("print.crop", "theirs", "by the designer"),
    ("detail.sharpened", "by us", "by the photographer"),
];

/// Returns the name that a key of a table has now, where it was called otherwise.
pub(super) fn key(table: &str, old: &str) -> Option<&'static str> {
    KEYS.iter()
        .filter_map(|(was, path)| Some((was, path.split_once('.')?)))
        .find_map(|(was, (of, name))| (of == table && *was == old).then_some(name))
}

/// Returns the name that a table has now.
pub(super) fn table(old: &str) -> Option<&'static str> {
    TABLES.iter().find(|(was, _)| *was == old).map(|(_, now)| *now)
}

/// Returns the id that a rule has now.
pub fn rule(old: &str) -> Option<&'static str> {
    RULES.iter().find(|(was, _)| *was == old).map(|(_, now)| *now)
}

/// Returns the word that a value of a key has now.
pub(super) fn value(path: &str, old: &str) -> Option<&'static str> {
    VALUES.iter().find(|(of, was, _)| *of == path && *was == old).map(|(.., now)| *now)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::key_table;

    #[test]
    fn every_old_name_leads_to_one_that_is_there_and_is_none_itself() {
        for (old, path) in KEYS {
            let key = key_table::find(path).expect("a key of the table");
            assert!(key_table::table(key.table()).unwrap().keys.iter().all(|key| key.name() != *old), "{old}");
        }
        for (old, now) in TABLES {
            assert!(key_table::table(now).is_some() && key_table::table(old).is_none(), "{old}");
        }
        for (path, old, now) in VALUES {
            let key = key_table::find(path).expect("a key of the table");
            assert!(key.kind.words().contains(now) && !key.kind.words().contains(old), "{old}");
        }
    }
}
