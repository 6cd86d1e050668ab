//! One file of the shoot: its kind, its metadata text, and the treatment it received.

use painter::Rect;

use super::darkroom::Treatment;
use super::truth::{DishBox, Truth};

pub const CREATOR: &str = "Imogen Tarrow";
pub const RIGHTS: &str = "(c) 2026 Fennimore Quay Cookery School";

/// A file of the shoot.
#[derive(Clone, Copy)]
pub struct Picture {
    pub name: &'static str,
    /// The crop from the painting; if `None`, the whole of it.
    pub part: Option<Rect>,
    pub kind: FileKind,
    /// The resolution tag, in ppi.
    pub ppi: u16,
    pub words: Words,
    /// The treatment before it was saved.
    pub treatment: Treatment,
    pub fault: DeliberateFault,
    /// Another file name under which the same bytes are stored too.
    pub twin: Option<&'static str>,
    /// The finding that a check must make, in words.
    pub expected: &'static str,
    /// The same finding in numbers.
    pub truth: Truth,
    /// The dish's position, if it matters.
    pub dish: Option<DishBox>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    Jpeg {
        quality: u8,
        chroma: Chroma,
    },
    /// RGB, 16 bits per channel.
    Tiff16,
    /// Four inks, 8 bits per channel.
    TiffInks,
    Png,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Chroma {
    /// 4:4:4.
    Full,
    /// 4:2:0.
    Halved,
}

/// The text in the file's metadata.
#[derive(Clone, Copy)]
pub struct Words {
    pub caption: &'static str,
    /// True if it names creator and copyright.
    pub is_credited: bool,
    /// True if it has GPS coordinates.
    pub is_located: bool,
    /// True if the text is also an XMP packet.
    pub has_packet: bool,
}

/// A fault of a file beyond its kind and size.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum DeliberateFault {
    Nothing,
    /// No profile is embedded.
    Untagged,
    /// Pixels are stored a quarter turn to the left; the orientation tag is 6.
    Sideways,
    /// The file ends after nine tenths of its bytes.
    CutOff,
}

const FINE_JPEG: FileKind = FileKind::Jpeg { quality: 95, chroma: Chroma::Full };

/// A sound picture, from which all others are written as differences.
pub const SOUND: Picture = Picture {
    name: "",
    part: None,
    kind: FINE_JPEG,
    ppi: 300,
    words: Words { caption: "", is_credited: true, is_located: false, has_packet: true },
    treatment: Treatment::Nothing,
    fault: DeliberateFault::Nothing,
    twin: None,
    expected: "PASS",
    truth: Truth::Sound,
    dish: None,
};

/// Returns a sound file's metadata text, with this caption.
pub const fn words(caption: &'static str) -> Words {
    Words { caption, is_credited: true, is_located: false, has_packet: true }
}
