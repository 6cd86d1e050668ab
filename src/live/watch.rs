//! The watching thread: it scans the folder, checks the brief's files, and reports the results.
//!
//! Change notices from the system only make it scan sooner; on a network folder, when requested, or where the system
//! sends no notices, it scans at regular intervals. Decides nothing about pictures.

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
use crate::reading::batch::scan_filter;
use crate::reading::scan;
use crate::reading::threads::ThreadGroup;

/// The watching thread, and the means to request a scan.
pub struct WatchThread {
    requests: Arc<WatchRequests>,
    /// Dropped to end the thread; nothing is ever sent.
    ending: Sender<Infallible>,
    threads: ThreadGroup,
}

/// Requests to the thread. A newer request joins the older; nothing is queued.
struct WatchRequests {
    /// The latest time for the next scan.
    scan_at: Mutex<Option<Instant>>,
    wake: Sender<()>,
}

impl WatchThread {
    /// Starts watching. The first scan is at once. `poll`: scan at intervals even where the system sends notices.
    pub fn start(
        folder: PathBuf,
        (brief, decisions): (BriefFile, DecisionsFile),
        poll: bool,
        events: Sender<Event>,
    ) -> std::io::Result<WatchThread> {
        // Room for one: a second wake-up adds nothing.
        let (wake, woken) = bounded(1);
        let (ending, ended) = bounded(0);
        let requests = Arc::new(WatchRequests { scan_at: Mutex::default(), wake: wake.clone() });
        let watcher = Watcher {
            folder: absolute(&folder),
            brief,
            decisions,
            poll,
            events,
            wake,
            notices: None,
            watched_folders: None,
            last_scan: Duration::ZERO,
            away: None,
        };
        let (shared, threads) = (requests.clone(), ThreadGroup::default());
        threads.spawn("watch".to_owned(), move || watcher.run(&woken, &ended, &shared))?;
        Ok(WatchThread { requests, ending, threads })
    }

    /// Requests another scan after this time at the latest.
    pub fn scan_after(&self, wait: Duration) {
        let at = Instant::now() + wait;
        let mut scan_at = self.requests.scan_at.lock();
        *scan_at = Some(scan_at.map_or(at, |soonest| soonest.min(at)));
        drop(scan_at);
        // Full: it is already being woken.
        let _ = self.requests.wake.try_send(());
    }

    /// Ends the thread. Returns what to wait for: it may hang on a dead network folder.
    pub fn end(self) -> ThreadGroup {
        drop(self.ending);
        self.threads
    }
}

/// The folders registered with the system for notices. A folder removed and created again is another one.
#[derive(PartialEq, Eq)]
struct WatchedFolders {
    device: u64,
    inode: u64,
    subfolders: bool,
    beside: Vec<PathBuf>,
}

/// Returns how long the folder is left alone after a scan that took this long, regardless of notices meanwhile.
fn rest_after(scan: Duration) -> Duration {
    limits::SCAN_PACE.max(scan * limits::SCAN_REST_TIMES_NOTIFIED).min(limits::SCAN_REST_MOST)
}

struct Watcher {
    folder: PathBuf,
    brief: BriefFile,
    decisions: DecisionsFile,
    poll: bool,
    events: Sender<Event>,
    wake: Sender<()>,
    /// The system's notices; `None` while none are requested.
    notices: Option<FsEvents>,
    /// The folders that `notices` covers.
    watched_folders: Option<WatchedFolders>,
    last_scan: Duration,
    /// Why the folder cannot be scanned, while it cannot.
    away: Option<Watching>,
}

impl Watcher {
    fn run(mut self, woken: &Receiver<()>, ended: &Receiver<Infallible>, requests: &WatchRequests) {
        let mut next = Instant::now();
        loop {
            let wait = next.saturating_duration_since(Instant::now());
            if !wait.is_zero() {
                let is_woken = select! {
                    recv(ended) -> _ => return,
                    recv(woken) -> woken => woken.is_ok(),
                    default(wait) => false,
                };
                let mut scan_at = requests.scan_at.lock();
                if let Some(at) = *scan_at {
                    next = next.min(at);
                }
                if is_woken && self.notices.as_ref().is_some_and(FsEvents::take_dirty) {
                    next = Instant::now();
                }
                if next > Instant::now() {
                    continue;
                }
                *scan_at = None;
            }
            let before = Instant::now();
            let Some(wait) = self.scan_once() else { return };
            self.last_scan = before.elapsed();
            let pace = rest_after(self.last_scan);
            // Between two scans the thread rests regardless of notices; those that arrive then are not lost.
            if ended.recv_timeout(pace.min(wait)) == Err(RecvTimeoutError::Disconnected) {
                return;
            }
            next = Instant::now() + wait.max(self.last_scan * limits::SCAN_REST_TIMES).saturating_sub(pace);
        }
    }

