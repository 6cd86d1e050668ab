//! Reactions to a scan of the folder: which files arrived, changed, moved and left, and which are ready to be read.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use std::time::Duration;

use crate::live::effect::Effect;
use crate::live::entry::Phase;
use crate::live::limits;
use crate::live::snapshot::Watching;
use crate::picture::PictureKey;
use crate::reading::scan::{Scan, ScannedFile};

use super::LiveState;

impl LiveState {
    pub(crate) fn take_scan(&mut self, scan: Scan, watching: Watching) {
        match self.folder.watching {
            Watching::Gone => self.say("the folder is back".to_owned()),
            Watching::NotPermitted => self.say("the folder can be read again".to_owned()),
            Watching::Notified | Watching::Polled(_) => {}
        }
        self.has_changed |= self.folder.watching != watching || self.folder.is_cut_off != scan.is_cut_off;
        self.folder.is_cut_off = scan.is_cut_off;
        if *self.folder.unlisted != scan.unlisted {
            self.folder.unlisted = Arc::new(scan.unlisted.clone());
            self.judge_soon();
        }
        self.folder.watching = watching;
        let last = self.entries.last_version();
        let new = self.update_known(&scan);
        self.update_files(&scan, new);
        self.dim_overwritten(last);
        if std::mem::take(&mut self.folder.is_rescan_requested) && self.judging.since.happened.files_are_as_before() {
            self.say("folder read again: nothing new".to_owned());
        }
        let mut next_scan: Option<Duration> = None;
        let mut some_are_ready = !self.folder.is_scanned;
        self.entries.change_all(|key, entry| {
            if entry.phase != Phase::Arriving {
                return;
            }
            if entry.is_ready(self.now) {
                self.effects.push(Effect::Read(entry.finish_arriving(key)));
                some_are_ready = true;
            } else {
                let wait = entry.ready_at().saturating_sub(self.now).max(limits::SCAN_PACE);
                next_scan = Some(next_scan.map_or(wait, |soonest| soonest.min(wait)));
            }
        });
        self.effects.extend(next_scan.map(Effect::ScanAfter));
        self.folder.is_scanned = true;
        if some_are_ready {
            self.judge_soon();
        }
    }

    /// Updates the known files from a scan; returns the files never seen before.
    fn update_known<'a>(&mut self, scan: &'a Scan) -> Vec<(&'a PictureKey, &'a ScannedFile)> {
        let mut new = Vec::new();
        for (key, scanned) in &scan.files {
            let Some(entry) = self.entries.get(key) else {
                new.push((key, scanned));
                continue;
            };
            if entry.stamp == scanned.stamp {
                self.entries.change(key, |entry| entry.seen_again(scanned));
                continue;
            }
            let was_growing = entry.phase == Phase::Arriving;
            self.entries.add(key, scanned, false, self.now);
            self.effects.push(Effect::Forget(key.clone()));
            self.news.newest = Some(key.clone());
            if !was_growing {
                self.judging.since.happened.changed.push(key.clone());
            }
            self.judge_soon();
        }
        new
    }

    /// Adds files never seen before and removes those that are gone. A renamed file with the same content keeps what is
    /// known of it.
    fn update_files(&mut self, scan: &Scan, new: Vec<(&PictureKey, &ScannedFile)>) {
        let gone = || self.entries.iter().filter(|(key, _)| !scan.files.contains_key(key));
        let settled = gone().filter(|(_, entry)| entry.phase == Phase::Settled);
        let by_inode: HashMap<u64, PictureKey> =
            settled.map(|(key, entry)| (entry.stamp.identity.inode, key.clone())).collect();
        let gone: Vec<PictureKey> = gone().map(|(key, _)| key.clone()).collect();
        let mut moved = HashSet::new();
        for (key, scanned) in new {
            self.judge_soon();
            let earlier = by_inode.get(&scanned.stamp.identity.inode).filter(|earlier| !moved.contains(*earlier));
            if let Some(earlier) = earlier
                && let Some(entry) = self.entries.get(earlier)
                && scanned.stamp.moved_from(&entry.stamp)
            {
                let mut entry = entry.clone();
                entry.moved_to(scanned, self.now);
                self.entries.insert(key.clone(), entry);
                self.expect_retry(key);
                moved.insert(earlier.clone());
                self.judging.note_moved(earlier, key);
                continue;
            }
            let age_ns = scan.taken_ns - scanned.stamp.identity.modified_ns;
            let was_there_before = !self.folder.is_scanned
                && age_ns >= limits::QUIET_WITHOUT_NOTICE.as_nanos().try_into().unwrap_or(i128::MAX);
            self.entries.add(key, scanned, was_there_before, self.now);
            if self.folder.is_scanned {
                self.judging.since.happened.arrived.push(key.clone());
                self.news.newest = Some(key.clone());
            }
        }
        for key in gone {
            if let Some(entry) = self.entries.remove(&key) {
                self.judging.note_gone(&key, entry.status());
            }
            self.effects.push(Effect::Forget(key.clone()));
            if !moved.contains(&key) {
                self.judging.since.happened.gone.push(key);
            }
            self.judge_soon();
        }
    }

    /// Dims the rows of pictures whose content is newer than version `last`: their verdicts are on replaced bytes.
    fn dim_overwritten(&mut self, last: u64) {
        let overwritten = self.entries.iter().filter(|(_, entry)| entry.version > last);
        let bytes: HashMap<PictureKey, u64> =
            overwritten.map(|(key, entry)| (key.clone(), entry.stamp.bytes)).collect();
        if bytes.is_empty() {
            return;
        }
        self.rows.mark_overwritten(&bytes);
        self.judging.note_overtaken(bytes.into_keys());
        self.has_changed = true;
    }

    /// Scans the folder at the user's request, and reads files again that could not be read.
    pub(crate) fn rescan(&mut self) {
        self.folder.is_rescan_requested = true;
        self.entries.change_all(|_, entry| {
            if entry.retry_now(self.now) {
                self.retries.expect(Some(self.now));
            }
        });
        self.effects.push(Effect::ScanAfter(Duration::ZERO));
    }

    pub(crate) fn take_folder_away(&mut self, why: Watching) {
        if self.folder.watching == why {
            return;
        }
        self.entries.change_all(|key, entry| {
            if entry.phase != Phase::Settled {
                entry.restart(self.now);
                self.effects.push(Effect::Forget(key.clone()));
            }
        });
        let is_gone = why == Watching::Gone;
        let words = if is_gone { "the folder is gone; waiting for it" } else { "no permission to read the folder" };
        self.folder.watching = why;
        self.say(words.to_owned());
    }
}
