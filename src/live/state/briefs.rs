//! Reactions to a brief being read again, and to answers about its colours.

use std::collections::HashSet;
use std::sync::Arc;

use crate::brief::{Brief, Problem};
use crate::judge::metrics::lost_colours::ColourRequest;
use crate::live::effect::Effect;
use crate::live::notice::brief_is_broken;
use crate::reading::job::Ticket;

use super::LiveState;

impl LiveState {
    pub(crate) fn take_brief(&mut self, read: Result<Arc<Brief>, Vec<Problem>>) {
        // A brief waiting for its colours is now out of date.
        if self.brief.drop_pending() {
            self.effects.push(Effect::UseBrief(self.brief.last_valid.clone()));
            self.has_changed = true;
        }
        match read {
            Ok(brief) => {
                let is_same = brief == self.brief.last_valid;
                if !self.brief.clear_problems() && is_same {
                    return;
                }
                // Rows of the same brief need not be judged again.
                let brief = if is_same { self.brief.last_valid.clone() } else { brief };
                self.use_brief(brief);
            }
            Err(problems) => {
                let words = brief_is_broken(problems.len());
                if !self.brief.set_problems(problems) {
                    return;
                }
                self.say(words);
            }
        }
        self.has_changed = true;
    }

    /// Takes a brief into use, at once or as soon as its colour requirements are evaluated.
    fn use_brief(&mut self, brief: Arc<Brief>) {
        self.effects.push(Effect::UseBrief(brief.clone()));
        let asks_more = ColourRequest::asks_more(&brief, &self.brief.last_valid);
        let entries = &self.entries;
        self.brief.wait_for(brief, |number| {
            let mut waiting = HashSet::new();
            for (key, entry) in entries.iter().filter(|_| asks_more) {
                let Some(job) = entry.colours_job(key, number) else { continue };
                waiting.insert((key.clone(), entry.version));
                self.effects.push(Effect::Read(job));
            }
            waiting
        });
        if self.brief.waiting_pictures() > 0 {
            self.say("brief read again: working out its colours first".to_owned());
        }
        self.use_ready_brief();
    }

    /// Takes in a picture's colour answers, or their absence, which then shows when it is judged.
    pub(crate) fn take_colours(&mut self, ticket: &Ticket, number: Option<u64>) {
        if self.brief.note_answer(&ticket.key, ticket.version, number) {
            self.progress.done += 1;
            self.has_changed = true;
        }
        self.use_ready_brief();
    }

    /// Stops waiting for pictures that are gone or changed; to be called after every scan of the folder.
    pub(crate) fn stop_waiting_for_gone(&mut self) {
        let entries = &self.entries;
        self.brief.retain(|key, version| entries.get(key).is_some_and(|entry| entry.version == version));
        self.use_ready_brief();
    }

    /// Takes the waiting brief into use, once no picture is waited for.
    pub(crate) fn use_ready_brief(&mut self) {
        if self.brief.use_pending() {
            self.judging.since.happened.is_brief_read = true;
            self.judge_superseding();
            self.has_changed = true;
        }
    }
}
