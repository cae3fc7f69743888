//! Uncertainty of a figure from the uncertainties of its readings, and which reading dominates.

use crate::error::{Error, Result};
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// A figure with its standard uncertainty and each input's part in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// The figure.
    pub value: f64,
    /// Its combined standard uncertainty.
    pub standard: f64,
    /// c_i u_i of each input, with its sign.
    pub contributions: Vec<f64>,
}

impl Budget {
    /// The share of input `i` in the variance of independent inputs, 0 to 1.
    pub fn share(&self, i: usize) -> f64 {
        let all: f64 = self.contributions.iter().map(|c| c * c).sum();
        match self.contributions.get(i) {
            Some(c) if all > 0.0 => c * c / all,
            _ => 0.0,
        }
    }

    /// The expanded uncertainty k u.
    pub fn expanded(&self, k: f64) -> f64 {
        k * self.standard
    }
}

/// The uncertainty of `f(x)` with independent inputs of standard uncertainty `u`.
///
/// c_i u_i = (f(.., x_i + u_i, ..) - f(.., x_i - u_i, ..)) / 2; u^2 = sum of (c_i u_i)^2. Where `f` refuses one side, the
/// other side alone is taken.
///
/// # Errors
/// What `f` refuses at `x` itself, or on both sides of it; [`Error::WrongLength`] unless `x` and `u` are of one length;
/// [`Error::OutOfRange`] for a standard uncertainty below zero or not finite.
///
/// # Source
/// JCGM 100:2008 (GUM), eq. 10 and 5.1.3 note 2 (from memory).
pub fn propagate(x: &[f64], u: &[f64], f: impl Fn(&[f64]) -> Result<f64>) -> Result<Budget> {
    same_length("standard uncertainties", u.len(), x.len())?;
    if let Some(bad) = u.iter().find(|u| !(**u >= 0.0 && u.is_finite())) {
        return Err(Error::OutOfRange {
            field: "standard uncertainty".into(),
            value: bad.to_string(),
            allowed: "zero or more, finite".into(),
        });
    }
    let value = f(x)?;
    let mut moved = x.to_vec();
    let mut contributions = vec![0.0; x.len()];
    for ((i, u), part) in u.iter().enumerate().zip(&mut contributions) {
        if *u != 0.0 {
            *part = contribution(&mut moved, i, *u, value, &f)?;
        }
    }
    let standard = contributions.iter().map(|c| c * c).sum::<f64>().sqrt();
    Ok(Budget { value, standard, contributions })
}

fn contribution(
    x: &mut [f64],
    i: usize,
    u: f64,
    value: f64,
    f: &impl Fn(&[f64]) -> Result<f64>,
) -> Result<f64> {
    let mut at = |step: f64| {
        let Some(entry) = x.get_mut(i) else {
            return Ok(value);
        };
        let kept = *entry;
        *entry = kept + step;
        let result = f(x);
        if let Some(entry) = x.get_mut(i) {
            *entry = kept;
        }
        result
    };
    match (at(u), at(-u)) {
        (Ok(up), Ok(down)) => Ok((up - down) / 2.0),
        (Ok(up), Err(_)) => Ok(up - value),
        (Err(_), Ok(down)) => Ok(value - down),
        (Err(error), Err(_)) => Err(error),
    }
}

/// As [`propagate`], with correlation coefficients r_ij (row by row): u^2 = sum of r_ij (c_i u_i) (c_j u_j).
///
/// # Errors
/// As [`propagate`]; [`Error::WrongLength`] unless the matrix is square; [`Error::OutOfRange`] for a coefficient beyond
/// -1 to 1, or where the matrix makes the variance negative.
///
/// # Source
/// JCGM 100:2008 (GUM), eq. 16 (from memory).
pub fn propagate_correlated(
    x: &[f64],
    u: &[f64],
    correlation: &[f64],
    f: impl Fn(&[f64]) -> Result<f64>,
) -> Result<Budget> {
    same_length("correlation coefficients", correlation.len(), x.len() * x.len())?;
    if let Some(bad) = correlation.iter().find(|r| !(-1.0..=1.0).contains(*r)) {
        return Err(not_a_correlation(*bad));
    }
    let mut budget = propagate(x, u, f)?;
    let parts = &budget.contributions;
    let rows = correlation.chunks(x.len().max(1)).zip(parts);
    let variance: f64 = rows.map(|(row, a)| row.iter().zip(parts).map(|(r, b)| r * a * b).sum::<f64>()).sum();
    let scale: f64 = parts.iter().map(|c| c * c).sum();
    if variance < -1e-9 * scale {
        return Err(not_a_correlation(variance));
    }
    budget.standard = variance.max(0.0).sqrt();
    Ok(budget)
}

fn not_a_correlation(value: f64) -> Error {
    Error::OutOfRange {
        field: "correlation".into(),
        value: value.to_string(),
        allowed: "coefficients from -1 to 1 of a matrix that makes no variance negative".into(),
    }
}

