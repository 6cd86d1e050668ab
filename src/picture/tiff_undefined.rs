//! A TIFF tag of type UNDEFINED, which the tiff crate's encoder does not have.

use std::borrow::Cow;

use tiff::encoder::TiffValue;
use tiff::tags::Type;

/// Bytes of type UNDEFINED, as the tag of an ICC profile needs them. Source: ICC.1:2022, annex B.4.
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
