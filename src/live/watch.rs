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

use crate::files::os;
use crate::live::limits;
use crate::reading::batch::scan_filter;
use crate::reading::scan;
use crate::reading::threads::ThreadGroup;

use super::brief_file::BriefFile;
use super::decisions_file::DecisionsFile;
use super::event::Event;
use super::fs_events::FsEvents;
use super::snapshot::Watching;

/// The watching thread, and the means to request a scan.
pub struct WatchThread {
    requests: Arc<WatchRequests>,
    /// Dropped to end the thread; nothing is ever sent.
    ending: Sender<Infallible>,
    threads: ThreadGroup,
}

/// Requests to the thread, merged: only the earliest time is kept.
struct WatchRequests {
    /// When the next scan is due at the latest, if one is requested.
    scan_at: Mutex<Option<Instant>>,
    wake: Sender<()>,
}

impl WatchThread {
    /// Starts watching. The first scan is at once. `poll`: scan at intervals even where the system sends notices.
    pub fn start(
        folder: PathBuf,
        brief: BriefFile,
        decisions: DecisionsFile,
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

    /// Ends the thread. Returns the thread to wait for: it may hang on a dead network folder.
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
    includes_subfolders: bool,
    beside: Vec<PathBuf>,
}

/// Returns how long the thread rests after a scan that took this long, whatever notices arrive meanwhile.
fn rest_after(scan: Duration) -> Duration {
    limits::SCAN_PACE.max(scan * limits::SCAN_REST_TIMES_NOTIFIED).min(limits::MAX_SCAN_REST)
}

struct Watcher {
    folder: PathBuf,
    brief: BriefFile,
    decisions: DecisionsFile,
    poll: bool,
    events: Sender<Event>,
    wake: Sender<()>,
    /// The system's notices; `None` while no folder is registered.
    notices: Option<FsEvents>,
    /// The folders that `notices` covers.
    watched_folders: Option<WatchedFolders>,
    /// Time that the last scan took.
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
            let rest = rest_after(self.last_scan);
            // Notices that arrive during the rest are not lost.
            if ended.recv_timeout(rest.min(wait)) == Err(RecvTimeoutError::Disconnected) {
                return;
            }
            next = Instant::now() + wait.max(self.last_scan * limits::SCAN_REST_TIMES).saturating_sub(rest);
        }
    }

    /// Reads the brief and the decisions if they changed, and scans the folder once; returns the time until the next
    /// scan is due by itself, or `None` once the receiver is gone.
    fn scan_once(&mut self) -> Option<Duration> {
        if let Some(read) = self.brief.read_if_changed(Instant::now()) {
            self.events.send(Event::BriefRead(read)).ok()?;
        }
        if let Some(read) = self.decisions.read_if_changed(Instant::now()) {
            self.events.send(Event::DecisionsRead(read)).ok()?;
        }
        let (watching, just_registered) = self.watch_folder();
        // Taken before the scan: later notices prompt another.
        let last_notices = self.notices.as_ref().map(FsEvents::notices).unwrap_or_default();
        let files_due = self.brief.next_check_in().min(self.decisions.next_check_in());
        match scan::scan(&self.folder, &scan_filter(self.brief.last_good(), &self.folder)) {
            Ok(mut scan) => {
                self.away = None;
                for scanned in scan.files.values_mut() {
                    scanned.last_notice = last_notices.get(&scanned.path).copied().unwrap_or_default();
                }
                if let Some(notices) = &self.notices {
                    notices.forget_absent(&scan);
                }
                let is_notified_of_all = watching == Watching::Notified && !scan.has_links && !self.brief.is_linked();
                let timer = if is_notified_of_all { limits::TIMER_NOTIFIED } else { limits::TIMER_POLLED };
                debug!(files = scan.files.len(), unlisted = scan.unlisted.len(), ?watching, "looked at the folder");
                self.events.send(Event::Scanned(scan, watching)).ok()?;
                // Changes between reading the brief's files and registering with the system caused no notice.
                Some(if just_registered { Duration::ZERO } else { timer.min(files_due) })
            }
            Err(error) => {
                debug!(%error, "the folder cannot be looked at");
                (self.notices, self.watched_folders) = (None, None);
                let why = away(error.kind());
                if self.away.as_ref() != Some(&why) {
                    self.away = Some(why.clone());
                    self.events.send(Event::FolderAway(why)).ok()?;
                }
                Some(limits::TIMER_GONE.min(files_due))
            }
        }
    }

    /// Registers exactly this folder and those of the brief's files with the system, where possible; returns how the
    /// folder is watched, and true if it was registered just now.
    fn watch_folder(&mut self) -> (Watching, bool) {
        if self.poll {
            return (Watching::Polled("set by --poll".to_owned()), false);
        }
        if let Some(kind) = os::network_kind(&self.folder) {
            return (Watching::Polled(format!("network folder, {kind}")), false);
        }
        let Ok(metadata) = std::fs::metadata(&self.folder) else { return (Watching::Gone, false) };
        let identity = os::identity(&metadata);
        let includes_subfolders = self.brief.last_good().reads_subfolders();
        let beside = self.brief.folders().iter().map(|folder| absolute(folder)).collect();
        let watched_folders =
            WatchedFolders { device: identity.device, inode: identity.inode, includes_subfolders, beside };
        if self.notices.as_ref().is_some_and(|notices| !notices.is_over())
            && self.watched_folders.as_ref() == Some(&watched_folders)
        {
            return (Watching::Notified, false);
        }
        match FsEvents::watch(&self.folder, includes_subfolders, &watched_folders.beside, self.wake.clone()) {
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
    fn the_rest_after_a_scan_has_bounds() {
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
