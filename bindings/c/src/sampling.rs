//! Designs whose readings are uncertain: the handle, and samples of them.

use crate::columns::{check_room, room};
use crate::status::{Outcome, check_out, guard, swept_status, text};
use crate::study::{asked, borrowed, free, give, json_of, swept_workers};
use core::ffi::c_char;
use swept::study::{Figure, Output, Sampling, Workers, si};
use swept::units::Dimension;

/// Designs whose readings are uncertain, with limits on their outputs. Opaque; made by swept_sampling_new(), asked by any number of threads at once, freed by
/// swept_sampling_free().
#[allow(non_camel_case_types)]
#[derive(Debug)]
pub struct swept_sampling {
    pub(crate) sampling: Sampling,
}

/// A sampling from its text: JSON, `length` bytes of UTF-8, with `readings`, an object of figures, each an object with its distribution: `normal` with `mean` and
/// `deviation`, the standard deviation; `uniform` with `low` and `high`; `triangular` with `low`, `mode` and `high`; or `truncated` with `mean` and `deviation` of the
/// normal distribution, and `low` and `high`; `correlations`, a list of two figures and a coefficient each, of their normal deviates; `fixed` and `limits` as in
/// swept_study_new(); and `seed`, a whole number, 0 where nothing is said. Every value but coefficients and seed is a text with its unit: {"readings": {"bore": {"normal":
/// {"mean": "86 mm", "deviation": "0.01 mm"}}}, "correlations": [["bore", "stroke", 0.3]], "fixed": {"cylinders": "4"}, "seed": 1}.
///
/// Sample i depends on the seed, i and which readings there are, and on nothing else. Samples are drawn where they are needed and never stored; there may be up to 2^40.
///
/// # Safety
/// `json` is valid for reads of `length` bytes, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sampling_new(
    json: *const c_char,
    length: usize,
    out: *mut *mut swept_sampling,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let json = unsafe { json_of(json, length)? };
        give(out, swept_sampling { sampling: Sampling::parse(json)? })
    })
}

/// Frees a sampling; null is fine.
///
/// # Safety
/// `sampling` is null or came from swept and was not freed yet; nothing uses it afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sampling_free(sampling: *mut swept_sampling) {
    // SAFETY: passed on from the caller.
    unsafe { free(sampling) }
}

/// Fills an array of the caller, in SI.
///
/// # Safety
/// `workers` is as in [`asked`]; `out` is valid for writes of `count` doubles, or null.
unsafe fn fill(
    workers: *const swept_workers,
    dimension: Dimension,
    (out, count): (*mut f64, usize),
    draw: impl FnOnce(&mut [f64], &Workers<'_>) -> swept::Result<()>,
) -> Outcome {
    check_room(out, count)?;
    // SAFETY: checked; the caller promises as many places.
    let values = unsafe { room(out, count) };
    // SAFETY: passed on from the caller.
    unsafe { asked(workers, |workers| draw(values, workers))? };
    // SAFETY: as above; the first slice is used no more.
    for value in unsafe { room(out, count) } {
        *value = si(dimension, *value);
    }
    Ok(())
}

/// An output of `count` samples from the first, in SI: NaN for a sample that is no possible design, or whose output is no finite number. Where the watch stops the
/// call, some of the array may have been written.
///
/// # Safety
/// `sampling` is alive, `workers` null or valid for a read, its watch null or a function that may be called with its `user`; `output` is a zero-terminated text; `out`
/// is valid for writes of `count` doubles, or null with a count of zero; any other null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sampling_values(
    sampling: *const swept_sampling,
    workers: *const swept_workers,
    output: *const c_char,
    first: u64,
    out: *mut f64,
    count: usize,
) -> swept_status {
    guard(|| {
        // SAFETY: passed on from the caller.
        let (sampling, output) =
            unsafe { (&borrowed(sampling, "sampling")?.sampling, Output::parse(text(output, "output")?)?) };
        let draw =
            |values: &mut [f64], workers: &Workers<'_>| sampling.values(first, output, values, workers);
        // SAFETY: as above.
        unsafe { fill(workers, output.dimension(), (out, count), draw) }
    })
}

/// What a reading draws in `count` samples from the first, possible or not, in SI. Where the watch stops the call, some of the array may have been written.
///
/// # Safety
/// As swept_sampling_values(), with `figure` a zero-terminated text.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sampling_draws(
    sampling: *const swept_sampling,
    workers: *const swept_workers,
    figure: *const c_char,
    first: u64,
    out: *mut f64,
    count: usize,
) -> swept_status {
    guard(|| {
        // SAFETY: passed on from the caller.
        let (sampling, figure) =
            unsafe { (&borrowed(sampling, "sampling")?.sampling, Figure::parse(text(figure, "figure")?)?) };
        let draw = |values: &mut [f64], workers: &Workers<'_>| sampling.draws(first, figure, values, workers);
        // SAFETY: as above.
        unsafe { fill(workers, figure.dimension(), (out, count), draw) }
    })
}
