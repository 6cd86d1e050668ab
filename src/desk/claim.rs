//! Which of several desks on one brief decides: the first one to open it. The others show, and take over once it is
//! closed. Known by a locked file in a folder of the person's own, so that nothing lies beside the brief.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

/// A desk's claim to decide about a brief.
#[derive(Debug)]
pub struct Claim {
    /// The file that whoever decides holds locked; `None` where nobody is asked.
    path: Option<PathBuf>,
    held: Option<File>,
}

impl Claim {
    /// Claims a brief among the desks that look into `folder`; without one, nobody is asked.
    pub fn to(brief: &Path, folder: Option<&Path>) -> Claim {
        let whole = fs::canonicalize(brief).unwrap_or_else(|_| brief.to_owned());
        let named = |folder: &Path| {
            let digest = Sha256::digest(whole.as_os_str().as_encoded_bytes());
            let name: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
            folder.join(format!("{name}.lock"))
        };
        let mut claim = Claim { path: folder.map(named), held: None };
        claim.is_ours();
        claim
    }

    /// Whether this desk decides; takes over where the one that did is gone. On a disk that knows no locks each does.
    pub fn is_ours(&mut self) -> bool {
        let (Some(path), None) = (&self.path, &self.held) else { return true };
        let made = path.parent().map(fs::create_dir_all).transpose();
        let Some(file) = made.ok().and_then(|_| File::create(path).ok()) else { return true };
        match file.try_lock() {
            Err(fs::TryLockError::WouldBlock) => false,
            Err(fs::TryLockError::Error(_)) | Ok(()) => {
                self.held = Some(file);
                true
            }
        }
    }
}

impl Drop for Claim {
    fn drop(&mut self) {
        if let (Some(path), Some(_)) = (&self.path, self.held.take()) {
            // One that is left behind does no harm: only its lock counts.
            let _left = fs::remove_file(path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_desk_decides_and_the_next_takes_over() {
        let room = tempfile::tempdir().unwrap();
        let (brief, locks) = (room.path().join("b.toml"), room.path().join("desks"));
        fs::write(&brief, "").unwrap();
        let mut first = Claim::to(&brief, Some(&locks));
        let mut second = Claim::to(&brief, Some(&locks));
        let mut other = Claim::to(&room.path().join("c.toml"), Some(&locks));
        assert!(first.is_ours() && !second.is_ours() && other.is_ours());
        drop(first);
        assert!(second.is_ours());
        drop((second, other));
        assert_eq!(fs::read_dir(&locks).unwrap().count(), 0);
        assert!(Claim::to(&brief, None).is_ours());
    }
}
