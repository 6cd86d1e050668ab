//! The watching thread: it looks at the folder and at the brief, and says what it saw.
//!
//! What the system tells of changes only makes it look sooner; on a network folder, when asked to, or where the system
//! cannot tell, it looks again and again by the clock. Decides nothing about pictures.

use std::convert::Infallible;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use crossbeam_channel::{Receiver, RecvTimeoutError, Sender, bounded, select};
use parking_lot::Mutex;
use tracing::debug;

use super::brief_file::BriefFile;
use super::decisions_file::DecisionsFile;
use super::event::Event;
use super::fs_events::FsEvents;
use super::snapshot::Watching;
use crate::files::os;
use crate::live::limits;
use crate::reading::batch::wanted;
use crate::reading::scan;
use crate::reading::threads::ThreadGroup;

/// The watching thread, and how to ask it to look.
pub struct Watch {
    asked: Arc<WatchRequests>,
    /// Dropped to end the thread; nothing is ever sent.
    ending: Sender<Infallible>,
    threads: ThreadGroup,
}

/// What is asked of the thread. A newer request joins the older; nothing is queued.
struct WatchRequests {
    /// When it is wanted to look at the latest.
    look_at: Mutex<Option<Instant>>,
    wake: Sender<()>,
}

impl Watch {
    /// Starts watching. The first look is at once. `poll`: look by the clock even where the system tells.
    pub fn start(
        folder: PathBuf,
        (brief, accepted): (BriefFile, DecisionsFile),
        poll: bool,
        events: Sender<Event>,
    ) -> std::io::Result<Watch> {
        // Room for one: a second waking says nothing new.
        let (wake, woken) = bounded(1);
        let (ending, ended) = bounded(0);
        let asked = Arc::new(WatchRequests { look_at: Mutex::default(), wake: wake.clone() });
        let watcher = Watcher {
            folder: absolute(&folder),
            brief,
            accepted,
            poll,
            events,
            wake,
            told: None,
            told_of: None,
            last_look: Duration::ZERO,
            away: None,
        };
        let (requests, threads) = (asked.clone(), ThreadGroup::default());
        threads.spawn("watch".to_owned(), move || watcher.run(&woken, &ended, &requests))?;
        Ok(Watch { asked, ending, threads })
    }

    /// Look again after this time at the latest.
    pub fn look_in(&self, wait: Duration) {
        let at = Instant::now() + wait;
        let mut look_at = self.asked.look_at.lock();
        *look_at = Some(look_at.map_or(at, |soonest| soonest.min(at)));
        drop(look_at);
        // Full: it is being woken already.
        let _ = self.asked.wake.try_send(());
    }

    /// Ends the thread. Gives what is to be waited for: it may hang on a dead network folder.
    pub fn end(self) -> ThreadGroup {
        drop(self.ending);
        self.threads
    }
}

/// What the system was asked to tell of. A folder that was removed and made again is another one.
#[derive(PartialEq, Eq)]
struct ToldOf {
    device: u64,
    inode: u64,
    subfolders: bool,
    beside: Vec<PathBuf>,
}

/// How long the folder is left alone after a look that took so long, whatever is told of it meanwhile.
fn rest_after(look: Duration) -> Duration {
    limits::SCAN_PACE.max(look * limits::SCAN_SHARE_TOLD).min(limits::SCAN_REST_MOST)
}

struct Watcher {
    folder: PathBuf,
    brief: BriefFile,
    accepted: DecisionsFile,
    poll: bool,
    events: Sender<Event>,
    wake: Sender<()>,
    /// What the system tells; `None` while it is not asked.
    told: Option<FsEvents>,
    /// What `told` speaks of.
    told_of: Option<ToldOf>,
    last_look: Duration,
    /// Why the folder cannot be looked at, while it cannot.
    away: Option<Watching>,
}

impl Watcher {
    fn run(mut self, woken: &Receiver<()>, ended: &Receiver<Infallible>, asked: &WatchRequests) {
        let mut next = Instant::now();
        loop {
            let wait = next.saturating_duration_since(Instant::now());
            if !wait.is_zero() {
                let is_woken = select! {
                    recv(ended) -> _ => return,
                    recv(woken) -> woken => woken.is_ok(),
                    default(wait) => false,
                };
                let mut look_at = asked.look_at.lock();
                if let Some(at) = *look_at {
                    next = next.min(at);
                }
                if is_woken && self.told.as_ref().is_some_and(FsEvents::take_dirty) {
                    next = Instant::now();
                }
                if next > Instant::now() {
                    continue;
                }
                *look_at = None;
            }
            let before = Instant::now();
            let Some(wait) = self.look() else { return };
            self.last_look = before.elapsed();
            let pace = rest_after(self.last_look);
            // Between two looks the thread rests whatever it is told; what it is told then is not lost.
            if ended.recv_timeout(pace.min(wait)) == Err(RecvTimeoutError::Disconnected) {
                return;
            }
            next = Instant::now() + wait.max(self.last_look * limits::SCAN_SHARE).saturating_sub(pace);
        }
    }

