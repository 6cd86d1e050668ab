//! What writers of files need and the formats' crates do not have.

use std::borrow::Cow;

use tiff::encoder::TiffValue;
use tiff::tags::Type;

/// Bytes without a meaning for TIFF itself, as the profile's tag wants them.
pub struct Undefined<'a>(pub &'a [u8]);

impl TiffValue for Undefined<'_> {
    const BYTE_LEN: u8 = 1;
    const FIELD_TYPE: Type = Type::UNDEFINED;

    fn count(&self) -> usize {
        self.0.len()
    }

    fn data(&self) -> Cow<'_, [u8]> {
        Cow::Borrowed(self.0)
    }
}
