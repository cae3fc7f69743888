//! How outputs of samples are spread, and which reading it comes from.

use crate::columns::{check_fits, check_room, outputs_of};
use crate::sampling::swept_sampling;
use crate::status::{check_out, guard, slice, swept_status, text, write, write_list};
use crate::study::{asked, borrowed, figure_name, output_name, swept_workers};
use core::ffi::c_char;
use swept::study::{Output, Share, Spread, Workers, si};

/// A share of samples. Where there is no limit that it would be of, both counts are zero, and share and error NaN.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_share {
    /// How many samples are so.
    pub count: u64,
    /// Of how many.
    pub of: u64,
    /// The share, count / of.
    pub share: f64,
    /// Its standard error.
    pub error: f64,
}

/// What came of samples, whatever the output.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_samples {
    /// Samples that are no design at all, such as a gasket below zero.
    pub impossible: u64,
    /// The share of possible designs that hold all limits; an output that is no number holds none.
    pub feasible: swept_share,
}

/// How an output is spread over the samples that it could be told of. In SI; NaN for statistics of no samples, and for errors of too few.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_spread {
    /// The output; static.
    pub output: *const c_char,
    /// Samples that all its statistics are of.
    pub used: u64,
    /// Samples that are no possible design, or of which the output is no finite number.
    pub refused: u64,
    /// Mean.
    pub mean: f64,
    /// Standard error of the mean.
    pub mean_error: f64,
    /// Standard deviation, with divisor n.
    pub deviation: f64,
    /// Standard error of the standard deviation.
    pub deviation_error: f64,
    /// The share outside the limits on this output.
    pub outside: swept_share,
}

/// A quantile of samples: exact for these, by linear interpolation between the order statistics next to (n - 1) x probability.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_quantile {
    /// The probability that it was asked for.
    pub probability: f64,
    /// The value, in SI.
    pub value: f64,
    /// Its standard error as an estimate of that of all; NaN where so few samples tell nothing of it.
    pub error: f64,
}

/// What of the variance of an output comes from one reading. NaN where the output does not vary at all.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_sensitivity {
    /// The output; static.
    pub output: *const c_char,
    /// The figure that has the reading; static.
    pub reading: *const c_char,
    /// First-order index: the share that the reading accounts for alone. An estimate: a small one may come out below zero.
    pub first: f64,
    /// Its standard error.
    pub first_error: f64,
    /// Total index: the share that it has a part in, alone or together with others.
    pub total: f64,
    /// Its standard error.
    pub total_error: f64,
    /// Samples that the output could be told of with every reading exchanged.
    pub used: u64,
    /// The others.
    pub refused: u64,
}

/// An output at the means of the readings, and its standard uncertainty by linear propagation. In SI.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_linear {
    /// The output at the means.
    pub value: f64,
    /// Its combined standard uncertainty.
    pub standard_uncertainty: f64,
}

/// What of a standard uncertainty comes from one reading.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_contribution {
    /// The figure that has the reading; static.
    pub reading: *const c_char,
    /// Slope times standard uncertainty of the reading, with its sign, in SI.
    pub contribution: f64,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

fn shared(share: Option<&Share>) -> swept_share {
    match share {
        Some(Share { count, of, share, error }) => {
            swept_share { count: *count, of: *of, share: *share, error: *error }
        }
        None => swept_share { count: 0, of: 0, share: f64::NAN, error: f64::NAN },
    }
}

fn spread(of: &Spread) -> swept_spread {
    let told = |value: f64| si(of.output.dimension(), value);
    swept_spread {
        output: output_name(of.output),
        used: of.used,
        refused: of.refused,
        mean: told(of.mean),
        mean_error: told(of.mean_error),
        deviation: told(of.deviation),
        deviation_error: told(of.deviation_error),
        outside: shared(of.outside.as_ref()),
    }
}

