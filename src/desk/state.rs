//! What the desk knows, and what follows from whatever happens: `update(event, now)` gives orders for others to carry
//! out. Does no I/O, has no thread and no clock; `now` is the time since the desk was opened.
//!
//! Orders are only ever given for what a picture's bytes make necessary: a new brief is judged without reading.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use crate::brief::{Brief, Problem};
use crate::judge::row::Totals;
use crate::judge::{Finding, Header, Judgement, Pixels, RowKey};
use crate::measure::{Evidence, Thumbnail};
use crate::picture::facts::Model;
use crate::picture::{Facts, Fault, PictureKey};

use super::entry::{Entry, Phase};
use super::event::Event;
use super::gallery::Gallery;
use super::inspect::Upright;
use super::job::{Done, Kind, Task, Ticket, Trouble};
use super::limits;
use super::notice::{Happened, words};
use super::order::Order;
use super::rows::{Rows, Standing};
use super::scan::{Scan, Sighting};
use super::snapshot::{Command, Notice, Snapshot, Watching, Work};

/// The whole desk without its hands.
#[derive(Debug)]
pub struct State {
    folder: PathBuf,
    brief: Arc<Brief>,
    problems: Arc<[Problem]>,
    watching: Watching,
    entries: BTreeMap<PictureKey, Entry>,
    versions: u64,
    scanned: bool,
    rows: Rows,
    order_findings: Arc<[Finding]>,
    totals: Totals,
    gallery: Gallery,
    selected: Option<PictureKey>,
    reading: Vec<(PictureKey, u64)>,
    done: usize,
    newest: Option<PictureKey>,
    happened: Happened,
    moved: HashMap<PictureKey, PictureKey>,
    notice: Option<Notice>,
    judge_at: Option<Duration>,
    judge_not_before: Duration,
    judging: bool,
    generation: u64,
    fresh: bool,
}

impl State {
    /// A desk that has not looked at its folder yet.
    pub fn new(brief: Arc<Brief>, folder: PathBuf) -> State {
        State {
            folder,
            brief,
            problems: Vec::new().into(),
            watching: Watching::Notified,
            entries: BTreeMap::new(),
            versions: 0,
            scanned: false,
            rows: Rows::default(),
            order_findings: Vec::new().into(),
            totals: Totals::default(),
            gallery: Gallery::default(),
            selected: None,
            reading: Vec::new(),
            done: 0,
            newest: None,
            happened: Happened::default(),
            moved: HashMap::new(),
            notice: None,
            judge_at: None,
            judge_not_before: Duration::ZERO,
            judging: false,
            generation: 0,
            fresh: true,
        }
    }

    /// Takes in what happened; gives what is to be done.
    pub fn update(&mut self, event: Event, now: Duration) -> Vec<Order> {
        let mut orders = Vec::new();
        match event {
            Event::Scanned(scan, watching) => self.scanned(scan, watching, now, &mut orders),
            Event::FolderGone => self.folder_gone(now, &mut orders),
            Event::BriefRead(read) => self.brief_read(read, now),
            Event::Asked(Command::Look { selected, visible }) => self.look(selected, visible, &mut orders),
            Event::Asked(Command::Rescan) => orders.push(Order::LookAgain(Duration::ZERO)),
            Event::Asked(Command::Quit) => orders.push(Order::Quit),
            Event::Began(ticket, kind) => {
                if kind == Kind::Pixels && self.current(&ticket).is_some() {
                    self.reading.push((ticket.key, ticket.version));
                    self.fresh = true;
                }
            }
            Event::Worked(ticket, done) => self.worked(&ticket, done, now, &mut orders),
            Event::Judged(judgement, took) => self.judged(judgement, took, now),
            Event::Tick => {}
        }
        self.retries(now, &mut orders);
        self.judge_if_due(now, &mut orders);
        orders
    }

    /// When something is due by itself, if anything is.
    pub fn next_wake(&self) -> Option<Duration> {
        let retries = self.entries.values().filter_map(|entry| match entry.phase {
            Phase::Retrying(at) => Some(at),
            _ => None,
        });
        retries.chain(self.judge_at.filter(|_| !self.judging)).min()
    }