    /// Checks the brief and scans the folder once; returns the time until the next scan is due by itself, or `None`
    /// once the receiver is gone.
    fn scan_once(&mut self) -> Option<Duration> {
        if let Some(read) = self.brief.read_if_changed(Instant::now()) {
            self.events.send(Event::BriefRead(read)).ok()?;
        }
        if let Some(read) = self.decisions.read_if_changed(Instant::now()) {
            self.events.send(Event::DecisionsRead(read)).ok()?;
        }
        let (watching, just_registered) = self.watch_folder();
        let filter = scan_filter(self.brief.last_good(), &self.folder);
        let last_notices = self.notices.as_ref().map(FsEvents::notices).unwrap_or_default();
        let soon = self.brief.next_check_in().min(self.decisions.next_check_in());
        match scan::scan(&self.folder, &filter) {
            Ok(mut scan) => {
                self.away = None;
                for scanned in scan.files.values_mut() {
                    scanned.last_notice = last_notices.get(&scanned.path).copied().unwrap_or_default();
                }
                if let Some(notices) = &self.notices {
                    notices.forget_absent(&scan);
                }
                let is_told_all = !scan.has_links && !self.brief.is_linked();
                let timer = match watching {
                    Watching::Notified if is_told_all => limits::TIMER_NOTIFIED,
                    Watching::Notified => limits::TIMER_POLLED,
                    Watching::Polled(_) | Watching::Gone | Watching::NotPermitted => limits::TIMER_POLLED,
                };
                debug!(files = scan.files.len(), unlisted = scan.unlisted.len(), ?watching, "looked at the folder");
                self.events.send(Event::Scanned(scan, watching)).ok()?;
                // No notice covers changes between checking the brief's files and registering with the system.
                Some(if just_registered { Duration::ZERO } else { timer.min(soon) })
            }
            Err(error) => {
                debug!(%error, "the folder cannot be looked at");
                self.notices = None;
                self.watched_folders = None;
                let why = away(error.kind());
                if self.away.as_ref() != Some(&why) {
                    self.away = Some(why.clone());
                    self.events.send(Event::FolderAway(why)).ok()?;
                }
                Some(limits::TIMER_GONE.min(soon))
            }
        }
    }

    /// Makes sure that the system's notices are requested for exactly this folder, where possible; also returns true if
    /// they were requested just now.
    fn watch_folder(&mut self) -> (Watching, bool) {
        if self.poll {
            return (Watching::Polled("set by --poll".to_owned()), false);
        }
        if let Some(kind) = os::network_kind(&self.folder) {
            return (Watching::Polled(format!("network folder, {kind}")), false);
        }
        let Ok(metadata) = std::fs::metadata(&self.folder) else { return (Watching::Gone, false) };
        let identity = os::identity(&metadata);
        let subfolders = self.brief.last_good().subfolders;
        let beside = self.brief.folders().iter().map(|folder| absolute(folder)).collect();
        let watched_folders = WatchedFolders { device: identity.device, inode: identity.inode, subfolders, beside };
        if self.notices.as_ref().is_some_and(|notices| !notices.is_over())
            && self.watched_folders.as_ref() == Some(&watched_folders)
        {
            return (Watching::Notified, false);
        }
        match FsEvents::watch(&self.folder, subfolders, &watched_folders.beside, self.wake.clone()) {
            Ok(notices) => {
                (self.notices, self.watched_folders) = (Some(notices), Some(watched_folders));
                (Watching::Notified, true)
            }
            Err(reason) => {
                (self.notices, self.watched_folders) = (None, None);
                (Watching::Polled(reason), false)
            }
        }
    }
}

/// Returns why a folder cannot be scanned.
fn away(error: std::io::ErrorKind) -> Watching {
    match error {
        std::io::ErrorKind::PermissionDenied => Watching::NotPermitted,
        _ => Watching::Gone,
    }
}

/// Returns an absolute path. The system's notices use absolute paths in any case, and a path spelt otherwise would
/// never be found among them.
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

    // The user running the tests may be one whom the system permits everything.
    #[test]
    fn a_folder_that_may_not_be_read_is_not_called_gone() {
        let error = |number| std::io::Error::from_raw_os_error(number).kind();
        // EACCES and ENOENT. Source: errno(3), Linux.
        assert_eq!((away(error(13)), away(error(2))), (Watching::NotPermitted, Watching::Gone));
    }
}
