//! Sizes on disk and in memory: `120 MB`, decimal unless stated otherwise.

use num_rational::Ratio;

use super::length::number;

/// The largest size accepted: 1000 GB.
const MAX_BYTES: i128 = 1_000_000_000_000;

/// Why a text is not a size.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BytesError {
    /// A number alone.
    #[error("{0} has no unit: write \"{0} MB\"")]
    NoUnit(String),
    /// Not a number with a unit.
    #[error("\"{0}\" is not a file size: use kB, MB or GB")]
    NoSize(String),
    /// Zero, or above the limit.
    #[error("\"{0}\" is not a file size up to 1000 GB")]
    Beyond(String),
}

/// Reads a size. Sources: SI for kB, MB and GB; IEC 80000-13 for MiB and GiB.
///
/// # Errors
/// What is wrong with the text.
pub fn parse(text: &str) -> Result<u64, BytesError> {
    let text = text.trim();
    let (count, sign) = text.split_at(text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len()));
    let (count, sign) = (count.trim(), sign.trim());
    let times: i128 = match sign {
        "kB" | "KB" | "kb" => 1_000,
        "MB" | "mb" | "Mb" => 1_000_000,
        "GB" | "gb" | "Gb" => 1_000_000_000,
        "MiB" => 1 << 20,
        "GiB" => 1 << 30,
        "" if number(count).is_some() => return Err(BytesError::NoUnit(count.to_owned())),
        _ => return Err(BytesError::NoSize(text.to_owned())),
    };
    let bytes = number(count).map(|value| (value * Ratio::from_integer(times)).to_integer());
    bytes
        .filter(|bytes| (1..=MAX_BYTES).contains(bytes))
        .and_then(|bytes| u64::try_from(bytes).ok())
        .ok_or_else(|| BytesError::Beyond(text.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_decimal_unless_said() {
        assert_eq!(parse("1.5 MB"), Ok(1_500_000));
        assert_eq!((parse("2GB"), parse("1 GiB")), (Ok(2_000_000_000), Ok(1 << 30)));
        assert_eq!(parse("120"), Err(BytesError::NoUnit("120".to_owned())));
        for wrong in ["", "MB", "0 MB", "2000 GB", "12 px", "-1 MB"] {
            assert!(parse(wrong).is_err(), "{wrong}");
        }
    }
}