/// How outputs are spread over so many samples: exact statistics of these, with their standard errors. Written are what is told of all samples, the spread of each
/// output, in the order in which they are asked for, and by output the quantiles of `probabilities` (outputs x probabilities in the order of the outputs). Null as
/// `workers` is as many threads as the machine runs at once and no watch. From 1 to 2^40 samples; a probability is from 0 to 1.
///
/// # Safety
/// `sampling` is alive, `workers` null or valid for a read, its watch null or a function that may be called with its `user`; `outputs` is valid for reads of `count`
/// zero-terminated texts, `probabilities` of `quantiles` doubles, or null with `quantiles` of zero; `out` is valid for a write, `out_spreads` for writes of `count` spreads,
/// `out_quantiles` for `count` x `quantiles`, or null where that is zero; any other null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sampling_sample(
    sampling: *const swept_sampling,
    workers: *const swept_workers,
    samples: u64,
    outputs: *const *const c_char,
    count: usize,
    probabilities: *const f64,
    quantiles: usize,
    out: *mut swept_samples,
    out_spreads: *mut swept_spread,
    out_quantiles: *mut swept_quantile,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        check_room(out_spreads, count)?;
        check_room(out_quantiles, count.saturating_mul(quantiles))?;
        // SAFETY: passed on from the caller.
        let (sampling, outputs, probabilities) = unsafe {
            (
                &borrowed(sampling, "sampling")?.sampling,
                outputs_of(outputs, count)?,
                slice(probabilities, quantiles, "probabilities")?,
            )
        };
        let ask = |workers: &Workers<'_>| sampling.sample(samples, &outputs, probabilities, workers);
        // SAFETY: as above.
        let found = unsafe { asked(workers, ask)? };
        let all = found.outputs.iter().flat_map(|of| {
            let told = |value: f64| si(of.output.dimension(), value);
            of.quantiles.iter().map(move |q| swept_quantile {
                probability: q.probability,
                value: told(q.value),
                error: told(q.error),
            })
        });
        // SAFETY: one for each output, with one for each probability; the caller promises as many places.
        unsafe {
            write_list(out_spreads, found.outputs.iter().map(spread));
            write_list(out_quantiles, all);
        }
        write(out, swept_samples { impossible: found.impossible, feasible: shared(found.feasible.as_ref()) })
    })
}

/// Which share of the variance of outputs comes from which reading, over the whole of the distributions: Sobol's indices by the estimators of Jansen, from so many samples
/// drawn twice and once more for each reading. The readings must be independent. Written are, by output and reading, the readings in the order of
/// swept_study_figure_name(), what comes from each, and how many that are: outputs x readings. A `capacity` below it is a wrong length.
///
/// # Safety
/// As swept_sampling_sample(); `out` is valid for writes of `capacity` of them, or null with a capacity of zero, `out_count` for one number; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sampling_sensitivity(
    sampling: *const swept_sampling,
    workers: *const swept_workers,
    samples: u64,
    outputs: *const *const c_char,
    count: usize,
    out: *mut swept_sensitivity,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_room(out, capacity)?;
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let (sampling, outputs) =
            unsafe { (&borrowed(sampling, "sampling")?.sampling, outputs_of(outputs, count)?) };
        let rows = outputs.len().saturating_mul(sampling.readings().len());
        check_fits(rows, capacity, "outputs times readings")?;
        // SAFETY: as above.
        let found = unsafe { asked(workers, |workers| sampling.sensitivity(samples, &outputs, workers))? };
        let all = found.iter().flat_map(|of| {
            of.readings.iter().map(|reading| swept_sensitivity {
                output: output_name(of.output),
                reading: figure_name(reading.figure),
                first: reading.first,
                first_error: reading.first_error,
                total: reading.total,
                total_error: reading.total_error,
                used: of.used,
                refused: of.refused,
            })
        });
        // SAFETY: no more than `capacity`, and the caller promises as many places.
        unsafe { write_list(out, all) };
        write(out_count, rows)
    })
}

/// The standard uncertainty of an output by the linear propagation of those of the readings (JCGM 100:2008, 5.1.2): each contributes half of what the output moves by from one
/// standard uncertainty below its mean to one above (5.1.3, note 2). The readings must be independent. Written are the output and its uncertainty, what comes from each reading, in the order of swept_study_figure_name(), and how many readings there are. A
/// `capacity` below their number is a wrong length; 64 places always suffice.
///
/// # Safety
/// `sampling` is alive, `output` a zero-terminated text; `out` is valid for a write, `out_contributions` for writes of `capacity` contributions, or null with a
/// capacity of zero, `out_count` for one number; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sampling_linear(
    sampling: *const swept_sampling,
    output: *const c_char,
    out: *mut swept_linear,
    out_contributions: *mut swept_contribution,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        check_room(out_contributions, capacity)?;
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let (sampling, output) =
            unsafe { (&borrowed(sampling, "sampling")?.sampling, text(output, "output")?) };
        let output = Output::parse(output)?;
        check_fits(sampling.readings().len(), capacity, "readings")?;
        let budget = sampling.linear(output)?;
        let told = |value: f64| si(output.dimension(), value);
        let parts = sampling.readings().iter().zip(&budget.contributions).enumerate();
        let parts = parts.map(|(place, ((figure, _), contribution))| swept_contribution {
            reading: figure_name(*figure),
            contribution: told(*contribution),
            share: budget.share(place),
        });
        // SAFETY: no more than `capacity`, and the caller promises as many places.
        unsafe { write_list(out_contributions, parts) };
        write(out_count, sampling.readings().len())?;
        write(out, swept_linear { value: told(budget.value), standard_uncertainty: told(budget.standard) })
    })
}
