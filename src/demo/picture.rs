//! One file of the shoot: its kind, what it says in words, and what was done to it.
use painter::Rect;

use super::darkroom::Treatment;
use super::truth::{DishBox, Truth};

pub const CREATOR: &str = "Imogen Tarrow";
pub const RIGHTS: &str = "(c) 2026 Fennimore Quay Cookery School";

/// One file.
#[derive(Clone, Copy)]
pub struct Picture {
    pub name: &'static str,
    /// The cut from the painting; the whole of it if nothing is said.
    pub part: Option<Rect>,
    pub kind: FileKind,
    /// The resolution tag.
    pub ppi: u16,
    pub words: Words,
    /// What was done to it before it was saved.
    pub treatment: Treatment,
    pub fault: Fault,
    /// Another name under which the same bytes lie there too.
    pub twin: Option<&'static str>,
    /// What a check of it has to find.
    pub truth: &'static str,
    /// The same in numbers.
    pub sized: Truth,
    /// Where the dish is, if its place matters.
    pub dish: Option<DishBox>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    Jpeg {
        quality: u8,
        chroma: Chroma,
    },
    /// RGB, 16 bits a channel.
    Tiff16,
    /// Four inks, 8 bits a channel.
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

/// What the file says in words.
#[derive(Clone, Copy)]
pub struct Words {
    pub caption: &'static str,
    /// Creator and copyright.
    pub credited: bool,
    /// GPS coordinates.
    pub located: bool,
    /// The same words as an XMP packet too.
    pub packet: bool,
}

/// What is done to a file beyond its kind and size.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    Nothing,
    /// No profile is embedded.
    Untagged,
    /// Pixels stored a quarter turn to the left, the orientation tag says 6.
    Sideways,
    /// The file ends after nine tenths of its bytes.
    CutOff,
}

const FINE_JPEG: FileKind = FileKind::Jpeg { quality: 95, chroma: Chroma::Full };

/// What is right: the rest of a picture is said as difference from this.
pub const SOUND: Picture = Picture {
    name: "",
    part: None,
    kind: FINE_JPEG,
    ppi: 300,
    words: Words { caption: "", credited: true, located: false, packet: true },
    treatment: Treatment::Nothing,
    fault: Fault::Nothing,
    twin: None,
    truth: "PASS",
    sized: Truth::Sound,
    dish: None,
};

/// A sound file's words, with this caption.
pub const fn words(caption: &'static str) -> Words {
    Words { caption, credited: true, located: false, packet: true }
}
