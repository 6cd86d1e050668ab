//! News for the user: one line, and the picture that came last.

use std::time::Duration;

use crate::live::limits;
use crate::live::notice::{RecentEvents, words};
use crate::live::rows::ChangedStates;
use crate::live::snapshot::Notice;
use crate::picture::PictureKey;

/// The news of a live table.
#[derive(Debug, Default)]
pub struct News {
    /// The line about what just happened.
    pub notice: Option<Notice>,
    /// The picture that arrived or changed last.
    pub newest: Option<PictureKey>,
    /// Pictures that arrived before the last judgement, and when the last of them did.
    arrivals: (usize, Duration),
    /// True once all files present at the opening were read: changes before that are not news.
    has_opened: bool,
}

impl News {
    /// Sets the line.
    pub fn say(&mut self, words: String) {
        let number = self.notice.as_ref().map_or(0, |notice| notice.number) + 1;
        self.notice = Some(Notice { number, words });
    }

    /// Reports the events up to a judgement and the rows it changed, if any. `all_read`: nothing is waiting to be read
    /// or judged.
    pub fn report(&mut self, happened: RecentEvents, changed: ChangedStates, all_read: bool, now: Duration) {
        let changed = if self.has_opened { changed } else { ChangedStates::default() };
        self.has_opened |= all_read;
        let happened = self.with_earlier_arrivals(happened, now);
        if let Some(words) = words(&happened, &changed) {
            self.say(words);
        }
    }

    /// Adds how many pictures arrived just before: a folder that is copied in arrives in many pieces.
    fn with_earlier_arrivals(&mut self, mut happened: RecentEvents, now: Duration) -> RecentEvents {
        if !happened.arrived.is_empty() {
            let (count, last) = self.arrivals;
            if now.saturating_sub(last) < limits::NEWS_ADD_UP_FOR {
                happened.arrived_before = count;
            }
            self.arrivals = (happened.arrived_before + happened.arrived.len(), now);
        }
        happened
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_that_change_are_news_once_all_that_lay_there_was_read() {
        let mut news = News::default();
        let changed = || ChangedStates { rows: 2, last: None };
        news.report(RecentEvents::default(), changed(), false, Duration::ZERO);
        news.report(RecentEvents::default(), changed(), true, Duration::ZERO);
        assert_eq!(news.notice, None);
        news.report(RecentEvents::default(), changed(), true, Duration::ZERO);
        assert_eq!(
            news.notice.as_ref().map(|notice| (notice.number, notice.words.as_str())),
            Some((1, "2 rows changed"))
        );
    }
}
