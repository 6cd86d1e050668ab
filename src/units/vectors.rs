//! The processor's widest vectors for plain loops over samples. What a loop computes stays the same to the last bit.

/// Does the work as it was compiled for the vectors that this processor has. For short, hot loops over whole rows that
/// call nothing: only what is inlined into the work gains.
#[inline(always)]
pub fn widest<R>(work: impl FnOnce() -> R) -> R {
    pulp::Arch::new().dispatch(work)
}
