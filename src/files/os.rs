//! System calls that the standard library lacks: file identity, locks, priorities, kinds of disk.

use std::fs::{File, Metadata, TryLockError};
use std::io;
use std::path::Path;
use std::time::{Duration, Instant, SystemTime};

/// The marks that identify a file besides its size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FileIdentity {
    /// Last change of the content, nanoseconds since 1970.
    pub modified_ns: i128,
    /// Last change of the file's record, nanoseconds since 1970; 0 where not available. Cannot be set back.
    pub changed_ns: i128,
    /// Time of the file's creation, nanoseconds since 1970; 0 where the disk does not store it. The inode number of a
    /// deleted file may be given to the next one: this distinguishes the two.
    pub created_ns: i128,
    /// The file's inode number on its disk; 0 where not available.
    pub inode: u64,
    /// The disk's number; 0 where not available.
    pub device: u64,
}

/// Returns a file's current identity.
#[cfg(unix)]
pub fn identity(metadata: &Metadata) -> FileIdentity {
    use std::os::unix::fs::MetadataExt;
    let ns = |seconds: i64, ns: i64| i128::from(seconds) * 1_000_000_000 + i128::from(ns);
    FileIdentity {
        modified_ns: ns(metadata.mtime(), metadata.mtime_nsec()),
        changed_ns: ns(metadata.ctime(), metadata.ctime_nsec()),
        created_ns: since_1970_ns(metadata.created()),
        inode: metadata.ino(),
        device: metadata.dev(),
    }
}

/// Returns a file's current identity.
#[cfg(not(unix))]
pub fn identity(metadata: &Metadata) -> FileIdentity {
    FileIdentity {
        modified_ns: since_1970_ns(metadata.modified()),
        created_ns: since_1970_ns(metadata.created()),
        ..FileIdentity::default()
    }
}

/// Returns the time by this machine's clock, in nanoseconds since 1970.
pub fn now_ns() -> i128 {
    since_1970_ns(Ok(SystemTime::now()))
}

/// Returns nanoseconds since 1970; 0 where there is no such time.
fn since_1970_ns(time: io::Result<SystemTime>) -> i128 {
    let since = time.ok().and_then(|time| time.duration_since(SystemTime::UNIX_EPOCH).ok());
    since.and_then(|since| i128::try_from(since.as_nanos()).ok()).unwrap_or(0)
}

/// Returns the kind of network file system a folder is on, or `None` on a local disk. Such systems do not report
/// changes made by another machine, and give no error. Source of the numbers: statfs(2).
#[cfg(target_os = "linux")]
pub fn network_kind(folder: &Path) -> Option<&'static str> {
    let stat = rustix::fs::statfs(folder).ok()?;
    // The kernel's number has 32 bits; the field's width and sign differ by processor.
    match (stat.f_type as u64) & 0xffff_ffff {
        0x6969 => Some("NFS"),
        0xfe53_4d42 | 0xff53_4d42 | 0x517b => Some("SMB"),
        0x6573_5546 => Some("FUSE"),
        0x0102_1997 => Some("9p"),
        0x5346_414f => Some("AFS"),
        0x00c3_6400 => Some("Ceph"),
        _ => None,
    }
}

/// True if the disk of a file records when its record changed: without that, a file replaced by another of the same
/// size and time cannot be distinguished from it. Source of the numbers: statfs(2); the disk behind FUSE is not known.
#[cfg(target_os = "linux")]
pub fn notes_changes(file: &Path) -> bool {
    const MSDOS: u64 = 0x4d44;
    const EXFAT: u64 = 0x2011_bab0;
    const FUSE: u64 = 0x6573_5546;
    let Ok(stat) = rustix::fs::statfs(file) else { return true };
    ![MSDOS, EXFAT, FUSE].contains(&((stat.f_type as u64) & 0xffff_ffff))
}

