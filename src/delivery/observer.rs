//! Following a delivery while it is made, from the prompt and from the screen.

use crate::reading::batch::CheckObserver;

use super::log::SentBefore;

/// Follows a delivery, and may stop it; called from any thread. A delivery that is stopped leaves nothing behind.
pub trait DeliveryObserver: CheckObserver {
    /// Takes in what was sent before, once everything is checked and before anything is written.
    fn on_planned(&self, before: &SentBefore);

    /// Takes in how many pictures are copied, of how many.
    fn on_copied(&self, done: usize, of: usize);
}

#[cfg(test)]
pub(super) mod testing {
    use super::*;
    use crate::reading::batch::Progress;

    /// Nobody follows the delivery; it may be stopped from the start.
    #[derive(Default)]
    pub(in crate::delivery) struct Unwatched {
        pub(in crate::delivery) stops: bool,
    }

    impl CheckObserver for Unwatched {
        fn on_checked(&self, _: Progress) {}

        fn is_stopped(&self) -> bool {
            self.stops
        }
    }

    impl DeliveryObserver for Unwatched {
        fn on_planned(&self, _: &SentBefore) {}

        fn on_copied(&self, _: usize, _: usize) {}
    }
}
