//! Trials of each rule: the number of photographs and of findings, from the table of the outside checks.

use crate::units::show;

/// A tab-separated table: rule (`*` for all together), treatment of the photographs, which half of them, how many, on
/// how many the rule finds a should or must, and on how many a note. Made by `tests/outside/test_processing.py`, which
/// explains how.
const TABLE: &str = include_str!("tried.tsv");
/// The half of the photographs held back while limits were set.
const UNSEEN: &str = "unseen";
/// First words of treatments that leave photographs sound: nothing, a usual export, a set-up without a fault.
const SOUND: [&str; 3] = [UNTOUCHED, REDUCED, "where six frames are alike"];
/// The table's word for photographs left as they were.
const UNTOUCHED: &str = "as published";
/// The first word for those with fewer pixels.
const REDUCED: &str = "reduced";

/// A line of the table.
struct Tried {
    rule: &'static str,
    done: &'static str,
    photographs: usize,
    should: usize,
    note: usize,
}

impl Tried {
    /// Returns how many there are, of what, and the notes beside them: `1 of 20 left as they were, with notes on 8`.
    fn words(&self) -> String {
        let done = match self.done {
            UNTOUCHED => "left as they were".to_owned(),
            done if done.starts_with(REDUCED) => format!("{done} of their size"),
            done => done.to_owned(),
        };
        let noted = if self.note > 0 { format!(", with notes on {}", self.note) } else { String::new() };
        format!("{} of {} {done}{noted}", self.should, self.photographs)
    }
}

fn lines() -> impl Iterator<Item = Tried> {
    TABLE.lines().skip(1).filter_map(|line| {
        let [rule, done, half, photographs, should, note] = line.split('\t').collect::<Vec<_>>().try_into().ok()?;
        let number = |text: &str| text.parse().ok();
        (half == UNSEEN).then_some(Tried {
            rule,
            done,
            photographs: number(photographs)?,
            should: number(should)?,
            note: number(note)?,
        })
    })
}

/// Summarises a rule's results on the photographs held back; `None` if it was tried on none.
pub fn of_rule(id: &str) -> Option<String> {
    let (sound, faulty): (Vec<Tried>, Vec<Tried>) = lines()
        .filter(|tried| tried.rule == id)
        .partition(|tried| SOUND.iter().any(|sound| tried.done.starts_with(sound)));
    let listed = |verb: &str, all: &[Tried]| {
        let words: Vec<String> = all.iter().map(Tried::words).collect();
        (!words.is_empty()).then(|| format!("{verb} {}", words.join("; ")))
    };
    let words: Vec<String> =
        [listed("finds", &faulty), listed("wrongly reports", &sound)].into_iter().flatten().collect();
    (!words.is_empty()).then(|| {
        let photographs = sound.iter().chain(&faulty).map(|tried| tried.photographs).max().unwrap_or(0);
        let photographs = show::count(photographs, "photograph", "photographs");
        format!("on {photographs} kept apart from those that set the limits, printed at 300 ppi: {}", words.join("; "))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::rules;

    #[test]
    fn the_table_names_rules_and_no_more_photographs_than_there_are() {
        let mut count = 0;
        for tried in lines() {
            count += 1;
            assert!(tried.rule == "*" || rules::find(tried.rule).is_some(), "{}", tried.rule);
            assert!(tried.should + tried.note <= tried.photographs, "{}: {}", tried.rule, tried.done);
        }
        assert_eq!(count, TABLE.lines().filter(|line| line.contains(&format!("\t{UNSEEN}\t"))).count());
        assert!(count > 20, "{count}");
    }

    #[test]
    fn a_rule_says_what_it_finds_and_whom_it_blames() {
        let focus = of_rule("detail.focus").unwrap();
        assert!(["finds ", "moved by 9 px", "wrongly reports "].iter().all(|part| focus.contains(part)), "{focus}");
        assert_eq!(of_rule("file.bytes"), None);
        let readable = of_rule("file.readable").unwrap();
        assert!(readable.starts_with("on 20 photographs"), "{readable}");
    }
}