/// True if the disk of a file records when its record changed; only on Unix is such a time read.
#[cfg(not(target_os = "linux"))]
pub fn notes_changes(_file: &Path) -> bool {
    cfg!(unix)
}

/// True if a file has several names, so that it may change without notice under this one.
#[cfg(unix)]
pub fn has_other_names(metadata: &Metadata) -> bool {
    std::os::unix::fs::MetadataExt::nlink(metadata) > 1
}

/// Always false: whether a file has several names is not known on this system.
#[cfg(not(unix))]
pub fn has_other_names(_metadata: &Metadata) -> bool {
    false
}

/// Always `None`: the kind of network file system is not known on this system, for which there is `--poll`.
#[cfg(not(target_os = "linux"))]
pub fn network_kind(_folder: &Path) -> Option<&'static str> {
    None
}

/// Locks a folder against other instances of plateside that write there, until the file is dropped. Where the disk
/// cannot lock folders, as some network disks cannot, the file `or_on` in it is locked instead; its bytes are left
/// unchanged.
///
/// # Errors
/// `WouldBlock` where another holds it for longer than `within`; otherwise the system's error for a disk without locks,
/// or for a missing folder.
pub fn lock_folder(folder: &Path, or_on: &Path, within: Duration) -> io::Result<File> {
    lock_within(File::open(folder)?, within).or_else(|error| match error.kind() {
        io::ErrorKind::WouldBlock => Err(error),
        // Opened for writing: some disks lock only such files. Source: flock(2), NFS.
        _ => lock_within(File::options().read(true).write(true).open(or_on)?, within),
    })
}

fn lock_within(file: File, within: Duration) -> io::Result<File> {
    /// Pause between two attempts: shorter than a write takes.
    const PAUSE: Duration = Duration::from_millis(2);
    let begin = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(TryLockError::WouldBlock) if begin.elapsed() < within => std::thread::sleep(PAUSE),
            Err(TryLockError::WouldBlock) => return Err(io::ErrorKind::WouldBlock.into()),
            Err(TryLockError::Error(error)) => return Err(error),
        }
    }
}

/// Lowers the priority of this thread, and of those that it starts, by a number of steps out of 19.
#[cfg(target_os = "linux")]
pub fn lower_priority(steps: i32) {
    // Source: setpriority(2): on Linux it affects only the calling thread.
    let _as_before = rustix::process::setpriority_process(None, steps);
}

/// Does nothing: on this system the priority would be that of the whole program.
#[cfg(not(target_os = "linux"))]
pub fn lower_priority(_steps: i32) {}

/// Reads a part of a file, without moving the position where others read and write.
///
/// # Errors
/// When the file ends before, or the disk fails.
#[cfg(unix)]
pub fn read_at(file: &File, from: u64, into: &mut [u8]) -> io::Result<()> {
    std::os::unix::fs::FileExt::read_exact_at(file, into, from)
}

/// Reads a part of a file. Of two calls at the same moment the second waits.
///
/// # Errors
/// When the file ends before, or the disk fails.
#[cfg(not(unix))]
pub fn read_at(file: &File, from: u64, into: &mut [u8]) -> io::Result<()> {
    use std::io::{Read, Seek, SeekFrom};
    let (mut file, _alone) = (file, IN_TURN.lock());
    file.seek(SeekFrom::Start(from))?;
    file.read_exact(into)
}

/// Writes a part of a file, without moving the position where others read and write.
///
/// # Errors
/// When the disk is full or fails.
#[cfg(unix)]
pub fn write_at(file: &File, from: u64, bytes: &[u8]) -> io::Result<()> {
    std::os::unix::fs::FileExt::write_all_at(file, bytes, from)
}

/// Writes a part of a file. Of two calls at the same moment the second waits.
///
/// # Errors
/// When the disk is full or fails.
#[cfg(not(unix))]
pub fn write_at(file: &File, from: u64, bytes: &[u8]) -> io::Result<()> {
    use std::io::{Seek, SeekFrom, Write};
    let (mut file, _alone) = (file, IN_TURN.lock());
    file.seek(SeekFrom::Start(from))?;
    file.write_all(bytes)
}