    /// Looks at the brief and the folder once; gives the time until it has to look again by itself, or nothing once
    /// nobody listens any more.
    fn look(&mut self) -> Option<Duration> {
        if let Some(read) = self.brief.look(Instant::now()) {
            self.events.send(Event::BriefRead(read)).ok()?;
        }
        if let Some(read) = self.accepted.look(Instant::now()) {
            self.events.send(Event::AcceptedRead(read)).ok()?;
        }
        let (watching, begun) = self.watch_folder();
        let wanted = wanted(self.brief.last_good(), &self.folder);
        let words = self.told.as_ref().map(FsEvents::words).unwrap_or_default();
        let soon = self.brief.looks_again_in().min(self.accepted.looks_again_in());
        match scan::scan(&self.folder, &wanted) {
            Ok(mut scan) => {
                self.away = None;
                for scanned in scan.files.values_mut() {
                    scanned.word = words.get(&scanned.path).copied().unwrap_or_default();
                }
                if let Some(told) = &self.told {
                    told.keep_words_of(&scan);
                }
                let is_told_all = !scan.has_links && !self.brief.is_linked();
                let timer = match watching {
                    Watching::Notified if is_told_all => limits::TIMER_NOTIFIED,
                    Watching::Notified => limits::TIMER_POLLED,
                    Watching::Polled(_) | Watching::Gone | Watching::NotPermitted => limits::TIMER_POLLED,
                };
                debug!(files = scan.files.len(), unlisted = scan.unlisted.len(), ?watching, "looked at the folder");
                self.events.send(Event::Scanned(scan, watching)).ok()?;
                // What changed between the look at the brief's files and the system's first word is told by nobody.
                Some(if begun { Duration::ZERO } else { timer.min(soon) })
            }
            Err(error) => {
                debug!(%error, "the folder cannot be looked at");
                self.told = None;
                self.told_of = None;
                let why = away(error.kind());
                if self.away.as_ref() != Some(&why) {
                    self.away = Some(why.clone());
                    self.events.send(Event::FolderAway(why)).ok()?;
                }
                Some(limits::TIMER_GONE.min(soon))
            }
        }
    }

    /// Makes sure that the system is asked to tell of this very folder, where it can be; and whether it was asked just
    /// now.
    fn watch_folder(&mut self) -> (Watching, bool) {
        if self.poll {
            return (Watching::Polled("asked for".to_owned()), false);
        }
        if let Some(kind) = os::network_kind(&self.folder) {
            return (Watching::Polled(format!("network folder, {kind}")), false);
        }
        let Ok(metadata) = std::fs::metadata(&self.folder) else { return (Watching::Gone, false) };
        let marks = os::identity(&metadata);
        let subfolders = self.brief.last_good().subfolders;
        let beside = self.brief.folders().iter().map(|folder| absolute(folder)).collect();
        let told_of = ToldOf { device: marks.device, inode: marks.inode, subfolders, beside };
        if self.told.as_ref().is_some_and(|told| !told.is_over()) && self.told_of.as_ref() == Some(&told_of) {
            return (Watching::Notified, false);
        }
        match FsEvents::ask(&self.folder, subfolders, &told_of.beside, self.wake.clone()) {
            Ok(told) => {
                (self.told, self.told_of) = (Some(told), Some(told_of));
                (Watching::Notified, true)
            }
            Err(reason) => {
                (self.told, self.told_of) = (None, None);
                (Watching::Polled(reason), false)
            }
        }
    }
}

/// Why a folder cannot be looked at.
fn away(error: std::io::ErrorKind) -> Watching {
    match error {
        std::io::ErrorKind::PermissionDenied => Watching::NotPermitted,
        _ => Watching::Gone,
    }
}

/// A path from the root. The system tells of changes by such paths whatever it was asked with, and a path that is
/// spelled otherwise would never be found among them.
fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_slow_look_leaves_the_folder_alone_for_two_seconds_at_most() {
        let rests = [1, 100, 3_000].map(|ms| rest_after(Duration::from_millis(ms)).as_millis());
        assert_eq!(rests, [50, 400, 2_000]);
    }

    // The person who runs the tests may be one whom the system permits everything.
    #[test]
    fn a_folder_that_may_not_be_read_is_not_called_gone() {
        let error = |number| std::io::Error::from_raw_os_error(number).kind();
        // EACCES and ENOENT. Source: errno(3), Linux.
        assert_eq!((away(error(13)), away(error(2))), (Watching::NotPermitted, Watching::Gone));
    }
}
