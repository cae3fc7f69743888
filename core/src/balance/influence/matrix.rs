//! Influence coefficients, what they predict, and the correction that follows from them.

use super::reading::{PhaseConvention, VibrationReading};
use super::{at_least, same_length, trials};
use crate::balance::unbalance::UnbalanceVector;
use crate::error::{Error, Result};
use crate::units::{Dimensioned, Ratio, written};
use nalgebra::DMatrix;
use num_complex::Complex64;

/// The greatest condition number that is worked with: beyond it, readings that are wrong by a thousandth make corrections that are wrong by all
/// of their amount.
pub const CONDITION_LIMIT: f64 = 1000.0;

/// Steps of the decomposition, which converges in a few for each column or never.
const MOST_STEPS: usize = 10_000;

/// Influence coefficients: the vibration that a weight of 1 kg m at angle zero in each plane makes at each sensor.
#[derive(Debug, Clone, PartialEq)]
pub struct InfluenceMatrix {
    coefficients: DMatrix<Complex64>,
    convention: PhaseConvention,
}

impl InfluenceMatrix {
    /// From coefficients known before, as of the same rotor in the same bearings at the same speed: a row for each sensor with an entry for each plane, in
    /// units of the readings for each kg m, angles counted in the sense of the weights' angles.
    ///
    /// # Errors
    /// [`Error::WrongLength`] without planes, with fewer sensors than planes, or for rows that differ in length; [`Error::NotFinite`].
    pub fn new(rows: &[Vec<Complex64>], convention: PhaseConvention) -> Result<Self> {
        let planes = rows.first().map_or(0, Vec::len);
        at_least("planes", planes, 1, "with influence coefficients")?;
        at_least("sensors", rows.len(), planes, "one for each plane")?;
        for (i, row) in rows.iter().enumerate() {
            same_length(&format!("influence coefficients of sensor {}", i + 1), row.len(), planes)?;
        }
        Self::of(DMatrix::from_row_iterator(rows.len(), planes, rows.iter().flatten().copied()), convention)
    }

    pub(super) fn of(coefficients: DMatrix<Complex64>, convention: PhaseConvention) -> Result<Self> {
        if let Some(bad) = coefficients.iter().find(|a| !a.is_finite()) {
            return Err(Error::NotFinite { field: "influence coefficient".into(), value: bad.to_string() });
        }
        Ok(Self { coefficients, convention })
    }

    /// How many sensors.
    pub fn sensors(&self) -> usize {
        self.coefficients.nrows()
    }

    /// How many planes.
    pub fn planes(&self) -> usize {
        self.coefficients.ncols()
    }

    /// The coefficient of a sensor and a plane, counted from zero: units of the readings for each kg m.
    pub fn coefficient(&self, sensor: usize, plane: usize) -> Option<Complex64> {
        self.coefficients.get((sensor, plane)).copied()
    }

    /// Condition number: greatest over least singular value; infinite where planes cannot be told apart.
    ///
    /// # Errors
    /// [`Error::NoSolution`] where the decomposition does not converge.
    pub fn condition(&self) -> Result<f64> {
        Ok(Inverse::of(self.coefficients.clone())?.condition)
    }

    /// The weights to add in each plane against a vibration, heavy at the angle where to add: those that leave the least sum of |V0 + A W|^2.
    ///
    /// # Errors
    /// [`Error::WrongLength`]; [`Error::OutOfRange`] for a condition number above [`CONDITION_LIMIT`]; [`Error::NotFinite`].
    pub fn correct(&self, vibration: &[VibrationReading]) -> Result<Vec<UnbalanceVector>> {
        let (weights, _) = self.solve(&self.read(vibration)?, &vec![1.0; self.sensors()])?;
        weights.into_iter().map(UnbalanceVector::from_complex).collect()
    }

