//! How the reading of a figure is distributed.

use super::normal::distribution;
use crate::error::{Error, Result};

/// The distribution of the readings of a figure, in study units.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Distribution {
    /// Normal.
    Normal {
        /// Mean.
        mean: f64,
        /// Standard deviation, not below zero.
        deviation: f64,
    },
    /// Every value between two alike.
    Uniform {
        /// Least.
        low: f64,
        /// Greatest.
        high: f64,
    },
    /// Density rising evenly from the least value to the mode and falling evenly to the greatest.
    Triangular {
        /// Least.
        low: f64,
        /// Where the density is greatest.
        mode: f64,
        /// Greatest.
        high: f64,
    },
    /// Normal before what is not between two values was sorted out.
    Truncated {
        /// Mean before sorting.
        mean: f64,
        /// Standard deviation before sorting, above zero.
        deviation: f64,
        /// Least.
        low: f64,
        /// Greatest.
        high: f64,
    },
}

/// Steps over a truncated normal density, even.
const STEPS: u32 = 4096;

/// An interval must hold so much of the normal distribution that it is truncated from.
const LEAST_HELD: f64 = 1e-200;

impl Distribution {
    /// Refuses what is no distribution.
    pub(super) fn check(&self, field: &str) -> Result<()> {
        let (numbers, order, deviation): (&[f64], &[f64], f64) = match self {
            Self::Normal { mean, deviation } => (&[*mean], &[], *deviation),
            Self::Uniform { low, high } => (&[], &[*low, *high], 0.0),
            Self::Triangular { low, mode, high } => (&[], &[*low, *mode, *high], 0.0),
            Self::Truncated { mean, deviation, low, high } => (&[*mean], &[*low, *high], *deviation),
        };
        for value in numbers.iter().chain(order).chain([&deviation]) {
            if !value.is_finite() {
                return Err(Error::NotFinite { field: field.into(), value: value.to_string() });
            }
        }
        let refused = |value: String, allowed: &str| {
            Err(Error::OutOfRange { field: field.into(), value, allowed: allowed.into() })
        };
        if deviation < 0.0 {
            return refused(format!("a standard deviation of {deviation}"), "zero or more");
        }
        if !order.is_sorted() {
            let written: Vec<String> = order.iter().map(f64::to_string).collect();
            return refused(written.join(", "), "low, mode and high in their order");
        }
        if let Self::Truncated { mean, deviation, low, high } = self {
            if *deviation == 0.0 || low == high {
                return refused("without a width".into(), "a standard deviation above zero, low below high");
            }
            let (below, held, _) = held((low - mean) / deviation, (high - mean) / deviation);
            if !(held > LEAST_HELD && below + held > 0.0) {
                return refused(format!("from {low} to {high}"), "some of the normal distribution inside");
            }
        }
        Ok(())
    }

    /// Mean and standard deviation.
    ///
    /// # Source
    /// Textbook results; the truncated normal by Simpson's rule over its density, which keeps its digits for any interval.
    pub fn moments(&self) -> (f64, f64) {
        match *self {
            Self::Normal { mean, deviation } => (mean, deviation),
            Self::Uniform { low, high } => (low + (high - low) / 2.0, (high - low) / 12f64.sqrt()),
            Self::Triangular { low, mode, high } => {
                let (a, b) = (mode - low, high - low);
                (low + (a + b) / 3.0, ((a * a + b * b - a * b) / 18.0).sqrt())
            }
            Self::Truncated { mean, deviation, low, high } => {
                let (a, b) = ((low - mean) / deviation, (high - mean) / deviation);
                let (m, s) = truncated_moments(a, b);
                (mean + deviation * m, deviation * s)
            }
        }
    }

    /// Least and greatest value that a draw can have, where a normal deviate is so much at the most.
    pub(super) fn range(&self, deviate: f64) -> (f64, f64) {
        match *self {
            Self::Normal { mean, deviation } => (mean - deviation * deviate, mean + deviation * deviate),
            Self::Uniform { low, high }
            | Self::Triangular { low, high, .. }
            | Self::Truncated { low, high, .. } => (low, high),
        }
    }
}

