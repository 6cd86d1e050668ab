//! The schedule of judgements, and changes that the judgement under way does not know of yet.
//!
//! One judgement at a time: later changes wait for the next, unless the user caused them (a brief, a decision): then
//! the one under way is superseded. Judging takes only a share of the time, so that reading goes on.

use std::collections::{HashMap, HashSet};
use std::mem;
use std::sync::Arc;
use std::time::Duration;

use crate::live::limits;
use crate::live::notice::RecentEvents;
use crate::live::rows::PictureStatus;
use crate::picture::PictureKey;

/// The schedule of judgements.
#[derive(Debug, Default)]
pub struct JudgeSchedule {
    /// When the next judgement is due, if one is wanted.
    due: Option<Duration>,
    /// Earliest time of the next judgement while pictures wait to be read.
    earliest_while_reading: Duration,
    /// Earliest time of the next judgement while none waits.
    earliest: Duration,
    /// True if the due judgement supersedes the one under way.
    supersedes: bool,
    /// The number of the last request.
    number: u64,
    under_way: Option<UnderWay>,
    /// Events since the last request; the next judgement reports them.
    pub since: SinceRequest,
    /// The message of the panic that ended the last judgement, if one did.
    failed: Option<Arc<str>>,
}

/// Events between two requests.
#[derive(Debug, Default)]
pub struct SinceRequest {
    /// The events that the notice will report.
    pub happened: RecentEvents,
    /// Renamed pictures: the name now, mapped to the name before.
    pub moved: HashMap<PictureKey, PictureKey>,
    /// Number of pictures read that are still waiting for a verdict.
    pub read: usize,
}

/// A judgement under way, and changes to pictures since its request.
#[derive(Debug, Default)]
pub struct UnderWay {
    /// The events that it reports when it ends.
    pub events: SinceRequest,
    /// Pictures that hold other bytes by now.
    overtaken: HashSet<PictureKey>,
    /// Pictures of which more has been read since.
    read_since: HashSet<PictureKey>,
    /// Pictures no longer there under this name, with their last status.
    gone: HashMap<PictureKey, PictureStatus>,
}

impl JudgeSchedule {
    /// Schedules a judgement soon. `none_waits`: no picture is waiting to be read.
    pub fn want(&mut self, now: Duration, none_waits: bool) {
        let soon = now + limits::JUDGE_DELAY;
        let at = *self.due.get_or_insert(soon.max(self.earliest_while_reading));
        // No picture waits any more: the longer pause that leaves time for reading is not needed.
        if at > soon && none_waits {
            self.due = Some(soon.max(self.earliest));
        }
    }

    /// Schedules a judgement that supersedes the one under way, whose result is no longer wanted.
    pub fn want_superseding(&mut self, now: Duration, none_waits: bool) {
        self.supersedes = self.under_way.is_some();
        self.want(now, none_waits);
    }

    /// Returns when a judgement may begin, if one is wanted.
    pub fn next_begin(&self) -> Option<Duration> {
        self.due.filter(|_| self.under_way.is_none() || self.supersedes)
    }

    /// Begins a judgement if one is due; returns the number of its request. It also reports the events that a
    /// superseded one would have reported.
    pub fn begin(&mut self, now: Duration) -> Option<u64> {
        self.next_begin().filter(|at| *at <= now)?;
        (self.due, self.supersedes) = (None, false);
        let mut events = self.under_way.take().map(|superseded| superseded.events).unwrap_or_default();
        events.add(mem::take(&mut self.since));
        self.under_way = Some(UnderWay { events, ..UnderWay::default() });
        self.number += 1;
        Some(self.number)
    }

    /// Ends the judgement with this number, which took `took`; `None` if it was superseded. After a panic (`failed` is
    /// its message) the next judgement reports its events.
    pub fn end(&mut self, number: u64, failed: Option<Arc<str>>, took: Duration, now: Duration) -> Option<UnderWay> {
        if number != self.number {
            return None;
        }
        let mut ended = self.under_way.take()?;
        self.earliest = now + limits::JUDGE_PACE.max(took);
        self.earliest_while_reading = now + limits::JUDGE_PACE.max(took * limits::JUDGE_REST_TIMES);
        self.supersedes = false;
        if failed.is_some() {
            let later = mem::replace(&mut self.since, mem::take(&mut ended.events));
            self.since.read = 0;
            self.since.add(later);
        }
        self.failed = failed;
        Some(ended)
    }

    /// True if a judgement is wanted or under way.
    pub fn is_busy(&self) -> bool {
        self.due.is_some() || self.under_way.is_some()
    }

    /// Returns the message of the panic that ended the last judgement, if one did.
    pub fn failed(&self) -> Option<&Arc<str>> {
        self.failed.as_ref()
    }

    /// Returns the number of pictures read and not judged yet.
    pub fn unjudged(&self) -> usize {
        self.since.read + self.under_way.as_ref().map_or(0, |judgement| judgement.events.read)
    }

    /// Notes that these pictures hold other bytes by now.
    pub fn note_overtaken(&mut self, pictures: impl Iterator<Item = PictureKey>) {
        if let Some(judgement) = &mut self.under_way {
            judgement.overtaken.extend(pictures);
        }
    }

    /// Notes that more of this picture was read.
    pub fn note_read(&mut self, picture: &PictureKey) {
        if let Some(judgement) = &mut self.under_way {
            judgement.read_since.insert(picture.clone());
        }
    }

