//! Reactions to a brief being read again, and to answers about its colours.

use std::collections::HashSet;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::{Brief, Problem};
use crate::judge::metrics::lost_colours::ColourRequest;
use crate::live::effect::Effect;
use crate::live::notice::brief_is_broken;
use crate::reading::job::Ticket;

use super::LiveState;

impl LiveState {
    pub(crate) fn brief_read(
        &mut self,
        read: Result<Arc<Brief>, Vec<Problem>>,
        now: Duration,
        effects: &mut Vec<Effect>,
    ) {
        // A brief waiting for its colours is now out of date.
        if self.brief.drop_pending() {
            effects.push(Effect::Expect(self.brief.good.clone()));
            self.fresh = true;
        }
        match read {
            Ok(brief) => {
                let is_same = brief == self.brief.good;
                if !self.brief.is_fixed() && is_same {
                    return;
                }
                // Rows of the same brief need not be judged again.
                let brief = if is_same { self.brief.good.clone() } else { brief };
                self.expect_brief(brief, now, effects);
            }
            Err(problems) => {
                let words = brief_is_broken(problems.len());
                if !self.brief.is_broken(problems) {
                    return;
                }
                self.say(words);
            }
        }
        self.fresh = true;
    }

    /// Takes a brief into use, at once or as soon as its colour requirements are evaluated.
    fn expect_brief(&mut self, brief: Arc<Brief>, now: Duration, effects: &mut Vec<Effect>) {
        effects.push(Effect::Expect(brief.clone()));
        let asks_more = ColourRequest::asks_more(&brief, &self.brief.good);
        let entries = &self.entries;
        self.brief.wait_for(brief, |number| {
            let mut left = HashSet::new();
            for (key, entry) in entries.iter().filter(|_| asks_more) {
                let Some(job) = entry.colours(key, number) else { continue };
                left.insert((key.clone(), entry.version));
                effects.push(Effect::Read(job));
            }
            left
        });
        if self.brief.left() > 0 {
            self.say("brief read again: working out its colours first".to_owned());
        }
        self.take_brief_up(now);
    }

    /// Takes in a picture's colour answers, or their absence, which then shows when it is judged.
    pub(crate) fn colours_answered(&mut self, ticket: &Ticket, number: Option<u64>, now: Duration) {
        if self.brief.answered(&ticket.key, ticket.version, number) {
            self.progress.done += 1;
            self.fresh = true;
        }
        self.take_brief_up(now);
    }

    /// Stops waiting for pictures that are gone or changed; to be called after every scan of the folder.
    pub(crate) fn wait_for_what_is_there(&mut self, now: Duration) {
        let entries = &self.entries;
        self.brief.retain(|key, version| entries.get(key).is_some_and(|entry| entry.version == version));
        self.take_brief_up(now);
    }

    /// Takes the waiting brief into use, once nothing is left to wait for.
    pub(crate) fn take_brief_up(&mut self, now: Duration) {
        if self.brief.take_up() {
            self.judging.since.happened.brief_read = true;
            self.judge_instead(now);
            self.fresh = true;
        }
    }
}
