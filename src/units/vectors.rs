//! Compiles plain loops over samples for the processor's widest vectors. Results stay the same to the last bit.

/// Runs `work` as compiled for the vectors that this processor has. For short, hot loops over whole rows that call
/// nothing: only code inlined into `work` gains.
#[inline(always)]
pub fn widest<R>(work: impl FnOnce() -> R) -> R {
    pulp::Arch::new().dispatch(work)
}
