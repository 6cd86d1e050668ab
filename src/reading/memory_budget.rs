//! Memory permits: pictures decoded at the same time stay within a budget.

use std::sync::Arc;

use parking_lot::{Condvar, Mutex};

/// A budget of memory, shared by workers.
#[derive(Clone, Debug)]
pub struct MemoryBudget(Arc<Budget>);

#[derive(Debug)]
struct Budget {
    bytes: u64,
    taken: Mutex<u64>,
    given_back: Condvar,
}

/// Memory that may be used until this is dropped, on any thread.
#[derive(Debug)]
pub struct Permit {
    permits: MemoryBudget,
    bytes: u64,
}

impl MemoryBudget {
    /// Creates a budget in bytes.
    pub fn new(budget: u64) -> MemoryBudget {
        MemoryBudget(Arc::new(Budget { bytes: budget, taken: Mutex::new(0), given_back: Condvar::new() }))
    }

    /// Waits until this many bytes are free. A picture that needs more than the whole budget waits until no other holds
    /// any.
    pub fn wait_for(&self, bytes: u64) -> Permit {
        let budget = &*self.0;
        let bytes = bytes.min(budget.bytes);
        let mut taken = budget.taken.lock();
        while *taken + bytes > budget.bytes {
            budget.given_back.wait(&mut taken);
        }
        *taken += bytes;
        Permit { permits: self.clone(), bytes }
    }
}

impl Drop for Permit {
    fn drop(&mut self) {
        let budget = &*self.permits.0;
        *budget.taken.lock() -= self.bytes;
        budget.given_back.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicU64, Ordering};

    #[test]
    fn workers_together_never_hold_more_than_the_budget() {
        let permits = MemoryBudget::new(100);
        let (held, most) = (AtomicU64::new(0), AtomicU64::new(0));
        std::thread::scope(|scope| {
            for want in [30, 60, 90, 500, 10, 40, 70] {
                let (permits, held, most) = (&permits, &held, &most);
                scope.spawn(move || {
                    for _ in 0..50 {
                        let _permit = permits.wait_for(want);
                        let now = held.fetch_add(want.min(100), Ordering::SeqCst) + want.min(100);
                        most.fetch_max(now, Ordering::SeqCst);
                        std::thread::yield_now();
                        held.fetch_sub(want.min(100), Ordering::SeqCst);
                    }
                });
            }
        });
        assert!(most.load(Ordering::SeqCst) <= 100);
    }
}