    /// The desk as it is now, if it is not what it was when last asked.
    pub fn take_snapshot(&mut self) -> Option<Snapshot> {
        if !std::mem::take(&mut self.fresh) {
            return None;
        }
        self.generation += 1;
        let waiting = self.entries.values().filter(|entry| entry.phase == Phase::Waiting).count();
        let reading: Vec<PictureKey> = self.reading.iter().map(|(key, _)| key.clone()).collect();
        if waiting == 0 && reading.is_empty() {
            self.done = 0;
        }
        let waiting = waiting.saturating_sub(reading.len());
        Some(Snapshot {
            generation: self.generation,
            brief: self.brief.clone(),
            brief_problems: self.problems.clone(),
            folder: self.folder.clone(),
            watching: self.watching.clone(),
            rows: self.rows.in_order().clone(),
            order_findings: self.order_findings.clone(),
            totals: self.totals,
            work: Work { reading, waiting, done: self.done },
            newest: self.newest.clone(),
            notice: self.notice.clone(),
        })
    }

    fn scanned(&mut self, scan: Scan, watching: Watching, now: Duration, orders: &mut Vec<Order>) {
        if self.watching == Watching::Gone {
            self.say("folder is back".to_owned());
        }
        self.fresh |= self.watching != watching;
        self.watching = watching;
        let arrived = self.compare(&scan, now, orders);
        self.take_in(&scan, arrived, now, orders);
        let mut look_again: Option<Duration> = None;
        for (key, entry) in &mut self.entries {
            if entry.phase != Phase::Arriving {
                continue;
            }
            if entry.is_ready(now) {
                orders.push(Order::Read(entry.ready(key)));
                self.judge_at.get_or_insert(now + limits::JUDGE_FOLD);
            } else {
                let wait = entry.ready_at().saturating_sub(now).max(limits::SCAN_PACE);
                look_again = Some(look_again.map_or(wait, |soonest| soonest.min(wait)));
            }
        }
        orders.extend(look_again.map(Order::LookAgain));
        if !self.scanned {
            self.scanned = true;
            self.judge_soon(now);
        }
    }