/// Of the standard normal distribution, mirrored where that brings the interval to the lower tail: what lies below the interval, what it holds, and whether it is
/// mirrored.
pub(super) fn held(a: f64, b: f64) -> (f64, f64, bool) {
    let mirrored = a + b > 0.0;
    let (a, b) = if mirrored { (-b, -a) } else { (a, b) };
    let below = distribution(a);
    (below, distribution(b) - below, mirrored)
}

/// Mean and standard deviation of the standard normal distribution truncated to an interval.
fn truncated_moments(a: f64, b: f64) -> (f64, f64) {
    // From the point of the greatest density on, as far as there is any.
    let peak = 0f64.clamp(a, b);
    let reach = 40.0 / (1.0 + peak.abs() / 2.0);
    let (a, b) = (a.max(peak - reach), b.min(peak + reach));
    let step = (b - a) / f64::from(STEPS);
    let mut sums = [0.0; 3];
    for i in 0..=STEPS {
        let off = a - peak + f64::from(i) * step;
        let weight = match i {
            0 | STEPS => 1.0,
            _ if i % 2 == 1 => 4.0,
            _ => 2.0,
        };
        // exp((peak^2 - z^2) / 2), free of underflow.
        let density = weight * (-off * (peak + off / 2.0)).exp();
        for (sum, power) in sums.iter_mut().zip([1.0, off, off * off]) {
            *sum += density * power;
        }
    }
    let [all, first, second] = sums;
    let mean = first / all;
    (peak + mean, (second / all - mean * mean).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn truncated_moments_are_those_of_the_closed_form() {
        // Johnson, Kotz, Balakrishnan, Continuous Univariate Distributions 1 (1994), eqs. 13.134 and 13.135 (from memory).
        let density = |z: f64| (-z * z / 2.0).exp() / core::f64::consts::TAU.sqrt();
        for (a, b) in [(-1.0, 1.0), (-3.0, 0.5), (0.2, 2.0), (-40.0, 40.0), (2.0, 30.0), (-8.0, -1.0)] {
            let all = distribution(b) - distribution(a);
            let mean = (density(a) - density(b)) / all;
            let variance = 1.0 + (a * density(a) - b * density(b)) / all - mean * mean;
            let (m, s) = truncated_moments(a, b);
            assert!((m - mean).abs() < 1e-9 && (s - variance.sqrt()).abs() < 1e-9, "{a} {b}: {m} {s}");
        }
        // A narrow interval is as good as uniform.
        let (m, s) = truncated_moments(1.0, 1.0 + 1e-6);
        assert!((m - 1.0 - 5e-7).abs() < 1e-12 && (s * 12f64.sqrt() / 1e-6 - 1.0).abs() < 1e-6);
    }

    #[test]
    fn what_is_no_distribution_is_refused() {
        use Distribution::{Normal, Triangular, Truncated, Uniform};
        for bad in [
            Normal { mean: f64::NAN, deviation: 1.0 },
            Normal { mean: 1.0, deviation: -1.0 },
            Normal { mean: 1.0, deviation: f64::INFINITY },
            Uniform { low: 2.0, high: 1.0 },
            Triangular { low: 0.0, mode: 3.0, high: 2.0 },
            Truncated { mean: 0.0, deviation: 0.0, low: -1.0, high: 1.0 },
            Truncated { mean: 0.0, deviation: 1.0, low: 1.0, high: 1.0 },
            Truncated { mean: 0.0, deviation: 1.0, low: 40.0, high: 41.0 },
        ] {
            assert!(bad.check("bore").is_err(), "{bad:?}");
        }
        assert!(Truncated { mean: 0.0, deviation: 1.0, low: 20.0, high: 21.0 }.check("bore").is_ok());
    }
}
