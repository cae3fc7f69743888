//! What is told of outputs over all samples.

use crate::study::output::Output;

/// A share of samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// How many samples are so.
    pub count: u64,
    /// Of how many.
    pub of: u64,
    /// count / of.
    pub share: f64,
    /// Its standard error, sqrt(p (1 - p) / (of + 4)) with p = (count + 2) / (of + 4), which is not zero where none or all are so.
    ///
    /// Source: Agresti, Coull, Approximate is better than "exact" for interval estimation of binomial proportions, The American Statistician 52 (1998) 119
    /// (from memory).
    pub error: f64,
}

impl Share {
    pub(super) fn new(count: u64, of: u64) -> Self {
        let n = of as f64 + 4.0;
        let p = (count as f64 + 2.0) / n;
        Self { count, of, share: count as f64 / of as f64, error: (p * (1.0 - p) / n).sqrt() }
    }
}

/// A quantile of the samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantile {
    /// The probability that it is asked for.
    pub probability: f64,
    /// The value, by linear interpolation between the order statistics next to (n - 1) q: exact for these samples.
    pub value: f64,
    /// Its standard error: half the distance of the values whose ranks are a binomial standard deviation to either side. No number where so few samples tell
    /// nothing of it.
    pub error: f64,
}

/// How an output is spread. Statistics of no samples, and errors of too few, are no numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// The output.
    pub output: Output,
    /// Samples that it could be told of, and that all its statistics are of.
    pub used: u64,
    /// Samples whose draws are no possible design, or of which the output is no finite number.
    pub refused: u64,
    /// Mean.
    pub mean: f64,
    /// Standard error of the mean.
    pub mean_error: f64,
    /// Standard deviation, with divisor n.
    pub deviation: f64,
    /// Standard error of the standard deviation, from the fourth moment.
    pub deviation_error: f64,
    /// The quantiles, in the order in which they were asked for.
    pub quantiles: Vec<Quantile>,
    /// The share outside the limits of this output, where it has any.
    pub outside: Option<Share>,
}

/// What came of the samples.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampled {
    /// Samples drawn.
    pub samples: u64,
    /// Those that are no possible design.
    pub impossible: u64,
    /// The share of possible designs that hold all limits, where there are any; an output that is no number holds none.
    pub feasible: Option<Share>,
    /// The outputs, in the order in which they were asked for.
    pub outputs: Vec<Spread>,
}