    /// Compares the known files with those seen; gives the files never seen before.
    fn compare<'a>(
        &mut self,
        scan: &'a Scan,
        now: Duration,
        orders: &mut Vec<Order>,
    ) -> Vec<(&'a PictureKey, &'a Sighting)> {
        let mut arrived = Vec::new();
        for (key, sighting) in &scan.files {
            let Some(entry) = self.entries.get_mut(key) else {
                arrived.push((key, sighting));
                continue;
            };
            if entry.stamp == sighting.stamp {
                entry.seen_again(sighting);
                continue;
            }
            let was_growing = entry.phase == Phase::Arriving;
            self.versions += 1;
            *entry = Entry::new(sighting, self.versions, false, now);
            orders.push(Order::Forget(key.clone()));
            self.newest = Some(key.clone());
            if !was_growing {
                self.happened.changed.push(key.clone());
            }
            self.judge_soon(now);
        }
        arrived
    }

    /// Takes in files never seen before and lets go of those that are gone; a file with another name and the same
    /// content keeps what is known of it.
    fn take_in(
        &mut self,
        scan: &Scan,
        arrived: Vec<(&PictureKey, &Sighting)>,
        now: Duration,
        orders: &mut Vec<Order>,
    ) {
        let gone: Vec<PictureKey> = self.entries.keys().filter(|key| !scan.files.contains_key(key)).cloned().collect();
        let mut by_inode: HashMap<u64, PictureKey> = HashMap::new();
        for key in gone.iter().filter(|key| self.entries[*key].phase == Phase::Settled) {
            by_inode.insert(self.entries[key].stamp.marks.inode, key.clone());
        }
        let mut moved = HashSet::new();
        for (key, sighting) in arrived {
            self.judge_soon(now);
            let earlier = by_inode.get(&sighting.stamp.marks.inode).filter(|earlier| !moved.contains(*earlier));
            if let Some(earlier) = earlier
                && sighting.stamp.moved_from(&self.entries[earlier].stamp)
            {
                let mut entry = self.entries[earlier].clone();
                entry.moved_to(sighting);
                self.entries.insert(key.clone(), entry);
                moved.insert(earlier.clone());
                self.moved.insert(key.clone(), earlier.clone());
                self.happened.moved.push((earlier.clone(), key.clone()));
                continue;
            }
            let age_ns = scan.taken_ns - sighting.stamp.marks.modified_ns;
            let old = !self.scanned && age_ns >= limits::QUIET_UNTOLD.as_nanos().try_into().unwrap_or(i128::MAX);
            self.versions += 1;
            self.entries.insert(key.clone(), Entry::new(sighting, self.versions, old, now));
            if self.scanned {
                self.happened.arrived.push(key.clone());
                self.newest = Some(key.clone());
            }
        }
        for key in gone {
            self.entries.remove(&key);
            orders.push(Order::Forget(key.clone()));
            if !moved.contains(&key) {
                self.happened.left.push(key);
            }
            self.judge_soon(now);
        }
    }

    fn folder_gone(&mut self, now: Duration, orders: &mut Vec<Order>) {
        if self.watching == Watching::Gone {
            return;
        }
        self.watching = Watching::Gone;
        for (key, entry) in &mut self.entries {
            if entry.phase != Phase::Settled {
                entry.doubt(now);
                orders.push(Order::Forget(key.clone()));
            }
        }
        self.say("folder is gone; it is looked for".to_owned());
    }

    fn brief_read(&mut self, read: Result<Arc<Brief>, Vec<Problem>>, now: Duration) {
        match read {
            Ok(brief) => {
                let mended = !self.problems.is_empty();
                if !mended && brief.sha256 == self.brief.sha256 {
                    return;
                }
                self.brief = brief;
                self.problems = Vec::new().into();
                self.happened.brief_read = true;
                self.judge_soon(now);
            }
            Err(problems) => {
                if *self.problems == *problems {
                    return;
                }
                self.say(super::notice::brief_is_broken(problems.len()));
                self.problems = problems.into();
            }
        }
        self.fresh = true;
    }

    fn look(&mut self, selected: Option<RowKey>, visible: Vec<RowKey>, orders: &mut Vec<Order>) {
        let selected = selected.and_then(|row| row.picture);
        let mut first: Vec<PictureKey> = selected.iter().cloned().collect();
        first.extend(visible.into_iter().filter_map(|row| row.picture).filter(|key| Some(key) != selected.as_ref()));
        orders.push(Order::Prefer { selected: selected.clone(), first });
        if self.selected != selected {
            self.selected = selected;
            let is_other = self.gallery.shown().is_some_and(|shown| Some(&shown.picture) != self.selected.as_ref());
            if is_other && self.gallery.show_nothing() {
                orders.push(Order::Show(None));
            }
        }
        self.want_thumbnail(orders);
    }

    /// Asks for the selected picture's thumbnail, as far as it is not there yet.
    fn want_thumbnail(&mut self, orders: &mut Vec<Order>) {
        let Some(key) = &self.selected else { return };
        let Some(entry) = self.entries.get(key) else { return };
        let Some(facts) = entry.facts().cloned() else { return };
        let shown = self.gallery.shown().filter(|shown| shown.version == entry.version && shown.picture == *key);
        let (nothing_yet, all_there) = (shown.is_none(), shown.is_some_and(|shown| !shown.preview));
        if all_there {
            return;
        }
        if let Some(thumbnail) = self.gallery.get(entry.version) {
            orders.push(Order::Read(entry.job(key, Task::Show(facts, thumbnail))));
            return;
        }
        if nothing_yet {
            orders.push(Order::Read(entry.job(key, Task::Preview(facts.clone()))));
        }
        if matches!(entry.pixels, Pixels::Read(_)) {
            orders.push(Order::Read(entry.job(key, Task::Again(facts))));
        }
    }

    fn worked(&mut self, ticket: &Ticket, done: Done, now: Duration, orders: &mut Vec<Order>) {
        let count = self.reading.len();
        if matches!(done, Done::Pixels(_)) {
            self.reading.retain(|(key, version)| (key, *version) != (&ticket.key, ticket.version));
            self.fresh |= self.reading.len() != count;
        }
        if self.current(ticket).is_none() {
            return;
        }
        match done {
            Done::Header(result) => self.header_read(&ticket.key, result, now, orders),
            Done::Pixels(result) => self.pixels_read(ticket, result, now, orders),
            Done::Drawn { upright: Some(upright), preview } => self.drawn(ticket, upright, preview, orders),
            Done::Drawn { upright: None, .. } => {}
        }
    }

    fn header_read(
        &mut self,
        key: &PictureKey,
        result: Result<Arc<Facts>, Trouble>,
        now: Duration,
        orders: &mut Vec<Order>,
    ) {
        let Some(entry) = self.entries.get_mut(key) else { return };
        match result {
            Ok(facts) => {
                orders.push(Order::Read(entry.job(key, Task::Pixels(facts.clone()))));
                entry.header = Header::Read(facts);
                if self.selected.as_ref() == Some(key) {
                    self.want_thumbnail(orders);
                }
            }
            Err(Trouble::Fault(fault)) => {
                entry.fault(&fault, now);
                if entry.phase == Phase::Settled {
                    entry.header = Header::Fault(fault);
                    self.done += 1;
                }
            }
            Err(Trouble::Changed) => {
                entry.doubt(now);
                orders.push(Order::LookAgain(Duration::ZERO));
            }
        }
        self.judge_soon(now);
    }

    fn pixels_read(
        &mut self,
        ticket: &Ticket,
        result: Result<Evidence, Trouble>,
        now: Duration,
        orders: &mut Vec<Order>,
    ) {
        let key = &ticket.key;
        let Some(entry) = self.entries.get_mut(key) else { return };
        let had = matches!(entry.pixels, Pixels::Read(_));
        match result {
            Ok(mut evidence) => {
                let nothing = Thumbnail { width_px: 0, height_px: 0, model: Model::Rgb, samples: Vec::new() };
                let thumbnail = std::mem::replace(&mut evidence.thumbnail, Arc::new(nothing));
                self.gallery.keep(ticket.version, thumbnail);
                if !had {
                    entry.pixels = Pixels::Read(Arc::new(evidence));
                    entry.phase = Phase::Settled;
                }
                if self.selected.as_ref() == Some(key) {
                    self.want_thumbnail(orders);
                }
            }
            // The picture was read before and only its thumbnail was wanted again.
            Err(_) if had => return,
            Err(Trouble::Fault(fault)) => self.pixels_fault(key, fault, now),
            Err(Trouble::Changed) => {
                entry.doubt(now);
                orders.push(Order::LookAgain(Duration::ZERO));
            }
        }
        if !had {
            self.done += 1;
            self.judge_soon(now);
        }
    }

    fn pixels_fault(&mut self, key: &PictureKey, fault: Fault, now: Duration) {
        let Some(entry) = self.entries.get_mut(key) else { return };
        entry.fault(&fault, now);
        if entry.phase == Phase::Settled {
            entry.pixels = Pixels::Fault(fault);
        }
    }

    fn drawn(&mut self, ticket: &Ticket, upright: Upright, preview: bool, orders: &mut Vec<Order>) {
        let real_is_there =
            self.gallery.shown().is_some_and(|shown| shown.version == ticket.version && !shown.preview);
        if self.selected.as_ref() == Some(&ticket.key) && !(preview && real_is_there) {
            let shown = self.gallery.show(ticket.key.clone(), ticket.version, upright, preview);
            orders.push(Order::Show(Some(shown)));
        }
    }

    fn judged(&mut self, judgement: Judgement, took: Duration, now: Duration) {
        self.judging = false;
        self.judge_not_before = now + limits::JUDGE_PACE.max(took * limits::JUDGE_SHARE);
        if *self.order_findings != *judgement.order_findings {
            self.order_findings = judgement.order_findings.clone().into();
        }
        self.totals = Totals::of(&judgement.rows);
        let entries = &self.entries;
        let turned = self.rows.lay(judgement, &std::mem::take(&mut self.moved), |key| {
            let entry = entries.get(key);
            Standing {
                version: entry.map_or(0, |entry| entry.version),
                arriving_bytes: entry.and_then(Entry::arriving_bytes),
            }
        });
        if let Some(words) = words(&std::mem::take(&mut self.happened), &turned) {
            self.say(words);
        }
        self.fresh = true;
    }

    /// The entry that a ticket speaks of, unless it holds other bytes by now.
    fn current(&self, ticket: &Ticket) -> Option<&Entry> {
        self.entries.get(&ticket.key).filter(|entry| entry.version == ticket.version)
    }

    fn retries(&mut self, now: Duration, orders: &mut Vec<Order>) {
        for (key, entry) in &mut self.entries {
            if matches!(entry.phase, Phase::Retrying(at) if at <= now) {
                orders.push(Order::Read(entry.retry(key)));
                self.fresh = true;
            }
        }
    }

    fn judge_soon(&mut self, now: Duration) {
        self.judge_at.get_or_insert((now + limits::JUDGE_FOLD).max(self.judge_not_before));
    }

    fn judge_if_due(&mut self, now: Duration, orders: &mut Vec<Order>) {
        if self.scanned && !self.judging && self.judge_at.is_some_and(|at| at <= now) {
            self.judge_at = None;
            self.judging = true;
            let delivered = self.entries.iter().map(|(key, entry)| entry.delivered(key)).collect();
            orders.push(Order::Judge(self.brief.clone(), delivered));
        }
    }

    fn say(&mut self, words: String) {
        let number = self.notice.as_ref().map_or(0, |notice| notice.number) + 1;
        self.notice = Some(Notice { number, words });
        self.fresh = true;
    }
}
