//! The most recently used values, up to a number of bytes.

use lru::LruCache;

/// Values by number; the least recently used make room.
#[derive(Debug)]
pub struct RecentlyUsed<T> {
    kept: LruCache<u64, (T, u64)>,
    bytes: u64,
    most: u64,
}

impl<T: Clone> RecentlyUsed<T> {
    /// Creates an empty store that never holds more than `most` bytes.
    pub fn up_to(most: u64) -> RecentlyUsed<T> {
        RecentlyUsed { kept: LruCache::unbounded(), bytes: 0, most }
    }

    /// Keeps a value that takes `bytes` bytes.
    pub fn keep(&mut self, number: u64, value: T, bytes: u64) {
        if bytes > self.most {
            return self.forget(number);
        }
        self.bytes += bytes;
        if let Some((_, (_, old))) = self.kept.push(number, (value, bytes)) {
            self.bytes -= old;
        }
        while self.bytes > self.most
            && let Some((_, (_, old))) = self.kept.pop_lru()
        {
            self.bytes -= old;
        }
    }

    /// Returns a value, if it is still there.
    pub fn get(&mut self, number: u64) -> Option<T> {
        self.kept.get(&number).map(|(value, _)| value.clone())
    }

    /// Removes a value.
    pub fn forget(&mut self, number: u64) {
        if let Some((_, bytes)) = self.kept.pop(&number) {
            self.bytes -= bytes;
        }
    }
}

#[cfg(test)]
impl<T> RecentlyUsed<T> {
    /// Returns the number of values, and their bytes.
    pub fn held(&self) -> (usize, u64) {
        (self.kept.len(), self.bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_used_longest_ago_makes_room() {
        let mut recent = RecentlyUsed::up_to(32);
        recent.keep(1, 'a', 15);
        recent.keep(2, 'b', 15);
        assert_eq!(recent.get(1), Some('a'));
        recent.keep(3, 'c', 15);
        assert_eq!([1, 2, 3].map(|number| recent.get(number)), [Some('a'), None, Some('c')]);
        recent.keep(3, 'd', 1);
        recent.keep(4, 'e', 15);
        assert_eq!([1, 3, 4].map(|number| recent.get(number)), [Some('a'), Some('d'), Some('e')]);
    }

    #[test]
    fn what_is_let_go_leaves_its_room() {
        let mut recent = RecentlyUsed::up_to(32);
        recent.keep(1, 'a', 20);
        recent.forget(1);
        recent.keep(2, 'b', 20);
        recent.keep(3, 'c', 12);
        assert_eq!([1, 2, 3].map(|number| recent.get(number)), [None, Some('b'), Some('c')]);
    }

    #[test]
    fn what_is_larger_than_all_the_room_is_not_kept() {
        let mut recent = RecentlyUsed::up_to(32);
        recent.keep(1, 'a', 1);
        recent.keep(2, 'b', 1);
        recent.keep(2, 'c', 33);
        assert_eq!([1, 2].map(|number| recent.get(number)), [Some('a'), None]);
    }
}
