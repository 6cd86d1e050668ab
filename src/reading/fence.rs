//! A panic while reading one picture becomes a fault of that picture.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::picture::{Fault, FaultKind};

/// Name prefix of worker threads: the screen's panic hook stays silent for them.
pub const WORKER_NAME: &str = "worker";

/// Does the work; returns a panic in it as a fault. State that the work changed before it panicked must not be used
/// again.
///
/// # Errors
/// The work's own fault, or that it panicked.
pub fn catch_panic<T>(work: impl FnOnce() -> Result<T, Fault>) -> Result<T, Fault> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        let words = panic_message(panic.as_ref());
        Err(Fault::new(FaultKind::Internal, format!("reading it failed inside plateside: {words}")))
    })
}

/// Returns the message of a panic.
pub fn panic_message(panic: &(dyn Any + Send)) -> &str {
    let message = panic.downcast_ref::<&str>().copied().or_else(|| panic.downcast_ref::<String>().map(String::as_str));
    message.unwrap_or("no reason was given")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_a_fault_with_its_words() {
        let fault = catch_panic::<()>(|| panic!("row {} of 8", 9)).unwrap_err();
        assert_eq!(fault.kind, FaultKind::Internal);
        assert!(fault.what.ends_with("row 9 of 8"), "{}", fault.what);
        assert_eq!(catch_panic(|| Ok(3)), Ok(3));
    }
}
