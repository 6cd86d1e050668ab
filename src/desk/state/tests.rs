//! Events in, orders out.
