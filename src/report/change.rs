//! Changes of the live table, one line each: for screen readers and unattended runs.

use crate::brief::requirements::Level;
use crate::judge::{RowKey, RowState};
use crate::live::changes::RowChange;
use crate::live::snapshot::Watching;
use crate::picture::unlisted::cut_off_words;
use crate::units::show;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;

/// Formats a change after its time; `None` for a passing state (a picture that is being read).
pub fn line(time: &str, change: &RowChange) -> Option<Line> {
    let line = Line::of(Style::Dim, time).and(Style::Plain, " ");
    match change {
        RowChange::Row { to: Some(RowState::Checking), .. } => None,
        RowChange::Row { key, print_name, from, to, finding } => {
            let about = subject(key, print_name);
            let line = match (from, to) {
                (_, None) => line.and(Style::Dim, format!("GONE {about}")),
                (from, Some(to)) => {
                    let is_verdict = |from: &RowState| !matches!(from, RowState::Checking | RowState::Arriving);
                    let changed = from.filter(|from| from != to && is_verdict(from));
                    let was = changed.map_or_else(String::new, |from| format!(" (was {})", from.word()));
                    line.and(to.style(), to.word()).and(Style::Plain, format!(" {about}{was}"))
                }
            };
            Some(match finding {
                Some(finding) => line.and(Style::Plain, format!(": {finding}")),
                None => line,
            })
        }
        RowChange::Renamed { from, to } => Some(line.and(Style::Plain, format!("{from} renamed to {to}"))),
        RowChange::Order { level, what, is_accepted } => Some(order(line, *level, what, *is_accepted)),
        RowChange::Folder(Watching::Notified) => Some(line.and(Style::Plain, "watching the folder")),
        RowChange::Folder(Watching::Polled(why)) => {
            Some(line.and(Style::Plain, format!("checking the folder every few seconds: {}", visible(why))))
        }
        RowChange::Folder(Watching::Gone) => Some(line.and(Style::Bad, "the folder is gone; waiting for it")),
        RowChange::Folder(Watching::NotPermitted) => {
            Some(line.and(Style::Bad, "no permission to read the folder; trying again"))
        }
        RowChange::CutOff => {
            let (what, fix) = cut_off_words();
            Some(line.and(Style::Bad, format!("{what}; {fix}")))
        }
        RowChange::Brief(0) => Some(line.and(Style::Plain, "the brief is valid again")),
        RowChange::Brief(mistakes) => {
            let mistakes = show::count(*mistakes, "mistake", "mistakes");
            Some(line.and(Style::Bad, format!("the brief has {mistakes}; its last good version stays in use")))
        }
        RowChange::JudgingFailed(Some(words)) => {
            let words = visible(words);
            let kept = "the rows keep their last results until something changes";
            let what = format!("checking failed inside plateside: {words}; {kept}");
            Some(line.and(Style::Bad, what))
        }
        RowChange::JudgingFailed(None) => Some(line.and(Style::Plain, "checking works again")),
    }
}

/// Formats a finding on the order as a whole, with the word of the state that it would give a row.
fn order(line: Line, level: Level, what: &str, stands: bool) -> Line {
    let what = visible(what);
    if !stands {
        return line.and(Style::Plain, format!("no longer found in the order: {what}"));
    }
    let (style, word) = match level {
        Level::Must => (Style::Bad, RowState::Fix.word()),
        Level::Should => (Style::Warn, RowState::Warn.word()),
        Level::Note | Level::Off => (Style::Dim, "NOTE"),
    };
    line.and(style, word).and(Style::Plain, format!(" the order: {what}"))
}

/// Names the picture and its print.
fn subject(key: &RowKey, print_name: &str) -> String {
    let print = visible(print_name);
    match (&key.picture, &key.print) {
        (Some(picture), Some(_)) => format!("{picture} for {print}"),
        (Some(picture), None) => picture.to_string(),
        (None, _) => print.into_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::PrintId;
    use crate::picture::PictureKey;

    fn said(from: Option<RowState>, to: Option<RowState>) -> Option<String> {
        let key =
            RowKey { print: Some(PrintId("p012".into())), picture: Some(PictureKey::from_text("p012\u{1b}.jpg")) };
        let finding = (to == Some(RowState::Fix)).then(|| "214 ppi; at least 240 ppi required".to_owned());
        let change = RowChange::Row { key, print_name: "p012 tart".to_owned(), from, to, finding };
        line("10:21:07", &change).map(|line| line.spans.iter().map(|span| span.text.as_str()).collect())
    }

    #[test]
    fn a_panic_of_the_judge_is_named_and_its_words_are_escaped() {
        let said = |change| {
            line("10:21:07", &change).map(|line| line.spans.iter().map(|span| span.text.as_str()).collect::<String>())
        };
        assert_eq!(
            said(RowChange::JudgingFailed(Some("row 9 of 8\u{1b}".into()))).unwrap(),
            "10:21:07 checking failed inside plateside: row 9 of 8\\u{1b}; \
             the rows keep their last results until something changes"
        );
        assert_eq!(said(RowChange::JudgingFailed(None)).unwrap(), "10:21:07 checking works again");
    }

    #[test]
    fn a_change_says_what_the_row_was_and_what_was_found() {
        assert_eq!(
            said(Some(RowState::Pass), Some(RowState::Fix)).unwrap(),
            "10:21:07 FIX p012\\u{1b}.jpg for p012 tart (was PASS): 214 ppi; at least 240 ppi required"
        );
        assert_eq!(
            said(Some(RowState::Checking), Some(RowState::Pass)).unwrap(),
            "10:21:07 PASS p012\\u{1b}.jpg for p012 tart"
        );
        assert_eq!(said(Some(RowState::Warn), None).unwrap(), "10:21:07 GONE p012\\u{1b}.jpg for p012 tart");
        assert_eq!(
            said(Some(RowState::Arriving), Some(RowState::Pass)).unwrap(),
            "10:21:07 PASS p012\\u{1b}.jpg for p012 tart"
        );
        assert_eq!(said(None, Some(RowState::Checking)), None);
    }

    #[test]
    fn names_and_the_order_as_a_whole_have_lines_too() {
        let text = |change: &RowChange| -> String {
            line("10:21:07", change).unwrap().spans.iter().map(|span| span.text.as_str()).collect()
        };
        let (from, to) = (PictureKey::from_text("a.jpg"), PictureKey::from_text("b.jpg"));
        assert_eq!(text(&RowChange::Renamed { from, to }), "10:21:07 a.jpg renamed to b.jpg");
        let order = |level, is_accepted| RowChange::Order { level, what: "2 colour spaces".to_owned(), is_accepted };
        assert_eq!(text(&order(Level::Should, true)), "10:21:07 WARN the order: 2 colour spaces");
        assert_eq!(text(&order(Level::Must, false)), "10:21:07 no longer found in the order: 2 colour spaces");
    }
}
