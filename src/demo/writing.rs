//! Writes files so that nobody sees half of one.
use std::io::Write;
use std::path::Path;

use super::error::DemoError;

/// Writes to a name with a leading dot beside the target, then renames: a watcher sees the file whole or not at all.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), DemoError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let written = || -> std::io::Result<()> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(".plateside-demo-");
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let mut file = builder.tempfile_in(folder)?;
        file.write_all(bytes)?;
        file.persist(path)?;
        Ok(())
    };
    written().map_err(|source| DemoError::Write { path: path.to_owned(), source })
}
