//! Decodes pictures to their last rows and throws those away: what a check of them pays for reading, hashing and decoding.
//! `plain PICTURE...`; `tests/bench/folder.py` times it beside whole checks.

use std::path::Path;

use color_eyre::eyre::{Result, eyre};
use plateside::picture::{Buffers, open_pixels, read_facts};

fn main() -> Result<()> {
    let mut buffers = Buffers::default();
    for picture in std::env::args_os().skip(1) {
        let fault = |fault| eyre!("{}: {fault:?}", picture.display());
        let path = Path::new(&picture);
        let facts = read_facts(path).map_err(fault)?;
        let mut opened = open_pixels(path, &facts, &mut buffers).map_err(fault)?;
        while opened.bands.next_band().map_err(fault)?.is_some() {}
    }
    Ok(())
}
