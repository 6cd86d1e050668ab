//! Measures how work grows with its input; for tests.

use std::time::Duration;

use rustix::time::{ClockId, clock_gettime};

/// Rounds of which the quickest run of each size counts: others use the machine's memory, too.
const ROUNDS: usize = 5;
/// Limit for 4 times the input: linear work takes 4 times as long and quadratic work 16 times.
const MAX_TIMES: u32 = 8;

/// Panics if work on `4 * count` takes 8 times the processor time of work on `count`, or more. `work` gets the result
/// of `prepare`.
pub fn grows_less_than_square<T>(count: usize, prepare: impl Fn(usize) -> T, work: impl Fn(T)) {
    let run = |count: usize| {
        let prepared = prepare(count);
        let began = processor_time();
        work(prepared);
        processor_time().saturating_sub(began)
    };
    let (mut small, mut large) = (Duration::MAX, Duration::MAX);
    for _ in 0..ROUNDS {
        small = small.min(run(count));
        large = large.min(run(4 * count));
        if large < small * MAX_TIMES {
            return;
        }
    }
    panic!("{count}: {small:?}, four times as many: {large:?}");
}

/// Returns the processor time of this thread so far, which other processes do not affect.
pub fn processor_time() -> Duration {
    clock_gettime(ClockId::ThreadCPUTime).try_into().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::hint::black_box;

    #[test]
    fn all_pairs_are_told_from_one_look_at_each() {
        let numbers = |count: usize| (0..count).collect::<Vec<_>>();
        grows_less_than_square(100_000, numbers, |all| assert!(black_box(&all).iter().all(|one| *one < 1_000_000)));
        let pairs = |all: Vec<usize>| assert!(all.iter().all(|one| black_box(&all).contains(one)));
        assert!(std::panic::catch_unwind(|| grows_less_than_square(500, numbers, pairs)).is_err());
    }
}