    /// Notes that this picture is no longer there under its name, with its last status.
    pub fn note_gone(&mut self, picture: &PictureKey, last: PictureStatus) {
        if let Some(judgement) = &mut self.under_way {
            judgement.gone.insert(picture.clone(), last);
        }
    }

    /// Notes that a picture was renamed.
    pub fn note_moved(&mut self, from: &PictureKey, to: &PictureKey) {
        self.since.happened.moved.push((from.clone(), to.clone()));
        self.since.add_move(to.clone(), from.clone());
    }
}

impl SinceRequest {
    /// Adds later events.
    fn add(&mut self, later: SinceRequest) {
        self.happened.add(later.happened);
        self.read += later.read;
        later.moved.into_iter().for_each(|(to, from)| self.add_move(to, from));
    }

    /// Adds a rename; a picture renamed twice keeps its first name as origin.
    fn add_move(&mut self, to: PictureKey, from: PictureKey) {
        let first = self.moved.remove(&from).unwrap_or(from);
        self.moved.insert(to, first);
    }
}

impl UnderWay {
    /// Returns the status of a picture whose verdict arrives now, from its current status, if it is still there.
    pub fn status(&self, picture: &PictureKey, current: Option<PictureStatus>) -> PictureStatus {
        let status = current.or_else(|| self.gone.get(picture).copied()).unwrap_or_default();
        PictureStatus { is_overtaken: self.overtaken.contains(picture), ..status }
    }

    /// True if more was read of a picture than this judgement knew.
    pub fn knew_less_of(&self, picture: &PictureKey) -> bool {
        self.read_since.contains(picture) || self.overtaken.contains(picture)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    fn key(name: &str) -> PictureKey {
        PictureKey::from_text(name)
    }

    /// Returns a schedule whose first judgement has been under way for 20 ms.
    fn begun() -> JudgeSchedule {
        let mut schedule = JudgeSchedule::default();
        schedule.want(ms(0), false);
        assert_eq!((schedule.begin(limits::JUDGE_DELAY - ms(1)), schedule.begin(limits::JUDGE_DELAY)), (None, Some(1)));
        schedule
    }

    #[test]
    fn only_a_superseding_judgement_begins_while_one_is_under_way() {
        let mut schedule = begun();
        schedule.want(ms(30), true);
        assert_eq!((schedule.next_begin(), schedule.begin(ms(1_000))), (None, None));
        schedule.want_superseding(ms(1_000), true);
        assert_eq!(schedule.begin(ms(1_000)), Some(2), "it was due");
        assert!(schedule.end(1, None, ms(9), ms(1_001)).is_none(), "that was superseded");
        assert!(schedule.is_busy() && schedule.end(2, None, ms(9), ms(1_002)).is_some());
        assert!(!schedule.is_busy() && schedule.end(2, None, ms(9), ms(1_003)).is_none(), "it has ended");
    }

    #[test]
    fn pauses_between_judgements_are_longer_while_pictures_wait() {
        let took = ms(1_000);
        for (none_waits, pause) in [(false, took * limits::JUDGE_REST_TIMES), (true, took)] {
            let mut schedule = begun();
            schedule.end(1, None, took, ms(2_000));
            schedule.want(ms(2_000), none_waits);
            assert_eq!(schedule.next_begin(), Some(ms(2_000) + pause));
        }
    }

    #[test]
    fn events_of_a_superseded_or_failed_judgement_are_reported_by_the_next() {
        let mut schedule = JudgeSchedule::default();
        schedule.note_moved(&key("a"), &key("b"));
        schedule.since.read = 2;
        schedule.want(ms(0), true);
        schedule.begin(ms(100));
        schedule.note_moved(&key("b"), &key("c"));
        schedule.since.read = 1;
        assert_eq!(schedule.unjudged(), 3);
        schedule.want_superseding(ms(100), true);
        schedule.begin(ms(200));
        assert_eq!((schedule.unjudged(), schedule.since.read), (3, 0));
        let failed = schedule.end(2, Some("why".into()), ms(1), ms(300)).unwrap();
        assert!(failed.events.moved.is_empty() && schedule.failed().is_some());
        assert_eq!(schedule.unjudged(), 0, "nobody waits for their verdict any more");
        schedule.want(ms(300), true);
        schedule.begin(ms(1_000));
        let told = schedule.end(3, None, ms(1), ms(1_001)).unwrap().events;
        assert_eq!(told.moved, HashMap::from([(key("c"), key("a"))]), "from where it was first");
        assert_eq!((told.happened.moved.len(), schedule.failed()), (2, None));
    }

    #[test]
    fn status_of_a_verdict_tells_changes_since_its_request() {
        let mut schedule = begun();
        let status = |version| PictureStatus { version, ..PictureStatus::default() };
        schedule.note_gone(&key("left"), status(3));
        schedule.note_overtaken([key("changed")].into_iter());
        schedule.note_read(&key("read"));
        let ended = schedule.end(1, None, ms(1), ms(100)).unwrap();
        assert_eq!(ended.status(&key("left"), None), status(3));
        assert!(ended.status(&key("changed"), Some(status(9))).is_overtaken);
        assert_eq!(ended.status(&key("same"), Some(status(7))), status(7));
        assert!(ended.knew_less_of(&key("read")) && ended.knew_less_of(&key("changed")));
        assert!(!ended.knew_less_of(&key("same")));
    }
}
