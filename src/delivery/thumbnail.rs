//! Thumbnails for the note.

use jpeg_encoder::{ColorType, Encoder};

use crate::reading::checked::CheckedFile;
use crate::reading::inspect::{FileInspector, Inspector};

use super::frame::JpegThumbnail;

/// JPEG quality of the thumbnails: for recognising, not for judging. Own choice.
const QUALITY: u8 = 82;
/// Longest side of the thumbnails, in pixels. Own choice.
const MAX_SIDE_PX: usize = 480;

/// Returns a picture's thumbnail for the note, as JPEG; `None` if its pixels could not be read.
pub(super) fn of(file: &CheckedFile) -> Option<JpegThumbnail> {
    let (facts, evidence) = (file.submission.facts()?, file.submission.evidence()?);
    let upright = FileInspector::default().to_screen(&file.path, &evidence.thumbnail, facts)?;
    let (width, height) = (upright.width_px as usize, upright.height_px as usize);
    // Takes every n-th pixel of the thumbnail: it is for recognising only.
    let step = width.max(height).div_ceil(MAX_SIDE_PX).max(1);
    let (across, down) = (width.div_ceil(step), height.div_ceil(step));
    let pixels = upright.rgb.as_chunks::<3>().0;
    let picked = (0..down).flat_map(|y| (0..across).map(move |x| y * step * width + x * step));
    let rgb: Vec<u8> = picked.flat_map(|at| pixels[at]).collect();
    let mut jpeg = Vec::new();
    let (across, down) = (u16::try_from(across).ok()?, u16::try_from(down).ok()?);
    Encoder::new(&mut jpeg, QUALITY).encode(&rgb, across, down, ColorType::Rgb).ok()?;
    Some(JpegThumbnail { bytes: jpeg, size_px: (across.into(), down.into()) })
}
