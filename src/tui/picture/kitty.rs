//! The kitty graphics protocol: PNG in chunks, always under the same number, so that a new picture replaces the old.
//! Source: the protocol's published description.

use std::io::Cursor;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder, RgbImage};

/// The number of this program's picture: any that other programs are unlikely to use.
const NUMBER: u32 = 7340;
/// Most characters of base64 in a chunk. Source: the protocol's description.
const CHUNK: usize = 4096;

/// Returns the bytes that draw a picture over an area of cells at the cursor. `C=1` leaves the cursor where it is, so
/// nothing scrolls; `q=2` keeps the terminal's answers from arriving as keys.
pub fn draw(picture: &RgbImage, cells: (u16, u16)) -> Option<Vec<u8>> {
    let payload = STANDARD.encode(png(picture)?);
    let chunks: Vec<&str> =
        payload.as_bytes().chunks(CHUNK).filter_map(|chunk| std::str::from_utf8(chunk).ok()).collect();
    let mut bytes = String::with_capacity(payload.len() + 16 * chunks.len());
    for (i, chunk) in chunks.iter().enumerate() {
        let more = u8::from(i + 1 < chunks.len());
        if i == 0 {
            let (columns, rows) = cells;
            bytes.push_str(&format!("\x1b_Ga=T,i={NUMBER},p=1,q=2,C=1,f=100,c={columns},r={rows},m={more};"));
        } else {
            bytes.push_str(&format!("\x1b_Gm={more},q=2;"));
        }
        bytes.push_str(chunk);
        bytes.push_str("\x1b\\");
    }
    Some(bytes.into_bytes())
}

/// Returns the bytes that remove the picture.
pub fn erase() -> Vec<u8> {
    format!("\x1b_Ga=d,d=I,i={NUMBER},q=2\x1b\\").into_bytes()
}

fn png(picture: &RgbImage) -> Option<Vec<u8>> {
    let mut bytes = Cursor::new(Vec::new());
    PngEncoder::new_with_quality(&mut bytes, CompressionType::Fast, FilterType::Adaptive)
        .write_image(picture.as_raw(), picture.width(), picture.height(), ExtendedColorType::Rgb8)
        .ok()?;
    Some(bytes.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::picture::scale::scaled;
    use crate::tui::tests::order::thumbnail;

    #[test]
    fn a_picture_goes_out_in_chunks_and_arrives_whole() {
        let picture = scaled(&thumbnail("a", 320, 240), 160, 120);
        let text = String::from_utf8(draw(&picture, (20, 8)).unwrap()).unwrap();
        let chunks: Vec<&str> = text.split_terminator("\x1b\\").collect();
        assert!(chunks.len() > 1);
        assert!(chunks[0].starts_with("\x1b_Ga=T,i=7340,p=1,q=2,C=1,f=100,c=20,r=8,m=1;"));
        assert!(chunks[chunks.len() - 1].starts_with("\x1b_Gm=0,q=2;"));
        let payload: String = chunks.iter().map(|chunk| chunk.split_once(';').unwrap().1).collect();
        assert!(chunks.iter().all(|chunk| chunk.split_once(';').unwrap().1.len() <= 4096));
        let back = image::load_from_memory(&STANDARD.decode(payload).unwrap()).unwrap();
        assert_eq!(back.to_rgb8(), picture);
    }

    #[test]
    fn a_small_picture_is_one_finished_chunk() {
        let text = String::from_utf8(draw(&RgbImage::new(2, 2), (1, 1)).unwrap()).unwrap();
        assert!(text.contains(",m=0;") && text.ends_with("\x1b\\"));
    }
}
