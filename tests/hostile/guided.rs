//! The same readers under a fuzzer that keeps what reaches branches of the code that nothing reached before.
//!
//!     PLATESIDE_TARGET=NAME guided CORPUS...

#![no_main]

use std::fs;
use std::path::PathBuf;
use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;

mod reads;

/// The reader that the environment names, and where it finds its bytes as a file.
static READER: LazyLock<(reads::Target, PathBuf)> = LazyLock::new(|| {
    let name = std::env::var("PLATESIDE_TARGET").unwrap_or_default();
    let reader = reads::TARGETS.iter().find(|(one, _)| *one == name);
    let (_, read) = reader.expect("PLATESIDE_TARGET names one of the targets in reads.rs");
    let room = std::env::temp_dir().join(format!("plateside-guided-{}", std::process::id()));
    fs::create_dir_all(&room).expect("there is room for a file");
    (*read, room.join("fed"))
});

fuzz_target!(|bytes: &[u8]| {
    let (read, kept) = &*READER;
    fs::write(kept, bytes).expect("the file can be written");
    read(bytes, kept);
});
