//! One change of the desk as one line: for screen readers and night runs.

use crate::brief::asked::Level;
use crate::desk::lines::Change;
use crate::desk::scan::cut_off_words;
use crate::desk::snapshot::Watching;
use crate::judge::{RowKey, State};
use crate::units::show;
use crate::units::styled::{Line, Style};
use crate::units::words::visible;

/// The line of a change, after its time; `None` for what only passes by (a picture that is being read).
pub fn line(time: &str, change: &Change) -> Option<Line> {
    let line = Line::of(Style::Dim, time).and(Style::Plain, " ");
    match change {
        Change::Row { to: Some(State::Checking), .. } => None,
        Change::Row { key, print_name, from, to, finding } => {
            let about = subject(key, print_name);
            let line = match (from, to) {
                (_, None) => line.and(Style::Dim, format!("GONE {about}")),
                (from, Some(to)) => {
                    let is_verdict = |from: &State| !matches!(from, State::Checking | State::Arriving);
                    let turned = from.filter(|from| from != to && is_verdict(from));
                    let was = turned.map_or_else(String::new, |from| format!(" (was {})", from.word()));
                    line.and(style(*to), to.word()).and(Style::Plain, format!(" {about}{was}"))
                }
            };
            Some(match finding {
                Some(finding) => line.and(Style::Plain, format!(": {finding}")),
                None => line,
            })
        }
        Change::Renamed { from, to } => Some(line.and(Style::Plain, format!("{from} is now {to}"))),
        Change::Order { level, what, stands } => Some(order(line, *level, what, *stands)),
        Change::Folder(Watching::Notified) => Some(line.and(Style::Plain, "the folder is watched")),
        Change::Folder(Watching::Polled(why)) => {
            Some(line.and(Style::Plain, format!("the folder is looked at again and again: {}", visible(why))))
        }
        Change::Folder(Watching::Gone) => Some(line.and(Style::Bad, "the folder is gone; it is looked for")),
        Change::Folder(Watching::NotPermitted) => {
            Some(line.and(Style::Bad, "reading the folder is not permitted; it is tried again"))
        }
        Change::CutOff => {
            let (what, remedy) = cut_off_words();
            Some(line.and(Style::Bad, format!("{what}; {remedy}")))
        }
        Change::Brief(0) => Some(line.and(Style::Plain, "the brief is good again")),
        Change::Brief(mistakes) => {
            let mistakes = show::count(*mistakes, "mistake", "mistakes");
            Some(line.and(Style::Bad, format!("the brief has {mistakes}; the last good one goes on judging")))
        }
    }
}

/// A finding on the order as a whole, with the word of the state that it would give a row.
fn order(line: Line, level: Level, what: &str, stands: bool) -> Line {
    let what = visible(what);
    if !stands {
        return line.and(Style::Plain, format!("the order, no longer: {what}"));
    }
    let (style, word) = match level {
        Level::Must => (Style::Bad, State::Fix.word()),
        Level::Should => (Style::Warn, State::Warn.word()),
        Level::Note | Level::Off => (Style::Dim, "NOTE"),
    };
    line.and(style, word).and(Style::Plain, format!(" the order: {what}"))
}

/// The picture and what it is for.
fn subject(key: &RowKey, print_name: &str) -> String {
    let print = visible(print_name);
    match (&key.picture, &key.print) {
        (Some(picture), Some(_)) => format!("{picture} for {print}"),
        (Some(picture), None) => picture.to_string(),
        (None, _) => print.into_owned(),
    }
}

fn style(state: State) -> Style {
    match state {
        State::Fix => Style::Bad,
        State::Warn | State::Missing => Style::Warn,
        State::Pass => Style::Good,
        State::Extra | State::Arriving | State::Checking => Style::Dim,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::PrintId;
    use crate::picture::PictureKey;

    fn said(from: Option<State>, to: Option<State>) -> Option<String> {
        let key =
            RowKey { print: Some(PrintId("p012".into())), picture: Some(PictureKey::from_text("p012\u{1b}.jpg")) };
        let finding = (to == Some(State::Fix)).then(|| "214 ppi; at least 240 ppi asked".to_owned());
        let change = Change::Row { key, print_name: "p012 tart".to_owned(), from, to, finding };
        line("10:21:07", &change).map(|line| line.spans.iter().map(|span| span.text.as_str()).collect())
    }

    #[test]
    fn a_turn_says_what_the_row_was_and_what_was_found() {
        assert_eq!(
            said(Some(State::Pass), Some(State::Fix)).unwrap(),
            "10:21:07 FIX p012\\u{1b}.jpg for p012 tart (was PASS): 214 ppi; at least 240 ppi asked"
        );
        assert_eq!(
            said(Some(State::Checking), Some(State::Pass)).unwrap(),
            "10:21:07 PASS p012\\u{1b}.jpg for p012 tart"
        );
        assert_eq!(said(Some(State::Warn), None).unwrap(), "10:21:07 GONE p012\\u{1b}.jpg for p012 tart");
        assert_eq!(
            said(Some(State::Arriving), Some(State::Pass)).unwrap(),
            "10:21:07 PASS p012\\u{1b}.jpg for p012 tart"
        );
        assert_eq!(said(None, Some(State::Checking)), None);
    }

    #[test]
    fn names_and_the_order_as_a_whole_have_lines_too() {
        let text = |change: &Change| -> String {
            line("10:21:07", change).unwrap().spans.iter().map(|span| span.text.as_str()).collect()
        };
        let (from, to) = (PictureKey::from_text("a.jpg"), PictureKey::from_text("b.jpg"));
        assert_eq!(text(&Change::Renamed { from, to }), "10:21:07 a.jpg is now b.jpg");
        let order = |level, stands| Change::Order { level, what: "2 colour spaces".to_owned(), stands };
        assert_eq!(text(&order(Level::Should, true)), "10:21:07 WARN the order: 2 colour spaces");
        assert_eq!(text(&order(Level::Must, false)), "10:21:07 the order, no longer: 2 colour spaces");
    }
}
