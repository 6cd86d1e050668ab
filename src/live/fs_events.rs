//! Change notices from the system, reduced to two facts: that something changed, and for each path whether its writer
//! has closed it.
//!
//! The system's thread only sets a flag; nothing is queued, however many notices come.

use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crossbeam_channel::Sender;
use notify::event::{AccessKind, AccessMode, CreateKind, EventKind, ModifyKind, RenameMode};
use notify::{ErrorKind, RecommendedWatcher, RecursiveMode, Watcher};
use parking_lot::Mutex;

use crate::live::limits;
use crate::reading::scan::{Scan, WriteNotice};
use crate::units::words::of_system;

/// The system's notices so far. Dropping it ends them.
pub struct FsEvents {
    _watcher: RecommendedWatcher,
    log: Arc<EventLog>,
}

#[derive(Default)]
struct EventLog {
    /// The folders registered with the system.
    folders: Vec<PathBuf>,
    /// True if something changed since the last [`FsEvents::take_dirty`].
    dirty: AtomicBool,
    /// True if one of them was renamed or removed: the system sends no more notices of it, even once it is back.
    moved: AtomicBool,
    /// The last notice about each path.
    notices: Mutex<HashMap<PathBuf, WriteNotice>>,
}

impl FsEvents {
    /// Registers a folder with the system, and the folders of the brief's files. `wake` is sent to when something
    /// changed.
    ///
    /// # Errors
    /// The reason why there are no notices, for the line that shows how the folder is watched.
    pub fn watch(folder: &Path, subfolders: bool, beside: &[PathBuf], wake: Sender<()>) -> Result<FsEvents, String> {
        let also = beside.iter().filter(|beside| !covers(folder, subfolders, beside));
        let folders = [folder.to_owned()].into_iter().chain(also.cloned()).collect();
        let log = Arc::new(EventLog { folders, ..EventLog::default() });
        let notified = log.clone();
        let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
            if notified.record(event) {
                notified.dirty.store(true, Ordering::SeqCst);
                // Full: it is already being woken.
                let _ = wake.try_send(());
            }
        })
        .map_err(reason)?;
        let mode = if subfolders { RecursiveMode::Recursive } else { RecursiveMode::NonRecursive };
        watcher.watch(folder, mode).map_err(reason)?;
        for beside in &log.folders[1..] {
            // The brief is also checked at intervals.
            let _ = watcher.watch(beside, RecursiveMode::NonRecursive);
        }
        Ok(FsEvents { _watcher: watcher, log })
    }

    /// True if something changed since the last call.
    pub fn take_dirty(&self) -> bool {
        self.log.dirty.swap(false, Ordering::SeqCst)
    }

    /// True if the folders must be registered again, since one of them was moved.
    pub fn is_over(&self) -> bool {
        self.log.moved.load(Ordering::SeqCst)
    }

    /// Returns the last notice about each path.
    pub fn notices(&self) -> HashMap<PathBuf, WriteNotice> {
        self.log.notices.lock().clone()
    }

    /// Forgets paths that are not there, once there are many: a file just arriving is not there yet either.
    pub fn forget_absent(&self, scan: &Scan) {
        let mut notices = self.log.notices.lock();
        if notices.len() > limits::MAX_NOTICES / 2 {
            let there: HashSet<&Path> = scan.files.values().map(|scanned| scanned.path.as_path()).collect();
            notices.retain(|path, _| there.contains(path.as_path()));
        }
    }
}

impl EventLog {
    /// Records an event of the system; returns true if the folder is to be scanned.
    fn record(&self, event: notify::Result<notify::Event>) -> bool {
        let Ok(event) = event else { return true };
        if matches!(event.kind, EventKind::Remove(_) | EventKind::Modify(ModifyKind::Name(_)))
            && event.paths.iter().any(|path| self.folders.contains(path))
        {
            self.moved.store(true, Ordering::SeqCst);
        }
        let mut notices = self.notices.lock();
        if event.need_rescan() || notices.len() >= limits::MAX_NOTICES {
            notices.clear();
        }
        let Some(path) = event.paths.last() else { return true };
        match event.kind {
            EventKind::Access(AccessKind::Close(AccessMode::Write))
            | EventKind::Modify(ModifyKind::Name(RenameMode::To | RenameMode::Both)) => {
                notices.insert(path.clone(), WriteNotice::Closed);
            }
            EventKind::Create(CreateKind::File | CreateKind::Any) | EventKind::Modify(ModifyKind::Data(_)) => {
                notices.insert(path.clone(), WriteNotice::Open);
            }
            EventKind::Remove(_) | EventKind::Modify(ModifyKind::Name(_)) => {
                notices.remove(path);
            }
            // Our own reading opens files: heeding it would wake us for ever.
            EventKind::Access(_) => return false,
            EventKind::Create(_) | EventKind::Modify(_) | EventKind::Any | EventKind::Other => {}
        }
        true
    }
}

