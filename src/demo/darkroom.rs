//! Faults given to a finished picture before it is saved. Each sets its own measure exactly, so that this alone differs
//! from a sound picture. Knows no file and no scene.

mod levels;
mod light;
mod sharpness;

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use painter::{Image, Rect};

use levels::WIDE_STEP;

/// A step in the darkroom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Treatment {
    Nothing,
    /// Bright things round `centre` are overexposed until this share of the picture is pure white.
    Overexposed {
        /// Position as shares of width and height.
        centre: (f32, f32),
        /// Reach of the light, as a share of the longer side.
        reach: f32,
        share: f64,
    },
    /// The brightest fine detail glints: this share of the picture is pure white.
    Glinting {
        share: f64,
    },
    /// Reds are driven until red is clipped in this share of the picture.
    Reddened {
        share: f64,
    },
    /// Only a pool of light remains: this share of the cells is below the paper's black.
    Darkened {
        centre: (f32, f32),
        dmax: f64,
        share: f64,
    },
    /// A plain border covers the outermost px.
    Bordered {
        width_px: usize,
    },
    /// Blurred by a Gaussian, then given the usual grain.
    Defocused {
        blur_px: f64,
    },
    /// An unsharp mask.
    Sharpened {
        radius_px: f64,
        amount: f32,
    },
    /// Enlarged, and cropped to this size.
    Enlarged {
        factor: f64,
        width_px: usize,
        height_px: usize,
    },
    Grained {
        sigma_levels: f64,
    },
    /// Saved as a poor JPEG, then cropped by this much at the left and the top.
    Resaved {
        quality: u8,
        cut_px: (usize, usize),
    },
    /// Linear red and blue are multiplied.
    Tinted {
        red: f64,
        blue: f64,
    },
}

/// Returns the picture after a treatment.
///
/// # Errors
/// A codec's error, in words.
pub fn treat(painted: &Image, treatment: Treatment) -> Result<Image, String> {
    Ok(match treatment {
        Treatment::Nothing => painted.clone(),
        Treatment::Overexposed { centre, reach, share } => light::overexpose(painted, centre, reach, share),
        Treatment::Glinting { share } => light::add_glints(painted, share),
        Treatment::Reddened { share } => light::redden(painted, share),
        Treatment::Darkened { centre, dmax, share } => light::darken(painted, centre, dmax, share),
        Treatment::Bordered { width_px } => add_border(painted, width_px),
        Treatment::Defocused { blur_px } => sharpness::defocus(painted, blur_px),
        Treatment::Sharpened { radius_px, amount } => sharpness::sharpen(painted, radius_px, amount),
        Treatment::Enlarged { factor, width_px, height_px } => {
            sharpness::enlarge(painted, factor, (width_px, height_px))
        }
        Treatment::Grained { sigma_levels } => sharpness::add_grain(painted, sigma_levels),
        Treatment::Resaved { quality, cut_px } => resave(painted, quality, cut_px)?,
        Treatment::Tinted { red, blue } => light::tint(painted, red, blue),
    })
}

/// A warm white card.
const BORDER: [u16; 3] = [232 * WIDE_STEP, 225 * WIDE_STEP, 210 * WIDE_STEP];

fn add_border(painted: &Image, width_px: usize) -> Image {
    let mut out = painted.clone();
    let (width, height) = (painted.width_px, painted.height_px);
    for (i, pixel) in out.rgb16_mut().chunks_exact_mut(3).enumerate() {
        let (x, y) = (i % width, i / width);
        if x.min(width - 1 - x).min(y).min(height - 1 - y) < width_px {
            pixel.copy_from_slice(&BORDER);
        }
    }
    out
}

fn resave(painted: &Image, quality: u8, cut_px: (usize, usize)) -> Result<Image, String> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, quality);
    encoder.set_sampling_factor(SamplingFactor::R_4_2_0);
    let (width, height) = (painted.width_px as u16, painted.height_px as u16);
    encoder.encode(&painted.to_rgb8(), width, height, ColorType::Rgb).map_err(|error| error.to_string())?;
    let side_px = painted.width_px.max(painted.height_px) as u32;
    let read = crate::picture::jpeg(&bytes, side_px).ok_or("a JPEG that was just written cannot be read")?;
    let mut out = painted.clone();
    for (wide, narrow) in out.rgb16_mut().iter_mut().zip(read.rgb) {
        *wide = u16::from(narrow) * WIDE_STEP;
    }
    let (left, top) = cut_px;
    let (width_px, height_px) = (painted.width_px - left, painted.height_px - top);
    Ok(out.crop(Rect { left, top, width_px, height_px }))
}

#[cfg(test)]
mod tests;
