//! Loops with the widest vectors that the processor has, chosen at run time from a baseline build.
//!
//! What is done is the same additions, multiplications, divisions and roots in any width, each rounded once, so the bits are the same too.

pub(super) use pulp::Arch;
pub(super) use pulp::NullaryFnOnce as Work;
pub(super) use pulp::{Simd, WithSimd};

/// Does work in which all is inlined; its loops are compiled for each instruction set.
#[inline]
pub(super) fn wide<W: WithSimd>(work: W) -> W::Output {
    wide_on(Arch::new(), work)
}

/// The same for an instruction set that was chosen before.
#[inline]
pub(super) fn wide_on<W: WithSimd>(arch: Arch, work: W) -> W::Output {
    arch.dispatch(work)
}
