//! Room for a picture that is decoded whole, in large pages where the system has them: a frame of 45 MP in small ones
//! costs 33 000 page faults, half as much time as the decoding itself.

use std::io;

use memmap2::MmapMut;

/// Memory that is kept from picture to picture and only grows.
#[derive(Debug, Default)]
pub struct Room(Option<MmapMut>);

impl Room {
    /// So many bytes, with whatever an earlier picture left in them.
    ///
    /// # Errors
    /// The system has no such room.
    pub fn of(&mut self, bytes: usize) -> io::Result<&mut [u8]> {
        if self.bytes() < bytes {
            // The old one is given back first: both together may be too much.
            self.0 = None;
            let room = MmapMut::map_anon(bytes.max(1))?;
            #[cfg(target_os = "linux")]
            // Small pages are as good, only slower.
            let _advised = room.advise(memmap2::Advice::HugePage);
            self.0 = Some(room);
        }
        self.0.as_deref_mut().and_then(|room| room.get_mut(..bytes)).ok_or_else(|| io::ErrorKind::OutOfMemory.into())
    }

    /// Bytes held.
    pub fn bytes(&self) -> usize {
        self.0.as_deref().map_or(0, <[u8]>::len)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn room_grows_and_is_kept() {
        let mut room = Room::default();
        assert_eq!(room.bytes(), 0);
        room.of(3_000_000).unwrap().fill(7);
        assert_eq!(room.of(10).unwrap(), [7; 10]);
        assert_eq!(room.bytes(), 3_000_000);
        assert_eq!(room.of(5_000_000).unwrap()[4_999_999], 0);
        assert!(room.of(0).unwrap().is_empty());
    }
}
