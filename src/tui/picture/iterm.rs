//! iTerm2 inline pictures: a JPEG in base64. Source: the terminal's published description; tested on bytes alone.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use image::RgbImage;
use jpeg_encoder::{ColorType, Encoder};

/// JPEG quality as shown: no artefacts that could be mistaken for the picture's own at this size. Own choice.
const QUALITY: u8 = 90;

/// Returns the bytes that draw a picture over an area of cells at the cursor.
pub fn draw(picture: &RgbImage, cells: (u16, u16)) -> Option<Vec<u8>> {
    let mut jpeg = Vec::new();
    let (width, height) = (u16::try_from(picture.width()).ok()?, u16::try_from(picture.height()).ok()?);
    Encoder::new(&mut jpeg, QUALITY).encode(picture, width, height, ColorType::Rgb).ok()?;
    let (columns, rows) = cells;
    let size = jpeg.len();
    let head = format!(
        "\x1b]1337;File=inline=1;size={size};width={columns};height={rows};preserveAspectRatio=0;doNotMoveCursor=1:"
    );
    Some(format!("{head}{}\x07", STANDARD.encode(jpeg)).into_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_picture_names_its_size_and_cells() {
        let text = String::from_utf8(draw(&RgbImage::new(16, 8), (2, 1)).unwrap()).unwrap();
        let (head, payload) = text.split_once(':').unwrap();
        let jpeg = STANDARD.decode(payload.trim_end_matches('\x07')).unwrap();
        assert!(head.starts_with("\x1b]1337;File=inline=1;") && head.contains(";width=2;height=1;"));
        assert!(head.contains(&format!(";size={};", jpeg.len())));
        assert_eq!(&jpeg[..3], [0xff, 0xd8, 0xff]);
    }
}
