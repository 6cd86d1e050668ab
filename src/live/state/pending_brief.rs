//! A new brief that asks more of colours: the one before judges on until the workers have answered.

use std::collections::HashSet;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::Brief;
use crate::judge::metrics::lost_colours::ColourRequest;
use crate::live::effect::Effect;
use crate::picture::PictureKey;
use crate::reading::job::Ticket;

use super::LiveState;

/// A brief whose questions are being worked out.
#[derive(Clone, Debug)]
pub struct PendingBrief {
    brief: Arc<Brief>,
    /// Which of them it is: an answer to an earlier one is none to this.
    number: u64,
    /// Pictures, with their contents, of which no answer is there yet.
    pub left: HashSet<(PictureKey, u64)>,
}

impl LiveState {
    /// Takes a brief up, at once or as soon as what it asks of colours is known.
    pub(crate) fn expect(&mut self, brief: Arc<Brief>, now: Duration, orders: &mut Vec<Effect>) {
        orders.push(Effect::Expect(brief.clone()));
        self.briefs += 1;
        let (number, mut left) = (self.briefs, HashSet::new());
        if ColourRequest::is_more(&brief, &self.brief) {
            for (key, entry) in self.entries.iter() {
                let Some(job) = entry.colours(key, number) else { continue };
                left.insert((key.clone(), entry.version));
                orders.push(Effect::Read(job));
            }
        }
        if !left.is_empty() {
            self.say("brief read again: its colours are worked out first".to_owned());
        }
        self.expected = Some(PendingBrief { brief, number, left });
        self.take_expected(now);
    }

    /// A picture's answers are there, or nobody can find them out: then that is seen where it is judged.
    pub(crate) fn colours_answered(&mut self, ticket: &Ticket, number: Option<u64>, now: Duration) {
        let Some(expected) = &mut self.expected else { return };
        if number.is_none_or(|number| number == expected.number)
            && expected.left.remove(&(ticket.key.clone(), ticket.version))
        {
            self.done += 1;
            self.fresh = true;
        }
        self.take_expected(now);
    }

    /// What has gone or changed is not waited for; to be called whenever the folder was looked at.
    pub(crate) fn expect_what_is_there(&mut self, now: Duration) {
        let (Some(expected), entries) = (&mut self.expected, &self.entries) else { return };
        expected.left.retain(|(key, version)| entries.get(key).is_some_and(|entry| entry.version == *version));
        self.take_expected(now);
    }

    /// Takes the brief up once nothing is left.
    pub(crate) fn take_expected(&mut self, now: Duration) {
        let Some(expected) = self.expected.take_if(|expected| expected.left.is_empty()) else { return };
        self.brief = expected.brief;
        self.happened.brief_read = true;
        self.judge_soon(now);
        self.fresh = true;
    }
}