fn same_length(field: &str, found: usize, expected: usize) -> Result<()> {
    if found == expected {
        return Ok(());
    }
    Err(Error::WrongLength { field: field.into(), found, expected: expected.to_string() })
}

/// Effective degrees of freedom: u^4 / sum of (c_i u_i)^4 / v_i; infinite where every input's are.
///
/// # Errors
/// [`Error::WrongLength`]; [`Error::OutOfRange`] for degrees of freedom not above zero.
///
/// # Source
/// Welch and Satterthwaite; JCGM 100:2008 (GUM), eq. G.2b (from memory).
pub fn effective_degrees_of_freedom(contributions: &[f64], degrees: &[f64]) -> Result<f64> {
    same_length("degrees of freedom", degrees.len(), contributions.len())?;
    if let Some(bad) = degrees.iter().find(|v| v.is_nan() || **v <= 0.0) {
        return Err(not_degrees(*bad));
    }
    let variance: f64 = contributions.iter().map(|c| c * c).sum();
    let below: f64 = contributions.iter().zip(degrees).map(|(c, v)| c.powi(4) / v).sum();
    Ok(if below > 0.0 { variance * variance / below } else { f64::INFINITY })
}

fn not_degrees(value: f64) -> Error {
    Error::OutOfRange {
        field: "degrees of freedom".into(),
        value: value.to_string(),
        allowed: "above zero".into(),
    }
}

/// The coverage factor for a two-sided coverage probability with some degrees of freedom (Student's t).
///
/// # Errors
/// [`Error::OutOfRange`] unless 0 < probability < 1 and the degrees of freedom are above zero.
///
/// # Source
/// JCGM 100:2008 (GUM), G.3 and table G.2 (from memory).
pub fn coverage_factor(probability: f64, degrees_of_freedom: f64) -> Result<f64> {
    if !(probability > 0.0 && probability < 1.0) {
        return Err(Error::OutOfRange {
            field: "coverage probability".into(),
            value: probability.to_string(),
            allowed: "between 0 and 1".into(),
        });
    }
    let tail = 0.5 + probability / 2.0;
    // Student's t is the normal distribution within 1e-6 there, and the inverse of t is slow.
    if degrees_of_freedom > 1e6 {
        let normal = Normal::new(0.0, 1.0).map_err(|_| not_degrees(degrees_of_freedom))?;
        return Ok(normal.inverse_cdf(tail));
    }
    let t = StudentsT::new(0.0, 1.0, degrees_of_freedom).map_err(|_| not_degrees(degrees_of_freedom))?;
    Ok(t.inverse_cdf(tail))
}

/// Mean of repeated readings and the standard uncertainty of that mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypeA {
    /// The arithmetic mean.
    pub mean: f64,
    /// Experimental standard deviation of the mean.
    pub standard: f64,
    /// Degrees of freedom: one less than the readings.
    pub degrees_of_freedom: usize,
}

/// Type A evaluation of repeated readings.
///
/// # Errors
/// [`Error::WrongLength`] for fewer than two readings; [`Error::NotFinite`].
///
/// # Source
/// JCGM 100:2008 (GUM), eqs. 3 to 5 (from memory).
pub fn type_a(readings: &[f64]) -> Result<TypeA> {
    let n = readings.len();
    if n < 2 {
        return Err(Error::WrongLength {
            field: "repeated readings".into(),
            found: n,
            expected: "at least 2".into(),
        });
    }
    if let Some(bad) = readings.iter().find(|x| !x.is_finite()) {
        return Err(Error::NotFinite { field: "reading".into(), value: bad.to_string() });
    }
    let mean = readings.iter().sum::<f64>() / n as f64;
    let squares: f64 = readings.iter().map(|x| (x - mean) * (x - mean)).sum();
    Ok(TypeA { mean, standard: (squares / ((n - 1) * n) as f64).sqrt(), degrees_of_freedom: n - 1 })
}

/// Correlation coefficient of the means of two series read together.
///
/// # Errors
/// As [`type_a`]; [`Error::WrongLength`] unless both are of one length; [`Error::OutOfRange`] where one does not vary.
///
/// # Source
/// JCGM 100:2008 (GUM), eqs. 14 and 17 (from memory).
pub fn correlation_of_means(x: &[f64], y: &[f64]) -> Result<f64> {
    same_length("second series", y.len(), x.len())?;
    let (mx, my) = (type_a(x)?, type_a(y)?);
    let product: f64 = x.iter().zip(y).map(|(a, b)| (a - mx.mean) * (b - my.mean)).sum();
    let n = x.len() as f64;
    let below = n * (n - 1.0) * mx.standard * my.standard;
    if below == 0.0 {
        return Err(Error::OutOfRange {
            field: "series".into(),
            value: "constant".into(),
            allowed: "readings that vary".into(),
        });
    }
    Ok(product / below)
}
