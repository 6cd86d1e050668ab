//! The times when pictures are to be read again, without iterating over all of them.

use std::time::Duration;

use crate::live::limits;

/// The time of the next check for pictures that are to be read again.
#[derive(Debug, Default)]
pub struct RetrySchedule {
    /// When the first of them is due.
    at: Option<Duration>,
    /// No check before this.
    not_before: Duration,
}

impl RetrySchedule {
    /// Notes that a picture is to be read again at this time, if at any.
    pub fn expect(&mut self, at: Option<Duration>) {
        self.at = [self.at, at].into_iter().flatten().min();
    }

    /// Returns when to check, if at all.
    pub fn next(&self) -> Option<Duration> {
        self.at.map(|at| at.max(self.not_before))
    }

    /// Returns true if it is time to check; pictures not due then must be noted again.
    pub fn take_due(&mut self, now: Duration) -> bool {
        let is_due = self.next().is_some_and(|at| at <= now);
        if is_due {
            (self.at, self.not_before) = (None, now + limits::RETRY_PACE);
        }
        is_due
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_soonest_is_looked_for_and_two_looks_lie_apart() {
        let s = Duration::from_secs;
        let mut retries = RetrySchedule::default();
        assert!(!retries.take_due(s(100)));
        [Some(s(9)), None, Some(s(5))].into_iter().for_each(|at| retries.expect(at));
        assert!(!retries.take_due(s(4)) && retries.take_due(s(5)) && !retries.take_due(s(5)));
        retries.expect(Some(s(5)));
        assert_eq!(retries.next(), Some(s(5) + limits::RETRY_PACE));
    }
}
