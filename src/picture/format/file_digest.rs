//! The SHA-256 of an open file.

use std::fs::File;
use std::io::Read;

use sha2::{Digest, Sha256};

use super::descriptor::STILL_CHANGING;
use crate::picture::Fault;

/// What hashing takes from the disk at a time: few calls, and it stays in the processor's cache.
const HASHED_AT_ONCE_BYTES: usize = 256 << 10;

/// Returns the SHA-256, lower-case hexadecimal, of a file from its current position on, read in pieces.
///
/// # Errors
/// The file does not end after exactly `bytes` bytes, or cannot be read.
pub fn file_digest(file: &mut File, bytes: u64) -> Result<String, Fault> {
    let mut hash = Sha256::new();
    let mut piece = vec![0; HASHED_AT_ONCE_BYTES];
    // One more than there are: a file that grows is not followed to its end.
    let mut whole = file.take(bytes + 1);
    let mut hashed = 0;
    loop {
        match whole.read(&mut piece)? {
            0 => break,
            read => {
                hash.update(&piece[..read]);
                hashed += read as u64;
            }
        }
    }
    if hashed == bytes { Ok(format!("{:x}", hash.finalize())) } else { Err(Fault::truncated(STILL_CHANGING)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn a_file_that_grows_is_not_followed_to_its_end() {
        let mut endless = File::open("/dev/zero").unwrap();
        assert_eq!(file_digest(&mut endless, 1_000_000), Err(Fault::truncated(STILL_CHANGING)));
    }
}
