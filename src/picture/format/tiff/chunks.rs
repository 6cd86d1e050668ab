//! Offsets and sizes of a TIFF's strips or tiles: from its tags, or from the picture's size where tags are missing.

use super::pages::{Page, Pages, tag};
use super::storage::{JPEG, Storage};
use crate::picture::facts::Format;
use crate::picture::{Fault, FaultKind, limits};

/// What a strip list is read at most: one strip a row of the tallest picture.
const MAX_CHUNKS: u64 = 1 << 20;

/// Offsets and sizes of strips or tiles, checked against the file's end.
pub struct Chunks {
    pub offsets: Vec<u64>,
    /// Bytes of each.
    pub sizes: Vec<u64>,
    /// Chunks side by side.
    pub across: u32,
    /// Chunks of a plane.
    pub per_plane: u32,
}

impl Chunks {
    pub fn read(pages: &mut Pages<'_>, page: &Page, storage: &Storage, file_bytes: u64) -> Result<Chunks, Fault> {
        let (tiles, strips) = ([tag::TILE_OFFSETS, tag::TILE_BYTES], [tag::STRIP_OFFSETS, tag::STRIP_BYTES]);
        // Some writers list their tiles as strips.
        let lists = if storage.is_tiled && pages.has(page, tag::TILE_OFFSETS) { tiles } else { strips };
        let [mut offsets, said] = lists.map(|list| pages.numbers(page, list, MAX_CHUNKS));
        let (across, down) = (page.width_px.div_ceil(storage.chunk.0), page.height_px.div_ceil(storage.chunk.1));
        let planes = if storage.is_planar { u64::from(storage.samples) } else { 1 };
        let needed = u64::from(across) * u64::from(down) * planes;
        if (offsets.len() as u64) < needed {
            let what = format!("{} of the {needed} strips or tiles that its picture needs", offsets.len());
            return Err(Fault::damaged(Format::Tiff, what));
        }
        // More than are needed harm nothing.
        offsets.truncate(needed as usize);
        let follows = |index: usize| {
            let samples = if storage.is_planar { 1 } else { u64::from(storage.samples) };
            let row = u64::from(storage.chunk.0) * samples * storage.bytes_per_sample();
            let below = page.height_px - (index as u32 % (across * down)) / across * storage.chunk.1;
            row * u64::from(if storage.is_tiled { storage.chunk.1 } else { storage.chunk.1.min(below) })
        };
        let mut in_order = offsets.clone();
        in_order.sort_unstable();
        let up_to_the_next = |at: u64| {
            let next = in_order.get(in_order.partition_point(|other| *other <= at));
            next.copied().unwrap_or(file_bytes).saturating_sub(at).max(1)
        };
        let sizes: Vec<u64> = offsets
            .iter()
            .enumerate()
            .map(|(index, at)| match said.get(index) {
                // Sizes follow from the picture; some writers state them wrongly.
                _ if storage.compression == 1 => follows(index),
                Some(size) if *size > 0 => *size,
                // As other readers have it where the sizes are missing: up to the next, or to the file's end.
                _ => up_to_the_next(*at),
            })
            .collect();
        let inside = |(at, size): (&u64, &u64)| *at > 0 && at.checked_add(*size).is_some_and(|end| end <= file_bytes);
        if !offsets.iter().zip(&sizes).all(inside) {
            return Err(Fault::truncated("the file ends before the picture does"));
        }
        let most = if storage.compression == JPEG { limits::MAX_JPEG_CHUNK_BYTES } else { u64::MAX };
        if sizes.iter().any(|size| *size > most) {
            let what = format!("a strip or tile of more than {} MB as JPEG", most >> 20);
            return Err(Fault::new(FaultKind::TooLarge, what));
        }
        Ok(Chunks { offsets, sizes, across, per_plane: across * down })
    }
}
