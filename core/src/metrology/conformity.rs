//! Conformity with limits under uncertainty: pass, fail, cannot tell.

use crate::error::{Error, Result};
use statrs::distribution::{ContinuousCDF, Normal};

/// Guard band over standard uncertainty: the one-sided 95 % point of the normal distribution, rounded as the standard prints it.
const GUARD_FACTOR: f64 = 1.65; // ISO 14253-1:2017, default conformance probability limit 95 % (from memory)

/// A lower limit, an upper limit, or both; SI. Limits themselves conform.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    lower: Option<f64>,
    upper: Option<f64>,
}

impl Limits {
    /// Limits from what is given.
    ///
    /// # Errors
    /// [`Error::MissingKey`] without either; [`Error::NotFinite`]; [`Error::OutOfRange`] with lower above upper.
    pub fn new(lower: Option<f64>, upper: Option<f64>) -> Result<Self> {
        if lower.is_none() && upper.is_none() {
            return Err(Error::MissingKey {
                field: "limits".into(),
                remedy: "a lower or an upper limit is needed".into(),
            });
        }
        if let Some(bad) = [lower, upper].into_iter().flatten().find(|x| !x.is_finite()) {
            return Err(Error::NotFinite { field: "limit".into(), value: bad.to_string() });
        }
        match (lower, upper) {
            (Some(l), Some(u)) if l > u => Err(Error::OutOfRange {
                field: "lower limit".into(),
                value: format!("{l} (SI)"),
                allowed: format!("at most the upper limit, {u} (SI)"),
            }),
            _ => Ok(Self { lower, upper }),
        }
    }

    /// The lower limit.
    pub fn lower(&self) -> Option<f64> {
        self.lower
    }

    /// The upper limit.
    pub fn upper(&self) -> Option<f64> {
        self.upper
    }

    /// The limit itself for a value within `slack` of it, else the value: what is left of a difference of readings after rounding
    /// is not to decide a verdict on the limit.
    pub fn snapped(&self, value: f64, slack: f64) -> f64 {
        let near = |limit: &f64| (value - limit).abs() <= slack;
        self.lower.filter(near).or(self.upper.filter(near)).unwrap_or(value)
    }

    /// The acceptance zone: the limits drawn in by the guard band of this standard uncertainty. None where nothing is left.
    pub fn acceptance(&self, standard: f64) -> Option<(Option<f64>, Option<f64>)> {
        let g = guard_band(standard);
        let (lower, upper) = (self.lower.map(|l| l + g), self.upper.map(|u| u - g));
        match (lower, upper) {
            (Some(l), Some(u)) if l > u => None,
            zone => Some(zone),
        }
    }
}

/// What can be said of a figure and its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Conformity is proved.
    Pass,
    /// Nonconformity is proved.
    Fail,
    /// Neither is proved: the figure is nearer to a limit than its guard band.
    CannotTell,
}

/// The guard band for a standard uncertainty: 1.65 u.
///
/// # Source
/// ISO 14253-1:2017, default rule of 95 % conformance probability (from memory).
pub fn guard_band(standard: f64) -> f64 {
    GUARD_FACTOR * standard
}

/// The verdict: pass inside the limits by at least the guard band, fail outside by more than it, else cannot tell.
///
/// A figure or uncertainty that is not finite cannot be told; without uncertainty it is a plain comparison.
///
/// # Source
/// ISO 14253-1:2017, 5.2 and 5.3 (from memory).
///
/// # Example
/// ```
/// use swept::metrology::{Limits, Verdict, verdict};
/// let limits = Limits::new(Some(86.0), Some(86.022))?;
/// assert_eq!(verdict(86.010, 0.0008, &limits), Verdict::Pass);
/// assert_eq!(verdict(86.0213, 0.0008, &limits), Verdict::CannotTell);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn verdict(value: f64, standard: f64, limits: &Limits) -> Verdict {
    let g = guard_band(standard);
    let proved_in =
        limits.lower.is_none_or(|l| value >= l + g) && limits.upper.is_none_or(|u| value <= u - g);
    let proved_out =
        limits.lower.is_some_and(|l| value < l - g) || limits.upper.is_some_and(|u| value > u + g);
    if !(value.is_finite() && g.is_finite() && g >= 0.0) {
        Verdict::CannotTell
    } else if proved_in {
        Verdict::Pass
    } else if proved_out {
        Verdict::Fail
    } else {
        Verdict::CannotTell
    }
}

/// Probability that the true value conforms, the figure being normally distributed about what was found.
///
/// p = Phi((upper - y) / u) - Phi((lower - y) / u); zero or one without uncertainty; NaN for a figure that is not finite.
///
/// # Source
/// JCGM 106:2012, 7.2 to 7.4 (from memory).
pub fn conformance_probability(value: f64, standard: f64, limits: &Limits) -> f64 {
    if !(value.is_finite() && standard >= 0.0 && standard.is_finite()) {
        return f64::NAN;
    }
    let Ok(normal) = Normal::new(value, standard) else {
        return if verdict(value, 0.0, limits) == Verdict::Pass { 1.0 } else { 0.0 };
    };
    let above = limits.upper.map_or(1.0, |u| normal.cdf(u));
    let below = limits.lower.map_or(0.0, |l| normal.cdf(l));
    (above - below).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn limits_that_cannot_be_are_refused() {
        assert!(Limits::new(None, None).is_err());
        assert!(Limits::new(Some(2.0), Some(1.0)).is_err());
        assert!(Limits::new(Some(f64::NAN), None).is_err());
    }

    #[test]
    fn without_uncertainty_limits_conform_and_beyond_fails() {
        let limits = Limits::new(Some(1.0), Some(2.0)).unwrap();
        assert_eq!(verdict(1.0, 0.0, &limits), Verdict::Pass);
        assert_eq!(verdict(2.0, 0.0, &limits), Verdict::Pass);
        assert_eq!(verdict(2.0000001, 0.0, &limits), Verdict::Fail);
        assert_eq!(verdict(f64::NAN, 0.0, &limits), Verdict::CannotTell);
        assert_eq!(conformance_probability(1.5, 0.0, &limits), 1.0);
        assert_eq!(conformance_probability(2.5, 0.0, &limits), 0.0);
        assert!(limits.acceptance(0.5).is_none());
    }

    #[test]
    fn rounding_does_not_decide_on_the_limit() {
        let limits = Limits::new(Some(0.01), Some(0.05)).unwrap();
        let value = 0.05 + 1e-14;
        assert_eq!(verdict(value, 0.0, &limits), Verdict::Fail);
        assert_eq!(verdict(limits.snapped(value, 1e-13), 0.0, &limits), Verdict::Pass);
        assert_eq!(limits.snapped(0.03, 1e-13), 0.03);
    }

    proptest! {
        #[test]
        fn a_pass_against_one_limit_is_at_least_95_percent_sure(y in -10.0..10.0f64, u in 0.001..5.0f64, limit in -10.0..10.0f64) {
            let limits = Limits::new(Some(limit), None).unwrap();
            let p = conformance_probability(y, u, &limits);
            match verdict(y, u, &limits) {
                Verdict::Pass => prop_assert!(p > 0.95),
                Verdict::Fail => prop_assert!(p < 0.05),
                Verdict::CannotTell => prop_assert!(p > 0.049 && p < 0.951),
            }
        }
    }
}
