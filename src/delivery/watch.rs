//! Following a delivery while it is made, from the prompt and from the screen.

use crate::reading::batch::CheckWatch;

use super::log::SentBefore;

/// Follows a delivery, and may stop it; called from any thread. A delivery that is stopped leaves nothing behind.
pub trait DeliveryWatch: CheckWatch {
    /// Takes in what was sent before, once everything is checked and before anything is written.
    fn planned(&self, before: &SentBefore);

    /// Takes in how many pictures are copied, of how many.
    fn copied(&self, done: usize, of: usize);
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

    impl CheckWatch for Unwatched {
        fn checked(&self, _: Progress) {}

        fn is_stopped(&self) -> bool {
            self.stops
        }
    }

    impl DeliveryWatch for Unwatched {
        fn planned(&self, _: &SentBefore) {}

        fn copied(&self, _: usize, _: usize) {}
    }
}
