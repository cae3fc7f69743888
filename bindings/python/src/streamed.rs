//! Finished blocks of a study written past the caches, for outputs that are larger than these and are not read at once.
//!
//! Unsafe code: stores that the compiler does not choose by itself.

use swept::study::Copying;

/// Copies past the caches, with the widest stores that the processor has.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Streamed {
    width: Width,
}

#[derive(Debug, Clone, Copy)]
enum Width {
    #[cfg(target_arch = "x86_64")]
    Avx512,
    #[cfg(target_arch = "x86_64")]
    Avx,
    #[cfg(target_arch = "x86_64")]
    Sse2,
    /// Other processors copy as slices are copied.
    #[cfg(not(target_arch = "x86_64"))]
    Plain,
}

impl Streamed {
    /// Looks at the processor.
    pub(crate) fn new() -> Self {
        #[cfg(target_arch = "x86_64")]
        let width = if std::arch::is_x86_feature_detected!("avx512f") {
            Width::Avx512
        } else if std::arch::is_x86_feature_detected!("avx") {
            Width::Avx
        } else {
            Width::Sse2
        };
        #[cfg(not(target_arch = "x86_64"))]
        let width = Width::Plain;
        Self { width }
    }
}

impl Copying for Streamed {
    fn copy(&self, block: &[f64], to: &mut [f64]) {
        match self.width {
            // SAFETY: the feature was detected.
            #[cfg(target_arch = "x86_64")]
            Width::Avx512 => unsafe { x86::avx512(block, to) },
            // SAFETY: as above.
            #[cfg(target_arch = "x86_64")]
            Width::Avx => unsafe { x86::avx(block, to) },
            #[cfg(target_arch = "x86_64")]
            Width::Sse2 => x86::sse2(block, to),
            #[cfg(not(target_arch = "x86_64"))]
            Width::Plain => to.copy_from_slice(block),
        }
    }

    fn end(&self) {
        // SAFETY: a fence has no requirement; every x86-64 has it.
        #[cfg(target_arch = "x86_64")]
        unsafe {
            std::arch::x86_64::_mm_sfence()
        };
    }
}

#[cfg(target_arch = "x86_64")]
mod x86 {
    use std::arch::x86_64::*;

    /// Copies in the middle with aligned streaming stores of so many values, at both ends plainly.
    macro_rules! streaming {
        ($name:ident, $lanes:literal, $vector:ty, $load:ident, $stream:ident, $(#[$feature:meta])?) => {
            $(#[$feature])?
            pub(super) fn $name(block: &[f64], to: &mut [f64]) {
                // SAFETY: a vector of doubles may hold any bits, as the doubles may.
                let (head, middle, tail) = unsafe { to.align_to_mut::<$vector>() };
                let (first, rest) = block.split_at(head.len());
                let (inner, last) = rest.split_at(middle.len() * $lanes);
                head.copy_from_slice(first);
                for (place, values) in middle.iter_mut().zip(inner.chunks_exact($lanes)) {
                    // SAFETY: the chunk has as many values as are loaded; the place is a vector's, aligned as it must be.
                    unsafe { $stream((place as *mut $vector).cast(), $load(values.as_ptr())) };
                }
                tail.copy_from_slice(last);
            }
        };
    }

    streaming!(avx512, 8, __m512d, _mm512_loadu_pd, _mm512_stream_pd, #[target_feature(enable = "avx512f")]);
    streaming!(avx, 4, __m256d, _mm256_loadu_pd, _mm256_stream_pd, #[target_feature(enable = "avx")]);
    streaming!(sse2, 2, __m128d, _mm_loadu_pd, _mm_stream_pd,);
}
