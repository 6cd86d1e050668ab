//! An ICC profile that a JPEG carries in parts. Source: ICC.1:2022 Annex B.4.
//!
//! Only puts the parts together; what the profile is, `colour` says.

use crate::colour::profile::MAX_BYTES;

const NAME: &[u8] = b"ICC_PROFILE\0";

/// Parts as they were found, in any order.
#[derive(Debug, Default)]
pub struct ProfileParts {
    parts: Vec<(u8, Vec<u8>)>,
    /// How many parts the first one announces.
    count: u8,
    bytes: usize,
    /// What is wrong with them.
    fault: Option<String>,
}

impl ProfileParts {
    /// Takes the payload of an APP2 segment; one that is no part of a profile is left alone.
    pub fn add(&mut self, payload: &[u8]) {
        let Some(&[number, count, ref part @ ..]) = payload.strip_prefix(NAME) else { return };
        if self.parts.is_empty() {
            self.count = count;
        }
        self.bytes += part.len();
        let fault = if count != self.count {
            Some(format!("its parts announce {} and {count} parts", self.count))
        } else if number == 0 || number > count {
            Some(format!("part {number} of {count}"))
        } else if self.parts.iter().any(|(before, _)| *before == number) {
            Some(format!("part {number} of {count} is there twice"))
        } else if self.bytes > MAX_BYTES {
            Some(format!("it has more than the {MAX_BYTES} bytes that are read"))
        } else {
            self.parts.push((number, part.to_vec()));
            None
        };
        self.fault = self.fault.take().or(fault);
    }

    /// Returns the profile, if there is one, or what is wrong with its parts.
    pub fn assemble(&self) -> Result<Option<Vec<u8>>, String> {
        if let Some(fault) = &self.fault {
            return Err(format!("the embedded profile is broken: {fault}"));
        }
        if self.parts.is_empty() {
            return Ok(None);
        }
        let mut whole = Vec::with_capacity(self.bytes);
        for number in 1..=self.count {
            let Some((_, part)) = self.parts.iter().find(|(found, _)| *found == number) else {
                return Err(format!("the embedded profile is broken: part {number} of {} is missing", self.count));
            };
            whole.extend_from_slice(part);
        }
        Ok(Some(whole))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(of: &[(u8, u8, &[u8])]) -> Result<Option<Vec<u8>>, String> {
        let mut parts = ProfileParts::default();
        parts.add(b"FPXR\0");
        of.iter().for_each(|(number, count, part)| parts.add(&[NAME, &[*number, *count], *part].concat()));
        parts.assemble()
    }

    #[test]
    fn parts_are_put_in_order() {
        assert_eq!(parts(&[]), Ok(None));
        assert_eq!(parts(&[(2, 2, b"cd"), (1, 2, b"ab")]), Ok(Some(b"abcd".to_vec())));
    }

    #[test]
    fn a_missing_or_doubled_part_is_said() {
        assert!(parts(&[(1, 2, b"ab")]).unwrap_err().contains("part 2 of 2 is missing"));
        assert!(parts(&[(1, 1, b"ab"), (1, 1, b"ab")]).unwrap_err().contains("twice"));
        assert!(parts(&[(3, 2, b"ab")]).unwrap_err().contains("part 3 of 2"));
    }
}