/// Held while the file position is used.
#[cfg(not(unix))]
static IN_TURN: parking_lot::Mutex<()> = parking_lot::Mutex::new(());

/// Frees the disk space of a part of a file, whose length stays. Does nothing where that is not possible.
#[cfg(target_os = "linux")]
pub fn punch_hole(file: &File, from: u64, bytes: u64) {
    use rustix::fs::{FallocateFlags, fallocate};
    let _kept = fallocate(file, FallocateFlags::PUNCH_HOLE | FallocateFlags::KEEP_SIZE, from, bytes);
}

/// Does nothing: disk space of a part of a file cannot be freed on this system.
#[cfg(not(target_os = "linux"))]
pub fn punch_hole(_file: &File, _from: u64, _bytes: u64) {}

/// Renames a folder to a name not yet in use.
///
/// # Errors
/// When the name is in use (`AlreadyExists`).
#[cfg(target_os = "linux")]
pub fn rename_no_replace(from: &Path, to: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    match renameat_with(CWD, from, CWD, to, RenameFlags::NOREPLACE) {
        // Some file systems do not support this flag.
        Err(rustix::io::Errno::INVAL | rustix::io::Errno::NOSYS) => rename_if_free(from, to),
        renamed => renamed.map_err(io::Error::from),
    }
}

/// Renames a folder to a name not yet in use.
///
/// # Errors
/// When the name is in use (`AlreadyExists`).
#[cfg(not(target_os = "linux"))]
pub fn rename_no_replace(from: &Path, to: &Path) -> io::Result<()> {
    rename_if_free(from, to)
}

fn rename_if_free(from: &Path, to: &Path) -> io::Result<()> {
    if std::fs::symlink_metadata(to).is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    std::fs::rename(from, to)
}

/// Gives a folder the permissions of new folders under the umask: temporary ones are for their owner alone.
///
/// # Errors
/// When they cannot be changed.
#[cfg(unix)]
pub fn set_default_permissions(folder: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let inner = folder.join(".mode");
    std::fs::create_dir(&inner)?;
    let usual = std::fs::metadata(&inner)?.permissions().mode();
    std::fs::remove_dir(&inner)?;
    std::fs::set_permissions(folder, std::fs::Permissions::from_mode(usual))
}

/// Does nothing: here folders already have the permissions of new ones.
///
/// # Errors
/// Never.
#[cfg(not(unix))]
pub fn set_default_permissions(_folder: &Path) -> io::Result<()> {
    Ok(())
}

/// Returns the bytes free for this user on a folder's disk; `None` where that is not known.
#[cfg(unix)]
pub fn free_bytes(folder: &Path) -> Option<u64> {
    let stat = rustix::fs::statvfs(folder).ok()?;
    Some(stat.f_bavail.saturating_mul(stat.f_frsize))
}

/// Always `None`: the bytes free for this user are not known on this system.
#[cfg(not(unix))]
pub fn free_bytes(_folder: &Path) -> Option<u64> {
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn a_file_rewritten_with_its_old_size_and_time_has_other_marks() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.jpg");
        std::fs::write(&path, b"one").unwrap();
        let before = std::fs::metadata(&path).unwrap();
        std::thread::sleep(std::time::Duration::from_millis(20));
        std::fs::write(&path, b"two").unwrap();
        std::fs::File::options().write(true).open(&path).unwrap().set_modified(before.modified().unwrap()).unwrap();
        let (before, after) = (identity(&before), identity(&std::fs::metadata(&path).unwrap()));
        assert_eq!((before.modified_ns, before.inode), (after.modified_ns, after.inode));
        assert_ne!(before.changed_ns, after.changed_ns);
    }

    #[test]
    fn a_folder_that_is_not_there_is_on_no_network() {
        assert_eq!(network_kind(Path::new("/nowhere/at/all")), None);
    }
}
