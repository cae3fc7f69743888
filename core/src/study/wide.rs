//! Loops with the widest vectors that the processor has, chosen at run time from a baseline build.
//!
//! What is done is the same additions, multiplications, divisions and roots in any width, each rounded once, so the bits are the same too.

pub(super) use pulp::Arch;
pub(super) use pulp::NullaryFnOnce as Work;
pub(super) use pulp::{Simd, WithSimd};

/// Designs that are evaluated together; the buffers of their values stay in the nearest cache.
pub(super) const BLOCK: usize = 256;

/// Values of which no vector of any width lies across two lines of the cache.
#[derive(Debug, Clone, Copy)]
#[repr(align(64))]
pub(super) struct Aligned<const N: usize>([f64; N]);

/// Values of a block.
pub(super) type Lanes = Aligned<BLOCK>;

impl<const N: usize> Aligned<N> {
    /// One value in every place.
    #[inline(always)]
    pub(super) fn of(value: f64) -> Self {
        Self([value; N])
    }
}

impl<const N: usize> core::ops::Deref for Aligned<N> {
    type Target = [f64; N];

    #[inline(always)]
    fn deref(&self) -> &Self::Target {
        &self.0
    }
}

impl<const N: usize> core::ops::DerefMut for Aligned<N> {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut Self::Target {
        &mut self.0
    }
}

/// Does work in which all is inlined; its loops are compiled for each instruction set.
#[inline]
pub(super) fn wide<W: WithSimd>(work: W) -> W::Output {
    #[cfg(test)]
    if let Some(arch) = tests::FORCED.get() {
        return wide_on(arch, work);
    }
    wide_on(Arch::new(), work)
}

/// The same for an instruction set that was chosen before.
#[inline]
pub(super) fn wide_on<W: WithSimd>(arch: Arch, work: W) -> W::Output {
    arch.dispatch(work)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use core::cell::Cell;

    thread_local! {
        /// What this thread is made to use instead.
        pub(super) static FORCED: Cell<Option<Arch>> = const { Cell::new(None) };
    }

    /// Does something on this thread once with each width that the processor has, the baseline first.
    pub(crate) fn with_each<T>(mut f: impl FnMut() -> T) -> Vec<T> {
        let mut all = vec![Arch::Scalar];
        #[cfg(target_arch = "x86_64")]
        {
            all.extend(pulp::x86::V3::try_new().map(Arch::V3));
            all.extend(pulp::x86::V4::try_new().map(Arch::V4));
        }
        let run = |arch| {
            FORCED.set(Some(arch));
            f()
        };
        let found = all.into_iter().map(run).collect();
        FORCED.set(None);
        found
    }
}
