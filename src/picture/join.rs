//! Runs two closures, at the same time where another processor is idle.

use std::panic::resume_unwind;
use std::thread::{self, Builder};

use parking_lot::Mutex;

/// Runs both and returns both results; with `helpers` the second on a thread of its own. A panic of either is passed
/// on.
pub fn join<A, B: Send>(
    may_use_second_thread: bool,
    one: impl FnOnce() -> A,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    if !may_use_second_thread {
        return (one(), other());
    }
    // The first to come takes it: the helper, or this thread where the system gives no other.
    let other = Mutex::new(Some(other));
    let take = || other.lock().take();
    // The name says to the panic hook whose work this is.
    let name = thread::current().name().unwrap_or_default().to_owned();
    thread::scope(|scope| {
        let helper = Builder::new().name(name).spawn_scoped(scope, || take().map(|other| other()));
        let one = one();
        let helped = helper.ok().and_then(|helper| helper.join().unwrap_or_else(|panic| resume_unwind(panic)));
        let other = helped.or_else(|| take().map(|other| other()));
        (one, other.expect("one of the two threads did it"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_are_done_with_a_helper_and_without() {
        for helpers in [false, true] {
            assert_eq!(join(helpers, || 1, || "two"), (1, "two"));
        }
        let caught = std::panic::catch_unwind(|| join(true, || 1, || -> u8 { panic!("the helper's") }));
        assert_eq!(caught.unwrap_err().downcast_ref::<&str>(), Some(&"the helper's"));
    }
}