    /// The vibration with these weights added, heavy at their angles: V0 + A W. For weights that were rounded to what is at hand.
    ///
    /// # Errors
    /// [`Error::WrongLength`]; [`Error::NotFinite`].
    pub fn predict(
        &self,
        vibration: &[VibrationReading],
        weights: &[UnbalanceVector],
    ) -> Result<Vec<VibrationReading>> {
        same_length("weights", weights.len(), self.planes())?;
        let weights: Vec<Complex64> = weights.iter().map(UnbalanceVector::complex).collect();
        let after = self.answer(&self.read(vibration)?, &weights);
        after.into_iter().map(|v| VibrationReading::from_complex(v, self.convention)).collect()
    }

    fn read(&self, vibration: &[VibrationReading]) -> Result<Vec<Complex64>> {
        same_length("readings", vibration.len(), self.sensors())?;
        Ok(vibration.iter().map(|v| v.complex(self.convention)).collect())
    }

    /// V0 + A W.
    pub(super) fn answer(&self, vibration: &[Complex64], weights: &[Complex64]) -> Vec<Complex64> {
        let of_sensor = |row: usize| {
            self.coefficients.row(row).iter().zip(weights).map(|(a, w)| a * w).sum::<Complex64>()
        };
        vibration.iter().enumerate().map(|(row, v)| v + of_sensor(row)).collect()
    }

    /// The weights that leave the least sum of weight x |V0 + A W|^2, and the condition number.
    pub(super) fn solve(
        &self,
        vibration: &[Complex64],
        sensor_weights: &[f64],
    ) -> Result<(Vec<Complex64>, f64)> {
        let root = |row: usize| sensor_weights.get(row).map_or(1.0, |w| w.sqrt());
        let inverse = Inverse::of(self.coefficients.map_with_location(|row, _, a| a * root(row)))?;
        if inverse.condition > CONDITION_LIMIT {
            let value = written(Ratio::from_si(inverse.condition));
            let allowed = format!(
                "at most {CONDITION_LIMIT}: planes further apart, sensors elsewhere, or fewer planes"
            );
            return Err(trials("condition of the influence coefficients".into(), value, &allowed));
        }
        let weighted: Vec<Complex64> = vibration.iter().enumerate().map(|(s, v)| v * root(s)).collect();
        let of_plane = |plane: usize| -> Complex64 {
            -inverse.matrix.row(plane).iter().zip(&weighted).map(|(b, v)| b * v).sum::<Complex64>()
        };
        Ok(((0..self.planes()).map(of_plane).collect(), inverse.condition))
    }
}

/// A pseudo-inverse, for least squares, with the condition number of what was inverted.
pub(super) struct Inverse {
    /// Zero where the condition is infinite.
    pub(super) matrix: DMatrix<Complex64>,
    /// Greatest over least singular value.
    pub(super) condition: f64,
}

impl Inverse {
    /// Of a matrix with at least as many rows as columns.
    pub(super) fn of(matrix: DMatrix<Complex64>) -> Result<Self> {
        let (rows, columns) = matrix.shape();
        let size = matrix.iter().map(|a| a.norm()).fold(0.0, f64::max);
        let singular = Self { matrix: DMatrix::zeros(columns, rows), condition: f64::INFINITY };
        if size == 0.0 {
            return Ok(singular);
        }
        // Brought to a size of one, so that no square of an entry overflows or is lost.
        let failed =
            || Error::NoSolution { what: "decomposition of the matrix".into(), low: 0.0, high: size };
        // Unordered, because the ordering one panics where a singular value is not a number.
        let svd = matrix
            .map(|a| a / size)
            .try_svd_unordered(true, true, f64::EPSILON, MOST_STEPS)
            .filter(|svd| svd.singular_values.iter().all(|s| s.is_finite()))
            .ok_or_else(failed)?;
        let (most, least) = (svd.singular_values.max(), svd.singular_values.min());
        if least <= most * f64::EPSILON {
            return Ok(singular);
        }
        let inverse = svd.pseudo_inverse(0.0).map_err(|_| failed())?;
        Ok(Self { matrix: inverse.map(|a| a / size), condition: most / least })
    }
}