/// True if watching the folder also covers `beside`.
fn covers(folder: &Path, subfolders: bool, beside: &Path) -> bool {
    beside == folder || (subfolders && beside.starts_with(folder))
}

/// Returns the reason why there are no notices, in a few words.
fn reason(error: notify::Error) -> String {
    match error.kind {
        ErrorKind::MaxFilesWatch => "the system is already watching too many folders".to_owned(),
        ErrorKind::Io(error) => format!("the system does not report changes: {}", of_system(error)),
        ErrorKind::PathNotFound => "the system does not report changes: there is no such folder".to_owned(),
        ErrorKind::Generic(_) | ErrorKind::WatchNotFound | ErrorKind::InvalidConfig(_) => {
            "the system does not report changes".to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use notify::Event;
    use notify::event::{DataChange, Flag, MetadataKind, RemoveKind};

    fn heard(kind: EventKind) -> (bool, Option<WriteNotice>) {
        let log = EventLog::default();
        let needs_scan = log.record(Ok(Event::new(kind).add_path("a.jpg".into())));
        (needs_scan, log.notices.lock().get(Path::new("a.jpg")).copied())
    }

    #[test]
    fn reasons_are_plain_words() {
        let full = std::io::Error::from_raw_os_error(28);
        for kind in [ErrorKind::PathNotFound, ErrorKind::Generic("Os { code: 28 }".to_owned()), ErrorKind::Io(full)] {
            let said = reason(notify::Error::new(kind));
            let is_plain = !said.contains(['{', '(', '"']);
            assert!(said.starts_with("the system does not report changes") && is_plain, "{said}");
        }
    }

    #[test]
    fn a_renamed_folder_must_be_registered_again() {
        let events = |path: &str, kind| {
            let log = EventLog { folders: vec!["/shoot/exports".into()], ..EventLog::default() };
            log.record(Ok(Event::new(kind).add_path(path.into())));
            log.moved.load(Ordering::SeqCst)
        };
        let renamed = EventKind::Modify(ModifyKind::Name(RenameMode::From));
        let removed = EventKind::Remove(RemoveKind::Folder);
        assert!(events("/shoot/exports", renamed) && events("/shoot/exports", removed));
        assert!(!events("/shoot/exports/a.jpg", renamed));
        assert!(!events("/shoot/exports", EventKind::Modify(ModifyKind::Metadata(MetadataKind::Any))));
    }

    #[test]
    fn our_own_reading_does_not_wake_us() {
        assert_eq!(heard(EventKind::Access(AccessKind::Open(AccessMode::Any))), (false, None));
        assert_eq!(heard(EventKind::Access(AccessKind::Close(AccessMode::Read))), (false, None));
    }

    #[test]
    fn a_closed_file_and_one_renamed_into_place_are_finished_and_a_written_one_is_not() {
        let written = EventKind::Modify(ModifyKind::Data(DataChange::Any));
        assert_eq!(heard(written), (true, Some(WriteNotice::Open)));
        let closed = EventKind::Access(AccessKind::Close(AccessMode::Write));
        assert_eq!(heard(closed), (true, Some(WriteNotice::Closed)));
        let renamed = EventKind::Modify(ModifyKind::Name(RenameMode::To));
        assert_eq!(heard(renamed), (true, Some(WriteNotice::Closed)));
    }

    #[test]
    fn an_overflow_forgets_all_notices() {
        let log = EventLog::default();
        let closed = EventKind::Access(AccessKind::Close(AccessMode::Write));
        log.record(Ok(Event::new(closed).add_path("a.jpg".into())));
        assert!(log.record(Ok(Event::new(EventKind::Other).set_flag(Flag::Rescan))));
        assert!(log.notices.lock().is_empty());
    }
}
