//! A panic while reading one picture becomes a fault of that picture.

use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::picture::{Fault, FaultKind};

/// Name prefix of worker threads: the screen's panic hook stays silent for them.
pub const WORKER_NAME: &str = "worker";

/// Does the work; returns a panic in it as a fault. State that the work changed before it panicked must not be used
/// again.
///
/// # Errors
/// The work's own fault, or that it panicked.
pub fn fenced<T>(work: impl FnOnce() -> Result<T, Fault>) -> Result<T, Fault> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        let said = panic.downcast_ref::<&str>().map(|words| (*words).to_owned());
        let said = said.or_else(|| panic.downcast_ref::<String>().cloned()).unwrap_or_default();
        Err(Fault::new(FaultKind::Internal, format!("reading it failed inside plateside: {said}")))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_a_fault_with_its_words() {
        let fault = fenced::<()>(|| panic!("row {} of 8", 9)).unwrap_err();
        assert_eq!(fault.kind, FaultKind::Internal);
        assert!(fault.what.ends_with("row 9 of 8"), "{}", fault.what);
        assert_eq!(fenced(|| Ok(3)), Ok(3));
    }
}
